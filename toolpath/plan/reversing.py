"""A plan whose spindle would unscrew the chuck, or the part from its thread, is refused."""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.errors import CannotMake
from toolpath.plan import centre_stops, measure, zero
from toolpath.plan.operations import Operation, Planned
from toolpath.plan.request import Request
from toolpath.shop.fixing import braked_off, sense_of, unscrewed
from toolpath.shop.holding import Hold


def refuse_unscrewing(request: Request, hold: Hold, planned: Sequence[Planned]) -> None:
    """CannotMake when an operation turns the spindle, or its brake stops it, so that what is screwed on comes off."""
    machine = request.machine
    for op in planned:
        if isinstance(op, Operation):
            who, sense = f"T{op.tool.number} {op.tool.name}", sense_of(op.tool, machine)
        elif op.kind in (zero.KIND, measure.KIND, "break off", centre_stops.BRING_UP, centre_stops.SAW):
            continue
        else:  # by hand from the tailstock, with tools that cut right-handed
            who, sense = f"what is done by hand ({op.kind})", "forward"
        if off := unscrewed(sense, machine=machine, on_thread=hold.on_thread):
            raise CannotMake(
                f"{who} turns the spindle {sense}, and that would unscrew {off}. Turn the tool's face over, or hold "
                "the work another way"
            )
        if off := braked_off(sense, machine=machine, on_thread=hold.on_thread):
            raise CannotMake(
                f"the spindle's brake stops it after {who}, and that would unscrew {off}. Let the spindle run down "
                "(spindle_brake = false), or hold the work another way"
            )
