"""Comparisons in normal distance: where E is steep a harmless shift along u is a large step in v."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.oracles.dense import enclose
from tests.oracles.graphs import Floats, Lower, graphs, lower
from toolpath.geometry.elements import Chain


def misfit(keep: Chain, outlines: Sequence[Chain], us: Floats, claimed: Floats, *, tolerance: float) -> Floats:
    """How far claimed heights lie outside a band about the true E; 0 everywhere means that they agree.

    The band at u holds every (u + d, E(u + d) + e) with |d|, |e| <= tolerance, so it is a normal-distance test:
    anything farther than 1.5 * tolerance from the curve is outside the band. Where E is -inf the claim must be too,
    except within tolerance of the ends. Returned in mm of v; positive: too high, negative: too low (gouge).
    """
    shifts = np.array([-1.0, -0.5, -0.1, -0.01, 0.0, 0.01, 0.1, 0.5, 1.0]) * tolerance
    e = enclose(keep, outlines, (us[None, :] + shifts[:, None]).ravel())
    top = e.high.reshape(len(shifts), -1).max(axis=0) + tolerance
    bottom = e.low.reshape(len(shifts), -1).min(axis=0) - tolerance
    with np.errstate(invalid="ignore"):
        over, under = claimed - top, claimed - bottom
    return np.where(claimed > top, over, np.where(claimed < bottom, under, 0.0))


def depth(keep: Chain, outlines: Sequence[Chain], us: Floats, vs: Floats, *, step: float = 0.05) -> float:
    """Deepest that a point of keep stands inside the tool placed at any (u, v), mm, 0 when it is nowhere inside.

    Points of keep are taken every `step` mm, at all ends and at all points of vertical tangent, and every one's
    exact distance to the tool's surface (lower outline and the walls above its ends) is measured. It never exaggerates.
    """
    q = np.array(_sampled(keep, step))
    worst = 0.0
    for outline in outlines:
        t = lower(outline)
        s, h = q[None, :, 0] - us[:, None], q[None, :, 1] - vs[:, None]
        inside = h > t.height(s)
        if inside.any():
            worst = max(worst, float(surface_distance(t, s[inside], h[inside]).max()))
    return worst


def _sampled(keep: Chain, step: float) -> list[tuple[float, float]]:
    pts: list[tuple[float, float]] = []
    for e in keep:
        n = max(1, int(np.ceil(e.length / step)))
        pts += [e.point_at(k / n) for k in range(n + 1)]
        pts += [p for g in graphs(e) for p in ((g.u0, g.v0), (g.u1, g.v1))]
    return pts


def surface_distance(t: Lower, s: Floats, h: Floats) -> Floats:
    """Distance from points (s, h) to the closed-up tool's surface: its lower outline and the walls above its ends."""
    ends = ((t.left, t.pieces[0].v0), (t.right, t.pieces[-1].v1))
    best = np.full(np.shape(s), np.inf)
    for u, v in ends:
        best = np.minimum(best, np.hypot(s - u, np.minimum(0.0, h - v)))
    for g in t.pieces:
        if g.sense == 0:
            du, dv = g.u1 - g.u0, g.v1 - g.v0
            k = np.clip(((s - g.u0) * du + (h - g.v0) * dv) / (du * du + dv * dv), 0.0, 1.0)
            best = np.minimum(best, np.hypot(s - g.u0 - k * du, h - g.v0 - k * dv))
            continue
        middle = (g.w0 + g.w1) / 2.0
        turn = np.abs(np.remainder(np.arctan2(h - g.cv, s - g.cu) - middle + np.pi, 2.0 * np.pi) - np.pi)
        faces = turn <= abs(g.w1 - g.w0) / 2.0
        to_arc = np.abs(np.hypot(s - g.cu, h - g.cv) - g.r)
        to_ends = np.minimum(np.hypot(s - g.u0, h - g.v0), np.hypot(s - g.u1, h - g.v1))
        best = np.minimum(best, np.where(faces, to_arc, to_ends))
    return best


def apart(one: Chain, other: Chain) -> float:
    """Greatest distance of points of either path from the other path, mm (ends and inner points of every element)."""
    spots = (0.0, 0.01, 0.3, 0.5, 0.7, 0.99, 1.0)

    def farthest(a: Chain, b: Chain) -> float:
        return max(min(f.distance(e.point_at(k)) for f in b) for e in a for k in spots)

    return max(farthest(one, other), farthest(other, one))
