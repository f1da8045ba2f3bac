"""Where an envelope lies under a level, and the path that follows the higher of the two."""

from __future__ import annotations

import bisect
import itertools
import math

from toolpath.geometry.elements import Chain, Element, Line, Point
from toolpath.geometry.envelope import Envelope, between_points, height_on, over_span

Span = tuple[float, float]

HEIGHT = 1e-7
"""mm: heights closer than this are one height."""


def clipped(env: Envelope, within: Span) -> Chain:
    """The envelope's path on `within`, left to right, the vertical lines inside it included."""
    lo, hi = within
    out: list[Element] = []
    first = max(bisect.bisect_left(env.starts, lo) - 1, 0)
    for p in env.pieces[first : bisect.bisect_right(env.starts, hi)]:
        e = p.path
        if p.vertical:
            if lo < e.a[0] < hi:
                out.append(e)
        elif e.b[0] > lo and e.a[0] < hi:
            out.append(over_span(e, lo, hi))
    return tuple(out)


def below(env: Envelope, level: float, within: Span, tolerance: float) -> list[Span]:
    """Stretches of `within` where E <= level + tolerance, left to right; where E has ended nothing is in the way.

    tolerance: mm, negative to ask for room to spare; stretches shorter than it are none
    """
    out: list[Span] = []

    def take(lo: float, hi: float) -> None:
        if out and lo <= out[-1][1]:
            out[-1] = (out[-1][0], hi)
        elif hi > lo:
            out.append((lo, hi))

    lo, hi = within
    take(lo, min(max(env.lo, lo), hi))
    for e in clipped(env, within):
        if e.a[0] == e.b[0]:
            continue
        for p, q, above in _parts(e, level + tolerance):
            if not above:
                take(p[0], q[0])
    take(max(min(env.hi, hi), lo), hi)
    return [s for s in out if s[1] - s[0] > abs(tolerance)]


def raised(env: Envelope, level: float, within: Span) -> Chain:
    """The path max(E, level) over `within`, left to right."""
    lo, hi = within
    out: list[Element] = []

    def flat(u0: float, u1: float) -> None:
        last = out[-1] if out else None
        if isinstance(last, Line) and last.a[1] == last.b[1] == level:
            out[-1] = Line(last.a, (u1, level))
        elif u1 > u0:
            out.append(Line((u0, level), (u1, level)))

    flat(lo, min(max(env.lo, lo), hi))
    for e in clipped(env, within):
        for p, q, above in _parts(e, level):
            if above:
                out.append(between_points(e, p, q))
            else:
                flat(p[0], q[0])
    flat(max(min(env.hi, hi), lo), hi)
    return tuple(out)


def standing(stock: Envelope, keep: Envelope, within: Span, level: float = -math.inf) -> list[Span]:
    """Stretches of `within` where metal stands over both the envelope to be kept to and a level, left to right."""
    cuts = {within[0], within[1]}
    for env in (keep, stock):
        cuts |= {u for e in clipped(env, within) for u in (e.a[0], e.b[0])}
        if level > -math.inf:
            cuts |= {u for s in below(env, level, within, HEIGHT) for u in s}
    out: list[Span] = []
    for a, b in itertools.pairwise(sorted(cuts)):
        mid = (a + b) / 2.0
        if stock.height(mid) > max(keep.height(mid), level) + HEIGHT:
            if out and out[-1][1] == a:
                out[-1] = (out[-1][0], b)
            else:
                out.append((a, b))
    return out


def lowest(env: Envelope, within: Span) -> float:
    """Least E on `within`, mm; infinity where E covers none of it."""
    return min((e.bounds()[1] for e in clipped(env, within)), default=math.inf)


def flats(env: Envelope, within: Span, *, least: float) -> list[float]:
    """Heights of level stretches longer than `least`, highest first."""
    lines = (e for e in clipped(env, within) if isinstance(e, Line) and e.a[0] != e.b[0])
    return sorted({e.a[1] for e in lines if abs(e.b[1] - e.a[1]) < 1e-9 and e.length >= least}, reverse=True)


def way_out(env: Envelope, last: Point, distance: float, *, top: float) -> Point:
    """Away from the metal at 45 degrees, or straight up where the other wall of a narrow valley is too near.

    Straight up goes on to `top`: an edge that leans back leaves a wedge on the wall that no rapid may meet.
    """
    slanting = (last[0] + distance, last[1] + distance)
    clear = all(env.height(last[0] + k / 8.0 * distance) <= last[1] + k / 8.0 * distance for k in range(1, 9))
    return slanting if clear else (last[0], max(last[1] + distance, top))


def _parts(e: Element, level: float) -> list[tuple[Point, Point, bool]]:
    """The element cut at the level: (left end, right end, lies above); cut ends are exactly on the level."""
    if e.a[0] == e.b[0]:
        a, b = (e.a[0], max(e.a[1], level)), (e.b[0], max(e.b[1], level))
        return [(a, b, True)] if a != b else []
    cuts = [u for u in _at_level(e, level) if e.a[0] < u < e.b[0]]
    points = [e.a, *((u, level) for u in cuts), e.b]
    return [(p, q, height_on(e, (p[0] + q[0]) / 2.0) > level) for p, q in itertools.pairwise(points) if q[0] > p[0]]


def _at_level(e: Element, level: float) -> tuple[float, ...]:
    if isinstance(e, Line):
        dv = e.b[1] - e.a[1]
        return () if dv == 0.0 else (e.a[0] + (e.b[0] - e.a[0]) * (level - e.a[1]) / dv,)
    over = level - e.centre[1]
    h = e.radius**2 - over**2
    # The other half of the circle meets the level too, but is not part of the envelope.
    if h <= 0.0 or over * e.sweep > 0.0:
        return ()
    return (e.centre[0] - math.sqrt(h), e.centre[0] + math.sqrt(h))
