"""Neighbours that continue each other become one; whatever is not one line or one circle stays as it was."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import profiles, scaled
from toolpath.geometry.elements import Arc, Chain, Element, Line, arc_about, polyline
from toolpath.geometry.merge import merged

NEAR = 1e-9

QUARTER = arc_about((0.0, 0.0), (2.0, 0.0), (0.0, 2.0), ccw=True)
EIGHTH = QUARTER.part(0.0, 0.5)


def cut_up(chain: Chain, shares: list[float]) -> Chain:
    """Every element cut at the shares of its length."""
    at = [0.0, *sorted(shares), 1.0]
    return tuple(e.part(a, b) for e in chain for a, b in pairwise(at))


def test_a_taper_dimensioned_in_two_pieces_is_one_cut() -> None:
    assert merged(polyline([(0.0, 4.0), (-10.0, 5.0), (-20.0, 6.0)]), NEAR) == (Line((0.0, 4.0), (-20.0, 6.0)),)


def test_a_dome_in_three_pieces_is_one_arc() -> None:
    dome = arc_about((-6.0, 0.0), (0.0, 0.0), (-6.0, 6.0), ccw=True)
    (one,) = merged(cut_up((dome,), [0.2, 0.7]), NEAR)
    assert isinstance(one, Arc) and (one.a, one.b) == (dome.a, dome.b)
    assert one.sweep == pytest.approx(dome.sweep, abs=1e-12)


@pytest.mark.parametrize(
    "path",
    [
        polyline([(0.0, 4.0), (-10.0, 4.0), (-10.0, 6.0)]),
        polyline([(0.0, 4.0), (-10.0, 5.0), (-20.0, 6.001)]),
        polyline([(0.0, 4.0), (-10.0, 4.0), (-4.0, 4.0)]),  # turns back on itself
        (QUARTER, arc_about((0.0, 4.0), (0.0, 2.0), (2.0, 4.0), ccw=True)),
        (QUARTER, QUARTER.reversed()),
        (Line((2.0, -3.0), (2.0, 0.0)), QUARTER),
        (EIGHTH, EIGHTH.moved((EIGHTH.b[0] - EIGHTH.a[0], EIGHTH.b[1] - EIGHTH.a[1]))),
    ],
    ids=["corner", "bend", "back", "S", "there and back", "tangent", "scallops"],
)  # fmt: skip
def test_what_is_two_stays_two(path: Chain) -> None:
    assert len(merged(path, NEAR)) == 2


def test_no_arc_of_half_a_turn_or_more_is_made() -> None:
    """Two quarters would make a half turn, whose sense a rounded chord can no longer tell."""
    half = Arc((5.0, 0.0), (-5.0, 0.0), (0.0, 0.0), math.pi)
    assert len(merged(cut_up((half,), [0.5]), NEAR)) == 2


def test_nothing_and_one_element() -> None:
    assert merged((), NEAR) == ()
    one: tuple[Element, ...] = (Line((0.0, 1.0), (2.0, 1.0)),)
    assert merged(one, NEAR) == one
    assert merged(one, NEAR, sliver=5.0) == one  # all there is of a path is no sliver of it


@given(keep=profiles(most=5, steps=False), shares=st.lists(st.floats(0.1, 0.9), min_size=1, max_size=3, unique=True))
@settings(max_examples=60, deadline=None)
def test_cut_up_and_merged_is_the_same_curve(keep: Chain, shares: list[float]) -> None:
    """Ends and length are those of before, to the tolerance, and it takes no more elements than it took."""
    one = merged(cut_up(keep, shares), NEAR)
    assert (one[0].a, one[-1].b) == (keep[0].a, keep[-1].b)
    assert all(p.b == q.a for p, q in pairwise(one))
    assert sum(e.length for e in one) == pytest.approx(sum(e.length for e in keep), abs=1e-6)
    whole = [e for e in keep if not (isinstance(e, Arc) and abs(e.sweep) > math.pi - 0.1)]
    if len(whole) == len(keep) and all(e.length > 1e-2 for e in keep):
        assert len(one) <= len(keep)
    for e in keep:
        assert min(f.distance(e.point_at(0.37)) for f in one) <= 10.0 * NEAR


@given(keep=profiles(most=5, steps=False), k=st.sampled_from([0.5, 2.0, 8.0]))
@settings(max_examples=30, deadline=None)
def test_scaled_with_its_tolerance_it_merges_alike(keep: Chain, k: float) -> None:
    halves = cut_up(keep, [0.5])
    assert len(merged(scaled(halves, k), k * NEAR)) == len(merged(halves, NEAR))
