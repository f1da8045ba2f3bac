"""Brute force over positions: what a tool can touch without gouging, and what it leaves.

Positions stand on E (from `dense`) at every u of a fine grid, refined where E is steep by adding the grid's own
critical positions (an end of the tool over a vertex of keep). A finite set of positions can only leave more than
the truth, so a point reported as touched (within `tolerance`) is touched; the uncut area is an upper bound that
falls to the truth with the grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.oracles.dense import dense_envelope
from tests.oracles.graphs import Floats, lower, surface
from tests.oracles.slope import surface_distance
from toolpath.geometry.elements import Chain, Point


@dataclass(frozen=True, slots=True)
class Reach:
    """surface: upper boundary of keep at xs; closing: lowest the tool sweeps there (>= surface); area: mm2 uncut."""

    xs: Floats
    surface: Floats
    closing: Floats

    @property
    def area(self) -> float:
        gap = self.closing - self.surface
        return float(np.sum((gap[1:] + gap[:-1]) / 2.0 * np.diff(self.xs)))


def positions(keep: Chain, outlines: Sequence[Chain], count: int) -> Floats:
    """An even grid over every u where E is finite, and the critical positions with a hair to either side."""
    ts = [lower(o) for o in outlines]
    us = [p[0] for e in keep for p in (e.a, e.b)]
    first, last = min(us) - max(t.right for t in ts), max(us) - min(t.left for t in ts)
    spots = [s for t in ts for g in t.pieces for s in (g.u0, g.u1)]
    critical = np.subtract.outer(np.array(us), np.array(spots)).ravel()
    near = np.concatenate([critical - 1e-7, critical + 1e-7, critical - 1e-4, critical + 1e-4])
    grid = np.unique(np.concatenate([np.linspace(first, last, count), near]))
    return grid[(grid > first) & (grid < last)]


def swept(keep: Chain, outlines: Sequence[Chain], xs: Floats, us: Floats) -> Reach:
    """Closing at xs by the tool standing on E at every one of us. The first outline cuts, the others only limit."""
    e = dense_envelope(keep, outlines, us)
    t = lower(outlines[0])
    closing = np.array([np.min(t.height(x - us) + e) for x in xs])
    return Reach(xs, surface(keep, xs), closing)


def gaps(keep: Chain, outlines: Sequence[Chain], points: Sequence[Point], us: Floats) -> Floats:
    """Least distance from each point of keep's boundary to the (closed-up) first outline standing on E at any of us."""
    e = dense_envelope(keep, outlines, us)
    t = lower(outlines[0])
    return np.array([float(np.min(surface_distance(t, q[0] - us, q[1] - e))) for q in points])
