"""The same program to be run with the spindle stopped and nothing in the chuck.

Feed per turn waits for a spindle that does not turn, so every feed becomes one per minute; the whole program stands off
along z by as much as it goes deep, and is never lifted in x: what it shows is where the tool goes across.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Point
from toolpath.motion import (
    ArcCut,
    Cut,
    Feed,
    FeedMode,
    Operation,
    Program,
    Rapid,
    SpindleChange,
    State,
    Step,
    Stop,
    ThreadCut,
)
from toolpath.plan.steps import NEXT, rpm_at
from toolpath.shop.machine import Machine
from toolpath.shop.tools import Tool

MOVES = (Rapid, Cut, ArcCut, ThreadCut)

DRY = "DRY RUN:"  # how its header begins

NOTES = (
    f"{DRY} nothing in the chuck, spindle stopped. Feeds are per minute.",
    "Watch that every move goes where you expect it, one hand at the stop.",
)


def dry_run(program: Program, machine: Machine, *, nose_z: float, tools: Iterable[Tool]) -> Program:
    """The program as a dry run. CannotMake when the machine has not the travel for it, or its tailstock is in the way.

    nose_z: of the hold, where the program's zero is; tools: those of the program
    """
    shift = stand_off(program, machine)
    _refuse_travel(program, shift, machine)
    room = _room(program, shift, {t.number: t for t in tools}) - nose_z
    _refuse_tailstock(room, machine)
    operations = tuple(_operation(op, shift, program.home, machine=machine) for op in program.operations)
    home = None if program.home is None else (program.home[0] + shift, program.home[1])
    note = f"Everything stands {shift:.3f} mm farther out along Z than in the program itself."
    notes = (*NOTES, note, *_tailstock(room, machine))
    return replace(program, header=(*notes, *program.header), operations=operations, home=home)


def stand_off(program: Program, machine: Machine) -> float:
    """How far along +z the program is moved, mm: its deepest place then lies a clearance before Z0."""
    deepest = min((min(s.start[0], s.end[0]) for s in program.steps if isinstance(s, MOVES)), default=0.0)
    return max(0.0, machine.clearance - deepest)


def _refuse_travel(program: Program, shift: float, machine: Machine) -> None:
    places = [p[0] for s in program.steps if isinstance(s, MOVES) for p in (s.start, s.end)]
    # The deepest place of the program itself is the nearest to the chuck that is known to be reached.
    needs = max(places, default=0.0) + shift - min(places, default=0.0)
    if machine.travel_z and needs > machine.travel_z:
        raise CannotMake(
            f"a dry run stands {shift:.1f} mm farther out and takes {needs:.1f} mm of travel along Z, the machine has "
            f"{machine.travel_z:g}. Run the program itself with the chuck empty and the spindle stopped at its switch"
        )


def _room(program: Program, shift: float, tools: Mapping[int, Tool]) -> float:
    """z up to which tools and what carries them go, mm."""
    ahead = {
        n: max((e.bounds()[2] for chain in (t.outline, *t.holder) for e in chain), default=0.0)
        for n, t in tools.items()
    }
    moves = (s for s in program.steps if isinstance(s, MOVES))
    return max((max(s.start[0], s.end[0]) + ahead.get(s.state.tool, 0.0) + shift for s in moves), default=0.0)


def _refuse_tailstock(room: float, machine: Machine) -> None:
    if machine.tailstock and 0.0 < machine.tailstock_room < room:
        raise CannotMake(
            f"a dry run goes out to {room:.0f} mm from the nose of the hold, and the tailstock, pushed back, leaves "
            f"{machine.tailstock_room:g} mm (tailstock_room in the machine file). Take it off the bed and say "
            "tailstock = false for this run, or run the program itself with the chuck empty and the spindle stopped"
        )


def _tailstock(room: float, machine: Machine) -> tuple[str, ...]:
    """What is to be done with a tailstock."""
    if not machine.tailstock:
        return ()
    return (f"Tailstock: off the bed, or pushed back until {room:.0f} mm are free from the nose of the hold.",)


def _operation(op: Operation, shift: float, home: Point | None, *, machine: Machine) -> Operation:
    told = (_only_told(s, shift, home) if isinstance(s, Stop) else s for s in op.steps)
    return replace(op, steps=tuple(s for s in (_step(s, shift, machine) for s in told) if s is not None))


def _only_told(stop: Stop, shift: float, home: Point | None) -> Stop:
    """A stop at which a hand would work tells what that would be: nothing is in the chuck to work on.

    home: where every stop is but the one of the first move, whose place is told as it lies in the dry run
    """
    if home is not None and stop.at != home:
        z, x = stop.at
        return replace(
            stop,
            text=f"dry run: the point must stand {x:g} mm from the axis and {z + shift:.1f} mm in front of Z0: check "
            "with a rule. If not, end here: units, X as diameter or radius, zero or offset are not what is meant",
        )
    if stop.state.operation and not stop.text.startswith(("fit ", NEXT)):
        return replace(stop, text=f"dry run, do nothing; with the work in the chuck this would be: {stop.text}")
    return stop


def _step(step: Step, shift: float, machine: Machine) -> Step | None:
    if isinstance(step, SpindleChange) and step.state.spindle is not None:
        return None

    def out(p: Point) -> Point:
        return (p[0] + shift, p[1])

    if isinstance(step, ArcCut):
        state = _state(step.state, step.end[1], machine)
        return replace(step, start=out(step.start), end=out(step.end), centre=out(step.centre), state=state)
    if isinstance(step, Rapid | Cut):
        return replace(step, start=out(step.start), end=out(step.end), state=_state(step.state, step.end[1], machine))
    if isinstance(step, ThreadCut):
        return Cut(out(step.start), out(step.end), _threading(step, machine), step.line)
    return replace(step, at=out(step.at), state=_state(step.state, step.at[1], machine))


def _threading(step: ThreadCut, machine: Machine) -> State:
    """The state of a thread pass at the pace it would have."""
    spindle = step.state.spindle
    rate = step.lead * rpm_at(spindle, step.end[1]) if spindle else 1.0
    feed = Feed(FeedMode.PER_MINUTE, max(1.0, float(int(min(rate, machine.max_feed)))))
    return replace(step.state, spindle=None, coolant=False, feed=feed)


def _state(state: State, x: float, machine: Machine) -> State:
    """The state with the spindle stopped and the feed that it would have had, per minute."""
    feed = state.feed
    if feed is not None and feed.mode is FeedMode.PER_TURN and state.spindle is not None:
        rate = min(feed.value * rpm_at(state.spindle, x), machine.max_feed)
        feed = Feed(FeedMode.PER_MINUTE, max(1.0, float(int(rate))))
    return replace(state, spindle=None, coolant=False, feed=feed)
