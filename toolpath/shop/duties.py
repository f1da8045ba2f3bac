"""What a tool may be asked to do, and why not: each refusal in one line, with its figures."""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.cutter import EDGE_CLEARANCE
from toolpath.shop.tools import Tool
from toolpath.shop.written_values import word

FIT = 1e-9  # mm: a bar as large as its hole by rounding fits


class Duty(Struct, frozen=True):
    """works, kinds: of the tools that can do it; wall: outward normal (rad) of the surface it must be able to touch."""

    works: str
    kinds: tuple[str, ...]
    wall: float | None = None
    surface: str = ""
    instead: str = ""


DUTIES = {
    "face": Duty("outside", ("turning",), 0.0, "a square face", "Take a right-hand tool entering at 90 deg or more"),
    "turn": Duty(
        "outside", ("turning", "round"), math.pi / 2, "a cylinder", "Take a tool with an edge behind its nose"
    ),
    "groove": Duty("outside", ("blade", "round")),
    "part off": Duty("outside", ("blade",)),
    "thread": Duty("outside", ("threading",)),
    "bore": Duty("inside", ("turning", "round"), -math.pi / 2, "a bore", "Take a tool with an edge behind its nose"),
    "groove inside": Duty("inside", ("blade",)),
    "thread inside": Duty("inside", ("threading",)),
    "groove face": Duty("face", ("blade",)),
    "centre": Duty("hole", ("centre drill",)),
    "drill": Duty("hole", ("drill",)),
    "flat bottom": Duty("hole", ("flat drill",)),
    "countersink": Duty("hole", ("countersink",)),
    "ream": Duty("hole", ("reamer",)),
}
NOT_BY_ITSELF = {("round", "groove")}  # possible, but done only where the rack says so


def duties(tool: Tool, wanted: list[str] | None) -> frozenset[str]:
    """What a tool does: everything its shape allows, or what its row wants of it; BadInput where that can not be."""
    if wanted is None:
        can = (d for d in DUTIES if not duty_refusal(tool, d) and (tool.kind, d) not in NOT_BY_ITSELF)
        return frozenset(d for d in can if not (d == "part off" and _full_radius(tool)))
    for duty in wanted:
        told = duty_refusal(tool, word(duty, DUTIES, "does"))
        if told:
            raise BadInput(told, where="does", right=DUTIES[duty].instead)
    return frozenset(wanted)


def duty_refusal(tool: Tool, duty: str) -> str:
    """Why this tool can not do this, or nothing."""
    needs = DUTIES[duty]
    if tool.works != needs.works:
        return f"a tool that works {_at(tool.works)} can not {duty}: that is done {_at(needs.works)}"
    if tool.kind not in needs.kinds:
        return f"a {tool.kind} tool can not {duty}: that takes a {' or '.join(needs.kinds)} tool"
    if needs.wall is not None and not tool.may_touch(needs.wall):
        edges = f"entering at {_deg(tool.edges[0])} with {_deg(tool.edges[1])} behind its nose"
        return f"a {tool.hand}-hand tool {edges} can not {duty}: its nose does not get to {needs.surface}"
    return ""


def slope_refusal(tool: Tool, slope: float) -> str:
    """Why this tool can not go down a slope of `slope` rad behind its nose, or nothing.

    A slope that a right-hand outside tool goes down falls towards the chuck; `EDGE_CLEARANCE` of the angle behind the
    nose stays free, so that the edge does not rub.
    """
    behind = tool.edges[1]
    if tool.kind == "round" or slope <= behind - EDGE_CLEARANCE + FIT:
        return ""
    if tool.kind == "blade":
        return f"a blade can not go down a {_deg(slope)} slope"
    return (
        f"a tool of {_deg(tool.included_angle)} entering at {_deg(tool.edges[0])} has {_deg(behind)} behind it and can "
        f"not go down a {_deg(slope)} slope"
    )


def enter_refusal(tool: Tool, hole: float, *, deep: float = 0.0) -> str:
    """Why this tool can not work in a hole of diameter `hole`, `deep` mm into it, or nothing.

    Where only the neck goes in the least bore counts, farther in the bar itself must pass, too.
    """
    bar = tool.bar
    if bar is None:
        return "a tool without a bar can not go into a hole"
    if deep > bar.reach + FIT:
        return f"a bar that stands out {bar.reach:g} mm can not go {deep:g} mm deep, {deep - bar.reach:.3g} mm too deep"
    necked = bar.neck < bar.diameter and deep <= bar.neck_length
    thick = bar.neck if necked else bar.diameter
    what = f"a neck of {bar.neck:g} mm" if necked else f"a bar of {bar.diameter:g} mm"
    least = max(bar.least_bore, bar.tip_to_middle + thick / 2.0)
    if thick >= hole:
        return f"{what} can not enter a {hole:g} mm hole: it works from {least:g} mm up{_smaller(least, hole)}"
    if hole < least - FIT:
        return f"{what} works in holes from {least:g} mm up and can not in a {hole:g} mm hole{_smaller(least, hole)}"
    return ""


def _smaller(least: float, hole: float) -> str:
    return f", {least - hole:.3g} mm too small"


def curve_refusal(tool: Tool, outer: float) -> str:
    """Why this blade can not go into a face groove of this outer diameter (mm), or nothing."""
    least, greatest = tool.curve
    if tool.works != "face":
        return "a blade that is not bent for faces rubs on the outer wall of a face groove"
    if least - FIT <= outer <= greatest + FIT:
        return ""
    return f"a blade bent for face grooves of {least:g} to {greatest:g} mm outer diameter rubs in one of {outer:g} mm"


def _full_radius(tool: Tool) -> bool:
    """A blade without a flat leaves a crest instead of a face: it does not part off by itself."""
    return tool.kind == "blade" and 2.0 * tool.nose_radius > tool.width - FIT


def _at(works: str) -> str:
    return {"outside": "on the outside", "inside": "inside", "face": "in a face", "hole": "on the axis"}[works]


def _deg(rad: float) -> str:
    return f"{round(math.degrees(rad), 2) + 0.0:g} deg"
