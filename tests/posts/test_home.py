"""Going to the change place by the control's word for its reference place.

COURSE: a national vocational school's public CNC turning course: `G28 U0 W0`, increments of nothing, then home.
NISTIR 6556: G28 goes through the programmed point first, and is an error while compensation is on.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from posts.dialect import load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import as_drawn, moves_of
from tests.posts.test_golden import CHANGE, knob
from toolpath.errors import BadInput
from toolpath.motion import Rapid

G99 = load_dialect("g99")
HOME = replace(G99, tool=replace(G99.tool, change_point="home"))
START = "(STARTS AT X50.0 Z30.0 MM, X A DIAMETER)"
MODES = ["G21 G40 G99", "T0101", "G97 S900 M03", "G00 X20. Z2."]


def g99(*blocks: str, start: str = START) -> list[tuple[float, float]]:
    return as_drawn(read("\n".join([start, *MODES, *blocks, "M30"]), G99))[1:]


def test_each_axis_goes_home_by_itself_or_both_at_once() -> None:
    assert g99("G28 U0", "G28 W0") == [(50, 2), (50, 30)]
    assert g99("G28 W0.0") == [(20, 30)]
    assert g99("G28 U0 W0") == [(50, 30)]


@pytest.mark.parametrize(
    "blocks, line, column, words",
    [
        (["G28 U5."], 6, 5, "by way of another place"),
        (["G28 X0"], 6, 5, "by way of another place"),
        (["G28"], 6, 1, "by way of another place"),
        (["G28 U0", "G01 Z-5. F.1"], 7, 1, "X is not stated"),
        (["G28 U0 W0", "X20."], 7, 1, "no motion is in force"),
        (["G04 G28 U0"], 6, 5, "exclude each other"),
    ],
)
def test_home_is_read_strictly(blocks: list[str], line: int, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        g99(*blocks)
    assert str(caught.value).startswith(f"line {line}, column {column}: ")


def test_where_home_lies_must_be_stated() -> None:
    with pytest.raises(BadInput, match=r"only the machine knows. State where it lies at the top"):
        g99("G28 U0", start="(KNOB)")


def test_retreats_are_written_as_the_control_s_own_and_read_to_the_same_place() -> None:
    text = write(knob(), HOME).text
    lines = text.splitlines()
    assert lines.count("G28 U0.0") == lines.count("G28 W0.0") == 2
    assert lines[lines.index("G28 U0.0") + 1] == "G28 W0.0"
    ends = [m.end for m in moves_of(read(text, HOME))]
    assert ends == [m.end for m in moves_of(read(write(knob(), G99).text, G99))]
    assert ends[-1] == CHANGE and write(read(text, HOME), HOME).text == text
    assert all(isinstance(m, Rapid) for m in moves_of(read(text, HOME)) if m.end == CHANGE)


def test_home_needs_its_word_and_increments(tmp_path: Path) -> None:
    source = (Path(__file__).parents[2] / "posts" / "g99.toml").read_text(encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text(source.replace('= "place"', '= "home"').replace('"read" ', '"none" ', 1), "utf-8")
    with pytest.raises(BadInput, match=r"tool.change_point: a tool goes home by its word beside U0 and W0"):
        load_dialect(str(path))
