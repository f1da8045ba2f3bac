"""What can not be cut is refused in plain words and with figures, one test for each thing asked for in vain."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.shop.test_materials import OWN
from toolpath.cutting import bending
from toolpath.cutting.turning import plan_turning
from toolpath.errors import BadInput, CannotMake
from toolpath.shop.machine import Machine
from toolpath.shop.materials import material
from toolpath.shop.tools import Tool

Lathe = Callable[..., Machine]
HOW = {"diameter_max": 25.0, "diameter_min": 10.0, "stick_out": 40.0}


def test_an_unknown_material_names_the_nearest() -> None:
    with pytest.raises(BadInput, match=r"'alumnium' is not among the materials\. Did you mean 'aluminium'\?"):
        material("alumnium")


def test_a_tool_material_that_is_unfit_says_why() -> None:
    with pytest.raises(BadInput, match=r"hardwood is not turned with carbide: .*Use a tool of HSS"):
        material("hardwood").speed("carbide")


def test_speeds_beyond_the_spindle(drawer: dict[int, Tool], lathe: Lathe) -> None:
    """Too fast is held to the spindle's greatest speed, and says so; too slow for its least is refused with figures."""
    fast = plan_turning(
        material("aluminium"),
        drawer[1],
        lathe(constant_surface_speed=False),
        operation="finish",
        **HOW | {"diameter_max": 4.0, "diameter_min": 1.0, "stick_out": 4.0},
    )
    assert fast.rpm.value == 2000.0 and fast.rpm.because == "the chuck stands 2000 rpm"
    assert fast.surface.value == pytest.approx(3.14159265 * 4.0 * 2000.0 / 1000.0)
    slow = lathe(min_rpm=600.0)
    with pytest.raises(CannotMake, match=r"the slowest spindle speed, 600 rpm, gives 47\.1 m/min .* A slower spindle"):
        plan_turning(material("titanium"), replace(drawer[1], material="HSS"), slow, operation="rough", **HOW)


def test_a_depth_that_the_power_can_not_pull(drawer: dict[int, Tool], lathe: Lathe) -> None:
    weak = lathe(power_w=20.0)
    with pytest.raises(
        CannotMake, match=r"could cut only 0\.0\d+ mm deep \(20 W at \d+ rpm, mild steel taking \d+ W a mm\)"
    ) as caught:
        plan_turning(material("mild-steel"), drawer[1], weak, operation="rough", **HOW)
    assert "The motor can not pull it: take a slower surface speed" in str(caught.value)


def test_a_finish_finer_than_the_feed_can_give(drawer: dict[int, Tool], lathe: Lathe) -> None:
    with pytest.raises(
        CannotMake, match=r"can not turn 0\.1 um Ra: that needs 0\.025 mm/rev, .* is 0\.05 mm; about 0\.39 um"
    ):
        plan_turning(material("brass"), drawer[1], lathe(), operation="finish", finish_um=0.1, **HOW)


def test_a_missing_modulus(tmp_path: Path) -> None:
    """In a file it is named with its place; a material that was put together without one is refused where it counts."""
    own = tmp_path / "own.toml"
    own.write_text(OWN.replace('modulus = { value = 100, source = "own test" }\n', ""), encoding="utf-8")
    with pytest.raises(BadInput, match=r"own\.toml:2: brass: 'modulus' is missing"):
        material("brass", own)
    with pytest.raises(CannotMake, match=r"free-cutting brass has no modulus, so nothing tells how far it gives way"):
        bending.plain(replace(material("brass"), modulus=0.0), diameter=10.0, stick_out=30.0)
