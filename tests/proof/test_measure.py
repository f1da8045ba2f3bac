"""Volumes against Pappus' closed forms, farthest points against brute force."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.geometry.elements import Arc, Line, polyline
from toolpath.proof.measure import Surface, outlines, region, volume, worst

from tests.proof.bench import box  # isort: skip


@pytest.mark.parametrize(
    "chain, exact",
    [
        (box(-20.0, 0.0, 5.0), math.pi * 25.0 * 20.0),  # cylinder
        (polyline([(0.0, 0.0), (0.0, 6.0), (-9.0, 0.0)], close=True), math.pi * 36.0 * 9.0 / 3.0),  # cone
        (
            (Arc((4.0, 0.0), (-4.0, 0.0), (0.0, 0.0), math.pi), Line((-4.0, 0.0), (4.0, 0.0))),
            4.0 / 3.0 * math.pi * 64.0,
        ),
        (box(-3.0, 0.0, 9.0, x0=7.0), math.pi * (81.0 - 49.0) * 3.0),  # ring
        (
            (
                Arc((2.0, 10.0), (-2.0, 10.0), (0.0, 10.0), math.pi),
                Arc((-2.0, 10.0), (2.0, 10.0), (0.0, 10.0), math.pi),
            ),
            2.0 * math.pi**2 * 10.0 * 4.0,  # torus: area times the way of its centre (Pappus)
        ),
    ],
    ids=["cylinder", "cone", "ball", "ring", "torus"],
)
def test_volumes_of_bodies_of_revolution(chain: tuple[Line | Arc, ...], exact: float) -> None:
    assert volume(region([chain])) == pytest.approx(exact, rel=2e-5)


def test_volumes_do_not_hang_on_the_sense_of_the_outline() -> None:
    p = [(0.0, 0.0), (0.0, 6.0), (-9.0, 0.0)]
    assert volume(region([polyline(p, close=True)])) == pytest.approx(volume(region([polyline(p[::-1], close=True)])))


def test_a_hole_is_no_volume() -> None:
    body = region([box(-10.0, 0.0, 8.0)]) - region([box(-6.0, -2.0, 5.0, x0=3.0)])
    assert volume(body) == pytest.approx(math.pi * (64.0 * 10.0 - (25.0 - 9.0) * 4.0))


def brute(area: shapely.Geometry, surface: shapely.Geometry) -> float:
    points = shapely.get_coordinates(shapely.segmentize(area, 0.004))
    return float(shapely.distance(shapely.points(points), surface).max())


coordinates = st.floats(0.5, 9.5)


@settings(max_examples=80, deadline=None)
@given(st.lists(st.tuples(coordinates, coordinates), min_size=3, max_size=7, unique=True))
def test_farthest_points_against_brute_force(corners: list[tuple[float, float]]) -> None:
    """A random shape within a block with a notch; the block's edge on the axis is no surface."""
    block = region([box(0.0, 10.0, 10.0)]) - shapely.box(4.0, 6.0, 5.0, 10.0)
    area = shapely.MultiPoint(corners).convex_hull
    if area.geom_type != "Polygon":
        return
    surface = shapely.difference(block.boundary, shapely.LineString([(0.0, 0.0), (10.0, 0.0)]))
    depth, at = worst(Surface.of(block).farthest(np.array([area])))
    assert depth >= brute(area, surface) * 0.998 - 2e-4
    assert at is not None and shapely.distance(shapely.Point(at), surface) == pytest.approx(depth, abs=1e-9)
    assert shapely.distance(shapely.Point(at), area) < 1e-9


def test_the_farthest_point_may_lie_in_the_middle_of_an_edge() -> None:
    """A corner cut off at 45 degrees: both ends of the cut lie on the surface, its middle is 1/sqrt 2 away."""
    block = region([box(-10.0, 0.0, 10.0)])
    cut = shapely.Polygon([(0.0, 8.0), (0.0, 10.0), (-2.0, 10.0)])
    depth, at = worst(Surface.of(block).farthest(np.array([cut])))
    assert depth == pytest.approx(1.0, abs=1e-4) and at == pytest.approx((-1.0, 9.0), abs=1e-2)


def test_the_farthest_point_may_lie_inside() -> None:
    block = region([box(-10.0, 10.0, 30.0, x0=10.0)])
    depth, _ = worst(Surface.of(block).farthest(np.array([shapely.box(-9.0, 11.0, 9.0, 29.0)])))
    assert depth == pytest.approx(10.0, abs=0.3)


def test_near_points_against_shapely() -> None:
    """The corners of the surface themselves, corners on the axis, and points anywhere, all asked at once."""
    body = shapely.Polygon([(-30, 0), (0, 0), (0, 4), (-6, 5.5), (-9, 5.5), (-9, 9), (-30, 9)])
    surface = Surface.of(body)
    rest = np.random.default_rng(1).uniform((-35.0, -2.0), (5.0, 12.0), (40, 2))
    points = np.concatenate([shapely.get_coordinates(body), rest])
    index, distance = surface.near(points)
    outside = shapely.LineString([(0, 0), (0, 4), (-6, 5.5), (-9, 5.5), (-9, 9), (-30, 9), (-30, 0)])
    assert distance == pytest.approx(shapely.distance(shapely.points(points), outside), abs=1e-12)
    assert surface.distance_to(index, points) == pytest.approx(distance, abs=1e-12)


def test_the_axis_is_no_surface() -> None:
    """Cut through, a bar of radius 10 has lost points 10 mm from its surface, not 5."""
    bar = region([box(-50.0, 50.0, 10.0)])
    depth, at = worst(Surface.of(bar).farthest(np.array([shapely.box(-1.0, 0.0, 1.0, 10.0)])))
    assert depth == pytest.approx(10.0, abs=1e-6) and at is not None and at[1] == pytest.approx(0.0)


def test_outlines_are_closed_lists_of_points() -> None:
    (outer,) = outlines(region([box(-2.0, 0.0, 3.0)]))
    assert outer[0] == outer[-1] and set(outer) == {(-2.0, 0.0), (0.0, 0.0), (0.0, 3.0), (-2.0, 3.0)}
