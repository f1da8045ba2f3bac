"""A neck: two walls and a floor between two larger diameters; inside, an undercut between two smaller ones."""

from __future__ import annotations

import math

from toolpath.errors import BadInput
from toolpath.geometry.elements import Line, Point
from toolpath.part.figures import dia, mm
from toolpath.part.rows import Neck
from toolpath.part.surfaces import needed_end

SMALLER = "A neck is smaller than the surfaces on both sides; a plain diameter is a dia"
LARGER = "An inside neck is larger than the surfaces on both sides; a plain diameter is a dia"


def front_wall(row: Neck, a: Point, *, inside: bool = False) -> Line:
    """The wall from the surface before, which ends at a, into the metal to the floor."""
    x = row.dia.value / 2.0
    deep = x - a[1] if inside else a[1] - x
    if deep <= 0.0:
        beside = dia(a[1]) if a[1] > 0.0 else "the front end"
        raise _too_shallow(x, f"before it, {beside}", inside)
    return Line(a, (a[0] - deep * math.tan(row.front_wall), x))


def _too_shallow(x: float, beside: str, inside: bool) -> BadInput:
    below, right = ("beyond", LARGER) if inside else ("below", SMALLER)
    return BadInput(f"a neck of {dia(x)} does not lie {below} the surface {beside}", right=right)


def neck_ends(row: Neck, wall: Line, behind: float | None, *, inside: bool = False) -> tuple[Line, Line]:
    """Floor and second wall, up to radius `behind`, where the next surface starts."""
    x, z = wall.b[1], needed_end(row, wall.a[0])
    if behind is None:
        raise BadInput(
            "nothing says how high the neck's second wall is", right="The next row must be a dia, or say from_dia"
        )
    deep = x - behind if inside else behind - x
    if deep <= 0.0:
        raise _too_shallow(x, f"after it, {dia(behind)}", inside)
    foot = z + deep * math.tan(row.back_wall)
    if foot >= wall.b[0]:
        raise BadInput(
            f"the walls of the neck meet before they come down to {dia(x)}: they take "
            f"{mm(wall.a[0] - wall.b[0] + foot - z)} and the neck is {mm(wall.a[0] - z)} long"
        )
    return Line(wall.b, (foot, x)), Line((foot, x), (z, behind))
