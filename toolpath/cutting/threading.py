"""Figures of single-point threading: spindle speed, run-in, stopping distance, depth with the tool that is there.

A thread is cut at a fixed spindle speed, the same for every pass: the carriage follows the spindle with a lag that
grows with the square of the speed, and another speed would put the next pass beside the groove.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.cutting import speeds
from toolpath.cutting.figures import Figure, least
from toolpath.cutting.formulas import surface_speed
from toolpath.cutting.full_form import refuse_other_form
from toolpath.cutting.thread_form import ThreadForm, tool_depth
from toolpath.errors import CannotMake
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool

IN_HAND = (
    0.8  # of the rapid the carriage may need to follow the spindle: control documentation, pitch x rpm <= 0.8 vmax
)
MARGIN = {"index": 2.0, "pulse": 5.0}  # leads of run-in beyond the ramp: common floor 2 to 3, with one pulse 3 to 5
MOST_CUT = {"light": 0.10, "bench": 0.15, "stiff": 0.20}  # mm of the first pass; inserts on heavy machines 0.18 to 0.30
LEAST_CUT = 0.05  # mm of the last pass: Widia 2017, Tungaloy 2020-21
SPRINGS = 2  # passes at full depth; common practice one or two
SAME_ANGLE = math.radians(0.5)  # a point ground to another angle is none for this thread, common practice


class ThreadData(Struct, frozen=True):
    """surface:  m/min reached at the crest; limit_rpm: the greatest spindle speed; rpm: the fixed one
    feed:        the lead, mm a turn
    depth:       of the first pass, mm; finest: the least of a later one
    whole:       from the crest to where the tool's end comes, mm
    springs:     passes at full depth after the last
    run_in:      mm along z from where the tool starts to where the full thread begins
    stopping:    mm along z that the carriage runs on after the full thread
    cautions:    what the person is told
    """

    surface: Figure
    limit_rpm: Figure
    rpm: Figure
    feed: Figure
    depth: Figure
    finest: Figure
    whole: Figure
    springs: Figure
    run_in: Figure
    stopping: Figure
    cautions: tuple[str, ...] = ()


def plan_thread(
    material: Material, tool: Tool, machine: Machine, form: ThreadForm, *, room: float, in_chuck: bool = True
) -> ThreadData:
    """Figures of one thread.

    room: mm along z between the end of the full thread and where the tool must stand, in an undercut or on a ramp
    CannotMake when no safe figure exists; the message says what would do.
    """
    whole = refuse_unfit(tool, machine, form)
    wanted = speeds.surface(material, tool, machine, operation="thread")
    bounds = (*_follows(form.lead, machine), _stops(form.lead, room, machine))
    top = least(speeds.limit(machine, in_chuck=in_chuck), *bounds)
    across = 2.0 * (form.crest + whole.value if form.inside else form.crest)
    rpm = speeds.spindle(wanted, top, machine, diameter=across)
    springs = Figure(0.0, f"{material.title} {material.rubbed} where a tool rubs: no pass without depth (Widia 2017)")
    first = MOST_CUT[machine.rigidity]
    return ThreadData(
        Figure(surface_speed(across, rpm.value), rpm.because),
        top,
        rpm,
        Figure(form.lead, "the lead"),
        Figure(min(first, whole.value), f"first pass on a {machine.rigidity} machine (common practice)"),
        Figure(min(LEAST_CUT, whole.value), "finer cuts rub (Widia 2017, Tungaloy 2020-21)"),
        whole,
        springs if material.rubbed else Figure(float(SPRINGS), "clean both flanks (common practice)"),
        run_in(form.lead, rpm.value, machine),
        stopping(form.lead, rpm.value, machine),
        _cautions(machine),
    )


def refuse_unfit(tool: Tool, machine: Machine, form: ThreadForm) -> Figure:
    """mm from the crest to where the tool's end comes; CannotMake for a spindle or point that can not cut this."""
    _can_follow(machine)
    return _whole(tool, form)


def ramp(lead: float, rpm: float, machine: Machine) -> float:
    """mm in which the carriage comes to its speed or to rest: v^2 / (2 a), v = lead x rpm / 60."""
    return (lead * rpm / 60.0) ** 2 / (2.0 * machine.accel_z)


def run_in(lead: float, rpm: float, machine: Machine) -> Figure:
    """mm along z to be up to speed and in step: v^2 / (2 a) and a margin of so many leads."""
    margin = MARGIN[machine.spindle_encoder] * lead
    why = "an index mark" if machine.spindle_encoder == "index" else "one pulse a turn"
    words = f"v^2/(2a) = {ramp(lead, rpm, machine):.2f} mm at {rpm:.0f} rpm, and {margin:.3g} mm to settle with {why}"
    return Figure(ramp(lead, rpm, machine) + margin, f"{words} (common practice)")


def stopping(lead: float, rpm: float, machine: Machine) -> Figure:
    """mm along z from full speed to rest."""
    return Figure(ramp(lead, rpm, machine), f"v^2/(2a) at {rpm:.0f} rpm and {machine.accel_z:g} mm/s2")


def _can_follow(machine: Machine) -> None:
    if machine.spindle_encoder == "none":
        raise CannotMake(
            f"{machine.name} has nothing on its spindle that tells the control how it turns "
            '(spindle_encoder = "none"), so it can not cut a thread with a point. Cut it with a die or a tap'
        )


def _follows(lead: float, machine: Machine) -> tuple[Figure, Figure]:
    """1/min at which the carriage still keeps up with the lead."""
    feed = Figure(machine.max_feed / lead, f"a lead of {lead:g} mm at the greatest feed, {machine.max_feed:g} mm/min")
    words = f"a lead of {lead:g} mm at {IN_HAND:g} of the rapid, {machine.rapid_z:g} mm/min"
    return feed, Figure(IN_HAND * machine.rapid_z / lead, words)


def _stops(lead: float, room: float, machine: Machine) -> Figure:
    """1/min at which v^2 / (2 a) is the room there is."""
    if room <= 0.0:
        raise CannotMake(
            "a thread cut with a point needs room to stop: an undercut, or a ramp on which the tool leaves the metal"
        )
    words = f"the carriage stops within {room:g} mm at {machine.accel_z:g} mm/s2"
    return Figure(60.0 * math.sqrt(2.0 * machine.accel_z * room) / lead, words)


def _whole(tool: Tool, form: ThreadForm) -> Figure:
    if tool.kind != "threading":
        raise CannotMake(f"T{tool.number} {tool.name} is no threading point")
    angle, wanted = tool.included_angle, 2.0 * form.half_angle
    if abs(angle - wanted) > SAME_ANGLE:
        raise CannotMake(
            f"T{tool.number} {tool.name} is ground to {math.degrees(angle):.3g} degrees, the thread has "
            f"{math.degrees(wanted):.3g}. A point of that angle is needed"
        )
    whole = tool_depth(form, flat=tool.width, radius=tool.nose_radius)
    refuse_other_form(tool, form, whole.value)
    if whole.value > tool.max_depth + 1e-9:
        raise CannotMake(
            f"T{tool.number} {tool.name} goes {tool.max_depth:g} mm deep, the thread takes {whole.value:.3f}. "
            "A longer point is needed"
        )
    return whole


def _cautions(machine: Machine) -> tuple[str, ...]:
    always = (
        "Do not touch the speed or the feed override between passes of a thread: the next pass would start elsewhere.",
    )
    if machine.spindle_encoder != "pulse":
        return always
    return (
        *always,
        "This spindle gives one pulse a turn: the lead is corrected once a turn only, worst at the start and the end, "
        "and it suffers when the spindle slows under the cut. Take light cuts; try the thread on scrap.",
    )
