"""Feed moves made ready for timing: how long, how fast, which way, all moves of a stretch at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct

from toolpath.motion import ArcCut, FeedMode, State
from toolpath.proof.flatten import Array, Flags
from toolpath.proof.tracks import Feeding, directions, sweep_of

if TYPE_CHECKING:
    from toolpath.shop.machine import Machine

CURVE_STEPS = 64  # even number, Simpson's rule over an arc
TINY = 1e-12  # below it, a length, share or feed is none


class Legs(Struct, frozen=True):
    """Arrays over m moves. base: seconds without ramps; enters, leaves: mm/s at their ends, without ramps.

    into, leaving: unit directions (m, 2) at their ends; timed: False where nothing says how fast, or no way is made.
    """

    length: Array
    accel: Array
    base: Array
    enters: Array
    leaves: Array
    into: Array
    leaving: Array
    timed: Flags


class _Rates(Struct, frozen=True):
    """What states say, one value a move. value: mm/min or mm per turn; k: radius times turns a minute at constant
    surface speed, inf at fixed speed; cap: most turns a minute; per_turn, known: flags."""

    value: Array
    k: Array
    cap: Array
    per_turn: Flags
    known: Flags


def legs_of(moves: Sequence[Feeding], machine: Machine) -> Legs:
    """Feed moves that follow each other, ready for timing on a machine."""
    start, end = np.array([m.start for m in moves]), np.array([m.end for m in moves])
    step = end - start
    length = np.hypot(step[:, 0], step[:, 1])
    into = step / np.maximum(length, TINY)[:, None]
    leaving = into.copy()
    least = min(machine.accel_z, machine.accel_x)
    share = np.maximum(np.abs(into), TINY)
    accel = np.minimum(machine.accel_z / share[:, 0], machine.accel_x / share[:, 1])
    accel = np.where(length > TINY, accel, least)
    most = np.full(len(moves), machine.max_feed / 60.0)
    arcs = [i for i, m in enumerate(moves) if isinstance(m, ArcCut)]
    for i in arcs:
        arc = moves[i]
        assert isinstance(arc, ArcCut)
        radius = math.dist(arc.start, arc.centre)
        length[i], accel[i] = radius * abs(sweep_of(arc)), least
        into[i], leaving[i] = directions(arc)
        most[i] = min(most[i], math.sqrt(least * radius))
    rates = _rates(moves)
    turns = np.minimum(np.minimum(rates.cap, machine.max_rpm), 60.0 * most / np.maximum(rates.value, TINY))
    base, enters, leaves = _per_turn(moves, arcs, rates, length=length, turns=turns)
    steady = np.minimum(rates.value / 60.0, most)
    with np.errstate(divide="ignore", invalid="ignore"):
        base = np.where(rates.per_turn, base, length / steady)
    enters, leaves = (np.where(rates.per_turn, v, steady) for v in (enters, leaves))
    timed = rates.known & (length > TINY)
    zero = np.where(timed, 1.0, 0.0)
    return Legs(length, accel, base, enters * zero, leaves * zero, into, leaving, timed)


def _rates(moves: Sequence[Feeding]) -> _Rates:
    """Each state is looked at once; moves that share it share its values."""
    seen: dict[int, int] = {}
    rows: list[tuple[float, float, float, bool, bool]] = []
    which = []
    for m in moves:
        key = id(m.state)
        if key not in seen:
            seen[key] = len(rows)
            rows.append(_row(m.state))
        which.append(seen[key])
    table = np.array(rows, dtype=np.float64)[which]
    return _Rates(table[:, 0], table[:, 1], table[:, 2], table[:, 3] > 0.0, table[:, 4] > 0.0)


def _row(state: State) -> tuple[float, float, float, bool, bool]:
    feed, spindle = state.feed, state.spindle
    if feed is None:
        return (0.0, math.inf, math.inf, False, False)
    if feed.mode is FeedMode.PER_MINUTE:
        return (feed.value, math.inf, math.inf, False, True)
    if spindle is None:
        return (feed.value, math.inf, math.inf, True, False)
    if spindle.surface:
        k = 1000.0 * spindle.surface / (2.0 * math.pi)
        return (feed.value, k, spindle.limit_rpm or math.inf, True, True)
    return (feed.value, math.inf, spindle.rpm, True, True)


def _per_turn(
    moves: Sequence[Feeding], arcs: list[int], rates: _Rates, *, length: Array, turns: Array
) -> tuple[Array, Array, Array]:
    """(Seconds, speed at start, speed at end) of moves at feed per turn, never above `turns` 1/min.

    dt = 60 ds / (f n). At constant surface speed 1/n = |x| / k grows with the radius from where the limit no longer
    holds: exact for straight moves (facing from D1 to D2 takes pi (D1^2 - D2^2) / (4000 v f) min), by Simpson's rule
    for arcs.
    """
    x0, x1 = np.array([m.start[1] for m in moves]), np.array([m.end[1] for m in moves])
    surface = np.isfinite(rates.k)
    k = np.where(surface, rates.k, 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        least = np.where(surface, k / turns, 0.0)  # radius below which the limit holds
        level = np.abs(x1 - x0) < 1e-9
        rise = np.where(level, 1.0, x1 - x0)
        mean = np.where(level, np.maximum(np.abs(x0), least), (_area(x1, least) - _area(x0, least)) / rise)
        for i in arcs:
            mean[i] = _mean_over_arc(moves[i], float(least[i]))
        per_turn = np.where(surface, mean / k, 1.0 / turns)  # minutes in one turn, on average
        value = np.maximum(rates.value, TINY)
        first, last = (
            np.minimum(turns, np.where(surface, k / np.maximum(np.abs(x), TINY), np.inf)) * value / 60.0
            for x in (x0, x1)
        )
        return 60.0 * length * per_turn / value, first, last


def _area(x: Array, least: Array) -> Array:
    """Integral of max(|u|, least) over u from 0 to x."""
    u = np.abs(x)
    return np.sign(x) * np.where(u < least, least * u, (least**2 + u**2) / 2.0)


def _mean_over_arc(move: Feeding, least: float) -> float:
    """Mean of max(|x|, least) along an arc."""
    assert isinstance(move, ArcCut)
    sweep, radius = sweep_of(move), math.dist(move.start, move.centre)
    start = math.atan2(move.start[1] - move.centre[1], move.start[0] - move.centre[0])
    x = move.centre[1] + radius * np.sin(start + sweep * np.linspace(0.0, 1.0, CURVE_STEPS + 1))
    weights = np.tile([2.0, 4.0], CURVE_STEPS // 2 + 1)[: CURVE_STEPS + 1]
    weights[[0, -1]] = 1.0
    return float(np.sum(weights * np.maximum(np.abs(x), least)) / (3.0 * CURVE_STEPS))
