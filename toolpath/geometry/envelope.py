"""The kernel: how low the tool may stand, as a function of where it stands.

E(u) is the upper envelope of the sites of everything that must be missed. Sites in profile order cross once each, so a
stack gives the exact envelope in one walk: O(n) crossings, every piece a line or an arc, each with its witness (what of
the tool touches what of the work).
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Sequence

from msgspec import Struct

from toolpath.geometry.crossing import crossing
from toolpath.geometry.cutter import Cutter, Touch
from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, arc_about
from toolpath.geometry.sites import Curve, Site, sites, value

VERTICAL = 1e-9
"""An element that advances less than this times the size of the work counts as vertical."""


class Piece(Struct, frozen=True):
    """A stretch of the envelope, left to right, with its witness.

    path:    the line or arc the reference point follows; a vertical line where the envelope jumps
    touch:   what of the tool touches
    element: index in the chain of what is touched; for a corner, the index of the element that starts there
    corner:  True when a corner of the work is touched
    """

    path: Element
    touch: Touch
    element: int
    corner: bool

    @property
    def vertical(self) -> bool:
        return isinstance(self.path, Line) and self.path.a[0] == self.path.b[0]


class Envelope(Struct, frozen=True):
    """The pieces from left to right, joined end to start without gaps."""

    pieces: tuple[Piece, ...]
    starts: tuple[float, ...]

    @property
    def lo(self) -> float:
        return self.pieces[0].path.a[0]

    @property
    def hi(self) -> float:
        return self.pieces[-1].path.b[0]

    @property
    def path(self) -> Chain:
        return tuple(p.path for p in self.pieces)

    def height(self, u: float) -> float:
        """E(u), mm; minus infinity where nothing forbids anything. At a jump the higher value."""
        if not self.pieces or u < self.lo or u > self.hi:
            return -math.inf
        i = bisect.bisect_right(self.starts, u) - 1
        best = -math.inf
        # A jump is a piece of no width: look at every piece that holds u.
        while i >= 0 and self.pieces[i].path.b[0] >= u:
            best = max(best, height_on(self.pieces[i].path, u))
            i -= 1
        return best


def height_on(e: Element, u: float) -> float:
    """v of a one-valued element at u; the higher end of a vertical line."""
    if u <= e.a[0] or u >= e.b[0]:
        at_a, at_b = u <= e.a[0], u >= e.b[0]
        return max(e.a[1], e.b[1]) if at_a and at_b else e.a[1] if at_a else e.b[1]
    if isinstance(e, Line):
        return e.a[1] + (e.b[1] - e.a[1]) * (u - e.a[0]) / (e.b[0] - e.a[0])
    h = math.sqrt(max(e.radius**2 - (u - e.centre[0]) ** 2, 0.0))
    return e.centre[1] + (h if e.sweep < 0.0 else -h)


def between_points(e: Element, a: Point, b: Point) -> Element:
    """The stretch of a left-to-right element from a to b, both on it."""
    if isinstance(e, Line):
        return Line(a, b)
    return e if (a, b) == (e.a, e.b) else arc_about(e.centre, a, b, ccw=e.sweep > 0.0)


def over_span(e: Element, lo: float, hi: float) -> Element:
    """The stretch of a left-to-right element over [lo, hi] in u, its own ends kept exactly."""
    a = e.a if lo <= e.a[0] else (lo, height_on(e, lo))
    b = e.b if hi >= e.b[0] else (hi, height_on(e, hi))
    return between_points(e, a, b)


def envelope(keep: Chain, cut: Cutter) -> Envelope:
    """The exact envelope of a chain for one convex cutter.

    keep: runs left to right, continuous, one-valued in u but for vertical lines (see `silhouette`), mm
    """
    return joined(highest(keep, cut), keep, size_of(keep))


def highest(keep: Chain, cut: Cutter, only: Sequence[int] | None = None) -> list[Curve]:
    """The curves of the envelope, left to right, as they are found.

    only: the elements of `keep` that count, ascending, None for all; far apart they leave gaps
    """
    scale = size_of(keep)
    stack: list[tuple[float, Site]] = []
    for site in sites(keep, cut, flat_tolerance=VERTICAL * scale, only=only):
        start = -math.inf
        while stack:
            below, top = stack[-1]
            start = crossing(top, site, scale)
            if start > max(below, top.lo):
                break
            stack.pop()
            start = -math.inf
        stack.append((start, site))
    ends = itertools.chain((start for start, _ in stack[1:]), itertools.repeat(math.inf))
    return [
        clip(k, start, end)
        for (start, site), end in zip(stack, ends, strict=False)
        for k in site.curves
        if k.u1 > start and k.u0 < end
    ]


def size_of(chain: Chain) -> float:
    """Greatest coordinate of the chain's ends, mm: what tolerances scale with."""
    return max(max(abs(e.a[0]), abs(e.a[1]), abs(e.b[0]), abs(e.b[1])) for e in chain)


def clip(k: Curve, lo: float, hi: float) -> Curve:
    """The part of the curve inside [lo, hi]."""
    u0, u1 = max(k.u0, lo), min(k.u1, hi)
    if u0 == k.u0 and u1 == k.u1:
        return k
    a = k.a + k.b * (u0 - k.u0) if k.sense == 0 else k.a
    return k._replace(u0=u0, u1=u1, a=a, v0=value(k, u0), v1=value(k, u1))


def joined(curves: Sequence[Curve], keep: Chain, scale: float) -> Envelope:
    """Curves as a continuous path: shared end points, vertical lines at jumps, equal neighbours made one."""
    same = 1e-10 * scale
    pieces: list[Piece] = []
    at: Point | None = None
    for k in curves:
        if k.u1 - k.u0 <= 1e-13 * scale:
            continue
        a: Point = (k.u0, value(k, k.u0))
        b: Point = (k.u1, value(k, k.u1))
        if at is not None:
            if abs(at[1] - a[1]) > same:
                pieces.append(_jump(at, (at[0], a[1]), k, pieces[-1], keep, scale))
                a = (at[0], a[1])
            else:
                a = at
        piece = Piece(_element(k, a, b), k.touch, k.element, k.corner)
        if pieces and _same_carrier(pieces[-1], piece, same):
            a = pieces[-1].path.a
            piece = Piece(_element(k, a, b), k.touch, k.element, k.corner)
            pieces[-1] = piece
        else:
            pieces.append(piece)
        at = b
    return Envelope(tuple(pieces), tuple(p.path.a[0] for p in pieces))


def _element(k: Curve, a: Point, b: Point) -> Element:
    if k.sense == 0:
        return Line(a, b)
    centre = (k.a, k.b)
    w0, w1 = math.atan2(a[1] - k.b, a[0] - k.a), math.atan2(b[1] - k.b, b[0] - k.a)
    sweep = math.remainder(w1 - w0, 2.0 * math.pi)
    # Half a turn is as long either way: the upper half of a circle runs clockwise from left to right.
    if sweep * k.sense > math.pi / 2.0:
        sweep -= math.copysign(2.0 * math.pi, sweep)
    return Arc(a, b, centre, sweep)


def _same_carrier(p: Piece, q: Piece, same: float) -> bool:
    if p.touch is not q.touch or p.corner != q.corner or p.element != q.element or p.vertical:
        return False
    if isinstance(p.path, Line) and isinstance(q.path, Line):
        return Line(p.path.a, q.path.b).distance(p.path.b) <= same
    if isinstance(p.path, Arc) and isinstance(q.path, Arc):
        return math.dist(p.path.centre, q.path.centre) <= same and p.path.sweep * q.path.sweep > 0.0
    return False


def _jump(a: Point, b: Point, after: Curve, before: Piece, keep: Chain, scale: float) -> Piece:
    """A vertical stretch: the nose on a vertical wall where there is one, else the tool's side on a corner.

    What stands beyond an edge, or carries it, is no nose there either.
    """
    touch = after.touch if b[1] > a[1] else before.touch
    off = touch in (Touch.EDGE, Touch.HOLDER)
    if b[1] > a[1]:
        corner = after.element
        wall = corner - 1
    else:
        corner = wall = before.element if before.corner else before.element + 1
    if 0 <= wall < len(keep) and keep[wall].b[0] - keep[wall].a[0] <= VERTICAL * scale:
        return Piece(Line(a, b), touch if off else Touch.NOSE, wall, False)
    return Piece(Line(a, b), touch if off else Touch.SIDE, corner, True)
