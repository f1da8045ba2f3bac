"""The plan of a set-up: from a request to operations, leftovers and a program."""

from __future__ import annotations

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Point
from toolpath.geometry.minimum import lower
from toolpath.motion import Program
from toolpath.plan import choose, operations, patterns, rest, turning
from toolpath.plan.goal import goal
from toolpath.plan.header import cautions, header
from toolpath.plan.operations import Operation
from toolpath.plan.reach import WHY, Reach
from toolpath.plan.request import Request
from toolpath.plan.steps import operations as as_steps
from toolpath.plan.workpiece import Workpiece, workpiece
from toolpath.shop.holding import refuse_too_long
from toolpath.shop.tools import Tool

CHANGE_ROOM = 25.0
"""mm between the work and the tip of the longest tool at the change point (common practice, no source)."""


class Left(Struct, frozen=True):
    """Metal that no planned tool takes: closed outline in (z, x), greatest thickness in mm, and why."""

    outline: Chain
    thick: float
    why: str


class Plan(Struct, frozen=True):
    """One set-up, ready to be written.

    goal: closed outlines in (z, x) of what must stand afterwards; change_point: (z, x) where tools are changed
    """

    name: str
    work: Workpiece
    goal: tuple[Chain, ...]
    operations: tuple[Operation, ...]
    left: tuple[Left, ...]
    cautions: tuple[str, ...]
    change_point: Point
    program: Program


def plan(request: Request) -> Plan:
    """The plan of the one set-up. CannotMake or BadInput with the reason when this shop can not make the part."""
    blade, why_blade = _blade(request)
    tools = choose.outside_tools(request.rack)
    work = workpiece(
        request, blade, largest_nose=max((t.nose_radius for t in tools if t.kind == "turning"), default=0.0)
    )
    refuse_too_long(request.bar_dia, length=request.bar_length, stick_out=work.stick_out, hold=work.hold)
    finish, reaches = choose.finishing_tool(tools, work.outside)
    rough = choose.roughing_tool(reaches, finish.reach)
    at = change_point(request)
    planned: list[Operation] = []

    def start(tool: Tool) -> Point:
        return planned[-1].legs[-1].path.b if planned and planned[-1].tool is tool else at

    if request.face_off > 0.0:
        tool, why = choose.facing_tool(request.rack, rough.tool)
        planned.append(operations.facing(request, tool, why, start=start(tool), stick_out=work.stick_out))
    roughed = patterns.roughing(request, work, rough.reach, rough.because, start=start(rough.tool))
    if roughed.legs:
        planned.append(roughed)
    planned.append(turning.finishing(request, work, finish.reach, finish.because, start=start(finish.tool)))
    stands = lower(work.outside.stands, finish.reach.stands)
    further = rest.further_tools(request.rack, work.outside, finish.reach)
    for more in further:
        at_start = start(more.reach.tool)
        if more.reach.tool.kind == "blade":
            planned.append(turning.grooving(request, work, more, stands, start=at_start))
        else:
            planned += turning.rest_turning(request, work, more, stands, start=at_start)
        stands = rest.after(more.reach, more.spans, stands)
    if blade is not None:
        planned.append(operations.parting(request, work, blade, why_blade, start=start(blade), stands=stands))
    return Plan(
        name="1",
        work=work,
        goal=goal(request, work, stands),
        operations=tuple(planned),
        left=_left(finish.reach, further),
        cautions=cautions(request, work),
        change_point=at,
        program=_program(request, work, planned, at),
    )


def _left(first: Reach, further: tuple[rest.Rest, ...]) -> tuple[Left, ...]:
    """What no planned tool takes: the first tool's leftovers, as thick as the further tools leave them."""
    thick = dict(rest.left_by_all(first, further))
    return tuple(
        Left(first.frame.back.chain(u.outline), thick[i], WHY[u.touch]) for i, u in enumerate(first.left) if i in thick
    )


def change_point(request: Request) -> Point:
    """Clear of the bar for the longest tool of the rack: where a short tool stands there, a longer one is clear too."""
    reaches = [t.reach for t in request.rack] or [0.0]
    spread = max(reaches) - min(reaches)
    return (request.face_off + CHANGE_ROOM, request.bar_dia / 2.0 + CHANGE_ROOM + spread)


def _blade(request: Request) -> tuple[Tool | None, str]:
    if not request.parted:
        return None, ""
    if request.stub >= request.bar_dia:
        raise CannotMake(f"a stub of {request.stub:g} mm is no less than the bar of {request.bar_dia:g} mm")
    return choose.parting_tool(request.rack, deep=(request.bar_dia - request.stub) / 2.0)


def _program(request: Request, work: Workpiece, planned: list[Operation], at: Point) -> Program:
    return Program(
        title=request.title,
        header=header(request, work, planned),
        operations=as_steps(planned, request.machine, change_point=at, stop_before_tools=request.stop_before_tools),
        inch=request.machine.units == "inch",
        x_diameter=True,
        home=at,
    )
