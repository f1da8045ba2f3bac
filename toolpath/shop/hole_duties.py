"""Why a tool can not make this hole, each refusal in one line with its figures."""

from __future__ import annotations

from toolpath.shop.duties import FIT, duty_refusal
from toolpath.shop.hole_rules import ream_stock
from toolpath.shop.tools import Tool


def hole_refusal(tool: Tool, duty: str, *, deep: float, dia: float = 0.0) -> str:
    """Why this tool can not do this, or nothing.

    duty: of `DUTIES`, on the axis; deep: how far the point goes below the face, mm, tip included; dia: diameter of the
    hole or, of a cone, of its mouth, mm
    """
    told = duty_refusal(tool, duty)
    hole = tool.hole
    if told or hole is None:
        return told or "a tool without a place on the axis makes no hole"
    if hole.mouth:
        if dia > hole.mouth + FIT:
            return f"the {tool.name} can not open a mouth of {dia:g} mm: {hole.mouth:g} mm is the widest"
        if dia and dia <= hole.pilot[0]:
            return f"the {tool.name} is {hole.pilot[0]:g} mm thick at its end: no mouth is as small as {dia:g} mm"
    elif dia and abs(dia - hole.diameter) > FIT:
        return f"the {tool.name} makes no hole of {dia:g} mm"
    if deep > hole.deepest + FIT:
        kept = " with chips to clear" if hole.deepest < hole.flute else ""
        over = f"{deep - hole.deepest:.3g} mm too deep"
        return f"the {tool.name} has {hole.flute:g} mm of flutes and can not go {deep:g} mm deep{kept}: {over}"
    return ""


def ream_refusal(tool: Tool, drilled: float) -> str:
    """Why this reamer can not follow a hole of `drilled` mm, or nothing."""
    hole = tool.hole
    if tool.kind != "reamer" or hole is None:
        return f"the {tool.name} does not ream"
    leaves = hole.diameter - drilled
    least, most = ream_stock(hole.diameter)
    if leaves < least - FIT:
        return f"a {drilled:g} mm hole leaves {leaves:.3g} mm for the {tool.name}: it rubs below {least:g} mm"
    if leaves > most + FIT:
        return f"a {drilled:g} mm hole leaves {leaves:.3g} mm for the {tool.name}: {most:g} mm is the most it takes"
    return ""
