"""Lines, arcs and chains: what must hold for any of them, checked against plain formulas and shapely."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint

from toolpath.geometry.elements import (
    TURN,
    Arc,
    Chain,
    Element,
    Line,
    Point,
    arc_about,
    gaps,
    points_of,
    polyline,
    reverse,
    signed_area,
)

NEAR = 1e-9  # mm; elements below are at most a few hundred millimetres long

coordinates = st.floats(-100.0, 100.0)
points = st.tuples(coordinates, coordinates)
lines = st.builds(Line, points, points).filter(lambda e: e.length > 1e-3)


def arc(centre: Point, radius: float, start: float, sweep: float) -> Arc:
    def at(w: float) -> Point:
        return (centre[0] + radius * math.cos(w), centre[1] + radius * math.sin(w))

    return Arc(at(start), at(start + sweep), centre, sweep)


sweeps = st.one_of(st.floats(0.01, TURN - 0.01), st.floats(-TURN + 0.01, -0.01))
arcs = st.builds(arc, points, st.floats(0.05, 200.0), st.floats(-4.0, 4.0), sweeps)
elements = st.one_of(lines, arcs)
parameters = st.floats(0.0, 1.0)
any_element = settings(max_examples=50, deadline=None)


def dense(e: Element, n: int = 200) -> list[Point]:
    return [e.point_at(k / n) for k in range(n + 1)]


@any_element
@given(elements)
def test_ends_are_exact(e: Element) -> None:
    assert (e.point_at(0.0), e.point_at(1.0)) == (e.a, e.b)
    assert e.point_at(-0.5) == e.a and e.point_at(1.5) == e.b


@any_element
@given(elements, parameters)
def test_the_parameter_of_a_point_on_the_element_is_found_again(e: Element, t: float) -> None:
    p = e.point_at(t)
    assert math.dist(e.point_at(e.parameter_of(p)), p) <= NEAR
    assert e.distance(p) <= NEAR


@any_element
@given(elements, st.floats(0.001, 0.999))
def test_the_tangent_is_the_limit_of_chords(e: Element, t: float) -> None:
    h = 1e-6
    p, q = e.point_at(t - h), e.point_at(t + h)
    chord = math.dist(p, q)
    tz, tx = e.tangent_at(t)
    assert math.isclose(math.hypot(tz, tx), 1.0, abs_tol=1e-12)
    assert math.dist((tz, tx), ((q[0] - p[0]) / chord, (q[1] - p[1]) / chord)) <= 1e-4


@any_element
@given(elements)
def test_length_is_the_limit_of_chords(e: Element) -> None:
    pts = dense(e, 2000)
    chords = sum(math.dist(p, q) for p, q in pairwise(pts))
    assert chords <= e.length * (1.0 + 1e-9)
    assert chords >= e.length * (1.0 - (TURN / 2000) ** 2 / 20.0)


@any_element
@given(elements, points)
def test_distance_agrees_with_the_nearest_of_many_samples(e: Element, p: Point) -> None:
    step = e.length / 200
    nearest = min(math.dist(p, q) for q in dense(e))
    assert e.distance(p) <= nearest + NEAR
    assert nearest - e.distance(p) <= step


@any_element
@given(lines, points)
def test_distance_to_a_line_agrees_with_shapely(e: Line, p: Point) -> None:
    assert e.distance(p) == pytest.approx(LineString([e.a, e.b]).distance(ShapelyPoint(p)), abs=1e-9)


@any_element
@given(elements)
def test_bounds_hold_every_point_and_are_touched(e: Element) -> None:
    z0, x0, z1, x1 = e.bounds()
    pts = dense(e)
    assert all(z0 - NEAR <= z <= z1 + NEAR and x0 - NEAR <= x <= x1 + NEAR for z, x in pts)
    slack = e.length / 200
    assert min(z for z, _ in pts) <= z0 + slack and max(z for z, _ in pts) >= z1 - slack
    assert min(x for _, x in pts) <= x0 + slack and max(x for _, x in pts) >= x1 - slack


@any_element
@given(elements)
def test_reversed_twice_is_the_same(e: Element) -> None:
    assert e.reversed().reversed() == e
    assert math.dist(e.reversed().point_at(0.25), e.point_at(0.75)) <= NEAR


@any_element
@given(elements, parameters, parameters, parameters)
def test_a_part_lies_on_the_whole(e: Element, t0: float, t1: float, t: float) -> None:
    p = e.part(t0, t1).point_at(t)
    assert math.dist(p, e.point_at(t0 + t * (t1 - t0))) <= 1e-8


@any_element
@given(arcs, st.floats(-0.5, -0.01), st.floats(1.01, 1.5))
def test_a_part_never_goes_past_the_ends(e: Arc, t0: float, t1: float) -> None:
    assert e.part(t0, t1) == e


@any_element
@given(elements, points)
def test_moving_moves_every_point(e: Element, d: Point) -> None:
    p, q = e.point_at(0.3), e.moved(d).point_at(0.3)
    assert math.dist((p[0] + d[0], p[1] + d[1]), q) <= NEAR


@any_element
@given(arcs, st.floats(1e-4, 5.0))
@example(arc((0.0, 0.0), 0.4, 0.0, 5.5), 0.5)  # a chord across would leave the arc by almost a diameter
@example(arc((0.0, 0.0), 0.4, 0.0, -5.5), 5.0)
def test_chords_stay_inside_the_circle_and_near(e: Arc, tolerance: float) -> None:
    broken = LineString([e.a, *e.flattened(tolerance)])
    r = e.radius
    inside = [math.dist(e.centre, p) for p in broken.segmentize(e.length / 200).coords]
    assert max(inside) <= r + NEAR
    assert all(broken.distance(ShapelyPoint(p)) <= tolerance + NEAR for p in dense(e, 100))


@any_element
@given(arcs, st.floats(1e-4, 5.0))
@example(arc((0.0, 0.0), 0.4, 0.0, 5.5), 0.5)
@example(arc((0.0, 0.0), 0.4, 0.0, -5.5), 5.0)
def test_tangents_stay_outside_the_circle_and_near(e: Arc, tolerance: float) -> None:
    broken = LineString([e.a, *e.flattened(tolerance, outside=True)])
    r = e.radius
    far = [math.dist(e.centre, p) for p in broken.segmentize(e.length / 200).coords]
    assert min(far) >= r - NEAR
    assert max(far) <= r + tolerance + NEAR
    assert math.dist(broken.coords[-1], e.b) <= NEAR


@any_element
@given(points, points, points)
def test_an_arc_about_a_centre_turns_the_way_it_was_asked(c: Point, a: Point, b: Point) -> None:
    left, right = arc_about(c, a, b, ccw=True), arc_about(c, a, b, ccw=False)
    assert 0.0 <= left.sweep <= TURN and -TURN <= right.sweep <= 0.0
    if 1e-9 < left.sweep < TURN - 1e-9:
        assert left.sweep - right.sweep == pytest.approx(TURN)


def half_disc(radius: float) -> Chain:
    a, b = (radius, 0.0), (-radius, 0.0)
    return (arc_about((0.0, 0.0), a, b, ccw=True), Line(b, a))


@pytest.mark.parametrize("radius", [0.01, 1.0, 12.5, 250.0])
def test_area_of_a_half_disc(radius: float) -> None:
    """Source: area of a circle, pi r²."""
    assert signed_area(half_disc(radius)) == pytest.approx(math.pi * radius**2 / 2.0, rel=1e-12)
    assert signed_area(reverse(half_disc(radius))) == pytest.approx(-math.pi * radius**2 / 2.0, rel=1e-12)


@any_element
@given(st.lists(points, min_size=3, max_size=8, unique=True))
def test_area_of_a_polygon_agrees_with_shapely(corners: list[Point]) -> None:
    outline = Polygon(corners)
    if outline.is_valid and outline.area > 1e-6:
        sign = 1.0 if outline.exterior.is_ccw else -1.0
        assert signed_area(polyline(corners, close=True)) == pytest.approx(sign * outline.area, abs=1e-7)


@pytest.mark.parametrize("tolerance", [0.01, 0.3, 4.0, 20.0])
def test_bent_to_a_side_bounds_the_area_from_that_side(tolerance: float) -> None:
    """Counter-clockwise, the inside is on the left: kept to the left is inscribed, to the right circumscribed."""
    disc = half_disc(10.0)
    true_area = signed_area(disc)
    inside = Polygon(points_of(disc, tolerance, outside_left=True)).area
    outside = Polygon(points_of(disc, tolerance, outside_left=False)).area
    assert inside < true_area < outside
    clockwise = reverse(disc)
    assert Polygon(points_of(clockwise, tolerance, outside_left=True)).area == pytest.approx(outside)
    assert Polygon(points_of(clockwise, tolerance, outside_left=False)).area == pytest.approx(inside)


def test_gaps_name_the_element_before_the_gap() -> None:
    chain = (Line((0.0, 0.0), (1.0, 0.0)), Line((1.0, 0.0), (1.0, 1.0)), Line((1.0, 1.1), (0.0, 1.1)))
    assert list(gaps(chain, 0.01)) == [1]
    assert list(gaps(chain, 0.2)) == []


def test_a_polyline_leaves_steps_of_no_length_out() -> None:
    assert polyline([(0.0, 0.0), (0.0, 0.0), (2.0, 0.0)]) == (Line((0.0, 0.0), (2.0, 0.0)),)
    assert len(polyline([(0.0, 0.0), (2.0, 0.0), (2.0, 1.0)], close=True)) == 3
    assert points_of((), 0.1) == []
