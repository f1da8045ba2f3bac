"""The inside of a set-up: what is drilled on the axis, then what is bored, then what other tools take of it."""

from __future__ import annotations

from msgspec import Struct

from toolpath.cutting.turning import leave_on
from toolpath.geometry.elements import Chain, Line, polyline, reverse
from toolpath.geometry.frame import INSIDE
from toolpath.geometry.minimum import height_over, lower
from toolpath.geometry.regions import regions
from toolpath.plan import choose, floors, turning
from toolpath.plan.countersinks import by_countersink
from toolpath.plan.drilling import on_axis, refuse_in_hold
from toolpath.plan.hole_rows import Rows, rows_of
from toolpath.plan.holes import MEETS, opened, steps
from toolpath.plan.hollow import fitting, hollow, inner_surface, refuse_tight, standing_inside
from toolpath.plan.operations import Operation
from toolpath.plan.queue import Queue
from toolpath.plan.reach import Reach
from toolpath.plan.request import Request
from toolpath.plan.rest import LEAST, Left
from toolpath.plan.share import SAME
from toolpath.plan.side import Side
from toolpath.plan.workpiece import RUN_OUT, Workpiece
from toolpath.shop.outlines import box
from toolpath.shop.tools import Tool


class Drilled(Struct, frozen=True):
    """rows: the hollow of this set-up; stands: what stands inside after the tools on the axis, (z, -x)."""

    rows: Rows
    stands: Chain


class Inside(Struct, frozen=True):
    """surface: what stands inside, (z, x), from the stock's back end to the front; left: what no tool takes."""

    surface: Chain
    left: tuple[Left, ...]


def drilled(request: Request, work: Workpiece, queue: Queue) -> Drilled:
    """Everything on the axis: centre, drills, reamers, flat drills, countersinks."""
    if not request.first_here:  # a set-up before has had this end at the tools
        return Drilled(Rows((), ()), standing_inside(request))
    rows, stands = by_countersink(request.drawer, rows_of(request.part)), standing_inside(request)
    if not rows.chain:
        return Drilled(rows, stands)
    past = work.parting_z - RUN_OUT if work.blade else -request.part.length - MEETS
    hole = request.stock.bore
    for step in steps(request, rows, stands, beyond=past):
        refuse_in_hold(request, work.hold, step)
        mouth = -2.0 * height_over(stands, (-SAME, 0.0)) if stands else 0.0
        queue.add(on_axis(request, step, queue, hole=hole, mouth=mouth))
        stands = lower(stands, opened(step))
        hole = max(hole, step.dia) if step.operation in ("drill", "ream") else hole
    return Drilled(rows, stands)


def bored(request: Request, work: Workpiece, queue: Queue, before: Drilled) -> Inside:
    """Roughs and finishes the hole with bars, and whatever of it other tools must take."""
    alone = request.count == 1
    wanted = INSIDE.chain(reverse((*before.rows.chain, *(before.rows.edge if alone else ()))))
    side = hollow(request, work, before.rows, before.stands, out=queue.at[0])
    edge = _far_edge(before.rows) if alone else ()
    if side is None:
        must = _with(before.stands, wanted)
        return Inside(inner_surface(must), (*edge, *_undrilled(before.stands, must)))
    fit = fitting(request.rack, side)
    if side.core is not None:
        return _closed(request, work, queue, side=side, wanted=wanted)
    finish, reaches = choose.finishing_tool(choose.turning_tools(fit, side.turns), side)
    rough = choose.roughing_tool(reaches, finish.reach)
    for way, choice in ((turning.roughing, rough), (turning.finishing, finish)):
        _add(queue, choice.reach, way(request, work, choice.reach, choice.because, start=queue.start(choice.tool)))
    done = turning.rest_of(request, work, queue, fit, first=finish.reach)
    return Inside(inner_surface(_with(done.stands, wanted)), (*done.left, *edge, *_bore_end(side, rough.tool)))


def _closed(request: Request, work: Workpiece, queue: Queue, *, side: Side, wanted: Chain) -> Inside:
    """A hole bored down to a tapered or rounded floor: its wall, its floor from the wall inwards, then both again."""
    fit = fitting(request.rack, side)
    choice, at = floors.floor_tool(choose.turning_tools(fit, side.turns), side)
    down, tool = floors.descent(request, work, choice.reach, at), choice.tool
    to = floors.finished_to(choice.reach, down.at)
    reach, why = choice.reach, choice.because
    _add(queue, reach, turning.roughing(request, work, down.level, why, start=queue.start(tool)))
    _add(queue, reach, floors.roughing_floor(request, reach, down, why, start=queue.start(tool)))
    _add(queue, reach, turning.finishing(request, work, reach, why, start=queue.start(tool), to=to))
    ended = turning.Ended(to, floors.stands_after(choice.reach, to))
    done = turning.rest_of(request, work, queue, fit, first=choice.reach, ended=ended)
    return Inside(inner_surface(_with(done.stands, wanted)), floors.middle(reach, done.left, down, to))


def _add(queue: Queue, reach: Reach, op: Operation) -> None:
    refuse_tight(reach, op.legs)
    queue.add(op)


def _undrilled(stands: Chain, must: Chain) -> tuple[Left, ...]:
    """What the tools on the axis leave in the corners of the hole, where no bar goes after them."""
    lo = max(stands[0].a[0], must[0].a[0])
    axis = (Line((lo, 0.0), (0.0, 0.0)),)
    found = regions(lower(stands, axis), lower(must, axis), (lo, 0.0), least=LEAST)
    why = "what is drilled or reamed ends in the shape of the tool's point or lead"
    return tuple(Left(INSIDE.back.chain(r.outline), r.thick, why) for r in found)


def _bore_end(side: Side, tool: Tool) -> tuple[Left, ...]:
    """What roughing leaves, in solid bar behind the part, at the end of a bore that goes right through."""
    level = side.contour[2]
    if side.finished == side.wanted or side.contour[0].a[1] < 0.0:
        return ()
    thick = leave_on(tool)[1].value
    stop, bore = level.a
    drilled_to = height_over(side.stands, (stop, stop + thick))
    outline = box(stop, -drilled_to, stop + thick, -bore)
    return (Left(outline, thick, "the bore ends in the bar behind the part, where no finish cut is worth while"),)


def _far_edge(rows: Rows) -> tuple[Left, ...]:
    """The broken edge of a hole's far mouth, which nothing reaches from here: told where no other set-up cuts it."""
    edge = rows.edge
    if not edge:
        return ()
    corner = (edge[-1].b[0], edge[0].a[1])
    outline = (*edge, *polyline([edge[-1].b, corner, edge[0].a]))
    return (
        Left(
            outline,
            max(e.distance(corner) for e in edge),
            "the far edge of a hole can only be broken from the other end: add a second holding",
        ),
    )


def _with(stands: Chain, wanted: Chain) -> Chain:
    """What must stand: no more than the part's hollow leaves, whatever tools leave beside it."""
    return lower(stands, wanted) if wanted and wanted[-1].b[0] > wanted[0].a[0] else stands
