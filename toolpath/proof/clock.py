"""How long a program takes: trapezoids of speed on every move, feed per turn at whatever the spindle turns.

A feed move slows at a bend to the speed at which the corner could be rounded by `BEND` (junction speed of small
controls, from memory), in a curve to what its acceleration can bend, and to rest where anything but a feed move
follows. Speeds are in mm/s, accelerations in mm/s2.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from toolpath.motion import (
    Dwell,
    Operation,
    Point,
    Program,
    Rapid,
    Spindle,
    SpindleChange,
    Step,
    Stop,
    ThreadCut,
    ToolCall,
)
from toolpath.proof.feed_legs import Legs, legs_of
from toolpath.proof.flatten import Array, Flags
from toolpath.proof.tracks import FEEDS, Feeding

if TYPE_CHECKING:
    from toolpath.shop.machine import Machine

BEND = 0.01  # mm
STRAIGHT = 1e-6  # rad: a bend below is none


def seconds(program: Program, machine: Machine, *, by_hand: Collection[int] = ()) -> list[list[float]]:
    """Seconds of every step, by operation. A step that can not be timed (no feed, spindle off) takes none.

    by_hand: indices of the operations at whose stop a person works; other stops take no time of their own
    """
    steps = [s for op in program.operations for s in op.steps]
    out = [0.0] * len(steps)
    feeds = [i for i, s in enumerate(steps) if isinstance(s, FEEDS)]
    moves = [s for s in steps if isinstance(s, FEEDS)]
    for i, took in zip(feeds, feed_seconds(moves, machine, follows=np.diff(feeds) == 1), strict=True):
        out[i] = took
    turning, waited, tool = False, 0.0, 0
    for i, step in enumerate(steps):
        if isinstance(step, ThreadCut):
            out[i] = thread_seconds(step, machine, goes_on=[isinstance(s, ThreadCut) for s in _beside(steps, i)])
        elif isinstance(step, Rapid):
            out[i] = rapid_seconds(step.start, step.end, machine)
        elif isinstance(step, SpindleChange):
            starts = step.state.spindle is not None and not turning
            out[i] = machine.spindle_up_s if starts else 0.0
            turning = step.state.spindle is not None
        elif isinstance(step, Dwell):
            out[i] = max(0.0, step.seconds - waited)  # a dwell for run-up runs while the spindle does
        elif isinstance(step, ToolCall):
            out[i] = machine.change_seconds if tool and step.state.tool not in (0, tool) else 0.0
            tool = step.state.tool or tool
        waited = out[i] if isinstance(step, SpindleChange) else 0.0
    cuts = np.cumsum([0] + [len(op.steps) for op in program.operations]).tolist()
    times = [out[a:b] for a, b in pairwise(cuts)]
    for i in by_hand:
        if stop := hand_stop(program.operations[i]):
            times[i][stop[0]] += machine.hand_stop_seconds
    return times


def _beside(steps: Sequence[Step], i: int) -> tuple[Step | None, Step | None]:
    return (steps[i - 1] if i else None, steps[i + 1] if i + 1 < len(steps) else None)


def thread_seconds(move: ThreadCut, machine: Machine, *, goes_on: Sequence[bool]) -> float:
    """Seconds of a move in step with the spindle: its turns; where it starts from rest half a turn on average until the
    index mark comes; and half of each ramp, for there it runs at half its speed. It can not run faster or slower.

    goes_on: whether it goes on from such a move before it, and into one after it
    """
    spindle = move.state.spindle
    if spindle is None or not spindle.rpm or move.lead <= 0.0:
        return 0.0
    turn = 60.0 / spindle.rpm
    ramp = move.lead / turn / (2.0 * machine.accel_z)
    before, after = goes_on
    waits = (0.0 if before else turn / 2.0 + ramp) + (0.0 if after else ramp)
    return abs(move.end[0] - move.start[0]) / move.lead * turn + waits


def hand_stop(operation: Operation) -> tuple[int, Stop] | None:
    """The step at which the program surely waits for a person, with its index; None without one."""
    return next(((i, s) for i, s in enumerate(operation.steps) if isinstance(s, Stop) and s.sure), None)


def trapezoid(length: float, speed: float, accel: float, *, enters: float = 0.0, leaves: float = 0.0) -> float:
    """Seconds for `length` (mm) at `speed` with ramps of `accel` from `enters` and to `leaves`."""
    if (2.0 * speed**2 - enters**2 - leaves**2) / (2.0 * accel) <= length:
        return length / speed + ((speed - enters) ** 2 + (speed - leaves) ** 2) / (2.0 * accel * speed)
    peak = math.sqrt(accel * length + (enters**2 + leaves**2) / 2.0)
    return (2.0 * peak - enters - leaves) / accel


def rapid_seconds(start: Point, end: Point, machine: Machine) -> float:
    """Seconds of a straight traverse from rest to rest: both axes arrive together, neither above its own limits."""
    length = math.dist(start, end)
    if length == 0.0:
        return 0.0
    shares = (abs(end[0] - start[0]) / length, abs(end[1] - start[1]) / length)
    speed, accel = (
        min(limit / share for limit, share in zip(limits, shares, strict=True) if share > 1e-12)
        for limits in ((machine.rapid_z / 60.0, machine.rapid_x / 60.0), (machine.accel_z, machine.accel_x))
    )
    return trapezoid(length, speed, accel)


def corner_speeds(bend: Array, accel: Array) -> Array:
    """Greatest speed through bends (rad, 0 straight on): sqrt(a d s / (1 - s)), s = sin(half the angle between the
    legs), d = BEND. From memory; 90 deg at 200 mm/s2 gives 2.197 mm/s."""
    s = np.sin((np.pi - bend) / 2.0)
    with np.errstate(divide="ignore"):
        return np.where(bend < STRAIGHT, np.inf, np.sqrt(accel * BEND * s / (1.0 - s)))


def rpm_at(spindle: Spindle, x: float, *, most: float = math.inf) -> float:
    """Turns a minute with the point at radius x, mm: n = 1000 v / (pi D), up to the stated limit and `most`."""
    if not spindle.surface:
        return min(spindle.rpm, most)
    cap = min(spindle.limit_rpm or math.inf, most)
    return min(1000.0 * spindle.surface / (2.0 * math.pi * abs(x)), cap) if x else cap


def feed_seconds(moves: Sequence[Feeding], machine: Machine, *, follows: Flags) -> list[float]:
    """Seconds of feed moves. follows: for each but the first, whether it follows the one before without rest."""
    if not moves:
        return []
    legs = legs_of(moves, machine)
    joints = [0.0, *np.where(follows, _joints(legs), 0.0).tolist(), 0.0]
    gain = (2.0 * legs.accel * legs.length).tolist()  # what the square of the speed can change by
    for k, g in enumerate(gain):
        joints[k + 1] = min(joints[k + 1], math.sqrt(joints[k] ** 2 + g))
    for k in range(len(gain) - 1, -1, -1):
        joints[k] = min(joints[k], math.sqrt(joints[k + 1] ** 2 + gain[k]))
    return [float(t) for t in _with_ramps(legs, np.array(joints[:-1]), np.array(joints[1:]))]


def _joints(legs: Legs) -> Array:
    """Greatest speed from each leg into the next."""
    u, w = legs.leaving[:-1], legs.into[1:]
    bend = np.abs(np.arctan2(u[:, 0] * w[:, 1] - u[:, 1] * w[:, 0], np.sum(u * w, axis=1)))
    corner = corner_speeds(bend, np.minimum(legs.accel[:-1], legs.accel[1:]))
    return np.minimum(corner, np.minimum(legs.leaves[:-1], legs.enters[1:]))


def _with_ramps(legs: Legs, enters: Array, leaves: Array) -> Array:
    """Base times with what ramps cost; where a leg is too short for its speed, up to a peak and down again."""
    a, v0, v1 = legs.accel, legs.enters, legs.leaves
    with np.errstate(divide="ignore", invalid="ignore"):
        whole = legs.base + (v0 - enters) ** 2 / (2.0 * a * v0) + (v1 - leaves) ** 2 / (2.0 * a * v1)
    peak = np.sqrt(a * legs.length + (enters**2 + leaves**2) / 2.0)
    room = (v0**2 - enters**2 + v1**2 - leaves**2) / (2.0 * a) <= legs.length
    return np.where(legs.timed, np.where(room, whole, (2.0 * peak - enters - leaves) / a), 0.0)
