"""How far from the axis an element lies at a place along it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from toolpath.geometry.elements import Element, Line

SAME = 1e-9  # mm


def radii(e: Element, z: float) -> Iterator[float]:
    """Distances from the axis at which an element has points at z, mm; the ends of an upright line."""
    low, _, high, _ = e.bounds()
    if not low - SAME <= z <= high + SAME:
        return
    for end in (e.a, e.b):
        if abs(end[0] - z) <= SAME:
            yield end[1]
    if isinstance(e, Line):
        if high - low > SAME:
            yield e.point_at((z - e.a[0]) / (e.b[0] - e.a[0]))[1]
        return
    half = math.sqrt(max(e.radius**2 - (z - e.centre[0]) ** 2, 0.0))
    for x in (e.centre[1] - half, e.centre[1] + half):
        if 0.0 <= e.parameter_of((z, x)) <= 1.0:
            yield x
