"""Edges are counted flatter than they are, so that none rubs; what then stands is what the tool as drawn leaves."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import profiles
from tests.oracles.graphs import lower, surface
from toolpath.geometry.cutter import EDGE_CLEARANCE, Touch, cutter
from toolpath.geometry.elements import Chain, Line, polyline
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.geometry.uncut import closing, swept, uncut
from toolpath.shop.outlines import hull

NOSE, FAR, LONG = 0.4, 0.4, 6.0


def insert(behind: float) -> Chain:
    """Nose and far corner with an edge of 6 mm between them that rises by `behind` degrees away from the chuck."""
    du, dv = LONG * math.cos(math.radians(behind)), LONG * math.sin(math.radians(behind))
    nose, far = (NOSE, NOSE), (NOSE + du, NOSE + dv)
    return hull([(nose, NOSE), (far, FAR), ((far[0], 30.0), FAR), ((nose[0], 30.0), NOSE)])


def counted(behind: float, keep: Chain) -> tuple[Envelope, Chain]:
    """(envelope of the tool with its edge counted flatter, what it leaves as drawn)."""
    cut = cutter(insert(behind), edge_clearance=EDGE_CLEARANCE, fit_tolerance=0.0)
    env = envelope(keep, cut)
    return env, closing(env, keep, cut, cutter(insert(behind), fit_tolerance=0.0))


def left_as_drawn(behind: float, env: Envelope, xs: np.ndarray) -> np.ndarray:
    """Height of what the tool as drawn leaves at xs, standing at thousands of places on the envelope."""
    tool = lower(insert(behind))
    grid = np.linspace(env.lo + 1e-6, env.hi - 1e-6, 4000)
    us = np.concatenate([grid, [u + d for p in env.pieces for u in (p.path.a[0], p.path.b[0]) for d in (-1e-7, 1e-7)]])
    us = us[(us > env.lo) & (us < env.hi)]
    heights = np.array([env.height(float(u)) for u in us])
    return np.array([float(np.min(tool.height(x - us) + heights)) for x in xs])


STEEP = polyline([(-30.0, 4.0), (-20.0, 4.0), (-10.0, 10.0), (0.0, 10.0)])
"""A slope that falls towards the chuck by 31 degrees, 12 mm long: longer than any edge."""


def test_a_corner_beyond_the_edge_is_no_nose() -> None:
    """On a slope steeper than the edge its far corner leads; as drawn that corner stands clear of the slope."""
    cut = cutter(insert(5.0), edge_clearance=EDGE_CLEARANCE, fit_tolerance=0.0)
    on_slope = [p for p in envelope(STEEP, cut).pieces if p.element == 1 and not p.corner]
    assert on_slope and {p.touch for p in on_slope} == {Touch.EDGE}
    (left,) = uncut(envelope(STEEP, cut), STEEP, cut, drawn=cutter(insert(5.0), fit_tolerance=0.0), least=0.05)
    assert left.touch is Touch.EDGE


def test_what_stands_on_a_slope_that_the_far_corner_runs_down() -> None:
    """As drawn the far corner is higher by the edge's length times what it is counted flatter, but for its arc."""
    _, stands = counted(5.0, STEEP)
    higher = LONG * (math.sin(math.radians(5.0)) - math.sin(math.radians(3.0)))
    nearer = LONG * (math.cos(math.radians(3.0)) - math.cos(math.radians(5.0)))
    slope = math.atan2(6.0, 10.0)
    off = higher * math.cos(slope) + nearer * math.sin(slope)
    assert off == pytest.approx(0.187, abs=1e-3)
    middle = (-15.0, 7.0)
    # The cutter is as wide as drawn, so its far arc stands where it stood but for the height.
    assert min(e.distance(middle) for e in stands) == pytest.approx(off, abs=0.02)
    env, _ = counted(5.0, STEEP)
    truth = left_as_drawn(5.0, env, np.array([-15.0]))[0]
    assert surface(stands, np.array([-15.0]))[0] == pytest.approx(truth, abs=2e-3)


def test_a_nose_alone_leaves_no_less_than_before() -> None:
    """Where the edge bridges a hollow from corner to floor, the nose has been along that line: nothing more stands."""
    neck = polyline([(-30.0, 10.0), (-20.0, 10.0), (-20.0, 8.0), (-10.0, 8.0), (-10.0, 10.0), (0.0, 10.0)])
    cut = cutter(insert(30.0), edge_clearance=EDGE_CLEARANCE, fit_tolerance=0.0)
    env = envelope(neck, cut)
    (plain,) = uncut(env, neck, cut, least=0.3)
    (drawn,) = uncut(env, neck, cut, drawn=cutter(insert(30.0), fit_tolerance=0.0), least=0.3)
    assert drawn.thick == pytest.approx(plain.thick, abs=1e-6)
    # Nose on the floor, line of 28 deg from the corner: the foot of the wall is 2 cos 28 from it.
    assert drawn.thick == pytest.approx(2.0 * math.cos(math.radians(28.0)), abs=1e-6)


@given(keep=profiles(most=6), behind=st.sampled_from([5.0, 20.0, 32.0, 52.0]))
@settings(max_examples=40, deadline=None)
def test_no_more_is_taken_than_the_tool_as_drawn_takes(keep: Chain, behind: float) -> None:
    """Where metal is said to be gone, the tool as drawn has been."""
    last = keep[-1].b
    keep = (Line((-40.0, keep[0].a[1]), keep[0].a), *keep, Line(last, (last[0] + 40.0, last[1])))
    env, stands = counted(behind, keep)
    vertices = np.array([p[0] for e in (*keep, *stands) for p in (e.a, e.b)])
    xs = np.linspace(0.0, last[0], 40)[1:-1]
    xs = np.array([x for x in xs if np.abs(vertices - x).min() > 5e-3])
    if not len(xs):
        return
    truth = left_as_drawn(behind, env, xs)
    low, high = surface(stands, xs - 3e-3), surface(stands, xs + 3e-3)
    grid = (env.hi - env.lo) / 4000.0
    slack = np.abs(high - low) * (1.0 + grid / 3e-3) + 0.02
    assert (np.maximum(low, high) >= truth - slack).all(), (xs, np.maximum(low, high) - truth)


def test_a_way_along_the_slope_leaves_what_the_whole_envelope_does() -> None:
    env, stands = counted(5.0, STEEP)
    cut = cutter(insert(5.0), edge_clearance=EDGE_CLEARANCE, fit_tolerance=0.0)
    left = swept(env.pieces, STEEP, cut, cutter(insert(5.0), fit_tolerance=0.0))
    at = np.array([-18.0, -15.0, -12.0])
    assert surface(left, at) == pytest.approx(surface(stands, at), abs=1e-9)


@pytest.mark.parametrize("behind", [5.0, 20.0])
def test_a_way_that_begins_or_ends_on_the_edge_leaves_what_the_tool_as_drawn_does_there(behind: float) -> None:
    """Runs of pieces cut off amid the slope, against the tool as drawn at thousands of places of the run."""
    env, _ = counted(behind, STEEP)
    cut = cutter(insert(behind), edge_clearance=EDGE_CLEARANCE, fit_tolerance=0.0)
    whole, tool = cutter(insert(behind), fit_tolerance=0.0), lower(insert(behind))
    on_edge = [k for k, p in enumerate(env.pieces) if p.touch is Touch.EDGE]
    assert on_edge
    for run in (env.pieces[on_edge[0] :], env.pieces[: on_edge[-1] + 1]):
        left = swept(run, STEEP, cut, whole)
        assert all(math.dist(p.b, q.a) <= 1e-6 for p, q in pairwise(left))
        spots = np.array([p.path.point_at(k / 2000.0) for p in run for k in range(2001)])
        ends = np.array([p[0] for e in (*left, *STEEP) for p in (e.a, e.b)])
        xs = np.array([x for x in np.linspace(left[0].a[0], left[-1].b[0], 90)[1:-1] if np.abs(ends - x).min() > 5e-3])
        truth = np.array([float(np.min(tool.height(x - spots[:, 0]) + spots[:, 1])) for x in xs])
        assert surface(left, xs) == pytest.approx(truth, abs=0.03)
