"""The plan of a set-up: from a request to operations, leftovers and a program."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Point
from toolpath.motion import Program
from toolpath.part.threads import ThreadOn
from toolpath.plan import choose, measure, operations, patterns, rest, trial, turning
from toolpath.plan.bar_length import refuse_far_end
from toolpath.plan.centre_stops import bring_up, saw_off
from toolpath.plan.faces import blade, grooved_face
from toolpath.plan.gang import call_point, is_gang, refuse_unplaced
from toolpath.plan.goal import goal, radius_at
from toolpath.plan.header import cautions, header
from toolpath.plan.inside import Drilled, Inside, bored, drilled
from toolpath.plan.operations import Operation, Planned
from toolpath.plan.queue import Done, Queue
from toolpath.plan.request import Request
from toolpath.plan.rest import Left
from toolpath.plan.reversing import refuse_unscrewing
from toolpath.plan.set_speed import grouped
from toolpath.plan.share import SAME
from toolpath.plan.slender import by_sections, refuse_slender, sections
from toolpath.plan.steps import operations as as_steps
from toolpath.plan.tailstock import centre_of, refuse_far_out
from toolpath.plan.thin import bored_first
from toolpath.plan.thin_threads import before_the_hole
from toolpath.plan.threading import of_setup, refuse_without_relief, threaded
from toolpath.plan.workpiece import Workpiece, workpiece
from toolpath.plan.zero import set_zero
from toolpath.shop.drawer import drill_tool
from toolpath.shop.holding import refuse_too_long
from toolpath.shop.tools import Tool

FACED = 1e-6
"""mm: what stands no more than this before the finished face is rounding, and nothing is faced."""

CHANGE_ROOM = 25.0
"""mm between the work and the tip of the longest tool at the change point (common practice, no source)."""


class Plan(Struct, frozen=True):
    """One set-up, ready to be written.

    goal: closed outlines in (z, x) of what must stand afterwards; piece: of the work alone, off its stub
    change_point: (z, x) where tools are changed
    """

    name: str
    request: Request
    work: Workpiece
    goal: tuple[Chain, ...]
    piece: Chain
    operations: tuple[Planned, ...]
    left: tuple[Left, ...]
    cautions: tuple[str, ...]
    change_point: Point
    program: Program


def plan(request: Request) -> Plan:
    """The plan of the one set-up. CannotMake or BadInput with the reason when this shop can not make the part."""
    refuse_slender(request)
    parting, why_parting = _parting(request)
    tools = choose.outside_tools(request.rack)
    work = workpiece(
        request, parting, largest_nose=max((t.nose_radius for t in tools if t.kind == "turning"), default=0.0)
    )
    if request.gripped is None:
        grip, length = request.stock.grip.dia, request.stock.length
        refuse_too_long(grip, length=length, stick_out=work.stick_out, hold=work.hold, gone=request.gone)
    queue = Queue(change_point(request), [])
    side = work.outside
    finish, reaches = choose.finishing_tool(tools, side)
    rough = choose.roughing_tool(reaches, finish.reach)
    if request.number > 1:
        queue.add(set_zero(request, choose.facing_tool(request.rack, rough.tool)[0]))
    if request.stock.front > FACED:
        tool, why = choose.facing_tool(request.rack, rough.tool)
        queue.add(operations.facing(request, work, tool, why, start=queue.start(tool)))
    early = () if work.centre else before_the_hole(request)
    on_axis = None if early else drilled(request, work, queue)
    if work.centre and not work.centre.there:
        refuse_far_out(request, work.stick_out)
        queue.add(bring_up(request, work.centre, work.hold.outlines))
    inside = _bored_and_roughed(request, work, queue, on_axis, rough=rough)
    outside = _outside(request, work, queue, finish)
    if request.measure and (measuring := measure.stop(request, queue.planned)):
        queue.add(measuring)
    face_left = _face_grooves(request, work, queue)
    for on in early:
        _thread(request, on, queue, outside.left)
    if inside is None:
        inside = bored(request, work, queue, drilled(request, work, queue))
    for on in of_setup(request):
        if on not in early:
            _thread(request, on, queue, inside.left if on.inside else outside.left)
    _trials(request, queue, loose=False)
    if parting is not None:
        hole, start = radius_at(inside.surface, work.parting_z), queue.start(parting)
        request = request if hole <= SAME else replace(request, stub=0.0)  # the blade comes out in the hole: it drops
        off = operations.parting(request, work, parting, why_parting, start=start, stands=outside.stands, hole=hole)
        queue.add(off)
        if request.spare and request.stub > 0.0:
            queue.add(operations.break_off(request, work, parting))
    if request.sawn and work.centre:
        queue.add(saw_off(request, tuple(o for o in work.hold.outlines if o not in work.centre.outlines)))
    _trials(request, queue, loose=True)
    queue.planned = grouped(queue.planned, request.machine)
    refuse_unscrewing(request, work.hold, queue.planned)
    refuse_far_end(request, work, queue.planned)
    refuse_unplaced(request, queue.planned)
    _refuse_idle(request, queue.planned)
    wanted = goal(request, work, outside.stands, inside.surface)
    return Plan(
        name=str(request.number),
        request=request,
        work=work,
        goal=wanted.outlines,
        piece=wanted.piece,
        operations=tuple(queue.planned),
        left=(*outside.left, *inside.left, *face_left),
        cautions=cautions(request, work, queue.planned),
        change_point=queue.at,
        program=_program(request, work, queue.planned, queue.at),
    )


def _refuse_idle(request: Request, planned: list[Planned]) -> None:
    """CannotMake for a set-up in which neither the program nor a person takes any metal off."""
    if any(isinstance(op, Operation) or op.removes for op in planned):
        return
    raise CannotMake(
        "there is nothing to cut here: the work as it is held already has the shape that is asked for. Check the "
        "diameters against the bar, and [bar] face_off"
        + ("; or leave this [[holding]] out" if request.count > 1 else "")
    )


def _thread(request: Request, on: ThreadOn, queue: Queue, left: tuple[Left, ...]) -> None:
    refuse_without_relief(on, left)
    queue.add(threaded(request, on, queue))


def _trials(request: Request, queue: Queue, *, loose: bool) -> None:
    """The stops for trial assemblies of this set-up. loose: those for which the part must be off the bar"""
    for one in request.trials:
        if one.number == request.number and one.loose == loose:
            queue.add(trial.stop(request, one))


def _bored_and_roughed(
    request: Request, work: Workpiece, queue: Queue, on_axis: Drilled | None, *, rough: choose.Choice
) -> Inside | None:
    """Roughs the outside and bores the hole; a hole with a thin wall first. on_axis None: the outside alone."""
    why = "" if on_axis is None else bored_first(request, on_axis.rows)
    inside = bored(request, work, queue, on_axis) if why and on_axis else None
    if not sections(request):
        because = f"{rough.because}; {why}" if why else rough.because
        queue.add(patterns.roughing(request, work, rough.reach, because, start=queue.start(rough.tool)))
    return inside if inside or on_axis is None else bored(request, work, queue, on_axis)


def _outside(request: Request, work: Workpiece, queue: Queue, finish: choose.Choice) -> Done:
    """Finishes the outside and lets further tools take the rest; as it stands where another set-up has turned it."""
    if not work.outside.wanted:
        return Done(work.outside.stands, ())
    if sections(request):
        by_sections(request, work, queue, finish.reach, because=finish.because)
    else:
        queue.add(turning.finishing(request, work, finish.reach, finish.because, start=queue.start(finish.tool)))
    return turning.rest_of(request, work, queue, request.rack, first=finish.reach)


def _face_grooves(request: Request, work: Workpiece, queue: Queue) -> tuple[Left, ...]:
    """Cuts the grooves of the front face, from the axis outwards."""
    found = grooved_face(request) if request.first_here else None
    if found is None:
        return ()
    side, grooves = found
    stands, reaches = side.stands, []
    for span in grooves:
        choice = blade(request.rack, side, span)
        queue.add(turning.grooving(request, work, choice, side.stands, start=queue.start(choice.reach.tool)))
        stands = rest.after(choice.reach, choice.spans, stands)
        reaches.append(choice.reach)
    return rest.left_by_all(reaches, stands)


def change_point(request: Request) -> Point:
    """Clear of the work for the longest tool of the rack: a short one stands there, a longer one is clear too.

    What stands on the axis reaches along z, all others count along x.
    """
    reaches = [t.reach for t in request.rack if t.works != "hole"] or [0.0]
    spread = max(reaches) - min(reaches)
    along = max((t.reach for t in (*request.rack, *_chucked(request)) if t.works == "hole"), default=0.0)
    centre = centre_of(request)
    high = max(request.stock.dia / 2.0, centre.body if centre else 0.0)
    near = (request.stock.front + CHANGE_ROOM + along, high + CHANGE_ROOM + spread)
    machine = request.machine
    if is_gang(machine):
        return call_point(request, room=CHANGE_ROOM)
    for key, asked, least in (("change_z", machine.change_z, near[0]), ("change_x", machine.change_x, near[1])):
        if 0.0 < asked < least:
            raise CannotMake(
                f"{key} = {asked:g} in the machine file changes tools too near: {least:.1f} mm clear the longest tool "
                "of the rack. Write that or more, or leave it out"
            )
    return (machine.change_z or near[0], machine.change_x or near[1])


def _chucked(request: Request) -> tuple[Tool, ...]:
    """What may stand in the drill holders of the rack, where drilling is done from there."""
    holders = request.drawer.holders if request.machine.drilling == "post" else ()
    largest = max((h.largest for h in holders), default=0.0)
    tools = (*request.drawer.by_hand, *(drill_tool(d) for d in request.drawer.drills if d.dia <= largest))
    return tuple(t for t in tools if t.hole and t.hole.diameter <= largest)


def _parting(request: Request) -> tuple[Tool | None, str]:
    if not request.parted or request.sawn:
        return None, ""
    dia = request.stock.dia
    if request.stub >= dia:
        raise CannotMake(f"a stub of {request.stub:g} mm is no less than the bar of {dia:g} mm")
    return choose.parting_tool(request.rack, deep=(dia - request.stub) / 2.0)


def _program(request: Request, work: Workpiece, planned: list[Planned], at: Point) -> Program:
    return Program(
        title=request.title,
        header=header(request, work, planned),
        operations=as_steps(planned, request, change_point=at),
        inch=request.machine.units == "inch",
        x_diameter=request.x_diameter,
        home=at,
    )
