"""Operations as state-complete steps: the fixed sequence of a tool change, spindle, feed, ends on the last digit."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from toolpath import motion
from toolpath.cutting.drilling import HoleData
from toolpath.cutting.threading import ThreadData
from toolpath.geometry.elements import Arc, Line, Point
from toolpath.geometry.printable import Grid, rounded, snap
from toolpath.motion import (
    ArcCut,
    Compensation,
    Cut,
    Dwell,
    End,
    Feed,
    FeedMode,
    Move,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    State,
    Stop,
    ThreadCut,
    ToolCall,
)
from toolpath.passes.legs import Legs, Pace
from toolpath.plan import gang, set_speed, zero
from toolpath.plan.first_move import first_moves
from toolpath.plan.operations import ByHand, Operation, Planned
from toolpath.plan.request import Request
from toolpath.plan.touch import set_anew
from toolpath.shop.fixing import sense_of
from toolpath.shop.machine import Machine
from toolpath.shop.tools import Tool

NEXT = "next comes"
"""How a stop begins before a tool that the machine changes by itself."""

LEAST_FEED = 0.001
"""mm/rev: the last digit of a feed."""


def operations(planned: Sequence[Planned], request: Request, *, change_point: Point) -> tuple[motion.Operation, ...]:
    """The operations as they run, the last one with the retreat and the end of the program."""
    machine = request.machine
    grid = grid_of(machine)
    home = snap(change_point, grid)
    out: list[motion.Operation] = []
    state, here, set_to = State(), home, 0.0
    wet = machine.coolant and request.material.pump
    before: Tool | None = None
    zeroed = zero.with_tool(planned)
    for i, op in enumerate(planned):
        if isinstance(op, ByHand):
            state, set_to = replace(state, spindle=None, coolant=False, operation=op.kind), 0.0
            waits = (SpindleChange(home, state), Stop(op.does, home, state, skip=op.optional))
            out.append(motion.Operation(by_hand_kind(op), waits))
            continue
        working = replace(state_of(op, machine), coolant=wet)
        steps: list[motion.Step] = []
        speed = set_speed.speed_of(op) if set_speed.by_hand(machine) and set_speed.speed_of(op) != set_to else 0.0
        set_to = speed or set_to
        z_set = before is None and zeroed == op.tool.number
        if state.tool != op.tool.number:
            steps += change_tool(op, working, home, request=request, before=before, speed=speed, z_set=z_set)
        elif speed:
            steps += change_speed(replace(working, spindle=None, coolant=False), working, home, machine=machine)
        elif state.spindle != working.spindle:
            steps.append(SpindleChange(here, working))
            # After a stop by hand the spindle starts from rest.
            steps += [Dwell(machine.spindle_up_s, here, working)] if state.spindle is None else []
        before = op.tool
        moves = moves_of(op.legs, working, grid, tool=op.tool)
        steps += [*come(here, next((m.start for m in moves if isinstance(m, Move)), here), home, working), *moves]
        here, state = next((m.end for m in reversed(moves) if isinstance(m, Move)), here), working
        if i + 1 == len(planned) or leaves(op, planned[i + 1], machine):
            steps += retreat(here, home, state)
            here = home
        clear = None if op.clear is None else round(op.clear / grid[1]) * grid[1]
        out.append(motion.Operation(op.kind, tuple(steps), note_of(op), clear))
    off = replace(state, spindle=None, coolant=False)
    out[-1] = replace(out[-1], steps=(*out[-1].steps, SpindleChange(home, off), End(home, off)))
    return tuple(out)


def leaves(op: Operation, then: Planned, machine: Machine) -> bool:
    """Whether the tool goes to the change point after the operation: another follows, or a person has work to do."""
    if tool_of(then) is not op.tool:
        return True
    return (
        isinstance(then, Operation)
        and set_speed.by_hand(machine)
        and set_speed.speed_of(then) != set_speed.speed_of(op)
    )


def come(here: Point, start: Point, home: Point, state: State) -> list[motion.Step]:
    """To where an operation begins, from the change point by the way that led from there to it."""
    return [Rapid(m.end, m.start, state) for m in reversed(retreat(start, home, state))] if here != start else []


def by_hand_kind(op: ByHand) -> str:
    """What stands in the heading of work by hand."""
    return f"{op.kind} by hand"


def tool_of(op: Planned) -> Tool | None:
    """The tool of an operation; None for what is done by hand."""
    return None if isinstance(op, ByHand) else op.tool


def tools_of(planned: Sequence[Planned]) -> tuple[Tool, ...]:
    """The tools that are used, by their numbers."""
    used = {op.tool.number: op.tool for op in planned if isinstance(op, Operation)}
    return tuple(t for _, t in sorted(used.items()))


def grid_of(machine: Machine) -> Grid:
    """Steps of z and of x as a radius, mm: X is printed as a diameter."""
    return (machine.resolution, machine.resolution / 2.0)


def state_of(op: Operation, machine: Machine) -> State:
    """Spindle and feed of an operation, rounded down to what a control is told."""
    sense = Sense(sense_of(op.tool, machine))
    # On the axis there is no surface speed to hold, and a thread is cut in step with a speed that stays.
    if machine.constant_surface_speed and not isinstance(op.data, HoleData | ThreadData):
        spindle = Spindle(
            sense, surface=max(1.0, math.floor(op.data.surface.value)), limit_rpm=math.floor(op.data.limit_rpm.value)
        )
    else:
        spindle = Spindle(sense, rpm=set_speed.speed_of(op))
    return State(op.tool.number, op.tool.offset, spindle, feed_of(op, 1.0), False, op.kind)


def feed_of(op: Operation, share: float) -> Feed:
    value = math.floor(op.data.feed.value * share / LEAST_FEED + 1e-9) * LEAST_FEED
    return Feed(FeedMode.PER_TURN, max(value, LEAST_FEED))


def change_speed(off: State, working: State, at: Point, *, machine: Machine) -> list[motion.Step]:
    """Spindle off, stop naming the speed to set, spindle on, run-up. off: `working` with the spindle standing"""
    assert working.spindle
    does = f"{set_speed.told(machine, working.spindle.rpm)}; hands clear before going on"
    return [
        SpindleChange(at, off),
        Stop(does, at, off),
        SpindleChange(at, working),
        Dwell(machine.spindle_up_s, at, working),
    ]


def change_tool(
    op: Operation, working: State, at: Point, *, request: Request, before: Tool | None, speed: float, z_set: bool
) -> list[motion.Step]:
    """Spindle off, stop naming the tool, tool call, spindle on, run-up: the fixed sequence of a change by hand.

    before: the tool in its place; None: it is the program's first one, which shows with the spindle off where it goes
    speed: 1/min that a person sets meanwhile, 0 for none; z_set: Z has just been set with this tool
    """
    machine = request.machine
    off = State(operation=op.kind)
    called = replace(working, spindle=None, coolant=False)
    name = f"T{op.tool.number} {op.tool.name}"
    chuck = request.drawer.refitted(op.tool.number)
    fit = f"fit {name} into the {chuck}" if chuck else f"fit {name}"
    if machine.tool_change != "hand" and request.offsets and not chuck:
        fit = f"{NEXT} {name}"  # it is in its place already
    jumped, way = gang.across(before, op.tool, at, called) if gang.is_gang(machine) else (at, [])
    also = f"; {set_speed.told(machine, speed)}" if speed else ""
    steps: list[motion.Step] = [SpindleChange(at, off)]
    if not request.offsets:
        anew = set_anew(op.tool, x_diameter=request.x_diameter, end=request.end, z_set=z_set)
        back = f"then back to X{_across(at, request):.3f} Z{at[0]:.3f}"
        steps.append(Stop(f"{fit}; set zero anew: {anew}; {back}{also}; hands clear before going on", at, off))
    elif machine.tool_change == "hand" or request.stop_before_tools or chuck:
        # A drill that is put back never stands quite where it stood.
        again = ", as deep as it was touched off, or touch it off anew" if chuck else ""
        steps.append(Stop(f"{fit}{again}{also}; hands clear before going on", at, off))
    elif speed:
        steps.append(Stop(f"{set_speed.told(machine, speed)}; hands clear before going on", at, off))
    return [
        *steps,
        ToolCall(jumped, called, name),
        *way,
        *(first_moves(op.tool, called, at, request) if before is None else ()),
        SpindleChange(at, working),
        Dwell(machine.spindle_up_s, at, working),
    ]


def _across(p: Point, request: Request) -> float:
    """The place along X as the control reads it, mm."""
    return p[1] * (2.0 if request.x_diameter else 1.0)


def retreat(here: Point, home: Point, state: State) -> list[Rapid]:
    """Away from the axis first, then along it to the change point; nothing when already there."""
    up = (here[0], home[1])
    return [Rapid(a, b, state) for a, b in ((here, up), (up, home)) if a != b]


def moves_of(legs: Legs, state: State, grid: Grid, *, tool: Tool) -> list[motion.Step]:
    """Each leg as a move, its ends on the control's last digit; legs that vanish are left out.

    tool: whose nose the control compensates for where a leg says so
    """
    out: list[motion.Step] = []
    full = state.feed.value if state.feed else 0.0
    for leg in legs:
        e = rounded(leg.path, grid)
        if leg.turns and state.spindle:
            out.append(Dwell(60.0 * leg.turns / rpm_at(state.spindle, leg.path.b[1]), snap(leg.path.b, grid), state))
        if e is None:
            continue
        if leg.pace is Pace.RAPID:
            out.append(Rapid(e.a, e.b, state))
            continue
        if leg.pace is Pace.THREAD:
            out.append(ThreadCut(e.a, e.b, leg.lead, replace(state, feed=None)))
            continue
        slower = max(math.floor(full * leg.share / LEAST_FEED + 1e-9) * LEAST_FEED, LEAST_FEED)
        feeding = state if leg.share == 1.0 else replace(state, feed=Feed(FeedMode.PER_TURN, slower))
        if leg.side:
            feeding = replace(feeding, compensation=Compensation(leg.side, tool.nose_radius, tool.tip))
        if isinstance(e, Arc):
            out.append(ArcCut(e.a, e.b, e.centre, e.sweep > 0.0, feeding))
        elif isinstance(e, Line):
            out.append(Cut(e.a, e.b, feeding))
    return out


def rpm_at(spindle: Spindle, x: float) -> float:
    """Turns a minute with the point at radius x, mm."""
    if not spindle.surface:
        return spindle.rpm
    return min(spindle.limit_rpm, 1000.0 * spindle.surface / (2.0 * math.pi * max(abs(x), 1e-6)))


def note_of(op: Operation) -> str:
    """What is cut with, in a line; the feed is the one that the program states."""
    cuts = f"{op.passes} cuts of at most {op.depth:.2f} mm" if op.passes > 1 else f"depth {op.depth:.2f} mm"
    return f"T{op.tool.number}: {cuts}, feed {feed_of(op, 1.0).value:.3f} mm a turn"
