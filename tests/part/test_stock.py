"""The stock as a value: what stands, what is met from outside and from inside, and what it measures."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Chain, Line, arc_about, polyline, reverse, signed_area
from toolpath.part.stock import Grip, Stock, bar, from_outlines, tube

SIZES = st.floats(0.5, 200.0)


def joined(chain: Chain) -> bool:
    return all(math.dist(e.b, f.a) == 0.0 for e, f in pairwise(chain))


def test_a_bar_of_16_by_60_faced_by_1() -> None:
    stock = bar(16.0, length=60.0, front=1.0)
    assert stock.outside == polyline([(-59.0, 8.0), (1.0, 8.0), (1.0, 0.0)])
    assert stock.inside == ()
    assert (stock.dia, stock.bore, stock.length, stock.front, stock.back) == (16.0, 0.0, 60.0, 1.0, -59.0)
    assert stock.grip == Grip(16.0, 60.0, 60.0)
    assert stock.skyline == stock.outside


def test_a_tube_goes_down_to_its_bore_and_is_hollow_right_through() -> None:
    stock = tube(20.0, bore=8.0, length=40.0, front=0.5)
    assert stock.outside == polyline([(-39.5, 10.0), (0.5, 10.0), (0.5, 4.0)])
    assert stock.inside == polyline([(-39.5, 4.0), (0.5, 4.0)])
    assert (stock.dia, stock.bore, stock.length) == (20.0, 8.0, 40.0)


@given(SIZES, st.floats(0.0, 0.99), SIZES, st.floats(0.0, 5.0))
def test_any_tube_weighs_what_its_ring_does(dia: float, share: float, length: float, front: float) -> None:
    stock = tube(dia, bore=share * dia, length=length, front=front)
    assert stock.volume() == pytest.approx(math.pi / 4.0 * (dia**2 - (share * dia) ** 2) * length, rel=1e-9)
    assert stock.bore == pytest.approx(share * dia if share * dia > 2e-6 else 0.0, abs=1e-12)
    assert signed_area(stock.outline) > 0.0 and joined(stock.outside)


@pytest.mark.parametrize(("dia", "bore", "length"), [(16, 16, 60), (16, 17, 60), (16, -1, 60), (16, 8, 0), (16, 8, -2)])
def test_a_tube_of_no_metal_is_refused(dia: float, bore: float, length: float) -> None:
    with pytest.raises(BadInput, match=f"a bore of {bore} mm leaves nothing of a bar dia {dia}, {length} mm long"):
        tube(dia, bore=bore, length=length, front=0.0)


# A cup turned before: rim 24, stem 12 behind it, blind hole of 10 with a ball-nosed floor; the front is rounded.
CUP: Chain = (
    Line((-60.0, 0.0), (-20.0, 0.0)),
    arc_about((-15.0, 0.0), (-20.0, 0.0), (-15.0, 5.0), ccw=False),
    Line((-15.0, 5.0), (-3.5, 5.0)),
    arc_about((-3.5, 8.5), (-3.5, 5.0), (-3.5, 12.0), ccw=True),
    Line((-3.5, 12.0), (-25.0, 12.0)),
    Line((-25.0, 12.0), (-25.0, 6.0)),
    Line((-25.0, 6.0), (-60.0, 6.0)),
    Line((-60.0, 6.0), (-60.0, 0.0)),
)


def test_a_cup_that_an_earlier_set_up_left() -> None:
    """The half round of its rim is cut at its foremost point: outside above it, the hollow below."""
    stock = from_outlines([CUP])
    assert (stock.front, stock.back, stock.dia, stock.bore) == (0.0, -60.0, 24.0, 0.0)
    assert stock.outside[0] == Line((-60.0, 6.0), (-25.0, 6.0))
    assert stock.outside[-1].b == pytest.approx((0.0, 8.5), abs=1e-12)
    assert stock.inside[0].a == (-20.0, 0.0) and stock.inside[-1].b == stock.outside[-1].b
    assert [type(e) for e in stock.inside] == [Arc, Line, Arc]
    assert joined(stock.outside) and joined(stock.inside)
    assert stock.grip == Grip(12.0, 35.0, 35.0)
    assert stock.outlines == (CUP,)


@pytest.mark.parametrize("turn", range(len(CUP)))
def test_where_an_outline_begins_makes_no_difference(turn: int) -> None:
    there, here = from_outlines([CUP]), from_outlines([CUP[turn:] + CUP[:turn]])
    assert (here.outside, here.inside) == (there.outside, there.inside)


def test_turned_round_the_hole_lies_at_the_back() -> None:
    """A part 60 long: what was the stem's end is the new front face at z = 0; twice round is as before."""
    stock = from_outlines([CUP])
    round_ = stock.turned_round(60.0)
    assert (round_.front, round_.back, round_.dia, round_.inside) == (0.0, -60.0, 24.0, ())
    assert round_.outside[-2:] == (Line((-35.0, 6.0), (0.0, 6.0)), Line((0.0, 6.0), (0.0, 0.0)))
    assert round_.volume() == pytest.approx(stock.volume(), rel=1e-12)
    again = round_.turned_round(60.0)
    for e, f in zip(again.outside, stock.outside, strict=True):
        assert e.a == pytest.approx(f.a, abs=1e-12) and e.b == pytest.approx(f.b, abs=1e-12)


def test_turned_round_by_the_part_s_length_bar_and_all() -> None:
    """A bar standing 1 mm out in front of a part of 20 mm: the part's back face is zero now, the bar's end at +39."""
    stock = bar(16.0, length=60.0, front=1.0).turned_round(20.0)
    assert (stock.front, stock.back) == (39.0, -21.0)


def test_a_stepped_tube_has_its_bore_at_the_narrowest() -> None:
    stepped = polyline([(-30.0, 6.0), (-10.0, 6.0), (-10.0, 3.0), (0.0, 3.0), (0.0, 9.0), (-30.0, 9.0)], close=True)
    stock = from_outlines([stepped])
    assert stock.bore == 6.0
    assert stock.inside == polyline([(-30.0, 6.0), (-10.0, 6.0), (-10.0, 3.0), (0.0, 3.0)])
    assert stock.outside == polyline([(-30.0, 9.0), (0.0, 9.0), (0.0, 3.0)])


def test_the_skyline_is_plumb_under_an_overhang() -> None:
    """A neck whose front wall leans 1 mm under the head: its outline goes under, the skyline falls from the rim."""
    neck = polyline([(-40.0, 8.0), (-14.0, 8.0), (-14.0, 5.0), (-8.0, 5.0), (-9.0, 8.0), (0.0, 8.0), (0.0, 0.0)])
    stock = from_outlines([(*reverse(neck), Line((-40.0, 8.0), (-40.0, 0.0)), Line((-40.0, 0.0), (0.0, 0.0)))])
    assert stock.outside == neck
    assert stock.skyline == (*neck[:2], Line((-14.0, 5.0), (-9.0, 5.0)), Line((-9.0, 5.0), (-9.0, 8.0)), *neck[4:])


def test_a_broken_edge_behind_the_cylinder_belongs_to_the_grip_and_a_cone_is_none() -> None:
    broken = polyline([(-30.0, 0.0), (0.0, 0.0), (0.0, 9.0), (-15.0, 9.0), (-15.0, 6.0), (-29.0, 6.0), (-30.0, 5.0)])
    outline = (*broken, Line((-30.0, 5.0), (-30.0, 0.0)))
    assert from_outlines([outline]).grip == Grip(12.0, 14.0, 15.0)
    cone = polyline([(-30.0, 0.0), (0.0, 0.0), (0.0, 6.0), (-30.0, 9.0)], close=True)
    headed = polyline([(-30.0, 0.0), (0.0, 0.0), (0.0, 9.0), (-10.0, 9.0), (-30.0, 6.0)], close=True)
    rim = polyline([(-30.0, 0.0), (0.0, 0.0), (0.0, 6.0), (-28.0, 6.0), (-29.0, 9.0), (-30.0, 9.0)], close=True)
    for outline in (cone, headed):
        with pytest.raises(BadInput, match="does not end in a cylinder"):
            _ = from_outlines([outline]).grip
    assert from_outlines([rim]).grip == Grip(18.0, 1.0, 1.0)


@pytest.mark.parametrize(
    ("outlines", "said"),
    [
        ([], "the stock is in 0 pieces. A set-up begins with one"),
        ([CUP, CUP], "the stock is in 2 pieces. A set-up begins with one"),
        ([CUP[:-1]], "the stock's outline is open by 6 mm at z -60 mm"),
        ([reverse(CUP)], "the stock's outline holds no metal. It runs counter-clockwise about the metal"),
        (
            [polyline([(-9.0, -1.0), (0.0, -1.0), (0.0, 5.0), (-9.0, 5.0)], close=True)],
            "the stock's outline dips past the axis, to a radius of -1 mm",
        ),
        (
            [
                (
                    *polyline([(-30.0, 0.0), (-20.0, 0.0), (-20.0, 3.0), (-10.0, 3.0), (-10.0, 0.0), (0.0, 0.0)]),
                    *polyline([(0.0, 0.0), (0.0, 5.0), (-30.0, 5.0), (-30.0, 0.0)]),
                )
            ],
            "the stock is hollow in the middle. A hollow that tools can enter opens at an end",
        ),
    ],
)
def test_outlines_that_are_no_stock(outlines: list[Chain], said: str) -> None:
    with pytest.raises(BadInput) as caught:
        from_outlines(outlines)
    assert str(caught.value) == said


def test_a_stock_is_a_value() -> None:
    assert bar(16.0, length=60.0, front=1.0) == tube(16.0, bore=0.0, length=60.0, front=1.0)
    with pytest.raises(AttributeError):
        bar(16.0, length=60.0, front=1.0).outline = ()  # type: ignore[misc]
    assert isinstance(bar(16.0, length=60.0, front=1.0), Stock)
