"""Feed per turn: bounded above by nose, finish, material and machine, below by the least chip an edge can cut."""

from __future__ import annotations

import math

from toolpath.cutting import bench
from toolpath.cutting.bending import feed_that_sinks
from toolpath.cutting.figures import Figure, greatest, least
from toolpath.cutting.formulas import feed_for_average
from toolpath.errors import CannotMake
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool


def least_chip(tool: Tool) -> Figure:
    """The least feed at which the edge cuts and does not rub."""
    kind = "honed" if tool.honed else "ground"
    return Figure(bench.LEAST_CHIP[kind], f"the least chip a {kind} edge cuts")


def least_feed(material: Material, tool: Tool) -> Figure:
    """The least feed with this edge in this material: one that must not be rubbed has a bound of its own."""
    chip = least_chip(tool)
    if not material.least_feed:
        return chip
    words = f"the least feed in {material.title} ({material.sources['least_feed']})"
    return greatest(chip, Figure(material.least_feed, words))


def roughing(material: Material, tool: Tool, machine: Machine, *, fastest_rpm: float) -> Figure:
    """mm/rev for roughing. fastest_rpm: the greatest spindle speed the operation comes to."""
    found = least(
        _machine_bound(machine, fastest_rpm),
        Figure(bench.ROUGH_FEED[machine.rigidity], f"roughing on a {machine.rigidity} machine (common practice)"),
        Figure(material.feed, f"{material.title} ({material.sources['feed']})"),
        _nose_bound(tool),
    )
    return _at_least(found, least_feed(material, tool))


def finishing(
    material: Material, tool: Tool, machine: Machine, *, fastest_rpm: float, finish_um: float | None
) -> Figure:
    """mm/rev that leaves a surface of `finish_um` Ra (um); CannotMake when the edge can not cut so little."""
    wanted = bench.PLAIN_FINISH if finish_um is None else finish_um
    if not wanted > 0.0:
        raise CannotMake(f"a finish of {wanted:g} um can not be turned")
    nose = tool.nose_radius
    chip = least_feed(material, tool)
    theory = Figure(
        feed_for_average(wanted / 1000.0 / bench.REAL_FINISH, nose), f"finish {wanted:g} um Ra with {nose:g} nose"
    )
    if theory.value < chip.value and finish_um is not None:
        finest = chip.value**2 / (32.0 * nose) * 1000.0 * bench.REAL_FINISH if nose > 0.0 else math.inf
        can = f"about {finest:.2g} um is the finest it turns" if nose > 0.0 else "a sharp point leaves a thread"
        raise CannotMake(
            f"{tool.name} can not turn {wanted:g} um Ra: that needs {theory.value:.3f} mm/rev, {chip.because} is "
            f"{chip.value:g} mm; {can}. A larger nose radius, a sharper edge, or polishing is needed"
        )
    found = least(
        theory,
        _machine_bound(machine, fastest_rpm),
        Figure(bench.FINISH_FEED, "finishing on a bench lathe (common practice)"),
        Figure(material.feed, f"{material.title} ({material.sources['feed']})"),
        _nose_bound(tool),
    )
    return _at_least(found, chip)


def blade(material: Material, tool: Tool, machine: Machine, *, fastest_rpm: float) -> Figure:
    """mm/rev for plunging a blade."""
    width = Figure(0.04 * tool.width, f"0.04 of {tool.width:g} mm blade width (Kyocera, slim holder)")
    bench_feed = Figure(
        bench.BLADE_FEED[machine.rigidity],
        f"a blade on a {machine.rigidity} machine (War Department lathe manual: 0.05)",
    )
    own = Figure(material.feed, f"{material.title} ({material.sources['feed']})")
    found = least(width, bench_feed, own, _machine_bound(machine, fastest_rpm), feed_that_sinks(material, tool))
    return _at_least(found, least_feed(material, tool))


def _machine_bound(machine: Machine, fastest_rpm: float) -> Figure:
    words = f"the machine's greatest feed, {machine.max_feed:g} mm/min, at {fastest_rpm:.0f} rpm"
    return Figure(machine.max_feed / fastest_rpm, words)


def _nose_bound(tool: Tool) -> Figure | None:
    """A feed may be so much of the nose radius; a sharp point sets no bound of this kind."""
    if tool.nose_radius <= 0.0 or tool.kind == "round":
        return None
    strong = math.degrees(tool.included_angle) >= bench.STRONG_CORNER - 1e-6
    share = bench.NOSE_SHARE["strong" if strong else "slim"]
    return Figure(share * tool.nose_radius, f"{share:g} of the nose radius {tool.nose_radius:g}")


def _at_least(found: Figure, chip: Figure) -> Figure:
    return found if found.value >= chip.value else Figure(chip.value, f"{chip.because}; {found.because} would be less")
