"""What is turned, bored and grooved on one side of the work: legs in (z, x) with their tool, figures and reasons."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from toolpath.cutting.turning import CuttingData, leave_on, plan_turning
from toolpath.errors import CannotMake
from toolpath.geometry.cutter import FIT_TOLERANCE, Touch
from toolpath.geometry.elements import Chain, Line, Point
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.geometry.minimum import height_over, lower
from toolpath.passes import levels
from toolpath.passes.chips import broken
from toolpath.passes.finish import Finishing, finish
from toolpath.passes.groove import Grooving, groove
from toolpath.passes.legs import Legs, end_of, in_frame, rapid
from toolpath.passes.rough import Roughing, rough
from toolpath.plan.compensated import by_control
from toolpath.plan.hollow import reaches, refuse_tight
from toolpath.plan.operations import LIFT, Operation, breaks_of, figures
from toolpath.plan.queue import Done, Queue
from toolpath.plan.reach import Reach, on_contour
from toolpath.plan.reach import leaving as leaving_on
from toolpath.plan.request import Request
from toolpath.plan.rest import OVERLAP, Rest, after, further_tools, left_by_all, path_of, stretch
from toolpath.plan.side import Side
from toolpath.plan.workpiece import Workpiece
from toolpath.shop.tools import Tool


class Ended(Struct, frozen=True):
    """A tool that stopped on its way along a side, at u = `at`: stands: what stands then, left to right."""

    at: float
    stands: Chain


NEAR = 4.0 * FIT_TOLERANCE
"""mm between a floor and a tool that stands on it."""

LEAD = 0.5
"""mm of lead-in beyond the clearance, so that a finish cut meets metal at full feed (common practice, no source)."""


def roughing(request: Request, work: Workpiece, choice: Reach, because: str, *, start: Point) -> Operation:
    """Rough a side along its feed; no legs where nothing is to be taken."""
    tool, side = choice.tool, choice.side.fitted(choice.tool)
    data = figures(request, work, tool, operation="rough", diameter=side.dia)
    stock = envelope(side.up_to_end, choice.cut)
    job = Roughing(
        keep=leaving(choice, data),
        stock=stock,
        within=(side.begins, stock.hi + side.clearance),
        top=side.top,
        depth=data.depth.value,
        clearance=side.clearance,
    )
    coming, here = come(side, choice.frame.point(start))
    legs, depths = rough(job, here)
    legs = broken(legs, breaks_of(request, data))
    whole = (*coming, *legs, *go(side, end_of(legs))) if legs else ()
    back = in_frame(whole, choice.frame.back)
    clear = side.top if side.works == "outside" else None
    return Operation("rough", tool, data, because, back, max(depths, default=0.0), len(depths), clear=clear)


def finishing(
    request: Request, work: Workpiece, choice: Reach, because: str, *, start: Point, to: float | None = None
) -> Operation:
    """Finish a side in one pass, from the free end towards the chuck. to: u where it ends on a floor at the axis."""
    tool, side = choice.tool, choice.side.fitted(choice.tool)
    data = figures(request, work, tool, operation="finish", diameter=side.dia)
    wanted = choice.elements(side.finished)
    touching = [i for i, p in enumerate(choice.env.pieces) if on_contour(p, wanted)]
    if not touching:
        raise CannotMake(f"T{tool.number} {tool.name} does not touch the part anywhere: {choice.in_words()}")
    pieces = (*_up_the_floor(choice, touching[0]), *choice.env.path[touching[0] : touching[-1] + 1])
    job = _finishing(request, side, choice, path=merged(pieces, MERGE, sliver=SLIVER))
    if request.turn_from > 0.0:  # the way in lies over what is finished
        job = replace(job, stands=envelope(side.up_to_end, choice.cut))
    if to is not None:
        down = levels.clipped(choice.env, (to, choice.env.pieces[touching[-1]].path.b[0]))
        job = replace(job, path=merged(down, MERGE, sliver=SLIVER), inwards=True, falls=None)
    legs, here = come(side, choice.frame.point(start))
    for k in range(request.finish_passes):
        # The control compensates the last of the passes only: the one that leaves the size.
        by_itself = request.compensation == "control" and side.works == "outside" and k + 1 == request.finish_passes
        legs += by_control(choice, wanted, job, here) if by_itself else finish(job, here)
        here = end_of(legs)
    back = in_frame((*legs, *go(side, here)), choice.frame.back)
    return Operation("finish", tool, data, because, back, data.depth.value, request.finish_passes)


def _up_the_floor(choice: Reach, first: int) -> Chain:
    """The floor of a hole in front of its wall: up to its end, or as far as metal stands on it.

    The wall that closes a hole goes on beyond the floor to the axis and across it, so the envelope climbs it in one.
    first: index of the first piece along which the nose touches what is asked for
    """
    before = choice.env.pieces[first - 1] if first else None
    if choice.side.works != "inside" or before is None or not before.vertical or before.touch is not Touch.NOSE:
        return ()
    foot = before.path.b
    floors = [e for k in choice.wanted if (e := choice.keep[k]).a[0] == e.b[0] and abs(e.a[0] - foot[0]) < NEAR]
    if not floors:
        return ()
    stands = height_over(choice.side.stands, (foot[0] + NEAR, foot[0] + OVERLAP))
    top = min(max(max(e.a[1], e.b[1]) for e in floors), stands + OVERLAP)
    return (Line((foot[0], top), foot),) if top > foot[1] else ()


def rest_turning(request: Request, work: Workpiece, rest: Rest, stands: Chain, *, start: Point) -> list[Operation]:
    """Rough and finish with a further tool only where others left metal. stands: what is there now."""
    choice, tool = rest.reach, rest.reach.tool
    side, frame = choice.side.fitted(tool), choice.frame
    rough_data = figures(request, work, tool, operation="rough", diameter=side.dia)
    keep = leaving(choice, rough_data)
    plain = frame == side.frame
    stock = envelope(side.trimmed(stands) if plain else side.seen(stands, frame), choice.cut)
    found = [(span, path_of(pieces)) for span in rest.spans if (pieces := stretch(choice, span))]
    paths = [path for _, path in found]
    roughed, here = come(side, frame.point(start))
    depths: list[float] = []
    for span, path in found:
        # The free end is open: a pass begins in front of it.
        open_end = plain and span[1] >= side.ends
        job = Roughing(
            keep=keep,
            stock=stock,
            within=(path[0].a[0], stock.hi + side.clearance if open_end else path[-1].b[0]),
            top=side.top,
            depth=rough_data.depth.value,
            clearance=side.clearance,
        )
        legs, cuts = rough(job, here)
        legs = broken(legs, breaks_of(request, rough_data))
        roughed, depths = roughed + legs, [*depths, *cuts]
        here = end_of(legs) if legs else here
    out = []
    finished: Legs = ()
    if depths:
        back = in_frame(roughed, frame.back)
        out.append(Operation("rough", tool, rough_data, rest.because, back, max(depths), len(depths)))
    else:
        finished = roughed
    for path in (p for p in paths for _ in range(request.finish_passes)):
        finished += finish(replace(_finishing(request, side, choice, path=path), stands=stock), here)
        here = end_of(finished)
    data = figures(request, work, tool, operation="finish", diameter=side.dia)
    back = in_frame((*finished, *go(side, here)), frame.back)
    out.append(
        Operation("finish", tool, data, rest.because, back, data.depth.value, len(paths) * request.finish_passes)
    )
    return out


def grooving(request: Request, work: Workpiece, rest: Rest, stands: Chain, *, start: Point) -> Operation:
    """Plunge and finish with a blade where others left metal. stands: what is there now."""
    choice, tool = rest.reach, rest.reach.tool
    side = choice.side.fitted(tool)
    data = plan_turning(
        request.material,
        tool,
        request.machine,
        operation="groove",
        diameter_max=side.dia,
        stick_out=work.stick_out,
        in_chuck=request.in_chuck,
    )
    stock = envelope(stands, choice.cut)
    legs, here = come(side, choice.frame.point(start))
    plunges = 0
    for span in rest.spans:
        path = path_of(stretch(choice, span))
        if not path:
            continue
        job = Grooving(
            keep=leaving(choice, data),
            bare=choice.env,
            stock=stock,
            within=(path[0].a[0], path[-1].b[0]),
            path=path,
            width=tool.width,
            peck=data.depth.value,
            lift=LIFT,
            top=side.top,
            clearance=side.clearance,
        )
        cut, n = groove(job, here)
        legs, plunges, here = legs + cut, plunges + n, end_of(cut)
    back = in_frame((*legs, *go(side, here)), choice.frame.back)
    return Operation("groove", tool, data, rest.because, back, data.depth.value, plunges)


def rest_of(
    request: Request, work: Workpiece, queue: Queue, rack: Iterable[Tool], *, first: Reach, ended: Ended | None = None
) -> Done:
    """Lets further tools take what the first leaves on its side. ended: where that did not go everywhere it could."""
    side = first.side
    stands = ended.stands if ended else lower(side.stands, first.stands)
    further = further_tools(rack, side, first)
    if ended:
        further = tuple(m for m in further if all(lo >= ended.at for lo, _ in m.spans))
    if side.works == "inside":
        further = tuple(m for m in further if all(reaches(m.reach.tool, side, lo) for lo, _ in m.spans))
    kept = []
    for more in further:
        start = queue.start(more.reach.tool)
        if more.reach.tool.kind == "blade":
            ops = [grooving(request, work, more, stands, start=start)]
        else:
            ops = rest_turning(request, work, more, stands, start=start)
        if ended and any(_tight(more.reach, op) for op in ops):
            continue
        for op in ops:
            if side.works == "inside":
                refuse_tight(more.reach, op.legs)
            queue.add(op)
        stands = after(more.reach, more.spans, stands)
        kept.append(more.reach)
    return Done(stands, left_by_all([first, *kept], stands))


def _tight(reach: Reach, op: Operation) -> bool:
    """Whether the tool's back would meet the wall across the hole."""
    try:
        refuse_tight(reach, op.legs)
    except CannotMake:
        return True
    return False


def leaving(choice: Reach, data: CuttingData) -> Envelope:
    """The tool's envelope when it leaves metal on for the finish cut."""
    # Away from the axis is along v outside and inside, along u in a face.
    away, along = data.leave_x.value, data.leave_z.value
    leave = (away, along) if choice.side.works == "face" else (along, away)
    return leaving_on(choice, leave)


def come(side: Side, here: Point) -> tuple[Legs, Point]:
    """Into the hole's mouth from where the tool is: across in front of the work. Elsewhere nothing is needed."""
    if side.out is None:
        return (), here
    there = (here[0], side.top + side.clearance)
    return rapid(here, there), there


def go(side: Side, here: Point) -> Legs:
    """Out of a hole along its axis before anything moves across."""
    return () if side.out is None else rapid(here, (side.out, here[1]))


def _finishing(request: Request, side: Side, choice: Reach, *, path: Chain) -> Finishing:
    # A face is cut along X from one end to the other: nothing turns round. In a bore a way down a floor to its foot
    # would begin beyond the axis, so that there all goes away from the work.
    as_approached = request.machine.approach_x == "towards the work" and side.works == "outside"
    towards = as_approached if request.one_way and side.works != "face" else None
    return Finishing(
        falls=towards,
        keep=choice.env,
        path=path,
        top=side.top,
        lead=side.clearance + LEAD,
        clearance=side.clearance,
        nose=choice.tool.nose_radius,
        leave=leave_on(choice.tool)[0].value,
    )
