"""E(u) as the upper boundary of a shapely union: everywhere the reference point may not be.

The forbidden positions are keep plus the point-reflected tool (Minkowski sum). The tool is closed upwards, so its
reflection is closed downwards; each chord of keep gives the convex hull of two reflected tools, one at each end.
Chords deviate by at most `tolerance` from arcs of keep and of the tool, so the boundary is within twice that
(normal distance).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from tests.oracles.graphs import Floats, Lower, lower
from toolpath.geometry.elements import Chain, points_of


def union_envelope(keep: Chain, outlines: Sequence[Chain], us: Floats, tolerance: float = 1e-4) -> Floats:
    """E at each of us, within 2 * tolerance (normal distance); -inf where nothing is forbidden."""
    return upper_boundary(forbidden(keep, outlines, tolerance), us)


def forbidden(keep: Chain, outlines: Sequence[Chain], tolerance: float) -> shapely.Geometry:
    """The forbidden positions as one geometry, cut off far below."""
    pts = np.array(points_of(keep, tolerance))
    span = np.ptp(pts[:, 1]) + 10.0
    parts: list[shapely.Geometry] = []
    for outline in outlines:
        tool = _reflected(lower(outline), tolerance, span + max(np.ptp(points_of(outline, tolerance), axis=0)))
        placed = pts[:, None, :] + tool[None, :, :]
        both = np.concatenate([placed[:-1], placed[1:]], axis=1)
        parts += list(shapely.convex_hull(shapely.multipoints([shapely.points(b) for b in both])))
    return shapely.union_all(parts)


def _reflected(t: Lower, tolerance: float, far: float) -> np.ndarray:
    pts: list[tuple[float, float]] = [(t.left, far), (t.right, far)]
    for g in t.pieces:
        n = 1
        if g.sense and g.r > tolerance:
            n = max(1, int(np.ceil(abs(g.w1 - g.w0) / (2.0 * np.arccos(1.0 - tolerance / g.r)))))
        w = np.linspace(g.w0, g.w1, n + 1)[1:-1]
        inner = zip(g.cu + g.r * np.cos(w), g.cv + g.r * np.sin(w), strict=True)
        pts += [(g.u0, g.v0), *((float(u), float(v)) for u, v in inner), (g.u1, g.v1)]
    return -np.array(pts)


def upper_boundary(region: shapely.Geometry, us: Floats) -> Floats:
    """Greatest v of the region at each u; -inf where it has none."""
    out = np.full(len(us), -np.inf)
    for polygon in shapely.get_parts(region):
        ring = shapely.get_coordinates(shapely.get_exterior_ring(polygon))
        for (ua, va), (ub, vb) in pairwise(ring):
            if ua > ub:
                ua, va, ub, vb = ub, vb, ua, va
            on = (us >= ua) & (us <= ub)
            if not on.any():
                continue
            v = np.full(int(on.sum()), max(va, vb)) if ua == ub else va + (us[on] - ua) / (ub - ua) * (vb - va)
            out[on] = np.maximum(out[on], v)
    return out
