"""How much of each cutting move is spent in metal."""

from __future__ import annotations

import math

import numpy as np
import shapely

from toolpath.geometry.elements import Arc
from toolpath.motion import ArcCut
from toolpath.proof.sweep import Array, Convex, Flags, Geometry, Indices, fronts
from toolpath.proof.tracks import Run, sweep_of

STEP = 0.5  # mm between places where the front is tried
MOST_STEPS = 32  # places in one move, at most
HALVINGS = 6  # of the stretch in which metal begins or ends


def shares(run: Run, core: Convex, stock: Geometry) -> Array:
    """For each move of a run of cuts, the share (0 to 1) of its length with metal before the tool's front.

    stock: what stands before the run, prepared. The front is that of the tool less the contact tolerance, so that
    rubbing along a finished surface counts as air.
    """
    count = np.array([_places(_length(m)) for m in run.moves])
    owner = np.repeat(np.arange(len(count)), count + 1)
    first = np.cumsum(count + 1) - (count + 1)
    at = (np.arange(len(owner)) - first[owner]) / count[owner]
    hit = _in_metal(run, core, stock, owner, at)
    inner = owner[:-1] == owner[1:]  # stretches between neighbouring places of one move
    low, high, move = at[:-1][inner], at[1:][inner], owner[:-1][inner]
    begins, ends = hit[:-1][inner], hit[1:][inner]
    part = np.where(begins & ends, 1.0, np.where(begins | ends, 0.5, 0.0))
    flips = np.nonzero(begins != ends)[0]
    if len(flips):
        a, b = low[flips], high[flips]
        for _ in range(HALVINGS):
            middle = (a + b) / 2.0
            same = _in_metal(run, core, stock, move[flips], middle) == begins[flips]
            a, b = np.where(same, middle, a), np.where(same, b, middle)
        before = ((a + b) / 2.0 - low[flips]) / (high[flips] - low[flips])
        part[flips] = np.where(begins[flips], before, 1.0 - before)
    return np.asarray(np.bincount(move, weights=part * (high - low), minlength=len(count)), dtype=np.float64)


def _length(move: object) -> float:
    if isinstance(move, ArcCut):
        return math.dist(move.start, move.centre) * abs(sweep_of(move))
    return math.dist(move.start, move.end)  # type: ignore[attr-defined]


def _places(length: float) -> int:
    return min(MOST_STEPS, max(1, math.ceil(length / STEP)))


def _in_metal(run: Run, core: Convex, stock: Geometry, owner: Indices, at: Array) -> Flags:
    """Whether the tool's front crosses the stock, for move `owner` at share `at` of its way."""
    moves = run.moves
    starts, ends = np.array([m.start for m in moves])[owner], np.array([m.end for m in moves])[owner]
    places = starts + at[:, None] * (ends - starts)
    angles = np.arctan2(ends[:, 1] - starts[:, 1], ends[:, 0] - starts[:, 0])
    for i, move in enumerate(moves):
        if isinstance(move, ArcCut):
            mine = np.nonzero(owner == i)[0]
            arc = Arc(move.start, move.end, move.centre, sweep_of(move))
            turned = arc.start_angle + arc.sweep * at[mine]
            places[mine] = np.array(move.centre) + arc.radius * np.stack([np.cos(turned), np.sin(turned)], axis=1)
            angles[mine] = turned + math.copysign(math.pi / 2.0, arc.sweep)
    return np.asarray(shapely.intersects(stock, fronts(core, places, angles)))
