"""Depth of cut per side, and how far the work may stand out: by power, force, rigidity, edge and material."""

from __future__ import annotations

from toolpath.cutting import bench, bending, feeds
from toolpath.cutting.bending import Bends
from toolpath.cutting.figures import Figure, least
from toolpath.cutting.formulas import cutting_power, specific_force
from toolpath.errors import CannotMake
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool


def power_at(machine: Machine, rpm: float) -> float:
    """W the motor gives at a speed: in proportion below `full_power_rpm` (common practice for small drives)."""
    return machine.power_w * min(1.0, rpm / machine.full_power_rpm)


def roughing(
    material: Material,
    tool: Tool,
    machine: Machine,
    *,
    surface: float,
    rpm: float,
    feed: float,
    work: tuple[float, float],
    bends: Bends | None = None,
) -> Figure:
    """mm per side. work = (diameter, stick-out) of what stands out of the holding; bends: how it gives way, where its
    real section is known; else it is a plain bar."""
    bends = bends or bending.plain(material, diameter=work[0], stick_out=work[1])
    found = least(
        Figure(
            bench.depth_for(machine.power_w, group=material.group, rigidity=machine.rigidity),
            f"a {machine.rigidity} machine of {machine.power_w:g} W in {material.title} (common practice)",
        ),
        Figure(
            getattr(material.depth, tool.material),
            f"{material.title} with {tool.material} ({material.sources['depth']})",
        ),
        Figure(tool.max_depth, _edge_words(tool)),
        _by_power(material, tool, machine, surface=surface, rpm=rpm, feed=feed),
        _by_deflection(material, tool, feed=feed, bends=bends),
        _by_deflection(material, tool, feed=feed, bends=bending.of_bar(tool.bar) if tool.bar else None),
    )
    return _deep_enough(_light(found, work), tool, chip=feeds.least_chip(tool))


def _deep_enough(found: Figure, tool: Tool, *, chip: Figure) -> Figure:
    """CannotMake for a depth no edge can cut; a remark for one that lies within the nose."""
    if found.value < chip.value:
        raise CannotMake(
            f"T{tool.number} {tool.name} could cut only {found.value:.2g} mm deep ({found.because}), "
            f"{chip.because} is {chip.value:g} mm. {_helps(found)}"
        )
    if tool.kind != "round" and found.value < bench.NOSE_DEPTH * tool.nose_radius:
        return Figure(found.value, f"{found.because}; that lies within the nose, so the force turns radial")
    return found


def _helps(found: Figure) -> str:
    """What makes a cut deeper that is too shallow to cut."""
    if " W at " in found.because:
        return "The motor can not pull it: take a slower surface speed, a finer feed, smaller work or a softer material"
    return "Let the work stand out less, or support it"


def _edge_words(tool: Tool) -> str:
    return "half the radius of a round tool" if tool.kind == "round" else f"2/3 of the {tool.edge_length:.3g} mm edge"


def _by_power(material: Material, tool: Tool, machine: Machine, *, surface: float, rpm: float, feed: float) -> Figure:
    force = bench.FORCE_MARGIN * specific_force(material.kc11, material.mc, feed=feed, entering=tool.edges[0])
    per_mm = cutting_power(surface, depth=1.0, feed=feed, specific=force, efficiency=bench.MOTOR_SHARE)
    there = power_at(machine, rpm)
    return Figure(there / per_mm, f"{there:.0f} W at {rpm:.0f} rpm, {material.title} taking {per_mm:.0f} W a mm")


def _by_deflection(material: Material, tool: Tool, *, feed: float, bends: Bends | None) -> Figure | None:
    """Depth at which what bends gives way by `bench.DEFLECTION`; None where nothing does."""
    if bends is None:
        return None
    deep = bending.depth_that_bends(material, tool, feed=feed, give=bends.give)
    return Figure(deep, f"{bends.words} gives way by {bench.DEFLECTION:g} mm")


def _light(found: Figure, work: tuple[float, float]) -> Figure:
    """Half the depth where the work stands out far; CannotMake where it stands out too far to be cut at all."""
    diameter, stick_out = work
    ratio = stick_out / diameter
    if ratio <= bench.FREE_RATIO:
        return found
    if ratio > bench.LIGHT_RATIO:
        raise CannotMake(
            f"{stick_out:g} mm of diameter {diameter:g} standing out is {ratio:.3g} diameters: without a centre at "
            f"most {bench.LIGHT_RATIO:g} are safe, {bench.LIGHT_RATIO * diameter:.3g} mm. "
            "Let it stand out less, or support it"
        )
    words = f"half, for it stands out {ratio:.3g} diameters; else {found.because}"
    return Figure(found.value * bench.LIGHT_SHARE, words)
