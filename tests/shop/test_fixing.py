"""What unscrews: a right-hand thread is loosened in reverse, and by a brake while going forward (plain mechanics)."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.shop.test_ways import lathe
from toolpath.errors import BadInput
from toolpath.shop.fixing import braked_off, sense_of, unscrewed
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool


@pytest.mark.parametrize(
    ("fixing", "on_thread", "sense", "off"),
    [
        ("flanged", "", "reverse", ""),
        ("collet closer", "", "reverse", ""),
        ("screwed", "", "forward", ""),
        ("screwed", "", "reverse", "the chuck"),
        ("flanged", "right", "forward", ""),
        ("flanged", "right", "reverse", "the part, which is held on its own right-hand thread"),
        ("flanged", "left", "forward", "the part, which is held on its own left-hand thread"),
        ("screwed", "left", "forward", "the part"),
        ("screwed", "left", "reverse", "the chuck"),
    ],
)
def test_what_comes_off(fixing: str, on_thread: str, sense: str, off: str) -> None:
    told = unscrewed(sense, machine=lathe(chuck_fixing=fixing), on_thread=on_thread)
    assert told.startswith(off) and bool(told) == bool(off)
    other = {"forward": "reverse", "reverse": "forward"}[sense]
    assert braked_off(other, machine=lathe(chuck_fixing=fixing, spindle_brake=True), on_thread=on_thread) == told
    assert braked_off(other, machine=lathe(chuck_fixing=fixing), on_thread=on_thread) == ""


def blade(folder: Path, words: str) -> Tool:
    file = folder / "rack.toml"
    file.write_text(f"[[tool]]\nnumber = 4\nkind = 'blade'\nwidth = 2\nreach = 12\n{words}\n")
    return load_rack(file)[0]


@pytest.mark.parametrize(
    ("post", "face", "own", "sense"),
    [
        ("front", "up", "", "forward"),
        ("front", "up", "down", "reverse"),
        ("front", "down", "up", "forward"),
        ("rear", "up", "", "reverse"),
        ("rear", "up", "down", "forward"),
    ],
)
def test_a_tool_turned_over_turns_the_spindle_over(tmp_path: Path, post: str, face: str, own: str, sense: str) -> None:
    tool = blade(tmp_path, f"face = '{own}'" if own else "")
    assert sense_of(tool, lathe(tool_post=post, tool_face=face)) == sense


def test_a_face_looks_up_or_down(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="face"):
        blade(tmp_path, "face = 'left'")
    (tmp_path / "drills.toml").write_text("[[tool]]\nnumber = 9\nkind = 'drill'\nsize = 6\nface = 'down'\n")
    with pytest.raises(BadInput, match="a tool on the axis has no face"):
        load_rack(tmp_path / "drills.toml")
