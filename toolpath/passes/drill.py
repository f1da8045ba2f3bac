"""Holes on the axis: centre, drill with pecks, flat drill, countersink, ream. One axis moves at a time.

The tool comes to the axis in front of the work and leaves it there, so it never moves sideways in a hole. z falls
into the work; the point moves.
"""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import Struct

from toolpath.geometry.elements import Chain, Line, Point, polyline, reverse
from toolpath.passes.legs import Legs, dwell, end_of, feed, rapid
from toolpath.shop.tools import Tool

Stretch = tuple[float, float, float]
"""(z, z, share): between these the feed is so much of itself."""


class Hole(Struct, frozen=True):
    """In z, mm.

    front:     where the tool may move sideways: clear of all that stands
    mouth:     of the hole; begins: where the point meets metal, the bottom of a hole that is there already
    bottom:    where the point ends
    first, peck: first and later pecks, the later ones evenly shared out
    lift:      how far the tool is drawn back between pecks to break the chip; 0: out of the hole to clear it
    clearance: distance from metal at which rapids end
    eased:     stretches of less feed; where they overlap the least holds
    turns:     of the spindle, waited at the bottom
    feed_out:  True to leave the hole at feed (a reamer; the spindle keeps its sense)
    """

    front: float
    mouth: float
    begins: float
    bottom: float
    first: float
    peck: float
    clearance: float
    lift: float = 0.0
    eased: tuple[Stretch, ...] = ()
    turns: float = 0.0
    feed_out: bool = False


def drill(job: Hole, start: Point) -> tuple[Legs, int]:
    """Legs from `start` (clear of the work) to the axis, into the work and out to (front, 0), and the number of pecks.

    ValueError when the places are out of order: front >= mouth + clearance, mouth >= begins > bottom.
    """
    if not (job.front >= job.mouth + job.clearance and job.mouth >= job.begins > job.bottom):
        raise ValueError(f"a hole from {job.mouth:g} to {job.bottom:g}, begun to {job.begins:g}, front {job.front:g}")
    ahead, over = (job.front, 0.0), (job.mouth + job.clearance, 0.0)
    legs: Legs = (
        *rapid(start, (job.front, start[1])),
        *rapid((job.front, start[1]), ahead),
        *rapid(ahead, over),
    )
    floors = depths(job)
    legs += rapid(over, (min(job.begins + job.clearance, over[0]), 0.0))
    for k, z in enumerate(floors):
        legs += _down(end_of(legs)[0], z, job.eased)
        if k + 1 == len(floors):
            legs += dwell((z, 0.0), turns=job.turns) if job.turns else ()
        elif job.lift:
            legs += rapid((z, 0.0), (min(z + job.lift, over[0]), 0.0))
        else:
            legs += (*rapid((z, 0.0), over), *rapid(over, (min(z + job.clearance, over[0]), 0.0)))
    back = (job.bottom, 0.0)
    legs += feed(back, over) if job.feed_out else rapid(back, over)
    return (*legs, *rapid(over, ahead)), len(floors)


def depths(job: Hole) -> list[float]:
    """z at the end of each peck, the last one `bottom`: the first peck whole, the rest in equal ones."""
    deep = job.begins - job.bottom
    if job.first >= deep - 1e-9:
        return [job.bottom]
    rest = deep - job.first
    n = math.ceil(rest / job.peck - 1e-9)
    return [job.begins - job.first - rest * k / n for k in range(n)] + [job.bottom]


def _down(top: float, bottom: float, eased: tuple[Stretch, ...]) -> Legs:
    """At feed along the axis, slower on the stretches."""
    ends = {z for a, b, _ in eased for z in (a, b) if bottom < z < top}
    legs: Legs = ()
    for a, b in pairwise(sorted({top, bottom, *ends}, reverse=True)):
        middle = (a + b) / 2.0
        share = min((s for lo, hi, s in eased if min(lo, hi) < middle < max(lo, hi)), default=1.0)
        legs += feed((a, 0.0), (b, 0.0), share=share)
    return legs


def through(back: float, point_length: float, *, extra: float) -> float:
    """z of the point when the full diameter stands `extra` mm beyond the face at `back`."""
    return back - point_length - extra


def taken(tool: Tool, *, mouth: float, bottom: float) -> Chain:
    """Closed outline, above the axis, of all that a tool on the axis takes off between z = `mouth` and its point at
    z = `bottom`: its profile, and its greatest radius behind that.

    ValueError for a tool that does not work on the axis or whose outline is not straight.
    """
    chains = (tool.outline, *tool.steps)
    if tool.works != "hole" or not all(isinstance(e, Line) for c in chains for e in c):
        raise ValueError(f"{tool.name} has no straight profile round the axis")
    deep = mouth - bottom
    profile: list[Point] = [(0.0, 0.0)]
    for chain in chains:
        for z, x in sorted(e.a for e in chain if e.a[1] >= 0.0):
            before_z, before_x = profile[-1]
            if x < before_x or (z, x) == profile[-1]:
                continue  # behind what is wider already
            if z >= deep:
                share = (deep - before_z) / (z - before_z) if z > before_z else 1.0
                profile.append((deep, before_x + share * (x - before_x)))
                break
            profile.append((z, x))
        if profile[-1][0] >= deep:
            break
    widest = profile[-1][1]
    ends = [(deep, widest)] if profile[-1][0] < deep else []
    around = [*profile, *ends, (deep, 0.0)]
    return reverse(polyline([(bottom + z, x) for z, x in around], close=True))
