"""Passes in step with the spindle: published examples, dialects of other features, and what is refused, with its place.

NGC-d: the public turning documentation of the language (G33 Z K, lead along the line of the move, waits for the index
mark). COURSE: a national vocational school's public CNC turning course. MAN: public control manuals (G33 or G32 X Z F
with a start angle Q in thousandths of a degree, Q180000 for the second of two starts; feed per turn must be active;
a taper uses the larger of its two leads; modal).
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from posts.dialect import Dialect, load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, INCH_MODES, MODES, TURNING, moves_of, read_blocks
from toolpath.errors import BadInput, CannotMake
from toolpath.motion import (
    Compensation,
    Cut,
    End,
    Operation,
    Point,
    Program,
    Rapid,
    Sense,
    Side,
    Spindle,
    SpindleChange,
    State,
    ThreadCut,
    ToolCall,
)

AT = "G00 X30 Z5"
STATE = State(1, 1, Spindle(Sense.FORWARD, rpm=400.0), operation="thread")


def threads_of(program: Program) -> list[ThreadCut]:
    return [m for m in moves_of(program) if isinstance(m, ThreadCut)]


def lead_f(tmp_path: Path) -> Dialect:
    """A control that takes the lead as F in feed per turn, along the longer axis, and a start angle as Q."""
    source = (Path(__file__).parents[2] / "posts" / "g95.toml").read_text(encoding="utf-8")
    for old, new in (
        ('lead_letter  = "K"', 'lead_letter  = "F"'),
        ('lead_along   = "line"', 'lead_along   = "longer axis"'),
        ('angle_letter = ""', 'angle_letter = "Q"'),
        ("continues    = true", "continues    = false"),
    ):
        assert source.count(old) == 1
        source = source.replace(old, new)
    path = tmp_path / "other.toml"
    path.write_text(source, encoding="utf-8")
    return load_dialect(str(path))


def program_of(*steps: ThreadCut | Rapid | Cut) -> Program:
    """Tool 1, spindle on, at the start of the first of these steps."""
    at = steps[0].start
    still = replace(STATE, spindle=None)
    first = (ToolCall(at, still), SpindleChange(at, STATE))
    return Program("Thread", (), (Operation("thread", (*first, *steps, End(steps[-1].end, still))),), home=at)


def written(*steps: ThreadCut | Rapid | Cut, dialect: Dialect = G95, inch: bool = False) -> list[str]:
    lines = write(replace(program_of(*steps), inch=inch), dialect).text.splitlines()
    return [line for line in lines if line.startswith(("G33", "G00", "G95"))]


# -- published examples ------------------------------------------------------------------------------------------------


def test_published_inch_pass() -> None:
    """NGC-d: from Z0.1, `G33 Z-2 K0.125` is eight threads an inch over 2.1 in."""
    (pass_,) = threads_of(read_blocks("G00 X0.5 Z0.1", "G33 Z-2 K0.125", modes=INCH_MODES))
    assert pass_.start[0] == pytest.approx(2.54) and pass_.end[0] == pytest.approx(-50.8)
    assert pass_.lead == pytest.approx(25.4 / 8.0)
    assert written(pass_, inch=True) == ["G00 X0.5 Z0.1", "G33 Z-2.0 K0.125"]


def test_published_metric_pass_takes_ten_turns() -> None:
    """NGC-d: Z-15 at K1.5 from Z0 is ten turns of the spindle."""
    (pass_,) = threads_of(read_blocks("G00 X30 Z0", "G33 Z-15 K1.5"))
    assert abs(pass_.end[0] - pass_.start[0]) / pass_.lead == pytest.approx(10.0)


def test_published_taper_14_per_inch(tmp_path: Path) -> None:
    """COURSE slide 156: F1.814 from Z5 to Z-30, 1.089 mm on the radius: the lead is along Z, the longer axis. Where it
    is taken along the line it is longer by 1 / cos(1 deg 47 min), 1.00048."""
    blocks = ("G00 X20 Z5", "G33 X22.178 Z-30 F1.814")
    there = read("\n".join([MODES, TURNING, *blocks, "M30"]), lead_f(tmp_path))
    (pass_,) = threads_of(there)
    assert pass_.lead == pytest.approx(1.814) and pass_.end[1] - pass_.start[1] == pytest.approx(1.089)
    word = written(pass_)[-1].split()[-1]
    assert float(word[1:]) == pytest.approx(1.814 / math.cos(math.radians(1 + 47 / 60)), abs=2e-6)


def test_published_second_start_of_two(tmp_path: Path) -> None:
    """MAN: Q180000 is the second of two starts, Q in thousandths of a degree."""
    dialect = lead_f(tmp_path)
    text = "\n".join([MODES, TURNING, AT, "G33 Z-20 F3 Q180000", "M30"])
    (pass_,) = threads_of(read(text, dialect))
    assert pass_.angle == pytest.approx(math.pi)
    assert "G33 Z-20.0 F3.0 Q180000" in written(pass_, dialect=dialect)


# -- what holds afterwards ---------------------------------------------------------------------------------------------


def test_word_and_lead_stand_in_every_pass_and_feed_is_stated_again() -> None:
    feeding = read_blocks(AT, "G01 Z4").steps[-2].state.feed
    a, b, c = (5.0, 15.0), (-20.0, 15.0), (-21.0, 16.0)
    lines = written(
        ThreadCut(a, b, 1.5, STATE), ThreadCut(b, c, 1.5, STATE), Cut(c, (-21.0, 20.0), replace(STATE, feed=feeding))
    )
    assert lines == ["G95 F0.1", "G00 X30.0 Z5.0", "G33 Z-20.0 K1.5", "G33 X32.0 Z-21.0 K2.12132", "G95 F0.1"]


def test_feed_and_its_mode_do_not_outlive_a_pass() -> None:
    after = [AT, "G33 Z-20 K1.5"]
    with pytest.raises(BadInput, match="no feed is in force"):
        read_blocks(*after, "G01 X40")
    with pytest.raises(BadInput, match="before feed per turn or per minute is stated"):
        read_blocks(*after, "G01 X40 F0.1")
    assert isinstance(moves_of(read_blocks(*after, "G95 F0.1", "G01 X40"))[-1], Cut)


def test_a_lead_said_as_f_is_no_feed_for_the_next_cut(tmp_path: Path) -> None:
    start = [MODES, TURNING, AT, "G33 Z-20 F1.5"]
    with pytest.raises(BadInput, match="no feed is in force"):
        read("\n".join([*start, "G01 X40", "M30"]), lead_f(tmp_path))
    assert read("\n".join([*start, "G01 X40 F0.1", "M30"]), lead_f(tmp_path))


def test_a_lead_said_as_f_needs_feed_per_turn(tmp_path: Path) -> None:
    dialect = lead_f(tmp_path)
    with pytest.raises(BadInput, match="feed per turn only"):
        read("\n".join([MODES, TURNING, AT, "G94", "G33 Z-20 F1.5", "M30"]), dialect)
    lines = written(ThreadCut((5.0, 15.0), (-20.0, 15.0), 1.5, STATE), dialect=dialect)
    assert lines.index("G95") < lines.index("G33 Z-20.0 F1.5")


# -- refused by the reader ---------------------------------------------------------------------------------------------

REFUSED = {
    "no lead": ([AT, "G33 Z-20"], 7, 1, "G33 has no K"),
    "lead of nothing": ([AT, "G33 Z-20 K0"], 7, 10, "K0 is no lead"),
    "negative lead": ([AT, "G33 Z-20 K-1.5"], 7, 10, "K-1.5 is no lead"),
    "a feed beside the lead": ([AT, "G33 Z-20 K1.5 F0.1"], 7, 15, "F0.1 stands beside a lead"),
    "lead along X": ([AT, "G33 Z-20 I1.5"], 7, 10, "nothing in the block uses I1.5"),
    "axis words go on": ([AT, "G33 Z-20 K1.5", "Z-30"], 8, 1, "no motion is in force"),
    "lead without its word": ([AT, "G33 Z-20 K1.5", "Z-30 K1.5"], 8, 6, "nothing in the block uses K1.5"),
    "no way along Z": ([AT, "G33 X20 K1.5"], 7, 5, "does not advance along Z"),
    "a place only": ([AT, "G33 Z5 K1.5"], 7, 5, "does not advance along Z"),
    "no axis words": ([AT, "G33 K1.5"], 7, 1, "G33 has no X and no Z"),
    "spindle still": ([AT, "M05", "G33 Z-20 K1.5"], 8, 1, "the spindle stands still"),
    "speed of nothing": ([AT, "S0", "G33 Z-20 K1.5"], 8, 1, "the spindle stands still"),
    "surface speed": ([AT, "G96 S60 D900", "G33 Z-20 K1.5"], 8, 1, "its speed changes with the diameter"),
    "beside a straight move": ([AT, "G01 G33 Z-20 K1.5"], 7, 5, "exclude each other (motion)"),
    "where it starts is not stated": (["G00 X30", "G33 Z-20 K1.5"], 7, 1, "Z is not stated"),
    "offset not called": (["T2 M06", "M03", AT, "G33 Z-20 K1.5"], 9, 1, "offset is not called"),
    "a start angle this control has not": ([AT, "G33 Z-20 K1.5 Q180000"], 7, 15, "begins with Q"),
}


@pytest.mark.parametrize("blocks, line, column, words", REFUSED.values(), ids=REFUSED)
def test_the_fault_is_named_with_its_place(blocks: list[str], line: int, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        read_blocks(*blocks)
    assert str(caught.value).startswith(f"line {line}, column {column}: ")


@pytest.mark.parametrize(
    "blocks, column, words",
    [
        (["G33 Z-20 F1.5 Q360000"], 15, "no angle of a turn"),
        (["G33 Z-20 F1.5 Q-1"], 15, "no angle of a turn"),
        (["G33 X90 Z-20 F1.5"], 14, "steeper than 45 degrees"),
        (["G33 Z-20 F1.5", "G33 X32 Z-21 F1.5"], 1, "waits in the metal"),
        (["G33 Z-20 K1.5"], 10, "nothing in the block uses K1.5"),
    ],
)
def test_the_other_control_refuses(tmp_path: Path, blocks: list[str], column: int, words: str) -> None:
    with pytest.raises(BadInput, match=words) as caught:
        read("\n".join([MODES, TURNING, AT, *blocks, "M30"]), lead_f(tmp_path))
    assert f"line {6 + len(blocks)}, column {column}: " in str(caught.value)


def test_no_thread_while_the_nose_is_compensated() -> None:
    noses = {1: (0.4, (-1, -1))}
    text = "\n".join([MODES, TURNING, AT, "G42 G01 Z2", "G33 Z-20 K1.5", "M30"])
    with pytest.raises(BadInput, match="not cut while compensation is on"):
        read(text, G95, noses=noses)
    out = "\n".join([MODES, TURNING, AT, "G42 G01 Z2", "Z-3", "G40", "G33 Z-20 K1.5", "M30"])
    with pytest.raises(BadInput, match="led out of the compensated contour"):
        read(out, G95, noses=noses)


# -- refused by the writer ---------------------------------------------------------------------------------------------


def one(start: Point = (5.0, 15.0), end: Point = (-20.0, 15.0), lead: float = 1.5, **state: object) -> ThreadCut:
    return ThreadCut(start, end, lead, replace(STATE, **state))  # type: ignore[arg-type]


def test_what_can_not_be_said_is_not_written(tmp_path: Path) -> None:
    for step, words in (
        (one(spindle=None), "fixed speed"),
        (one(spindle=Spindle(Sense.FORWARD, surface=60.0, limit_rpm=900.0)), "fixed speed"),
        (one(compensation=Compensation(Side.RIGHT, 0.4, (-1, -1))), "compensates"),
        (one(lead=0.0), "without a lead"),
        (one(lead=-1.5), "a lead of -1.5"),
        (one(lead=math.nan), "a lead of nan"),
    ):
        with pytest.raises(BadInput, match=words):
            written(step)
    for step, words in (
        (one(end=(5.0, 10.0)), "does not advance along Z"),
        (replace(one(), angle=1.0), "shift the start along Z"),
    ):
        with pytest.raises(CannotMake, match=words):
            written(step)
    with pytest.raises(CannotMake, match="steeper than 45"):
        written(one(end=(-20.0, 55.0)), dialect=lead_f(tmp_path))


def test_a_dialect_without_the_word_can_not_cut_threads(tmp_path: Path) -> None:
    with pytest.raises(CannotMake, match="no word for 'thread'"):
        written(one(), dialect=replace(G95, words={k: v for k, v in G95.words.items() if k != "thread"}))


def test_a_lead_that_drifts_in_the_digits_of_the_control_is_refused_with_the_error() -> None:
    """14 threads an inch in three digits of mm, 1.814 for 1.814286, is off by 0.0094 mm over 60 mm."""
    coarse = replace(G95, millimetre=replace(G95.millimetre, lead=3))
    pitch = 25.4 / 14.0
    with pytest.raises(CannotMake, match=r"off by 0\.0094 mm over 60 mm"):
        written(one(start=(5.0, 15.0), end=(-55.0, 15.0), lead=pitch), dialect=coarse)
    assert written(one(start=(5.0, 15.0), end=(2.0, 15.0), lead=pitch), dialect=coarse)[-1] == "G33 Z2.0 K1.814"


@given(
    lead=st.floats(0.2, 8.0),
    length=st.floats(1.0, 150.0),
    rise=st.floats(-10.0, 10.0),
    diameter=st.booleans(),
)
def test_any_lead_comes_back_within_half_a_last_digit_over_its_length(
    lead: float, length: float, rise: float, diameter: bool
) -> None:
    step = one((5.0, 20.0), (5.0 - length, 20.0 + rise), lead)
    program = replace(program_of(step), x_diameter=diameter)
    (again,) = threads_of(read(write(program, G95).text, G95))
    assert abs(again.lead - lead) / lead * length <= 0.0005 + 1e-9
    assert again.end == pytest.approx(step.end, abs=0.0006)


def test_a_ramp_is_refused_where_the_control_waits_for_the_index_mark_again(tmp_path: Path) -> None:
    """Two moves in step, one right after the other: the way that a thread without a relief is left."""
    along = ThreadCut((5.0, 9.0), (-9.0, 9.0), 1.0, STATE)
    ramp = ThreadCut(along.end, (-11.0, 11.0), 1.0, STATE)
    assert sum(line.startswith("G33") for line in written(along, ramp)) == 2
    with pytest.raises(CannotMake, match="is left on a ramp, by a second one"):
        write(program_of(along, ramp), lead_f(tmp_path))
