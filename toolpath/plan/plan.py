"""The plan of a set-up: from a request to operations, leftovers and a program."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Line, Point
from toolpath.geometry.minimum import lower
from toolpath.motion import Program
from toolpath.plan import choose, operations, patterns, rest, turning
from toolpath.plan.faces import blade, grooved_face
from toolpath.plan.goal import goal, radius_at
from toolpath.plan.header import cautions, header
from toolpath.plan.hollow import fitting, hollow, refuse_tight
from toolpath.plan.operations import ByHand, Operation, Planned
from toolpath.plan.reach import Reach
from toolpath.plan.request import Request
from toolpath.plan.rest import Left
from toolpath.plan.side import AIR, Side
from toolpath.plan.steps import operations as as_steps
from toolpath.plan.workpiece import Workpiece, workpiece
from toolpath.shop.holding import refuse_too_long
from toolpath.shop.tools import Tool

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


class _Queue(Struct):
    """The operations so far; a tool that stays in the post starts where it ended, any other at the change point."""

    at: Point
    planned: list[Planned]

    def start(self, tool: Tool) -> Point:
        last = self.planned[-1] if self.planned else None
        return last.legs[-1].path.b if isinstance(last, Operation) and last.tool is tool else self.at

    def add(self, op: Planned) -> None:
        if isinstance(op, ByHand) or op.legs:
            self.planned.append(op)


class _Done(Struct, frozen=True):
    """A side as it was cut: what stands, in (z, x), and what no tool takes."""

    stands: Chain
    left: tuple[Left, ...]


def plan(request: Request) -> Plan:
    """The plan of the one set-up. CannotMake or BadInput with the reason when this shop can not make the part."""
    parting, why_parting = _parting(request)
    tools = choose.outside_tools(request.rack)
    work = workpiece(
        request, parting, largest_nose=max((t.nose_radius for t in tools if t.kind == "turning"), default=0.0)
    )
    if request.gripped is None:
        grip, length = request.stock.grip.dia, request.stock.length
        refuse_too_long(grip, length=length, stick_out=work.stick_out, hold=work.hold)
    queue = _Queue(change_point(request), [])
    side = work.outside
    finish, reaches = choose.finishing_tool(tools, side)
    rough = choose.roughing_tool(reaches, finish.reach)
    if request.stock.front > 0.0:
        tool, why = choose.facing_tool(request.rack, rough.tool)
        queue.add(operations.facing(request, tool, why, start=queue.start(tool), stick_out=work.stick_out))
    queue.add(patterns.roughing(request, work, rough.reach, rough.because, start=queue.start(rough.tool)))
    inside = _bored(request, work, queue)
    queue.add(turning.finishing(request, work, finish.reach, finish.because, start=queue.start(finish.tool)))
    outside = _rest(request, work, queue, request.rack, finish.reach)
    face_left = _face_grooves(request, work, queue)
    if parting is not None:
        stands = side.frame.chain(outside.stands)
        hole = radius_at(inside.stands, work.parting_z)
        start = queue.start(parting)
        queue.add(operations.parting(request, work, parting, why_parting, start=start, stands=stands, hole=hole))
    wanted = goal(request, work, outside.stands, inside.stands)
    return Plan(
        name=str(request.number),
        request=request,
        work=work,
        goal=wanted.outlines,
        piece=wanted.piece,
        operations=tuple(queue.planned),
        left=(*outside.left, *inside.left, *face_left),
        cautions=cautions(request, work),
        change_point=queue.at,
        program=_program(request, work, queue.planned, queue.at),
    )


def _bored(request: Request, work: Workpiece, queue: _Queue) -> _Done:
    """Roughs and finishes the hole, and whatever of it other tools must take."""
    side = hollow(request, work, out=queue.at[0])
    if side is None:
        return _Done(request.stock.inside, ())
    fit = fitting(request.rack, side)
    finish, reaches = choose.finishing_tool(choose.turning_tools(fit, side.turns), side)
    rough = choose.roughing_tool(reaches, finish.reach)
    for way, choice in ((turning.roughing, rough), (turning.finishing, finish)):
        op = way(request, work, choice.reach, choice.because, start=queue.start(choice.tool))
        refuse_tight(choice.reach, op.legs)
        queue.add(op)
    return _rest(request, work, queue, fit, finish.reach)


def _face_grooves(request: Request, work: Workpiece, queue: _Queue) -> tuple[Left, ...]:
    """Cuts the grooves of the front face, from the axis outwards."""
    found = grooved_face(request)
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


def _rest(request: Request, work: Workpiece, queue: _Queue, rack: Iterable[Tool], first: Reach) -> _Done:
    """Lets further tools take what the first leaves on its side."""
    side = first.side
    stands = lower(side.stands, first.stands)
    further = rest.further_tools(rack, side, first)
    for more in further:
        start = queue.start(more.reach.tool)
        if more.reach.tool.kind == "blade":
            ops = [turning.grooving(request, work, more, stands, start=start)]
        else:
            ops = turning.rest_turning(request, work, more, stands, start=start)
        for op in ops:
            if side.works == "inside":
                refuse_tight(more.reach, op.legs)
            queue.add(op)
        stands = rest.after(more.reach, more.spans, stands)
    left = rest.left_by_all([first, *(r.reach for r in further)], stands)
    return _Done(side.chain(_within(side, stands)), left)


def _within(side: Side, stands: Chain) -> Chain:
    """What stands, without the air that closes a hole's chain on both sides."""
    if side.works != "inside":
        return stands
    held = (e for e in stands if e.b[0] <= side.ends and min(e.a[1], e.b[1]) > -AIR and min(e.a[1], e.b[1]) < 0.0)
    return tuple(Line((e.a[0], min(e.a[1], 0.0)), e.b) if e.a[1] > 0.0 else e for e in held)


def change_point(request: Request) -> Point:
    """Clear of the work for the longest tool of the rack: a short one stands there, a longer one is clear too.

    What stands on the axis reaches along z, all others count along x.
    """
    reaches = [t.reach for t in request.rack if t.works != "hole"] or [0.0]
    spread = max(reaches) - min(reaches)
    along = max((t.reach for t in request.rack if t.works == "hole"), default=0.0)
    return (request.stock.front + CHANGE_ROOM + along, request.stock.dia / 2.0 + CHANGE_ROOM + spread)


def _parting(request: Request) -> tuple[Tool | None, str]:
    if not request.parted:
        return None, ""
    dia = request.stock.dia
    if request.stub >= dia:
        raise CannotMake(f"a stub of {request.stub:g} mm is no less than the bar of {dia:g} mm")
    return choose.parting_tool(request.rack, deep=(dia - request.stub) / 2.0)


def _program(request: Request, work: Workpiece, planned: list[Planned], at: Point) -> Program:
    return Program(
        title=request.title,
        header=header(request, work, planned),
        operations=as_steps(planned, request.machine, change_point=at, stop_before_tools=request.stop_before_tools),
        inch=request.machine.units == "inch",
        x_diameter=True,
        home=at,
    )
