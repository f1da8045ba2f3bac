"""Arcs as a drawing gives them: by two ends and a radius, by tangent, or about the axis.

Points are (z, x), x a radius; chains run towards the chuck with the metal on their left, so a bulging arc turns left
(counter-clockwise) and a hollow one right. What can not be drawn is a BadInput without a place; the caller knows it.
"""

from __future__ import annotations

import math

from toolpath.errors import BadInput
from toolpath.geometry.elements import TURN, Arc, Point, arc_about
from toolpath.part.figures import degrees, dia, mm

LEAST_TURN = math.radians(0.01)  # flatter is a straight line to any lathe: at 100 mm long it bows 2 micrometres
MOST_TURN = math.radians(350.0)  # more is a full ring to any lathe
ROUNDING = 1e-9  # of the lengths compared; a radius may fall short of its half chord by this much


def by_ends(a: Point, b: Point, radius: float, *, ccw: bool) -> Arc:
    """The shorter arc of that radius (mm) from a to b."""
    half = math.dist(a, b) / 2.0
    if radius < half * (1.0 - ROUNDING):
        raise BadInput(
            f"radius {mm(radius)} is too small to span from {dia(a[1])} to {dia(b[1])}, {mm(2.0 * half)} apart",
            right=f"It needs at least {mm(half)}",
        )
    side = math.copysign(math.sqrt(max((radius - half) * (radius + half), 0.0)) / (2.0 * half), 1.0 if ccw else -1.0)
    dz, dx = b[0] - a[0], b[1] - a[1]
    centre = ((a[0] + b[0]) / 2.0 - side * dx, (a[1] + b[1]) / 2.0 + side * dz)
    sweep = 2.0 * math.asin(min(1.0, half / radius))
    return _drawable(Arc(a, b, centre, sweep if ccw else -sweep))


def tangent_to(a: Point, along: Point, b: Point, *, ccw: bool) -> Arc:
    """The arc that leaves a in the direction `along` (unit) and ends at b."""
    dz, dx = b[0] - a[0], b[1] - a[1]
    lean = math.atan2(along[0] * dx - along[1] * dz, along[0] * dz + along[1] * dx)
    if abs(lean) < LEAST_TURN / 2.0:
        raise BadInput(
            f"{dia(b[1])} lies straight ahead of the surface before, so nothing bends", right="Write a taper"
        )
    if (lean > 0.0) != ccw:
        raise BadInput(
            f"an arc tangent to the surface before it and ending at {dia(b[1])} is {'hollow' if ccw else 'bulging'}",
            right=f"Write {'hollow' if ccw else 'bulge'}, or another end",
        )
    r = math.hypot(dz, dx) / (2.0 * math.sin(lean))  # signed: left positive
    return _drawable(Arc(a, b, (a[0] - along[1] * r, a[1] + along[0] * r), 2.0 * lean))


def tangent_of_radius(a: Point, along: Point, radius: float, *, ccw: bool, z: float | None, x: float | None) -> Arc:
    """The arc of that radius that leaves a in the direction `along` and ends where it first comes to z, or to x."""
    r = radius if ccw else -radius
    centre = (a[0] - along[1] * r, a[1] + along[0] * r)
    cos_w = None if z is None else (z - centre[0]) / radius
    sin_w = None if x is None else (x - centre[1]) / radius
    if abs(ratio := cos_w if cos_w is not None else sin_w or 0.0) > 1.0 + ROUNDING:
        far = f"{mm(radius - centre[0])} from the front" if x is None else dia(centre[1] + math.copysign(radius, ratio))
        raise BadInput(f"an arc of radius {mm(radius)} tangent to the surface before it comes only to {far}")
    ratio = min(1.0, max(-1.0, ratio))
    w = math.acos(ratio) if cos_w is not None else math.asin(ratio)
    ends = [w, -w] if cos_w is not None else [w, math.pi - w]
    start = math.atan2(a[1] - centre[1], a[0] - centre[0])
    turns = [(e - start) % TURN if ccw else (start - e) % TURN for e in ends]
    turned = min(t for t in turns if t > LEAST_TURN) if max(turns) > LEAST_TURN else 0.0
    w = start + turned if ccw else start - turned
    b = (centre[0] + radius * math.cos(w) if z is None else z, centre[1] + radius * math.sin(w) if x is None else x)
    return _drawable(Arc(a, b, centre, turned if ccw else -turned))


def dome_radius(x0: float, x1: float, height: float) -> float:
    """Radius of the sphere about the axis that goes from radius x0 to x1 over `height`, on one side of its equator."""
    small, large = min(x0, x1), max(x0, x1)
    to_small = (height * height + large * large - small * small) / (2.0 * height)
    if to_small < height * (1.0 - ROUNDING):
        raise BadInput(
            f"a dome from {dia(x0)} to {dia(x1)} over {mm(height)} would go past its largest diameter",
            right=f"At most {mm(math.sqrt(large * large - small * small))} long is a dome; past that write ball",
        )
    return math.hypot(to_small, small)


def about_axis(a: Point, x1: float, radius: float, *, rises: bool, falls: bool) -> Arc:
    """Bulging arc with its centre on the axis, from a to radius x1.

    rises: a lies on the side of the free end; falls: the end lies on the side of the chuck. Both: past the equator.
    """
    for x in (a[1], x1):
        if x > radius * (1.0 + ROUNDING):
            raise BadInput(
                f"a sphere of radius {mm(radius)} is {mm(2.0 * radius)} across and never comes to {dia(x)}",
                right=f"It needs a radius of at least {mm(x)}",
            )
    to_a, to_b = (math.sqrt(max((radius - x) * (radius + x), 0.0)) for x in (a[1], x1))
    centre = a[0] - to_a if rises else a[0] + to_a
    b = (centre - to_b if falls else centre + to_b, x1)
    return _drawable(arc_about((centre, 0.0), a, b, ccw=True))


def _drawable(arc: Arc) -> Arc:
    """The arc, unless it is all but straight or all but a full ring."""
    if abs(arc.sweep) < LEAST_TURN:
        raise BadInput(
            f"an arc that turns through only {degrees(abs(arc.sweep))} is straight", right="Write a taper or dia"
        )
    if abs(arc.sweep) > MOST_TURN:
        raise BadInput(f"an arc that turns through {degrees(abs(arc.sweep))} closes on itself")
    return arc
