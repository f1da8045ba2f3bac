"""Where an envelope lies under a level, and the path that follows the higher of the two."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Iterable, Iterator, Sequence

from toolpath.geometry.crossing import roots
from toolpath.geometry.elements import Chain, Element, Line, Point
from toolpath.geometry.envelope import Envelope, between_points, height_on, over_span
from toolpath.geometry.minimum import curve_of

Span = tuple[float, float]

HEIGHT = 1e-7
"""mm: heights closer than this are one height."""


def clipped(env: Envelope, within: Span) -> Chain:
    """The envelope's path on `within`, left to right, the vertical lines inside it included."""
    lo, hi = within
    first = max(bisect.bisect_left(env.starts, lo) - 1, 0)
    whole = [p.path for p in env.pieces[first : bisect.bisect_right(env.starts, hi)]]
    # Only pieces at the two ends can lie outside or be cut.
    head = next((k for k, e in enumerate(whole) if e.a[0] > lo), len(whole))
    tail = next((k for k in range(len(whole), head, -1) if whole[k - 1].b[0] < hi), head)
    return (*_within(whole[:head], lo, hi), *whole[head:tail], *_within(whole[tail:], lo, hi))


def _within(path: Iterable[Element], lo: float, hi: float) -> Iterator[Element]:
    for e in path:
        if e.a[0] == e.b[0]:
            if lo < e.a[0] < hi:
                yield e
        elif e.b[0] > lo and e.a[0] < hi:
            yield over_span(e, lo, hi)


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
        side = _side(e, level + tolerance)
        if side < 0:
            take(e.a[0], e.b[0])
        elif side == 0:
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
        side = _side(e, level)
        if side > 0:
            out.append(e)
        elif side < 0:
            flat(e.a[0], e.b[0])
        else:
            for p, q, above in _parts(e, level):
                if above:
                    out.append(between_points(e, p, q))
                else:
                    flat(p[0], q[0])
    flat(max(min(env.hi, hi), lo), hi)
    return tuple(out)


def standing(stock: Envelope, keep: Envelope, within: Span, *, least: float = HEIGHT) -> list[Span]:
    """Stretches of `within` where more than `least` (mm) of metal stands over the envelope to be kept to."""
    out: list[Span] = []
    under = [e for e in clipped(keep, within) if e.a[0] != e.b[0]]
    j = 0
    for whole in clipped(stock, within):
        lo, hi = whole.a[0], whole.b[0]
        while lo < hi:
            while j < len(under) and under[j].b[0] <= lo:
                j += 1
            low = under[j] if j < len(under) and under[j].a[0] <= lo else None
            end = min(hi, low.b[0] if low else under[j].a[0] if j < len(under) else hi)
            for a, b in _higher(whole, low, (lo, end), least):
                if out and out[-1][1] == a:
                    out[-1] = (out[-1][0], b)
                else:
                    out.append((a, b))
            lo = end
    return out


def _higher(e: Element, low: Element | None, within: Span, least: float) -> list[Span]:
    """Stretches of `within` where e lies more than `least` over another element, or over nothing."""
    if low is None or _bottom(e) > _top(low) + least:
        return [within]
    if _top(e) <= _bottom(low) + least:
        return []
    lo, hi = within
    lifted = low.moved((0.0, least))
    cuts = [lo, *(u for u in roots(curve_of(e), curve_of(lifted)) if lo < u < hi), hi]
    return [(a, b) for a, b in itertools.pairwise(cuts) if height_on(e, m := (a + b) / 2.0) > height_on(lifted, m)]


def inside(spans: Sequence[Span], within: Span) -> list[Span]:
    """Those of the stretches, left to right, that lie in `within`, cut at its ends."""
    lo, hi = within
    first = bisect.bisect_right(spans, lo, key=lambda s: s[1])
    last = bisect.bisect_left(spans, hi, key=lambda s: s[0])
    return [(max(a, lo), min(b, hi)) for a, b in spans[first:last]]


def above(env: Envelope, level: float, within: Span) -> list[Span]:
    """Stretches of `within` where E > level, left to right."""
    ends = [within[0], *(u for s in below(env, level, within, 0.0) for u in s), within[1]]
    return [(a, b) for a, b in zip(ends[::2], ends[1::2], strict=True) if b > a]


def highest(env: Envelope, within: Span) -> float:
    """Greatest E on `within`, its ends included, mm; minus infinity where E covers none of it."""
    return max(env.height(within[0]), env.height(within[1]), *(_top(e) for e in clipped(env, within)))


def lowest(env: Envelope, within: Span) -> float:
    """Least E on `within`, mm; infinity where E covers none of it."""
    return min((_bottom(e) for e in clipped(env, within)), default=math.inf)


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


def _top(e: Element) -> float:
    """Greatest height of a left-to-right element, mm."""
    return max(e.a[1], e.b[1]) if isinstance(e, Line) or e.sweep > 0.0 else e.bounds()[3]


def _bottom(e: Element) -> float:
    """Least height of a left-to-right element, mm."""
    return min(e.a[1], e.b[1]) if isinstance(e, Line) or e.sweep < 0.0 else e.bounds()[1]


def _side(e: Element, level: float) -> int:
    """One when all of the element lies over the level, minus one when none does, zero when it must be looked at."""
    if e.a[1] > level and e.b[1] > level:
        return 1 if _bottom(e) > level else 0
    if e.a[1] <= level and e.b[1] <= level and e.a[0] != e.b[0]:
        return -1 if _top(e) <= level else 0
    return 0


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
