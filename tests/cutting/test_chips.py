"""Strings: by material, feed and depth. The figures are common practice, no source; what follows from them is not."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from toolpath.cutting import chips
from toolpath.cutting.turning import plan_turning
from toolpath.shop.machine import Machine
from toolpath.shop.materials import material
from toolpath.shop.tools import Tool


@pytest.mark.parametrize(
    ("name", "feed", "depth", "why"),
    [
        ("brass", 0.05, 0.1, ""),  # short chips always
        ("cast-iron", 0.05, 0.1, ""),
        ("mild-steel", 0.15, 0.5, ""),  # deep and thick enough
        ("mild-steel", 0.08, 0.5, "breaks its chips from 0.12 mm a turn on, this is 0.08"),
        ("mild-steel", 0.15, 0.2, "0.2 mm deep lies within the nose"),
        ("nylon", 0.25, 1.0, "breaks its chips from 1 mm a turn on"),
    ],
)
def test_material_feed_and_depth_decide(
    drawer: dict[int, Tool], name: str, feed: float, *, depth: float, why: str
) -> None:
    """Tool 1 has a nose of 0.4 mm."""
    found = chips.strings(material(name), drawer[1], feed=feed, depth=depth)
    assert (why in found) if why else found == ""


def test_thicker_work_is_broken_sooner(drawer: dict[int, Tool]) -> None:
    """A turn makes pi D of chip: never more than 0.6 m of it, and never fewer than 3 turns."""
    m = material("nylon")
    for dia in (4.0, 12.0, 40.0, 200.0):
        found = chips.turns(m, drawer[1], feed=0.1, depth=1.0, diameter=dia)
        assert found is not None
        assert found.value == 3.0 or math.pi * dia * found.value <= chips.LONGEST
        assert found.value >= 3.0
    assert chips.turns(material("brass"), drawer[1], feed=0.1, depth=1.0, diameter=20.0) is None


def test_only_roughing_is_broken(drawer: dict[int, Tool], lathe: Callable[..., Machine]) -> None:
    how = {"diameter_max": 20.0, "diameter_min": 10.0, "stick_out": 20.0}
    rough, finish = (
        plan_turning(material("nylon"), drawer[1], lathe(), operation=o, **how) for o in ("rough", "finish")
    )
    assert rough.breaks and "strings: nylon" in rough.breaks.because and finish.breaks is None
