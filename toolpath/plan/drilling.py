"""Tools on the axis as operations: by the carriage, or by the hand at the tailstock while the program waits."""

from __future__ import annotations

import math

from toolpath.cutting.drilling import HoleData, plan_hole
from toolpath.errors import CannotMake
from toolpath.passes.drill import Hole, drill
from toolpath.plan import set_speed
from toolpath.plan.hole_rows import Step
from toolpath.plan.holes import removes
from toolpath.plan.operations import ByHand, Operation, Planned
from toolpath.plan.queue import Queue
from toolpath.plan.request import Request
from toolpath.plan.share import SAME
from toolpath.shop.drawer import DrillHolder
from toolpath.shop.holding import Hold
from toolpath.shop.hole_duties import hole_refusal
from toolpath.shop.tools import Tool

EASED = 1.5
"""mm before a tool breaks through from which it is fed gently (common practice, no source)."""

INCH = 25.4


def on_axis(request: Request, step: Step, queue: Queue, *, hole: float, mouth: float) -> Planned:
    """One tool on the axis. hole: diameter of the hole that is there already, mouth: of what is open at the face, mm.

    CannotMake when the tool does not go so deep, or when no safe figure exists.
    """
    told = hole_refusal(step.tool, step.operation, deep=-step.tip)
    if told:
        raise CannotMake(told)
    data = _figures(request, step, hole)
    because = f"{step.because}; {data.lift.because}" if data.depth.value < -step.tip else step.because
    if request.machine.drilling == "tailstock":
        does = _told(request, step, data, mouth=mouth)
        return ByHand(step.operation, does, (removes(step),), because, step.tool.name)
    tool = _in_post(request, step.tool, queue)
    begins = 0.0
    job = Hole(
        front=queue.at[0],
        mouth=0.0,
        begins=begins,
        bottom=step.tip,
        first=data.depth.value,
        peck=data.peck.value,
        clearance=request.machine.clearance,
        lift=data.lift.value,
        eased=((step.tip, step.tip + EASED, data.eased.value),) if step.opens else (),
        turns=data.dwell.value,
        feed_out=step.operation == "ream",
    )
    legs, count = drill(job, queue.start(tool))
    return Operation(step.operation, tool, data, because, legs, data.depth.value, count)


def refuse_in_hold(request: Request, hold: Hold, step: Step) -> None:
    """CannotMake where a tool on the axis would go on into what holds the work."""
    radius = step.dia / 2.0
    boxes = [tuple(zip(*(e.bounds() for e in o), strict=True)) for o in hold.outlines]
    there = max((max(z1) for z0, x0, z1, _ in boxes if min(x0) < radius - SAME and min(z0) < 0.0), default=-math.inf)
    if step.tip >= there - SAME:
        return
    room = (
        " A plate with a hole for it says so by spindle_bore in the machine file."
        if hold.kind == "faceplate" and not request.machine.spindle_bore
        else ""
    )
    raise CannotMake(
        f"the {step.tool.name} would go to z {step.tip:.2f} mm, and from {there:.2f} on the {hold.name} is in its way."
        f"{room} Make the hole in a holding before, or from the other end"
    )


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


def _in_post(request: Request, tool: Tool, queue: Queue) -> Tool:
    """The tool in a numbered chuck that takes any drill: where it stands already, else under its next free number.

    CannotMake when no chuck takes it or has a number left.
    """
    holders = request.drawer.holders
    fit = [h for h in holders if tool.hole and tool.hole.diameter <= h.largest]
    if not fit:
        raise CannotMake(
            f"the machine drills from the tool post, and no drill holder of the rack takes the {tool.name}. Add one to "
            'the rack, or write drilling = "tailstock" in the machine file'
        )
    stand = {op.tool.number: op.tool for op in queue.planned if isinstance(op, Operation)}
    held = [(h, h.holding(tool, place)) for h in fit for place in h.places]
    there = next((t for _, t in held if stand.get(t.number) == t), None)
    holder, free = next(((h, t) for h, t in held if t.number not in stand), (fit[0], None))
    if there is None and free is None:
        numbers = [n for h in fit for n, _ in h.places]
        has = ", ".join(f"T{n} the {stand[n].name}" for n in numbers)
        further = ", ".join(map(str, (*fit[0].further, max(numbers) + 1)))
        raise CannotMake(
            f"no number is left for the {tool.name}: {has}. Each has an offset of its own: write further = "
            f'[{further}] in the row of the {fit[0].name}, or drilling = "tailstock" in the machine file'
        )
    if there is None and free is not None and free.number in holder.further:
        _refuse_indexed(request, holder, free)
    return there or free or tool


def _refuse_indexed(request: Request, holder: DrillHolder, tool: Tool) -> None:
    """A turret goes round to a number it is told, so that one chuck there has one number."""
    if request.machine.tool_change == "turret":
        raise CannotMake(
            f"the {tool.name} would follow in the {holder.name} as T{tool.number}, and the turret would turn to its "
            f'place {tool.number}. Give it a drill holder of its own, or drilling = "tailstock" in the machine file'
        )


def _started(request: Request, data: HoleData) -> str:
    """How the spindle comes to its speed."""
    if set_speed.by_hand(request.machine):
        return f"{set_speed.told(request.machine, data.rpm.value)}, start the spindle"
    return f"start the spindle, {data.rpm.value:.0f} rpm"


def _scale(step: Step, mouth: float) -> tuple[str, str, float]:
    """(how the quill's scale comes to 0, from what it counts, how deep it then goes, mm).

    A tool sinks into what is open at the face before it cuts: only a whole face, or an edge, is there to be touched
    (common practice, no source).
    """
    hole, deep = step.tool.hole, -step.tip
    if mouth <= SAME:
        return "", "from touching the face ", deep
    if step.operation == "countersink" and hole:
        return "", "from touching the edge of the hole ", deep - hole.depth_for_mouth(mouth)
    end = "point" if step.operation in ("drill", "centre") else "end"
    return f"with its {end} level with the face, by a rule laid across it, set the quill's scale to 0; ", "", deep


def _told(request: Request, step: Step, data: HoleData, *, mouth: float) -> str:
    """What the hand does, in one go: tool, where the scale counts from, speed, depth, pecks, care at the end."""
    (level, start, deep), machine = _scale(step, mouth), request.machine
    scale = f"{deep / INCH:.3f} in" if machine.quill_scale == "inch" else f"{deep:.1f} mm"
    turns = f", {deep / machine.quill_per_turn:.2f} turns of its wheel" if machine.quill_per_turn else ""
    pecks = ""
    if data.depth.value < deep:
        lift = data.lift.value
        way = f"back {lift:g} mm to break the chip" if lift else "out to clear the chips"
        pecks = f"; {data.depth.value:.1f} mm first, then {way} every {data.peck.value:.1f} mm"
    ease = "; feed gently at the end, where it breaks through" if step.opens else ""
    wait = "; let it turn once on the floor" if data.dwell.value else ""
    return (
        f"by hand from the tailstock: {step.tool.name}; {level}{_started(request, data)}; "
        f"{start}go {scale} deep on the quill's scale{turns}{pecks}{ease}{wait}; back out, stop the spindle, tailstock "
        "clear of the tools"
    )
