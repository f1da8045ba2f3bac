"""Tools side by side on the cross slide: where they are called, and the way from one to the next, clear of the work."""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.errors import BadInput, CannotMake
from toolpath.geometry.elements import Chain, Point
from toolpath.motion import Rapid, State
from toolpath.plan.operations import Operation, Planned
from toolpath.plan.request import Request
from toolpath.shop.machine import Machine
from toolpath.shop.tools import Tool

RISE = 3.0
"""mm over the bar at which a tool goes along it: no more, for its neighbours come nearer from beyond (no source)."""


def is_gang(machine: Machine) -> bool:
    return machine.tool_change == "gang"


def on_slide(tools: Sequence[Tool], machine: Machine) -> tuple[Tool, ...]:
    """The tools that the machine carries; BadInput when it carries them side by side and none says where it stands."""
    if not is_gang(machine):
        return tuple(tools)
    standing = tuple(t for t in tools if t.stands is not None)
    if not standing:
        raise BadInput(
            "this machine carries its tools side by side, and no tool of the rack says where it stands on the slide",
            where="tool_change",
            right="Write stands = [x, z] into each tool's table: where its point is, measured on the slide, in mm",
        )
    return standing


def call_point(request: Request, *, room: float) -> Point:
    """(z, x) where tools are called: every tool of the slide is then `room` or more in front of the work, whichever is
    called, and the one that is called goes in just over the bar."""
    tools = request.rack
    ahead = min(
        (other.stands[0] - one.stands[0] + min(e.bounds()[0] for chain in _bodies(other) for e in chain))
        for one in tools
        for other in tools
        if one.stands and other.stands
    )
    return (request.stock.front + room - min(ahead, 0.0), request.stock.dia / 2.0 + request.machine.clearance + RISE)


def across(before: Tool | None, tool: Tool, home: Point, state: State) -> tuple[Point, list[Rapid]]:
    """Where the point of the called tool is when the one before it stands at home, and its way home: across first."""
    if before is None or before.stands is None or tool.stands is None:
        return home, []
    here = (home[0] + tool.stands[0] - before.stands[0], home[1] + tool.stands[1] - before.stands[1])
    beside = (here[0], home[1])
    return here, [Rapid(a, b, state) for a, b in ((here, beside), (beside, home)) if a != b]


def refuse_unplaced(request: Request, planned: Sequence[Planned]) -> None:
    """CannotMake for a tool that the plan uses and that stands nowhere on the slide."""
    if not is_gang(request.machine):
        return
    for op in planned:
        if isinstance(op, Operation) and op.tool.stands is None:
            raise CannotMake(
                f"T{op.tool.number} {op.tool.name} stands nowhere on the slide, so that nothing can be kept clear of "
                "it. Write stands = [x, z] into its table of the rack, or drill from the tailstock"
            )


def _bodies(tool: Tool) -> tuple[Chain, ...]:
    return (tool.outline, *tool.steps, *tool.holder)
