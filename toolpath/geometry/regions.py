"""What lies between two surfaces: metal that stands over what was wanted, or that one tool leaves and another takes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from msgspec import Struct

from toolpath.geometry.crossing import roots
from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, reverse
from toolpath.geometry.envelope import height_on, over_span
from toolpath.geometry.minimum import SAME, curve_of
from toolpath.geometry.uncut import farthest


class Region(Struct, frozen=True):
    """over, under: its upper and its lower surface, left to right from the same point to the same point.

    thick: the farthest that a point of the upper surface is from the lower one, mm; at: that point
    """

    over: Chain
    under: Chain
    thick: float
    at: Point

    @property
    def span(self) -> tuple[float, float]:
        """Stretch of u."""
        return (self.over[0].a[0], self.over[-1].b[0])

    @property
    def outline(self) -> Chain:
        """Closed: along the lower surface, back along the upper one."""
        return (*self.under, *reverse(self.over))


def regions(over: Chain, under: Chain, within: tuple[float, float], *, least: float) -> list[Region]:
    """Where one left-to-right chain lies over another, left to right; those thicker than `least`, mm.

    Both are one-valued in u but for vertical lines and count on the stretch `within`.
    """
    out: list[Region] = []
    above: list[Element] = []
    below: list[Element] = []
    beside = -math.inf  # height of the upper chain just left of here
    for p, q in _together(over, under, within):
        middle = (p.a[0] + p.b[0]) / 2.0
        higher = height_on(p, middle) > height_on(q, middle) + SAME
        if above and not (higher and above[-1].b[0] == p.a[0]):
            out += _closed(above, below, p.a[1], least)
            above, below = [], []
        if higher and not above:
            start = (p.a[0], min(max(beside, q.a[1]), p.a[1]))
            above, below = [Line(start, start)], [Line(start, start)]
        if higher:
            _go_on(above, p)
            _go_on(below, q)
        beside = p.b[1]
    return [*out, *(_closed(above, below, -math.inf, least) if above else [])]


def _together(over: Chain, under: Chain, within: tuple[float, float]) -> Iterator[tuple[Element, Element]]:
    """The two chains side by side, cut where either begins a new element and where they cross."""
    a, b = ([e for e in chain if e.b[0] > e.a[0]] for chain in (over, under))
    lo, hi = max(within[0], a[0].a[0], b[0].a[0]), min(within[1], a[-1].b[0], b[-1].b[0])
    cuts = sorted({lo, hi, *(u for e in (*a, *b) for u in (e.a[0], e.b[0]) if lo < u < hi)})
    i = j = 0
    for u0, u1 in pairwise(cuts):
        while a[i].b[0] <= u0:
            i += 1
        while b[j].b[0] <= u0:
            j += 1
        p, q = a[i], b[j]
        if p is q or p == q:
            yield over_span(p, u0, u1), over_span(q, u0, u1)
            continue
        inner = [u for u in roots(curve_of(p), curve_of(q)) if u0 < u < u1]
        for v0, v1 in pairwise([u0, *inner, u1]):
            yield over_span(p, v0, v1), over_span(q, v0, v1)


def _go_on(chain: list[Element], e: Element) -> None:
    """Adds e with the upright line that leads to it."""
    if abs(chain[-1].b[1] - e.a[1]) > 0.0:
        chain.append(Line(chain[-1].b, e.a))
    chain.append(e)


def _closed(above: list[Element], below: list[Element], beside: float, least: float) -> list[Region]:
    """The region between the two, closed at its right end; none where it is too thin. beside: height right of it."""
    p, q = above[-1].b, below[-1].b
    end = (p[0], min(max(beside, q[1]), p[1]))
    over, under = (
        tuple(e for e in (*chain, Line(chain[-1].b, end)) if e.a != e.b or isinstance(e, Arc))
        for chain in (above, below)
    )
    thick, at = farthest(over, under)
    return [Region(over, under, thick, at)] if thick > least else []
