"""Neighbours on one line or one circle made one element: a vertex in the middle of a surface changes nothing."""

from __future__ import annotations

import math

from toolpath.geometry.elements import TURN, Arc, Chain, Element, Line, Point

MERGE = 1e-9
"""mm: pieces of one surface this near to one line or circle are one move."""

SLIVER = 1e-6
"""mm: in a way that a control will print, an element no longer than this is none; a thousandth of its last digit."""


def merged(path: Chain, tolerance: float, *, sliver: float = 0.0) -> Chain:
    """The path with neighbours joined where they continue each other to within `tolerance` (mm).

    sliver: elements no longer than this (mm) are given to their neighbours; tangent crossings leave such where one
    surface passes into the next
    """
    out: list[Element] = []
    for whole in path:
        if whole.length <= sliver and len(path) > 1:
            continue
        e = whole if not out or out[-1].b == whole.a else _starting(whole, out[-1].b)
        one = _joined(out[-1], e, tolerance) if out else None
        if one is None:
            out.append(e)
        else:
            out[-1] = one
    return tuple(out)


def _starting(e: Element, a: Point) -> Element:
    return Line(a, e.b) if isinstance(e, Line) else Arc(a, e.b, e.centre, e.sweep)


def _joined(e: Element, f: Element, tolerance: float) -> Element | None:
    if isinstance(e, Line) and isinstance(f, Line):
        one = Line(e.a, f.b)
        on_way = 0.0 < one.parameter_of(e.b) < 1.0 and one.distance(e.b) <= tolerance
        return one if on_way else None
    if isinstance(e, Arc) and isinstance(f, Arc):
        same = math.dist(e.centre, f.centre) <= tolerance and abs(e.radius - f.radius) <= tolerance
        sweep = e.sweep + f.sweep
        return Arc(e.a, f.b, e.centre, sweep) if same and e.sweep * f.sweep > 0.0 and abs(sweep) < TURN / 2.0 else None
    return None
