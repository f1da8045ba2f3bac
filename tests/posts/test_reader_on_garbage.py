"""Whatever is read, the reader answers with a program or one BadInput, and in bounded time."""

from __future__ import annotations

import time

from hypothesis import given, settings
from hypothesis import strategies as st

from posts.dialect import Dialect, built_in, load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, MODES, TURNING
from tests.posts.strategies import programs
from toolpath.errors import BadInput
from toolpath.motion import Program

words = st.tuples(
    st.sampled_from(
        [
            "G",
            "M",
            "X",
            "Z",
            "U",
            "W",
            "O",
            "I",
            "K",
            "R",
            "F",
            "S",
            "T",
            "D",
            "P",
            "H",
            "N",
            "Q",
            "J",
            "A",
            "(",
            ")",
            "/",
            "%",
            "\n",
            " ",
        ]
    ),
    st.sampled_from(
        [
            "",
            "0",
            "1",
            "2",
            "3",
            "4",
            "5",
            "7",
            "18",
            "20",
            "21",
            "17",
            "28",
            "30",
            "43",
            "70",
            "71",
            "73",
            "74",
            "76",
            "83",
            "92",
            "010060",
            "90",
            "91",
            "95",
            "96",
            "97",
            "-5",
            ".5",
            "1e9",
        ]
    ),
).map("".join)


DIALECTS = [load_dialect(name) for name in built_in()]


def survives(text: str) -> None:
    for dialect in DIALECTS:
        survives_in(dialect, text)


def survives_in(dialect: Dialect, text: str) -> None:
    try:
        program = read(text, dialect)
    except BadInput as error:
        assert "line" in str(error) and 1 <= error.line <= text.count("\n") + 1
        assert len(str(error)) < 400
    else:
        assert type(program.steps[-1]).__name__ == "End"


@given(text=st.text(max_size=300))
@settings(max_examples=200)
def test_any_text(text: str) -> None:
    survives(text)


@given(text=st.lists(words, max_size=60).map("".join))
@settings(max_examples=200)
def test_any_words(text: str) -> None:
    survives(text)
    survives("\n".join([MODES, TURNING, "G00 X30 Z0", text, "M30"]))


@given(program=programs(), data=st.data())
@settings(max_examples=40, deadline=None)
def test_programs_with_one_character_changed(program: Program, data: st.DataObject) -> None:
    text = write(program, G95).text
    place = data.draw(st.integers(0, len(text) - 1))
    survives(text[:place] + data.draw(st.characters(max_codepoint=255)) + text[place + 1 :])


CYCLES = [
    "G71 U2. R.5\nG71 P10 Q20 U.5 W.1\nN10 G00 X20.\nG01 Z-9.\nG02 X30. Z-14. R5.\nN20 G01 X44. Z-20.\nG70 P10 Q20",
    "G76 P020060 Q50 R.05\nG76 X40. Z-20. R-.5 P920 Q300 F1.5",
    "G92 X42. Z-20. R-.5 F1.5\nX41.\nX40. Z-19.",
    "G74 R1.\nG74 Z-30. Q5000 F.1\nG28 U0\nG28 W0",
]


@given(cycle=st.sampled_from(CYCLES), data=st.data())
@settings(max_examples=120, deadline=None)
def test_cycles_with_one_character_changed(cycle: str, data: st.DataObject) -> None:
    head = "(STARTS AT X60.0 Z40.0 MM, X A DIAMETER)\nG21 G40 G99\nT0101\nG97 S600 M03\nG99 F.1\nG00 X44. Z2.\n"
    place = data.draw(st.integers(0, len(cycle) - 1))
    changed = cycle[:place] + data.draw(st.sampled_from("0123456789.-XZUWRPQFGN\n ")) + cycle[place + 1 :]
    survives_in(load_dialect("g99"), head + changed + "\nM30")


def test_the_cycles_themselves_are_sound() -> None:
    head = "(STARTS AT X60.0 Z40.0 MM, X A DIAMETER)\nG21 G40 G99\nT0101\nG97 S600 M03\nG99 F.1\nG00 X44. Z2.\n"
    for cycle in CYCLES:
        assert len(read(head + cycle + "\nM30", load_dialect("g99")).steps) > 8


def test_time_grows_with_the_text_and_no_faster() -> None:
    """A megabyte without a sound line stops at its first; half a million characters of one line are not looked at."""
    began = time.perf_counter()
    survives("((((" * 250_000)
    survives("G01" + " " * 500_000 + "X")
    survives(")\n" * 500_000)
    survives(" \n" * 100_000)
    assert time.perf_counter() - began < 10.0  # a quadratic reader takes minutes
