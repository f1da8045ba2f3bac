"""The surface a tool leaves along a way on which it touches nothing, against the tool at thousands of places."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import blade, box, cutters, nose_tool, profiles, round_tool
from tests.oracles.graphs import lower, surface
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Arc, Chain, Line, Point, arc_about, polyline
from toolpath.geometry.frame import Frame
from toolpath.geometry.trail import mirrored, trail

MIRROR = Frame("mirror", -1, 0, 0, 1)
RAD = math.radians


def lowest(ways: Chain, tool: Chain, xs: np.ndarray) -> np.ndarray:
    """Lowest height the tool has at xs while it stands at thousands of places of its way."""
    under = lower(tool)
    spots = np.array([e.point_at(k / 400) for e in ways for k in range(401)])
    return np.array([float(np.min(under.height(x - spots[:, 0]) + spots[:, 1])) for x in xs])


def test_a_round_down_a_slope_leaves_the_slope_between_its_ends() -> None:
    """R 2 down 3 along 4: the slope 2 square off its centre, which is 2 over the point that moves."""
    way = (Line((0.0, 10.0), (4.0, 7.0)),)
    left = trail(way, cutter(round_tool(2.0), fit_tolerance=0.0), (-2.0, 6.0))
    first, slope, last = left
    assert isinstance(first, Arc) and isinstance(slope, Line) and isinstance(last, Arc)
    assert (slope.a, slope.b) == (pytest.approx((-1.2, 10.4)), pytest.approx((2.8, 7.4)))
    assert (left[0].a, left[-1].b) == (pytest.approx((-2.0, 12.0)), pytest.approx((6.0, 9.0)))


@pytest.mark.parametrize(("bend", "radius"), [(5.0, 7.0), (1.0, 3.0)])
def test_a_round_about_a_hollow_bend_leaves_a_hollow_wider_by_its_radius(bend: float, radius: float) -> None:
    """The round hangs below its centre, so the hollow that it leaves is wider than the bend of its way."""
    way = (arc_about((0.0, 10.0), (-0.6 * bend, 10.0 - 0.8 * bend), (0.6 * bend, 10.0 - 0.8 * bend), ccw=True),)
    left = trail(way, cutter(round_tool(2.0), fit_tolerance=0.0), (-0.1, 0.1))
    (floor,) = left
    assert isinstance(floor, Arc)
    assert (floor.centre, floor.radius) == (pytest.approx((0.0, 12.0), abs=1e-9), pytest.approx(radius))


def test_over_a_bend_tighter_than_its_nose_the_round_leaves_a_ridge() -> None:
    """Over a bulge of R 1 a round of R 2 stands lowest at the two ends of its way."""
    way = (arc_about((0.0, 0.0), (-0.6, 0.8), (0.6, 0.8), ccw=False),)
    left = trail(way, cutter(round_tool(2.0), fit_tolerance=0.0), (-0.5, 0.5))
    assert [e.centre for e in left if isinstance(e, Arc)] == [pytest.approx((-0.6, 2.8)), pytest.approx((0.6, 2.8))]
    assert left[0].b == pytest.approx((0.0, 2.8 - math.sqrt(4.0 - 0.36)))


def test_up_a_wall_only_the_foot_counts() -> None:
    foot: Point = (3.0, 1.0)
    left = trail((Line(foot, (3.0, 6.0)),), cutter(blade(2.0, (0.0, 0.0)), fit_tolerance=0.0), (3.0, 5.0))
    assert surface(left, np.array([3.1, 4.0, 4.9])) == pytest.approx([1.0, 1.0, 1.0])


@given(tool=cutters())
def test_a_mirrored_cutter_is_that_of_the_mirrored_tool(tool: Chain) -> None:
    ours, theirs = mirrored(cutter(tool)), cutter(MIRROR.outline(tool))
    assert ours.start == pytest.approx(theirs.start, abs=1e-9)
    for p, q in zip(ours.pieces, theirs.pieces, strict=True):
        assert (p.high, p.low, p.radius) == pytest.approx((q.high, q.low, q.radius), abs=1e-9)
        assert (p.du, p.dv, p.touch) == pytest.approx((q.du, q.dv, q.touch), abs=1e-9)


def test_mirrored_twice_is_the_cutter_again() -> None:
    for tool in (nose_tool(0.4, (RAD(30.0), RAD(93.0)), tip=-1), box(2.0, 6.0, 3.0, high=20.0)):
        cut = cutter(tool)
        again = mirrored(mirrored(cut))
        assert again.start == pytest.approx(cut.start, abs=1e-12) and len(again.pieces) == len(cut.pieces)


@given(ways=profiles(most=5, steps=False), tool=cutters(), share=st.floats(0.0, 0.9))
@settings(max_examples=30, deadline=None)
def test_as_the_tool_at_thousands_of_places(ways: Chain, tool: Chain, share: float) -> None:
    """Any tool along any way: joined, never above where the tool goes, and but for the grid never below it."""
    lo = ways[0].a[0] + share * (ways[-1].b[0] - ways[0].a[0])
    left = trail(ways, cutter(tool, fit_tolerance=0.0), (lo, ways[-1].b[0]))
    assert (left[0].a[0], left[-1].b[0]) == pytest.approx((lo, ways[-1].b[0]))
    assert all(math.dist(p.b, q.a) <= 1e-6 for p, q in pairwise(left))
    ends = np.array([p[0] for e in (*left, *ways) for p in (e.a, e.b)])
    xs = np.array([x for x in np.linspace(lo, ways[-1].b[0], 40)[1:-1] if np.abs(ends - x).min() > 2e-3])
    if not len(xs):
        return
    truth, here = lowest(ways, tool, xs), surface(left, xs)
    assert (here <= truth + 1e-6).all()
    steep = np.abs(surface(left, xs + 1e-3) - surface(left, xs - 1e-3))
    grid = max(e.length for e in ways) / 400.0
    assert (here >= truth - 0.02 - steep * (1.0 + grid / 1e-3)).all()


def test_along_a_level_the_flat_end_of_a_blade_leaves_a_level() -> None:
    way = polyline([(0.0, 4.0), (10.0, 4.0)])
    left = trail(way, cutter(blade(2.0, (0.1, 0.1)), fit_tolerance=0.0), (1.0, 9.0))
    assert surface(left, np.array([1.5, 5.0, 8.5])) == pytest.approx([4.0, 4.0, 4.0])


def test_beyond_the_ends_by_a_hair_it_is_what_was_passed_over() -> None:
    """R 2 ends at 6: a digit beyond there is no surface; the heights at which the way begins and ends count."""
    way = (Line((0.0, 10.0), (1.0, 9.5)), Line((1.0, 9.5), (2.0, 9.0)), Line((2.0, 9.0), (4.0, 5.0)))
    hair = (6.0 + 1e-12, 6.0 + 2e-12)
    (past,) = trail(way, cutter(round_tool(2.0), fit_tolerance=0.0), hair)
    assert (past.a, past.b) == ((hair[0], 10.0), (hair[1], 5.0))
