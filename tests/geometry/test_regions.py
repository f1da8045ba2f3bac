"""Regions between two surfaces: where they are, how thick, and that both surfaces close."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.geometry.elements import Chain, Line, Point, arc_about, polyline
from toolpath.geometry.regions import Region, regions
from toolpath.geometry.uncut import farthest

FLOOR = polyline([(-20.0, 1.0), (0.0, 1.0)])


def closed(r: Region) -> bool:
    ends = [(e.b, f.a) for e, f in zip(r.outline, (*r.outline[1:], r.outline[0]), strict=True)]
    return all(math.dist(a, b) < 1e-9 for a, b in ends)


def over(points: list[Point], under: Chain = FLOOR) -> list[Region]:
    return regions(polyline(points), under, (-20.0, 0.0), least=1e-4)


def test_nothing_lies_between_a_surface_and_itself() -> None:
    assert regions(FLOOR, FLOOR, (-20.0, 0.0), least=1e-4) == []


def test_a_step_is_as_thick_as_it_is_high() -> None:
    (r,) = over([(-20.0, 1.0), (-12.0, 1.0), (-12.0, 1.5), (-8.0, 1.5), (-8.0, 1.0), (0.0, 1.0)])
    assert r.span == (-12.0, -8.0) and r.thick == pytest.approx(0.5, abs=1e-9) and closed(r)


def test_two_hills_are_two_regions_from_left_to_right() -> None:
    a, b = over(
        [(-20.0, 1.0), (-15.0, 1.0), (-14.0, 2.0), (-13.0, 1.0), (-6.0, 1.0), (-5.0, 1.2), (-4.0, 1.0), (0.0, 1.0)]
    )
    assert a.at == pytest.approx((-14.0, 2.0)) and b.at == pytest.approx((-5.0, 1.2))
    assert (a.thick, b.thick) == pytest.approx((1.0, 0.2))


def test_what_leans_on_a_wall_is_measured_to_wall_and_floor() -> None:
    """A slope of 45 degrees from a wall 3 high to the floor: its middle is 1.5 from both, by geometry."""
    neck = polyline([(-20.0, 1.0), (-5.0, 1.0), (-5.0, 4.0), (0.0, 4.0)])
    (r,) = over([(-20.0, 1.0), (-8.0, 1.0), (-5.0, 4.0), (0.0, 4.0)], neck)
    assert r.thick == pytest.approx(1.5, abs=2e-3) and r.at == pytest.approx((-6.5, 2.5), abs=5e-3) and closed(r)


def test_the_round_that_a_nose_leaves_in_a_corner() -> None:
    """The middle of a nose's arc stands (1 - 1 / sqrt 2) r off wall and floor, by geometry."""
    neck = polyline([(-20.0, 1.0), (-5.0, 1.0), (-5.0, 4.0), (0.0, 4.0)])
    round_ = arc_about((-5.8, 1.8), (-5.8, 1.0), (-5.0, 1.8), ccw=True)
    left = (Line((-20.0, 1.0), (-5.8, 1.0)), round_, Line((-5.0, 1.8), (-5.0, 4.0)), Line((-5.0, 4.0), (0.0, 4.0)))
    (r,) = regions(left, neck, (-20.0, 0.0), least=1e-4)
    assert r.thick == pytest.approx((1.0 - math.sqrt(0.5)) * 0.8, abs=5e-4)


@pytest.mark.parametrize("end", [-1.0, -0.855, -0.7])
def test_a_round_tool_in_a_corner_is_measured_where_its_middle_stands(end: float) -> None:
    """A round of 3 between wall and floor is farthest in its middle, (1 - 1 / sqrt 2) r, wherever its arc is cut."""
    neck = polyline([(-20.0, 1.0), (-5.0, 1.0), (-5.0, 4.0), (0.0, 4.0)])
    cut = (-8.0 + 3.0 * math.cos(end), 4.0 + 3.0 * math.sin(end))
    arc = arc_about((-8.0, 4.0), (-8.0, 1.0), cut, ccw=True)
    thick, at = farthest((arc,), neck)
    there = (-8.0 + 3.0 * math.sqrt(0.5), 4.0 - 3.0 * math.sqrt(0.5))
    expected = 3.0 - 3.0 * math.sqrt(0.5) if end > -math.pi / 4.0 else cut[1] - 1.0
    assert thick == pytest.approx(expected, abs=1.1e-3)
    assert math.dist(at, there if end > -math.pi / 4.0 else cut) < 5e-3


@given(st.floats(0.5, 6.0), st.floats(0.2, 3.0), st.floats(-2.0, 2.0), st.floats(0.3, 2.8))
def test_no_point_of_an_arc_is_farther_than_the_farthest(
    radius: float, over_: float, turn: float, sweep: float
) -> None:
    """Held against the arc's own points, 2 000 of them, by brute force."""
    under = (*polyline([(-9.0, 0.0), (0.0, 0.0)]), arc_about((0.0, 2.0), (0.0, 0.0), (2.0, 2.0), ccw=True))
    centre = (-1.0, over_ + radius)
    a, b = ((centre[0] + radius * math.cos(w), centre[1] + radius * math.sin(w)) for w in (turn, turn + sweep))
    arc = arc_about(centre, a, b, ccw=True)
    thick, at = farthest((arc,), under)
    brute = max(min(e.distance(arc.point_at(k / 2000.0)) for e in under) for k in range(2001))
    assert brute <= thick * 1.001 + 1.1e-4 and thick <= brute + 0.01
    assert min(e.distance(at) for e in under) == pytest.approx(thick, abs=1e-9)


def test_only_what_lies_within_counts() -> None:
    high = polyline([(-20.0, 2.0), (0.0, 2.0)])
    (r,) = regions(high, FLOOR, (-9.0, -4.0), least=1e-4)
    assert r.span == (-9.0, -4.0)


@given(st.lists(st.tuples(st.floats(0.1, 3.0), st.floats(-2.0, 2.0)), min_size=2, max_size=8))
def test_thick_is_the_greatest_height_over_a_flat_floor(steps: list[tuple[float, float]]) -> None:
    points, z = [(-20.0, 1.0)], -20.0
    for along, height in steps:
        z += along * 20.0 / 30.0
        points.append((z, 1.0 + height))
    points.append((0.0, 1.0))
    found = over(points)
    highest = max(h for _, h in steps)
    assert max((r.thick for r in found), default=0.0) == pytest.approx(max(highest, 0.0), abs=2.1e-3)
    assert all(closed(r) for r in found)
