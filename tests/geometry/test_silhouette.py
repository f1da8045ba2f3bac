"""What a tool sees of an outline with overhangs: its upper side; what lies under it is returned as hidden."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import profiles, scaled
from tests.oracles.graphs import surface
from toolpath.geometry.elements import Arc, Chain, Element, Line, arc_about, polyline
from toolpath.geometry.silhouette import Silhouette, monotone, silhouette


def length(chain: Chain) -> float:
    return sum(e.length for e in chain)


def turned(chain: Chain, angle: float) -> Chain:
    c, s = math.cos(angle), math.sin(angle)

    def at(p: tuple[float, float]) -> tuple[float, float]:
        return (c * p[0] - s * p[1], s * p[0] + c * p[1])

    return tuple(
        Line(at(e.a), at(e.b)) if isinstance(e, Line) else Arc(at(e.a), at(e.b), at(e.centre), e.sweep) for e in chain
    )


def test_a_plain_contour_is_seen_whole() -> None:
    shaft = polyline([(-40.0, 9.0), (-20.0, 9.0), (-20.0, 6.0), (-5.0, 6.0), (0.0, 4.0)])
    assert silhouette(shaft) == Silhouette(shaft, (0, 1, 2, 3), ())


def test_a_neck_with_an_undercut_wall_shows_its_rim() -> None:
    """The front wall leans 1 mm under the head: seen from above, the wall is plumb under the rim."""
    neck = polyline([(-20.0, 8.0), (-14.0, 8.0), (-14.0, 5.0), (-8.0, 5.0), (-9.0, 8.0), (0.0, 8.0)])
    seen = silhouette(neck)
    assert seen.chain == polyline([(-20.0, 8.0), (-14.0, 8.0), (-14.0, 5.0), (-9.0, 5.0), (-9.0, 8.0), (0.0, 8.0)])
    assert seen.source == (0, 1, 2, -1, 4)
    assert length(seen.hidden) == pytest.approx(1.0 + math.hypot(1.0, 3.0))


def test_a_ball_on_a_stem_hides_the_stem_under_it() -> None:
    """A ball of R 5 on a stem of radius 2: nothing behind its equator is seen below it."""
    z = -5.0 - math.sqrt(21.0)
    ball = arc_about((-5.0, 0.0), (z, 2.0), (0.0, 0.0), ccw=False)
    seen = silhouette((Line((-30.0, 2.0), (z, 2.0)), ball))
    assert seen.chain[0] == Line((-30.0, 2.0), (z, 2.0)) and seen.hidden == ()
    undercut = silhouette(turned((Line((-30.0, 2.0), (z, 2.0)), ball), -0.5))
    assert all(e.b[0] >= e.a[0] for e in undercut.chain) and undercut.hidden


def test_a_mushroom_hides_its_stalk_and_its_gills() -> None:
    cap = polyline([(-10.0, 1.0), (-4.0, 1.0), (-6.0, 4.0), (-2.0, 7.0), (0.0, 7.0)])
    seen = silhouette(cap)
    assert seen.chain == polyline([(-10.0, 1.0), (-6.0, 1.0), (-6.0, 4.0), (-2.0, 7.0), (0.0, 7.0)])
    assert seen.source == (0, -1, 2, 3)
    assert set(seen.hidden) == {Line((-6.0, 1.0), (-4.0, 1.0)), Line((-4.0, 1.0), (-6.0, 4.0))}


def test_an_arc_is_cut_where_it_turns_back() -> None:
    three_quarters = Arc((0.0, 2.0), (2.0, 0.0), (0.0, 0.0), 1.5 * math.pi)
    parts = monotone(three_quarters)
    assert [e.b for e in parts] == [(-2.0, 0.0), (2.0, 0.0)]
    assert sum(e.length for e in parts) == pytest.approx(three_quarters.length)
    assert monotone(Line((3.0, 1.0), (1.0, 2.0))) == [Line((3.0, 1.0), (1.0, 2.0))]
    quarter = arc_about((0.0, 0.0), (-2.0, 0.0), (0.0, 2.0), ccw=False)
    assert monotone(quarter) == [quarter]


@st.composite
def leaning(draw: st.DrawFn) -> Chain:
    return turned(draw(profiles(most=6, steps=False)), draw(st.floats(-0.8, 0.8)))


def rising(e: Element) -> bool:
    return e.b[0] >= e.a[0]


@given(leaning())
@settings(max_examples=100, deadline=None)
def test_the_seen_side_is_one_valued_joined_and_never_below_the_work(work: Chain) -> None:
    # Level ends: an overhang at the very end of a chain would have no upper side to be seen.
    a, b = work[0].a, work[-1].b
    work = (Line((a[0] - 20.0, a[1]), a), *work, Line(b, (b[0] + 20.0, b[1])))
    seen = silhouette(work)
    assert all(rising(e) for e in seen.chain) and all(p.b == q.a for p, q in pairwise(seen.chain))
    us = np.linspace(seen.chain[0].a[0], seen.chain[-1].b[0], 41)[1:-1]
    monotonic = tuple(x for e in work for x in monotone(e))
    top = surface(tuple(e if rising(e) else e.reversed() for e in monotonic), us)
    mine = surface(seen.chain, us)
    beside = [surface(seen.chain, us + d) for d in (-1e-7, 1e-7)]
    assert (np.minimum(mine, np.minimum(*beside)) <= top + 1e-6).all()
    assert (np.maximum(mine, np.maximum(*beside)) >= top - 1e-6).all()


@given(leaning())
@settings(max_examples=60, deadline=None)
def test_nothing_is_lost_and_every_piece_knows_where_it_is_from(work: Chain) -> None:
    seen = silhouette(work)
    shown = sum(e.length for e, k in zip(seen.chain, seen.source, strict=True) if k >= 0)
    assert shown + length(seen.hidden) == pytest.approx(length(work), abs=1e-6)
    for e, k in zip(seen.chain, seen.source, strict=True):
        if k >= 0:
            assert max(work[k].distance(e.point_at(t)) for t in (0.0, 0.4, 1.0)) <= 1e-6
        else:
            assert e.a[0] == e.b[0]


@given(leaning())
@settings(max_examples=40, deadline=None)
def test_what_is_seen_has_no_more_to_hide(work: Chain) -> None:
    seen = silhouette(work)
    again = silhouette(seen.chain)
    assert (again.chain, again.hidden) == (seen.chain, ())


@given(leaning(), st.sampled_from([0.5, 4.0]))
@settings(max_examples=30, deadline=None)
def test_scaled_work_is_seen_scaled(work: Chain, k: float) -> None:
    plain, large = silhouette(work), silhouette(scaled(work, k))
    assert large.source == plain.source
    for e, f in zip(large.chain, scaled(plain.chain, k), strict=True):
        assert e.a == pytest.approx(f.a, abs=1e-7) and e.b == pytest.approx(f.b, abs=1e-7)
