"""A path as a control can print it: every end on the last digit, nothing shorter than it.

Rounding moves an end by at most half a step on each axis, so the path moves by no more than that anywhere: an arc keeps
its sense and is centred anew on the perpendicular of its rounded chord, nearest to where its centre was.
"""

from __future__ import annotations

import math

from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, arc_about

Grid = tuple[float, float]


def snap(p: Point, grid: Grid) -> Point:
    """The nearest point whose coordinates are whole numbers of steps, mm."""
    return (_whole(p[0], grid[0]), _whole(p[1], grid[1]))


def _whole(value: float, step: float) -> float:
    return round(value / step) * step


def printable(path: Chain, grid: Grid) -> Chain:
    """The path with its ends on the grid (step of the first and second coordinate, mm).

    Elements that vanish are left out and their neighbours joined; an arc flatter than a tenth of a step is a line.
    """
    return tuple(x for e in path if (x := rounded(e, grid)) is not None)


def rounded(e: Element, grid: Grid) -> Element | None:
    """One element with its ends on the grid, None when they fall together."""
    a, b = snap(e.a, grid), snap(e.b, grid)
    if a == b:
        return None
    if isinstance(e, Line) or _sagitta(e) < 0.1 * min(grid):
        return Line(a, b)
    return _recentred(e, a, b)


def _sagitta(e: Arc) -> float:
    return e.radius * (1.0 - math.cos(min(abs(e.sweep) / 2.0, math.pi)))


def _recentred(e: Arc, a: Point, b: Point) -> Arc:
    du, dv = b[0] - a[0], b[1] - a[1]
    n = math.hypot(du, dv)
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    across = (-dv / n, du / n)
    h = (e.centre[0] - middle[0]) * across[0] + (e.centre[1] - middle[1]) * across[1]
    centre = (middle[0] + h * across[0], middle[1] + h * across[1])
    return arc_about(centre, a, b, ccw=e.sweep > 0.0)
