"""Room for a tool inside: the floor it works on and the ceiling its back runs against.

In the inside frame (u, v) = (z, -x) the wall that is cut lies below and the wall across the axis is its mirror image
in v = 0. Turned upside down, the tool's back over that wall is the same sum as its front over the floor: with E the
envelope of the tool and C that of the tool flipped in v, the tool's point may stand at E(u) <= v <= -C(u).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from msgspec import Struct

from toolpath.geometry.crossing import roots
from toolpath.geometry.cutter import Cutter, cutter
from toolpath.geometry.elements import Chain
from toolpath.geometry.envelope import Envelope, envelope, size_of
from toolpath.geometry.frame import TURNED_OVER
from toolpath.geometry.maximum import curves
from toolpath.geometry.sites import Curve, value

TIGHT = 1e-9
"""Floor and ceiling overlapping by less than this times the size of the work still leave the tool its exact fit."""

Span = tuple[float, float]


class Room(Struct, frozen=True):
    """Heights between floor and ceiling, mm.

    floor: E, the envelope of the tool over the wall that is cut
    backs: for each convex part of the tool the envelope of its back, flipped in v, over the same wall
    shut:  stretches of u, ascending, apart, where nothing is left between floor and ceiling
    """

    floor: Envelope
    backs: tuple[Envelope, ...]
    shut: tuple[Span, ...]

    def ceiling(self, u: float) -> float:
        """Greatest height of the tool's point at u; infinity where its back is over nothing."""
        return -max((b.height(u) for b in self.backs), default=-math.inf)

    def left(self, u: float) -> float:
        """What is left between floor and ceiling at u, mm; negative where the tool is too thick by that much."""
        return self.ceiling(u) - self.floor.height(u)

    @property
    def deepest(self) -> float:
        """Least u that the tool gets to when it comes in from the right; minus infinity when nothing stops it."""
        return self.shut[-1][1] if self.shut else -math.inf


def room(keep: Chain, floor: Envelope, outlines: Sequence[Chain]) -> Room:
    """The room over `keep` for a tool made of convex parts.

    keep:     the wall in the inside frame, left to right, one-valued in u but for vertical lines, mm
    floor:    the envelope of the whole tool over `keep`
    outlines: every convex part of the tool, closed, counter-clockwise, in the same frame
    """
    backs = tuple(envelope(keep, back(o)) for o in outlines)
    slack = TIGHT * max(1.0, size_of(keep))
    tight = (span for b in backs for span in _overlaps(floor, b, slack))
    return Room(floor, backs, _united(tight, slack))


def back(outline: Chain) -> Cutter:
    """The back of a convex part as a cutter: the outline flipped in v, so that its upper side points down."""
    return cutter(TURNED_OVER.outline(outline), holder=True)


def _overlaps(floor: Envelope, over: Envelope, slack: float) -> Iterable[Span]:
    """Stretches where floor + over > slack: the floor stands above the ceiling."""
    first, second = curves(floor), [_upside_down(k) for k in curves(over)]
    lo, hi = max(floor.lo, over.lo), min(floor.hi, over.hi)
    cuts = sorted({u for k in (*first, *second) for u in (k.u0, k.u1) if lo <= u <= hi})
    i = j = 0
    for u0, u1 in pairwise(cuts):
        while first[i].u1 <= u0:
            i += 1
        while second[j].u1 <= u0:
            j += 1
        p, q = first[i], second[j]
        inner = [u for u in roots(p, q) if u0 < u < u1]
        for a, b in pairwise([u0, *inner, u1]):
            middle = (a + b) / 2.0
            if value(p, middle) - value(q, middle) > slack:
                yield (a, b)


def _upside_down(k: Curve) -> Curve:
    """The curve mirrored in v = 0."""
    if k.sense == 0:
        return k._replace(a=-k.a, b=-k.b)
    return k._replace(sense=-k.sense, b=-k.b)


def _united(spans: Iterable[Span], slack: float) -> tuple[Span, ...]:
    """Spans that meet made one, ascending."""
    out: list[Span] = []
    for lo, hi in sorted(spans):
        if out and lo <= out[-1][1] + slack:
            out[-1] = (out[-1][0], max(out[-1][1], hi))
        else:
            out.append((lo, hi))
    return tuple(out)
