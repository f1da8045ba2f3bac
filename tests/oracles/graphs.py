"""Elements cut into stretches that are functions of u, and a tool's lower outline as one function t(s)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from toolpath.geometry.elements import Arc, Chain, Element, Line

Floats = NDArray[np.float64]
SLIVER = 1e-12  # rad; a stretch of arc shorter than this at a quadrant point is rounding, not shape


@dataclass(frozen=True, slots=True)
class Graph:
    """A stretch from (u0, v0) to (u1, v1), u0 <= u1. sense 0: straight; +1: cap (upper half of a circle); -1: cup.

    w0, w1: angles at the two ends as seen from the centre (cu, cv). forward: the element travels to the right.
    """

    u0: float
    v0: float
    u1: float
    v1: float
    sense: int = 0
    cu: float = 0.0
    cv: float = 0.0
    r: float = 0.0
    w0: float = 0.0
    w1: float = 0.0
    forward: bool = True


def graphs(element: Element) -> list[Graph]:
    """The element as stretches that are functions of u (a vertical line is one stretch with u0 == u1)."""
    if isinstance(element, Line):
        a, b = element.a, element.b
        right = b[0] >= a[0]
        (p, q) = (a, b) if right else (b, a)
        return [Graph(p[0], p[1], q[0], q[1], forward=right)]
    return _arc_graphs(element)


def _arc_graphs(arc: Arc) -> list[Graph]:
    c, r, w0, w1 = arc.centre, arc.radius, arc.start_angle, arc.start_angle + arc.sweep
    lo, hi = min(w0, w1), max(w0, w1)
    quarter = math.pi / 2.0
    inner = [
        k
        for k in range(math.floor(lo / quarter), math.ceil(hi / quarter) + 1)
        if lo + SLIVER < k * quarter < hi - SLIVER
    ]
    ends = [(lo, arc.a if arc.sweep > 0 else arc.b)]
    ends += [(k * quarter, (c[0] + r * (1, 0, -1, 0)[k % 4], c[1] + r * (0, 1, 0, -1)[k % 4])) for k in inner]
    ends.append((hi, arc.b if arc.sweep > 0 else arc.a))
    out = []
    for (wa, p), (wb, q) in pairwise(ends):
        sense = 1 if math.sin((wa + wb) / 2.0) > 0.0 else -1
        # counter-clockwise: a cap runs to the left, a cup to the right
        (x, wx), (y, wy) = ((p, wa), (q, wb)) if sense < 0 else ((q, wb), (p, wa))
        forward = (arc.sweep > 0) == (sense < 0)
        out.append(Graph(x[0], x[1], y[0], y[1], sense, c[0], c[1], r, wx, wy, forward))
    return out


def heights(g: Graph, u: Floats) -> Floats:
    """Height of the stretch at u, which must lie in [u0, u1]; a vertical line answers its upper end."""
    if g.sense == 0:
        if g.u1 == g.u0:
            return np.full_like(u, max(g.v0, g.v1))
        return g.v0 + np.clip((u - g.u0) / (g.u1 - g.u0), 0.0, 1.0) * (g.v1 - g.v0)
    d = np.abs(u - g.cu)
    v = g.cv + g.sense * np.sqrt(np.maximum(0.0, (g.r - d) * (g.r + d)))
    return np.where(u <= g.u0, g.v0, np.where(u >= g.u1, g.v1, v))  # stored ends: no root of a rounding error


def surface(keep: Chain, u: Floats) -> Floats:
    """Upper boundary of keep at u; -inf outside."""
    out = np.full_like(u, -np.inf)
    for e in keep:
        for g in graphs(e):
            on = (g.u0 <= u) & (u <= g.u1)
            out[on] = np.maximum(out[on], heights(g, u[on]))
    return out


@dataclass(frozen=True, slots=True)
class Lower:
    """The lower outline t(s) of a closed convex outline, from its leftmost to its rightmost point."""

    pieces: tuple[Graph, ...]

    @property
    def left(self) -> float:
        return self.pieces[0].u0

    @property
    def right(self) -> float:
        return self.pieces[-1].u1

    def height(self, s: Floats) -> Floats:
        """t(s); +inf where the tool does not reach."""
        out = np.full(np.shape(s), np.inf)
        for g in self.pieces:
            on = (g.u0 <= s) & (s <= g.u1)
            out[on] = np.minimum(out[on], heights(g, s[on]))
        return out

    def support(self, m: Floats) -> Floats:
        """The s at which `t(s) - m s` is least: where a line of slope m touches from below."""
        spots = [(g.u0, g.v0) for g in self.pieces] + [(self.pieces[-1].u1, self.pieces[-1].v1)]
        s = np.array([p[0] for p in spots])
        v = np.array([p[1] for p in spots])
        cost = v[:, None] - m[None, :] * s[:, None]
        k = np.argmin(cost, axis=0)
        best, at = cost[k, np.arange(len(m))], s[k]
        steep = np.hypot(m, 1.0)
        for g in self.pieces:
            if g.sense:
                x = np.clip(g.cu + g.r * m / steep, g.u0, g.u1)
                c = heights(g, x) - m * x
                at = np.where(c < best, x, at)
                best = np.minimum(c, best)
        return np.asarray(at)


def lower(outline: Chain) -> Lower:
    """The lower outline of a closed convex outline, whichever way it runs."""
    area = 0.0
    spots = [p for e in outline for p in (e.a, e.point_at(0.5))]
    for p, q in zip(spots, spots[1:] + spots[:1], strict=True):
        area += p[0] * q[1] - q[0] * p[1]
    stretches = [g for e in outline for g in graphs(e) if g.u1 > g.u0 and g.forward == (area > 0.0)]
    stretches.sort(key=lambda g: (g.u0, g.u1))
    if not stretches:
        raise ValueError("an outline without width has no lower outline")
    for g, h in pairwise(stretches):
        if math.hypot(g.u1 - h.u0, g.v1 - h.v0) > 1e-9:
            raise ValueError(f"not a closed convex outline: {g} then {h}")
    return Lower(tuple(stretches))
