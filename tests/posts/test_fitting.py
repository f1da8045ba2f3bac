"""What a control has no word for is said another way where that is exact; the knob's four texts were reviewed by line.

Reviewed in each: bounds and number, modes with their unit, speed and its limit before the start, tool and offset or the
stop that stands for them, dwell in the control's unit, X as the control reads it, M05 and M30 by themselves.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from msgspec.structs import replace

from posts.dialect import Dialect, built_in, load_dialect
from posts.fitting import fitted
from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, moves_of
from tests.posts.test_golden import knob
from toolpath.errors import CannotMake
from toolpath.motion import ArcCut, Cut, Feed, FeedMode, Program, Step, Stop, ThreadCut, ToolCall

GOLDEN = Path(__file__).with_name("golden")


def at_fixed_speed(step: Step) -> Step:
    spindle = step.state.spindle
    fixed = spindle and replace(spindle, rpm=spindle.rpm or 1200.0, surface=0.0, limit_rpm=0.0)
    return replace(step, state=replace(step.state, spindle=fixed))


def knob_for(dialect: Dialect) -> Program:
    """The knob as the plan would give it for this control: at fixed speeds where it has no other, X as it reads it."""
    program = replace(knob(), x_diameter=dialect.fixed_x != "radius")
    if dialect.surface_speed:
        return program
    operations = (replace(op, steps=tuple(map(at_fixed_speed, op.steps))) for op in program.operations)
    return replace(program, operations=tuple(operations))


@pytest.mark.parametrize("name", built_in())
def test_the_whole_text_of_the_knob(name: str) -> None:
    golden = GOLDEN / ("knob.nc" if name == "g95" else f"knob-{name}.nc")
    dialect = load_dialect(name)
    assert write(knob_for(dialect), dialect).text == golden.read_text(encoding="ascii")


def test_the_same_part_through_all_dialects_goes_the_same_way() -> None:
    ways = []
    for name in built_in():
        dialect = load_dialect(name)
        program = read(write(knob_for(dialect), dialect).text, dialect)
        ways.append([(type(m), m.start, m.end, getattr(m, "centre", ())) for m in moves_of(program)])
    assert all(way == ways[0] for way in ways[1:]) and len(ways) == 4


def test_feed_per_turn_becomes_feed_per_minute_rounded_down() -> None:
    """0.083 mm a turn at 611 rpm is 50.713 mm a minute; one digit is written."""
    plain = load_dialect("plain94")
    program = knob_for(plain)
    step = next(s for s in program.operations[1].steps if isinstance(s, Cut))
    spindle = step.state.spindle
    assert spindle is not None
    state = replace(step.state, feed=Feed(FeedMode.PER_TURN, 0.083), spindle=replace(spindle, rpm=611.0))
    operation = replace(program.operations[1], steps=(replace(step, state=state),))
    (made,) = fitted(replace(program, operations=(operation,)), plain).steps
    assert made.state.feed is not None
    assert (made.state.feed.mode, made.state.feed.value) == (FeedMode.PER_MINUTE, pytest.approx(50.7))


def test_feed_per_turn_at_surface_speed_is_none_per_minute() -> None:
    with pytest.raises(CannotMake, match="give per_turn under \\[words\\]"):
        write(replace(knob(), x_diameter=False), load_dialect("plain94"))


def test_a_tool_without_a_stop_gets_one() -> None:
    plain = load_dialect("plain94")
    program = knob_for(plain)
    operations = tuple(
        replace(op, steps=tuple(s for s in op.steps if not isinstance(s, Stop))) for op in program.operations
    )
    again = read(write(replace(program, operations=operations), plain).text, plain)
    stops = [s.text for s in again.steps if isinstance(s, Stop)]
    assert [t.split(";")[0] for t in stops] == ["fit T1 and set its zero", "fit T3 and set its zero"]
    assert [s.state.tool for s in again.steps if isinstance(s, ToolCall)] == [1, 3]


@pytest.mark.parametrize("ramped", [False, True])
def test_a_thread_on_a_control_without_its_word_is_refused_with_the_key(ramped: bool) -> None:
    """Also where it is left on a ramp: how the control goes on in step is no question before it can begin."""
    plain = load_dialect("plain94")
    program = knob_for(plain)
    cut = next(s for s in program.operations[1].steps if isinstance(s, Cut))
    thread = ThreadCut((-19.5, 13.0), (-22.0, 13.0), 1.5, replace(cut.state, offset=0))
    thread = replace(thread, start=(30.0, 25.0), end=(20.0, 25.0))
    ramp = (replace(thread, start=thread.end, end=(18.0, 27.0)),) if ramped else ()
    steps = (*program.operations[1].steps[:5], thread, *ramp)
    end = program.operations[1].steps[-1]
    broken = replace(program, operations=(replace(program.operations[1], steps=(*steps, end)),))
    with pytest.raises(CannotMake, match="give it as thread under \\[words\\]"):
        write(broken, plain)


def test_chords_lie_as_near_as_they_say() -> None:
    dialect = replace(G95, arcs=replace(G95.arcs, form="chords", chord=0.0004))
    moves = moves_of(fitted(knob(), dialect))
    assert not any(isinstance(m, ArcCut) for m in moves)
    around = [m for m in moves if -5.0 < m.end[0] < 0.0 and 4.0 < m.end[1] < 9.0]
    assert len(around) > 30
    for move in around:
        assert math.dist(move.end, (-5.0, 4.0)) == pytest.approx(5.0, abs=1e-9)
        middle = ((move.start[0] + move.end[0]) / 2.0, (move.start[1] + move.end[1]) / 2.0)
        assert 0.0 < 5.0 - math.dist(middle, (-5.0, 4.0)) <= 0.0004 + 1e-9
    assert "G02" not in write(knob(), dialect).text


def test_arcs_by_radius_run_as_drawn() -> None:
    dialect = replace(G95, arcs=replace(G95.arcs, form="radius"))
    text = write(knob(), dialect).text
    assert "G03 X18.0 Z-5.0 R5.0" in text and "I" not in text.split("G03")[1].split("\n")[0]
    drawn = [m for m in moves_of(knob()) if isinstance(m, ArcCut)]
    for got, meant in zip((m for m in moves_of(read(text, dialect)) if isinstance(m, ArcCut)), drawn, strict=True):
        assert got.centre == pytest.approx(meant.centre, abs=1e-6) and got.ccw is meant.ccw


def test_increments_points_numbers_and_line_ends() -> None:
    g99 = load_dialect("g99")
    lines = replace(g99.lines, point="14.", ending="crlf", numbered="all")
    dialect = replace(g99, axes=replace(g99.axes, increments="write"), lines=lines)
    text = write(knob(), dialect).text
    assert text.count("\r\n") == text.count("\n") and "G03 U10. W-5. I0. K-5.\r\n" in text
    meant, got = moves_of(read(write(knob(), g99).text, g99)), moves_of(read(text, dialect))
    for a, b in zip(got, meant, strict=True):
        assert a.end == pytest.approx(b.end, abs=1e-9)
