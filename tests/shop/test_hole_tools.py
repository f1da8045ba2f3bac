"""Tools that stand on the axis: their outlines against closed forms, and what they refuse."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from shapely.geometry import MultiPoint, Polygon

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, signed_area
from toolpath.shop.drawer import drill_tool
from toolpath.shop.drills import FAMILIES, Drill, drill_named, family_drills
from toolpath.shop.hole_duties import hole_refusal, ream_refusal
from toolpath.shop.hole_tools import point_length
from toolpath.shop.rack import load_drawer
from toolpath.shop.tools import Tool

DRILLS = [d for f in FAMILIES for d in family_drills(f)]


def one(tmp_path: Path, rows: str) -> Tool:
    """A tool held in the tailstock."""
    path = tmp_path / "rack.toml"
    path.write_text(f"[[tool]]\n{rows}\n", encoding="utf-8")
    (tool,) = load_drawer(path).by_hand
    return tool


def refused(tmp_path: Path, rows: str) -> str:
    with pytest.raises(BadInput) as caught:
        one(tmp_path, rows)
    return str(caught.value)


def corners(chain: Chain) -> list[tuple[float, float]]:
    return [e.a for e in chain]


def check_outline(tool: Tool) -> None:
    """Every outline is closed, convex and counter-clockwise; point first, both sides of the axis alike."""
    for chain in (tool.outline, *tool.steps, *tool.holder):
        points = corners(chain)
        assert [e.b for e in chain] == [*points[1:], points[0]]
        assert signed_area(chain) > 0.0
        assert math.isclose(Polygon(points).area, MultiPoint(points).convex_hull.area, rel_tol=1e-9)
        assert {(z, -x) for z, x in points} == {(z, x + 0.0) for z, x in points}
    assert min(z for z, _ in corners(tool.outline)) == 0.0
    assert (tool.point, tool.works, tool.tip, tool.number) == ("drill point", "hole", (-1, 0), 0)


@pytest.mark.parametrize(("angle", "share"), [(118, 0.300), (135, 0.207), (140, 0.182), (90, 0.5), (60, 0.866)])
def test_the_length_of_a_point(angle: float, share: float) -> None:
    """Point length over diameter as trade tables print it."""
    assert point_length(10.0, math.radians(angle)) == pytest.approx(10.0 * share, abs=0.006)


def test_a_flat_end_has_no_point() -> None:
    assert point_length(10.0, math.pi) == 0.0


@given(st.sampled_from(DRILLS), st.sampled_from([90.0, 118.0, 135.0]))
def test_the_outline_of_any_drill(drill: Drill, angle: float) -> None:
    """Area by hand: a triangle of the point's length, then a rectangle to the end of the flutes."""
    tool = drill_tool(replace(drill, point=math.radians(angle)))
    check_outline(tool)
    tip = drill.dia / 2.0 / math.tan(math.radians(angle) / 2.0)
    assert signed_area(tool.outline) == pytest.approx(drill.dia * (drill.flute - tip / 2.0))
    assert max(z for z, _ in corners(tool.outline)) == tool.reach == drill.flute
    assert tool.does == {"drill"}
    assert min(z for h in tool.holder for z, _ in corners(h)) == drill.flute


def test_a_drill_of_a_rack_says_what_it_takes_for_granted(tmp_path: Path) -> None:
    drill = one(tmp_path, 'kind = "drill"\nsize = "#29"')
    assert drill.name == "drill #29 (3.454 mm), 118 deg point"
    assert drill.assumed == ("point 118 deg", "flute 39 mm", "overhang 39 mm", "chuck 46 mm", "material HSS")
    long = one(
        tmp_path, 'kind = "drill"\nsize = 4\nflute = 80\npoint = 135\noverhang = 100\nmaterial = "HSS"\nchuck = 30'
    )
    assert long.assumed == ()
    assert long.hole is not None
    assert (long.reach, long.hole.deepest) == (100.0, 76.0)
    assert [corners(h)[0] for h in long.holder] == [(80.0, -2.0), (100.0, -15.0)]
    check_outline(long)


def test_a_centre_drill(tmp_path: Path) -> None:
    """A2: 2 mm pilot, then a 60 degree cone to the 5 mm body: (5 - 2) / 2 x sqrt(3) long."""
    tool = one(tmp_path, 'kind = "centre drill"\nsize = "A2"')
    check_outline(tool)
    (cone,) = tool.steps
    assert tool.hole is not None
    assert max(z for z, _ in corners(tool.outline)) == min(z for z, _ in corners(cone)) == 2.5
    slope = [e for e in cone if e.a[0] != e.b[0] and e.a[1] != e.b[1]]
    assert [math.degrees(math.atan2(abs(e.b[1] - e.a[1]), abs(e.b[0] - e.a[0]))) for e in slope] == pytest.approx(
        [30, 30]
    )
    assert tool.hole.flute == pytest.approx(2.5 + 1.5 * math.sqrt(3.0))
    assert tool.does == {"centre"}
    assert hole_refusal(tool, "centre", deep=tool.hole.depth_for_mouth(4.25), dia=4.25) == ""
    assert hole_refusal(tool, "centre", deep=4.0, dia=6.0) == (
        "the centre drill A2, 2 mm pilot can not open a mouth of 6 mm: 5 mm is the widest"
    )
    assert "no mouth is as small as 2 mm" in hole_refusal(tool, "centre", deep=1.0, dia=2.0)
    assert "can not go 6 mm deep" in hole_refusal(tool, "centre", deep=6.0)


def test_a_guarded_centre_drill_has_two_cones(tmp_path: Path) -> None:
    """B2: the seat ends at 4.25 mm (ISO 6411), from there a cone of 120 degrees to the 8 mm body."""
    tool = one(tmp_path, 'kind = "centre drill"\nsize = "B2"')
    check_outline(tool)
    seat, guard = tool.steps
    assert max(x for _, x in corners(seat)) == min(x for _, x in corners(guard) if x > 0) == 2.125
    assert tool.hole is not None
    assert tool.hole.mouth == 4.25
    assert tool.hole.flute == pytest.approx(2.5 + 1.125 * math.sqrt(3.0) + 1.875 / math.sqrt(3.0))


def test_a_countersink(tmp_path: Path) -> None:
    """At 90 degrees a mouth is half as deep as it is wide; a blunt end takes its own half off."""
    tool = one(tmp_path, 'kind = "countersink"\nangle = 90\ndia = 12.5')
    check_outline(tool)
    assert tool.hole is not None
    assert tool.hole.depth_for_mouth(8.0) == pytest.approx(4.0)
    assert hole_refusal(tool, "countersink", deep=4.0, dia=8.0) == ""
    assert "12.5 mm is the widest" in hole_refusal(tool, "countersink", deep=7.0, dia=14.0)
    blunt = one(tmp_path, 'kind = "countersink"\nangle = 90\ndia = 12.5\nend_dia = 2')
    check_outline(blunt)
    assert blunt.hole is not None
    assert blunt.hole.depth_for_mouth(8.0) == pytest.approx(3.0)


@pytest.mark.parametrize("kind", ["flat drill", "end mill", "counterbore"])
def test_what_leaves_a_flat_floor(tmp_path: Path, kind: str) -> None:
    tool = one(tmp_path, f'kind = "{kind}"\ndia = 6')
    check_outline(tool)
    assert corners(tool.outline)[:2] == [(0.0, -3.0), (13.0, -3.0)]  # DIN 844 short, from memory
    assert (tool.kind, tool.does) == ("flat drill", {"flat bottom"})
    assert hole_refusal(tool, "flat bottom", deep=13.0, dia=6.0) == ""
    assert "has 13 mm of flutes and can not go 14 mm deep" in hole_refusal(tool, "flat bottom", deep=14.0)
    assert "a flat drill tool can not drill: that takes a drill tool" in hole_refusal(tool, "drill", deep=5.0)


def test_a_reamer(tmp_path: Path) -> None:
    """8 H7 is +15/0 micrometres (ISO 286-2)."""
    tool = one(tmp_path, 'kind = "reamer"\ndia = 8')
    check_outline(tool)
    assert tool.hole is not None
    assert tool.hole.limits == pytest.approx((8.0, 8.015))
    assert (tool.hole.lead, tool.hole.flute, tool.does) == (0.8, 33.0, {"ream"})
    assert corners(tool.outline)[:4] == [(0.0, 3.2), (0.0, -3.2), (0.8, -4.0), (33.0, -4.0)]  # a lead at 45 degrees
    assert ream_refusal(tool, 7.8) == ""
    assert ream_refusal(tool, 7.95) == "a 7.95 mm hole leaves 0.05 mm for the reamer 8 H7: it rubs below 0.2 mm"
    assert ream_refusal(tool, 8.1) == "a 8.1 mm hole leaves -0.1 mm for the reamer 8 H7: it rubs below 0.2 mm"
    assert ream_refusal(tool, 7.5) == "a 7.5 mm hole leaves 0.5 mm for the reamer 8 H7: 0.3 mm is the most it takes"
    assert ream_refusal(drill_tool(drill_named("8")), 7.8) == "the drill 8 mm, 118 deg point does not ream"


def test_a_hole_deeper_than_the_flutes_is_refused() -> None:
    """An 8 mm jobber drill has 75 mm of flutes (DIN 338), of which one diameter stays outside."""
    tool = drill_tool(drill_named("8"))
    assert hole_refusal(tool, "drill", deep=67.0, dia=8.0) == ""
    assert hole_refusal(tool, "drill", deep=67.1) == (
        "the drill 8 mm, 118 deg point has 75 mm of flutes and can not go 67.1 mm deep with chips to "
        "clear: 0.1 mm too deep"
    )
    assert "makes no hole of 8.2 mm" in hole_refusal(tool, "drill", deep=10.0, dia=8.2)
    assert "a tool that works on the axis can not bore" in hole_refusal(tool, "bore", deep=10.0)


@pytest.mark.parametrize(
    ("rows", "what"),
    [
        ('kind = "drill"\nsize = 7.83', "tool[0].size: no drill of '7.83' is known. The nearest is 7.8"),
        ('kind = "drill"\nsize = 8\npoint = 20', "tool[0].point: 20 deg is no point angle. 60 to 150 deg"),
        ('kind = "drill"\nsize = 8\nflute = 2', "tool[0].flute: flutes 2 mm long are shorter than the 2.4 mm point"),
        ('kind = "drill"\nsize = 8\noverhang = 40', "tool[0].overhang: standing out 40 mm, the chuck would grip"),
        ('kind = "drill"\nsize = 8\nchuck = 8', "tool[0].chuck: a chuck of 8 mm can not hold 8 mm"),
        ('kind = "drill"\nsize = 8\noffset = 3', "tool[0].offset: a tool held in the tailstock has no offset"),
        ('kind = "drill"\nsize = 8\nnumber = 0', "tool[0].number: 0 is no tool number"),
        ('kind = "drill"\nsize = 8\ndoes = ["turn"]', "tool[0].does: a tool that works on the axis can not turn"),
        ('kind = "drill holder"\nlargest = 13', "tool[0].number: 0 is no tool number"),
        ('kind = "centre drill"\nsize = "A3"', "tool[0].size: there is no centre drill 'A3'"),
        ('kind = "countersink"\nangle = 90\ndia = 6\nend_dia = 6', "tool[0].end_dia: an end of 6 mm is not thinner"),
        ('kind = "end mill"\ndia = 25', "tool[0].flute: how long the flutes are at 25 mm is not known. State"),
        ('kind = "reamer"\ndia = 8\ntolerance = "h7"', "tool[0].tolerance: 'h7' is no tolerance of a hole"),
        ('kind = "reamer"\ndia = 8\ntolerance = "Q7"', "tool[0].tolerance"),
        ('kind = "reamer"\ndia = 8\nlead = 40', "tool[0].lead: a lead of 40 mm leaves nothing of 33 mm of flutes"),
    ],
)  # fmt: skip
def test_rows_that_are_no_tool(tmp_path: Path, rows: str, what: str) -> None:
    assert what in refused(tmp_path, rows)
