"""What a tool takes along a way on which it touches nothing: the lowest of all that it passes over, by closed forms.

Where what carries the tool is in the way, or an edge that is counted flatter than it is, no contact tells the surface
that is left. It is then the lower side of the tool's own outline at the ends of every piece of its way, and between
them the envelope of its moving outline: lines along lines, arcs about arcs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from toolpath.geometry.cutter import CapPiece, Cutter
from toolpath.geometry.elements import TURN, Chain, Element, Line, Point, arc_about
from toolpath.geometry.minimum import between, lower

HIGH = 1e4
"""mm over everything: what stands where the tool has not been."""

THIN = 1e-9
"""mm in u or rad below which a stretch is none."""


def trail(ways: Sequence[Element], cut: Cutter, within: tuple[float, float]) -> Chain:
    """The surface over `within` (stretch of u) that the cutter leaves along pieces of its way, left to right.

    ways: each begins where the one before ends
    """
    lo, hi = within
    stood = [_standing(at, cut) for at in (*(w.a for w in ways), ways[-1].b)]
    passed = [c for c in (*(c for w in ways for c in _passed(w, cut)), *stood) if c]
    surfaces = sorted((c for p in passed if (c := between(p, lo, hi))), key=lambda c: c[0].a[0])
    while len(surfaces) > 1:  # two and two, so that a long way costs little more than its length
        odd = surfaces[len(surfaces) // 2 * 2 :]
        surfaces = [_both(a, b) for a, b in zip(surfaces[::2], surfaces[1::2], strict=False)] + odd
    # A hair at either end may be left out by rounding: there the surface begins and ends with what was passed over.
    under = tuple(e for e in (surfaces[0] if surfaces else ()) if max(e.a[1], e.b[1]) < HIGH)
    return under or (Line((lo, ways[0].a[1]), (hi, ways[-1].b[1])),)


def _both(first: Chain, second: Chain) -> Chain:
    """The lower of two surfaces where both are, the only one elsewhere."""
    if second[0].a[0] < first[0].a[0]:
        first, second = second, first
    end, far = first[-1].b[0], second[-1].b[0]
    lid = (Line((end, HIGH), (far, HIGH)),) if far > end else ()
    return lower((*first, *lid), second)


def _standing(at: Point, cut: Cutter) -> Chain:
    """The tool's lower side when it stands there, but for what is upright."""
    return tuple(_side(p, a, b) for a, b, p in cut.lower_outline(at) if b[0] - a[0] > THIN)


def _passed(way: Element, cut: Cutter) -> Iterator[Chain]:
    """What the tool leaves between the ends of a piece of its way."""
    if isinstance(way, Line):
        if way.b[0] > way.a[0]:
            c, r = _leads(cut, n := math.atan2(way.b[0] - way.a[0], -(way.b[1] - way.a[1])))
            du, dv = c[0] + r * math.cos(n), c[1] + r * math.sin(n)
            yield (Line((way.a[0] - du, way.a[1] - dv), (way.b[0] - du, way.b[1] - dv)),)
        return
    ends = [(math.atan2(p[1] - way.centre[1], p[0] - way.centre[0])) % TURN for p in (way.a, way.b)]
    sign = 1.0 if way.sweep < 0.0 else -1.0
    # A bulging way turns its normal from pi towards 0, a hollow one the other way.
    n0, n1 = ends if sign > 0.0 else [(e + math.pi) % TURN for e in ends]
    inner = {n for p in cut.pieces for n in (p.high, p.low) if min(n0, n1) + THIN < n < max(n0, n1) - THIN}
    turns = sorted({n0, n1, *inner}, reverse=n0 > n1)
    for m, n in pairwise(turns):
        c, r = _leads(cut, (m + n) / 2.0)
        about, radius = (way.centre[0] - c[0], way.centre[1] - c[1]), sign * way.radius - r
        a, b = ((about[0] + radius * math.cos(t), about[1] + radius * math.sin(t)) for t in (m, n))
        # A bend tighter than the tool's own corner leaves nothing between the two places.
        if radius * sign > 0.0 and b[0] - a[0] > THIN:
            yield (arc_about(about, a, b, ccw=sign < 0.0),)


def _leads(cut: Cutter, normal: float) -> tuple[Point, float]:
    """(centre, radius) of the corner of the cap that has this outward normal, from the point touched."""
    u, v = cut.start
    for p in cut.pieces:
        if p.low >= normal:
            u, v = u + p.du, v + p.dv
        elif p.high > normal:
            return (u - p.radius * math.cos(p.high), v - p.radius * math.sin(p.high)), p.radius
        else:
            break
    return (u, v), 0.0


def _side(p: CapPiece, left: Point, right: Point) -> Element:
    """A piece of the tool's own lower side: the cap's turned through half a turn."""
    if p.high == p.low:
        return Line(left, right)
    centre = (left[0] + p.radius * math.cos(p.low), left[1] + p.radius * math.sin(p.low))
    return arc_about(centre, left, right, ccw=True)
