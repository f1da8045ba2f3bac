"""A dry run: the same ways, the spindle stopped, everything farther out along z than it goes deep, x as it is."""

from __future__ import annotations

import re

import msgspec
import pytest

from posts.dialect import load_dialect
from posts.reader import read
from posts.writer import write
from tests.plan.workshop import Piece, drawer, lathe, made, part, request
from toolpath.errors import CannotMake
from toolpath.motion import (
    ArcCut,
    Cut,
    End,
    Feed,
    FeedMode,
    Operation,
    Program,
    Rapid,
    Sense,
    Spindle,
    State,
    Stop,
    ThreadCut,
)
from toolpath.plan.dry import dry_run, stand_off

MOVES = (Rapid, Cut, ArcCut)


@pytest.fixture(scope="module")
def piece() -> Piece:
    return made(request(part({"dome_to": 12, "radius": 8}, {"dia": 18, "to": 20}, {"dia": 22, "to": 30})))


def dry(piece: Piece, **machine: float) -> Program:
    used = [t for t in drawer() if t.number in {s.state.tool for s in piece.plan.program.steps}]
    changed = msgspec.structs.replace(lathe(), **machine)
    return dry_run(piece.plan.program, changed, nose_z=piece.plan.work.nose_z, tools=used)


def moves(program: Program) -> list[Rapid | Cut | ArcCut]:
    return [s for s in program.steps if isinstance(s, MOVES)]


def test_every_move_is_the_same_but_for_one_shift_along_z(piece: Piece) -> None:
    real, shifted = moves(piece.plan.program), moves(dry(piece))
    shift = stand_off(piece.plan.program, lathe())
    assert len(real) == len(shifted) and shift > 30.0
    for a, b in zip(real, shifted, strict=True):
        assert type(a) is type(b)
        assert b.start == pytest.approx((a.start[0] + shift, a.start[1]), abs=1e-12)
        assert b.end == pytest.approx((a.end[0] + shift, a.end[1]), abs=1e-12)
        if isinstance(a, ArcCut) and isinstance(b, ArcCut):
            assert b.centre == pytest.approx((a.centre[0] + shift, a.centre[1]), abs=1e-12) and a.ccw == b.ccw


def test_nothing_comes_nearer_to_the_chuck_than_the_face(piece: Piece) -> None:
    run = dry(piece)
    assert min(min(m.start[0], m.end[0]) for m in moves(run)) == pytest.approx(lathe().clearance, abs=1e-9)


def test_the_spindle_never_turns_and_no_feed_waits_for_it(piece: Piece) -> None:
    run = dry(piece)
    assert all(s.state.spindle is None for s in run.steps)
    feeds = [s.state.feed for s in run.steps if isinstance(s, Cut | ArcCut)]
    assert feeds and all(f is not None and f.mode is FeedMode.PER_MINUTE for f in feeds)
    assert all(f is not None and 1.0 <= f.value <= lathe().max_feed for f in feeds)


def test_its_text_reads_back_and_says_what_it_is(piece: Piece) -> None:
    dialect = load_dialect("g95")
    text = write(dry(piece), dialect).text
    assert "DRY RUN" in text.splitlines()[1] and "M03" not in text and "G95" not in text and "G96" not in text
    meant = moves(dry(piece))
    again = [m for m in moves(read(text, dialect)) if m.start != m.end or isinstance(m, ArcCut)]
    for a, b in zip(again, meant, strict=True):
        assert a.end == pytest.approx(b.end, abs=1e-3)
    assert "dry run, do nothing" not in text  # no hand works in this one


def test_too_little_travel_is_refused_with_its_figures(piece: Piece) -> None:
    with pytest.raises(CannotMake, match=r"takes \d+\.\d mm of travel along Z, the machine has 60"):
        dry(piece, travel_z=60.0)


def test_the_first_stop_tells_where_the_point_stands_in_the_dry_run(piece: Piece) -> None:
    shift = stand_off(piece.plan.program, lathe())
    run = dry(piece)
    (stop,) = [s for s in run.steps if isinstance(s, Stop) and s.at != run.home]
    assert f"25 mm from the axis and {21.0 + shift:.1f} mm in front of Z0" in stop.text
    assert stop.at == pytest.approx((21.0 + shift, 25.0))


def test_the_tailstock_is_told_how_much_room_the_run_takes(piece: Piece) -> None:
    """From the nose of the hold to the tool's farthest point with its holder, where the tool stands farthest out."""
    run = dry(piece)
    (told,) = [line for line in run.header if line.startswith("Tailstock")]
    needs = float(re.findall(r"(\d+) mm are free", told)[0])
    ahead = {t.number: max(e.bounds()[2] for c in (t.outline, *t.holder) for e in c) for t in drawer()}
    farthest = max(max(m.start[0], m.end[0]) + ahead[m.state.tool] for m in moves(run) if m.state.tool)
    assert needs == pytest.approx(farthest - piece.plan.work.nose_z, abs=0.5)
    assert dry(piece, tailstock=False).header[3] == piece.plan.program.header[0]


def test_a_tailstock_in_the_way_is_refused(piece: Piece) -> None:
    with pytest.raises(CannotMake, match=r"goes out to \d+ mm from the nose of the hold, and the tailstock"):
        dry(piece, tailstock_room=100.0)
    assert dry(piece, tailstock_room=400.0)


def test_a_thread_pass_waits_for_no_spindle() -> None:
    """1.5 mm a turn at 400 rpm are 600 mm a minute, above what the machine feeds."""
    spindle = Spindle(Sense.FORWARD, rpm=400.0)
    cut = ThreadCut((2.0, 5.0), (-8.0, 5.0), 1.5, State(1, 1, spindle))
    program = Program("", (), (Operation("thread", (cut, End((-8.0, 5.0), State(1, 1)))),), home=(2.0, 5.0))
    run = dry_run(program, lathe(), nose_z=-30.0, tools=())
    (move,) = moves(run)
    assert isinstance(move, Cut) and move.state.spindle is None
    assert move.state.feed == Feed(FeedMode.PER_MINUTE, min(600.0, lathe().max_feed))
    assert move.end == (1.0, 5.0)
