"""The lower of two surfaces: what stands after two tools is under the surface that each of them leaves."""

from __future__ import annotations

import math
from itertools import pairwise

from toolpath.geometry.crossing import roots
from toolpath.geometry.cutter import Touch
from toolpath.geometry.elements import Chain, Element, Line, Point, arc_about
from toolpath.geometry.envelope import height_on, over_span
from toolpath.geometry.merge import merged
from toolpath.geometry.sites import Curve

SAME = 1e-9
"""mm: heights closer than this are one height."""


def lower(first: Chain, second: Chain, within: tuple[float, float] | None = None) -> Chain:
    """The lower of two chains that run left to right, one-valued in u but for vertical lines; `first` elsewhere.

    within: stretch of u on which `second` counts; None is everywhere it reaches
    """
    a = [e for e in first if e.b[0] > e.a[0]]
    b = [e for e in second if e.b[0] > e.a[0]]
    lo, hi = within if within else (b[0].a[0], b[-1].b[0])
    cuts = sorted({u for e in (*a, *b) for u in (e.a[0], e.b[0], lo, hi) if a[0].a[0] <= u <= a[-1].b[0]})
    out: list[Element] = []
    i = j = 0
    for u0, u1 in pairwise(cuts):
        while i < len(a) - 1 and a[i].b[0] <= u0:
            i += 1
        while j < len(b) and b[j].b[0] <= u0:
            j += 1
        p = a[i]
        if j == len(b) or b[j].a[0] >= u1 or u1 <= lo or u0 >= hi:
            _add(out, over_span(p, u0, u1))
            continue
        q = b[j]
        if _under(p, q, (u0, u1)):
            _add(out, p)
            continue
        inner = [u for u in roots(curve_of(p), curve_of(q)) if u0 < u < u1]
        for v0, v1 in pairwise([u0, *inner, u1]):
            mid = (v0 + v1) / 2.0
            _add(out, over_span(q if height_on(q, mid) < height_on(p, mid) else p, v0, v1))
    return merged(tuple(out), SAME)


def _under(e: Element, f: Element, whole: tuple[float, float]) -> bool:
    """True when e is a line that spans just this stretch and lies under f, a line too, at both its ends."""
    return (
        isinstance(e, Line)
        and isinstance(f, Line)
        and (e.a[0], e.b[0]) == whole
        and e.a[1] <= height_on(f, whole[0])
        and e.b[1] <= height_on(f, whole[1])
    )


def between(chain: Chain, lo: float, hi: float) -> Chain:
    """The part of a left-to-right chain over [lo, hi], the upright lines inside it included."""
    out: list[Element] = []
    for e in chain:
        if e.a[0] == e.b[0]:
            if lo < e.a[0] < hi:
                out.append(e)
        elif e.b[0] > lo and e.a[0] < hi:
            out.append(over_span(e, lo, hi))
    return tuple(out)


def height_over(chain: Chain, within: tuple[float, float]) -> float:
    """Greatest height of a left-to-right chain over a stretch of its first coordinate."""
    lo, hi = within
    over = [e for e in chain if e.b[0] >= lo and e.a[0] <= hi]
    inside = [e.bounds()[3] for e in over if e.a[0] >= lo and e.b[0] <= hi]
    ends = [height_on(e, min(max(u, e.a[0]), e.b[0])) for e in over for u in (lo, hi)]
    return max([*inside, *ends], default=-math.inf)


def _add(out: list[Element], e: Element) -> None:
    """Joins e to what is there, with a vertical line where the height jumps."""
    if out and out[-1].b != e.a:
        if abs(out[-1].b[1] - e.a[1]) > SAME:
            out.append(Line(out[-1].b, e.a))
        else:
            e = _from(e, out[-1].b)
    out.append(e)


def _from(e: Element, a: Point) -> Element:
    return Line(a, e.b) if isinstance(e, Line) else arc_about(e.centre, a, e.b, ccw=e.sweep > 0.0)


def curve_of(e: Element) -> Curve:
    """A left-to-right element that is not upright as a curve over u."""
    if isinstance(e, Line):
        slope = (e.b[1] - e.a[1]) / (e.b[0] - e.a[0])
        return Curve(e.a[0], e.b[0], 0, e.a[1], slope, 0.0, Touch.NOSE, 0, False, e.a[1], e.b[1])
    sense = 1 if e.sweep < 0.0 else -1
    return Curve(e.a[0], e.b[0], sense, e.centre[0], e.centre[1], e.radius, Touch.NOSE, 0, False, e.a[1], e.b[1])
