"""One surface row and the point where it starts -> its element. No neighbours but the direction of the one before.

Errors are BadInput without a place; the caller adds the row.
"""

from __future__ import annotations

import math

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Element, Line, Point, arc_about
from toolpath.part.arcs import about_axis, by_ends, dome_radius, tangent_of_radius, tangent_to
from toolpath.part.figures import dia, mm, plain
from toolpath.part.rows import Ball, Curve, Cylinder, Dome, Hole, Neck, Quarter, Reach, SurfaceRow, Taper


def start_of(row: SurfaceRow) -> float | None:
    """Radius at the front end of the row's surface, None where it goes on from the surface before."""
    if isinstance(row, Cylinder | Neck | Hole):
        return row.dia.value / 2.0
    return None if row.start is None else row.start / 2.0


def end_of(row: Reach, z: float) -> float | None:
    """z where the row's surface ends, None where neither `to` nor `length` is written."""
    if row.to is not None and row.length is not None:
        raise BadInput("both to and length are written", right="Write one of them")
    end = -row.to if row.to is not None else None if row.length is None else z - row.length
    if end is not None and end >= z:
        what = f"to = {mm(-end)}" if row.to is not None else f"length {mm(z - end)}"
        raise BadInput(f"{what} does not go beyond the surface before it, which ends {mm(-z)} from the front face")
    return end


def needed_end(row: Reach, z: float) -> float:
    end = end_of(row, z)
    if end is None:
        raise BadInput("nothing says how long the surface is", right="Write to (from the front face) or length")
    return end


def element(row: SurfaceRow, a: Point, before: Element | None, *, inside: bool = False) -> Element:
    """The row's surface from a. `before` is the surface that ends at a, for tangent arcs; None after a shoulder.

    inside: the metal lies on the far side from the axis, so what bulges out of it bulges towards the axis.
    """
    if isinstance(row, Cylinder):
        return Line(a, (needed_end(row, a[0]), a[1]))
    if isinstance(row, Taper):
        return _taper(row, a)
    if isinstance(row, Curve):
        return _curve(row, a, before, inside)
    if isinstance(row, Quarter):
        return _quarter(row, a, inside)
    if isinstance(row, Dome):
        return _dome(row, a)
    if isinstance(row, Ball):
        return _ball(row, a)
    raise TypeError(f"{type(row).__name__} is no surface of one element")


def named(row: SurfaceRow, e: Element, *, inside: bool = False) -> str:
    """The surface in words."""
    if not inside:
        return _named(row, e)
    return f"{'bore ' if isinstance(row, Cylinder) else '' if isinstance(row, Hole) else 'inside '}{_named(row, e)}"


def _named(row: SurfaceRow, e: Element) -> str:
    ends = f"{dia(e.a[1])} to {plain(2.0 * e.b[1])}"
    if isinstance(row, Curve):
        return f"{'bulge' if row.bulging else 'hollow'} radius {plain(_radius(e))} from {ends}"
    if isinstance(row, Quarter):
        return f"quarter {'round' if row.bulging else 'hollow'} {plain(row.radius)}"
    if isinstance(row, Dome):
        return f"dome radius {plain(_radius(e))}"
    if isinstance(row, Ball):
        return f"ball {dia(row.sphere / 2.0)}"
    if isinstance(row, Taper):
        return f"taper {ends}"
    written = f" ({row.dia.text})" if isinstance(row, Cylinder | Neck | Hole) and row.dia.toleranced else ""
    return f"{'neck ' if isinstance(row, Neck) else 'hole ' if isinstance(row, Hole) else ''}{dia(e.a[1])}{written}"


def _radius(e: Element) -> float:
    return e.radius if isinstance(e, Arc) else 0.0


def _taper(row: Taper, a: Point) -> Line:
    z = end_of(row, a[0])
    if row.half_angle is None:
        if row.end is None or z is None:
            raise BadInput(
                "a taper needs two of: end diameter, angle, length",
                right="Write taper_to with to or length, or with half_angle or included_angle",
            )
        b = (z, row.end / 2.0)
    elif row.end is not None:
        if z is not None:
            raise BadInput("end diameter, angle and length are three ways to say two things", right="Leave one out")
        b = (a[0] - abs(row.end / 2.0 - a[1]) / math.tan(row.half_angle), row.end / 2.0)
    else:
        if row.rising is None:
            raise BadInput("nothing says which way the taper leans", right='Write goes = "rising" or goes = "falling"')
        up = math.tan(row.half_angle) * (a[0] - needed_end(row, a[0]))
        b = (needed_end(row, a[0]), a[1] + up if row.rising else a[1] - up)
        if b[1] < 0.0:
            raise BadInput(
                f"the taper falls from {dia(a[1])} past the axis",
                right=f"It may be {mm(a[1] / math.tan(row.half_angle))} long",
            )
    if b[1] == a[1]:
        raise BadInput(f"the taper starts and ends at {dia(a[1])}", right="A plain diameter is a dia")
    return Line(a, b)


def _curve(row: Curve, a: Point, before: Element | None, inside: bool) -> Arc:
    ccw = row.bulging != inside
    z, x = end_of(row, a[0]), None if row.end is None else row.end / 2.0
    if not row.tangent:
        if z is None or x is None or row.radius is None:
            raise BadInput(
                "an arc needs its end diameter, its length and its radius",
                right="Write all three, or tangent = true with two of them",
            )
        return by_ends(a, (z, x), row.radius, ccw=ccw)
    if before is None:
        raise BadInput(
            "there is no surface just before it that the arc could be tangent to", right="Write its radius instead"
        )
    along = before.tangent_at(1.0)
    if row.radius is None and z is not None and x is not None:
        return tangent_to(a, along, (z, x), ccw=ccw)
    if row.radius is None or (z is None) == (x is None):
        raise BadInput("a tangent arc needs two of: end diameter, length, radius", right="Write exactly two")
    return tangent_of_radius(a, along, row.radius, ccw=ccw, z=z, x=x)


def _quarter(row: Quarter, a: Point, inside: bool) -> Arc:
    ccw = row.bulging != inside
    r = row.radius
    up = r if row.rising else -r
    b = (a[0] - r, a[1] + up)
    if b[1] < 0.0:
        raise BadInput(f"a quarter of radius {mm(r)} falls from {dia(a[1])} past the axis")
    # A rising round and a falling hollow start along the shoulder, the other two along the cylinder.
    centre = (b[0], a[1]) if ccw == row.rising else (a[0], b[1])
    return arc_about(centre, a, b, ccw=ccw)


def _dome(row: Dome, a: Point) -> Arc:
    z, x = end_of(row, a[0]), row.end / 2.0
    if x == a[1]:
        raise BadInput(
            f"the dome starts and ends at {dia(x)}", right="Write ball for a sphere past its largest diameter"
        )
    if (z is None) == (row.radius is None):
        raise BadInput("a dome needs its radius or its length, one of the two")
    radius = row.radius if row.radius is not None else dome_radius(a[1], x, a[0] - (z or 0.0))
    rising = x > a[1]
    return about_axis(a, x, radius, rises=rising, falls=not rising)


def _ball(row: Ball, a: Point) -> Arc:
    z, r = end_of(row, a[0]), row.sphere / 2.0
    if (z is None) == (row.end is None):
        raise BadInput("nothing says where the ball ends", right="Write down_to (a diameter), or to or length")
    if row.end is not None:
        return about_axis(a, row.end / 2.0, r, rises=True, falls=True)
    whole = about_axis(a, 0.0, r, rises=True, falls=True)
    past = whole.centre[0] - (z or 0.0)
    if not 0.0 <= past <= r * (1.0 + 1e-9):
        raise BadInput(
            f"a ball {mm(a[0] - (z or 0.0))} long does not end between its largest diameter and its end",
            right=f"Between {mm(a[0] - whole.centre[0])} and {mm(a[0] - whole.b[0])}; a shorter one is a dome",
        )
    return about_axis(a, math.sqrt(max((r - past) * (r + past), 0.0)), r, rises=True, falls=True)
