"""Boring bars and what else works inside: outlines that lie where the bench has them, and holes that are too small."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, points_of, signed_area
from toolpath.shop import bars
from toolpath.shop.duties import enter_refusal
from toolpath.shop.holders import HEAD_PER_EDGE
from toolpath.shop.inserts import insert
from toolpath.shop.rack import load_rack
from toolpath.shop.rack_rows import GroundRow
from toolpath.shop.rack_tools import tool_from
from toolpath.shop.tools import Tool

DRAWER = Path(__file__).parents[2] / "samples" / "racks" / "drawer.toml"


def one(tmp_path: Path, rows: str) -> Tool:
    path = tmp_path / "rack.toml"
    path.write_text(f"[[tool]]\nnumber = 3\n{rows}\n", encoding="utf-8")
    (tool,) = load_rack(path)
    return tool


def extent(tool: Tool) -> tuple[float, float, float, float]:
    """Least z, least x, greatest z, greatest x of everything but the clamp."""
    boxes = [e.bounds() for c in (tool.outline, *tool.holder[:-1]) for e in c]
    return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))


# ---------------------------------------------------------------- designations


def test_a_bars_designation() -> None:
    bar = bars.bar_holder("s08k-sclcr06")
    assert (bar.designation, bar.diameter, bar.body) == ("S08K SCLCR 06", 8.0, "steel")
    assert (bar.seat.shape, bar.seat.clearance_letter, bar.seat.size_code, bar.seat.hand) == ("C", "C", "06", "right")
    assert math.degrees(bar.seat.entering) == pytest.approx(95)
    bar.seat.refuse_unfit(insert("CCMT 060204"))
    with pytest.raises(BadInput, match="its clearance letter is N, the holder's C"):
        bar.seat.refuse_unfit(insert("CNMG 060204"))
    assert bars.bar_holder("E10M SCLCL 06").body == "carbide"
    assert bars.bar_holder("E10M SCLCL 06").seat.hand == "left"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("S08 SCLCR 06", "is no designation of a boring bar"),
        ("Z08K SCLCR 06", "'Z' names no kind of bar"),
        ("S08K SCXCR 06", "style letter 'X' is not known"),
        ("S08K SCLCN 06", "is no designation of a boring bar"),
    ],
)
def test_bars_that_are_not_known(text: str, message: str) -> None:
    with pytest.raises(BadInput, match=message):
        bars.bar_holder(text)


def test_outside_holders_and_bars_are_told_apart() -> None:
    assert bars.is_bar("S08K SCLCR 06") and bars.is_bar("a16r sdjcl 07")
    assert not bars.is_bar("SDJCR 1010 E07")


def test_a_bar_of_the_table_fits_its_own_least_bore() -> None:
    """From the point to the back it is less than the hole across, for every row of the table."""
    for d in (8, 10, 12, 16, 20, 25):
        bar = bars.bar_holder(f"S{d:02}K SCLCR 06")
        assert d / 2 < bar.tip_to_middle < bar.least_bore - d / 2


def test_how_far_a_bar_may_stand_out() -> None:
    """Steel 4 diameters: Widia catalogue 2017. Carbide 6: common practice, no source."""
    assert bars.longest(8.0, "steel") == 32.0
    assert bars.longest(8.0, "carbide") == 48.0


# ---------------------------------------------------------------- outlines


def test_the_drawers_boring_bar_lies_inside() -> None:
    """Tip (-1, +1): nose centre at (+r, -r). 8 mm bar, middle 6 mm off: it lies from 2 to 10 mm behind the point."""
    tool = next(t for t in load_rack(DRAWER) if t.number == 7)
    assert (tool.works, tool.tip, tool.kind, tool.hand) == ("inside", (-1, 1), "turning", "right")
    nose = tool.outline[0]
    assert isinstance(nose, Arc) and nose.centre == (0.4, -0.4)
    left, low, right, high = extent(tool)
    assert (left, high) == pytest.approx((0.0, 0.0), abs=1e-12)
    assert (low, right) == pytest.approx((-10.0, 30.0))
    body, clamp = tool.holder[1:]
    assert {p[1] for p in points_of(body, 1e-3)} == {-2.0, -10.0}
    assert min(p[0] for p in points_of(clamp, 1e-3)) == 30.0 == tool.reach


@pytest.mark.parametrize("number", [7, 8, 10, 11])
def test_outlines_inside_are_convex_closed_and_counter_clockwise(number: int) -> None:
    tool = next(t for t in load_rack(DRAWER) if t.number == number)
    for chain in (tool.outline, *tool.holder):
        assert signed_area(chain) > 0.0
        assert all(e.b == f.a for e, f in zip(chain, chain[1:] + chain[:1], strict=True))
        shape = Polygon(points_of(chain, 1e-4))
        assert shape.is_valid and shape.convex_hull.area == pytest.approx(shape.area, rel=1e-6)
    assert max(e.bounds()[3] for e in tool.outline) == pytest.approx(0.0, abs=1e-12)  # nothing stands above the point


def test_a_neck_is_thinner_than_its_bar(tmp_path: Path) -> None:
    rows = (
        'kind = "ground"\nentering = 95\nincluded = 70\nnose_radius = 0.2\nedge = 1.5\nbar = 8\nneck = 4\n'
        "neck_length = 12\ntip_to_middle = 2.6\noverhang = 24"
    )
    tool = one(tmp_path, rows)
    assert tool.bar is not None
    assert (tool.bar.front, tool.bar.back) == pytest.approx((0.6, 4.6))
    _, neck, body, _ = tool.holder
    assert sorted({round(p[1], 9) for p in points_of(neck, 1e-3)}) == [-4.6, -0.6]
    assert max(p[0] for p in points_of(neck, 1e-3)) == 12.0 == min(p[0] for p in points_of(body, 1e-3))
    assert enter_refusal(tool, 6.0, deep=12.0) == ""
    assert enter_refusal(tool, 6.0, deep=13.0).startswith("a bar of 8 mm can not enter a 6 mm hole: it works from ")


def test_back_boring_is_the_mirror_but_the_bar_still_comes_out(tmp_path: Path) -> None:
    """A left-hand bar cuts a shoulder from behind: tip (+1, +1), its bar going out to +z past its own edge."""
    rows = 'kind = "ground"\nentering = 93\nincluded = 55\nnose_radius = 0.2\nedge = 2\nbar = 6\ntip_to_middle = 6\n'
    right, left = one(tmp_path, rows), one(tmp_path, rows + 'hand = "left"')
    assert (left.tip, left.works, left.hand) == ((1, 1), "inside", "left")
    assert {(-z, x) for z, x in (e.a for e in right.outline)} == {e.a for e in left.outline}
    assert extent(left)[2] == left.reach == 18.0
    assert left.max_depth <= 3.0  # no deeper behind the shoulder than its bar stands off the wall
    assert left.may_touch(math.pi) and not left.may_touch(0.0)


def test_what_a_boring_bar_may_touch() -> None:
    """Its normals are those of the outside tool mirrored in z: bore -90 deg, bottom 0, a bore that narrows by 5 deg."""
    tool = next(t for t in load_rack(DRAWER) if t.number == 7)
    for degrees, may in ((-90, True), (0, True), (5, True), (5.01, False), (-95, True), (-95.01, False), (90, False)):
        assert tool.may_touch(math.radians(degrees)) is may, degrees


def test_a_groover_inside_stands_out_of_its_bar(tmp_path: Path) -> None:
    tool = one(tmp_path, 'kind = "blade"\nwidth = 2\nreach = 3\nbar = 8\ncorners = [1, 1]')
    assert (tool.tip, tool.point) == ((-1, 1), "chuck-side corner")
    assert tool.does == {"groove inside"}
    assert tool.bar is not None
    assert (tool.bar.tip_to_middle, tool.bar.least_bore, tool.max_depth) == (7.0, 11.5, 2.0)
    assert [e.radius for e in tool.outline if isinstance(e, Arc)] == [pytest.approx(1.0)]  # a full radius is one arc
    assert extent(tool)[0] == -1.0 and extent(tool)[3] == 0.0


@settings(max_examples=120, deadline=None)
@given(
    entering=st.floats(60.0, 110.0),
    included=st.floats(35.0, 80.0),
    nose=st.floats(0.0, 0.8),
    bar=st.floats(4.0, 16.0),
    hand=st.sampled_from(["right", "left"]),
)
def test_any_bar_keeps_behind_its_edges(entering: float, included: float, nose: float, bar: float, hand: str) -> None:
    """The head never stands out of the hull of the cut: behind the point in x, and behind both edges' lines."""
    assume(180.0 - entering - included > 1.0)
    row = GroundRow(
        number=1, entering=entering, included=included, nose_radius=nose, bar=bar, edge=max(2.0, 4 * nose), hand=hand,
        tip_to_middle=0.8 * bar, overhang=3.9 * bar,
    )  # fmt: skip
    assume(HEAD_PER_EDGE * max(2.0, 4 * nose) + 3.0 < 3.9 * bar)
    try:
        tool = tool_from(row)
    except BadInput as refused:  # the only one left: a long lean over a thick bar
        assert "leaves no head across" in str(refused) and entering > 90.0
        return
    head, kr, e = tool.holder[0], math.radians(entering), math.radians(included)
    z0, x0 = (-nose if hand == "left" else nose), -nose
    for z, x in points_of(head, 1e-3):
        across = -(x - x0)
        along = (z - z0) * (-1.0 if hand == "left" else 1.0)
        assert along * math.sin(kr) + across * math.cos(kr) >= 0.3 - nose - 1e-9
        assert -across * math.cos(kr + e) - along * math.sin(kr + e) >= 0.3 - nose - 1e-9
        assert x <= -0.3 + 1e-9 or nose > 0.3
        assert x <= 1e-9
    assert tool.bar is not None
    assert min(x for c in tool.holder[:-1] for _, x in points_of(c, 1e-3)) == pytest.approx(-tool.bar.back)


# ---------------------------------------------------------------- holes


def test_an_8_mm_bar_can_not_enter_a_7_mm_hole() -> None:
    tool = next(t for t in load_rack(DRAWER) if t.number == 7)
    works = "it works from 11 mm up"
    assert enter_refusal(tool, 7.0) == f"a bar of 8 mm can not enter a 7 mm hole: {works}, 4 mm too small"
    assert enter_refusal(tool, 8.0) == f"a bar of 8 mm can not enter a 8 mm hole: {works}, 3 mm too small"
    told = "a bar of 8 mm works in holes from 11 mm up and can not in a 10 mm hole, 1 mm too small"
    assert enter_refusal(tool, 10.0) == told
    assert enter_refusal(tool, 11.0) == "" == enter_refusal(tool, 11.0, deep=30.0)
    assert enter_refusal(tool, 20.0, deep=31.0) == "a bar that stands out 30 mm can not go 31 mm deep, 1 mm too deep"
    outside = next(t for t in load_rack(DRAWER) if t.number == 1)
    assert enter_refusal(outside, 40.0) == "a tool without a bar can not go into a hole"


BAR = 'insert = "CCMT 060204"\nholder = "S08K SCLCR 06"\n'
GROUND = 'kind = "ground"\nentering = 95\nincluded = 70\nnose_radius = 0.2\nedge = 1.2\n'
WRONG = [
    ('insert = "DCMT 070204"\nholder = "S08K SCLCR 06"', "tool[0].insert: DCMT 070204 does not fit S08K SCLCR 06"),
    (BAR + 'hand = "left"', "tool[0].hand: S08K SCLCR 06 is a right-hand holder, not left"),
    (BAR + "bar = 10", "tool[0].bar: S08K SCLCR 06 already gives the bar, 8 mm"),
    (BAR + "shank = 10", "tool[0].shank: a tool on a bar has no shank"),
    (BAR + "overhang = 33", "tool[0].overhang: a steel bar of 8 mm that stands out 33 mm is too limber. At most 4"),
    (BAR + "overhang = 9", "tool[0].overhang: the bar's head alone takes"),
    (BAR + "least_bore = 9.5", "tool[0].least_bore: a bar of 8 mm whose point stands 6 mm from its middle does not go"),
    (BAR + "neck = 9\nneck_length = 5", "tool[0].neck: a neck of 9 mm is thicker than its bar of 8 mm"),
    (BAR + "neck = 6", "tool[0].neck_length: a neck has a diameter and a length"),
    (BAR + "neck = 6\nneck_length = 31\noverhang = 30", "tool[0].neck_length: a neck 31 mm long is longer than"),
    (BAR + "tip_to_middle = 3.5", "tool[0].tip_to_middle: a point 3.5 mm from the bar's middle does not stand out"),
    (
        GROUND.replace("95", "110").replace("70", "50") + "bar = 14",
        "tool[0].overhang: an edge 1.2 mm long that leans back 20 deg",
    ),
    (GROUND + "least_bore = 9", "tool[0].least_bore: `least_bore` belongs to a boring bar"),
    ('kind = "blade"\nwidth = 2\nreach = 10\noverhang = 20', "tool[0].overhang: `overhang` belongs to a boring bar"),
    (BAR + 'does = ["turn"]', "tool[0].does: a tool that works inside can not turn: that is done on the outside"),
    (GROUND + 'bar = 6\nhand = "upper"', "tool[0].hand"),
]


@pytest.mark.parametrize(("rows", "message"), WRONG)
def test_wrong_bars_are_refused_with_their_reason(tmp_path: Path, rows: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        one(tmp_path, rows)
    assert message in str(caught.value)
