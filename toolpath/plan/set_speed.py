"""Speeds that a person sets, on a belt or by a lever: when the program stops for it, and the order that stops least."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from toolpath.plan.operations import Operation, Planned
from toolpath.shop.machine import Machine


def by_hand(machine: Machine) -> bool:
    """Whether the program waits for every other speed."""
    return machine.drive != "variable"


def told(machine: Machine, rpm: float) -> str:
    """What the person does, for the stop."""
    if machine.drive == "belts":
        return f"isolate the drive and set the belt to its step of {rpm:.0f} rpm"
    return f"set the spindle to {rpm:.0f} rpm by hand"


def speed_of(op: Operation) -> float:
    """Turns a minute as the program states them."""
    return float(math.floor(op.data.rpm.value))


def grouped(planned: Sequence[Planned], machine: Machine) -> list[Planned]:
    """The operations with those that share a belt step together, where they do not hang on each other's order.

    As they were when that moves the belt no less often, nor as often with fewer changes of tool.
    """
    as_planned = list(planned)
    if machine.drive != "belts":
        return as_planned
    order: list[int] = []
    left = list(range(len(as_planned)))
    while left:
        free = [k for k in left if not any(_hangs_on(as_planned[k], as_planned[j]) for j in left if j < k)]
        nearest = min(free, key=lambda k: (*_changes(as_planned[order[-1]] if order else None, as_planned[k]), k))
        order.append(nearest)
        left.remove(nearest)
    found = [as_planned[k] for k in order]
    return found if _stops(found) < _stops(as_planned) else as_planned


def _hangs_on(later: Planned, earlier: Planned) -> bool:
    """Whether the later one must stay behind the earlier one, which it follows in the plan.

    Free of each other are finish cuts, grooves and threads outside, inside and on the face. What a hand does, facing,
    holes on the axis and the parting cut keep their place; roughing does too, for it may spring what is finished.
    """
    if not (isinstance(later, Operation) and isinstance(earlier, Operation)):
        return True
    kept = ("face", "rough", "part off")
    if earlier.kind in kept or later.kind in kept or "hole" in (earlier.tool.works, later.tool.works):
        return True
    return earlier.tool.number == later.tool.number or earlier.tool.works == later.tool.works


def _changes(before: Planned | None, op: Planned) -> tuple[int, int]:
    """(1 when the speed is set anew, 1 when a tool is fitted) before this operation."""
    if not isinstance(op, Operation) or not isinstance(before, Operation):
        return (0, 0)
    return (int(speed_of(before) != speed_of(op)), int(before.tool.number != op.tool.number))


def _stops(planned: Sequence[Planned]) -> tuple[int, int]:
    """(how often the speed is set anew, how often a tool is fitted) between them."""
    changes = [_changes(a, b) for a, b in pairwise(planned)]
    return (sum(speed for speed, _ in changes), sum(tool for _, tool in changes))
