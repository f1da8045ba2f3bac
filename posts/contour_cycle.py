"""Roughing between a bar and a contour, as a turning control runs it (the course, training pages).

From where the tool stands, A, the tool is let in a depth at a time, cuts along Z until it meets the contour, leaves at
45 degrees and goes back. When all levels are cut it goes along the contour once, and returns to A. Contour and levels
are shifted together by the allowances. Which of these moves are rapids, that the shift takes A along, and the last way
along the contour: from memory. The contour must rise and run on in one sense: a hollow is not read, since controls
differ in what they make of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from toolpath.geometry.elements import Element, Line, Point, arc_about
from toolpath.motion import ArcCut, Cut, Move, Rapid, State, Step

MOST_LEVELS = 1000
"""More than these is a slip of the pen (common practice, no source)."""

SAME = 1e-6
"""mm: places closer than this are one."""


class Roughing(Struct, frozen=True):
    """Lengths in mm, x a radius.

    start:   A; contour: the moves of its blocks, the first one across from A
    depth:   of a level; lift: by which the tool leaves a level, along both axes
    aside:   (z, x) by which all of it is shifted, so that as much is left
    """

    start: Point
    contour: tuple[Move, ...]
    depth: float
    lift: float
    aside: Point = (0.0, 0.0)

    @property
    def out(self) -> float:
        """Sense of x that leads away from the metal."""
        return math.copysign(1.0, self.start[1] - self.contour[0].end[1])


def odd_first(move: Move) -> str:
    """Why a move may not lead to a contour; empty where it may."""
    if not isinstance(move, Rapid | Cut) or move.end[0] != move.start[0] or move.end[1] == move.start[1]:
        return "the first block of a contour leads across, along X alone, by a straight move"
    return ""


def odd_next(move: Move, *, out: float, way: float) -> str:
    """Why a move may not stand in a contour that runs in the sense `way` of z (0.0: not known yet), rising in that of x
    `out`; empty where it may."""
    if not isinstance(move, Cut | ArcCut):
        return "only moves at feed stand in a contour behind its first block"
    dz, dx = move.end[0] - move.start[0], out * (move.end[1] - move.start[1])
    if way * dz < -SAME or dx < -SAME or (isinstance(move, ArcCut) and not _monotone(move)):
        return "the contour turns back; a hollow is not read, since controls differ in what they make of it"
    return ""


def odd_end(cycle: Roughing) -> str:
    """Why a whole contour is none; empty where it is sound."""
    if len(cycle.contour) < 2 or cycle.contour[-1].end[0] == cycle.start[0]:
        return "a contour goes on along Z behind the block that leads to it"
    if cycle.out * (cycle.start[1] - cycle.contour[-1].end[1]) < -SAME:
        return "the contour ends beyond where the cycle begins"
    return ""


def _element(move: Cut | ArcCut) -> Element:
    if isinstance(move, ArcCut):
        return arc_about(move.centre, move.start, move.end, ccw=move.ccw)
    return Line(move.start, move.end)


def _monotone(move: ArcCut) -> bool:
    """Whether an arc stays between its ends along both axes."""
    if move.start == move.end:
        return False
    z0, x0, z1, x1 = _element(move).bounds()
    a, b = move.start, move.end
    inside = (min(a[0], b[0]) - z0, min(a[1], b[1]) - x0, z1 - max(a[0], b[0]), x1 - max(a[1], b[1]))
    return max(inside) <= SAME


def levels(cycle: Roughing) -> list[float]:
    """x of every level, the first one a depth in from A. ValueError where they are more than anybody means."""
    deep = abs(cycle.start[1] - cycle.contour[0].end[1])
    count = math.ceil(deep / cycle.depth - SAME) - 1
    if count > MOST_LEVELS:
        raise ValueError(f"the cycle takes more than {MOST_LEVELS} levels")
    return [cycle.start[1] - cycle.out * cycle.depth * k for k in range(1, count + 1)]


def expanded(cycle: Roughing, *, state: State, line: int) -> Iterator[Step]:
    """The moves, from A and back to it."""
    dz, dx = cycle.aside

    def at(p: Point) -> Point:
        return (p[0] + dz, p[1] + dx)

    def let_in(a: Point, b: Point) -> Step:
        return (Rapid if isinstance(cycle.contour[0], Rapid) else Cut)(at(a), at(b), state, line)

    (z0, x0), out = cycle.start, cycle.out
    way = math.copysign(1.0, cycle.contour[-1].end[0] - z0)
    here = cycle.start
    if at(here) != here:
        yield Rapid(here, at(here), state, line)
    for x in levels(cycle):
        yield let_in(here, (z0, x))
        met = _met(cycle, x)
        yield Cut(at((z0, x)), at((met, x)), state, line)
        off = (met - way * cycle.lift, x + out * cycle.lift)
        yield Rapid(at((met, x)), at(off), state, line)
        here = (z0, off[1])
        if here != off:
            yield Rapid(at(off), at(here), state, line)
    yield let_in(here, cycle.contour[0].end)
    for move in cycle.contour[1:]:
        yield _moved(move, (dz, dx), state, line)
    last = at(cycle.contour[-1].end)
    if last != (last[0], x0):
        yield Rapid(last, (last[0], x0), state, line)
    if (last[0], x0) != cycle.start:
        yield Rapid((last[0], x0), cycle.start, state, line)


def _moved(move: Move, by: Point, state: State, line: int) -> Step:
    start, end = ((p[0] + by[0], p[1] + by[1]) for p in (move.start, move.end))
    moved = replace(move, start=start, end=end, state=state, line=line)
    if isinstance(moved, ArcCut):
        return replace(moved, centre=(moved.centre[0] + by[0], moved.centre[1] + by[1]))
    return moved


def _met(cycle: Roughing, x: float) -> float:
    """z at which a level meets the contour; its end where it does not."""
    for move in cycle.contour[1:]:
        if cycle.out * (move.end[1] - x) >= -SAME and isinstance(move, Cut | ArcCut):
            return _crossing(_element(move), x, cycle.out)
    return cycle.contour[-1].end[0]


def _crossing(e: Element, x: float, out: float) -> float:
    """z at which an element that rises without turning back comes to x, from below."""
    low, high = 0.0, 1.0
    if out * (e.a[1] - x) >= 0.0:
        return e.a[0]
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if out * (e.point_at(middle)[1] - x) < 0.0 else (low, middle)
    return e.point_at(low)[0]
