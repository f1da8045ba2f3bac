"""The operations of a set-up as they are planned one after the other."""

from __future__ import annotations

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Point
from toolpath.plan.operations import ByHand, Operation, Planned
from toolpath.plan.rest import Left
from toolpath.shop.tools import Tool


class Queue(Struct):
    """The operations so far; a tool that stays in the post starts where it ended, any other at the change point."""

    at: Point
    planned: list[Planned]

    def start(self, tool: Tool) -> Point:
        last = self.planned[-1] if self.planned else None
        return last.legs[-1].path.b if isinstance(last, Operation) and last.tool is tool else self.at

    def add(self, op: Planned) -> None:
        """Adds what there is to do. CannotMake when two tools would go by one number."""
        if isinstance(op, ByHand):
            self.planned.append(op)
            return
        for other in self.planned:
            if isinstance(other, Operation) and other.tool.number == op.tool.number and other.tool != op.tool:
                raise CannotMake(
                    f"T{op.tool.number} would hold the {other.tool.name} and then the {op.tool.name}, and the offset "
                    "of one is not that of the other. Give each its own place in the rack, or drill from the tailstock"
                )
        if op.legs:
            self.planned.append(op)


class Done(Struct, frozen=True):
    """A side as it was cut: what stands, as the side has it, and what no tool takes."""

    stands: Chain
    left: tuple[Left, ...]
