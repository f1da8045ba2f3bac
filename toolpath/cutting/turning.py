"""Speeds, feed, depth and leave-on of one operation, put together from their bounds."""

from __future__ import annotations

from msgspec import Struct

from toolpath.cutting import bench, bending, chips, depths, feeds, parting, speeds
from toolpath.cutting.bending import Bends
from toolpath.cutting.figures import Figure
from toolpath.cutting.formulas import spindle_speed, surface_speed
from toolpath.cutting.spinning import balance, unsupported
from toolpath.errors import CannotMake
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool

OPERATIONS = ("rough", "finish", "face", "groove", "part off")


class CuttingData(Struct, frozen=True):
    """surface:   m/min; where the spindle's bounds hold at the greatest diameter, what is reached there
    limit_rpm:    the greatest spindle speed, for constant surface speed
    rpm:          spindle speed at the greatest diameter; the fixed one when the machine can do no other
    feed:         mm a turn
    depth:        mm per side; of a blade the peck
    leave_x, leave_z: mm that roughing leaves per side and on faces
    near_axis_feed, stub: parting only: mm a turn close to the axis, diameter left standing
    thick:        mm that a finish cut leaves on the diameter where the work gives way most; None for other cuts
    breaks:       turns after which roughing breaks the feed, where chips come as strings
    """

    surface: Figure
    limit_rpm: Figure
    rpm: Figure
    feed: Figure
    depth: Figure
    leave_x: Figure
    leave_z: Figure
    near_axis_feed: Figure | None = None
    stub: Figure | None = None
    thick: Figure | None = None
    breaks: Figure | None = None


def plan_turning(
    material: Material,
    tool: Tool,
    machine: Machine,
    *,
    operation: str,
    diameter_max: float,
    diameter_min: float = 0.0,
    stick_out: float = 0.0,
    finish_um: float | None = None,
    in_chuck: bool = True,
    stub: float | None = None,
    work_dia: float | None = None,
    bends: Bends | None = None,
    run_out: float = 0.0,
) -> CuttingData:
    """Figures of one operation.

    operation:   `rough` | `finish` | `face` | `groove` | `part off`
    diameter_*:  between which the tool cuts, mm; stick_out: how far the work stands out of its holding, mm
    work_dia:    of what stands out, where it is not the greatest that is cut (a hole is bored), mm
    bends:       how the work gives way where its real section is known; else it is a plain bar
    run_out:     of the work in its hold, mm on the dial
    finish_um:   wanted roughness Ra, um; None for a plain turned finish
    stub:        parting: diameter left standing, mm; None for the default
    BadInput when the tool's material is unfit, CannotMake when no safe figure exists.
    """
    if operation not in OPERATIONS:
        raise ValueError(f"no operation is called {operation!r}")
    if not diameter_max > diameter_min >= 0.0 or stick_out < 0.0:
        raise CannotMake(f"nothing can be cut between diameters {diameter_max:g} and {diameter_min:g} mm")
    wanted = speeds.surface(material, tool, machine, operation=operation)
    alone = unsupported(material, diameter=work_dia or diameter_max, stick_out=stick_out)
    top = speeds.limit(machine, in_chuck=in_chuck, work=(alone, balance(run_out)))
    rpm = speeds.spindle(wanted, top, machine, diameter=diameter_max)
    surface = _reached(wanted, rpm, machine, diameter=diameter_max)
    fastest = _fastest(wanted, top, rpm, machine, diameter=diameter_min)
    leave_x, leave_z = leave_on(tool)
    if operation == "groove":
        feed = feeds.blade(material, tool, machine, fastest_rpm=fastest)
        return CuttingData(surface, top, rpm, feed, parting.peck(tool), leave_x, leave_z)
    if operation == "part off":
        left = parting.stub_left(tool, diameter=diameter_max, floor=diameter_min, stub=stub)
        feed = feeds.blade(material, tool, machine, fastest_rpm=fastest)
        near = parting.near_axis(feed, material)
        return CuttingData(surface, top, rpm, feed, parting.peck(tool), leave_x, leave_z, near, left)
    if operation == "rough":
        feed = feeds.roughing(material, tool, machine, fastest_rpm=fastest)
    else:
        feed = feeds.finishing(material, tool, machine, fastest_rpm=fastest, finish_um=finish_um)
    depth = depths.roughing(
        material,
        tool,
        machine,
        surface=surface.value,
        rpm=rpm.value,
        feed=feed.value,
        work=(work_dia or diameter_max, stick_out),
        bends=bends,
    )
    if operation != "finish":
        turns = None
        if operation == "rough":
            turns = chips.turns(material, tool, feed=feed.value, depth=depth.value, diameter=diameter_max)
        return CuttingData(surface, top, rpm, feed, depth, leave_x, leave_z, breaks=turns)
    gives = bends or bending.plain(material, diameter=work_dia or diameter_max, stick_out=stick_out)
    if gives is None:
        return CuttingData(surface, top, rpm, feed, leave_x, leave_x, leave_z)
    thick = bending.left_thick(material, tool, feed=feed.value, depth=leave_x.value, bends=gives)
    return CuttingData(surface, top, rpm, feed, leave_x, leave_x, leave_z, thick=thick)


def leave_on(tool: Tool) -> tuple[Figure, Figure]:
    """What roughing leaves per side and on faces for a finish cut with this kind of edge."""
    kind = "honed" if tool.honed else "ground"
    side = bench.LEAVE_ON[kind]
    words = f"a {kind} edge needs that much to cut (common practice)"
    return Figure(side, words), Figure(
        side * bench.LEAVE_ON_FACES, f"half of what is left on the diameter's side; {words}"
    )


def _reached(wanted: Figure, rpm: Figure, machine: Machine, *, diameter: float) -> Figure:
    """The surface speed an operation gets: the wanted one, or less (more) where the spindle can not follow."""
    if machine.constant_surface_speed and rpm.value <= spindle_speed(wanted.value, diameter):
        return wanted
    there = surface_speed(diameter, rpm.value)
    return wanted if abs(there - wanted.value) < 1e-9 * wanted.value else Figure(there, rpm.because)


def _fastest(wanted: Figure, top: Figure, rpm: Figure, machine: Machine, *, diameter: float) -> float:
    """The greatest spindle speed an operation comes to: at its least diameter when the surface speed is held."""
    if not machine.constant_surface_speed:
        return rpm.value
    return max(rpm.value, top.value if diameter <= 0.0 else min(top.value, spindle_speed(wanted.value, diameter)))
