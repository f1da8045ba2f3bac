"""The whole drawer: sets of drills, what is held by hand, numbered places; and what can not be in one."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from toolpath.errors import BadInput
from toolpath.shop.drawer import Drawer, drill_tool
from toolpath.shop.drills import drill_named
from toolpath.shop.hole_rules import drill_before_reamer
from toolpath.shop.rack import load_drawer, load_rack

SAMPLE = Path(__file__).parents[2] / "samples" / "racks" / "drawer.toml"
BLADE = '[[tool]]\nnumber = 4\nkind = "blade"\nwidth = 2\nreach = 16\n'


def drawer(tmp_path: Path, text: str) -> Drawer:
    path = tmp_path / "rack.toml"
    path.write_text(text, encoding="utf-8")
    return load_drawer(path)


def test_the_makers_drawer() -> None:
    kept = load_drawer(SAMPLE)
    assert kept.tools == load_rack(SAMPLE)
    assert {t.works for t in kept.tools} == {"outside", "inside"}
    assert [(s.name, len(s.drills)) for s in kept.sets] == [
        ("metric 0.5, 1 to 13", 25),
        ("number 1 to 60", 60),
        ("letter A to R", 18),
        ("fractional 1/16 to 1/2", 29),
        ("single drills", 2),
    ]
    assert [t.name for t in kept.by_hand] == [
        "centre drill A2, 2 mm pilot",
        "centre drill A3.15, 3.15 mm pilot",
        "countersink 90 deg, up to 12.5 mm",
        "reamer 6 H7",
        "reamer 8 H7",
        "end mill 6 mm, flat end",
    ]
    assert {t.number for t in kept.by_hand} == {0}
    assert len(kept.drills) == 25 + 60 + 18 + 29 + 2
    assert [d.dia for d in kept.drills] == sorted(d.dia for d in kept.drills)


def test_its_reamers_have_a_drill_before_them() -> None:
    kept = load_drawer(SAMPLE)
    found = {
        t.name: drill_before_reamer(t.hole.diameter, kept.sets).name for t in kept.by_hand if t.hole and t.hole.lead
    }
    assert found == {"reamer 6 H7": "5.8", "reamer 8 H7": "7.8"}


def test_a_rack_may_hold_nothing_but_drills(tmp_path: Path) -> None:
    kept = drawer(tmp_path, '[[drills]]\nset = "letter"\n')
    assert (kept.tools, len(kept.drills)) == ((), 26)
    with pytest.raises(BadInput, match="there is no tool with a number in this rack"):
        load_rack(tmp_path / "rack.toml")


def test_points_and_flutes_of_a_set(tmp_path: Path) -> None:
    kept = drawer(tmp_path, '[[drills]]\ndrills = [4, "#29"]\npoint = 135\nflute = 80\n')
    assert [(d.name, round(math.degrees(d.point)), d.flute) for d in kept.drills] == [
        ("#29", 135, 80.0),
        ("4", 135, 80.0),
    ]


def test_bare_numbers_are_in_the_units_of_the_rack(tmp_path: Path) -> None:
    kept = drawer(tmp_path, 'units = "inch"\n[[drills]]\ndrills = [0.25]\n[[drills]]\nset = "metric 0.5"\nto = 0.25\n')
    assert [d.name for d in kept.sets[1].drills] == ["1/4"]
    assert kept.sets[0].name == "metric 0.5, 0.5 to 6"


def test_the_same_drill_twice_is_one(tmp_path: Path) -> None:
    kept = drawer(tmp_path, '[[drills]]\ndrills = ["5/16", "0.3125 in"]\n[[drills]]\ndrills = ["5/16"]\n')
    assert [d.name for d in kept.drills] == ["5/16"]


def test_a_numbered_place_takes_any_drill(tmp_path: Path) -> None:
    kept = drawer(tmp_path, BLADE + '[[tool]]\nnumber = 12\nkind = "drill holder"\nlargest = 10\nchuck = 34\n')
    (holder,) = kept.holders
    assert [t.number for t in kept.tools] == [4]
    tool = holder.holding(drill_tool(drill_named("#7")), holder.places[0])
    assert (tool.number, tool.offset, tool.kind) == (12, 12, "drill")
    assert max(e.a[1] for e in tool.holder[-1]) == 17.0


def test_more_drills_go_into_one_chuck_under_further_numbers(tmp_path: Path) -> None:
    kept = drawer(
        tmp_path,
        BLADE + '[[tool]]\nnumber = 12\noffset = 22\nkind = "drill holder"\nlargest = 10\nfurther = [13, 14]\n',
    )
    (holder,) = kept.holders
    assert holder.places == ((12, 22), (13, 13), (14, 14))
    assert [kept.refitted(n) for n in (4, 12, 14)] == ["", "drill holder 12", "drill holder 12"]
    tool = holder.holding(drill_tool(drill_named("#7")), holder.places[1])
    assert (tool.number, tool.offset, tool.reach) == (13, 13, drill_named("#7").flute)


def test_a_drill_with_a_number_stands_in_the_rack(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text(BLADE + '[[tool]]\nnumber = 12\nkind = "drill"\nsize = "F"\n', encoding="utf-8")
    assert [(t.number, t.kind, t.does) for t in load_rack(path)][1:] == [(12, "drill", {"drill"})]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "rack.toml: tool: there is no tool in this rack"),
        ("[[drills]]\n", "rack.toml:1: drills[0]: a table of drills says either `set` or `drills`. Write set ="),
        ('[[drills]]\nset = "letter"\ndrills = ["F"]\n', "says either `set` or `drills`"),
        ('[[drills]]\nset = "metrik"\n', "rack.toml:2: drills[0].set: 'metrik' names no set of drills. Did you mean"),
        ('[[drills]]\nset = "letter"\nfrom = "5"\n', "drills[0].set: there is no drill 5. Known are A to Z"),
        ('[[drills]]\ndrills = ["7.8", "7.83"]\n', "rack.toml:2: drills[0].drills[1]: no drill of '7.83' is known"),
        ('[[drills]]\ndrills = ["F"]\nto = "G"\n', "rack.toml:3: drills[0].to: ends go with a set"),
        ('[[drills]]\nset = "letter"\npoint = 10\n', "rack.toml:3: drills[0].point: 10 deg is no point angle"),
        ('[[drills]]\nset = "letter"\nflut = 10\n', "rack.toml:3: drills[0].flut"),
        (
            BLADE + '[[tool]]\nnumber = 4\nkind = "drill holder"\nlargest = 10\n',
            "rack.toml:7: tool[1].number: tool number 4 stands in the rack twice",
        ),
        (
            BLADE + '[[tool]]\nnumber = 5\nkind = "drill holder"\nlargest = 10\nfurther = [6, 4]\n',
            "tool[1].further[1]: tool number 4 stands in the rack twice",
        ),
        (
            BLADE + '[[tool]]\nnumber = 5\nkind = "drill holder"\nlargest = 10\nfurther = [6, 6]\n',
            "tool[1].further[1]: tool number 6 stands here twice",
        ),
        (
            BLADE + '[[tool]]\nnumber = 5\nkind = "drill holder"\nlargest = 10\nfurther = [0]\n',
            "tool[1].further[0]: 0 is no tool number",
        ),
    ],
)
def test_what_can_not_be_in_a_drawer(tmp_path: Path, text: str, what: str) -> None:
    with pytest.raises(BadInput) as caught:
        drawer(tmp_path, text)
    assert what in str(caught.value)
