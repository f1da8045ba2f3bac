"""A contour moved aside by the nose: lines stay lines, arcs stay arcs about their centres.

Where two neighbours meet, an outer corner is rounded by an arc about it and an inner one is where the moved neighbours
cross (worked example: COURSE, slide "compensation", a taper against a face). Neighbours that run on into each other but
for rounding meet half-way between their moved ends. An arc not larger than the nose, a corner that turns back and an
element that the nose can not get down to are errors. NISTIR 6556 refuses every inner corner; turning controls join them
(COURSE), so they are read here, but a plan does not write them.
"""

from __future__ import annotations

import itertools
import math

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, arc_about

TANGENT = 0.01
"""rad: neighbours that turn by less run on into each other; ends on a last digit of 0.001 mm turn short ones so much.
The nose then cuts at most r TANGENT**2 / 8 deeper at the corner, 0.01 µm with r = 0.8 mm."""

SAME = 1e-9
"""mm: rounding in the arithmetic here."""


class Moved(Struct, frozen=True):
    """path: of the nose centre along one element; corner: the arc about the corner before it, if there is one."""

    path: Element
    corner: Arc | None


class AtElement(BadInput):
    """An error of the element with that index."""

    def __init__(self, index: int, what: str, right: str = "") -> None:
        super().__init__(what, right=right)
        self.index = index


def side_of(direction: Point, side: float) -> Point:
    """The unit direction towards the tool: to the right of the way for side 1, to the left for -1."""
    return (side * direction[1], -side * direction[0])


def offset(contour: Chain, radius: float, *, side: float) -> list[Moved]:
    """Where the centre of a nose against the contour goes, one entry an element. AtElement when it can not."""
    moved = [_aside(e, k, radius, side) for k, e in enumerate(contour)]
    starts, ends = [e.a for e in moved], [e.b for e in moved]
    corners: list[Arc | None] = [None] * len(moved)
    for k, (e, f) in enumerate(itertools.pairwise(contour), start=1):
        turn = turned(e.tangent_at(1.0), f.tangent_at(0.0))
        if abs(turn) > math.pi - TANGENT:
            raise AtElement(k, "the contour turns back on itself", "Take compensation off before it does")
        if abs(turn) <= TANGENT:
            ends[k - 1] = starts[k] = _middle(ends[k - 1], starts[k])
        elif turn * side > 0.0:
            corners[k] = arc_about(f.a, ends[k - 1], starts[k], ccw=turn > 0.0)
        else:
            ends[k - 1] = starts[k] = _crossing(moved[k - 1], moved[k], f.a, k)
    paths = [_between(e, a, b, k) for k, (e, a, b) in enumerate(zip(moved, starts, ends, strict=True))]
    return [Moved(p, c) for p, c in zip(paths, corners, strict=True)]


def turned(a: Point, b: Point) -> float:
    """Angle from one direction to another, rad, counter-clockwise positive."""
    return math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])


def _aside(e: Element, index: int, radius: float, side: float) -> Element:
    n, m = side_of(e.tangent_at(0.0), side), side_of(e.tangent_at(1.0), side)
    a = (e.a[0] + radius * n[0], e.a[1] + radius * n[1])
    b = (e.b[0] + radius * m[0], e.b[1] + radius * m[1])
    if isinstance(e, Line):
        return Line(a, b)
    if e.sweep * side < 0.0 and e.radius <= radius + SAME:
        what = f"a hollow of radius {e.radius:.4f} mm is not larger than the nose of {radius:g} mm"
        raise AtElement(index, what, "Use a smaller nose, or program the path of the tip")
    return Arc(a, b, e.centre, e.sweep)


def _between(e: Element, a: Point, b: Point, index: int) -> Element:
    """The moved element between its new ends; AtElement when they lie the wrong way round."""
    if isinstance(e, Line):
        t = e.tangent_at(0.0)
        if (b[0] - a[0]) * t[0] + (b[1] - a[1]) * t[1] > 0.0:
            return Line(a, b)
    else:
        arc = arc_about(e.centre, a, b, ccw=e.sweep > 0.0)
        if abs(arc.sweep) <= abs(e.sweep) + 2.0 * TANGENT:
            return arc
    raise AtElement(index, "the nose does not get down to this move between its inner corners", "Use a smaller nose")


def _middle(p: Point, q: Point) -> Point:
    return ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0)


def _crossing(e: Element, f: Element, corner: Point, index: int) -> Point:
    """Where the carriers of two moved elements cross, nearest to the corner; AtElement when they do not."""
    if isinstance(e, Line):
        found = _line_line(e, f) if isinstance(f, Line) else _line_circle(e, f)
    else:
        found = _line_circle(f, e) if isinstance(f, Line) else _circle_circle(e, f)
    if not found:
        raise AtElement(index, "the nose is too large for the inner corner before this move", "Use a smaller nose")
    return min(found, key=lambda p: math.dist(p, corner))


def _line_line(e: Line, f: Line) -> list[Point]:
    s, t = e.tangent_at(0.0), f.tangent_at(0.0)
    across = s[0] * t[1] - s[1] * t[0]
    along = ((f.a[0] - e.a[0]) * t[1] - (f.a[1] - e.a[1]) * t[0]) / across
    return [(e.a[0] + along * s[0], e.a[1] + along * s[1])]


def _line_circle(e: Line, f: Arc) -> list[Point]:
    t, (cz, cx) = e.tangent_at(0.0), f.centre
    along = (cz - e.a[0]) * t[0] + (cx - e.a[1]) * t[1]
    foot = (e.a[0] + along * t[0], e.a[1] + along * t[1])
    under = f.radius**2 - math.dist(foot, f.centre) ** 2
    if under < 0.0:
        return []
    h = math.sqrt(under)
    return [(foot[0] + k * h * t[0], foot[1] + k * h * t[1]) for k in (-1.0, 1.0)]


def _circle_circle(e: Arc, f: Arc) -> list[Point]:
    d = math.dist(e.centre, f.centre)
    if d <= SAME:
        return []
    t = ((f.centre[0] - e.centre[0]) / d, (f.centre[1] - e.centre[1]) / d)
    along = (d * d + e.radius**2 - f.radius**2) / (2.0 * d)
    under = e.radius**2 - along**2
    if under < 0.0:
        return []
    h = math.sqrt(under)
    foot = (e.centre[0] + along * t[0], e.centre[1] + along * t[1])
    return [(foot[0] - k * h * t[1], foot[1] + k * h * t[0]) for k in (-1.0, 1.0)]
