"""Parting off: how deep a blade may go, how it pecks, how it slows near the axis, what it leaves standing."""

from __future__ import annotations

from toolpath.cutting.figures import Figure
from toolpath.errors import CannotMake
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool

NEAR_AXIS_FEED = 0.7  # of the parting feed near the axis: ZCC-CT catalogue 2019 takes 30 % off
NEAR_AXIS = 3.0  # mm diameter below which that holds, common practice
STUB = 0.5  # mm diameter left standing when nothing is said, common practice
AS_STATED = "as stated"


def stub_left(tool: Tool, *, diameter: float, floor: float, stub: float | None) -> Figure:
    """Diameter left standing, mm: as stated, or a thin one, or the bore (`floor`) of a part that is hollow there.

    CannotMake when the tool is not meant for it or does not reach that deep.
    """
    if tool.kind != "blade" or "part off" not in tool.does:
        raise CannotMake(f"T{tool.number} {tool.name} is not meant for parting off")
    if stub is not None and not 0.0 <= stub < diameter:
        raise CannotMake(f"a stub of diameter {stub:g} mm can not be left of diameter {diameter:g}")
    if stub is not None:
        left = Figure(stub, AS_STATED)
    elif floor > STUB:
        left = Figure(floor, "the part is hollow here")
    else:
        left = Figure(min(STUB, diameter / 2.0), "it twists off, spindle stopped (common practice)")
    deep = (diameter - left.value) / 2.0
    if deep > tool.max_depth:
        raise CannotMake(
            f"T{tool.number} {tool.name} may go {tool.max_depth:g} mm deep, parting diameter {diameter:g} takes "
            f"{deep:g} mm. A longer blade, a smaller bar or a thicker stub is needed"
        )
    return left


def near_axis(feed: Figure, material: Material) -> Figure:
    """mm a turn below diameter `NEAR_AXIS`; never below what the material may be cut with."""
    if feed.value * NEAR_AXIS_FEED < material.least_feed:
        return Figure(feed.value, f"no less near the axis: {material.title} {material.rubbed} where a tool rubs")
    return Figure(feed.value * NEAR_AXIS_FEED, f"30 % less below diameter {NEAR_AXIS:g} (ZCC-CT 2019)")


def peck(tool: Tool) -> Figure:
    """How deep the blade goes before it comes out to clear its chip, mm."""
    return Figure(tool.width, f"one blade width, {tool.width:g} mm (common practice)")
