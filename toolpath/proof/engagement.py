"""How much of each cutting move is spent in metal."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from msgspec import Struct

from toolpath.geometry.elements import Arc
from toolpath.motion import ArcCut, Move
from toolpath.proof.flatten import Array, Flags, Geometry, Indices
from toolpath.proof.sweep import Convex, fronts
from toolpath.proof.tracks import Run, sweep_of

STEP = 0.5  # mm between places where the front is tried
MOST_STEPS = 24  # places in one move, at most
PARTS = 8  # of the stretch in which metal begins or ends


class Ways(Struct, frozen=True):
    """Each move of a run as start + share * step, or on an arc as centre, radius, and angle + share * sweep.

    All (m, ...); sweep is 0 and radius NaN for straight moves, whose angle is that of travel.
    """

    start: Array
    step: Array
    radius: Array
    angle: Array
    sweep: Array
    length: Array

    @classmethod
    def of(cls, moves: list[Move]) -> Ways:
        start, end = np.array([m.start for m in moves]), np.array([m.end for m in moves])
        step = end - start
        angle, length = np.arctan2(step[:, 1], step[:, 0]), np.hypot(step[:, 0], step[:, 1])
        radius, sweep = np.full(len(start), np.nan), np.zeros(len(start))
        for i, move in enumerate(moves):
            if isinstance(move, ArcCut):
                arc = Arc(move.start, move.end, move.centre, sweep_of(move))
                start[i], radius[i], sweep[i] = move.centre, arc.radius, arc.sweep
                angle[i], length[i] = arc.start_angle, arc.length
        return cls(start, step, radius, angle, sweep, length)

    def at(self, move: Indices, share: Array) -> tuple[Array, Array]:
        """Places (k, 2) and directions of travel (k,), rad."""
        angle, sweep = self.angle[move] + share * self.sweep[move], self.sweep[move]
        step = share[:, None] * self.step[move]
        if (curved := sweep != 0.0).any():
            out = self.radius[move][curved, None] * np.stack([np.cos(angle[curved]), np.sin(angle[curved])], axis=1)
            step[curved] = out
            angle = angle + np.sign(sweep) * (math.pi / 2.0)
        return self.start[move] + step, angle


def shares(cuts: Sequence[tuple[Run, Geometry]], core: Convex) -> list[Array]:
    """For each move of each run of cuts, the share (0 to 1) of its length with metal before the tool's front.

    cuts: runs, each with the one geometry that stands before it, prepared. The front is that of the tool less the
    contact tolerance, so that rubbing along a finished surface counts as air.
    """
    sizes = [len(run.moves) for run, _ in cuts]
    stock = np.repeat(np.array([s for _, s in cuts], dtype=object), sizes)  # before each move
    ways = Ways.of([m for run, _ in cuts for m in run.moves])
    count = np.clip(np.ceil(ways.length / STEP), 1, MOST_STEPS).astype(np.int64)
    owner = np.repeat(np.arange(len(count)), count + 1)
    at = (np.arange(len(owner)) - (np.cumsum(count + 1) - (count + 1))[owner]) / count[owner]
    hit = _in_metal(core, stock[owner], *ways.at(owner, at))
    inner = owner[:-1] == owner[1:]  # stretches between neighbouring places of one move
    low, high, move = at[:-1][inner], at[1:][inner], owner[:-1][inner]
    begins, ends = hit[:-1][inner], hit[1:][inner]
    part = (begins & ends).astype(np.float64)
    if len(flips := np.nonzero(begins != ends)[0]):
        between = (np.arange(PARTS) + 0.5) / PARTS
        places = low[flips, None] + between * (high - low)[flips, None]
        which = np.repeat(move[flips], PARTS)
        same = _in_metal(core, stock[which], *ways.at(which, places.ravel())).reshape(-1, PARTS)
        before = np.mean(same == begins[flips, None], axis=1)
        part[flips] = np.where(begins[flips], before, 1.0 - before)
    found = np.bincount(move, weights=part * (high - low), minlength=len(count))
    return np.split(found, np.cumsum(sizes)[:-1])


def _in_metal(core: Convex, stock: Geometry, places: Array, angles: Array) -> Flags:
    """Whether the tool's front crosses the stock there: (m,) geometries, (m, 2) places, (m,) directions."""
    return np.asarray(shapely.intersects(stock, fronts(core, places, angles)))
