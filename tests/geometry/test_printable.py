"""Paths on the control's last digit: near enough, arcs of their sense and with both radii alike, nothing too short."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import cutters, profiles
from tests.oracles.slope import depth
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Arc, Chain, Line, arc_about, polyline
from toolpath.geometry.envelope import envelope
from toolpath.geometry.printable import printable, rounded, snap

GRID = (0.001, 0.0005)
"""Steps of z and x in mm: three decimals, X printed as a diameter."""

HALF = math.hypot(GRID[0] / 2.0, GRID[1] / 2.0)
NOISE = 1e-9

coordinates = st.floats(-60.0, 60.0)
points = st.tuples(coordinates, coordinates)


def whole(value: float, step: float) -> bool:
    return abs(value / step - round(value / step)) < 1e-6


@given(points)
def test_a_point_moves_by_half_a_step_at_most(p: tuple[float, float]) -> None:
    q = snap(p, GRID)
    assert abs(q[0] - p[0]) <= GRID[0] / 2.0 + NOISE and abs(q[1] - p[1]) <= GRID[1] / 2.0 + NOISE
    assert whole(q[0], GRID[0]) and whole(q[1], GRID[1])
    assert snap(q, GRID) == q


def test_as_a_control_of_three_decimals_would_read_it() -> None:
    assert snap((-61.97149, 9.45752), GRID) == pytest.approx((-61.971, 9.4575), abs=1e-12)
    assert snap((-0.0004, 0.0002), GRID) == (0.0, 0.0)


def test_a_step_of_less_than_the_last_digit_goes() -> None:
    path = polyline([(0.0, 5.0), (-4.0, 5.0), (-4.0002, 5.0001), (-9.0, 5.0)])
    out = printable(path, GRID)
    assert [(e.a, e.b) for e in out] == [((0.0, 5.0), (-4.0, 5.0)), ((-4.0, 5.0), (-9.0, 5.0))]


def test_an_arc_flatter_than_the_digit_is_a_line() -> None:
    flat = arc_about(
        (-1.0, -1e5), (-1.5, -1e5 + math.sqrt(1e10 - 0.25)), (-0.5, -1e5 + math.sqrt(1e10 - 0.25)), ccw=False
    )
    assert isinstance(rounded(flat, (0.001, 0.0005)), Line)
    bent = arc_about((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), ccw=True)
    assert isinstance(rounded(bent, GRID), Arc)


def sagitta(e: Arc) -> float:
    return e.radius * (1.0 - math.cos(e.sweep / 2.0))


@st.composite
def arcs(draw: st.DrawFn) -> Arc:
    """Arcs of 0.05 to 100 mm and up to a half turn, both senses, long enough for a control to tell their ends apart."""
    r = 10.0 ** draw(st.floats(-1.3, 2.0))
    sweep = draw(st.floats(0.02, math.pi - 0.02)) * draw(st.sampled_from([-1.0, 1.0]))
    w = draw(st.floats(0.0, 6.28))
    c = draw(points)
    at = [(c[0] + r * math.cos(x), c[1] + r * math.sin(x)) for x in (w, w + sweep)]
    return arc_about(c, at[0], at[1], ccw=sweep > 0.0)


@given(arcs())
@settings(max_examples=200, deadline=None)
def test_an_arc_keeps_its_sense_its_radii_and_its_place(e: Arc) -> None:
    out = rounded(e, GRID)
    if out is None:
        assert math.dist(e.a, e.b) <= 2.0 * HALF
        return
    assert math.dist(out.a, e.a) <= HALF + NOISE and math.dist(out.b, e.b) <= HALF + NOISE
    if isinstance(out, Arc):
        assert out.sweep * e.sweep > 0.0
        assert math.dist(out.a, out.centre) == pytest.approx(math.dist(out.b, out.centre), abs=NOISE)
        # Each end off by half a step, and the bulge by as much as the chord may turn or stretch.
        bulge = HALF * (1.0 + 2.0 * abs(math.tan(e.sweep / 4.0)))
        for k in range(9):
            assert e.distance(out.point_at(k / 8.0)) <= HALF + bulge + NOISE
    else:
        assert sagitta(e) < 0.1 * min(GRID)


@given(keep=profiles(most=6), tool=cutters())
@settings(max_examples=80, deadline=None)
def test_a_printable_path_is_joined_whole_and_near(keep: Chain, tool: Chain) -> None:
    path = envelope(keep, cutter(tool)).path
    out = printable(path, GRID)
    assert all(p.b == q.a for p, q in pairwise(out))
    for e in out:
        assert e.a != e.b
        assert all(whole(c, s) for p in (e.a, e.b) for c, s in zip(p, GRID, strict=True))
    if out:
        assert (out[0].a, out[-1].b) == (snap(path[0].a, GRID), snap(path[-1].b, GRID))
    assert [(e.a, e.b) for e in printable(out, GRID)] == [(e.a, e.b) for e in out]


@given(keep=profiles(most=5, steps=False), tool=cutters())
@settings(max_examples=40, deadline=None)
def test_a_printable_path_gouges_by_little_more_than_half_a_digit(keep: Chain, tool: Chain) -> None:
    """How deep the work stands in the tool on its way: half a step an axis, twice that on an arc's bulge."""
    path = [e for e in printable(envelope(keep, cutter(tool, fit_tolerance=0.0)).path, GRID)]
    spots = [e.point_at(k / 6.0) for e in path for k in range(7)]
    if not spots:
        return
    us, vs = np.array([p[0] for p in spots]), np.array([p[1] for p in spots])
    inner = (us > keep[0].a[0]) & (us < keep[-1].b[0])
    assert depth(keep, [tool], us[inner], vs[inner], step=0.05) <= 3.0 * HALF


def test_a_coarser_control_moves_more_but_no_more_than_its_half() -> None:
    inch = (2.54e-3, 1.27e-3)
    arc = arc_about((-5.8, 14.2), (0.0, 14.2), (-5.8, 20.0), ccw=True)
    out = rounded(arc, inch)
    assert isinstance(out, Arc)
    assert out.centre == pytest.approx((-5.8, 14.2), abs=2.54e-3)
    assert whole(out.b[0], inch[0]) and whole(out.b[1], inch[1])
