"""Swept regions against shapely's own convex hulls, joined: a road that shares nothing with the rings."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.geometry.elements import Arc, Line
from toolpath.proof.flatten import flattened
from toolpath.proof.shapes import covered, round_box
from toolpath.proof.sweep import Convex, convex_from, fronts, inset, outline, ring, single_moves, swept

from tests.proof.bench import rack  # isort: skip

AREA = 1e-9  # mm2, rounding of a few mm2


def hulls(tool: Convex, path: np.ndarray) -> shapely.Geometry:
    """The naive sweep: hull of the tool at both ends of each move, all joined."""
    pairs = [np.concatenate([tool.points + p, tool.points + q]) for p, q in pairwise(path)]
    return shapely.union_all([shapely.MultiPoint(p).convex_hull for p in pairs])


def same(a: shapely.Geometry, b: shapely.Geometry) -> bool:
    return float(shapely.symmetric_difference(a, b).area) < AREA * max(1.0, a.length)


@st.composite
def convex(draw: st.DrawFn) -> Convex:
    """A random convex polygon: points on a random ellipse, turned."""
    angles = sorted(draw(st.lists(st.floats(0.0, 6.28), min_size=3, max_size=24, unique_by=lambda a: round(a, 2))))
    a, b, turn = draw(st.floats(0.2, 8.0)), draw(st.floats(0.2, 8.0)), draw(st.floats(0.0, 3.1))
    p = np.stack([a * np.cos(angles), b * np.sin(angles)], axis=1)
    p = p @ np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    return convex_from(p)


steps = st.tuples(st.floats(-3.0, 3.0), st.floats(-3.0, 3.0)).filter(lambda s: abs(s[0]) + abs(s[1]) > 1e-3)


@settings(max_examples=120, deadline=None)
@given(convex(), st.lists(steps, min_size=1, max_size=12), st.sampled_from([0.01, 0.2, 1.0]))
def test_any_way_covers_what_joined_hulls_cover(tool: Convex, moves: list[tuple[float, float]], scale: float) -> None:
    path = np.concatenate([[[0.0, 0.0]], np.cumsum(np.array(moves) * scale, axis=0)])
    assert same(shapely.union_all(swept(tool, path)), hulls(tool, path))


@settings(max_examples=60, deadline=None)
@given(convex(), st.floats(0.05, 12.0), st.floats(-6.0, 6.0).filter(lambda w: abs(w) > 0.05), st.integers(4, 60))
def test_curves_either_way_tighter_and_wider_than_the_tool(tool: Convex, radius: float, sweep: float, n: int) -> None:
    w = np.linspace(0.0, sweep, n + 1)
    path = radius * np.stack([np.cos(w), np.sin(w)], axis=1)
    assert same(shapely.union_all(swept(tool, path)), hulls(tool, path))


@settings(max_examples=60, deadline=None)
@given(convex(), st.lists(steps, min_size=2, max_size=10))
def test_a_ring_that_does_not_cross_itself_is_the_sweep(tool: Convex, moves: list[tuple[float, float]]) -> None:
    """The theorem of the module: for every ring, not only those that `swept` happens to try."""
    path = np.concatenate([[[0.0, 0.0]], np.cumsum(np.array(moves), axis=0)])
    polygon = shapely.Polygon(ring(tool, path))
    assert not polygon.is_valid or same(polygon, hulls(tool, path))


def test_a_real_insert_down_a_shoulder_and_back_over_its_own_way() -> None:
    tool = outline(rack()[1].outline, 1e-4, outside=True)
    path = np.array([(0, 10), (-5, 10), (-5, 12), (-3, 12), (-3, 10), (-6, 10), (-6, 10.01), (0, 10.0)], dtype=float)
    assert same(shapely.union_all(swept(tool, path)), hulls(tool, path))


def test_smooth_ways_take_one_ring() -> None:
    """A quarter of a 12 mm dome by a 0.2 mm nose, as a finishing pass makes it: no joining is needed."""
    tool = outline(rack()[2].outline, 2e-5, outside=True)
    w = np.linspace(0.0, math.pi / 2.0, 400)
    assert len(swept(tool, 12.2 * np.stack([np.cos(w), np.sin(w)], axis=1))) == 1


def test_area_of_a_straight_move_in_closed_form() -> None:
    """A convex body of area A and width w across the way covers A + w L."""
    tool = convex_from(np.array([(0, 0), (2, 0), (2, 5), (0, 5)], dtype=float))
    moves = single_moves(tool, np.zeros((2, 2)), np.array([(-7.0, 0.0), (3.0, 4.0)]))
    across = 2.0 * 0.8 + 5.0 * 0.6  # seen along (3, 4) / 5
    assert shapely.area(moves) == pytest.approx([10.0 + 5.0 * 7.0, 10.0 + across * 5.0])


@pytest.mark.parametrize("outside", [True, False])
def test_outlines_lie_on_their_side_and_within_the_tolerance(outside: bool) -> None:
    nose = (
        Arc((1.0, 0.0), (0.0, 1.0), (0.0, 0.0), math.pi / 2.0),
        Line((0.0, 1.0), (0.0, 0.0)),
        Line((0.0, 0.0), (1.0, 0.0)),
    )
    points = outline(nose, 1e-4, outside=outside).points
    edges = shapely.linestrings(np.stack([points, np.roll(points, -1, axis=0)], axis=1))
    middles = shapely.get_coordinates(shapely.line_interpolate_point(edges, 0.5, normalized=True))
    radii = np.hypot(*np.concatenate([points, middles]).T)
    curved = np.concatenate([points, middles]).min(axis=1) > 1e-6
    off = radii[curved] - 1.0
    assert (off >= -1e-12).all() if outside else (off <= 1e-12).all()
    assert 0.0 < np.abs(off).max() <= 1e-4


def test_both_bounds_of_every_tool_are_less_than_a_tenth_of_a_micrometre_apart() -> None:
    for tool in rack().values():
        inner, outer = (shapely.Polygon(outline(tool.outline, 2e-5, outside=o).points) for o in (False, True))
        assert outer.buffer(1e-9).contains(inner)
        assert shapely.hausdorff_distance(inner.exterior, outer.exterior, densify=0.02) < 1e-4


def test_flattening_keeps_the_ends_as_given() -> None:
    arc = Arc((1.0, 0.0), (-0.6, 0.8), (0.0, 0.0), 2.214297435588181)
    for outside in (False, True):
        points = flattened(arc, 1e-3, outside=outside)
        assert tuple(points[-1]) == arc.b
        radii = np.hypot(*points[:-1].T)
        assert np.abs(radii - 1.0).max() <= (2.1e-3 if outside else 1e-12)


def test_inset_is_smaller_all_round() -> None:
    tool = outline(rack()[1].outline, 1e-4, outside=True)
    small = shapely.Polygon(inset(tool, 0.01).points)
    assert shapely.distance(small.exterior, shapely.Polygon(tool.points).exterior) == pytest.approx(0.01, abs=1e-6)


def test_the_front_is_the_side_that_meets_metal() -> None:
    tool = convex_from(np.array([(0, 0), (2, 0), (2, 5), (0, 5)], dtype=float))
    left, up = fronts(tool, np.array([(10.0, 1.0), (10.0, 1.0)]), np.array([math.pi, math.pi / 2.0]))
    assert left.bounds == (10.0, 1.0, 10.0, 6.0) and up.bounds == (10.0, 6.0, 12.0, 6.0)


def test_beyond_the_axis_the_mirror_image_is_covered_as_well() -> None:
    tool = convex_from(np.array([(0, 0), (2, 0), (2, 5), (0, 5)], dtype=float))
    pieces = shapely.union_all(covered(tool, np.array([(0.0, 4.0), (0.0, -1.0)])))
    assert pieces.bounds == (0.0, -9.0, 2.0, 9.0)
    assert pieces.contains(shapely.Point(1.0, 0.5))


@settings(max_examples=40, deadline=None)
@given(convex(), st.floats(0.0, 9.0), st.floats(0.0, 9.0))
def test_the_room_of_a_way_is_never_less_than_the_way(tool: Convex, dz: float, dx: float) -> None:
    way = np.array([(0.0, 20.0), (dz, 20.0), (dz, 20.0 + dx), (0.0, 20.0 + dx)])
    room = shapely.union_all(round_box(tool, (0.0, 20.0, dz, 20.0 + dx)))
    assert room.buffer(1e-9).contains(shapely.MultiPoint(np.concatenate([tool.points + p for p in way])))
