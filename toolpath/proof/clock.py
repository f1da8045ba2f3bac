"""How long a program takes: trapezoids of speed on every move, feed per turn at whatever the spindle turns.

A feed move slows at a bend to the speed at which the corner could be rounded by `BEND` (junction speed of small
controls, from memory), in a curve to what its acceleration can bend, and to rest where anything but
a feed move follows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from toolpath.motion import ArcCut, Cut, Dwell, FeedMode, Point, Program, Rapid, Spindle, SpindleChange, Step, ToolCall
from toolpath.proof.tracks import directions, sweep_of

if TYPE_CHECKING:
    from toolpath.shop.machine import Machine

BEND = 0.01  # mm
STRAIGHT = 1e-6  # rad: a bend below is none
CURVE_STEPS = 64  # even number, Simpson's rule over an arc


@dataclass(frozen=True, slots=True)
class Leg:
    """A feed move to be timed. base: seconds without ramps; enters, leaves: mm/s at its ends, without ramps."""

    length: float
    accel: float
    base: float
    enters: float
    leaves: float


def seconds(program: Program, machine: Machine) -> list[list[float]]:
    """Seconds of every step, by operation. A step that can not be timed (no feed, spindle off) takes none."""
    steps = [s for op in program.operations for s in op.steps]
    out = [0.0] * len(steps)
    feeds: list[int] = []
    turning, waited, tool = False, 0.0, 0
    for i, step in enumerate(steps):
        if isinstance(step, Cut | ArcCut):
            feeds.append(i)
            continue
        _time_feeds(steps, feeds, out, machine)
        feeds.clear()
        if isinstance(step, Rapid):
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
    _time_feeds(steps, feeds, out, machine)
    cuts = np.cumsum([0] + [len(op.steps) for op in program.operations])
    return [out[a:b] for a, b in pairwise(cuts)]


def trapezoid(length: float, speed: float, accel: float, *, enters: float = 0.0, leaves: float = 0.0) -> float:
    """Seconds for `length` (mm) at `speed` (mm/s) with ramps of `accel` (mm/s2) from `enters` and to `leaves`."""
    if (2.0 * speed**2 - enters**2 - leaves**2) / (2.0 * accel) <= length:
        return length / speed + ((speed - enters) ** 2 + (speed - leaves) ** 2) / (2.0 * accel * speed)
    peak = math.sqrt(accel * length + (enters**2 + leaves**2) / 2.0)
    return (2.0 * peak - enters - leaves) / accel


def rapid_seconds(start: Point, end: Point, machine: Machine) -> float:
    """Seconds of a straight traverse from rest to rest: both axes arrive together, neither above its own limits."""
    length = math.dist(start, end)
    if length == 0.0:
        return 0.0
    uz, ux = abs(end[0] - start[0]) / length, abs(end[1] - start[1]) / length
    speed = _shared(machine.rapid_z / 60.0, machine.rapid_x / 60.0, along=(uz, ux))
    return trapezoid(length, speed, _shared(machine.accel_z, machine.accel_x, along=(uz, ux)))


def corner_speed(bend: float, accel: float) -> float:
    """Greatest speed, mm/s, through a bend of `bend` rad (0 straight on): sqrt(a d s / (1 - s)), s = sin(half the angle
    between the legs), d = BEND. From memory; 90 deg at 200 mm/s2 gives 2.197 mm/s."""
    s = math.sin((math.pi - bend) / 2.0)
    return math.inf if bend < STRAIGHT else math.sqrt(accel * BEND * s / (1.0 - s))


def rpm_at(spindle: Spindle, x: float, *, most: float = math.inf) -> float:
    """Turns a minute with the point at radius x, mm: n = 1000 v / (pi D), up to the stated limit and `most`."""
    if not spindle.surface:
        return min(spindle.rpm, most)
    cap = min(spindle.limit_rpm or math.inf, most)
    return min(1000.0 * spindle.surface / (2.0 * math.pi * abs(x)), cap) if x else cap


def per_turn_seconds(move: Cut | ArcCut, *, most: float) -> float:
    """Seconds of a move at feed per turn without ramps, the spindle never above `most` 1/min.

    dt = 60 ds / (f n). At constant surface speed 1/n grows with the radius until the limit holds: exact for straight
    moves (facing from D1 to D2 takes pi (D1^2 - D2^2) / (4000 v f) min), by Simpson's rule for arcs.
    """
    assert move.state.feed and move.state.spindle
    spindle, feed, length = move.state.spindle, move.state.feed.value, _length(move)
    if not spindle.surface:
        return 60.0 * length / (feed * min(spindle.rpm, most))
    k = 1000.0 * spindle.surface / (2.0 * math.pi)
    least = k / min(spindle.limit_rpm or math.inf, most)  # radius below which the limit holds
    x0, x1 = move.start[1], move.end[1]
    if isinstance(move, ArcCut):
        mean = _mean_over_arc(move, least)
    elif abs(x1 - x0) < 1e-9:
        mean = max(abs(x0), least)
    else:
        mean = (_area(x1, least) - _area(x0, least)) / (x1 - x0)
    return 60.0 * length * mean / (feed * k)


def _area(x: float, least: float) -> float:
    """Integral of max(|u|, least) over u from 0 to x."""
    u = abs(x)
    return math.copysign(least * u if u < least else (least**2 + u**2) / 2.0, x)


def _mean_over_arc(move: ArcCut, least: float) -> float:
    sweep, radius = sweep_of(move), math.dist(move.start, move.centre)
    start = math.atan2(move.start[1] - move.centre[1], move.start[0] - move.centre[0])
    x = move.centre[1] + radius * np.sin(start + sweep * np.linspace(0.0, 1.0, CURVE_STEPS + 1))
    weights = np.tile([2.0, 4.0], CURVE_STEPS // 2 + 1)[: CURVE_STEPS + 1]
    weights[[0, -1]] = 1.0
    return float(np.sum(weights * np.maximum(np.abs(x), least)) / (3.0 * CURVE_STEPS))


def _leg(move: Step, machine: Machine) -> Leg | None:
    """The move made ready for timing; None when nothing says how fast it goes."""
    assert isinstance(move, Cut | ArcCut)
    feed, spindle, length = move.state.feed, move.state.spindle, _length(move)
    if feed is None or length == 0.0 or (feed.mode is FeedMode.PER_TURN and spindle is None):
        return None
    accel, most = min(machine.accel_z, machine.accel_x), machine.max_feed / 60.0
    if isinstance(move, ArcCut):
        most = min(most, math.sqrt(accel * math.dist(move.start, move.centre)))
    else:
        (uz, ux), _ = directions(move)
        accel = _shared(machine.accel_z, machine.accel_x, along=(abs(uz), abs(ux)))
    if feed.mode is FeedMode.PER_MINUTE or spindle is None:
        speed = min(feed.value / 60.0, most)
        return Leg(length, accel, length / speed, speed, speed)
    turns = min(machine.max_rpm, 60.0 * most / feed.value)
    enters, leaves = (feed.value / 60.0 * rpm_at(spindle, p[1], most=turns) for p in (move.start, move.end))
    return Leg(length, accel, per_turn_seconds(move, most=turns), enters, leaves)


def _time_feeds(steps: Sequence[Step], feeds: Sequence[int], out: list[float], machine: Machine) -> None:
    """Times feed moves that follow each other without rest."""
    timed = [(i, leg) for i in feeds if (leg := _leg(steps[i], machine))]
    if not timed:
        return
    legs = [leg for _, leg in timed]
    joints = [0.0, *(_joint(steps[i], steps[j], p, q) for (i, p), (j, q) in pairwise(timed)), 0.0]
    for k, leg in enumerate(legs):
        joints[k + 1] = min(joints[k + 1], math.sqrt(joints[k] ** 2 + 2.0 * leg.accel * leg.length))
    for k in range(len(legs) - 1, -1, -1):
        joints[k] = min(joints[k], math.sqrt(joints[k + 1] ** 2 + 2.0 * legs[k].accel * legs[k].length))
    for k, (i, leg) in enumerate(timed):
        out[i] = _with_ramps(leg, joints[k], joints[k + 1])


def _joint(before: Step, after: Step, p: Leg, q: Leg) -> float:
    """Greatest speed from one feed move into the next."""
    assert isinstance(before, Cut | ArcCut) and isinstance(after, Cut | ArcCut)
    u, w = directions(before)[1], directions(after)[0]
    bend = abs(math.atan2(u[0] * w[1] - u[1] * w[0], u[0] * w[0] + u[1] * w[1]))
    return min(p.leaves, q.enters, corner_speed(bend, min(p.accel, q.accel)))


def _with_ramps(leg: Leg, enters: float, leaves: float) -> float:
    a, v0, v1 = leg.accel, leg.enters, leg.leaves
    if (v0**2 - enters**2 + v1**2 - leaves**2) / (2.0 * a) <= leg.length:
        return leg.base + (v0 - enters) ** 2 / (2.0 * a * v0) + (v1 - leaves) ** 2 / (2.0 * a * v1)
    return trapezoid(leg.length, max(v0, v1), a, enters=enters, leaves=leaves)


def _length(move: Cut | ArcCut) -> float:
    if isinstance(move, ArcCut):
        return math.dist(move.start, move.centre) * abs(sweep_of(move))
    return math.dist(move.start, move.end)


def _shared(z: float, x: float, *, along: tuple[float, float]) -> float:
    """Greatest rate along a direction when each axis has its own limit."""
    return min(limit / share for limit, share in zip((z, x), along, strict=True) if share > 1e-12)
