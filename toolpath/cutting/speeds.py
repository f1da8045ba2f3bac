"""Surface speed and spindle speed, and what bounds them."""

from __future__ import annotations

from bisect import bisect_right

from toolpath.cutting.bench import DERATE, PART_SHARE, THREAD_SHARE
from toolpath.cutting.figures import Figure, least
from toolpath.cutting.formulas import spindle_speed, surface_speed
from toolpath.errors import CannotMake
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool

SLOWER = {  # operation: (share of the turning speed, in words)
    "groove": (PART_SHARE, "parting"),
    "part off": (PART_SHARE, "parting"),
    "thread": (THREAD_SHARE, "threading"),
}
TOO_FAST = 1.5  # times the wanted surface speed: beyond this the slowest spindle speed is no answer, common practice


def surface(material: Material, tool: Tool, machine: Machine, *, operation: str) -> Figure:
    """m/min that material, tool material and operation ask for, less what a light lathe takes off."""
    given = material.speed(tool.material)
    rough = operation == "rough" or operation in SLOWER
    value, words = (given.rough if rough else given.finish), f"{material.title} with {tool.material} ({given.source})"
    if given.rigid:
        value *= DERATE[machine.rigidity]
        words += f", times {DERATE[machine.rigidity]:g} for a {machine.rigidity} machine"
    if operation in SLOWER:
        share, doing = SLOWER[operation]
        value *= share
        words += f", times {share:g} for {doing}"
    return Figure(value, words)


def limit(machine: Machine, *, in_chuck: bool, work: tuple[Figure | None, ...] = ()) -> Figure:
    """The greatest spindle speed of this set-up. work: what the work itself bears, see `spinning`"""
    chuck = Figure(machine.chuck_max_rpm, f"the chuck stands {machine.chuck_max_rpm:g} rpm") if in_chuck else None
    return least(Figure(machine.max_rpm, f"the spindle's greatest, {machine.max_rpm:g} rpm"), chuck, *work)


def spindle(wanted: Figure, top: Figure, machine: Machine, *, diameter: float) -> Figure:
    """Spindle speed at the greatest diameter: what the surface asks for, within limit, least speed and belt steps.

    With constant surface speed this is where the operation begins. CannotMake when even the slowest speed is too fast.
    """
    asked = spindle_speed(wanted.value, diameter)
    found = least(Figure(asked, f"{wanted.value:.3g} m/min at diameter {diameter:g}"), top)
    found = _step_below(found, machine) if machine.drive == "belts" else _not_below(found, machine)
    if found.value > top.value:
        raise CannotMake(f"the slowest spindle speed, {found.value:g} rpm, is above what is allowed: {top.because}")
    reached = surface_speed(diameter, found.value)
    if reached > TOO_FAST * wanted.value:
        raise CannotMake(
            f"the slowest spindle speed, {found.value:g} rpm, gives {reached:.3g} m/min at diameter {diameter:g}; "
            f"{wanted.value:.3g} m/min are wanted ({wanted.because}). A slower spindle or a carbide tool is needed"
        )
    return found


def _not_below(asked: Figure, machine: Machine) -> Figure:
    slowest = Figure(machine.min_rpm, f"the spindle's least speed, {machine.min_rpm:g} rpm")
    return asked if asked.value >= slowest.value else slowest


def _step_below(asked: Figure, machine: Machine) -> Figure:
    steps = sorted(machine.belt_rpm)
    i = bisect_right(steps, asked.value)
    if i == 0:
        return Figure(steps[0], f"the slowest belt step, {steps[0]:g} rpm")
    return Figure(steps[i - 1], f"the belt step below {asked.value:.0f} rpm ({asked.because})")
