"""Holes on the axis: where the tool goes, how often, how deep and for how long, against closed forms."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.cutting.formulas import drilling_time
from toolpath.geometry.elements import polyline, signed_area
from toolpath.passes.drill import Hole, depths, drill, taken, through
from toolpath.passes.legs import Legs, Pace, end_of, length
from toolpath.shop.hole_tools import point_length
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

from tests.passes.hole_tools import hole_tool  # isort: skip

HOLE = Hole(front=5.0, mouth=0.0, begins=0.0, bottom=-30.0, first=12.5, peck=5.0, clearance=1.0)
CHANGE = (40.0, 35.0)


def drilled(**changes: Any) -> tuple[Legs, int]:
    return drill(replace(HOLE, **changes), CHANGE)


def z_of(legs: Legs, pace: Pace) -> list[tuple[float, float]]:
    return [(leg.path.a[0], leg.path.b[0]) for leg in legs if leg.pace is pace and leg.path.a != leg.path.b]


def test_one_hole_move_by_move() -> None:
    """In front of the work to the axis, in, two pecks cleared outside, and out the same way."""
    legs, count = drilled(bottom=-15.0, first=10.0)
    places = [CHANGE, *(leg.path.b for leg in legs)]
    assert count == 2
    assert places == [
        (40.0, 35.0), (5.0, 35.0), (5.0, 0.0), (1.0, 0.0), (-10.0, 0.0),
        (1.0, 0.0), (-9.0, 0.0), (-15.0, 0.0), (1.0, 0.0), (5.0, 0.0),
    ]  # fmt: skip
    assert z_of(legs, Pace.FEED) == [(1.0, -10.0), (-9.0, -15.0)]


@pytest.mark.parametrize(("deep", "count"), [(12.5, 1), (12.6, 2), (30.0, 5), (32.5, 5), (32.6, 6)])
def test_number_of_pecks(deep: float, count: int) -> None:
    """1 + ceil((deep - first) / peck), the later ones equal."""
    first, peck = 12.5, 5.0
    floors = depths(replace(HOLE, bottom=-deep, first=first, peck=peck))
    assert len(floors) == count == 1 + math.ceil((deep - first) / peck)
    assert drilled(bottom=-deep, first=first, peck=peck)[1] == count


def test_chip_break_lifts_a_little() -> None:
    legs, count = drilled(lift=0.5)
    lifts = [b - a for a, b in z_of(legs, Pace.RAPID) if 0.0 < b - a < 1.0]
    assert count == 5 and lifts == pytest.approx([0.5] * 4)
    assert min(b for _, b in z_of(legs, Pace.RAPID)[:-1]) < -20.0  # it stays in the hole between pecks


def test_a_hole_already_there_is_entered_at_a_rapid() -> None:
    legs, _ = drilled(begins=-20.0, first=20.0)
    assert z_of(legs, Pace.FEED) == [(-19.0, -30.0)]


def test_reamer_comes_out_at_feed() -> None:
    legs, count = drilled(first=30.0, feed_out=True)
    assert count == 1 and z_of(legs, Pace.FEED) == [(1.0, -30.0), (-30.0, 1.0)]


def test_a_floor_is_dwelt_on() -> None:
    legs, _ = drilled(first=30.0, turns=1.0)
    (stood,) = [leg for leg in legs if leg.turns]
    assert stood.turns == 1.0 and stood.path.a == (-30.0, 0.0)


def test_feed_eased_where_holes_meet() -> None:
    """Between -18 and -22 half, from -20 on a quarter: where stretches overlap the least holds."""
    legs, _ = drilled(first=30.0, eased=((-18.0, -22.0, 0.5), (-20.0, -30.0, 0.25)))
    cut = [(leg.path.a[0], leg.path.b[0], leg.share) for leg in legs if leg.pace is Pace.FEED]
    assert cut == [(1.0, -18.0, 1.0), (-18.0, -20.0, 0.5), (-20.0, -22.0, 0.25), (-22.0, -30.0, 0.25)]


def test_time_at_feed() -> None:
    """Depth / (f n), and one clearance more a peck. Mitsubishi Materials, web course "Formulas": five holes of 30 mm at
    0.2 mm and 1350 rpm take 33.3 s, with no approach."""
    legs, count = drilled(first=15.0, peck=15.0)
    minutes = length(legs, Pace.FEED) / (0.2 * 1350.0)
    assert count == 2
    assert minutes == pytest.approx(drilling_time(30.0 + count * 1.0, feed=0.2, rpm=1350.0))
    bare, _ = drilled(first=30.0, clearance=1e-9)
    assert round(5 * 60 * length(bare, Pace.FEED) / (0.2 * 1350.0), 1) == 33.3


def test_through_goes_on_by_the_point_and_what_is_added() -> None:
    """A 6 mm drill of 118 deg has a point of 0.300 D = 1.80 mm: 20 mm through with 0.5 mm to spare ends at -22.30."""
    assert through(-20.0, point_length(6.0, math.radians(118.0)), extra=0.5) == pytest.approx(-22.303, abs=1e-3)


@pytest.mark.parametrize("wrong", [{"front": 0.5}, {"begins": 0.1}, {"bottom": 0.0}, {"begins": -30.0}])
def test_places_out_of_order(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="a hole from"):
        drilled(**wrong)


@settings(max_examples=150, deadline=None)
@given(
    deep=st.floats(0.1, 80.0),
    begun=st.floats(0.0, 0.9),
    first=st.floats(0.2, 40.0),
    peck=st.floats(0.2, 20.0),
    lift=st.sampled_from([0.0, 0.3]),
    start=st.tuples(st.floats(-20.0, 60.0), st.floats(10.0, 60.0)),
    ease=st.tuples(st.floats(-90.0, 5.0), st.floats(-90.0, 5.0), st.floats(0.2, 1.0)),
)
def test_any_hole(deep: float, begun: float, first: float, peck: float, *, lift: float, start: Any, ease: Any) -> None:
    """One axis at a time; joined; sideways only in front; no rapid below what is cut; every depth cut once."""
    job = replace(HOLE, begins=-deep * begun, bottom=-deep, first=first, peck=peck, lift=lift, eased=(ease,))
    legs, count = drill(job, start)
    here, lowest, fed = start, job.begins, 0.0
    for leg in legs:
        (z0, x0), (z1, x1) = leg.path.a, leg.path.b
        assert (z0, x0) == here and (z0 == z1 or x0 == x1)
        here = (z1, x1)
        assert x0 == x1 == 0.0 or (leg.pace is Pace.RAPID and (x0 == x1 or z0 == job.front))
        if leg.pace is Pace.RAPID:
            assert z1 >= lowest - 1e-9 or x1 >= 10.0
        else:
            fed += max(0.0, lowest - z1)
            lowest = min(lowest, z1)
    assert end_of(legs) == (job.front, 0.0) and lowest == job.bottom
    assert fed == pytest.approx(job.begins - job.bottom)
    floors = [job.begins, *depths(job)]
    assert count == len(floors) - 1
    assert all(a - b <= max(first, peck) + 1e-9 for a, b in pairwise(floors))


RACK = """
title = "holes"
[[tool]]
number = 1
kind = "drill"
size = "6"
[[tool]]
number = 2
kind = "centre drill"
size = "A2"
[[tool]]
number = 3
kind = "centre drill"
size = "B2"
[[tool]]
number = 4
kind = "countersink"
angle = 90
dia = 12.5
[[tool]]
number = 5
kind = "flat drill"
dia = 8
[[tool]]
number = 6
kind = "reamer"
dia = 6
"""


@pytest.fixture(scope="module")
def hole_rack(tmp_path_factory: pytest.TempPathFactory) -> dict[int, Tool]:
    path = tmp_path_factory.mktemp("rack") / "rack.toml"
    path.write_text(RACK)
    return {t.number: t for t in load_rack(path)}


@pytest.mark.parametrize("number", [1, 2, 3, 4, 5, 6])
@pytest.mark.parametrize("deep", [0.2, 0.8, 2.5, 3.0, 4.5, 12.0, 30.0])
def test_what_a_tool_takes_is_its_own_shadow(hole_rack: dict[int, Tool], number: int, deep: float) -> None:
    """Against shapely: each outline drawn along the axis, joined, cut off at the face and at the axis."""
    tool = hole_rack[number]
    shapes = [shapely.Polygon([e.a for e in chain]) for chain in (tool.outline, *tool.steps)]
    swept = [shapely.union(s, shapely.affinity.translate(s, 60.0)).convex_hull for s in shapes]
    shadow = shapely.affinity.translate(shapely.union_all(swept), -deep)
    expected = shapely.intersection(shadow, shapely.box(-100.0, 0.0, 0.0, 50.0))
    chain = taken(tool, mouth=0.0, bottom=-deep)
    found = shapely.Polygon([e.a for e in chain])
    assert found.is_valid and signed_area(chain) > 0.0 and chain[-1].b == chain[0].a
    assert shapely.area(shapely.symmetric_difference(found, expected)) <= 1e-9
    assert found.area > 0.0


def test_a_thin_shank_takes_nothing_more() -> None:
    shank = polyline([(40.0, -1.0), (60.0, -1.0), (60.0, 1.0), (40.0, 1.0)], close=True)
    chain = taken(hole_tool(kind="flat drill", steps=(shank,)), mouth=0.0, bottom=-50.0)
    assert signed_area(chain) == pytest.approx(50.0 * 3.0)


def test_only_what_works_on_the_axis_takes_a_hole(hole_rack: dict[int, Tool]) -> None:
    with pytest.raises(ValueError, match="no straight profile"):
        taken(replace(hole_rack[1], works="outside"), mouth=0.0, bottom=-1.0)
