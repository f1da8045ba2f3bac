"""Tools on the axis as operations: by the carriage, or by the hand at the tailstock while the program waits."""

from __future__ import annotations

from msgspec.structs import replace

from toolpath.cutting.drilling import HoleData, plan_hole
from toolpath.errors import CannotMake
from toolpath.passes.drill import Hole, drill
from toolpath.plan.hole_rows import Step
from toolpath.plan.holes import removes
from toolpath.plan.operations import ByHand, Operation, Planned
from toolpath.plan.queue import Queue
from toolpath.plan.request import Request
from toolpath.shop.hole_duties import hole_refusal
from toolpath.shop.tools import Tool

EASED = 1.5
"""mm before a tool breaks through from which it is fed gently (common practice, no source)."""

INCH = 25.4


def on_axis(request: Request, step: Step, queue: Queue, *, hole: float) -> Planned:
    """One tool on the axis. hole: diameter of the hole that is there already, mm.

    CannotMake when the tool does not go so deep, or when no safe figure exists.
    """
    told = hole_refusal(step.tool, step.operation, deep=-step.tip)
    if told:
        raise CannotMake(told)
    data = _figures(request, step, hole)
    if request.machine.drilling == "tailstock":
        return ByHand(step.operation, _told(request, step, data), (removes(step),), step.because, step.tool.name)
    tool = _in_post(request, step.tool)
    begins = 0.0
    job = Hole(
        front=queue.at[0],
        mouth=0.0,
        begins=begins,
        bottom=step.tip,
        first=data.depth.value,
        peck=data.peck.value,
        clearance=request.machine.clearance,
        eased=((step.tip, step.tip + EASED, data.eased.value),) if step.opens else (),
        turns=data.dwell.value,
        feed_out=step.operation == "ream",
    )
    legs, count = drill(job, queue.start(tool))
    return Operation(step.operation, tool, data, step.because, legs, data.depth.value, count)


def _figures(request: Request, step: Step, hole: float) -> HoleData:
    return plan_hole(
        request.material,
        step.tool,
        request.machine,
        operation=step.operation,
        diameter=step.dia,
        deep=-step.tip,
        hole=min(hole, 0.9 * step.dia) if step.operation != "ream" else hole,
        in_chuck=request.in_chuck,
    )


def _in_post(request: Request, tool: Tool) -> Tool:
    """The tool in the numbered place that takes any drill."""
    holders = request.drawer.holders
    fit = [h for h in holders if tool.hole and tool.hole.diameter <= h.largest]
    if not fit:
        raise CannotMake(
            f"the machine drills from the tool post, and no drill holder of the rack takes the {tool.name}. Add one to "
            'the rack, or write drilling = "tailstock" in the machine file'
        )
    return replace(tool, number=fit[0].number, offset=fit[0].offset)


def _told(request: Request, step: Step, data: HoleData) -> str:
    """What the hand does, in one go: tool, speed, depth from touching, pecks, care at the end."""
    deep, machine = -step.tip, request.machine
    scale = f"{deep / INCH:.3f} in" if machine.quill_scale == "inch" else f"{deep:.1f} mm"
    turns = f", {deep / machine.quill_per_turn:.2f} turns of its wheel" if machine.quill_per_turn else ""
    pecks = ""
    if data.depth.value < deep:
        pecks = f"; {data.depth.value:.1f} mm first, then out to clear the chips every {data.peck.value:.1f} mm"
    ease = "; feed gently at the end, where it breaks through" if step.opens else ""
    wait = "; let it turn once on the floor" if data.dwell.value else ""
    return (
        f"by hand from the tailstock: {step.tool.name}; start the spindle, {data.rpm.value:.0f} rpm; from touching the "
        f"face go {scale} deep on the quill's scale{turns}{pecks}{ease}{wait}; back out, stop the spindle, tailstock "
        "clear of the tools"
    )
