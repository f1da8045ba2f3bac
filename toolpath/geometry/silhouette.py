"""What the approaching tool sees of an outline: its upper boundary, one-valued in u.

Overhangs hide what lies under them from a tool that comes down along -v; they are returned, not forgotten: the metal
under an overhang can not be reached in this frame.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, arc_about
from toolpath.geometry.envelope import height_on


class Silhouette(Struct, frozen=True):
    """chain: left to right, continuous, one-valued but for vertical lines.

    source: for each element of `chain` the index of the one it is part of, -1 for a vertical line over a hidden place
    hidden: stretches of the work that no tool reaches in this frame, as parts of the given elements
    """

    chain: Chain
    source: tuple[int, ...]
    hidden: Chain


def monotone(e: Element) -> list[Element]:
    """The element cut where it turns back in u (an arc at its leftmost and rightmost points)."""
    if isinstance(e, Line):
        return [e]
    r = e.radius
    extremes: list[tuple[float, Point]] = [
        (e.parameter_of(p), p) for p in ((e.centre[0] - r, e.centre[1]), (e.centre[0] + r, e.centre[1]))
    ]
    noise = 1e-9
    cuts = sorted((t, p) for t, p in extremes if noise < t < 1.0 - noise)
    # An arc above a half turn may meet neither end of the range yet pass both extremes; parameters are unique on it.
    out, a = [], e.a
    for _, p in cuts:
        out.append(arc_about(e.centre, a, p, ccw=e.sweep > 0.0))
        a = p
    out.append(arc_about(e.centre, a, e.b, ccw=e.sweep > 0.0) if cuts else e)
    return [x for x in out]


def silhouette(chain: Chain) -> Silhouette:
    """Upper boundary of the metal under `chain`, which runs left to right overall with the metal on its right hand."""
    seen: list[tuple[Element, int]] = []
    hidden: list[Element] = []
    for k, whole in enumerate(chain):
        for e in monotone(whole):
            if e.b[0] < e.a[0]:
                hidden.append(e)
            elif e.b[0] == e.a[0]:
                seen.append((e, k))
            else:
                _lay(e, k, seen, hidden)
    return _bridged(seen, hidden)


def _lay(e: Element, k: int, seen: list[tuple[Element, int]], hidden: list[Element]) -> None:
    """Put e on what is seen so far: the higher of the two hides the lower where they overlap in u."""
    while seen and seen[-1][0].b[0] > e.a[0]:
        last, j = seen[-1]
        u0, u1 = max(last.a[0], e.a[0]), min(last.b[0], e.b[0])
        middle = (u0 + u1) / 2.0
        if height_on(e, middle) > height_on(last, middle):
            seen.pop()
            left, right = _cut(last, e.a[0])
            if left is not None:
                seen.append((left, j))
            hidden.append(right if right is not None else last)
        else:
            under, rest = _cut(e, last.b[0])
            if under is not None:
                hidden.append(under)
            if rest is None:
                return
            e = rest
            break
    seen.append((e, k))


def _cut(e: Element, u: float) -> tuple[Element | None, Element | None]:
    """The parts of a rising-u element left and right of u."""
    if u <= e.a[0]:
        return None, e
    if u >= e.b[0]:
        return e, None
    p = (u, height_on(e, u))
    if isinstance(e, Line):
        return Line(e.a, p), Line(p, e.b)
    ccw = e.sweep > 0.0
    return arc_about(e.centre, e.a, p, ccw=ccw), arc_about(e.centre, p, e.b, ccw=ccw)


def _bridged(seen: list[tuple[Element, int]], hidden: list[Element]) -> Silhouette:
    out: list[Element] = []
    source: list[int] = []
    for e, k in seen:
        if e.a[0] == e.b[0] and out and (e.a != out[-1].b):
            continue  # a wall that belongs to a hidden place
        if out and out[-1].b != e.a:
            bridge = Line(out[-1].b, (out[-1].b[0], e.a[1]))
            if math.dist(bridge.a, bridge.b) > 0.0:
                out.append(bridge)
                source.append(-1)
            if bridge.b != e.a:
                e = Line(bridge.b, e.b) if isinstance(e, Line) else Arc(bridge.b, e.b, e.centre, e.sweep)
        out.append(e)
        source.append(k)
    return Silhouette(tuple(out), tuple(source), tuple(hidden))
