"""How each kind of tool is touched off, in words for the bench, by where its control keeps the offsets.

X by a skim cut that is measured, Z by the front face: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable

from toolpath.shop.tools import Tool


def touch_off(tool: Tool) -> str:
    """What of the tool is touched off, for the list of tools at the top of a program."""
    if tool.point == "nose":
        return f"nose radius {tool.nose_radius:g} mm, X and Z touched off at the imaginary tip"
    return f"touched off at its {tool.point}"


def entered(tools: Iterable[Tool], *, x_diameter: bool, work_offset: bool, end: str = "front") -> list[str]:
    """How each kind of tool gets its row in the control's tool table, a line each, and where Z0 is put.

    work_offset: the zero is that of the work, and the table has how far each tool reaches from it
    end: `front` or `back`, the face of the part that looks at the tools
    """
    numbers: dict[str, list[str]] = {}
    for tool in tools:
        numbers.setdefault(_across(tool, x_diameter=x_diameter), []).append(f"T{tool.number}")
    out = [f"Touch off {', '.join(ts)}: {how.format('enter it as X of its row')}" for how, ts in numbers.items()]
    before = "what still lies before the finished face there, 0 once it is finished"
    if work_offset:
        return [
            *out,
            f"Z of every row: touch the {end} face with the tool and enter 0",
            f"Z of the work offset: with one of these tools touch the {end} face and set {before}",
        ]
    return [*out, f"Z of every row: touch the {end} face with the tool and enter {before}"]


def set_anew(tool: Tool, *, x_diameter: bool, end: str = "front", z_set: bool = False) -> str:
    """How both zeros are set with the tool at its stop, on a control that keeps no offsets.

    Z0 is the finished face: what lies before it is measured (common practice, no source).
    end: as in `entered`; z_set: Z was set with this very tool at the stop before
    """
    face = f"touch the {end} face and set Z to what still lies before the finished face there, 0 once it is finished"
    if z_set:
        face = "leave Z as it was set at the stop before"
    if tool.works == "hole":
        return f"the {tool.point} on the axis is X 0; with it {face}"
    across = _across(tool, x_diameter=x_diameter, corner=False).format("set X to it")
    where = "" if tool.point == "nose" else f", both with its {tool.point}"
    return f"{across}; {face}{where}"


def _across(tool: Tool, *, x_diameter: bool, corner: bool = True) -> str:
    """What is measured for X, with a place for what to do with it."""
    measure = "diameter" if x_diameter else "radius (half the diameter)"
    if tool.works == "hole":
        return f"its {tool.point} on the axis is X 0"
    where = f", X and Z with its {tool.point}" if corner and tool.point != "nose" else ""
    if tool.works == "inside":
        return f"skim a bore, leave X, measure the bore's {measure} and {{}}{where}"
    return f"skim the work or touch a turned part of it, leave X, measure its {measure} and {{}}{where}"
