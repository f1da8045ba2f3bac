"""Where one site passes under the next: the single root of their falling difference.

Two circles cross twice and a line meets a circle twice; a root counts only when it lies in the bracket and on both
branches. Where closed form fails (tangent curves, roots lost to rounding) the bracket is halved instead.
"""

from __future__ import annotations

import math

from toolpath.geometry.cutter import Touch
from toolpath.geometry.sites import Curve, Site, value

PARALLEL = 1e-9
"""Difference of slope below which two lines may lie on each other."""

SURE = 1e-10
"""Of the size of the work: a curve higher than another by more than this is so whatever rounding does."""

TIE = 1e-12
"""Of the size of the work: curves nearer than this are level with each other."""


def crossing(i: Site, j: Site, scale: float) -> float:
    """u from which site j (to the right) is on top of site i (to the left).

    j.lo when j is above from its first point, i.hi when i is above to its last.
    scale: size of the work, mm; a root is exact to a few rounding steps of it.
    """
    lo, hi = j.lo, i.hi
    if lo >= hi:
        return lo
    a, b = i.curves, j.curves
    tie = TIE * scale
    # Where the element itself is touched its site is mostly still on top: the walk begins there if it can.
    m, n, u = i.own, 0, a[i.own].u0
    while n < len(b) - 1 and b[n].u1 <= u:
        n += 1
    if not lo < u < hi or a[m].v0 <= value(b[n], u) + SURE * scale:
        m, n, u = 0, 0, lo
        while m < len(a) - 1 and a[m].u1 <= lo:
            m += 1
        if value(a[m], lo) + _favour(a[m], b[0], tie) <= value(b[0], lo):
            return lo
    while True:
        p, q = a[m], b[n]
        right = min(p.u1, q.u1)
        favour = _favour(p, q, tie)
        if value(p, right) + favour <= value(q, right):
            return _root(_lifted(p, favour) if favour else p, q, u, right, scale)
        u = right
        if p.u1 <= right:
            m += 1
        if q.u1 <= right:
            n += 1
        if m == len(a) or n == len(b):
            return hi


def _favour(p: Curve, q: Curve, tie: float) -> float:
    """What p gains over q where they lie on one line: ties go to the nose, and late where neither is the nose."""
    if p.sense or q.sense or abs(p.b - q.b) > PARALLEL or p.touch is q.touch is Touch.NOSE:
        return 0.0
    return -tie if q.touch is Touch.NOSE else tie


def _lifted(k: Curve, by: float) -> Curve:
    a, b = (k.a + by, k.b) if k.sense == 0 else (k.a, k.b + by)
    return k._replace(a=a, b=b, v0=k.v0 + by, v1=k.v1 + by)


def _root(p: Curve, q: Curve, lo: float, hi: float, scale: float) -> float:
    """The u in [lo, hi] where p = q, given p > q at lo and p <= q at hi."""
    slack = 1e-13 * scale
    for u in roots(p, q):
        if lo - slack <= u <= hi + slack:
            u = min(max(u, lo), hi)
            if abs(value(p, u) - value(q, u)) <= 1e-11 * scale:
                return u
    while True:
        mid = (lo + hi) / 2.0
        if not lo < mid < hi:
            return hi
        if value(p, mid) <= value(q, mid):
            hi = mid
        else:
            lo = mid


def roots(p: Curve, q: Curve) -> tuple[float, ...]:
    """Candidates for p = q from the whole line or circle of each, ascending; none for coincident curves."""
    if p.sense == 0 and q.sense == 0:
        d = p.b - q.b
        return () if d == 0.0 else ((q.a - p.a + p.b * p.u0 - q.b * q.u0) / d,)
    if p.sense == 0:
        return _line_circle(p, q)
    if q.sense == 0:
        return _line_circle(q, p)
    return _circle_circle(p, q)


def _line_circle(line: Curve, circle: Curve) -> tuple[float, ...]:
    m, du = line.b, line.u0 - circle.a
    h = line.a - circle.b - m * du  # v of the line over the centre, from the centre
    n = 1.0 + m * m
    disc = circle.c * circle.c * n - h * h
    if disc < 0.0:
        return ()
    s = math.sqrt(disc)
    return (circle.a + (-m * h - s) / n, circle.a + (-m * h + s) / n)


def _circle_circle(p: Curve, q: Curve) -> tuple[float, ...]:
    du, dv = q.a - p.a, q.b - p.b
    d2 = du * du + dv * dv
    if d2 == 0.0:
        return ()
    along = (d2 + p.c * p.c - q.c * q.c) / (2.0 * d2)
    rest = p.c * p.c / d2 - along * along
    if rest < 0.0:
        return ()
    s = math.sqrt(rest)
    u1, u2 = p.a + along * du - s * dv, p.a + along * du + s * dv
    return (u1, u2) if u1 <= u2 else (u2, u1)
