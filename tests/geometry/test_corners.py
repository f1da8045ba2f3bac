"""Rounds and chamfers: closed forms for each pair of neighbours, and what must hold for any corner."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from toolpath.geometry.corners import Corner, NoCorner, chamfer_corner, crossings, round_corner, turn
from toolpath.geometry.elements import Arc, Element, Line, Point, arc_about

NEAR = 1e-9  # mm
TANGENT = 1e-7  # rad


def leg(at: Point, heading: float, length: float, bend: float) -> Element:
    """From `at`, first going along `heading` (rad), turning through `bend` on the way; 0 is a line."""
    d = (math.cos(heading), math.sin(heading))
    if bend == 0.0:
        return Line(at, (at[0] + length * d[0], at[1] + length * d[1]))
    r = length / bend
    c = (at[0] - d[1] * r, at[1] + d[0] * r)
    w = heading + bend
    return Arc(at, (c[0] + math.sin(w) * r, c[1] - math.cos(w) * r), c, bend)


def corner(
    w: float, first: tuple[float, float], second: tuple[float, float], heading: float = 0.3
) -> tuple[Element, Element]:
    """Two legs (length, bend) that meet at the origin in a turn of w."""
    e = leg((0.0, 0.0), heading + math.pi, first[0], -first[1]).reversed()
    return e, leg((0.0, 0.0), heading + w, *second)


bends = st.one_of(st.just(0.0), st.floats(0.05, 2.0), st.floats(-2.0, -0.05))
legs = st.tuples(st.floats(0.5, 40.0), bends)
turns = st.one_of(st.floats(0.15, 2.9), st.floats(-2.9, -0.15))
any_corner = settings(max_examples=200, deadline=None)


def small_enough(w: float, legs: tuple[tuple[float, float], ...]) -> float:
    """A size that fits for certain: a tenth of the shortest leg or radius, over the corner's own tangent length."""
    least = min(min(n, n / abs(b)) if b else n for n, b in legs)
    return 0.1 * least / max(1.0, math.tan(abs(w) / 2.0)) ** 2


def made(got: Corner | NoCorner) -> Corner:
    assert isinstance(got, Corner), got
    return got


@any_corner
@given(turns, legs, legs, st.floats(0.01, 1.0))
def test_a_small_round_fits_every_corner_and_is_tangent_at_radius(
    w: float, first: tuple[float, float], second: tuple[float, float], share: float
) -> None:
    e, f = corner(w, first, second)
    assert turn(e, f) == pytest.approx(w, abs=1e-9)
    radius = share * small_enough(w, (first, second))
    got = made(round_corner(e, f, radius))
    assert isinstance(got.new, Arc) and got.before is not None and got.after is not None
    assert got.new.sweep * w > 0.0
    assert got.before.a == e.a and got.after.b == f.b
    assert (got.before.b, got.after.a) == (got.new.a, got.new.b)
    assert abs(turn(got.before, got.new)) <= TANGENT and abs(turn(got.new, got.after)) <= TANGENT
    for k in range(11):
        p = got.new.point_at(k / 10)
        assert math.dist(p, got.new.centre) == pytest.approx(radius, abs=NEAR)
        assert e.distance(got.new.centre) == pytest.approx(radius, abs=NEAR)
    for piece, whole in ((got.before, e), (got.after, f)):
        assert piece.length < whole.length
        assert all(whole.distance(piece.point_at(t)) <= NEAR for t in (0.0, 0.3, 0.7, 1.0))


@any_corner
@given(turns, legs, legs, st.floats(0.05, 1.0))
def test_a_corner_travelled_backwards_gets_the_same_round(
    w: float, first: tuple[float, float], second: tuple[float, float], share: float
) -> None:
    e, f = corner(w, first, second)
    radius = share * small_enough(w, (first, second))
    there, back = made(round_corner(e, f, radius)), made(round_corner(f.reversed(), e.reversed(), radius))
    assert math.dist(there.new.a, back.new.b) <= NEAR and math.dist(there.new.b, back.new.a) <= NEAR


@any_corner
@given(turns, legs, legs, st.floats(0.01, 60.0))
@example(1.5, (10.0, 0.0), (10.0, 0.0), 30.0)
@example(0.5, (10.0, 1.9), (10.0, -1.9), 12.0)
def test_any_round_is_sound_or_refused(
    w: float, first: tuple[float, float], second: tuple[float, float], radius: float
) -> None:
    """Whatever the size: never a wrong arc. What comes back is tangent, on both neighbours, at the radius."""
    e, f = corner(w, first, second)
    got = round_corner(e, f, radius)
    if isinstance(got, NoCorner):
        assert got.why in ("too large", "no room")
        assert got.why != "no room" or got.needs > got.there
        return
    assert isinstance(got.new, Arc)
    scale = max(e.length, f.length, radius)
    assert abs(math.dist(got.new.b, got.new.centre) - radius) <= 1e-8 * scale
    assert e.distance(got.new.a) <= 1e-8 * scale and f.distance(got.new.b) <= 1e-8 * scale
    assert got.new.sweep * w > 0.0
    if got.before is not None:
        assert abs(turn(got.before, got.new)) <= 1e-5
    if got.after is not None:
        assert abs(turn(got.new, got.after)) <= 1e-5


@any_corner
@given(turns, legs, legs, st.floats(0.01, 1.0))
def test_an_even_chamfer_takes_its_size_from_both(
    w: float, first: tuple[float, float], second: tuple[float, float], share: float
) -> None:
    e, f = corner(w, first, second)
    size = share * small_enough(w, (first, second))
    got = chamfer_corner(e, f, size)
    if isinstance(got, NoCorner):  # two legs bent towards the chamfer, hard enough that the line would cut into them
        assert got.why == "too large" and max(abs(first[1]), abs(second[1])) > 0.0
        return
    assert isinstance(got.new, Line)
    assert math.dist(got.new.a, (0.0, 0.0)) == pytest.approx(size, abs=NEAR)
    assert math.dist(got.new.b, (0.0, 0.0)) == pytest.approx(size, abs=NEAR)
    assert e.distance(got.new.a) <= NEAR and f.distance(got.new.b) <= NEAR
    assert got.before is not None and turn(got.before, got.new) * w > 0.0
    assert got.after is not None and turn(got.new, got.after) * w > 0.0


# Tangent length of a circular curve between two straights that turn by w: T = r tan(w / 2).
# Source: the standard formula of every surveying and drawing handbook; checked by hand for 90 degrees, T = r.
@pytest.mark.parametrize("degrees", [10.0, 30.0, 60.0, 90.0, 120.0, 150.0, -45.0, -90.0])
@pytest.mark.parametrize("radius", [0.2, 1.0, 3.0])
def test_round_between_lines_takes_the_tangent_length(degrees: float, radius: float) -> None:
    w = math.radians(degrees)
    got = made(round_corner(*corner(w, (30.0, 0.0), (30.0, 0.0)), radius))
    takes = radius * math.tan(abs(w) / 2.0)
    assert math.hypot(*got.new.a) == pytest.approx(takes, abs=NEAR)
    assert math.hypot(*got.new.b) == pytest.approx(takes, abs=NEAR)
    assert isinstance(got.new, Arc) and got.new.sweep == pytest.approx(w)


@pytest.mark.parametrize(
    ("ball", "neck", "fillet"), [(10.0, 4.0, 1.0), (10.0, 4.0, 2.5), (6.0, 5.5, 0.5), (8.0, 1.0, 3.0)]
)
def test_fillet_between_ball_and_cylinder(ball: float, neck: float, fillet: float) -> None:
    """By Pythagoras: the fillet's centre is ball + fillet from the ball's and neck + fillet from the axis."""
    at = (-math.sqrt(ball**2 - neck**2), neck)
    e = arc_about((0.0, 0.0), (ball, 0.0), at, ccw=True)
    got = made(round_corner(e, Line(at, (-40.0, neck)), fillet))
    assert isinstance(got.new, Arc) and got.new.sweep < 0.0
    z = -math.sqrt((ball + fillet) ** 2 - (neck + fillet) ** 2)
    assert got.new.centre == pytest.approx((z, neck + fillet), abs=NEAR)
    assert got.new.b == pytest.approx((z, neck), abs=NEAR)


def test_fillet_between_two_balls() -> None:
    """By the cosine rule: centres 15 apart, fillet's centre 10 + 2 from one and 7 + 2 from the other."""
    first, second, apart, fillet = 10.0, 7.0, 15.0, 2.0
    along = (apart**2 + first**2 - second**2) / (2.0 * apart)
    at = (-along, math.sqrt(first**2 - along**2))
    e = arc_about((0.0, 0.0), (first, 0.0), at, ccw=True)
    f = arc_about((-apart, 0.0), at, (-apart - second, 0.0), ccw=True)
    got = made(round_corner(e, f, fillet))
    k = (apart**2 + (first + fillet) ** 2 - (second + fillet) ** 2) / (2.0 * apart)
    assert isinstance(got.new, Arc)
    assert got.new.centre == pytest.approx((-k, math.sqrt((first + fillet) ** 2 - k**2)), abs=NEAR)


def test_round_on_the_rim_of_a_dome_lies_inside_both() -> None:
    """Dome of radius 20 cut at diameter 24 by a cylinder: centre at 20 - r from the dome's, 12 - r from the axis."""
    at = (math.sqrt(20.0**2 - 12.0**2), 12.0)
    got = made(round_corner(arc_about((0.0, 0.0), (20.0, 0.0), at, ccw=True), Line(at, (-5.0, 12.0)), 2.0))
    assert isinstance(got.new, Arc)
    assert got.new.centre == pytest.approx((math.sqrt(18.0**2 - 10.0**2), 10.0), abs=NEAR)


def face_and_cylinder(height: float = 10.0, length: float = 30.0) -> tuple[Line, Line]:
    return Line((0.0, 0.0), (0.0, height)), Line((0.0, height), (-length, height))


def test_chamfer_on_a_square_corner_is_45_degrees() -> None:
    got = made(chamfer_corner(*face_and_cylinder(), 1.5))
    assert (got.new.a, got.new.b) == (pytest.approx((0.0, 8.5)), pytest.approx((-1.5, 10.0)))


@pytest.mark.parametrize(
    ("size", "degrees", "across"), [(2.0, 30.0, 1.154701), (1.0, 45.0, 1.0), (1.0, 60.0, 1.732051)]
)
def test_chamfer_with_an_angle_is_long_along_the_axis(size: float, degrees: float, across: float) -> None:
    """across = size tan(angle); tan 30 = 0.577350, tan 60 = 1.732051 (any table of tangents)."""
    got = made(chamfer_corner(*face_and_cylinder(), size, angle=math.radians(degrees)))
    assert got.new.a == pytest.approx((0.0, 10.0 - across), abs=1e-6)
    assert got.new.b == pytest.approx((-size, 10.0), abs=1e-12)


def test_chamfer_with_an_angle_at_the_back_edge_leans_the_other_way() -> None:
    e, f = Line((0.0, 10.0), (-30.0, 10.0)), Line((-30.0, 10.0), (-30.0, 0.0))
    got = made(chamfer_corner(e, f, 2.0, angle=math.radians(30.0)))
    assert got.new.a == pytest.approx((-28.0, 10.0)) and got.new.b == pytest.approx((-30.0, 10.0 - 1.154701), abs=1e-6)


def test_chamfer_with_an_angle_against_an_arc_keeps_size_and_angle() -> None:
    at = (-math.sqrt(20.0**2 - 12.0**2), 12.0)
    e, f = Line((0.0, 12.0), at), arc_about((0.0, 0.0), at, (-20.0, 0.0), ccw=True)
    got = made(chamfer_corner(e, f, 1.5, angle=math.radians(15.0)))
    assert got.new.a[0] - got.new.b[0] == pytest.approx(1.5)
    assert (got.new.a[1] - got.new.b[1]) / 1.5 == pytest.approx(math.tan(math.radians(15.0)))
    assert math.hypot(*got.new.b) == pytest.approx(20.0, abs=NEAR)


def test_a_neighbour_may_be_used_up_to_its_last_hair() -> None:
    got = made(round_corner(*face_and_cylinder(height=3.0), 3.0))
    assert got.before is None and got.new.a == (0.0, 0.0)
    got = made(chamfer_corner(*face_and_cylinder(length=2.0), 2.0))
    assert got.after is None and got.new.b == (-2.0, 10.0)


# ---------------------------------------------------------------- reasons


def test_a_neighbour_too_short_is_named_with_figures() -> None:
    assert round_corner(*face_and_cylinder(height=3.0), 4.0) == NoCorner("no room", "before", 4.0, 3.0)
    assert round_corner(*face_and_cylinder(length=1.5), 4.0) == NoCorner("no room", "after", 4.0, 1.5)
    assert chamfer_corner(*face_and_cylinder(height=3.0), 4.0) == NoCorner("no room", "before", 4.0, 3.0)


def test_no_corner_where_two_surfaces_meet_smoothly() -> None:
    e, f = Line((0.0, 5.0), (-10.0, 5.0)), Line((-10.0, 5.0), (-20.0, 5.0))
    assert round_corner(e, f, 1.0) == NoCorner("smooth")
    assert chamfer_corner(e, f, 1.0) == NoCorner("smooth")
    assert round_corner(e, arc_about((-10.0, 0.0), (-10.0, 5.0), (-15.0, 0.0), ccw=True), 1.0) == NoCorner("smooth")


def test_no_corner_where_the_second_runs_back_along_the_first() -> None:
    e = Line((0.0, 5.0), (0.0, 9.0))
    assert round_corner(e, e.reversed(), 1.0) == NoCorner("folded")


def test_a_round_larger_than_the_dome_it_would_lie_in_is_too_large() -> None:
    at = (0.6, 0.8)
    dome = arc_about((0.0, 0.0), (1.0, 0.0), at, ccw=True)
    assert round_corner(dome, Line(at, (-30.0, 0.8)), 1.2) == NoCorner("too large")


def test_a_chamfer_wider_than_a_ball_is_too_large() -> None:
    ball = arc_about((0.0, 0.0), (1.0, 0.0), (0.6, 0.8), ccw=True)
    assert chamfer_corner(ball, Line((0.6, 0.8), (-30.0, 0.8)), 2.5) == NoCorner("too large")


@pytest.mark.parametrize(("first", "second"), [((10.0, -1.0), (10.0, 0.0)), ((10.0, 0.0), (10.0, -1.0))])
def test_a_chamfer_that_would_cut_into_a_bent_neighbour_is_too_large(
    first: tuple[float, float], second: tuple[float, float]
) -> None:
    """The bent leg turns 0.3 over the 3 mm cut, the corner only 0.2: the line would leave on the wrong side of it."""
    e, f = corner(0.2, first, second)
    assert chamfer_corner(e, f, 3.0) == NoCorner("too large")
    made(chamfer_corner(e, f, 0.1))


def test_an_angle_says_nothing_where_the_corner_leans_neither_way() -> None:
    e, f = Line((0.0, 5.0), (-5.0, 10.0)), Line((-5.0, 10.0), (-10.0, 5.0))
    assert chamfer_corner(e, f, 1.0, angle=0.5) == NoCorner("level")
    made(chamfer_corner(e, f, 1.0))


# ---------------------------------------------------------------- crossings of whole lines and circles


def test_crossings_by_hand() -> None:
    circle = arc_about((0.0, 0.0), (5.0, 0.0), (0.0, 5.0), ccw=True)
    other = arc_about((8.0, 0.0), (13.0, 0.0), (8.0, 5.0), ccw=True)
    assert sorted(crossings(Line((3.0, -9.0), (3.0, 9.0)), circle)) == [
        pytest.approx((3.0, -4.0)),
        pytest.approx((3.0, 4.0)),
    ]
    assert sorted(crossings(circle, other)) == [pytest.approx((4.0, -3.0)), pytest.approx((4.0, 3.0))]
    assert crossings(Line((0.0, 0.0), (1.0, 1.0)), Line((0.0, 2.0), (1.0, 1.0))) == [pytest.approx((1.0, 1.0))]
    assert crossings(Line((0.0, 6.0), (1.0, 6.0)), circle) == []
    assert crossings(Line((0.0, 6.0), (1.0, 6.0)), Line((0.0, 7.0), (1.0, 7.0))) == []
    assert crossings(circle, circle) == []
    assert crossings(circle, circle.moved((20.0, 0.0))) == []
