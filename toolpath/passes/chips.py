"""A cut broken every few turns, so that its chip parts: the feed stands, or the tool draws back and comes again."""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.geometry.elements import Line
from toolpath.passes.legs import Leg, Legs, Pace, dwell, feed

LEVEL = 1e-9
"""mm: a cut that rises or falls by less is level; only long level cuts make strings."""


class Breaks(Struct, frozen=True):
    """every: mm of feed between two breaks; stand: turns that the feed stands, or 0 and `back`: mm to draw back."""

    every: float
    stand: float
    back: float = 0.0


def broken(legs: Legs, breaks: Breaks | None) -> Legs:
    """The legs, in the frame in which the tool feeds towards -u, with their level cuts broken."""
    if breaks is None:
        return legs
    return tuple(part for leg in legs for part in (_parts(leg, breaks) if _long(leg, breaks) else (leg,)))


def _long(leg: Leg, breaks: Breaks) -> bool:
    path = leg.path
    level = isinstance(path, Line) and abs(path.b[1] - path.a[1]) < LEVEL and path.b[0] < path.a[0]
    return leg.pace is Pace.FEED and leg.turns == 0.0 and level and path.length > breaks.every


def _parts(leg: Leg, breaks: Breaks) -> Legs:
    path = leg.path
    assert isinstance(path, Line)
    n = math.ceil(path.length / breaks.every)
    out: Legs = ()
    for k in range(n):
        part = path.part(k / n, (k + 1) / n)
        out += (Leg(part, share=leg.share),)
        if k + 1 < n:
            away = (part.b[0] + breaks.back, part.b[1] + breaks.back)
            out += dwell(part.b, turns=breaks.stand) if breaks.stand else (*feed(part.b, away), *feed(away, part.b))
    return out
