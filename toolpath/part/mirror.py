"""The part seen from its other end."""

from __future__ import annotations

from toolpath.geometry.elements import Arc, Element, Line, Point


def mirrored(e: Element, far: float) -> Element:
    """z -> -far - z, travelled the same way: an arc's sense turns."""

    def m(p: Point) -> Point:
        return (-far - p[0], p[1])

    return Line(m(e.a), m(e.b)) if isinstance(e, Line) else Arc(m(e.a), m(e.b), m(e.centre), -e.sweep)
