"""Passes over the floor of a hole: in and out along the hole, cuts where they are said, rapids in air only."""

from __future__ import annotations

from itertools import pairwise

import pytest

from toolpath.geometry.elements import Arc, Chain, Line, arc_about
from toolpath.passes.floor import FloorRoughing, rough_floor
from toolpath.passes.legs import Legs, Pace, end_of

# In (u, v): a floor that falls from the wall at v -6 to the middle, twice, the second 0.3 mm nearer.
OUTER: Chain = (Line((-9.0, -3.0), (-8.0, -5.0)),)
INNER: Chain = (Line((-9.3, -3.0), (-8.3, -5.0)),)
JOB = FloorRoughing(paths=(OUTER, INNER), core=-7.0, travel=-4.0, clearance=0.4)
START = (20.0, -4.0)


def test_one_pass_move_by_move() -> None:
    legs = rough_floor(FloorRoughing(paths=(OUTER,), core=-7.0, travel=-4.0, clearance=0.4), START)
    ways = [(leg.pace, leg.path.b) for leg in legs]
    assert ways == [
        (Pace.RAPID, (-6.6, -4.0)),  # along the hole to where the drill's diameter ends
        (Pace.FEED, (-6.6, -5.0)),  # out to the pass, slowly
        (Pace.FEED, (-7.6, -5.0)),  # nearer to the wall than the travel line: no rapid
        (Pace.FEED, (-8.0, -5.0)),
        (Pace.FEED, (-9.0, -3.0)),  # the cut, towards the axis
        (Pace.FEED, (-8.6, -3.0)),  # straight back: across there is the other side of the hole
        (Pace.RAPID, (-6.6, -3.0)),
        (Pace.FEED, (-6.6, -4.0)),
    ]


def test_passes_join_and_end_on_the_travel_line() -> None:
    legs = rough_floor(JOB, START)
    assert all(a.path.b == b.path.a for a, b in pairwise(legs))
    assert legs[0].path.a == START and end_of(legs) == (-6.6, -4.0)
    assert cut_of(legs) == [((-8.0, -5.0), (-9.0, -3.0)), ((-8.3, -5.0), (-9.3, -3.0))]


def cut_of(legs: Legs) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    slanting = (leg.path for leg in legs if leg.path.a[0] != leg.path.b[0] and leg.path.a[1] != leg.path.b[1])
    return [(e.a, e.b) for e in slanting]


@pytest.mark.parametrize("leg", rough_floor(JOB, START))
def test_no_rapid_below_the_drilled_diameter_but_along_the_hole(leg: object) -> None:
    assert hasattr(leg, "pace") and hasattr(leg, "path")
    if leg.pace is Pace.RAPID:
        assert leg.path.a[1] == leg.path.b[1] and leg.path.b[0] >= -8.9


def test_a_pass_that_begins_nearer_to_the_axis_is_come_to_at_a_rapid() -> None:
    round_floor = arc_about((-4.0, 0.0), (-9.0, -1.0), (-8.0, -3.2), ccw=True)
    legs = rough_floor(FloorRoughing(paths=((round_floor,),), core=-7.0, travel=-4.0, clearance=0.4), START)
    assert [leg.pace for leg in legs][:4] == [Pace.RAPID, Pace.FEED, Pace.RAPID, Pace.FEED]
    assert [type(leg.path) for leg in legs].count(Arc) == 1


def test_nothing_to_take_is_no_move() -> None:
    assert rough_floor(FloorRoughing(paths=(), core=-7.0, travel=-4.0, clearance=0.4), START) == ()
