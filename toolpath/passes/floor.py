"""Rough the floor that closes a hole on the axis: from the wall towards the axis, one depth nearer each time.

Level passes end where the hole was drilled; nearer to the axis a bar has the drill's cone in front of it and the wall
across the hole behind it. It comes in along the hole, goes down the floor and leaves the way it came: no move crosses
the hole but where it was drilled to its full diameter.
"""

from __future__ import annotations

from msgspec import Struct

from toolpath.geometry.elements import Chain, Point, reverse
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.passes.legs import Legs, along, end_of, feed, rapid


class FloorRoughing(Struct, frozen=True):
    """In (u, v) of the inside, mm.

    paths:     of the tool's point, left to right, the first cut first; each begins on its right in air
    core:      u beyond which the hole has its drilled diameter
    travel:    v at which the tool goes along the hole
    clearance: distance from metal at which rapids end
    """

    paths: tuple[Chain, ...]
    core: float
    travel: float
    clearance: float


def rough_floor(job: FloorRoughing, start: Point) -> Legs:
    """Legs from `start`, on the travel line, until the tool is on it again in the drilled part of the hole."""
    legs: Legs = ()
    here = start
    for chain in job.paths:
        path = reverse(merged(chain, MERGE, sliver=SLIVER))
        first, last = path[0].a, path[-1].b
        u = max(job.core, first[0]) + job.clearance
        over = (u, first[1])
        near = (first[0] + job.clearance, first[1])
        # Nearer to the wall than the travel line there may be less than a clearance left: no rapid there.
        come = rapid(over, near) if first[1] >= job.travel else feed(over, near)
        legs += (
            *rapid(here, (u, job.travel)),
            *feed((u, job.travel), over),
            *come,
            *feed(near, first),
            *along(path),
            *feed(last, (last[0] + job.clearance, last[1])),
            *rapid((last[0] + job.clearance, last[1]), (u, last[1])),
            *feed((u, last[1]), (u, job.travel)),
        )
        here = end_of(legs)
    return legs
