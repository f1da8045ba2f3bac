"""What is written is read as the same steps, in every dialect: random programs in mm and inch.

Compared are every move (kind, places, centre, sense), state, stop, dwell, tool call and change of spindle. Left out on
both sides are steps that change nothing in print, and the feed of steps that do not feed.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from posts.dialect import built_in, load_dialect
from posts.fitting import fitted
from posts.numbers import Grid
from posts.reader import read
from posts.writer import write
from tests.posts.strategies import programs
from toolpath.geometry.elements import arc_about
from toolpath.motion import (
    ArcCut,
    Cut,
    Dwell,
    End,
    Move,
    Program,
    Rapid,
    SpindleChange,
    State,
    Step,
    ThreadCut,
    ToolCall,
)


def essential(program: Program, grid: Grid) -> list[Step]:
    """The steps that print something."""
    out: list[Step] = []
    spindle: object = "unknown"
    for step in program.steps:
        if isinstance(step, SpindleChange) and step.state.spindle == spindle:
            continue
        spindle = step.state.spindle
        still = isinstance(step, Rapid | Cut | ThreadCut) or (isinstance(step, ArcCut) and abs(_sweep(step)) < math.pi)
        if still and grid.digits(step.start) == grid.digits(step.end):  # type: ignore[union-attr]
            continue
        out.append(step)
    while out and isinstance(out[0], SpindleChange) and out[0].state.spindle is None:
        del out[0]  # a spindle that stands already
    if len(out) > 1 and isinstance(out[-2], SpindleChange) and out[-2].state.spindle is None:
        del out[-2]  # the end stops it anyway
    return out


def _sweep(arc: ArcCut) -> float:
    return arc_about(arc.centre, arc.start, arc.end, ccw=arc.ccw).sweep


def assert_same_state(got: State, meant: State, *, fed: bool) -> None:
    assert (got.tool, got.offset, got.coolant, got.operation) == (
        meant.tool,
        meant.offset,
        meant.coolant,
        meant.operation,
    )
    assert (got.spindle is None) == (meant.spindle is None)
    if got.spindle and meant.spindle:
        assert got.spindle.sense == meant.spindle.sense
        assert got.spindle.rpm == meant.spindle.rpm
        assert got.spindle.surface == pytest.approx(meant.spindle.surface, abs=0.16)  # half a foot a minute
        assert got.spindle.limit_rpm == meant.spindle.limit_rpm
    if fed:
        assert got.feed is not None and meant.feed is not None and got.feed.mode == meant.feed.mode
        assert got.feed.value == pytest.approx(meant.feed.value, abs=0.13 if meant.feed.value > 0.5 else 1.3e-4)


def assert_same_step(got: Step, meant: Step, *, grid: Grid) -> None:
    if isinstance(meant, ArcCut) and isinstance(got, Cut):  # an arc that no digit can tell from its chord
        assert math.dist(meant.centre, meant.start) * (1.0 - math.cos(_sweep(meant) / 2.0)) <= grid.step / 2.0
        meant = Cut(meant.start, meant.end, meant.state)
    assert type(got) is type(meant)
    moves = isinstance(meant, Cut | ArcCut)
    assert_same_state(got.state, meant.state, fed=moves)
    half = grid.step / 2.0 + 1e-9
    if isinstance(meant, Move) and isinstance(got, Move):
        assert got.end == pytest.approx(meant.end, abs=half)
        assert got.start == pytest.approx(meant.start, abs=half)
    if isinstance(meant, ThreadCut) and isinstance(got, ThreadCut):
        turns = abs(meant.end[0] - meant.start[0]) / meant.lead
        assert abs(got.lead - meant.lead) * turns <= grid.step
        assert got.angle == pytest.approx(meant.angle)
    if isinstance(meant, ArcCut) and isinstance(got, ArcCut):
        assert got.ccw is meant.ccw
        assert abs(math.dist(got.centre, got.start) - math.dist(got.centre, got.end)) <= 0.002
        assert abs(_sweep(got) - _sweep(meant)) * math.dist(got.centre, got.end) <= 12 * grid.step
    if isinstance(meant, Dwell) and isinstance(got, Dwell):
        assert got.seconds == pytest.approx(meant.seconds)
    for name in ("text", "optional"):
        if hasattr(meant, name):
            assert getattr(got, name) == getattr(meant, name)


EACH = pytest.mark.parametrize("name", built_in())
SOME = settings(
    max_examples=12, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture], deadline=None
)


@EACH
@given(data=st.data())
@SOME
def test_written_programs_are_read_as_the_same_steps(name: str, data: st.DataObject) -> None:
    dialect = load_dialect(name)
    program = data.draw(programs(dialect))
    written = write(program, dialect)
    again = read(written.text, dialect)
    grid = Grid(dialect.numbers(inch=program.inch), program.inch, program.x_diameter)
    got, meant = essential(again, grid), essential(fitted(program, dialect), grid)
    assert len(got) == len(meant)
    for a, b in zip(got, meant, strict=True):
        assert_same_step(a, b, grid=grid)
    assert (again.title, again.header) == (program.title, program.header)
    assert (again.inch, again.x_diameter) == (program.inch, program.x_diameter)
    assert again.home == pytest.approx(program.home, abs=grid.step)
    assert [(o.kind, o.note) for o in again.operations] == [(o.kind, o.note) for o in program.operations]
    for operation, (first, last) in zip(again.operations, written.lines, strict=True):
        assert all(first <= step.line <= last for step in operation.steps)


@EACH
@given(data=st.data())
@SOME
def test_what_was_read_is_written_again_to_the_same_bytes(name: str, data: st.DataObject) -> None:
    dialect = load_dialect(name)
    text = write(data.draw(programs(dialect)), dialect).text
    again = read(text, dialect)
    assert write(again, dialect).text == text


@EACH
@given(data=st.data())
@SOME
def test_every_section_can_be_restarted_on_its_own(name: str, data: st.DataObject) -> None:
    """Read alone, a section sets everything its moves need; only the tool may be one that is in place already."""
    dialect = load_dialect(name)
    written = write(data.draw(programs(dialect)), dialect)
    lines = written.text.splitlines()
    for operation, (first, last) in zip(read(written.text, dialect).operations, written.lines, strict=True):
        part = lines[first - 1 : last]
        if not isinstance(operation.steps[-1], End):
            part.append("M30")
        state = operation.steps[0].state
        calls = any(isinstance(step, ToolCall) for step in operation.steps)
        before = [] if calls else [line.format(tool=state.tool, offset=state.offset) for line in dialect.tool.call]
        alone = read("\n".join([*before, *part]), dialect)
        cuts = [s for s in alone.steps if isinstance(s, Cut | ArcCut | ThreadCut)]
        meant = [s for s in operation.steps if isinstance(s, Cut | ArcCut | ThreadCut)]
        if not dialect.tool.call:  # which tool is in the post is said where it was fitted, and at the heading
            cuts, meant = ([replace(s, state=replace(s.state, tool=0)) for s in steps] for steps in (cuts, meant))
        assert [replace(s, line=0) for s in cuts] == [replace(s, line=0) for s in meant]
