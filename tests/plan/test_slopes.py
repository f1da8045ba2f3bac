"""A plan names the tools that can not go down a slope, with the angle behind their noses."""

from __future__ import annotations

import math

import pytest

from tests.plan.workshop import drawer
from toolpath.geometry.elements import arc_about, polyline
from toolpath.plan.reach import reach, steepest
from toolpath.plan.side import Side


def words(number: int, slope: float) -> str:
    """What a tool says of a waist 0.5 mm deep whose wall falls towards the chuck by `slope` degrees."""
    run = 0.5 / math.tan(math.radians(slope))
    points = [(-60.0, 10.0), (-20.0, 10.0), (-20.0, 9.5), (-10.0 - run, 9.5), (-10.0, 10.0), (0.0, 10.0), (0.0, 0.0)]
    tool = next(t for t in drawer() if t.number == number)
    asked = frozenset({3})
    outside = Side(
        works="outside",
        contour=polyline(points),
        wanted=asked,
        finished=asked,
        stands=(),
        begins=-60.0,
        ends=0.0,
        top=10.0,
        clearance=1.0,
        dia=20.0,
    )
    return reach(tool, outside).in_words()


def test_an_80_deg_insert_can_not_go_down_a_35_deg_slope() -> None:
    assert words(1, 35.0).endswith(
        ": a tool of 80 deg entering at 95 deg has 5 deg behind it and can not go down a 35 deg slope"
    )
    assert "has 32 deg behind it and can not go down a 35 deg slope" in words(2, 35.0)


@pytest.mark.parametrize(("number", "slope"), [(1, 2.5), (2, 29.0), (3, 49.0)])
def test_a_tool_that_can_says_nothing_of_slopes(number: int, slope: float) -> None:
    assert "can not go down" not in words(number, slope)


def test_the_steepest_slope_of_a_stretch() -> None:
    slope = polyline([(0.0, 0.0), (2.0, 1.0), (3.0, 1.0), (4.0, 0.0)])
    assert math.degrees(steepest(slope)) == pytest.approx(math.degrees(math.atan(0.5)))
    assert steepest(polyline([(0.0, 1.0), (1.0, 0.0)])) == pytest.approx(-math.pi / 4.0)
    quarter = (arc_about((0.0, 1.0), (0.0, 0.0), (1.0, 1.0), ccw=True),)
    assert math.degrees(steepest(quarter)) == pytest.approx(90.0)
