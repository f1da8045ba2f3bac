"""Nose compensation as it is written: on and off on the blocks that lead in and out, nothing left on or half said."""

from __future__ import annotations

import msgspec
import pytest

from posts.dialect import Dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, moves_of
from toolpath.errors import BadInput, CannotMake
from toolpath.motion import (
    ArcCut,
    Compensation,
    Cut,
    End,
    Feed,
    FeedMode,
    Operation,
    Program,
    Rapid,
    Sense,
    Side,
    Spindle,
    State,
    Step,
    ToolCall,
)

BARE = State(1, 1, Spindle(Sense.FORWARD, rpm=800.0), Feed(FeedMode.PER_TURN, 0.1), operation="finish")
RIGHT = Compensation(Side.RIGHT, 0.4, (-1, -1))
LEFT = Compensation(Side.LEFT, 0.4, (-1, -1))


def aside(meant: Compensation = RIGHT) -> State:
    return msgspec.structs.replace(BARE, compensation=meant)


START, IN, ON, OFF = (5.0, 10.0), (2.0, 10.0), (-10.0, 10.0), (-5.0, 20.0)
WAY = (Cut(START, IN, aside()), Cut(IN, ON, aside()), Cut(ON, OFF, BARE))


def program(*steps: Step, more: tuple[Operation, ...] = ()) -> Program:
    called = ToolCall(START, msgspec.structs.replace(BARE, spindle=None, feed=None))
    off = msgspec.structs.replace(BARE, spindle=None)
    operations = (Operation("finish", (called, *steps)), *more, Operation("", (End(OFF, off),)))
    return Program("Way", (), operations, home=START)


def text_of(*steps: Step, dialect: Dialect = G95) -> list[str]:
    return write(program(*steps), dialect).text.splitlines()


def test_on_and_off_stand_on_the_blocks_that_lead_in_and_out() -> None:
    lines = text_of(*WAY)
    first = lines.index("G42 G01 Z2.0")
    assert lines[first - 1] == "(tool table: nose radius 0.4 mm, tip number 2, tip towards -z -x)"
    assert lines[first + 1 : first + 3] == ["Z-10.0", "G40 X40.0 Z-5.0"]


def test_left_has_its_own_word() -> None:
    assert any(line.startswith("G41 G01") for line in text_of(*(_left(s) for s in WAY)))


def _left(step: Cut) -> Cut:
    return msgspec.structs.replace(step, state=aside(LEFT)) if step.state.compensation else step


def test_a_rapid_may_lead_in() -> None:
    steps = (Rapid(START, IN, aside()), *WAY[1:])
    assert any(line.startswith("G42 ") for line in text_of(*steps))
    back = read("\n".join(text_of(*steps)), G95, noses={1: (0.4, (-1, -1))})
    assert [type(m).__name__ for m in moves_of(back)][-3:] == ["Rapid", "Cut", "Cut"]


def test_a_dialect_that_numbers_no_tips_says_the_way_alone() -> None:
    dialect = msgspec.structs.replace(G95, tips={})
    assert "(tool table: nose radius 0.4 mm, tip towards -z -x)" in text_of(*WAY, dialect=dialect)


@pytest.mark.parametrize("missing", ["compensation_right", "compensation_off"])
def test_a_dialect_without_the_words_can_not_say_it(missing: str) -> None:
    dialect = msgspec.structs.replace(G95, words={k: v for k, v in G95.words.items() if k != missing})
    with pytest.raises(CannotMake, match=missing.replace("_", " ")):
        text_of(*WAY, dialect=dialect)


ARC = ArcCut(IN, (-8.0, 20.0), (-8.0, 10.0), True, aside())
UNSOUND: dict[str, tuple[Step, ...]] = {
    "on in an arc": (ARC, Cut((-8.0, 20.0), OFF, BARE)),
    "off in an arc": (*WAY[:2], ArcCut(ON, (-20.0, 20.0), (-20.0, 10.0), True, BARE)),
    "from one side to the other": (WAY[0], _left(WAY[1]), WAY[2]),
}


@pytest.mark.parametrize("name", UNSOUND)
def test_a_change_without_a_straight_move_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match="no straight move leads in or out"):
        text_of(*UNSOUND[name])


def test_a_section_does_not_end_with_compensation_on() -> None:
    """The next section says off in its first block, where no move leads out."""
    with pytest.raises(BadInput, match="'finish' ends while the control compensates"):
        text_of(*WAY[:2])
