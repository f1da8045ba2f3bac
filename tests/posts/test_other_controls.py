"""g99 and plain94 read hand-written programs by their own rules, and refuse what their control would take otherwise.

Places are those of a national vocational school's turning course (exercise 7: the same points absolute and as
increments; exercise 1: arcs by R) and of a student's program in inches.
"""

from __future__ import annotations

import itertools

import pytest

from posts.dialect import load_dialect
from posts.reader import read
from tests.posts.common import as_drawn, centres_as_drawn, moves_of
from toolpath.errors import BadInput
from toolpath.motion import Cut, Dwell, FeedMode, Program, SpindleChange, Stop, ThreadCut, ToolCall

G99 = load_dialect("g99")
PLAIN = load_dialect("plain94")
TURNING = "G21 G40\nT0105\nG97 S800 M03\nG99 F0.1"
PLAIN_TURNING = "G18 G21 G90\nM00\n(now in the post: T3)\nS800 M03\nG94 F60"


def g99(*blocks: str) -> Program:
    return read("\n".join(["%", "O0042 (SHAFT)", TURNING, *blocks, "M30", "%", ""]), G99)


def plain(*blocks: str) -> Program:
    return read("\n".join([PLAIN_TURNING, *blocks, "M30"]), PLAIN)


POINTS = [(30, 0), (50, -10), (70, -10), (80, -15), (80, -30)]


def test_the_same_points_as_increments() -> None:
    absolute = g99("G00 X0 Z0", "G01 X30.", "X50. Z-10.", "X70.", "X80. Z-15.", "Z-30.")
    steps = g99("G00 X0 Z0", "G01 U30.", "U20. W-10.", "U20.", "U10. W-5.", "W-15.")
    mixed = g99("G00 X0 Z0", "G01 X30.", "U20. Z-10.", "U20.", "X80. W-5.", "W-15.")
    assert as_drawn(absolute) == as_drawn(steps) == as_drawn(mixed) == [(0, 0), *POINTS]


def test_station_offset_cap_dwell_and_number() -> None:
    program = g99("G50 S2500", "G96 S120", "G00 X20. Z1.", "G04 P1500", "G01 Z-5.")
    (call,) = (s for s in program.steps if isinstance(s, ToolCall))
    assert (call.state.tool, call.state.offset) == (1, 5)
    spindle = [s.state.spindle for s in program.steps if isinstance(s, SpindleChange)][-1]
    assert spindle is not None and (spindle.surface, spindle.limit_rpm) == (120.0, 2500.0)
    assert [s.seconds for s in program.steps if isinstance(s, Dwell)] == [1.5]
    assert program.title == "SHAFT"


def test_arcs_by_radius() -> None:
    """Course, exercise 1: concave R3 and R5, centres X26 Z-29 and X50 Z-53."""
    program = g99("G00 X20. Z-29.", "G02 X26. Z-32. R3.", "G01 X34.", "X40. Z-35.", "Z-53.", "G02 X50. Z-58. R5.")
    assert centres_as_drawn(program) == [(26, -29), (50, -53)]


def test_a_thread_by_g32_goes_on_in_step_and_may_begin_at_an_angle() -> None:
    """Public control manuals: the lead as F, Q in 0.001 degree, Q180000 the second of two starts."""
    program = g99("G00 X19. Z4.", "G32 Z-20. F3. Q180000", "G32 U4. W-2. F3.", "G00 X30.")
    first, second = (m for m in moves_of(program) if isinstance(m, ThreadCut))
    assert first.lead == second.lead == 3.0
    assert first.angle == pytest.approx(3.141592653589793) and second.angle == 0.0


def test_the_single_pass_thread_cycle() -> None:
    """Training pages: in, along, out and back for every block; later blocks need only the new X."""
    program = g99("G00 X24. Z4.", "G92 X19.2 Z-20. F1.5", "X18.7", "X18.16 Z-19.", "G00 X30.")
    moves = moves_of(program)
    passes = [m for m in moves if isinstance(m, ThreadCut)]
    assert [(round(2 * m.end[1], 6), m.end[0], m.lead) for m in passes] == [
        (19.2, -20.0, 1.5),
        (18.7, -20.0, 1.5),
        (18.16, -19.0, 1.5),
    ]
    assert as_drawn(program)[:5] == [(24, 4), (19.2, 4), (19.2, -20), (24, -20), (24, 4)]
    assert all(a.end == b.start for a, b in itertools.pairwise(moves[1:]))
    with pytest.raises(BadInput, match="no feed is in force"):
        g99("G00 X24. Z4.", "G92 X19.2 Z-20. F1.5", "G01 X30.")


def test_x_is_a_radius_and_feed_is_per_minute_on_a_small_board() -> None:
    program = plain("G00 X10 Z1", "G01 Z-5", "G03 X15 Z-10 I0 K-5", "G04 P.5")
    assert [m.end for m in moves_of(program)] == [(1.0, 10.0), (-5.0, 10.0), (-10.0, 15.0)]
    (cut,) = (m for m in moves_of(program) if isinstance(m, Cut))
    assert cut.state.feed is not None and (cut.state.feed.mode, cut.state.feed.value) == (FeedMode.PER_MINUTE, 60.0)
    assert cut.state.spindle is not None and cut.state.spindle.rpm == 800.0
    assert [(s.state.tool, s.state.offset) for s in program.steps if isinstance(s, ToolCall)] == [(3, 0)]
    assert any(isinstance(s, Stop) for s in program.steps)


@pytest.mark.parametrize(
    "block, column, words",
    [
        ("G01 X10 Z-5.", 5, "X10 has no decimal point"),
        ("g01 X10.", 1, "no capital letter"),
        ("G01 X10. U2.", 10, "lead along one axis"),
        ("G90 X10. Z-5. F.1", 1, "box cycle"),
        ("G94 F100.", 1, "box cycle"),
        ("G92 X19. Z-10.", 1, "has no F"),
        ("G92 X19. F1.5", 1, "has no Z"),
        ("G92 Z-10. F1.5", 1, "has no X"),
        ("G92 X19. Z-10. R-11. F1.5", 1, "steeper than 45 degrees"),
        ("G98 G92 X19. Z-10. F1.5", 5, "feed per turn only"),
        ("G72 W2. R1.", 1, "it cuts along X in steps"),
        ("T2 M06", 4, "T changes the tool by itself"),
        ("G28 U0 W0", 1, "only the machine knows"),
        ("G04 P1.5", 5, "whole number"),
        ("G04 U1.5", 5, "axis words stand beside a dwell"),
        ("G32 Z-9.", 1, "the lead is not stated"),
        ("G98 G32 Z-9. F1.", 5, "feed per turn only"),
        ("G50 S2000 G96", 1, "a block of its own"),
        ("G00 G01 X10.", 5, "exclude each other"),
        ("G02 X26. Z-32.", 1, "neither I or K nor R"),
        ("G02 X26. Z-4. I3. K0", 15, "radius is"),
        ("G01 Z-5. F0", 1, "no feed is in force"),
        ("O0002", 1, "before its first block"),
        ("; HELLO", 1, "no comment here"),
    ],
)
def test_what_g99_refuses_with_line_and_column(block: str, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=words) as caught:
        g99("G00 X20. Z0", block)
    assert f"line 8, column {column}" in str(caught.value)


@pytest.mark.parametrize(
    "block, column, words",
    [
        ("T1", 1, "no word calls a tool"),
        ("G95 F.1", 1, "does not follow the spindle"),
        ("G96 S100", 1, "does not change the speed"),
        ("G33 Z-5 K1", 1, "thread can not be cut"),
        ("M06", 1, "a person fits the tool"),
        ("G41 X5", 1, "no word of the dialect"),
        ("G00 U5", 5, "increment on some controls"),
        ("(how?)", 5, "may stand nowhere"),
        ("G01 X5 (" + "x" * 80 + ")", 80, "79 are the most"),
        ("(now in the post: T4)", 1, "no stop before it"),
    ],
)
def test_what_a_small_board_refuses(block: str, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=words) as caught:
        plain("G00 X20 Z0", block)
    assert f"line 7, column {column}" in str(caught.value)
