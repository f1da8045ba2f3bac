"""What turning work bears by itself: the vibrating bar of text books, and bounds that decide when they must."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from toolpath.cutting.spinning import balance, unsupported, whip_rpm
from toolpath.cutting.turning import plan_turning
from toolpath.shop.machine import Machine
from toolpath.shop.materials import material
from toolpath.shop.tools import Tool


def test_the_first_root_of_the_clamped_bar() -> None:
    """w = 3.516 sqrt(E I / (rho A L^4)), as text books on vibration print it (from memory): 10 mm steel, 300 mm out."""
    d, length, e, rho = 0.010, 0.300, 206e9, 7850.0
    omega = 3.516 * math.sqrt(e * math.pi * d**4 / 64 / (rho * math.pi * d**2 / 4 * length**4))
    found = whip_rpm(10.0, bore=0.0, behind=300.0, modulus=206.0, density=7.85)
    assert found == pytest.approx(omega * 60 / math.tau, rel=1e-4)


def test_long_thin_work_turns_slower(drawer: dict[int, Tool], lathe: Callable[..., Machine]) -> None:
    fast = lathe(max_rpm=1e6, chuck_max_rpm=1e6)
    how = {"operation": "finish", "diameter_max": 10.0, "diameter_min": 4.0}
    short, long = (plan_turning(material("nylon"), drawer[1], fast, stick_out=out, **how) for out in (10.0, 25.0))
    bound = unsupported(material("nylon"), diameter=10.0, stick_out=25.0)
    assert bound and "half of what it whips at" in bound.because
    assert long.limit_rpm == bound and long.limit_rpm.value < short.limit_rpm.value


def test_a_bar_that_runs_out_turns_slower(drawer: dict[int, Tool], lathe: Callable[..., Machine]) -> None:
    """e w = 16 mm/s with e half of the reading: 0.2 mm give 160 rad/s, 1528 rpm."""
    how = {"operation": "rough", "diameter_max": 20.0, "stick_out": 30.0}
    true, out = (plan_turning(material("brass"), drawer[1], lathe(), run_out=r, **how) for r in (0.02, 0.2))
    assert out.limit_rpm.value == pytest.approx(160.0 * 60.0 / math.tau) and "out of balance" in out.limit_rpm.because
    assert true.limit_rpm.because == "the chuck stands 2000 rpm" and balance(0.0) is None
