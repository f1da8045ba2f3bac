"""Speeds, feeds and pecks of hole tools against printed tables, worked examples and each other."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.cutting import drill_bench, formulas
from toolpath.cutting.drilling import OPERATIONS, HoleData, plan_hole
from toolpath.errors import BadInput, CannotMake
from toolpath.shop.machine import Machine
from toolpath.shop.materials import DRILLS, material, names

from tests.passes.hole_tools import hole_tool  # isort: skip

Lathe = Callable[..., Machine]

# m/min with HSS drills: US Navy Engineman training manual 14345 (aluminium to stainless); El-Hofy, Fundamentals of
# Machining, table 5.4 (tool steel, titanium, plastics).
PRINTED_SPEEDS = {
    "aluminium": (61, 91),
    "brass": (61, 91),
    "cast-iron": (21, 46),
    "mild-steel": (24, 34),
    "medium-carbon-steel": (21, 24),
    "stainless-steel": (9, 12),
    "silver-steel": (15, 18),
    "titanium": (7.6, 30),
    "acetal": (20, 75),
    "acrylic": (20, 75),
}

# mm/rev by diameter, US Navy Engineman training manual 14345.
PRINTED_FEEDS = [(3.0, 0.025, 0.05), (3.2, 0.05, 0.10), (6.0, 0.05, 0.10), (12.0, 0.10, 0.18), (20.0, 0.18, 0.38)]

# mm/rev of drills 6, 12, 18, 25 mm, college hand-out "Nominal tutorial cutting speeds and feeds", for heavy machines.
HAND_OUT = {
    "aluminium": (0.30, 0.40, 0.61, 0.81),
    "brass": (0.20, 0.25, 0.41, 0.51),
    "cast-iron": (0.13, 0.18, 0.25, 0.31),
    "mild-steel": (0.20, 0.25, 0.41, 0.51),
    "stainless-steel": (0.13, 0.18, 0.25, 0.31),
    "acetal": (0.10, 0.15, 0.20, 0.25),
}


def planned(lathe: Lathe, name: str = "mild-steel", changes: dict[str, Any] | None = None, **how: Any) -> HoleData:
    given = {"operation": "drill", "diameter": 6.0, "deep": 12.0} | how
    strong = {"max_rpm": 20000.0, "chuck_max_rpm": 20000.0, "min_rpm": 20.0, "max_feed": 5000.0, "power_w": 20000.0}
    tool = hole_tool(diameter=given["diameter"], material=given.pop("material", "HSS"), pilot=given.pop("pilot", 0.0))
    return plan_hole(material(name), tool, lathe(**(strong | {"full_power_rpm": 20.0} | (changes or {}))), **given)


@pytest.mark.parametrize("name", PRINTED_SPEEDS)
def test_speed_lies_in_the_printed_range(lathe: Lathe, name: str) -> None:
    low, high = PRINTED_SPEEDS[name]
    assert low <= planned(lathe, name).surface.value <= high


@pytest.mark.parametrize(("diameter", "low", "high"), PRINTED_FEEDS)
def test_feed_of_mild_steel_stays_below_the_printed_one(lathe: Lathe, diameter: float, low: float, high: float) -> None:
    feed = planned(lathe, diameter=diameter, deep=5.0).feed.value
    assert feed <= high
    hard = planned(lathe, "silver-steel", diameter=diameter, deep=5.0)
    assert hard.feed.value == pytest.approx(low) and "low end" in hard.feed.because


@pytest.mark.parametrize("name", HAND_OUT)
def test_printed_feeds_are_halved(lathe: Lathe, name: str) -> None:
    """The hand-out's feeds come through halved, unless the Navy's for the diameter are less still."""
    m = material(name)
    assert m.drill_feed == HAND_OUT[name]
    for d, printed in zip(DRILLS, HAND_OUT[name], strict=True):
        navy = drill_bench.navy_feed(d, hard=m.drill <= drill_bench.HARD)
        assert planned(lathe, name, diameter=d, deep=5.0).feed.value == pytest.approx(min(printed / 2.0, navy))


def test_a_worked_example_with_our_figures() -> None:
    """lzqtool, "Calculation formula of hole machining": drill 12 at 1350 rpm and 0.2 mm: 50.9 m/min and 270 mm/min."""
    assert round(formulas.surface_speed(12, 1350), 1) == 50.9
    assert round(formulas.feed_per_minute(0.2, 1350)) == 270


def test_torque_is_two_lips_of_the_plain_force() -> None:
    """Each lip takes half the feed over half the diameter with its force at a quarter of it: M = F D / 2000 twice."""
    kc, d, f = 2000.0, 10.0, 0.1
    lip = formulas.cutting_force(kc, depth=d / 2.0, feed=f / 2.0)
    assert formulas.drilling_torque(kc, d, feed=f) == pytest.approx(2.0 * formulas.torque(lip, d / 2.0))
    # opening 6 out to 10: lips of 2 mm at diameter 8
    lip = formulas.cutting_force(kc, depth=2.0, feed=f / 2.0)
    assert formulas.drilling_torque(kc, 10.0, feed=f, hole=6.0) == pytest.approx(2.0 * formulas.torque(lip, 8.0))


@pytest.mark.parametrize("rpm", [100.0, 1350.0])
def test_power_of_torque_is_the_identity_of_handbooks(rpm: float) -> None:
    """P (kW) = n M / 9549."""
    assert formulas.power_of_torque(10.0, rpm) / 1000.0 == pytest.approx(rpm * 10.0 / 9549.0, rel=1e-4)


def test_the_motor_bounds_the_feed(lathe: Lathe) -> None:
    """At the feed found, the torque takes just what the motor gives; opening out a hole takes less."""
    weak = {"power_w": 150.0, "full_power_rpm": 20.0}
    data = planned(lathe, changes=weak, diameter=16.0, deep=5.0)
    assert "W at the spindle" in data.feed.because
    m = material("mild-steel")
    kc = 1.4 * m.kc11 * formulas.drilling_chip(data.feed.value, math.radians(118.0)) ** -m.mc
    moment = formulas.drilling_torque(kc, 16.0, feed=data.feed.value)
    assert formulas.power_of_torque(moment, data.rpm.value) == pytest.approx(150.0 * 0.75)
    assert planned(lathe, changes=weak, diameter=16.0, deep=5.0, hole=12.0).feed.value > data.feed.value


def test_the_lips_of_a_cone_cut_at_its_own_angle(lathe: Lathe) -> None:
    """A countersink of 60 deg with a blunt end: a thinner chip at the same feed, so the motor gives less."""
    m, tool = material("mild-steel"), hole_tool(kind="countersink", diameter=16.0)
    assert tool.hole is not None
    cone = replace(tool, hole=replace(tool.hole, point=math.pi, cone=math.radians(60.0)))
    weak = lathe(max_rpm=20000.0, min_rpm=20.0, power_w=100.0, full_power_rpm=20.0, max_feed=5000.0)
    data = plan_hole(m, cone, weak, operation="countersink", diameter=16.0, deep=5.0)
    assert "W at the spindle" in data.feed.because
    kc = 1.4 * m.kc11 * (data.feed.value / 2.0 * 0.5) ** -m.mc
    took = formulas.power_of_torque(formulas.drilling_torque(kc, 16.0, feed=data.feed.value), data.rpm.value)
    assert took == pytest.approx(100.0 * 0.75)


def test_too_large_for_the_motor(lathe: Lathe) -> None:
    with pytest.raises(CannotMake, match="Drill a smaller hole first"):
        planned(lathe, "silver-steel", {"power_w": 20.0}, diameter=20.0, deep=5.0)


@pytest.mark.parametrize(
    ("name", "diameter", "deep", "first", "later"),
    [
        ("brass", 5.0, 15.0, 15.0, 15.0),  # 3 diameters: in one
        ("brass", 5.0, 15.1, 15.0, 5.0),  # short chips: 3, then 1
        ("mild-steel", 5.0, 30.0, 12.5, 5.0),  # 2.5, then 1
        ("aluminium", 5.0, 30.0, 10.0, 2.5),  # stringy: 2, then 0.5
    ],
)
def test_pecks(lathe: Lathe, name: str, diameter: float, deep: float, *, first: float, later: float) -> None:
    data = planned(lathe, name, diameter=diameter, deep=deep)
    assert (data.depth.value, data.peck.value) == (first, later)


@pytest.mark.parametrize(
    ("name", "ratio", "lift", "why"),
    [  # common practice, no source: break what curls, clear what is short already, and clear all that is deep
        ("mild-steel", 3.0, 0.0, "there are no pecks"),
        ("mild-steel", 3.1, 0.5, "to break the chip: 3.1 diameters deep in mild steel, whose chips curl up the flutes"),
        ("mild-steel", 6.0, 0.5, "no more than 6"),
        ("mild-steel", 6.1, 0.0, "to clear the chips: 6.1 diameters deep"),
        ("aluminium", 4.0, 0.5, "no more than 4"),
        ("aluminium", 4.1, 0.0, "whose long chips clog, more than 4"),
        ("brass", 3.1, 0.0, "whose short chips need no breaking, more than 3"),
    ],
)
def test_chips_are_broken_or_cleared(lathe: Lathe, name: str, ratio: float, *, lift: float, why: str) -> None:
    data = planned(lathe, name, diameter=5.0, deep=5.0 * ratio)
    assert data.lift.value == lift and why in data.lift.because


def test_other_operations_run_slower_and_in_one_cut(lathe: Lathe) -> None:
    drill = planned(lathe, deep=40.0)
    ream, sink, floor = (planned(lathe, operation=o, deep=40.0) for o in ("ream", "countersink", "flat bottom"))
    assert ream.rpm.value == pytest.approx(drill.rpm.value / 2.0) and ream.feed.value == 2.0 * drill.feed.value
    assert sink.rpm.value == pytest.approx(drill.rpm.value / 2.0) and sink.feed.value == drill.feed.value / 2.0
    assert floor.depth.value == 40.0 and floor.dwell.value == sink.dwell.value == 1.0
    assert ream.dwell.value == drill.dwell.value == 0.0


def test_a_centre_drill_is_fed_by_its_pilot(lathe: Lathe) -> None:
    """Speed by the mouth, which cuts fastest; feed by the pilot, which breaks first."""
    data = planned(lathe, operation="centre", diameter=4.0, pilot=1.6, deep=3.0)
    assert data.surface.value == pytest.approx(formulas.surface_speed(4.0, data.rpm.value))
    assert "diameter 1.6" in data.feed.because and data.feed.value == pytest.approx(0.2 * 1.6 / 6 / 2 / 2)


def test_what_hardens_is_not_dwelt_on_and_what_grabs_is_told(lathe: Lathe) -> None:
    assert planned(lathe, "stainless-steel", operation="flat bottom").dwell.value == 0.0
    burns = planned(lathe, "magnesium", operation="flat bottom").dwell
    assert (burns.value, burns.because) == (0.0, "magnesium alloy burns where a tool rubs: no dwell")
    assert "zero rake" in planned(lathe, "brass").cautions[0] and not planned(lathe, "mild-steel").cautions
    assert planned(lathe, "brass").eased.value == 0.5


def test_carbide_runs_twice_as_fast(lathe: Lathe) -> None:
    """US Navy Engineman training manual 14345: 2 to 3 times."""
    assert planned(lathe, material="carbide").rpm.value == pytest.approx(2.0 * planned(lathe).rpm.value)


def test_refusals(lathe: Lathe) -> None:
    with pytest.raises(CannotMake, match="stands already"):
        planned(lathe, hole=6.0)
    with pytest.raises(BadInput, match="no drilling speed"):
        planned(lathe, material="cardboard")
    with pytest.raises(CannotMake, match="slowest spindle speed"):
        planned(lathe, "titanium", {"min_rpm": 1000.0}, diameter=20.0)
    with pytest.raises(ValueError, match="no operation"):
        planned(lathe, operation="mill")


@settings(max_examples=60, deadline=None)
@given(
    name=st.sampled_from(names()),
    operation=st.sampled_from(OPERATIONS),
    diameter=st.floats(0.5, 25.0),
    ratio=st.floats(0.2, 12.0),
    power=st.floats(100.0, 1500.0),
)
def test_every_figure_holds_its_bounds(
    lathe: Lathe, name: str, operation: str, *, diameter: float, ratio: float, power: float
) -> None:
    """Whatever is asked: within the machine's speeds and feed, the torque within the motor, pecks within the depth."""
    machine = {"power_w": power, "min_rpm": 50.0, "max_rpm": 2500.0, "chuck_max_rpm": 2000.0, "max_feed": 300.0}
    m, deep = material(name), ratio * diameter
    try:
        data = planned(lathe, name, machine, operation=operation, diameter=diameter, deep=deep, pilot=diameter / 2.0)
    except CannotMake as refusal:
        assert "slowest spindle" in str(refusal) or "a drill rubs" in str(refusal)
        return
    assert 50.0 <= data.rpm.value <= 2000.0 and data.feed.value > 0.0
    assert data.feed.value * data.rpm.value <= 300.0 * (1.0 + 1e-9)
    assert data.surface.value == pytest.approx(formulas.surface_speed(diameter, data.rpm.value))
    assert 0.0 < data.peck.value <= data.depth.value <= deep * (1.0 + 1e-9)
    kc = 1.4 * m.kc11 * formulas.drilling_chip(data.feed.value, math.radians(118.0)) ** -m.mc
    took = formulas.power_of_torque(formulas.drilling_torque(kc, diameter, feed=data.feed.value), data.rpm.value)
    assert took <= power * 0.75 * (1.0 + 1e-9)
    assert all(f.because for f in (data.surface, data.limit_rpm, data.rpm, data.feed, data.depth, data.peck))
