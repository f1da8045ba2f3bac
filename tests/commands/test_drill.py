"""`drill`: what it prints of a size, its JSON, and what it says to a slip of the pen."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.commands.conftest import Call
from toolpath.commands.drill import as_data, told
from toolpath.shop.drills import drill_set, every_set, nearest_drills

SEVEN = """\
7.0 mm: 7.000 mm, 0.2756 in

                                   drill       mm       in    off by mm       in
metric                      below    6.9    6.900   0.2717       -0.100  -0.0039
                            exact      7    7.000   0.2756        0.000   0.0000
                            above    7.1    7.100   0.2795       +0.100  +0.0039
number                      below     #1    5.791   0.2280       -1.209  -0.0476
                            above   none
letter                      below      I    6.909   0.2720       -0.091  -0.0036
                            above      J    7.036   0.2770       +0.036  +0.0014
fractional                  below  17/64    6.747   0.2656       -0.253  -0.0100
                            above   9/32    7.144   0.2812       +0.144  +0.0057

Just this size: metric 7
"""


def test_seven_millimetres(call: Call) -> None:
    """I 0.2720, J 0.2770, #1 0.2280 in: charts of drill sizes; 17/64 and 9/32 in by arithmetic."""
    assert call("drill", "7.0", "mm") == (0, SEVEN, "")
    assert call("drill", "7.0 mm").out == SEVEN


def test_a_rack_answers_with_what_it_owns(bench: Path, call: Call) -> None:
    said = call("drill", "7", "mm", "--rack", "racks/drawer.toml")
    assert said.code == 0
    assert [line.split("  ")[0] for line in said.out.splitlines()[3:-2] if line[0] != " "] == [
        "metric 0.5, 1 to 13", "number 1 to 60", "letter A to R", "fractional 1/16 to 1/2", "single drills",
    ]  # fmt: skip
    assert "exact      7    7.000" in said.out


@pytest.mark.parametrize(
    ("words", "last"),
    [
        (("5/16", "in"), "Just this size: fractional 5/16"),
        (("5/16",), "Just this size: fractional 5/16"),
        (("#29",), "Just this size: number #29"),
        (("F",), "Just this size: letter F"),
        (("0.25", "in"), "Just this size: letter E, fractional 1/4"),  # E is 0.250 in
        (("7.95",), "No drill is just this size; the nearest is fractional 5/16"),  # 7.9375 mm
    ],
)
def test_the_last_line_says_which_it_is(words: tuple[str, ...], last: str, call: Call) -> None:
    assert call("drill", *words).out.splitlines()[-1] == last


def test_the_longest_name_of_a_set_leaves_its_column_apart() -> None:
    answers = nearest_drills(11.0, [drill_set("metric 0.25 10.25 to 12.75")])
    lines = list(told("11", 11.0, answers))
    assert max(map(len, lines)) <= 80
    assert "metric 0.25, 10.25 to 12.75 below" in lines[3]


@given(st.floats(0.2, 26.0))
def test_no_line_is_longer_than_a_screen(dia: float) -> None:
    answers = nearest_drills(dia, every_set())
    assert max(len(line) for line in told(f"{dia:.4f} mm", dia, answers)) <= 80


def test_the_answer_as_data(call: Call) -> None:
    data = json.loads(call("drill", "F", "--json").out)
    assert (data["size"], data["mm"], data["in"]) == ("F", 6.5278, 0.257)
    letter = next(s for s in data["sets"] if s["set"] == "letter")
    assert letter["exact"] == {
        "drill": "F", "set": "letter", "mm": 6.5278, "in": 0.257, "differs": {"mm": 0.0, "in": 0.0},
    }  # fmt: skip
    assert [letter[k]["drill"] for k in ("below", "above")] == ["E", "G"]
    number = next(s for s in data["sets"] if s["set"] == "number")
    assert (number["exact"], number["above"]) == (None, None)
    assert number["below"]["differs"]["in"] == pytest.approx(0.2280 - 0.2570)


def test_lines_and_data_say_the_same() -> None:
    answers = nearest_drills(5.0, every_set())
    lines, data = list(told("5", 5.0, answers)), as_data("5", 5.0, answers)
    assert isinstance(data["sets"], list)
    for of_set in data["sets"]:
        for what in ("below", "exact", "above"):
            assert of_set[what] is None or any(
                f"{of_set[what]['drill']:>6} {of_set[what]['mm']:8.3f}" in line for line in lines
            )


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ("29",),
            "no drill is near to 29, 29 mm. The thickest is metric 13, 13.000 mm; a number drill is written '#29'",
        ),
        (("0.05",), "no drill is near to 0.05, 0.05 mm. The thinnest is number #80, 0.343 mm"),
        (("#99",), "there is no drill #99. Known are #1 to #80"),
        (("foo",), "'foo' is neither a drill nor a length. Write a drill as 7.8, '#29', F or 5/16"),
        (("7 mmm",), "Write a drill as 7.8, '#29', F or 5/16"),
        (("7", "--rack", "none.toml"), "none.toml: there is no such file"),
    ],
)
def test_one_message_with_what_would_be_right(words: tuple[str, ...], message: str, call: Call) -> None:
    said = call("drill", *words)
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith("halfsection: ")
    assert said.err.count("\n") == 1
    assert message in said.err


def test_a_rack_without_drills_is_told_so(tmp_path: Path, call: Call) -> None:
    rack = tmp_path / "rack.toml"
    rack.write_text('[[tool]]\nnumber = 4\nkind = "blade"\nwidth = 2\nreach = 16\n', encoding="utf-8")
    said = call("drill", "7", "--rack", str(rack))
    assert (said.code, said.out) == (1, "")
    assert "no drills are named in this rack. Add a [[drills]] table" in said.err


def test_without_a_size_it_shows_how_it_is_called(call: Call) -> None:
    said = call("drill")
    assert said.code == 2
    assert "Missing argument 'SIZE'" in said.err
