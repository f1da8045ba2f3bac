"""Volume of what a half-section sweeps when it turns about the axis, exact for lines and arcs.

Pappus: volume = 2 pi times the moment of the section's area about the axis. The moment is that of the polygon through
the corners plus, for each arc, that of the segment between arc and chord; nothing is flattened.
"""

from __future__ import annotations

import math

from toolpath.geometry.elements import Arc, Chain


def volume(outline: Chain) -> float:
    """mm³ swept by a closed counter-clockwise outline of points (z, x), x >= 0 the distance from the axis."""
    moment = 0.0
    for e in outline:
        (z0, x0), (z1, x1) = e.a, e.b
        moment -= (z1 - z0) * (x0 * x0 + x0 * x1 + x1 * x1) / 6.0
        if isinstance(e, Arc):
            moment += _segment_moment(e)
    return 2.0 * math.pi * moment


def _segment_moment(e: Arc) -> float:
    """Moment about the axis of the segment between arc and chord, positive where it lies outside the chord."""
    r, half = e.radius, abs(e.sweep) / 2.0
    middle = e.start_angle + e.sweep / 2.0
    area = r * r * _minus_sine(2.0 * half) / 2.0
    beyond = 2.0 / 3.0 * (r * math.sin(half)) ** 3 * math.sin(middle)  # area times (centroid - centre), across the axis
    return math.copysign(1.0, e.sweep) * (e.centre[1] * area + beyond)


def _minus_sine(w: float) -> float:
    """w - sin w, without the loss of digits that a small angle brings."""
    if w > 0.5:
        return w - math.sin(w)
    term = total = w**3 / 6.0
    for k in (20.0, 42.0, 72.0, 110.0, 156.0):
        term *= -w * w / k
        total += term
    return total
