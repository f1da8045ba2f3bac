"""What the writer prints: sections in full, modal words once, blocks of their own, and refusals with a reason."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from posts.dialect import load_dialect
from posts.writer import write
from tests.posts.common import G95
from toolpath.errors import BadInput, CannotMake
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

TURNING = State(1, 1, Spindle(Sense.FORWARD, rpm=800.0), Feed(FeedMode.PER_TURN, 0.1), operation="finish")
STILL = replace(TURNING, spindle=None)
START: list[Step] = [
    ToolCall((40.0, 30.0), STILL, "right hand, 0.4 nose"),
    SpindleChange((40.0, 30.0), TURNING),
    Rapid((40.0, 30.0), (2.0, 30.0), TURNING),
    Rapid((2.0, 30.0), (2.0, 10.0), TURNING),
]


def program_of(*steps: Step, **changes: object) -> Program:
    """Tool 1 turning at z 2, x 10, then these steps, then the end."""
    last = steps[-1] if steps else START[-1]
    at = last.end if isinstance(last, Rapid | Cut | ArcCut) else last.at
    operation = Operation("finish", (*START, *steps, End(at, STILL)))
    return replace(Program("Knob", (), (operation,), home=(40.0, 30.0)), **changes)  # type: ignore[arg-type]


def printed(*steps: Step, dialect: str = "g95", **changes: object) -> list[str]:
    """The lines that these steps print, between those of the start and of the end."""
    lines = write(program_of(*steps, **changes), load_dialect(dialect)).text.splitlines()
    return lines[lines.index("X20.0") + 1 : -2]


def cuts(*points: Point, start: Point = (2.0, 10.0), state: State = TURNING) -> list[Step]:
    return [Cut(a, b, state) for a, b in zip((start, *points), points, strict=False)]


def test_the_start_of_a_section_and_the_end() -> None:
    assert write(program_of(), G95).text.splitlines() == [
        "(Knob)",
        "(starts at X60.0 Z40.0 mm, X a diameter)",
        "(--- 1 finish T1)",
        "G18 G21 G90 G7 G40",
        "(right hand, 0.4 nose)",
        "T1 M06",
        "G43 H1",
        "G97 S800 M03",
        "G00 Z2.0",
        "X20.0",
        "M05",
        "M30",
    ]


def test_modal_words_are_said_once() -> None:
    assert printed(*cuts((-5.0, 10.0), (-5.0, 12.0), (-8.0, 12.0))) == ["G01 Z-5.0", "X24.0", "Z-8.0"]


def test_the_feed_is_said_when_it_changes() -> None:
    slow = replace(TURNING, feed=Feed(FeedMode.PER_TURN, 0.05))
    per_minute = replace(TURNING, feed=Feed(FeedMode.PER_MINUTE, 120.0))
    steps = [
        *cuts((-5.0, 10.0)),
        *cuts((-6.0, 10.0), start=(-5.0, 10.0), state=slow),
        *cuts((-7.0, 10.0), start=(-6.0, 10.0), state=per_minute),
        *cuts((-8.0, 10.0), start=(-7.0, 10.0)),
    ]
    assert printed(*steps) == [
        *("G01 Z-5.0", "Z-6.0 F0.05", "G94 F120.0", "Z-7.0", "G95 F0.1", "Z-8.0"),
    ]


def test_stops_dwells_and_a_standing_spindle_are_blocks_of_their_own() -> None:
    at = (2.0, 10.0)
    steps = [
        Stop("turn the part", at, STILL),
        SpindleChange(at, TURNING),
        Dwell(1.5, at, TURNING),
        Stop("", at, TURNING, True),
    ]
    assert printed(*steps) == ["M05", "(turn the part)", "M00", "G97 S800 M03", "G04 P1.5", "M01"]


def test_a_dwell_is_never_shorter_than_asked_for() -> None:
    assert printed(Dwell(0.3337, (2.0, 10.0), TURNING)) == ["G04 P0.34"]
    assert printed(Dwell(2.0, (2.0, 10.0), TURNING)) == ["G04 P2.0"]


def test_surface_speed_carries_its_cap_and_the_cap_is_rounded_down() -> None:
    surface = replace(TURNING, spindle=Spindle(Sense.REVERSE, surface=92.5, limit_rpm=2499.9))
    assert printed(SpindleChange((2.0, 10.0), surface)) == ["G96 S92.5 D2499 M04"]
    assert printed(
        SpindleChange((2.0, 10.0), replace(surface, spindle=replace(surface.spindle, surface=91.44))), inch=False
    )  # type: ignore[type-var]


def test_inch_programs_say_feet_and_inches() -> None:
    surface = replace(TURNING, spindle=Spindle(Sense.FORWARD, surface=91.44, limit_rpm=2500.0))
    slow = replace(surface, feed=Feed(FeedMode.PER_TURN, 0.1016))
    steps = [SpindleChange((2.0, 10.0), surface), *cuts((-2.54, 12.7), state=slow)]
    lines = write(program_of(*steps, inch=True), G95).text.splitlines()
    assert "(starts at X2.3622 Z1.5748 inch, X a diameter)" in lines
    assert "G18 G20 G90 G7 G40" in lines and "G95 F0.004" in lines
    assert "G96 S300 D2500" in lines and lines[-3] == "G01 X1.0 Z-0.1"


def test_coolant_is_said_only_where_it_is_used() -> None:
    wet = replace(TURNING, coolant=True)
    assert printed(*cuts((-5.0, 10.0), state=wet), *cuts((-6.0, 10.0), start=(-5.0, 10.0))) == [
        *("M08", "G01 Z-5.0", "M09", "Z-6.0"),
    ]


def test_rounding_never_adds_up() -> None:
    """A hundred steps of 0.0004 mm come out where they end, though each alone is less than a digit."""
    points = [(2.0 - 0.0004 * n, 10.0) for n in range(1, 101)]
    lines = printed(*cuts(*points))
    assert len(lines) < 50 and lines[-1] == "Z1.96"


def test_what_rounding_leaves_without_length_is_not_printed() -> None:
    tiny = ArcCut((2.0, 10.0), (2.0001, 10.0001), (2.0, 10.0001), True, TURNING)
    assert printed(tiny, *cuts((-5.0, 10.0), start=(2.0001, 10.0001))) == ["G01 Z-5.0"]
    assert printed(Rapid((2.0, 10.0), (2.0004, 10.0), TURNING)) == []


def test_arcs() -> None:
    arc = ArcCut((2.0, 10.0), (-3.0, 15.0), (-3.0, 10.0), True, TURNING)
    back = ArcCut((-3.0, 15.0), (2.0, 10.0), (-3.0, 10.0), False, TURNING)
    assert printed(arc, back) == ["G03 X30.0 Z-3.0 I0.0 K-5.0", "G02 X20.0 Z2.0 I-5.0 K0.0"]
    full = ArcCut((2.0, 10.0), (2.0, 10.0), (-3.0, 10.0), True, TURNING)
    assert printed(full) == ["G03 X20.0 Z2.0 I0.0 K-5.0"]
    half = ArcCut((2.0, 10.0), (-8.0, 10.0), (-3.0, 10.0), True, TURNING)
    assert printed(half) == ["G03 Z-8.0 I0.0 K-5.0"]


def test_a_section_with_the_same_tool_says_all_but_the_change() -> None:
    first = program_of(*cuts((-5.0, 10.0)))
    steps = first.operations[0].steps[:-1]
    second = Operation("spring pass", (*cuts((-8.0, 10.0), start=(-5.0, 10.0)), End((-8.0, 10.0), STILL)), "once more")
    text = write(replace(first, operations=(Operation("finish", steps), second)), G95)
    lines = text.text.splitlines()
    assert text.lines == ((3, 12), (13, 22))
    assert lines[12:] == [
        "(--- 2 spring pass T1)",
        "(once more)",
        "G18 G21 G90 G7 G40",
        "G95 F0.1",
        "G43 H1",
        "G97 S800 M03",
        "G00 X20.0 Z-5.0",
        "G01 Z-8.0",
        "M05",
        "M30",
    ]


def test_axes_that_a_rapid_did_not_name_are_stated_before_the_first_cut() -> None:
    steps = [
        ToolCall((40.0, 10.0), STILL),
        SpindleChange((40.0, 10.0), TURNING),
        Rapid((40.0, 10.0), (2.0, 10.0), TURNING),
        *cuts((-5.0, 10.0)),
        End((-5.0, 10.0), STILL),
    ]
    text = write(Program("", (), (Operation("finish", tuple(steps)),)), G95).text
    assert "G00 Z2.0\nX20.0\nG01 Z-5.0\n" in text


def test_long_headers_are_wrapped() -> None:
    header = ("caution: " + "keep the sleeves away from the chuck " * 5,)
    lines = write(program_of(header=header), G95).text.splitlines()
    assert all(len(line) <= 70 and line.isascii() for line in lines) and lines[1].startswith("(caution: keep")


def test_another_tool_in_a_move_is_called() -> None:
    other = replace(TURNING, tool=2, offset=12)
    lines = printed(Rapid((2.0, 10.0), (9.0, 10.0), other))
    assert lines == ["T2 M06", "G43 H12", "G97 S800 M03", "G00 Z9.0"]


def fed(value: float) -> State:
    return replace(TURNING, feed=Feed(FeedMode.PER_TURN, value))


def turning(*, rpm: float = 0.0, surface: float = 0.0) -> State:
    return replace(TURNING, spindle=Spindle(Sense.FORWARD, rpm=rpm, surface=surface))


# -- refusals ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "steps, words",
    [
        ([Rapid((2.0, 10.0), (2.0, 6000.0), TURNING)], "beyond 9999"),
        (cuts((-5.0, 10.0), state=fed(0.00001)), "a feed of 1e-05 mm per turn"),
        ([SpindleChange((2.0, 10.0), turning(rpm=0.2))], "a spindle speed of 0.2"),
        ([SpindleChange((2.0, 10.0), turning(surface=90.0))], "without a speed limit"),
        ([ToolCall((2.0, 10.0), replace(STILL, tool=100))], "tool 100 is none of the 99"),
    ],
)
def test_what_the_control_can_not_say(steps: list[Step], words: str) -> None:
    with pytest.raises(CannotMake, match=words):
        write(program_of(*steps), G95)


@pytest.mark.parametrize(
    "steps, words",
    [
        (cuts((-5.0, 10.0), state=replace(TURNING, feed=None)), "has no feed"),
        (cuts((-5.0, 10.0), start=(2.0, 10.01)), "starts at X20.02 Z2.0, but the point is at X20.0 Z2.0"),
        ([Rapid((2.0, 10.0), (math.nan, 10.0), TURNING), Rapid((2.0, 10.0), (3.0, 10.0), TURNING)], "no place"),
        ([Dwell(math.inf, (2.0, 10.0), TURNING)], "a dwell of inf"),
        ([Dwell(-1.0, (2.0, 10.0), TURNING)], "a dwell of -1"),
        ([End((2.0, 10.0), STILL), Rapid((2.0, 10.0), (3.0, 10.0), TURNING)], "does not end where it should"),
        ([SpindleChange((2.0, 10.0), turning(rpm=math.nan))], "a spindle speed of nan"),
    ],
)
def test_programs_that_are_not_sound(steps: list[Step], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        write(program_of(*steps), G95)


def test_a_program_without_an_end() -> None:
    for program in (Program("", (), ()), Program("", (), (Operation("finish", tuple(START)),))):
        with pytest.raises(BadInput, match="does not end where it should"):
            write(program, G95)


def test_an_ability_that_the_dialect_lacks() -> None:
    assert write(program_of(needs=frozenset({"surface_speed"})), G95)
    with pytest.raises(CannotMake, match="g95 has no word for 'thread pass'"):
        write(program_of(needs=frozenset({"surface_speed", "thread_pass"})), G95)


def test_a_heading_too_long_for_a_line() -> None:
    program = program_of()
    wide = Operation("finish " * 12, program.operations[0].steps)
    with pytest.raises(BadInput, match="can not head a section"):
        write(replace(program, operations=(wide,)), G95)
