"""The lower of two surfaces, held against dense sampling of both."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import profiles
from toolpath.geometry.elements import Chain, Line, arc_about, polyline
from toolpath.geometry.envelope import height_on
from toolpath.geometry.minimum import between, height_over, lower

NEAR = 1e-6
"""mm between heights; heights next to an upright line are not asked for."""


def heights(chain: Chain, u: float) -> list[float]:
    """Every height that the chain has at u."""
    return [height_on(e, u) for e in chain if e.a[0] < e.b[0] and e.a[0] <= u <= e.b[0]]


def height(chain: Chain, u: float) -> float | None:
    """The one height at u; None where there are two, at a jump, or none."""
    found = heights(chain, u)
    return found[0] if found and max(found) - min(found) < NEAR else None


def far_from_ends(u: float, *chains: Chain) -> bool:
    return all(abs(u - p[0]) > 1e-4 for c in chains for e in c for p in (e.a, e.b))


def samples(chain: Chain, n: int = 97) -> list[float]:
    lo, hi = chain[0].a[0], chain[-1].b[0]
    return [lo + (hi - lo) * (k + 0.5) / n for k in range(n)]


def assert_runs_on(chain: Chain) -> None:
    """Left to right without gaps, upright lines where the height jumps."""
    for e, f in itertools.pairwise(chain):
        assert math.dist(e.b, f.a) <= NEAR
    assert all(e.b[0] >= e.a[0] for e in chain)


def level(v: float, lo: float = 0.0, hi: float = 10.0) -> Chain:
    return (Line((lo, v), (hi, v)),)


# ---------------------------------------------------------------- lower


@given(first=profiles(), second=profiles(), shift=st.floats(-3.0, 3.0))
@settings(max_examples=120, deadline=None)
def test_the_height_is_the_least_of_both(first: Chain, second: Chain, shift: float) -> None:
    second = tuple(e.moved((shift, 0.0)) for e in second)
    got = lower(first, second)
    assert_runs_on(got)
    for u in samples(first):
        if not far_from_ends(u, first, second):
            continue
        a, b, h = height(first, u), height(second, u), height(got, u)
        assert a is not None
        want = a if b is None else min(a, b)
        assert h is not None and h == pytest.approx(want, abs=NEAR)


@given(first=profiles(), second=profiles(), span=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)))
@settings(max_examples=80, deadline=None)
def test_the_second_counts_within_the_span_only(first: Chain, second: Chain, span: tuple[float, float]) -> None:
    long = first[-1].b[0]
    lo, hi = sorted(k * long for k in span)
    got = lower(first, second, (lo, hi))
    for u in samples(first):
        if not far_from_ends(u, first, second) or min(abs(u - lo), abs(u - hi)) < 1e-4:
            continue
        a, b, h = height(first, u), height(second, u), height(got, u)
        assert a is not None
        want = min(a, b) if b is not None and lo < u < hi else a
        assert h == pytest.approx(want, abs=NEAR)


@given(profiles(steps=False))
@settings(max_examples=60, deadline=None)
def test_a_surface_with_itself_stays_itself(chain: Chain) -> None:
    got = lower(chain, chain)
    for u in samples(chain):
        if far_from_ends(u, chain):
            assert height(got, u) == pytest.approx(height(chain, u), abs=NEAR)


def test_two_slopes_cross_in_one_point() -> None:
    up, down = polyline([(0.0, 0.0), (10.0, 10.0)]), polyline([(0.0, 6.0), (10.0, 1.0)])
    first, second = lower(up, down)
    assert first.b == second.a == pytest.approx((4.0, 4.0))
    assert second.b == pytest.approx((10.0, 1.0))


def test_a_jump_at_both_ends_of_the_span() -> None:
    got = lower(level(10.0), level(4.0), (3.0, 7.0))
    assert got == polyline([(0.0, 10.0), (3.0, 10.0), (3.0, 4.0), (7.0, 4.0), (7.0, 10.0), (10.0, 10.0)])


def test_a_second_that_is_shorter_counts_as_far_as_it_reaches() -> None:
    got = lower(level(10.0), level(4.0, 3.0, 7.0))
    assert got == polyline([(0.0, 10.0), (3.0, 10.0), (3.0, 4.0), (7.0, 4.0), (7.0, 10.0), (10.0, 10.0)])


def test_a_second_that_is_longer_adds_nothing_outside() -> None:
    assert lower(level(10.0), level(4.0, -5.0, 15.0)) == level(4.0)


def test_a_higher_second_changes_nothing() -> None:
    assert lower(level(4.0), level(10.0), (3.0, 7.0)) == level(4.0)


def test_an_upright_wall_of_the_second_stays_upright() -> None:
    step = polyline([(0.0, 12.0), (5.0, 12.0), (5.0, 2.0), (10.0, 2.0)])
    assert lower(level(10.0), step) == polyline([(0.0, 10.0), (5.0, 10.0), (5.0, 2.0), (10.0, 2.0)])


# ---------------------------------------------------------------- between


@given(chain=profiles(), span=st.tuples(st.floats(-0.2, 1.2), st.floats(-0.2, 1.2)))
@settings(max_examples=100, deadline=None)
def test_between_is_the_same_surface_over_the_span(chain: Chain, span: tuple[float, float]) -> None:
    long = chain[-1].b[0]
    lo, hi = sorted(k * long for k in span)
    got = between(chain, lo, hi)
    assert all(lo - NEAR <= p[0] <= hi + NEAR for e in got for p in (e.a, e.b))
    assert_runs_on(got)
    for u in samples(chain):
        if not far_from_ends(u, chain) or min(abs(u - lo), abs(u - hi)) < 1e-4:
            continue
        if lo < u < hi:
            assert height(got, u) == pytest.approx(height(chain, u), abs=NEAR)
        else:
            assert heights(got, u) == []


def test_between_keeps_walls_inside_and_leaves_out_those_at_its_ends() -> None:
    stairs = polyline([(0.0, 0.0), (2.0, 0.0), (2.0, 3.0), (5.0, 3.0), (5.0, 1.0), (9.0, 1.0)])
    assert between(stairs, 1.0, 5.0) == polyline([(1.0, 0.0), (2.0, 0.0), (2.0, 3.0), (5.0, 3.0)])
    assert between(stairs, 2.0, 6.0) == polyline([(2.0, 3.0), (5.0, 3.0), (5.0, 1.0), (6.0, 1.0)])
    assert between(stairs, 20.0, 30.0) == ()


def test_the_greatest_height_over_a_stretch_counts_what_lies_in_it_whole_and_in_part() -> None:
    """A peak of 60 between 2 and 3, and one of 90 that begins within the stretch and tops out beyond it."""
    keep = polyline([(0.0, 1.0), (2.0, 50.0), (3.0, 60.0), (4.0, 2.0), (9.0, 2.0), (11.0, 90.0), (12.0, 0.0)])
    assert height_over(keep, (1.0, 8.0)) == 60.0
    assert height_over(keep, (4.0, 10.0)) == pytest.approx(46.0)
    assert height_over(keep, (10.5, 11.5)) == 90.0
    # The summit of a round counts, though both its ends lie lower: half a circle of R 2 whose middle is 30 high.
    dome = (Line((0.0, 30.0), (3.0, 30.0)), arc_about((5.0, 30.0), (3.0, 30.0), (7.0, 30.0), ccw=False))
    assert height_over(dome, (1.0, 8.0)) == pytest.approx(32.0)
