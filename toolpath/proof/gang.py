"""Tools that stand side by side on the cross slide: each move carries all of them, and a call jumps from point to
point while the slide stands still."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from msgspec.structs import replace

from toolpath.geometry.elements import Point
from toolpath.motion import Move, Operation, Rapid, Step, ToolCall
from toolpath.proof.setting import Setting

if TYPE_CHECKING:
    from toolpath.shop.tools import Tool


def with_neighbours(tool: Tool, setting: Setting) -> Tool:
    """The tool, carrying with its holder all that stands beside it."""
    beside = [t for t in setting.tools.values() if t.number != tool.number and t.stands is not None]
    if setting.machine.tool_change != "gang" or tool.stands is None or not beside:
        return tool
    chains = (
        tuple(e.moved(_from(tool, n)) for e in chain) for n in beside for chain in (n.outline, *n.steps, *n.holder)
    )
    return replace(tool, holder=(*tool.holder, *chains))


def carried(operations: Iterable[Operation], setting: Setting) -> tuple[Operation, ...]:
    """The operations with the first move after each call from where the called tool's point then really is."""
    if setting.machine.tool_change != "gang":
        return tuple(operations)
    out, tool, at = [], 0, None
    for operation in operations:
        steps: list[Step] = []
        jumped: Point | None = None
        for step in operation.steps:
            if isinstance(step, ToolCall):
                a, b = setting.tools.get(tool), setting.tools.get(step.state.tool)
                if at and a and b and a is not b:
                    d = _from(b, a)
                    jumped = (at[0] - d[0], at[1] - d[1])
                tool = step.state.tool
            if isinstance(step, Move):
                at = step.end
                if jumped and isinstance(step, Rapid):
                    step = replace(step, start=jumped)
                jumped = None
            steps.append(step)
        out.append(replace(operation, steps=tuple(steps)))
    return tuple(out)


def slide_at(move: Move, at: Point, setting: Setting) -> Point:
    """Where the slide stands while the move's tool is at `at`: on one that carries several, less where that stands."""
    tool = setting.tools.get(move.state.tool)
    if setting.machine.tool_change != "gang" or tool is None or tool.stands is None:
        return at
    return (at[0] - tool.stands[0], at[1] - tool.stands[1])


def _from(tool: Tool, other: Tool) -> Point:
    """(z, x) from the point of one to the point of the other, as both stand on the slide."""
    (z0, x0), (z1, x1) = tool.stands or (0.0, 0.0), other.stands or (0.0, 0.0)
    return (z1 - z0, x1 - x0)
