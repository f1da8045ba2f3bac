"""Drilling in pecks by one cycle.

NISTIR 6556, G83: feed down a peck from R, out to R by rapid, back to a little before the floor, on until Z; a little is
0.254 mm (from memory). COURSE: a national vocational school's public CNC turning course: `G74 R` / `G74 Z Q F`, Q in
last digits, drawn back by R to break the chip.
"""

from __future__ import annotations

import itertools
import re

import pytest
from msgspec.structs import replace

from posts.dialect import Dialect, load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, MODES, TURNING, moves_of
from toolpath.errors import BadInput
from toolpath.motion import (
    Cut,
    End,
    Feed,
    FeedMode,
    Operation,
    Program,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    State,
    Step,
    ToolCall,
)
from toolpath.passes.drill import Hole, drill
from toolpath.plan.steps import moves_of as steps_of

G99 = load_dialect("g99")
STATE = State(2, 2, Spindle(Sense.FORWARD, rpm=900.0), Feed(FeedMode.PER_TURN, 0.08), operation="drill")
HOLE = Hole(front=5.0, mouth=0.0, begins=0.0, bottom=-26.0, first=8.0, peck=4.0, clearance=1.0)


def g95(*blocks: str) -> Program:
    return read("\n".join([MODES, TURNING, "G00 X0 Z2", *blocks, "M30"]), G95)


def g99(*blocks: str) -> Program:
    return read("\n".join(["G21 G40 G99", "T0202", "G97 S900 M03", "G00 X0 Z2.", *blocks, "M30"]), G99)


def ways(program: Program) -> list[tuple[str, float]]:
    """(kind, z) of every move behind the first rapid."""
    return [(type(m).__name__, round(m.end[0], 6)) for m in moves_of(program)[1:]]


def test_chips_cleared_by_the_report_s_rule() -> None:
    assert ways(g95("G17", "G83 Z-10 R2 Q5 F0.1", "G18")) == [
        *(("Cut", -3), ("Rapid", 2), ("Rapid", -2.746), ("Cut", -8), ("Rapid", 2), ("Rapid", -7.746), ("Cut", -10)),
        ("Rapid", 2),
    ]


def test_chips_broken_a_little_back() -> None:
    assert ways(g95("G17", "G73 Z-8 R2 Q5", "G18")) == [("Cut", -3), ("Rapid", -2.746), ("Cut", -8), ("Rapid", 2)]


def test_chips_broken_in_two_blocks_as_the_course_has_it() -> None:
    program = g99("G74 R1.0", "G74 Z-10. Q5000 F0.08")
    assert ways(program) == [("Cut", -3), ("Rapid", -2), ("Cut", -8), ("Rapid", -7), ("Cut", -10), ("Rapid", 2)]
    assert {m.state.feed for m in moves_of(program) if isinstance(m, Cut)} == {Feed(FeedMode.PER_TURN, 0.08)}
    assert ways(g99("G99 F.1", "G74 R1.0", "G74 W-12. Q5000"))[-2:] == [("Cut", -10), ("Rapid", 2)]


@pytest.mark.parametrize(
    "blocks, line, column, words",
    [
        (["G83 Z-10 R2 Q5"], 7, 1, "only in the plane of X and Y"),
        (["G17", "G83 R2 Q5"], 8, 1, "has no Z"),
        (["G17", "G83 Z-10 Q5"], 8, 1, "has no R"),
        (["G17", "G83 Z-10 R2"], 8, 1, "has no Q"),
        (["G17", "G83 Z-10 R1 Q5"], 8, 10, "is not where the tool stands"),
        (["G17", "G83 Z-10 R2 Q0"], 8, 13, "not above 0"),
        (["G17", "G83 Z-10 R2 Q0.2"], 8, 13, "no deeper than the 0.254 mm it goes back"),
        (["G17", "G83 X4 Z-10 R2 Q5"], 8, 5, "beside where the tool stands"),
        (["G17", "G83 Z3 R2 Q5"], 8, 5, "no deeper than the cycle begins"),
        (["G17", "G83 Z-9000 R2 Q.5"], 8, 1, "more than 1000 pecks"),
        (["G17", "G83 Z-10 R2 Q5 L2"], 8, 16, "begins with L"),
        (["G17", "M05", "G83 Z-10 R2 Q5"], 9, 1, "the spindle stands still"),
        (["G17", "G83 Z-10 R2 Q5", "Z-12"], 9, 1, "no motion is in force"),
        (["G17", "G83 Z-10 R2 Q5", "G02 X10 Z0 R5"], 9, 1, "before the plane of Z and X"),
    ],
)
def test_the_form_with_a_return_level_is_read_strictly(blocks: list[str], line: int, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        g95(*blocks)
    assert str(caught.value).startswith(f"line {line}, column {column}: ")


@pytest.mark.parametrize(
    "blocks, line, column, words",
    [
        (["G74 Z-10. Q5000"], 5, 5, "does not stand in the first block"),
        (["G74"], 5, 1, "has no R"),
        (["G74 R0.0"], 5, 5, "not above 0"),
        (["G74 R1.", "G01 Z-3."], 6, 1, "second one must stand here"),
        (["G74 R1.", "G74 Z-10. F.1"], 6, 1, "has no Q"),
        (["G74 R1.", "G74 Z-10. Q5. F.1"], 6, 11, "has a point"),
        (["G74 R1.", "G74 X5. Z-10. Q5000 F.1"], 6, 5, "nothing in the block uses X5."),
        (["G74 R1.", "G74 Z-10. Q5000"], 6, 1, "no feed is in force"),
        (["G74 R1.", "M30"], 6, 1, "second one must stand here"),
    ],
)
def test_two_blocks_are_read_strictly(blocks: list[str], line: int, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        g99(*blocks)
    assert str(caught.value).startswith(f"line {line}, column {column}: ")


# -- written ---------------------------------------------------------------------------------------------------------


def planned(hole: Hole) -> Program:
    legs, _ = drill(hole, (5.0, 30.0))
    moves = steps_of(legs, STATE, (0.001, 0.0005), tool=None)  # type: ignore[arg-type]
    start, still = (5.0, 30.0), replace(STATE, spindle=None)
    steps: tuple[Step, ...] = (ToolCall(start, still), SpindleChange(start, STATE), *moves, End((5.0, 0.0), still))
    return Program("Hole", (), (Operation("drill", steps),), home=start)


def writing(dialect: Dialect) -> Dialect:
    return replace(dialect, cycles=replace(dialect.cycles, write=("peck",)))


def blocks_of(hole: Hole, dialect: Dialect) -> list[str]:
    lines = write(planned(hole), writing(dialect)).text.splitlines()
    return [line for line in lines if line.startswith(("G83", "G73", "G74", "G17", "G80"))]


def test_pecks_are_written_as_deep_as_the_plan_s_later_ones() -> None:
    assert blocks_of(HOLE, G95) == ["G17", "G83 Z-26.0 R1.0 Q3.6", "G80 G18"]
    broken = replace(HOLE, lift=0.5)
    assert blocks_of(broken, G95) == ["G17", "G73 Z-26.0 R1.0 Q3.6", "G80 G18"]
    assert blocks_of(broken, G99) == ["G74 R0.5", "G74 Z-26.0 Q3600"]
    assert blocks_of(HOLE, G99) == []  # it has no word for clearing chips


@pytest.mark.parametrize(
    "hole",
    [
        replace(HOLE, first=26.0),  # one go
        replace(HOLE, begins=-3.0),  # a hole that is there already: not begun at the way out
        replace(HOLE, turns=2.0),  # stands on the floor
        replace(HOLE, eased=((-26.0, -24.0, 0.5),)),  # fed gently
    ],
)
def test_other_holes_stay_in_single_moves(hole: Hole) -> None:
    for dialect in (G95, G99):
        assert not blocks_of(replace(hole, lift=0.5), dialect) and not blocks_of(hole, dialect)


@pytest.mark.parametrize("lift", [0.0, 0.5])
@pytest.mark.parametrize("dialect", [G95, G99], ids=["g95", "g99"])
def test_what_is_written_is_read_to_the_same_floor_with_no_deeper_peck(dialect: Dialect, lift: float) -> None:
    program = planned(replace(HOLE, lift=lift))
    again = read(write(program, writing(dialect)).text, dialect)
    floors = [m.end[0] for m in moves_of(again) if isinstance(m, Cut)]
    assert min(floors) == floors[-1] == -26.0
    assert all(a - b <= 4.0 + 1e-6 for a, b in itertools.pairwise(floors))
    assert moves_of(again)[-1].end == moves_of(program)[-1].end
    assert all(m.end[1] == 0.0 for m in moves_of(again) if isinstance(m, Rapid) and m.end[0] < 1.0)
