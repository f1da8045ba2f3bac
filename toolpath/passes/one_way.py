"""A finish pass in stretches that all go one way across the work, so that the slide's lost motion leaves no step.

Where a contour rises and falls, as over a dome or through a hollow, one half is cut towards the chuck and the other
away from it. Stretches are cut from the free end on, so that every way out leads over what is cut already.
"""

from __future__ import annotations

import math
from itertools import pairwise

from toolpath.geometry.elements import Arc, Chain, Element, Point, reverse

LEAST = 0.01
"""mm: a way back by less is no turning round, for it is less than any screw's lost motion."""


def one_way(path: Chain, *, falls: bool) -> tuple[Chain, ...]:
    """The stretches of a path (left to right), each in the direction in which it is cut, the rightmost first.

    falls: they are cut towards the work (along -v), else away from it
    """
    pieces = [part for e in path for part in _monotone(e)]
    cuts = [0, *_turns(pieces), len(pieces)]
    out = []
    for a, b in reversed(list(pairwise(cuts))):
        chain = tuple(pieces[a:b])
        rises = chain[-1].b[1] > chain[0].a[1]
        out.append(chain if rises != falls else reverse(chain))
    return tuple(out)


def _monotone(e: Element) -> Chain:
    """The element cut where it is level."""
    if not isinstance(e, Arc):
        return (e,)
    level: list[Point] = [(e.centre[0], e.centre[1] + e.radius), (e.centre[0], e.centre[1] - e.radius)]
    inner = sorted(t for p in level if 1e-9 < (t := e.parameter_of(p)) < 1.0 - 1e-9)
    ends = [0.0, *inner, 1.0]
    return tuple(e.part(a, b) for a, b in pairwise(ends)) if inner else (e,)


def _turns(pieces: list[Element]) -> list[int]:
    """Indices of the pieces with which v begins to go the other way by more than `LEAST`."""
    found: list[int] = []
    way, far, begins = 0.0, pieces[0].a[1], 0
    for k, e in enumerate(pieces):
        over = e.b[1] - far
        if way * over >= 0.0 and (way or abs(over) > LEAST):
            way, far, begins = way or math.copysign(1.0, over), e.b[1], k + 1
        elif way and abs(over) > LEAST:
            found.append(begins)
            way, far, begins = -way, e.b[1], k + 1
    return found
