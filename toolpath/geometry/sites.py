"""Sites: everything one element of the work forbids to the tool's reference point, as a function of u.

A site is a run of curves, left to right: corner, nose on element, corner. It is never cut short: for a convex tool the
difference of two whole sites falls monotonically along u, so that two of them cross once; pieces of sites do not keep
that order. A hollow arc is split where the tool changes the part it touches with, so that each part is one site.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from msgspec import Struct

from toolpath.geometry.cutter import CapPiece, Cutter, Touch
from toolpath.geometry.elements import TURN, Arc, Chain, Line, Point


class Curve(NamedTuple):
    """One curve of a site over [u0, u1].

    sense 0: a line through (u0, a) with slope b. Sense +1: the upper half of the circle about (a, b) with radius c,
    sense -1: the lower half.
    element:  index in the chain of what is touched; for a corner the index of the element that starts there
    corner:   True when a corner of the chain is touched, False when the element's own length is
    v0, v1:   heights at the ends, stored: where a circle stands upright a root would lose half the digits
    """

    u0: float
    u1: float
    sense: int
    a: float
    b: float
    c: float
    touch: Touch
    element: int
    corner: bool
    v0: float
    v1: float


class Site(Struct, frozen=True):
    """Curves over [lo, hi]; `own` is the index of the first along which the element itself is touched, if known."""

    lo: float
    hi: float
    curves: tuple[Curve, ...]
    own: int = 0


def value(k: Curve, u: float) -> float:
    """v of the curve at u (not clipped to its range)."""
    if u == k.u0:
        return k.v0
    if u == k.u1:
        return k.v1
    if k.sense == 0:
        return k.a + k.b * (u - k.u0)
    return k.b + k.sense * math.sqrt(max(k.c * k.c - (u - k.a) ** 2, 0.0))


class _Walk:
    """Adds curves left to right, each starting where the one before it ended."""

    __slots__ = ("curves", "lo", "u", "v")

    def __init__(self, at: Point) -> None:
        self.u, self.v = at
        self.lo = self.u
        self.curves: list[Curve] = []

    def line(self, du: float, dv: float, touch: Touch, who: tuple[int, bool]) -> None:
        if du > 0.0:
            self.curves.append(Curve(self.u, self.u + du, 0, self.v, dv / du, 0.0, touch, *who, self.v, self.v + dv))
        self.u, self.v = self.u + du, self.v + dv

    def arc(self, radius: float, high: float, low: float, touch: Touch, who: tuple[int, bool]) -> None:
        """Part of a cap: the outward normal turns from `high` down to `low`."""
        ch, sh = math.cos(high), math.sin(high)
        cu, cv = self.u - radius * ch, self.v - radius * sh
        u1, v1 = cu + radius * math.cos(low), cv + radius * math.sin(low)
        if u1 > self.u:
            self.curves.append(Curve(self.u, u1, 1, cu, cv, radius, touch, *who, self.v, v1))
        self.u, self.v = u1, v1

    def hollow(self, arc: tuple[Point, float], low: float, high: float, touch: Touch, who: tuple[int, bool]) -> None:
        """Part of a cup about a centre: the normal of the work turns from `low` up to `high`."""
        (cu, cv), radius = arc
        u0, u1 = cu - radius * math.cos(low), cu - radius * math.cos(high)
        v0, v1 = cv - radius * math.sin(low), cv - radius * math.sin(high)
        if u1 > u0:
            self.curves.append(Curve(u0, u1, -1, cu, cv, radius, touch, *who, v0, v1))
        self.u, self.v = u1, v1

    def cap(self, pieces: tuple[CapPiece, ...], who: tuple[int, bool]) -> None:
        for p in pieces:
            if p.high == p.low:
                self.line(p.du, p.dv, p.touch, who)
            else:
                self.arc(p.radius, p.high, p.low, p.touch, who)

    def site(self, own: int = 0) -> Site:
        return Site(self.lo, self.u, tuple(self.curves), own)


Pieces = tuple[CapPiece, ...]


def _split(pieces: Pieces, normal: float) -> tuple[Pieces, Pieces, Touch]:
    """The cap's pieces before and after `normal`, and what of the tool touches there."""
    for i, p in enumerate(pieces):
        if p.low < normal:
            if p.high <= normal:
                return pieces[:i], pieces[i:], _sharp(pieces, i)
            left, right = _part(p, p.high, normal), _part(p, normal, p.low)
            return (*pieces[:i], left), (right, *pieces[i + 1 :]), p.touch
    return pieces, (), _sharp(pieces, len(pieces))


def _part(p: CapPiece, high: float, low: float) -> CapPiece:
    r = p.radius
    du, dv = r * (math.cos(low) - math.cos(high)), r * (math.sin(low) - math.sin(high))
    return CapPiece(high, low, r, du, dv, p.touch)


def _corner(p: Point, k: int, cut: Cutter) -> Site:
    w = _Walk((p[0] + cut.start[0], p[1] + cut.start[1]))
    w.cap(cut.pieces, (k, True))
    return w.site()


def _line(e: Line, k: int, cut: Cutter) -> Site:
    du, dv = e.b[0] - e.a[0], e.b[1] - e.a[1]
    before, after, touch = _split(cut.pieces, math.atan2(du, -dv))
    w = _Walk((e.a[0] + cut.start[0], e.a[1] + cut.start[1]))
    w.cap(before, (k, True))
    own = len(w.curves)
    w.line(du, dv, touch, (k, False))
    w.cap(after, (k + 1, True))
    return w.site(own)


def _cap_arc(e: Arc, k: int, cut: Cutter) -> Site:
    """A bulging arc: its normals fall along u as the tool's do, so the two runs are merged."""
    r = e.radius
    high = min(max(math.remainder(e.start_angle - math.pi / 2, TURN) + math.pi / 2, 0.0), math.pi)
    low = max(high + e.sweep, 0.0)
    before, rest, touch = _split(cut.pieces, high)
    inside, after, _ = _split(rest, low)
    w = _Walk((e.a[0] + cut.start[0], e.a[1] + cut.start[1]))
    w.cap(before, (k, True))
    at = high
    for p in inside:
        if p.high < at:
            w.arc(r, at, p.high, touch, (k, False))
        if p.high == p.low:
            w.line(p.du, p.dv, p.touch, (k, False))
        else:
            w.arc(r + p.radius, p.high, p.low, p.touch, (k, False))
        at = p.low
    if at > low:
        w.arc(r, at, low, touch, (k, False))
    w.cap(after, (k + 1, True))
    return w.site()


def _cup_arc(e: Arc, k: int, cut: Cutter) -> list[Site]:
    """Sites of a hollow arc, in order.

    The normals of a cup rise along u while the tool's fall along its cap, so the tool's arcs touch in turn from its
    last to its first; where none fits only the ends of the hollow count.
    """
    r = e.radius
    low = min(max(math.remainder(e.start_angle + math.pi / 2, TURN) + math.pi / 2, 0.0), math.pi)
    high = min(low + e.sweep, math.pi)
    out: list[Site] = []
    at = low
    for p, centre, left, right in _arcs_with_centres(cut):
        lo, hi = max(p.low, at), min(p.high, high)
        if hi <= lo or p.radius >= r:
            continue
        if lo > low and not out:
            out.append(_corner(e.a, k, cut))
        a = e.a if lo == low else (e.centre[0] - r * math.cos(lo), e.centre[1] - r * math.sin(lo))
        w = _Walk((a[0] + cut.start[0], a[1] + cut.start[1]))
        w.cap((*left, *_split((p,), lo)[0]), (k, True))
        about = (e.centre[0] + centre[0], e.centre[1] + centre[1])
        w.hollow((about, r - p.radius), lo, hi, p.touch, (k, False))
        w.cap((*_split((p,), hi)[1], *right), (k + 1, True))
        out.append(w.site())
        at = hi
    if not out:
        out.append(_corner(e.a, k, cut))
    if at < high:
        out.append(_corner(e.b, k + 1, cut))
    return out


def _arcs_with_centres(cut: Cutter) -> list[tuple[CapPiece, Point, Pieces, Pieces]]:
    """The cap's arcs from right to left: arc, centre relative to the point touched, pieces left and right of it.

    A sharp corner of the tool is an arc of no radius: it too fits into a hollow.
    """
    out: list[tuple[CapPiece, Point, Pieces, Pieces]] = []
    (u, v), at = cut.start, math.pi
    for i, p in enumerate(cut.pieces):
        left, right = cut.pieces[:i], cut.pieces[i:]
        if p.high < at:
            out.append((CapPiece(at, p.high, 0.0, 0.0, 0.0, _sharp(cut.pieces, i)), (u, v), left, right))
        if p.high > p.low:
            centre = (u - p.radius * math.cos(p.high), v - p.radius * math.sin(p.high))
            out.append((p, centre, left, right[1:]))
        u, v, at = u + p.du, v + p.dv, p.low
    if at > 0.0:
        out.append((CapPiece(at, 0.0, 0.0, 0.0, 0.0, _sharp(cut.pieces, len(cut.pieces))), (u, v), cut.pieces, ()))
    return out[::-1]


def _sharp(pieces: Pieces, i: int) -> Touch:
    """What the sharp corner before piece i is: the nose, but for one beyond an edge, and for what carries the tool."""
    if pieces and pieces[0].touch is Touch.HOLDER:
        return Touch.HOLDER
    beside = pieces[max(i - 1, 0) : i + 1]
    edge = bool(beside) and all(p.touch is Touch.EDGE for p in beside)
    one_side = all(p.low > math.pi / 2 for p in beside) or all(p.high < math.pi / 2 for p in beside)
    return Touch.EDGE if edge and one_side else Touch.NOSE


def sites(chain: Chain, cut: Cutter, *, flat_tolerance: float, only: Sequence[int] | None = None) -> list[Site]:
    """Sites of a chain that runs left to right and is one-valued in u (vertical lines apart), in profile order.

    flat_tolerance: mm in u below which an element counts as vertical; its ends are touched as its neighbours' corners.
    only: the elements asked for, ascending; None for all
    """
    out: list[Site] = []
    level = [e.b[0] - e.a[0] > flat_tolerance for e in chain]
    for k in range(len(chain)) if only is None else only:
        e = chain[k]
        if not level[k]:
            # The top of a wall is a corner of the element beside it; a spike or a wall at the end has none beside it.
            top, beside = (k + 1, k + 1) if e.b[1] > e.a[1] else (k, k - 1)
            if not (0 <= beside < len(chain) and level[beside]):
                out.append(_corner(e.b if top > k else e.a, top, cut))
        elif isinstance(e, Line):
            out.append(_line(e, k, cut))
        elif e.sweep < 0.0:
            out.append(_cap_arc(e, k, cut))
        else:
            out += _cup_arc(e, k, cut)
    return out
