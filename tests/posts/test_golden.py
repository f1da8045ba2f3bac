"""One whole program, line by line: `golden/knob.nc` was reviewed by hand against the rules in this file's notes.

Reviewed: the header states title, stock and where the first tool stands; each section restates modes, feed, offset,
spindle and, where a tool goes in, the fixed sequence M05, M00 with what to do, T M06, G43, spindle, dwell, Z, X; words
that hold are not repeated; numbers have a point and no needless zero; the round from face to cylinder is G03 with I0
(derivation from right-handed axes, ISO 841), the fillet G02; M05 and M30 are blocks of their own.
"""

from __future__ import annotations

from pathlib import Path

from msgspec.structs import replace

from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, as_drawn
from toolpath.motion import (
    ArcCut,
    Cut,
    Dwell,
    End,
    Feed,
    FeedMode,
    Operation,
    Point,
    Program,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    State,
    Step,
    Stop,
    ToolCall,
)

GOLDEN = Path(__file__).with_name("golden") / "knob.nc"
CHANGE = (30.0, 25.0)
FINISH = State(
    1, 1, Spindle(Sense.FORWARD, surface=90.0, limit_rpm=2500.0), Feed(FeedMode.PER_TURN, 0.08), operation="finish"
)
PART_OFF = State(3, 3, Spindle(Sense.FORWARD, rpm=600.0), Feed(FeedMode.PER_TURN, 0.03), operation="part off")


def change_of_tool(state: State, *, tells: str, then: Point) -> list[Step]:
    """By hand: spindle off, stop, call, spindle on, run-up, then Z, then X."""
    still = replace(state, tool=state.tool, spindle=None)
    return [
        SpindleChange(CHANGE, still),
        Stop(tells, CHANGE, still),
        ToolCall(CHANGE, still),
        SpindleChange(CHANGE, state),
        Dwell(3.0, CHANGE, state),
        Rapid(CHANGE, (then[0], CHANGE[1]), state),
        Rapid((then[0], CHANGE[1]), then, state),
    ]


def retreat(start: Point, state: State) -> list[Step]:
    return [Rapid(start, (start[0], CHANGE[1]), state), Rapid((start[0], CHANGE[1]), CHANGE, state)]


def knob() -> Program:
    """A knob of 24 mm: round R5, cylinder 18, fillet R3, shoulder, cylinder 24, parted off at 20 mm."""
    finish = [
        *change_of_tool(FINISH, tells="tool 1: right-hand, nose 0.4", then=(0.0, 5.0)),
        Cut((0.0, 5.0), (0.0, 4.0), FINISH),
        ArcCut((0.0, 4.0), (-5.0, 9.0), (-5.0, 4.0), True, FINISH),
        Cut((-5.0, 9.0), (-9.0, 9.0), FINISH),
        ArcCut((-9.0, 9.0), (-12.0, 12.0), (-9.0, 12.0), False, FINISH),
        Cut((-12.0, 12.0), (-20.5, 12.0), FINISH),
        Cut((-20.5, 12.0), (-19.5, 13.0), FINISH),
        *retreat((-19.5, 13.0), FINISH),
    ]
    slow = replace(PART_OFF, feed=Feed(FeedMode.PER_TURN, 0.02))
    part_off = [
        *change_of_tool(PART_OFF, tells="tool 3: parting blade 2.0, set its chuck-side corner", then=(-22.0, 13.0)),
        Cut((-22.0, 13.0), (-22.0, 6.0), PART_OFF),
        Rapid((-22.0, 6.0), (-22.0, 13.0), PART_OFF),
        Rapid((-22.0, 13.0), (-22.0, 6.2), PART_OFF),
        Cut((-22.0, 6.2), (-22.0, 1.0), slow),
        *retreat((-22.0, 1.0), slow),
        End(CHANGE, replace(slow, spindle=None)),
    ]
    return Program(
        title="Drawer knob",
        header=("bar 25 mm brass, 44 out of the collet", "zero: the finished front face", "X is a diameter"),
        operations=(
            Operation("finish", tuple(finish), "one pass, 0.2 was left on"),
            Operation("part off", tuple(part_off), "stub 2.0 is left to break off"),
        ),
        home=CHANGE,
    )


def test_the_whole_text() -> None:
    assert write(knob(), G95).text == GOLDEN.read_text(encoding="ascii")


def test_the_lines_of_each_operation() -> None:
    text = GOLDEN.read_text(encoding="ascii").splitlines()
    spans = write(knob(), G95).lines
    assert [text[first - 1] for first, _ in spans] == ["(--- 1 finish T1)", "(--- 2 part off T3)"]
    assert text[spans[0][1] - 1] == "Z30.0" and text[spans[1][1] - 1] == "M30"


def test_the_text_leads_along_the_drawing() -> None:
    """End points as dimensioned on the drawing, (diameter, z)."""
    assert as_drawn(read(GOLDEN.read_text(encoding="ascii"), G95)) == [
        *((50, 0), (10, 0), (8, 0), (18, -5), (18, -9), (24, -12), (24, -20.5), (26, -19.5), (50, -19.5), (50, 30)),
        *((50, -22), (26, -22), (12, -22), (26, -22), (12.4, -22), (2, -22), (50, -22), (50, 30)),
    ]
