"""A program in the meanings that a control has words for, before it is written.

What has no word but has an exact way around it is said that way: feed per turn at a fixed speed as feed per minute,
rounded down; arcs as shorter arcs or as chords; a tool that no word calls as a stop at which it is fitted. What has no
way around stays, and the writer refuses it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from msgspec.structs import replace

from posts.arc_words import NOISE
from posts.dialect import Dialect
from toolpath.errors import CannotMake
from toolpath.geometry.elements import arc_about
from toolpath.motion import (
    ArcCut,
    Cut,
    Feed,
    FeedMode,
    Move,
    Operation,
    Point,
    Program,
    State,
    Step,
    Stop,
    ThreadCut,
    ToolCall,
)

QUARTER = math.pi / 2.0
"""rad: longest arc that is written by its radius. Rounding of R moves the centre by 1.5 last digits at most; towards
half a turn it would move it by any amount (NISTIR 6556 advises against 165 to 195 degrees)."""


def fitted(program: Program, dialect: Dialect) -> Program:
    """The program as `dialect` can say it. CannotMake where feed per turn has no fixed speed to go by, or a thread
    would be left on a ramp that the control does not cut in step with it.
    """
    _refuse_ramps(program, dialect)
    operations = tuple(_operation(op, program.inch, dialect) for op in program.operations)
    return program if operations == program.operations else replace(program, operations=operations)


def _operation(operation: Operation, inch: bool, dialect: Dialect) -> Operation:
    steps: list[Step] = []
    for step in operation.steps:
        if not dialect.tool.call:
            steps += _by_hand(step, steps)
        else:
            steps.append(step)
    if "per_turn" not in dialect.words:
        steps = [replace(s, state=_per_minute(s, inch, dialect)) for s in steps]
    if dialect.arcs.form != "centre":
        steps = [part for s in steps for part in (_parts(s, dialect) if isinstance(s, ArcCut) else (s,))]
    return replace(operation, steps=tuple(steps))


def _refuse_ramps(program: Program, dialect: Dialect) -> None:
    if dialect.thread.continues or "thread" not in dialect.words:
        return
    for step, after in pairwise(program.steps):
        if isinstance(step, ThreadCut) and isinstance(after, ThreadCut):
            raise CannotMake(
                f"the dialect {dialect.name} waits for the index mark before every threading move, and this thread is "
                "left on a ramp, by a second one. Give the thread a relief to run out in, or write continues = true "
                "under [thread] of the dialect's file if the control goes on in step"
            )


# -- tools ---------------------------------------------------------------------------------------------------------


def _by_hand(step: Step, before: list[Step]) -> list[Step]:
    """The step without an offset, a call behind a stop that lets a person fit the tool and set zero."""
    bare = replace(step, state=replace(step.state, offset=0))
    if not isinstance(step, ToolCall) or (before and isinstance(before[-1], Stop) and not before[-1].optional):
        return [bare]
    still = replace(bare.state, tool=before[-1].state.tool if before else 0, spindle=None)
    text = f"fit {step.text or f'T{step.state.tool}'} and set its zero; hands clear before going on"
    return [Stop(text, step.at, still), bare]


# -- feeds ---------------------------------------------------------------------------------------------------------


def _per_minute(step: Step, inch: bool, dialect: Dialect) -> State:
    """The state with feed per minute, rounded down to the last digit that is written."""
    feed, spindle = step.state.feed, step.state.spindle
    if feed is None or feed.mode is FeedMode.PER_MINUTE:
        return step.state
    if spindle is None or not spindle.rpm:
        if isinstance(step, Cut | ArcCut):
            raise CannotMake(
                f"the dialect {dialect.name} has no word for 'per turn', and without a fixed speed feed per turn is "
                "none per minute; use fixed speeds, or give per_turn under [words] if the control has it"
            )
        return replace(step.state, feed=None)
    unit = (25.4 if inch else 1.0) / 10 ** dialect.numbers(inch=inch).per_minute
    digits = math.floor(feed.value * spindle.rpm / unit + 1e-6)
    if digits < 1:
        raise CannotMake(f"a feed of {feed.value:g} mm per turn at {spindle.rpm:g} rpm is less than the last digit")
    return replace(step.state, feed=Feed(FeedMode.PER_MINUTE, digits * unit))


# -- arcs ----------------------------------------------------------------------------------------------------------


def _parts(arc: ArcCut, dialect: Dialect) -> Iterator[Move]:
    """The arc as shorter arcs, or as chords, its ends kept."""
    chords = dialect.arcs.form == "chords"
    if chords and arc.state.compensation:
        raise CannotMake(f"the dialect {dialect.name} writes chords, which no control should compensate for the nose")
    radius = math.dist(arc.centre, arc.start)
    sweep = _sweep(arc)
    widest = 2.0 * math.acos(max(0.0, 1.0 - dialect.arcs.chord / radius)) if chords and radius else QUARTER
    count = max(1, math.ceil(abs(sweep) / widest - 1e-9))
    here = arc.start
    for k in range(1, count + 1):
        end = arc.end if k == count else _turned(arc.centre, arc.start, sweep * k / count)
        yield Cut(here, end, arc.state, arc.line) if chords else replace(arc, start=here, end=end)
        here = end


def _sweep(arc: ArcCut) -> float:
    if arc.start == arc.end:
        return math.tau if arc.ccw else -math.tau
    if math.dist(arc.start, arc.end) <= NOISE:
        return 0.0
    return arc_about(arc.centre, arc.start, arc.end, ccw=arc.ccw).sweep


def _turned(centre: Point, p: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    z, x = p[0] - centre[0], p[1] - centre[1]
    return (centre[0] + c * z - s * x, centre[1] + s * z + c * x)
