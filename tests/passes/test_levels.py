"""Stretches under a level, the higher of contour and level, and how levels are spread over a valley."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import profiles
from tests.passes.bench import DEPTH, KNIFE, START, TOP, bare, job, with_front
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Arc, Chain, Line, arc_about, polyline
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.passes import levels
from toolpath.passes.rough import rough

STEPPED = with_front((-60.0, 14.0), (-40.0, 14.0), (-40.0, 9.0), (-20.0, 9.0), (-20.0, 5.0), (0.0, 5.0))


def steps(depths: tuple[float, ...]) -> list[float]:
    """Heights of the passes from depths taken one under another."""
    return [TOP - sum(depths[: k + 1]) for k in range(len(depths))]


def test_levels_end_on_the_diameters_and_are_equal_in_between() -> None:
    """Bar 12.5 to a shoulder at 9.2 and a spigot at 5.2 (0.2 left): 3.3 in 3 of 1.1, then 4.0 in 3 of 1.333."""
    _, depths = rough(job(STEPPED), START)
    assert depths[:6] == pytest.approx((1.1, 1.1, 1.1, 4.0 / 3.0, 4.0 / 3.0, 4.0 / 3.0), abs=1e-6)


@pytest.mark.parametrize("x", [9.9, 8.01, 7.0, 6.13, 3.3])
def test_no_sliver_is_left_for_the_last_pass(x: float) -> None:
    keep = with_front((-60.0, 14.0), (-30.0, 14.0), (-30.0, x), (0.0, x))
    _, depths = rough(job(keep), START)
    above = [d for d, h in zip(depths, steps(depths), strict=True) if h >= x + 0.2 - 1e-6]
    assert max(above) <= DEPTH + 1e-7 and max(above) - min(above) <= 1e-6
    assert len(above) == math.ceil((TOP - 0.2 - x) / DEPTH - 1e-7)
    assert sum(above) == pytest.approx(TOP - 0.2 - x, abs=1e-6)


def test_a_step_of_less_than_a_fifth_of_the_depth_makes_no_pass_of_its_own() -> None:
    """A land only 0.1 under the bar is left to the next level below it, which climbs over it."""
    keep = with_front((-60.0, 14.0), (-40.0, 14.0), (-40.0, 12.1), (-20.0, 12.1), (-20.0, 8.0), (0.0, 8.0))
    _, depths = rough(job(keep), START)
    heights = steps(depths[:3])
    assert heights == pytest.approx([TOP - 4.3 / 3.0, TOP - 8.6 / 3.0, 8.2], abs=1e-6)


def test_where_a_shaft_lies_under_a_level() -> None:
    env = bare(STEPPED)
    assert levels.below(env, 10.0, (-50.0, 1.0), 1e-7) == [pytest.approx((-40.0, 1.0), abs=1e-5)]
    (under_spigot,) = levels.below(env, 6.0, (-50.0, 1.0), 1e-7)
    assert under_spigot == pytest.approx((-20.0, 1.0), abs=1e-5)
    assert levels.below(env, 4.0, (-50.0, -1.0), 1e-7) == []
    assert levels.below(env, 20.0, (-50.0, 1.0), 1e-7) == [(-50.0, 1.0)]


def test_two_necks_are_two_valleys() -> None:
    neck = ((-30.0, 9.0), (-28.0, 6.0), (-22.0, 6.0), (-20.0, 9.0))
    keep = with_front((-60.0, 9.0), *neck, *((z + 15.0, x) for z, x in neck), (0.0, 9.0))
    found = levels.below(bare(keep), 8.0, (-50.0, -1.0), -1e-7)
    assert len(found) == 2 and found[0][1] < -20.0 < found[1][0]


def test_level_stretches_are_found_highest_first() -> None:
    assert levels.flats(bare(STEPPED), (-39.0, -1.0), least=1.0) == pytest.approx([9.0, 5.0], abs=1e-6)
    assert levels.flats(bare(STEPPED), (-39.0, -1.0), least=30.0) == []
    assert levels.flats(bare(STEPPED), (-39.0, -21.0), least=1.0) == pytest.approx([9.0], abs=1e-6)


def test_the_level_through_a_hollow_meets_its_own_half_of_the_circle() -> None:
    hollow = (
        Line((-20.0, 8.0), (-10.0, 8.0)),
        arc_about((-5.0, 8.0), (-10.0, 8.0), (0.0, 8.0), ccw=True),
        Line((0.0, 8.0), (10.0, 8.0)),
    )
    env = envelope(hollow, cutter(polyline([(0.0, 0.0), (0.01, 30.0), (-0.01, 30.0)], close=True)))
    assert levels.below(env, 9.0, (-15.0, 5.0), 1e-7) == [(-15.0, 5.0)]
    (found,) = levels.below(env, 5.0, (-15.0, 5.0), 1e-7)
    assert found == pytest.approx((-9.0, -1.0), abs=2e-3)


def test_a_level_under_a_dome_does_not_cut_it() -> None:
    """The circle of a dome meets the level too, on the half that is not there."""
    cap = (arc_about((0.0, 5.0), (-4.0, 8.0), (4.0, 8.0), ccw=False),)
    env = envelope(cap, cutter(polyline([(0.0, 0.0), (0.01, 30.0), (-0.01, 30.0)], close=True)))
    path = levels.raised(env, 1.0, (-3.9, 3.9))
    assert [type(e) for e in path] == [Arc]
    assert levels.raised(env, 1.0, (-3.9, 3.9))[0].point_at(0.5)[1] == pytest.approx(10.0, abs=1e-3)


def test_a_level_between_the_ends_and_the_top_of_a_dome_passes_under_it() -> None:
    """Half a circle of 5 over 8, from 8 at both ends to 13: at 12 it is 2 x 3 wide."""
    env = point((arc_about((0.0, 8.0), (-5.0, 8.0), (5.0, 8.0), ccw=False),))
    left, right = levels.below(env, 12.0, (-5.0, 5.0), 0.0)
    assert (left[1], right[0]) == pytest.approx((-3.0, 3.0), abs=0.02)


def spread(env: Envelope) -> tuple[float, float]:
    return (env.lo + 0.01, env.hi - 0.01)


@given(keep=profiles(most=6, steps=False), share=st.floats(0.02, 0.98))
@settings(max_examples=60, deadline=None)
def test_the_raised_path_is_the_higher_of_both(keep: Chain, share: float) -> None:
    env = envelope(keep, cutter(KNIFE))
    lo, hi = spread(env)
    heights = [env.height(u) for u in np.linspace(lo, hi, 30)]
    level = min(heights) + share * (max(heights) - min(heights))
    path = levels.raised(env, level, (lo, hi))
    assert path[0].a[0] == lo and path[-1].b[0] == hi
    assert all(math.dist(p.b, q.a) <= 1e-9 for p, q in pairwise(path))
    for e in path:
        for t in (0.2, 0.5, 0.8):
            u, v = e.point_at(t)
            if e.a[0] != e.b[0]:
                assert v == pytest.approx(max(env.height(u), level), abs=1e-6 * (1.0 + 1e3 * isinstance(e, Arc)))
            else:
                assert level - 1e-9 <= v <= env.height(u) + 1e-9


@given(keep=profiles(most=6, steps=False), share=st.floats(0.02, 0.98))
@settings(max_examples=60, deadline=None)
def test_below_is_below_and_nowhere_else(keep: Chain, share: float) -> None:
    env = envelope(keep, cutter(KNIFE))
    lo, hi = spread(env)
    us = np.linspace(lo, hi, 57)
    heights = [env.height(float(u)) for u in us]
    level = min(heights) + share * (max(heights) - min(heights))
    spans = levels.below(env, level, (lo, hi), 1e-7)
    assert all(a < b for a, b in spans) and all(p[1] < q[0] for p, q in pairwise(spans))
    for u, v in zip(us, heights, strict=True):
        inside = any(a - 1e-5 <= u <= b + 1e-5 for a, b in spans)
        if v <= level - 1e-4:
            near = min((min(abs(u - a), abs(u - b)) for a, b in spans), default=0.0)
            assert inside or near <= 1e-4
        if v > level + 1e-4:
            assert not any(a + 1e-5 < u < b - 1e-5 for a, b in spans)


def test_metal_ends_where_the_surfaces_cross() -> None:
    """A cast cone over a shaft: 12 falling by 0.1 a mm meets 10 at z = -30, in the middle of both."""
    over, keep = polyline([(-50.0, 12.0), (10.0, 6.0)]), polyline([(-50.0, 10.0), (10.0, 10.0)])
    (found,) = levels.standing(point(over), point(keep), (-45.0, 5.0))
    assert found == pytest.approx((-45.0, -30.0), abs=2e-3)
    (thicker,) = levels.standing(point(over), point(keep), (-45.0, 5.0), least=0.5)
    assert thicker == pytest.approx((-45.0, -35.0), abs=2e-3)


def point(chain: Chain) -> Envelope:
    """The envelope of a needle: the chain itself, but for its width of 0.02."""
    return envelope(chain, cutter(polyline([(0.0, 0.0), (0.01, 30.0), (-0.01, 30.0)], close=True)))


@given(over=profiles(most=6, steps=False), under=profiles(most=6, steps=False), least=st.sampled_from([1e-7, 0.05]))
@settings(max_examples=60, deadline=None)
def test_metal_is_found_where_it_stands_and_nowhere_else(over: Chain, under: Chain, least: float) -> None:
    stock, keep = envelope(over, cutter(KNIFE)), envelope(under, cutter(KNIFE))
    within = (max(stock.lo, keep.lo) - 1.0, min(stock.hi, keep.hi) + 1.0)
    found = levels.standing(stock, keep, within, least=least)
    assert all(a < b for a, b in found) and all(p[1] < q[0] for p, q in pairwise(found))
    for u in np.linspace(*within, 97)[1:-1]:
        thick = stock.height(float(u)) - keep.height(float(u))
        if math.isnan(thick) or abs(thick - least) < 1e-5:
            continue
        if all(min(abs(u - a), abs(u - b)) > 1e-7 for a, b in found):
            assert any(a < u < b for a, b in found) == (thick > least)


@given(keep=profiles(most=6, steps=False), share=st.floats(0.02, 0.98))
@settings(max_examples=40, deadline=None)
def test_above_is_where_it_is_not_below(keep: Chain, share: float) -> None:
    env = envelope(keep, cutter(KNIFE))
    lo, hi = spread(env)
    level = levels.lowest(env, (lo, hi)) + share * (levels.highest(env, (lo, hi)) - levels.lowest(env, (lo, hi)))
    over = levels.above(env, level, (lo, hi))
    assert math.fsum(b - a for a, b in over) + math.fsum(
        b - a for a, b in levels.below(env, level, (lo, hi), 0.0)
    ) == pytest.approx(hi - lo, abs=1e-9)
    for a, b in over:
        assert env.height((a + b) / 2.0) > level


@given(keep=profiles(most=6), at=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)))
@settings(max_examples=40, deadline=None)
def test_the_highest_and_lowest_places_of_a_way(keep: Chain, at: tuple[float, float]) -> None:
    env = envelope(keep, cutter(KNIFE))
    lo, hi = sorted(env.lo + t * (env.hi - env.lo) for t in at)
    seen = [env.height(float(u)) for u in np.linspace(lo, hi, 201)]
    assert levels.highest(env, (lo, hi)) >= max(seen) - 1e-9
    assert levels.highest(env, (lo, hi)) <= max(e.bounds()[3] for e in env.path) + 1e-9
    if lo < hi:
        assert levels.lowest(env, (lo, hi)) <= min(seen[1:-1]) + 1e-9


def test_stretches_within_a_stretch() -> None:
    spans = [(0.0, 2.0), (3.0, 5.0), (6.0, 9.0)]
    assert levels.inside(spans, (1.0, 7.0)) == [(1.0, 2.0), (3.0, 5.0), (6.0, 7.0)]
    assert levels.inside(spans, (2.0, 3.0)) == []
    assert levels.inside(spans, (3.5, 4.0)) == [(3.5, 4.0)]
