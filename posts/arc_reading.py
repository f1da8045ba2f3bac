"""The centre of an arc as it is read, with the checks a strict control makes.

I and K are increments from the start of the arc, on radius, whatever else is in force; the radii at start and end may
differ by 0.002 mm or 0.0002 in (NISTIR 6556, section 3.5.3). R alone: above 0 the arc of at most half a turn.
"""

from __future__ import annotations

import math

from posts.axes import Axes
from posts.block import Block
from posts.dialect import Numbers
from posts.lexer import fault
from toolpath.motion import Point

EXACT = 1e-9  # mm, rounding in the arithmetic here; far below any last digit


def centre_of(block: Block, axes: Axes, *, end: Point, ccw: bool, numbers: Numbers) -> Point:
    """Centre (z, x) of the arc from where the axes stand to `end`, mm. BadInput when there is none."""
    words = block.words
    offsets = [letter for letter in "IK" if letter in words]
    gap = numbers.arc_gap * axes.scale + EXACT
    if "R" in words:
        if offsets:
            raise fault(words[offsets[0]].column, "the arc has R and I or K; one of them says where its centre is")
        return _about_radius(axes.at, end, radius=axes.length(words["R"]), ccw=ccw, gap=gap, column=words["R"].column)
    if not offsets:
        raise fault(block.column("arc_clockwise", "arc_counter", "X", "Z"), "the arc has neither I or K nor R")
    across = axes.length(words["I"]) if "I" in words else 0.0
    along = axes.length(words["K"]) if "K" in words else 0.0
    centre = (axes.at[0] + along, axes.at[1] + across)
    first, last = math.dist(axes.at, centre), math.dist(end, centre)
    column = words[offsets[0]].column
    if first <= gap:
        raise fault(column, "the arc has no radius: its centre is its start")
    if abs(first - last) > gap:
        text = f"the arc's radius is {first:.4f} mm at its start and {last:.4f} mm at its end"
        raise fault(column, text, f"They may differ by {numbers.arc_gap * axes.scale:.4g} mm")
    return centre


def _about_radius(start: Point, end: Point, *, radius: float, ccw: bool, gap: float, column: int) -> Point:
    """Centre from R: left of the way from start to end for a counter-clockwise arc of at most half a turn."""
    chord = math.dist(start, end)
    if chord <= EXACT:
        raise fault(column, "the arc ends where it starts; R can not say where its centre is", "Use I and K")
    if abs(radius) < chord / 2.0 - gap or abs(radius) <= gap:
        raise fault(column, f"R is too small: the ends of the arc lie {chord:.4f} mm apart")
    height = math.sqrt(max(radius * radius - chord * chord / 4.0, 0.0))
    side = height / chord if ccw == (radius > 0.0) else -height / chord
    dz, dx = end[0] - start[0], end[1] - start[1]
    return ((start[0] + end[0]) / 2.0 - side * dx, (start[1] + end[1]) / 2.0 + side * dz)
