"""The surface a tool leaves that goes along some pieces of its envelope and nowhere else."""

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
from toolpath.geometry.elements import Arc, Chain, Line, arc_about, polyline
from toolpath.geometry.envelope import Piece, envelope
from toolpath.geometry.maximum import maximum
from toolpath.geometry.uncut import closing, swept

RAD = math.radians


def along(pieces: tuple[Piece, ...], tool: Chain, xs: np.ndarray) -> np.ndarray:
    """Lowest height the tool has at xs while it stands at thousands of places along the pieces."""
    t = lower(tool)
    spots = np.array([p.path.point_at(k / 400) for p in pieces for k in range(401)])
    return np.array([float(np.min(t.height(x - spots[:, 0]) + spots[:, 1])) for x in xs])


def test_a_round_along_a_level_leaves_it_between_two_quarters() -> None:
    """R 2 along 10 mm of a cylinder: the level, and at both ends the tool itself as it stands there."""
    keep = polyline([(0.0, 5.0), (10.0, 5.0)])
    cut = cutter(round_tool(2.0), fit_tolerance=0.0)
    (level,) = [p for p in envelope(keep, cut).pieces if not p.corner]
    left = swept((level,), keep, cut)
    assert (left[0].a, left[-1].b) == (pytest.approx((-2.0, 7.0)), pytest.approx((12.0, 7.0)))
    first, flat, last = left
    assert isinstance(first, Arc) and isinstance(last, Arc) and isinstance(flat, Line)
    assert (first.radius, last.radius) == pytest.approx((2.0, 2.0))
    assert (first.sweep, last.sweep) == pytest.approx((math.pi / 2.0, math.pi / 2.0))
    assert (flat.a, flat.b) == (pytest.approx((0.0, 5.0)), pytest.approx((10.0, 5.0)))


def test_a_nose_into_a_shoulder_leaves_its_round_and_its_edge() -> None:
    """Up to a wall and not along it: R 0.4 stays in the foot, and over it the upright edge of the tool."""
    keep = polyline([(0.0, 9.0), (5.0, 9.0), (5.0, 4.0), (15.0, 4.0)])
    tool = nose_tool(0.4, (RAD(50.0), RAD(90.0)), tip=-1, long=(20.0, 20.0))
    cut = cutter(tool, fit_tolerance=0.0)
    floor = tuple(p for p in envelope(keep, cut).pieces if p.element == 2 and not p.corner)
    left = swept(floor, keep, cut)
    assert left[0].a == pytest.approx((5.0, 4.4), abs=1e-9)
    assert isinstance(left[0], Arc) and left[0].radius == pytest.approx(0.4)
    assert left[0].b == pytest.approx((5.4, 4.0), abs=1e-9)
    assert left[1] == Line(left[0].b, pytest.approx((15.0, 4.0)))
    # Beyond the end the nose and then the edge, 20 long at 50 deg.
    assert left[-1].tangent_at(0.5) == pytest.approx((math.cos(RAD(50.0)), math.sin(RAD(50.0))), abs=1e-9)
    assert left[-1].length == pytest.approx(20.0, abs=1e-9)


def test_over_two_grooves_the_blade_leaves_what_it_bridges() -> None:
    """Grooves of 1 under a blade of 2 stay, one of 3 is cut: along all of it every skip is bridged in its turn."""
    tops = [(0.0, 5.0), (3.0, 5.0), (3.0, 4.0), (4.0, 4.0), (4.0, 5.0), (7.0, 5.0), (7.0, 4.0), (8.0, 4.0), (8.0, 5.0)]
    keep = polyline([*tops, (11.0, 5.0), (11.0, 3.0), (14.0, 3.0), (14.0, 5.0), (18.0, 5.0)])
    cut = cutter(blade(2.0, (0.0, 0.0)), fit_tolerance=0.0)
    left = swept(envelope(keep, cut).pieces, keep, cut)
    xs = np.array([1.0, 3.5, 6.0, 7.5, 9.0, 12.5, 16.0])
    assert surface(left, xs) == pytest.approx([5.0, 5.0, 5.0, 5.0, 5.0, 3.0, 5.0], abs=1e-9)
    assert (left[0].a, left[-1].b) == (pytest.approx((-2.0, 5.0)), pytest.approx((20.0, 5.0)))


def test_a_holder_on_a_dome_leaves_the_dome_again_where_the_point_was() -> None:
    """A point, and a shank 2 to 6 beside it and 3 up, over a dome R 5: the shank's corner rides up the dome, and the
    point draws that stretch of it 6 before and 3 below, then a level 2 up, till it meets the dome itself."""
    dome = arc_about((20.0, 0.0), (15.0, 0.0), (25.0, 0.0), ccw=False)
    keep = (Line((0.0, 0.0), dome.a), dome, Line(dome.b, (40.0, 0.0)))
    point = cutter(polyline([(0.0, 0.0), (0.0, 30.0)], close=True))
    shank = cutter(box(2.0, 6.0, 3.0, high=20.0), fit_tolerance=0.0, holder=True)
    env = maximum(envelope(keep, point), envelope(keep, shank), keep)
    stands = closing(env, keep, point)
    (again,) = [e for e in stands if isinstance(e, Arc) and e.centre[1] < -1.0]
    assert (again.centre, again.radius) == (pytest.approx((14.0, -3.0), abs=1e-9), pytest.approx(5.0))
    assert (again.a, again.b) == (pytest.approx((10.0, 0.0), abs=1e-9), pytest.approx((14.0, 2.0), abs=1e-9))
    meets = 20.0 - math.sqrt(21.0)
    assert surface(stands, np.array([5.0, 14.5, 15.3, meets + 1e-3, 20.0])) == pytest.approx(
        [0.0, 2.0, 2.0, 2.0, 5.0], abs=3e-3
    )


@given(keep=profiles(most=5, steps=False), tool=cutters(), cuts=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)))
@settings(max_examples=40, deadline=None)
def test_as_the_tool_at_thousands_of_places(keep: Chain, tool: Chain, cuts: tuple[float, float]) -> None:
    """Any run of pieces of any envelope: joined, and nowhere above or (but for the grid) below where the tool goes."""
    cut = cutter(tool, fit_tolerance=0.0)
    pieces = envelope(keep, cut).pieces
    first, last = sorted(round(k * (len(pieces) - 1)) for k in cuts)
    run = pieces[first : last + 1]
    left = swept(run, keep, cut)
    assert all(math.dist(p.b, q.a) <= 1e-6 for p, q in pairwise(left))
    ends = np.array([p[0] for e in (*left, *keep) for p in (e.a, e.b)])
    xs = np.array([x for x in np.linspace(left[0].a[0], left[-1].b[0], 50)[1:-1] if np.abs(ends - x).min() > 2e-3])
    if not len(xs):
        return
    truth = along(run, tool, xs)
    here = surface(left, xs)
    assert (here <= truth + 1e-6).all()
    steep = np.abs(surface(left, xs + 1e-3) - surface(left, xs - 1e-3))
    grid = max(p.path.length for p in run) / 400.0
    assert (here >= truth - 0.02 - steep * (1.0 + grid / 1e-3)).all()
