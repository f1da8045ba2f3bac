"""A dry run: the same ways, the spindle stopped, everything farther out along z than it goes deep, x as it is."""

from __future__ import annotations

import msgspec
import pytest

from posts.dialect import load_dialect
from posts.reader import read
from posts.writer import write
from tests.plan.workshop import Piece, lathe, made, part, request
from toolpath.errors import CannotMake
from toolpath.motion import ArcCut, Cut, FeedMode, Program, Rapid, Stop
from toolpath.plan.dry import dry_run, stand_off

MOVES = (Rapid, Cut, ArcCut)


@pytest.fixture(scope="module")
def piece() -> Piece:
    return made(request(part({"dome_to": 12, "radius": 8}, {"dia": 18, "to": 20}, {"dia": 22, "to": 30})))


def moves(program: Program) -> list[Rapid | Cut | ArcCut]:
    return [s for s in program.steps if isinstance(s, MOVES)]


def test_every_move_is_the_same_but_for_one_shift_along_z(piece: Piece) -> None:
    real, dry = moves(piece.plan.program), moves(dry_run(piece.plan.program, lathe()))
    shift = stand_off(piece.plan.program, lathe())
    assert len(real) == len(dry) and shift > 30.0
    for a, b in zip(real, dry, strict=True):
        assert type(a) is type(b)
        assert b.start == pytest.approx((a.start[0] + shift, a.start[1]), abs=1e-12)
        assert b.end == pytest.approx((a.end[0] + shift, a.end[1]), abs=1e-12)
        if isinstance(a, ArcCut) and isinstance(b, ArcCut):
            assert b.centre == pytest.approx((a.centre[0] + shift, a.centre[1]), abs=1e-12) and a.ccw == b.ccw


def test_nothing_comes_nearer_to_the_chuck_than_the_face(piece: Piece) -> None:
    dry = dry_run(piece.plan.program, lathe())
    assert min(min(m.start[0], m.end[0]) for m in moves(dry)) == pytest.approx(lathe().clearance, abs=1e-9)


def test_the_spindle_never_turns_and_no_feed_waits_for_it(piece: Piece) -> None:
    dry = dry_run(piece.plan.program, lathe())
    assert all(s.state.spindle is None for s in dry.steps)
    feeds = [s.state.feed for s in dry.steps if isinstance(s, Cut | ArcCut)]
    assert feeds and all(f is not None and f.mode is FeedMode.PER_MINUTE for f in feeds)
    assert all(f is not None and 1.0 <= f.value <= lathe().max_feed for f in feeds)


def test_its_text_reads_back_and_says_what_it_is(piece: Piece) -> None:
    dialect = load_dialect("g95")
    text = write(dry_run(piece.plan.program, lathe()), dialect).text
    assert "DRY RUN" in text.splitlines()[1] and "M03" not in text and "G95" not in text and "G96" not in text
    meant = moves(dry_run(piece.plan.program, lathe()))
    again = [m for m in moves(read(text, dialect)) if m.start != m.end or isinstance(m, ArcCut)]
    for a, b in zip(again, meant, strict=True):
        assert a.end == pytest.approx(b.end, abs=1e-3)
    assert "dry run, do nothing" not in text  # no hand works in this one


def test_too_little_travel_is_refused_with_its_figures(piece: Piece) -> None:
    with pytest.raises(CannotMake, match=r"takes \d+\.\d mm of travel along Z, the machine has 60"):
        dry_run(piece.plan.program, msgspec.structs.replace(lathe(), travel_z=60.0))


def test_the_first_stop_tells_where_the_point_stands_in_the_dry_run(piece: Piece) -> None:
    shift = stand_off(piece.plan.program, lathe())
    dry = dry_run(piece.plan.program, lathe())
    (stop,) = [s for s in dry.steps if isinstance(s, Stop) and s.at != dry.home]
    assert f"25 mm from the axis and {21.0 + shift:.1f} mm in front of Z0" in stop.text
    assert stop.at == pytest.approx((21.0 + shift, 25.0))
