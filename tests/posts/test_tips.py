"""Orientation numbers: two published tables that contradict each other, and which of them a dialect follows."""

from __future__ import annotations

from pathlib import Path

import pytest

from posts.dialect import WAYS, built_in, load_dialect
from posts.tips import tip_number, way_of
from toolpath.errors import BadInput, CannotMake
from toolpath.shop.rack import load_rack

ROOT = Path(__file__).parents[2]
SOURCE = (ROOT / "posts" / "g95.toml").read_text(encoding="utf-8")

# Where the tip lies from the nose centre, as (X, Z). Source: a turning-centre operator's manual; 3 for outside tools
# and 2 for boring bars also in a national vocational school's turning course.
MANUAL = {
    1: (+1, +1),
    2: (+1, -1),
    3: (-1, -1),
    4: (-1, +1),
    5: (0, +1),
    6: (+1, 0),
    7: (0, -1),
    8: (-1, 0),
    9: (0, 0),
}
# Where the nose centre lies from the controlled point, in nose radii, as (X, Z). Source: tool-drawing code of the
# previewer of the open control language derived from the NGC report.
PREVIEWER = {
    1: (+1, -1),
    2: (+1, +1),
    3: (-1, +1),
    4: (-1, -1),
    5: (0, -1),
    6: (+1, 0),
    7: (0, +1),
    8: (-1, 0),
    9: (0, 0),
}
# From the second table to the first, computed from the two sources' own words.
MAPPING = {1: 4, 2: 3, 3: 2, 4: 1, 5: 5, 6: 8, 7: 7, 8: 6, 9: 9}


def dialect_numbered_by_the_manual(tmp_path: Path) -> str:
    head, table = SOURCE.split("[tips]\n")
    rest = table[table.index("[dwell]") :]
    rows = "\n".join(f'"{way_of((z, x))}" = {n}' for n, (x, z) in MANUAL.items())
    path = tmp_path / "centre.toml"
    path.write_text(f"{head}[tips]\n{rows}\n{rest}", encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("number", PREVIEWER)
def test_g95_numbers_as_its_previewer_draws(number: int) -> None:
    x, z = PREVIEWER[number]
    assert tip_number((-z, -x), load_dialect("g95")) == number  # the tip lies opposite to the centre


@pytest.mark.parametrize("number", MANUAL)
def test_the_two_tables_differ_as_they_are_known_to(number: int, tmp_path: Path) -> None:
    other = load_dialect(dialect_numbered_by_the_manual(tmp_path))
    x, z = MANUAL[number]
    assert tip_number((z, x), other) == number
    assert MAPPING[tip_number((z, x), load_dialect("g95"))] == number


def test_the_tools_of_the_drawer() -> None:
    """Right hand outside and a blade by its corner 2, left hand 1, boring bar 3, threading points 6 and 8."""
    g95 = load_dialect("g95")
    tools = {t.number: t for t in load_rack(ROOT / "samples" / "racks" / "drawer.toml")}
    assert {n: tip_number(tools[n].tip, g95) for n in (1, 4, 5, 7, 9, 10)} == {
        1: 2,
        4: 2,
        5: 1,
        7: 3,
        9: 6,
        10: 8,
    }


def test_words_for_the_nine_ways() -> None:
    ways = {way_of((z, x)) for z in (-1, 0, 1) for x in (-1, 0, 1)}
    assert ways == set(WAYS) and len(WAYS) == 9
    assert way_of((-1, 1)) == "-z +x" and way_of((0, -1)) == "-x" and way_of((0, 0)) == "centre"


def test_every_dialect_numbers_all_nine_or_none() -> None:
    for name in built_in():
        tips = load_dialect(name).tips
        assert not tips or (len(set(tips.values())) == 9 and set(tips) == set(WAYS))


def test_a_dialect_without_a_table_is_not_guessed_for(tmp_path: Path) -> None:
    head, table = SOURCE.split("[tips]\n")
    path = tmp_path / "bare.toml"
    path.write_text(head + table[table.index("[dwell]") :], encoding="utf-8")
    with pytest.raises(CannotMake, match=r"has no number for a tip that lies towards -z \+x"):
        tip_number((-1, 1), load_dialect(str(path)))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('"+x"     = 8', '"+y"     = 8', "'\\+y' is no way a tip can lie"),
        ('"+x"     = 8', '"+x"     = 6', "nine ways need nine different numbers"),
        ('"+x"     = 8', "", "nine ways need nine different numbers"),
        ('"+x"     = 8', '"+x"     = 12', "tips"),
    ],
)
def test_a_table_that_can_not_be(old: str, new: str, message: str, tmp_path: Path) -> None:
    assert old in SOURCE
    path = tmp_path / "other.toml"
    path.write_text(SOURCE.replace(old, new), encoding="utf-8")
    with pytest.raises(BadInput, match=message):
        load_dialect(str(path))
