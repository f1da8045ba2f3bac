"""Contours of any number of elements, for the kernel: left to right in (z, x), 100 mm long, about 20 mm in radius."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable

from toolpath.geometry.elements import Chain, Element, Line, arc_about, polyline

LENGTH = 100.0


def smooth(count: int) -> Chain:
    """Tapers along ten periods of a sine."""
    return polyline(
        [(LENGTH * (k / count - 1.0), 20.0 + math.sin(20.0 * math.pi * k / count)) for k in range(count + 1)]
    )


def rough(count: int) -> Chain:
    """Tapers between random heights."""
    drawn = random.Random(1)
    return polyline([(LENGTH * (k / count - 1.0), 20.0 + drawn.uniform(-1.0, 1.0)) for k in range(count + 1)])


def shoulders(count: int) -> Chain:
    """Half circles bulging out, with square shoulders of random height between them."""
    drawn, half = random.Random(1), LENGTH / (count + 1)
    out: list[Element] = []
    for k in range((count + 1) // 2):
        z, x = 2.0 * half * k - LENGTH, 20.0 + drawn.uniform(-1.0, 1.0)
        out.append(arc_about((z + half, x), (z, x), (z + 2.0 * half, x), ccw=False))
    ends = itertools.pairwise(out)
    walls = [Line(a.b, (a.b[0], b.a[1])) for a, b in ends]
    joined = [e for pair in itertools.zip_longest(out, walls) for e in pair if e is not None]
    return tuple(_meeting(joined))


def _meeting(chain: list[Element]) -> list[Element]:
    """The same elements, each beginning exactly where the one before it ended."""
    out = chain[:1]
    for e in chain[1:]:
        a = out[-1].b
        out.append(Line(a, e.b) if isinstance(e, Line) else arc_about(e.centre, a, e.b, ccw=e.sweep > 0.0))
    return out


PROFILES: dict[str, Callable[[int], Chain]] = {"smooth": smooth, "rough": rough, "shoulders": shoulders}
