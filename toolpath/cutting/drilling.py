"""Speed, feed and pecks of hole tools: centre drill, drill, flat drill, countersink, reamer.

All of them run at a fixed spindle speed: constant surface speed has no meaning for a tool that stands on the axis.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.cutting import bench, drill_bench, speeds
from toolpath.cutting.depths import power_at
from toolpath.cutting.figures import Figure, least
from toolpath.cutting.formulas import drilling_chip, drilling_torque, power_of_torque, surface_speed
from toolpath.errors import BadInput, CannotMake
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool

OPERATIONS = tuple(drill_bench.SPEED_SHARE)
"""Named as the duties of tools on the axis are (`toolpath/shop/duties.py`)."""


class HoleData(Struct, frozen=True):
    """surface:    m/min reached at the tool's greatest diameter
    limit_rpm:     the greatest spindle speed allowed
    rpm:           the fixed spindle speed
    feed:          mm a turn
    depth:         first peck, mm; the whole depth where there is none
    peck:          later pecks, mm
    eased:         share of the feed where the tool breaks through or holes meet
    dwell:         turns of the spindle that a tool with a floor stands on it
    lift:          mm it is drawn back between pecks to break the chip; 0: out of the hole, or there are no pecks
    cautions:      what the person is told
    """

    surface: Figure
    limit_rpm: Figure
    rpm: Figure
    feed: Figure
    depth: Figure
    peck: Figure
    eased: Figure
    dwell: Figure
    lift: Figure
    cautions: tuple[str, ...] = ()


def plan_hole(
    material: Material,
    tool: Tool,
    machine: Machine,
    *,
    operation: str,
    diameter: float,
    deep: float,
    hole: float = 0.0,
    in_chuck: bool = True,
) -> HoleData:
    """Figures of one operation on the axis.

    operation: one of `OPERATIONS`
    diameter:  the greatest that is cut, mm; hole: diameter of the hole already there
    deep:      how far the point goes through metal, mm
    CannotMake when no safe figure exists.
    """
    if operation not in OPERATIONS or tool.hole is None:
        raise ValueError(f"no operation is called {operation!r}, or {_called(tool)} does not work on the axis")
    if not diameter > hole >= 0.0 or not deep > 0.0:
        raise CannotMake(
            f"{_called(tool)} can not cut a hole of diameter {diameter:g} mm, {deep:g} mm deep, where one "
            f"of {hole:g} mm stands already"
        )
    wanted = wanted_surface(material, tool, operation=operation)
    top = speeds.limit(machine, in_chuck=in_chuck)
    rpm = speeds.spindle(wanted, top, machine, diameter=diameter)
    there = surface_speed(diameter, rpm.value)
    surface = wanted if math.isclose(there, wanted.value, rel_tol=1e-9) else Figure(there, rpm.because)
    lips = tool.hole.cone or tool.hole.point
    by_power = _by_power(material, machine, rpm=rpm.value, sizes=(diameter, hole), point=lips)
    thin = tool.hole.pilot[0] if operation == "centre" else diameter  # a pilot breaks first
    feed = _feed(material, tool, machine, operation=operation, diameter=thin, rpm=rpm.value, by_power=by_power)
    first, later = pecks(material, operation=operation, diameter=diameter, deep=deep)
    lift = chip_lift(material, diameter=diameter, deep=deep, pecked=first.value < deep)
    eased = Figure(drill_bench.EASED, "half the feed where it breaks through or holes meet (common practice)")
    dwell = _dwell(material, operation)
    return HoleData(surface, top, rpm, feed, first, later, eased, dwell, lift, _cautions(material))


def pecks(material: Material, *, operation: str, diameter: float, deep: float) -> tuple[Figure, Figure]:
    """(First peck, later pecks), mm; both the whole depth where a hole is cut in one go."""
    if operation != "drill":
        return (whole := Figure(deep, f"a {operation} operation goes down in one cut"), whole)
    if deep <= drill_bench.FREE_DEPTH * diameter + 1e-9:
        words = f"{deep / diameter:.3g} diameters, which up to {drill_bench.FREE_DEPTH:g} goes in one (common practice)"
        return (whole := Figure(deep, words), whole)
    chips = _chips(material)
    first, later = drill_bench.FIRST_PECK[chips], drill_bench.LATER_PECK[chips]
    words = f"diameters in {material.title} (common practice)"
    return Figure(first * diameter, f"first {first:g} {words}"), Figure(later * diameter, f"then {later:g} {words}")


def chip_lift(material: Material, *, diameter: float, deep: float, pecked: bool) -> Figure:
    """mm that a drill is drawn back between pecks, 0 to come out of the hole, with the depth that decides it."""
    if not pecked:
        return Figure(0.0, "there are no pecks")
    chips = _chips(material)
    clear, ratio = drill_bench.CLEAR_FROM[chips], deep / diameter
    why = f"{ratio:.1f} diameters deep in {material.title}, whose {drill_bench.BEHAVE[chips]}"
    if ratio > clear + 1e-9:
        way = "out of the hole between pecks to clear the chips"
        return Figure(0.0, f"{way}: {why}, more than {clear:g} (common practice)")
    way = f"drawn back {drill_bench.CHIP_LIFT:g} mm between pecks to break the chip"
    return Figure(drill_bench.CHIP_LIFT, f"{way}: {why}, no more than {clear:g} (common practice)")


def _chips(material: Material) -> str:
    """How the chips form: `stringy`, `short chips`, or nothing in particular."""
    return next((t for t in ("stringy", "short chips") if t in material.traits), "")


def wanted_surface(material: Material, tool: Tool, *, operation: str) -> Figure:
    """m/min that material, tool and operation ask for; BadInput for a tool material of which nothing is known."""
    if tool.material not in drill_bench.TOOL_SPEED:
        known = " or ".join(drill_bench.TOOL_SPEED)
        raise BadInput(f"no drilling speed is known for tools of {tool.material}", right=f"Use {known}")
    times, share = drill_bench.TOOL_SPEED[tool.material], drill_bench.SPEED_SHARE[operation]
    words = f"drilling {material.title} ({material.sources['drill']})"
    if times != 1.0:
        words += f", times {times:g} with {tool.material} (Navy manual: 2 to 3)"
    if share != 1.0:
        words += f", times {share:g} for a {tool.kind} (common practice)"
    return Figure(material.drill * times * share, words)


def _feed(
    material: Material,
    tool: Tool,
    machine: Machine,
    *,
    operation: str,
    diameter: float,
    rpm: float,
    by_power: Figure,
) -> Figure:
    """mm a turn; CannotMake when the motor leaves less than cuts."""
    share = drill_bench.FEED_SHARE[operation]
    hard = material.drill <= drill_bench.HARD
    where = "low" if hard else "high"
    navy = drill_bench.navy_feed(diameter, hard=hard)
    words = f", times {share:g} for a {tool.kind} (common practice)" if share != 1.0 else ""
    bounds = [Figure(navy * share, f"diameter {diameter:g}, {where} end (Navy manual){words}")]
    if material.drill_feed:
        there = drill_bench.feed_by_size(diameter, material.drill_feed) * drill_bench.HEAVY_SHARE
        source = f"{material.sources['drill_feed']}, halved on a bench lathe"
        bounds.append(Figure(there * share, f"diameter {diameter:g} in {material.title} ({source}){words}"))
    words = f"the machine's greatest feed, {machine.max_feed:g} mm/min, at {rpm:.0f} rpm"
    found = least(*bounds, Figure(machine.max_feed / rpm, words), by_power)
    if found.value < drill_bench.RUBS and found is by_power:
        raise CannotMake(
            f"{_called(tool)}: {by_power.because} leave {found.value:.2g} mm a turn, below "
            f"{drill_bench.RUBS:g} a drill rubs. Drill a smaller hole first, or bore it"
        )
    return found


def _by_power(material: Material, machine: Machine, *, rpm: float, sizes: tuple[float, float], point: float) -> Figure:
    """mm a turn at which the motor gives all it has: force rises with feed to the power 1 - mc, so it solves at once.

    sizes: (diameter, diameter of the hole already there).
    """
    diameter, hole = sizes
    specific = bench.FORCE_MARGIN * material.kc11 * math.pow(drilling_chip(1.0, point), -material.mc)
    at_one = power_of_torque(drilling_torque(specific, diameter, feed=1.0, hole=hole), rpm)
    there = power_at(machine, rpm) * bench.MOTOR_SHARE
    words = f"{there:.0f} W at the spindle at {rpm:.0f} rpm"
    return Figure(math.pow(there / at_one, 1.0 / (1.0 - material.mc)), words)


def _called(tool: Tool) -> str:
    """A tool without a number is held in the tailstock."""
    return f"T{tool.number} {tool.name}" if tool.number else tool.name


def _dwell(material: Material, operation: str) -> Figure:
    if operation not in ("flat bottom", "countersink"):
        return Figure(0.0, "there is no floor to be cut clean")
    if material.rubbed:
        return Figure(0.0, f"{material.title} {material.rubbed} where a tool rubs: no dwell")
    return Figure(drill_bench.FLOOR_TURNS, "one turn, so that the floor is cut all round (common practice)")


def _cautions(material: Material) -> tuple[str, ...]:
    if "grabs" not in material.traits:
        return ()
    return (
        f"{material.title[:1].upper()}{material.title[1:]} pulls a drill in where it breaks through or meets another "
        "hole: dub the lips to zero rake, hold the work and the drill fast, ease the feed there.",
    )
