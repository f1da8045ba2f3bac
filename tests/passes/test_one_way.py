"""A finish pass in stretches that all go one way across: nothing is lost of it, and each goes as it was asked to."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.geometry.elements import Arc, Chain, Element, Line, polyline, reverse
from toolpath.passes.one_way import LEAST, one_way

DOME: Chain = (Arc((-10.0, 0.0), (10.0, 0.0), (0.0, 0.0), -math.pi), Line((10.0, 0.0), (12.0, 0.0)))
VALLEY: Chain = polyline([(0.0, 10.0), (2.0, 5.0), (6.0, 5.0), (8.0, 10.0)])


def ends(chain: Chain) -> tuple[tuple[float, float], tuple[float, float]]:
    return chain[0].a, chain[-1].b


def test_a_dome_is_cut_from_its_top_down_to_both_feet() -> None:
    front, back = one_way(DOME, falls=True)
    assert ends(front)[0] == pytest.approx((0.0, 10.0)) and ends(front)[1] == (12.0, 0.0)
    assert ends(back)[0] == pytest.approx((0.0, 10.0)) and ends(back)[1] == (-10.0, 0.0)


def test_a_dome_is_cut_from_both_feet_up_to_its_top() -> None:
    front, back = one_way(DOME, falls=False)
    assert ends(front)[0] == (12.0, 0.0) and ends(back)[0] == (-10.0, 0.0)
    assert ends(front)[1] == pytest.approx((0.0, 10.0)) == ends(back)[1]


def test_a_hollow_is_cut_down_both_walls_its_floor_once() -> None:
    front, back = one_way(VALLEY, falls=True)
    assert ends(front)[0] == (8.0, 10.0) and ends(back)[0] == (0.0, 10.0)
    assert sum(e.length for c in (front, back) for e in c) == pytest.approx(sum(e.length for e in VALLEY))


def test_what_rises_all_the_way_stays_in_one() -> None:
    """A stepped shaft, small at its front (right): the pass goes up to the chuck, or comes down from it."""
    shaft = polyline([(-20.0, 9.0), (-10.0, 9.0), (-10.0, 5.0), (0.0, 5.0), (0.0, 4.0)])
    assert one_way(shaft, falls=False) == (reverse(shaft),)
    assert one_way(shaft, falls=True) == (shaft,)


def test_a_waver_below_any_backlash_splits_nothing() -> None:
    wavy = polyline([(0.0, 9.0), (1.0, 9.0 - 0.9 * LEAST), (2.0, 9.0), (3.0, 5.0)])
    assert len(one_way(wavy, falls=True)) == 1


heights = st.floats(0.0, 20.0).map(lambda v: round(v, 3))


@st.composite
def contours(draw: st.DrawFn) -> Chain:
    """Lines and round caps and cups, left to right."""
    out: list[Element] = []
    here = (0.0, draw(heights))
    for _ in range(draw(st.integers(1, 8))):
        there = (here[0] + draw(st.integers(1, 5)), draw(heights))
        if draw(st.booleans()):
            half = math.copysign(math.pi, draw(st.sampled_from([-1.0, 1.0])))
            level = (there[0], here[1])
            centre = ((here[0] + level[0]) / 2.0, here[1])
            out.append(Arc(here, level, centre, half))
            there = level
        else:
            out.append(Line(here, there))
        here = there
    return tuple(out)


@settings(max_examples=80, deadline=None)
@given(contours(), st.booleans())
def test_every_stretch_goes_one_way_and_together_they_are_the_contour(path: Chain, falls: bool) -> None:
    found = one_way(path, falls=falls)
    assert math.fsum(e.length for c in found for e in c) == pytest.approx(math.fsum(e.length for e in path))
    if (
        max(p[1] for e in path for p in (e.a, e.b, e.point_at(0.5)))
        - min(p[1] for e in path for p in (e.a, e.b, e.point_at(0.5)))
        <= LEAST
    ):
        return
    for chain in found:
        places = [e.point_at(t / 8.0)[1] for e in chain for t in range(9)]
        best = places[0]
        for v in places:
            assert (v - best if falls else best - v) <= LEAST + 1e-9
            best = min(best, v) if falls else max(best, v)
