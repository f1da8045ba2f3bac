"""Times against published worked examples and closed forms. Sources stand beside each figure.

E = execution facts: "Motion execution" notes of trapezoids and facing times, computed there from the same laws by
others; MMC = Mitsubishi Materials, "Formulae for Turning"; KYO = Kyocera General Catalogue 2021-22, cutting times;
ELH = El-Hofy, Fundamentals of Machining, ch. 5 (5.1, 5.2); GRO = Groover, 21.7. Answers of ELH and GRO
recomputed by hand.
"""

from __future__ import annotations

import math
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.motion import (
    ArcCut,
    Cut,
    Dwell,
    Feed,
    FeedMode,
    Operation,
    Program,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    State,
    Step,
    ToolCall,
)
from toolpath.proof.clock import corner_speeds, rapid_seconds, rpm_at, seconds, trapezoid
from toolpath.shop.machine import Machine

from tests.proof.bench import machine  # isort: skip

INCH = 25.4


def lathe(**changes: Any) -> Machine:
    return msgspec.structs.replace(machine(), **changes)


QUICK = lathe(accel_x=1e9, accel_z=1e9, max_feed=1e9, max_rpm=1e9, spindle_up_s=2.0, change_seconds=30.0)
"""Neither ramps nor limits: what the published formulas suppose."""


def state(feed: float, *, mode: FeedMode = FeedMode.PER_TURN, **spindle: float) -> State:
    return State(tool=1, spindle=Spindle(Sense.FORWARD, **spindle) if spindle else None, feed=Feed(mode, feed))


def timed(*steps: Step, on: Machine = QUICK) -> list[float]:
    (out,) = seconds(Program("", (), (Operation("turn", steps),)), on)
    return out


def facing(d1: float, d2: float, **kw: Any) -> Cut:
    return Cut((0.0, d1 / 2.0), (0.0, d2 / 2.0), state(**kw))


@pytest.mark.parametrize(
    "length, feed, printed, digit",
    [
        (50.0, 100.0, 30.008, 1e-3),
        (50.0, 3000.0, 1.25, 1e-9),
        (1.0, 3000.0, 0.1414, 1e-4),
        (0.05, 3000.0, 0.0316, 1e-4),
    ],
)
def test_trapezoids_from_rest_to_rest(length: float, feed: float, printed: float, digit: float) -> None:
    """E, at 200 mm/s2; within half of the last digit printed there."""
    exact = pytest.approx(printed, abs=digit / 2.0)
    assert trapezoid(length, feed / 60.0, 200.0) == exact
    move = Cut((0.0, 5.0), (-length, 5.0), state(feed, mode=FeedMode.PER_MINUTE))
    assert timed(move, on=lathe(accel_z=200.0, max_feed=3000.0)) == [exact]


def test_turning_a_length_at_fixed_speed() -> None:
    """MMC: 100 mm at 1000 1/min and 0.2 mm/rev take 0.5 min."""
    assert timed(Cut((0.0, 25.0), (-100.0, 25.0), state(0.2, rpm=1000.0))) == [pytest.approx(30.0)]


@pytest.mark.parametrize(
    "cut, minutes",
    [
        (facing(450.0, 150.0, feed=0.3, rpm=50.0), 10.0),  # ELH 5.1
        (facing(450.0, 150.0, feed=0.3, surface=60.0, limit_rpm=1e6), 7.854),  # ELH 5.2
        (facing(35.0 * INCH, 20.0 * INCH, feed=0.015 * INCH, rpm=40.0), 12.5),  # GRO 21.7
        (facing(200.0, 80.0, feed=0.1, surface=90.0, limit_rpm=1e6), 2.932),  # KYO's formula; exam answer 2.93
        (facing(60.0, 0.0, feed=0.1, surface=100.0, limit_rpm=2000.0), 0.30264),  # KYO with a cap, and its integral
        (facing(40.0, 0.0, feed=0.2, surface=200.0, limit_rpm=2500.0), 2.649 / 60.0),  # E: 1.121 s + 1.528 s
    ],
)
def test_facing(cut: Cut, minutes: float) -> None:
    assert timed(cut) == [pytest.approx(60.0 * minutes, rel=2e-4)]
    back = replace(cut, start=cut.end, end=cut.start)
    assert timed(back) == [pytest.approx(60.0 * minutes, rel=2e-4)]


def test_turning_at_constant_surface_speed() -> None:
    """KYO: Tc = pi D L / (1000 vc f); with vc 125.66, D 150, L 400, f 0.30 five minutes (Groover's slides)."""
    cut = Cut((0.0, 75.0), (-400.0, 75.0), state(0.3, surface=125.66, limit_rpm=1e6))
    assert timed(cut) == [pytest.approx(300.0, rel=1e-4)]


@pytest.mark.parametrize("n", [700.0, 500.0])
def test_speed_of_surface(n: float) -> None:
    """MMC: 50 mm at 700 1/min is 109.956 m/min; and back."""
    assert rpm_at(Spindle(Sense.FORWARD, surface=math.pi * 50.0 * n / 1000.0), 25.0) == pytest.approx(n)


def test_the_limit_and_the_axis() -> None:
    assert rpm_at(Spindle(Sense.FORWARD, surface=100.0, limit_rpm=1800.0), 0.0) == 1800.0
    assert rpm_at(Spindle(Sense.FORWARD, surface=100.0), 0.0) == math.inf
    assert rpm_at(Spindle(Sense.FORWARD, rpm=900.0), 0.0, most=800.0) == 800.0


@settings(max_examples=60, deadline=None)
@given(st.floats(-5.0, 40.0), st.floats(-5.0, 40.0), st.floats(0.0, 30.0), st.floats(200.0, 5000.0))
def test_any_straight_move_against_small_steps(x0: float, x1: float, dz: float, limit: float) -> None:
    """Closed form at constant surface speed against the sum over 20 000 steps at the speed of each."""
    cut = Cut((0.0, x0), (-dz, x1), state(0.1, surface=90.0, limit_rpm=limit))
    length = math.hypot(x1 - x0, dz)
    assume(length > 1e-3)  # a way, not a rounding
    x = np.abs(x0 + (x1 - x0) * (np.arange(20_000) + 0.5) / 20_000)
    n = np.minimum(limit, 1000.0 * 90.0 / (2.0 * math.pi * np.maximum(x, 1e-9)))
    assert timed(cut)[0] == pytest.approx(float(np.mean(length / (0.1 * n / 60.0))), rel=1e-4, abs=1e-9)


def test_an_arc_at_constant_surface_speed_against_small_steps() -> None:
    arc = ArcCut((0.0, 0.0), (-10.0, 10.0), (-10.0, 0.0), True, state(0.1, surface=90.0, limit_rpm=3000.0))
    x = 10.0 * np.sin((np.arange(20_000) + 0.5) / 20_000 * math.pi / 2.0)
    n = np.minimum(3000.0, 90_000.0 / (2.0 * math.pi * x))
    assert timed(arc) == [pytest.approx(float(np.mean(5.0 * math.pi / (0.1 * n / 60.0))), rel=1e-4)]


def test_a_spindle_that_can_not_follow_makes_it_longer() -> None:
    cut = facing(40.0, 0.0, feed=0.2, surface=200.0, limit_rpm=2500.0)
    slow = timed(cut, on=lathe(accel_x=1e9, max_feed=1e9, max_rpm=2000.0))
    assert slow == timed(facing(40.0, 0.0, feed=0.2, surface=200.0, limit_rpm=2000.0))
    assert slow[0] > timed(cut)[0]


def test_a_feed_above_the_machine_is_held_down() -> None:
    cut = Cut((0.0, 5.0), (-60.0, 5.0), state(1.0, rpm=2000.0))
    assert timed(cut, on=lathe(accel_z=1e9, max_feed=600.0)) == [pytest.approx(6.0)]


def corner_speed(bend: float, accel: float) -> float:
    return float(corner_speeds(np.array([bend]), np.array([accel]))[0])


def test_junction_speed() -> None:
    """E: 90 degrees at 200 mm/s2 and 0.01 mm: 2.197 mm/s (from memory there as well)."""
    assert corner_speed(math.pi / 2.0, 200.0) == pytest.approx(2.197, abs=5e-4)
    assert corner_speed(0.0, 200.0) == math.inf and corner_speed(math.pi, 200.0) == pytest.approx(0.0, abs=1e-6)


def test_cutting_a_straight_move_in_two_costs_nothing() -> None:
    on, how = lathe(accel_z=200.0, max_feed=3000.0), state(3000.0, mode=FeedMode.PER_MINUTE)
    whole = timed(Cut((0.0, 5.0), (-50.0, 5.0), how), on=on)
    parts = timed(*(Cut((-10.0 * k, 5.0), (-10.0 * k - 10.0, 5.0), how) for k in range(5)), on=on)
    assert sum(parts) == pytest.approx(sum(whole)) == pytest.approx(1.25)


@pytest.mark.parametrize("joint", [0.01, 0.1, 3.0, 49.9, 49.995])
def test_a_short_move_at_either_end_costs_nothing_either(joint: float) -> None:
    """A ramp may reach over several moves: 6.25 mm from 50 mm/s to rest at 200 mm/s2."""
    on, how = lathe(accel_z=200.0, max_feed=3000.0), state(3000.0, mode=FeedMode.PER_MINUTE)
    parts = timed(Cut((0.0, 5.0), (-joint, 5.0), how), Cut((-joint, 5.0), (-50.0, 5.0), how), on=on)
    assert sum(parts) == pytest.approx(1.25, rel=1e-6)


def test_a_rapid_between_two_cuts_brings_them_to_rest() -> None:
    on, how = lathe(accel_z=200.0, max_feed=3000.0), state(3000.0, mode=FeedMode.PER_MINUTE)
    first, last = Cut((0.0, 5.0), (-50.0, 5.0), how), Cut((-60.0, 5.0), (-110.0, 5.0), how)
    a, _, b = timed(first, Rapid((-50.0, 5.0), (-60.0, 5.0), how), last, on=on)
    assert a == b == pytest.approx(1.25)


def test_a_corner_costs_as_much_as_its_speed_says() -> None:
    """Two legs of 50 mm at 50 mm/s with a square corner: one ramp from and one to 2.197 mm/s more than straight on."""
    on, how = lathe(accel_z=200.0, accel_x=200.0, max_feed=3000.0), state(3000.0, mode=FeedMode.PER_MINUTE)
    bent = timed(Cut((0.0, 5.0), (-50.0, 5.0), how), Cut((-50.0, 5.0), (-50.0, 55.0), how), on=on)
    corner = 2.0 * (50.0 - corner_speed(math.pi / 2.0, 200.0)) ** 2 / (2.0 * 200.0 * 50.0)
    assert sum(bent) == pytest.approx(100.0 / 50.0 + 50.0 / 200.0 + corner)


def test_a_tight_curve_is_taken_at_what_the_axes_can_bend() -> None:
    on, how = lathe(accel_z=200.0, accel_x=200.0, max_feed=3000.0), state(3000.0, mode=FeedMode.PER_MINUTE)
    arc = ArcCut((0.0, 1.0), (-1.0, 2.0), (-1.0, 1.0), True, how)
    (took,) = timed(arc, on=on)
    assert took == pytest.approx(trapezoid(math.pi / 2.0, math.sqrt(200.0), 200.0))  # 14.1 mm/s at most, not 50


def test_rapids_of_both_axes_arrive_together() -> None:
    on = lathe(rapid_x=1200.0, rapid_z=2400.0, accel_x=100.0, accel_z=200.0)
    assert rapid_seconds((0.0, 0.0), (-100.0, 0.0), on) == pytest.approx(100.0 / 40.0 + 40.0 / 200.0)
    assert rapid_seconds((0.0, 0.0), (0.0, 50.0), on) == pytest.approx(50.0 / 20.0 + 20.0 / 100.0)
    assert rapid_seconds((0.0, 0.0), (-50.0, 50.0), on) == pytest.approx(rapid_seconds((0.0, 0.0), (0.0, 50.0), on))
    assert rapid_seconds((3.0, 4.0), (3.0, 4.0), on) == 0.0


def test_waiting() -> None:
    """Run-up counts once with the dwell for it; only a change from one tool to another takes the change's time."""
    on, off = State(tool=1, spindle=Spindle(Sense.FORWARD, rpm=800.0)), State(tool=1)
    at = (0.0, 0.0)
    steps = [
        ToolCall(at, off),
        SpindleChange(at, on),
        Dwell(3.0, at, on),
        SpindleChange(at, off),
        ToolCall(at, State(tool=2)),
    ]
    assert timed(*steps) == [0.0, 2.0, 1.0, 0.0, 30.0]
    assert timed(SpindleChange(at, on), Rapid(at, at, on), Dwell(3.0, at, on)) == [2.0, 0.0, 3.0]
    faster = State(tool=1, spindle=Spindle(Sense.FORWARD, rpm=1200.0))
    assert timed(SpindleChange(at, on), SpindleChange(at, faster)) == [2.0, 0.0]  # it turns already


def test_what_can_not_be_timed_takes_no_time() -> None:
    assert timed(Cut((0.0, 5.0), (-9.0, 5.0), State()), Cut((-9.0, 5.0), (0.0, 5.0), state(0.1))) == [0.0, 0.0]
