"""Which elements of the work can come against a part of the tool at all: a quick look before the exact one.

What carries an edge is mostly far from the work. Runs of elements are held against runs of the envelope, each by its
bounds alone; only what may be in the way is then looked at element by element.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from toolpath.geometry.cutter import Cutter
from toolpath.geometry.elements import Chain, Line, Point
from toolpath.geometry.envelope import Envelope

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RUN = 64
"""Elements judged together."""

MARGIN = 1e-6
"""mm by which everything is taken as nearer than its bounds say, so that rounding leaves nothing out."""

SHARE = math.pi / 6.0
"""rad of an arc under one tangent of its bound."""


def near(chain: Chain, cut: Cutter, env: Envelope, *, run: int = RUN) -> list[int]:
    """Indices, ascending, of the elements of a chain over which the cutter may have to stand higher than `env`.

    None that lifts the cutter is left out; of those that do not, most are.
    chain: left to right, one-valued in u but for vertical lines, mm; run: elements that are judged together
    """
    import numpy as np

    left, right, top = _runs(chain, run, 1.0)
    lo, hi, hung = _runs(env.path, run, -1.0)
    u, v = np.array(list(_bound(cut))).T
    # From any point of the one run to any place of the other: the cap falls to both sides of its peak.
    way = np.clip(u[v.argmax()], (lo[None, :] - right[:, None]) - MARGIN, (hi[None, :] - left[:, None]) + MARGIN)
    forbidden = top[:, None] + np.interp(way, u, v, left=-math.inf, right=-math.inf)
    risky = (forbidden > -hung[None, :] - MARGIN).any(axis=1)
    return np.flatnonzero(risky.repeat(run)[: len(chain)]).tolist()


def _runs(chain: Chain, run: int, sign: float) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """(left end, right end, a height over all of it) of each run, mm. sign: -1 turns v over"""
    import numpy as np

    ends = np.array([(*e.a, *e.b) for e in chain])
    # An arc of at most half a turn rises no more than half its chord over its ends.
    rise = np.array([0.0 if isinstance(e, Line) else math.dist(e.a, e.b) / 2.0 for e in chain])
    high = np.maximum(sign * ends[:, 1], sign * ends[:, 3]) + rise
    first = np.arange(0, len(chain), run)
    return ends[first, 0], np.maximum.reduceat(ends[:, 2], first), np.maximum.reduceat(high, first)


def _bound(cut: Cutter) -> Iterator[Point]:
    """Points of a broken line over the cap, left to right: tangents stand for its arcs."""
    u, v = cut.start
    yield (u - MARGIN, v)
    for p in cut.pieces:
        if p.high > p.low:
            n = math.ceil((p.high - p.low) / SHARE)
            half = (p.high - p.low) / n / 2.0
            far = p.radius / math.cos(half)
            cu, cv = u - p.radius * math.cos(p.high), v - p.radius * math.sin(p.high)
            for w in (p.high - (2 * k + 1) * half for k in range(n)):
                yield (cu + far * math.cos(w), cv + far * math.sin(w))
        u, v = u + p.du, v + p.dv
        yield (u, v)
    yield (u + MARGIN, v)
