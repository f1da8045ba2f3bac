"""Tool outlines: exact, closed, convex, counter-clockwise, and where published tables say their corners are."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Point, Polygon
from shapely.ops import unary_union

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Chain, Line, points_of, signed_area
from toolpath.shop import outlines
from toolpath.shop.inserts import insert

RAD = math.radians
entering_angles = st.floats(45.0, 107.0)
included_angles = st.floats(35.0, 90.0)
noses = st.one_of(st.just(0.0), st.floats(0.01, 1.6))


def assert_sound(chain: Chain) -> None:
    """Closed with identical end points, counter-clockwise all the way round, one turn in all."""
    turned = 0.0
    for e, g in zip(chain, chain[1:] + chain[:1], strict=True):
        assert e.b == g.a
        if isinstance(e, Arc):
            assert e.sweep > 0.0
            assert math.dist(e.a, e.centre) == pytest.approx(math.dist(e.b, e.centre), abs=1e-12)
            turned += e.sweep
        (az, ax), (bz, bx) = e.tangent_at(1.0), g.tangent_at(0.0)
        turn = math.atan2(az * bx - ax * bz, az * bz + ax * bx)
        assert turn > -1e-9
        turned += turn
    assert turned == pytest.approx(2.0 * math.pi, abs=1e-9)
    assert signed_area(chain) > 0.0


def assert_nose_is_tangent(chain: Chain, nose: float) -> None:
    """The first element is the nose arc about (nose, nose) and its neighbours run into it without a corner."""
    if nose == 0.0:
        assert not any(isinstance(e, Arc) for e in chain)
        assert (0.0, 0.0) in {e.a for e in chain}
        return
    arc, after, before = chain[0], chain[1], chain[-1]
    assert isinstance(arc, Arc) and isinstance(after, Line) and isinstance(before, Line)
    assert arc.centre == (nose, nose)
    assert arc.radius == pytest.approx(nose, rel=1e-12)
    for p, q in ((before.tangent_at(1.0), arc.tangent_at(0.0)), (arc.tangent_at(1.0), after.tangent_at(0.0))):
        assert math.dist(p, q) < 1e-9


def slope(line: Line) -> float:
    """Direction of a line, rad, 0 to pi."""
    return math.atan2(line.b[1] - line.a[1], line.b[0] - line.a[0]) % math.pi


def crossing(p: Line, q: Line) -> tuple[float, float]:
    """Where two lines meet, by determinants."""
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = p.a, p.b, q.a, q.b
    d = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    m, n = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    return ((m * (x3 - x4) - (x1 - x2) * n) / d, (m * (y3 - y4) - (y1 - y2) * n) / d)


@settings(max_examples=150, deadline=None)
@given(entering=entering_angles, included=included_angles, nose=noses, edge=st.floats(6.0, 15.0))
def test_ground_tool_is_sound_at_any_angles(entering: float, included: float, nose: float, edge: float) -> None:
    assume(180.0 - entering - included > 0.5)
    chain = outlines.ground_outline(RAD(entering), RAD(included), nose=nose, edge=edge)
    assert_sound(chain)
    assert_nose_is_tangent(chain, nose)
    trailing, leading = (chain[1], chain[-1]) if nose else (chain[0], chain[-1])
    assert isinstance(trailing, Line) and isinstance(leading, Line)
    assert slope(leading) == pytest.approx(math.pi - RAD(entering), abs=1e-9)
    assert slope(trailing) == pytest.approx(math.pi - RAD(entering + included), abs=1e-9)
    lowest = min(e.bounds()[1] for e in chain)
    if entering + included >= 90.0:
        assert lowest == pytest.approx(0.0, abs=1e-12)
    if entering >= 90.0:
        assert min(e.bounds()[0] for e in chain) == pytest.approx(0.0, abs=1e-12)


@settings(max_examples=150, deadline=None)
@given(
    entering=entering_angles,
    code=st.sampled_from(["CCMT 060204", "DCMT 11T308", "VCMT 160412", "SCMT 09T304", "TCMT 110202", "WCMT 06T308",
                          "KNMX 160404", "DCGT 070200"]),
)  # fmt: skip
def test_insert_is_sound_at_any_entering_angle(entering: float, code: str) -> None:
    ins = insert(code)
    assume(180.0 - entering - math.degrees(ins.corners[0]) > 0.5)
    chain = outlines.polygon_outline(RAD(entering), corners=ins.corners, sides=ins.sides, nose=ins.nose_radius)
    assert_sound(chain)
    assert_nose_is_tangent(chain, ins.nose_radius)
    assert sum(isinstance(e, Line) for e in chain) == len(ins.corners)
    assert slope(chain[-1]) == pytest.approx(math.pi - RAD(entering), abs=1e-9)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "code", ["CCMT 060204", "DCMT 070204", "VCMT 110304", "SCMT 09T308", "TCMT 16T304", "WCMT 08T308"]
)
def test_insert_encloses_its_inscribed_circle(code: str) -> None:
    """Every edge touches the circle of diameter IC (ISO 1832), and the area is that of the rounded polygon."""
    ins = insert(code)
    entering = RAD(60.0)
    chain = outlines.polygon_outline(entering, corners=ins.corners, sides=ins.sides, nose=ins.nose_radius)
    half = ins.corners[0] / 2.0
    middle = math.pi - entering - half
    reach = (ins.ic / 2.0 - ins.nose_radius) / math.sin(half)
    r = ins.nose_radius
    centre = (r + reach * math.cos(middle), r + reach * math.sin(middle))
    for e in chain:
        if isinstance(e, Line):
            assert math.dist(e.point_at(e.parameter_of(centre)), centre) == pytest.approx(ins.ic / 2.0, abs=1e-9)
    polygon = (ins.ic / 2.0) ** 2 * sum(1.0 / math.tan(c / 2.0) for c in ins.corners)
    lost = r**2 * sum(1.0 / math.tan(c / 2.0) - (math.pi - c) / 2.0 for c in ins.corners)
    assert signed_area(chain) == pytest.approx(polygon - lost, rel=1e-12)


# Distance from the imaginary tip to the sharp corner per mm of nose radius, (X, Z).
# Source: Kyocera Turning Technical Information 2016, factor table by insert and holder style.
SHARP_CORNERS = [
    ("CN-L95", 80.0, 95.0, 0.100, 0.100),
    ("TN-G91", 60.0, 91.0, 0.714, 0.030),
    ("DN-J93", 55.0, 93.0, 0.866, 0.099),
    ("DN-H107.5", 55.0, 107.5, 0.531, 0.531),
    ("VN-L95", 35.0, 95.0, 2.072, 0.273),
    ("VN-P117.5", 35.0, 117.5, 1.351, 1.351),
    ("SN-B75", 90.0, 75.0, 0.225, -0.293),
]


@pytest.mark.parametrize(("name", "included", "entering", "dx", "dz"), SHARP_CORNERS, ids=[r[0] for r in SHARP_CORNERS])
def test_sharp_corner_stands_where_the_table_says(
    name: str, included: float, entering: float, dx: float, dz: float
) -> None:
    chain = outlines.ground_outline(RAD(entering), RAD(included), nose=1.0, edge=12.0)
    leading, trailing = chain[-1], chain[1]
    assert isinstance(leading, Line) and isinstance(trailing, Line)
    z, x = crossing(leading, trailing)
    assert (-x, -z) == (pytest.approx(dx, abs=0.0005), pytest.approx(dz, abs=0.0005)), name
    assert outlines.sharp_corner(RAD(entering), RAD(included), 1.0) == pytest.approx((z, x), abs=1e-9)


def test_changing_the_nose_radius_shifts_the_corner_as_published() -> None:
    """Kyocera General Catalogue 2016-17, R32: PCLN (80 deg insert at 95 deg), 0.8 to 0.4 mm: X 0.04, Z 0.04 mm."""
    big, small = (outlines.sharp_corner(RAD(95), RAD(80), r) for r in (0.8, 0.4))
    assert small[0] - big[0] == pytest.approx(0.04, abs=0.005)
    assert small[1] - big[1] == pytest.approx(0.04, abs=0.005)


def test_edges_without_room_behind_the_nose_are_refused() -> None:
    with pytest.raises(BadInput, match=r"90 deg entering at 95 deg has -5 deg behind its nose"):
        outlines.trailing_angle(RAD(95), RAD(90))
    with pytest.raises(BadInput, match=r"entering at 90 deg has 0 deg"):
        outlines.ground_outline(RAD(90), RAD(90), nose=0.2, edge=5)
    with pytest.raises(BadInput, match="used up by the nose radius"):
        outlines.ground_outline(RAD(93), RAD(55), nose=3.0, edge=5)
    ins = insert("VCMT 110302")
    with pytest.raises(BadInput, match="leaves nothing of an edge"):
        outlines.polygon_outline(RAD(93), corners=ins.corners, sides=ins.sides, nose=4.0)


@settings(max_examples=150, deadline=None)
@given(
    width=st.floats(0.5, 5.0),
    shares=st.tuples(st.floats(0.0, 0.5), st.floats(0.0, 0.5)),
    depth=st.floats(1.5, 8.0),
    lean=st.floats(0.0, 2.0),
)
def test_blade_is_sound_and_exactly_as_wide(
    width: float, shares: tuple[float, float], depth: float, lean: float
) -> None:
    corners = (shares[0] * width, shares[1] * width)
    chain = outlines.blade_outline(width, depth * width, corners=corners, side_clearance=RAD(lean))
    assert_sound(chain)
    boxes = [e.bounds() for e in chain]
    assert min(b[0] for b in boxes) == pytest.approx(0.0, abs=1e-12)
    assert max(b[2] for b in boxes) == pytest.approx(width, abs=1e-12)
    assert min(b[1] for b in boxes) == pytest.approx(0.0, abs=1e-12)
    assert max(b[3] for b in boxes) == pytest.approx(depth * width, abs=1e-12)


@pytest.mark.parametrize("tiny", [5e-324, 1e-300, 1e-9, 1e-6])
def test_radii_too_small_to_measure_are_sharp_corners(tiny: float) -> None:
    """Past failures: subnormal corner radii broke the tangents, 1e-9 moved the corner."""
    assert outlines.blade_outline(1.0, 2.0, corners=(tiny, tiny), side_clearance=RAD(1.0)) == outlines.blade_outline(
        1.0, 2.0, corners=(0.0, 0.0), side_clearance=RAD(1.0)
    )
    sharp = outlines.ground_outline(RAD(93), RAD(55), nose=0.0, edge=7.0)
    assert outlines.ground_outline(RAD(93), RAD(55), nose=tiny, edge=7.0) == sharp


def test_square_blade_and_full_radius() -> None:
    square = outlines.blade_outline(2.0, 16.0, corners=(0.0, 0.0))
    assert [e.a for e in square] == [(0.0, 0.0), (2.0, 0.0), (2.0, 16.0), (0.0, 16.0)]
    full = outlines.blade_outline(3.0, 10.0, corners=(1.5, 1.5))
    arcs = [e for e in full if isinstance(e, Arc)]
    assert len(arcs) == 1 and arcs[0].sweep == pytest.approx(math.pi, abs=1e-12)
    assert signed_area(full) == pytest.approx(3.0 * 8.5 + math.pi * 1.5**2 / 2.0, rel=1e-12)
    with pytest.raises(BadInput, match="do not fit on a blade 2 mm wide"):
        outlines.blade_outline(2.0, 16.0, corners=(1.0, 1.1))
    with pytest.raises(BadInput, match="nothing left at its upper end"):
        outlines.blade_outline(2.0, 16.0, corners=(0.1, 0.1), side_clearance=RAD(5.0))


def test_round_insert_is_the_whole_circle() -> None:
    chain = outlines.round_outline(3.0)
    assert_sound(chain)
    assert signed_area(chain) == pytest.approx(math.pi * 9.0, rel=1e-12)
    assert chain[0].a == (0.0, 3.0)


@settings(max_examples=30, deadline=None)
@given(seed=st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9), st.floats(0.05, 1.0)), min_size=3, max_size=7))
def test_hull_against_a_general_geometry_library(seed: list[tuple[float, float, float]]) -> None:
    """The outline of discs on their hull has the area that shapely finds for the hull of finely chorded discs."""
    centres = MultiPoint([(z, x) for z, x, _ in seed]).convex_hull
    assume(centres.geom_type == "Polygon" and centres.area > 4.0)
    ring = list(Polygon(centres).exterior.coords)[:-1]
    if not Polygon(centres).exterior.is_ccw:
        ring.reverse()
    corner = min(
        abs(math.sin(math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])))
        for a, b, c in zip(ring, ring[1:] + ring[:1], ring[2:] + ring[:2], strict=True)
    )
    assume(corner > 0.05 and min(math.dist(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) > 0.5)
    radius = seed[0][2]
    chain = outlines.hull([(p, radius) for p in ring])
    assert_sound(chain)
    theirs = unary_union([Point(p).buffer(radius, quad_segs=128) for p in ring]).convex_hull
    assert signed_area(chain) == pytest.approx(theirs.area, rel=1e-4)
    ours = Polygon(points_of(chain, 1e-5))
    assert ours.symmetric_difference(theirs).area < 1e-3 * theirs.area


def test_hull_of_unequal_discs_against_shapely() -> None:
    discs = [((0.0, 0.0), 1.0), ((10.0, 0.0), 2.0), ((5.0, 9.0), 0.5)]
    chain = outlines.hull(discs)
    assert_sound(chain)
    theirs = unary_union([Point(p).buffer(r, quad_segs=512) for p, r in discs]).convex_hull
    assert signed_area(chain) == pytest.approx(theirs.area, rel=2e-5)
    lines = [e for e in chain if isinstance(e, Line)]
    assert len(lines) == 3
    for e in lines:
        gaps = [math.dist(e.point_at(e.parameter_of(p)), p) - r for p, r in discs]
        assert sorted(abs(g) for g in gaps)[:2] == pytest.approx([0.0, 0.0], abs=1e-12)  # flush with two discs


def test_hull_refuses_what_is_not_convex() -> None:
    square = [((0.0, 0.0), 0.1), ((4.0, 0.0), 0.1), ((4.0, 4.0), 0.1), ((0.0, 4.0), 0.1)]
    with pytest.raises(ValueError, match="counter-clockwise"):
        outlines.hull(square[::-1])
    with pytest.raises(ValueError, match="counter-clockwise"):
        outlines.hull([*square, ((2.0, 2.0), 0.1)])
    with pytest.raises(ValueError, match="swallows"):
        outlines.hull([((0.0, 0.0), 3.0), ((1.0, 0.0), 0.5), ((0.0, 9.0), 0.0)])


def test_mirror_keeps_sense_and_first_element() -> None:
    chain = outlines.ground_outline(RAD(93), RAD(55), nose=0.4, edge=7.0)
    left = outlines.mirrored(chain)
    assert_sound(left)
    assert isinstance(left[0], Arc) and left[0].centre == (-0.4, 0.4)
    assert signed_area(left) == pytest.approx(signed_area(chain), rel=1e-12)
    again = outlines.mirrored(left)
    assert again == chain
