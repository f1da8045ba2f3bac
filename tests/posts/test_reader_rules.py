"""How sound text is read: numbers, order of execution, modes, tools, comments, sections.

Rules from NISTIR 6556 where a test says NIST; from the public turning additions to its language where it says turning.
"""

from __future__ import annotations

import pytest

from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, MODES, TURNING, as_drawn, moves_of, read_blocks
from toolpath.errors import BadInput
from toolpath.motion import (
    ArcCut,
    Cut,
    Dwell,
    End,
    Feed,
    FeedMode,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    Stop,
    ToolCall,
)

AT = "G00 X30 Z0"


def kinds(program: object) -> list[str]:
    return [type(step).__name__ for step in program.steps]  # type: ignore[attr-defined]


# -- numbers and lines (NIST section 3.3) ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text, value",
    [
        (".5", 0.5),
        ("5.", 5),
        ("+5", 5),
        ("-.25", -0.25),
        ("007", 7),
        ("1.25", 1.25),
        ("-0", 0),
        ("12.3456789012345678", 12.3456789012345678),
    ],
)
def test_legal_numbers(text: str, value: float) -> None:
    assert as_drawn(read_blocks("G00 X1 Z" + text))[0][1] == pytest.approx(value, abs=1e-6)


def test_case_and_spaces_do_not_count_even_inside_a_number() -> None:
    """NIST: `g0x +0. 12 34y 7` is X0.1234 Y7; here with Z for Y."""
    (move,) = moves_of(read_blocks("g0x +0. 12 34z 7"))
    assert (move.end[0], 2 * move.end[1]) == pytest.approx((7.0, 0.1234))
    (move,) = moves_of(read_blocks("\t G 00\tX 1 2 . 5\tZ\t-1"))
    assert (move.end[0], 2 * move.end[1]) == pytest.approx((-1.0, 12.5))


@pytest.mark.parametrize("code", ["G1", "G01", "G1.0", "G1.00001", "G0.99999", "g 0 1"])
def test_a_code_may_be_off_by_a_ten_thousandth(code: str) -> None:
    """NIST: a number that must be whole may be off by 0.0001, G codes after multiplying by ten."""
    assert isinstance(moves_of(read_blocks(AT, f"{code} X40"))[-1], Cut)


def test_a_code_may_not_be_off_by_more() -> None:
    with pytest.raises(BadInput, match=r"G1\.001 is no word"):
        read_blocks(AT, "G1.001 X40")


def test_block_numbers_may_repeat_and_skip() -> None:
    assert as_drawn(read_blocks("N10 G00 X1 Z1", "N10 X2", "n99999 X3", "N 0 X4"))[-1] == (4.0, 1.0)


def test_a_line_of_256_characters_is_read() -> None:
    line = "G00 X1 Z1"
    assert as_drawn(read_blocks(line + " " * (256 - len(line)))) == [(1.0, 1.0)]


def test_line_ends_of_either_kind_and_none_at_the_end() -> None:
    text = "\r\n".join([MODES, TURNING.replace("\n", "\r\n"), AT, "M30"])
    assert as_drawn(read(text, G95)) == [(30.0, 0.0)]


def test_percent_lines_may_enclose_the_program() -> None:
    assert kinds(read("\n%\nM30\n%\n\n", G95)) == ["End"]


def test_words_stand_in_any_order() -> None:
    move = moves_of(read_blocks(AT, "K-5 Z-5 I0 X40 F0.2 G03"))[-1]
    assert isinstance(move, ArcCut) and move.centre == pytest.approx((-5.0, 15.0))


def test_block_skip_is_the_operators_switch() -> None:
    """NIST: blocks that begin with '/' are left out when the switch is on, and are ordinary blocks when it is off."""
    text = "\n".join([MODES, TURNING, AT, "/ X40", "/N5 X50", "M30"])
    assert as_drawn(read(text, G95)) == [(30.0, 0.0), (40.0, 0.0), (50.0, 0.0)]
    assert as_drawn(read(text, G95, block_skip=True)) == [(30.0, 0.0)]
    with pytest.raises(BadInput, match="G77"):
        read("/G77\nM30", G95, block_skip=True)


# -- order inside a block (NIST table 8) -------------------------------------------------------------------------------


def test_the_spindle_stops_before_the_move_of_its_block() -> None:
    program = read_blocks(AT, "G94", "G01 X10 F100 M05")
    stop, cut = program.steps[-3:-1]
    assert isinstance(stop, SpindleChange) and stop.state.spindle is None
    assert isinstance(cut, Cut) and cut.state.spindle is None


def test_stops_and_the_end_come_after_the_move() -> None:
    assert kinds(read_blocks(AT, "M00 X40"))[-3:] == ["Rapid", "Stop", "End"]
    assert kinds(read("\n".join([MODES, TURNING, "M30 G00 X40 Z1"]), G95))[-2:] == ["Rapid", "End"]


def test_the_feed_is_read_in_the_unit_before_the_unit_changes() -> None:
    """NIST: in `G20 F10` the F is taken (step 3) before the unit changes (step 12)."""
    program = read_blocks(AT, "G94", "G20 F10", "G01 X1", "G01 X2 F10")
    first, second = moves_of(program)[1:]
    assert first.state.feed == Feed(FeedMode.PER_MINUTE, 10.0)
    assert second.state.feed == Feed(FeedMode.PER_MINUTE, 254.0)


def test_tool_change_then_spindle_in_one_block() -> None:
    """NIST: M06 (step 6) stops the spindle, M03 (step 7) starts it."""
    call, start = read_blocks("M03 M06 T2 S500").steps[2:4]
    assert isinstance(call, ToolCall) and call.state.tool == 2 and call.state.spindle is None
    assert isinstance(start, SpindleChange) and start.state.spindle == Spindle(Sense.FORWARD, rpm=500.0)


def test_a_mode_change_beside_a_move_holds_for_the_move() -> None:
    """NIST: distance mode (step 17) and units (step 12) come before motion (step 20)."""
    assert as_drawn(read_blocks(AT, "X5 Z-1 G91"))[-1] == (35.0, -1.0)
    assert as_drawn(read_blocks(AT, "G20 X1 Z0"))[-1] == (25.4, 0.0)
    assert as_drawn(read_blocks(AT, "G8 X10"))[-1] == (20.0, 0.0)


# -- modes ---------------------------------------------------------------------------------------------------------


def test_inch_values_become_millimetres() -> None:
    program = read_blocks("G00 X1 Z-.5", modes="G18 G20 G90 G7")
    assert moves_of(program)[0].end == pytest.approx((-12.7, 12.7))
    assert program.inch and program.x_diameter


def test_radius_mode_is_told() -> None:
    program = read_blocks("G00 X10 Z1", modes="G18 G21 G90 G8")
    assert moves_of(program)[0].end == (1.0, 10.0)
    assert not program.inch and not program.x_diameter


def test_i_and_k_are_increments_on_radius_whatever_else_holds() -> None:
    """NIST: from the start, also under G90; turning: radius values also where X is a diameter."""
    for move in ("G90 G03 X40 Z-5 I0 K-5", "G91 G03 X10 Z-5 I0 K-5", "G8 G90 G03 X20 Z-5 I0 K-5"):
        arc = moves_of(read_blocks(AT, move))[-1]
        assert isinstance(arc, ArcCut) and arc.centre == pytest.approx((-5.0, 15.0)), move


def test_the_gap_between_radii_may_be_two_thousandths_of_a_millimetre() -> None:
    """NIST: 0.002 mm, or 0.0002 in."""
    assert moves_of(read_blocks(AT, "G03 X40 Z-5 I0 K-5.0019"))
    with pytest.raises(BadInput, match=r"They may differ by 0\.002 mm"):
        read_blocks(AT, "G03 X40 Z-5 I0 K-5.0021")
    inch = "G18 G20 G90 G7"
    assert moves_of(read_blocks("G00 X1 Z0", "G03 X1.4 Z-.2 I0 K-.20019", modes=inch))
    with pytest.raises(BadInput, match=r"They may differ by 0\.00508 mm"):
        read_blocks("G00 X1 Z0", "G03 X1.4 Z-.2 I0 K-.20021", modes=inch)


def test_a_full_turn_is_an_arc_that_ends_where_it_starts() -> None:
    """NIST: the centre form allows it."""
    arc = moves_of(read_blocks("G00 X60 Z5", "G02 X60 K-3"))[-1]
    assert isinstance(arc, ArcCut) and arc.start == arc.end and arc.centre == (2.0, 30.0)


@pytest.mark.parametrize("ccw, word", [(True, "G03"), (False, "G02")])
@pytest.mark.parametrize("radius, more_than_half", [(5, False), (-5, True)])
def test_the_sign_of_r_chooses_the_short_or_the_long_way(
    *, ccw: bool, word: str, radius: int, more_than_half: bool
) -> None:
    """NIST: R above 0 is half a turn or less, R below 0 more than that."""
    from toolpath.geometry.elements import arc_about

    arc = moves_of(read_blocks("G00 X30 Z0", f"{word} X40 Z-5 R{radius}"))[-1]
    assert isinstance(arc, ArcCut) and arc.ccw is ccw
    sweep = arc_about(arc.centre, arc.start, arc.end, ccw=ccw).sweep
    assert (abs(sweep) > 3.1416) is more_than_half
    assert (sweep > 0.0) is ccw


def test_half_a_turn_by_r_with_rounded_ends() -> None:
    arc = moves_of(read_blocks("G00 X0 Z0", "G03 X0 Z-10.001 R5"))[-1]
    assert isinstance(arc, ArcCut) and arc.centre == pytest.approx((-5.0005, 0.0))


def test_feed_per_turn_and_per_minute() -> None:
    program = read_blocks(AT, "G01 X31 F0.08", "G94 G01 X32 F120")
    assert [m.state.feed for m in moves_of(program)[1:]] == [
        Feed(FeedMode.PER_TURN, 0.08),
        Feed(FeedMode.PER_MINUTE, 120.0),
    ]


def test_stating_the_feed_mode_that_holds_keeps_the_feed() -> None:
    assert moves_of(read_blocks(AT, "G95", "G01 X31"))[-1].state.feed == Feed(FeedMode.PER_TURN, 0.1)


def test_surface_speed_in_metres_and_in_feet() -> None:
    """Turning: G96 S is m/min with mm and ft/min with inch; D caps the speed in 1/min."""
    metric = read_blocks(AT, "G96 S90 D2500").steps[-2]
    assert metric.state.spindle == Spindle(Sense.FORWARD, surface=90.0, limit_rpm=2500.0)
    feet = read_blocks("G96 S300 D2000", modes="G18 G20 G90 G7").steps[-2]
    assert feet.state.spindle == Spindle(Sense.FORWARD, surface=pytest.approx(91.44), limit_rpm=2000.0)
    uncapped = read_blocks(AT, "G96 S90").steps[-2]
    assert uncapped.state.spindle == Spindle(Sense.FORWARD, surface=90.0, limit_rpm=0.0)


def test_the_spindle_changes_only_when_something_changes() -> None:
    program = read_blocks("M03", "G97 S800 M03", "S900", "M04", "M05", "M05")
    changes = [s.state.spindle for s in program.steps if isinstance(s, SpindleChange)]
    assert changes == [
        Spindle(Sense.FORWARD, rpm=800.0),
        Spindle(Sense.FORWARD, rpm=900.0),
        Spindle(Sense.REVERSE, rpm=900.0),
        None,
    ]


def test_a_speed_of_nothing_is_a_standing_spindle() -> None:
    """NIST: S0 is legal."""
    assert read_blocks("S0").steps[-2].state.spindle is None


def test_coolant_by_flood_and_mist_until_both_are_off() -> None:
    """NIST: M07 and M08 may both be on; M09 ends both."""
    program = read_blocks("M07 M08", "G00 X1", "M09", "G00 X2", "M07", "G00 X3")
    assert [m.state.coolant for m in moves_of(program)] == [True, False, True]


# -- tools, stops, waiting ---------------------------------------------------------------------------------------------


def test_a_tool_call_and_its_offset_are_one_step() -> None:
    program = read_blocks("T3", "M06", "(by its number)", "G43 H7")
    call = program.steps[2]
    assert isinstance(call, ToolCall) and (call.state.tool, call.state.offset) == (3, 7)
    assert call.line == 7
    assert kinds(program)[2:] == ["ToolCall", "End"]


def test_an_offset_without_h_is_that_of_the_tool() -> None:
    """Turning: the loaded tool's own."""
    assert read_blocks("T3 M06", "G43").steps[-2].state.offset == 3


def test_an_offset_of_nothing_is_none() -> None:
    """NISTIR 6556: H0 is a row of the table whose offset is none. A seed that failed: what is written is read."""
    program = read_blocks("T3 M06", "G43 H0")
    assert program.steps[-2].state.offset == 0
    assert read(write(program, G95).text, G95).steps[-2].state.offset == 0
    with pytest.raises(BadInput, match="offset is not called"):
        read_blocks("T3 M06", "G43 H0", "M03", AT, "G01 X10")


def test_another_offset_of_the_same_tool_is_a_call_of_its_own() -> None:
    calls = [s for s in read_blocks("G00 X1 Z1", "G43 H11", "G49").steps if isinstance(s, ToolCall)]
    assert [(c.state.tool, c.state.offset) for c in calls] == [(1, 1), (1, 11), (1, 0)]


def test_the_same_offset_again_changes_nothing() -> None:
    program = read_blocks(AT, "G43 H1", "G01 X31")
    assert kinds(program).count("ToolCall") == 1


def test_dwell_in_seconds_where_it_stands() -> None:
    (dwell,) = (s for s in read_blocks(AT, "G04 P1.5").steps if isinstance(s, Dwell))
    assert (dwell.seconds, dwell.at, dwell.line) == (1.5, (0.0, 15.0), 7)


def test_stops_say_what_the_comment_before_them_says() -> None:
    program = read_blocks("(earlier)", AT, "(turn the part round,)", "", "(grip 14 mm)", "M00 (and lock)", "M01")
    stops = [s for s in program.steps if isinstance(s, Stop)]
    assert [(s.text, s.optional) for s in stops] == [("turn the part round, grip 14 mm and lock", False), ("", True)]


@pytest.mark.parametrize("word", ["M30", "M02", "m2"])
def test_the_end_stops_spindle_and_coolant(word: str) -> None:
    """NIST: M02 and M30 act as M05 and M09 too."""
    end = read("\n".join([MODES, TURNING, "M08", word]), G95).steps[-1]
    assert isinstance(end, End) and end.state.spindle is None and not end.state.coolant
    assert end.line == 7


# -- where the point stands ------------------------------------------------------------------------------------------


def test_the_first_rapid_starts_where_it_ends_when_no_place_is_stated() -> None:
    program = read_blocks("G00 Z2", "X30", "Z1")
    assert [(m.start, m.end) for m in moves_of(program)] == [
        ((2.0, 15.0), (2.0, 15.0)),
        ((2.0, 15.0), (2.0, 15.0)),
        ((2.0, 15.0), (1.0, 15.0)),
    ]
    assert program.home is None and program.steps[0].at == (2.0, 15.0)  # type: ignore[union-attr]


def test_the_stated_place_is_where_the_first_tool_stands() -> None:
    text = "\n".join(["(starts at X60.0 Z40.0 mm, X a diameter)", MODES, TURNING, "G00 Z2", "X30", "M30"])
    program = read(text, G95)
    assert program.home == (40.0, 30.0)
    assert [(m.start, m.end) for m in moves_of(program)] == [((40.0, 30.0), (2.0, 30.0)), ((2.0, 30.0), (2.0, 15.0))]
    inch = read("(starts at X2 Z1 inch, X a radius)\nM30", G95)
    assert inch.home == pytest.approx((25.4, 50.8))


# -- title, header, sections ----------------------------------------------------------------------------------------


SECTIONS = """(Plumb-bob cap)
(bar 16 mm, brass)
(--- 1 face T1)
(to the finished length)
{modes}
{turning}
G00 X18.0 Z0.0
G01 X-0.8
(--- 2 part off T4)
T4 M06
G43 H4
G97 S600 M03
G00 Z-20.0
X18.0
(catch the cap)
M00
M05
M30
"""


def test_title_header_and_sections() -> None:
    program = read(SECTIONS.format(modes=MODES, turning=TURNING), G95)
    assert program.title == "Plumb-bob cap" and program.header == ("bar 16 mm, brass",)
    first, second = program.operations
    assert (first.kind, first.note) == ("face", "to the finished length")
    assert (second.kind, second.note) == ("part off", "")
    assert [type(s) for s in first.steps] == [ToolCall, SpindleChange, Rapid, Cut]
    assert {s.state.operation for s in first.steps} == {"face"}
    assert {s.state.operation for s in second.steps} == {"part off"}
    assert isinstance(second.steps[-1], End)
    assert [s.text for s in second.steps if isinstance(s, Stop)] == ["catch the cap"]


def test_a_program_without_headings_is_one_operation() -> None:
    (operation,) = read_blocks(AT, "G01 X31").operations
    assert operation.kind == "" and len(operation.steps) == 5


def test_every_step_knows_its_line() -> None:
    text = SECTIONS.format(modes=MODES, turning=TURNING).splitlines()
    for step in read("\n".join(text), G95).steps:
        assert text[step.line - 1].startswith(("T", "G43", "G97", "G0", "X", "M")), step
    assert [s.line for s in read("\n".join(text), G95).operations[0].steps] == [6, 8, 10, 11]
