"""Rough along the contour: the same shape again and again, each time one depth nearer.

For stock that is already near the shape, where level passes would run mostly in air.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from toolpath.geometry.elements import Point, reverse
from toolpath.geometry.envelope import Envelope
from toolpath.passes import levels
from toolpath.passes.legs import Legs, along, end_of, feed, rapid
from toolpath.passes.levels import Span


class Following(Struct, frozen=True):
    """What the passes must keep to, all mm.

    shells:    envelopes of the tool that leaves less and less, outermost first; the last leaves the finishing metal
    stock:     envelope of what stands now for the bare tool
    within:    stretch of u that is to be roughed
    top:       height from which everything is clear of the stock
    clearance: distance from metal at which rapids end and retreats stop
    """

    shells: Sequence[Envelope]
    stock: Envelope
    within: Span
    top: float
    clearance: float


def follow(job: Following, start: Point) -> tuple[Legs, int]:
    """Legs from `start` (clear of the stock) until the last retreat, and the number of cuts."""
    legs: Legs = ()
    here, cuts = start, 0
    height = max(job.top + job.clearance, start[1])
    for shell in job.shells:
        for lo, hi in reversed(levels.standing(job.stock, shell, job.within)):
            path = reverse(levels.clipped(shell, (lo, min(hi + job.clearance, job.within[1]))))
            if not path:
                continue
            first, foot = path[0].a, path[-1].b
            # Where the stretch ends at an upright wall the cut goes on up the wall, as far as metal stands.
            last = (foot[0], max(foot[1], min(shell.height(foot[0]), job.stock.height(foot[0]))))
            # Metal may stand beside the start up to the stock's own height: feed down from there.
            near = (first[0], min(max(job.stock.height(first[0]), first[1]) + job.clearance, height))
            legs += (
                *rapid(here, (here[0], height)),
                *rapid((here[0], height), (first[0], height)),
                *rapid((first[0], height), near),
                *feed(near, first),
                *along(path),
                *feed(foot, last),
                *feed(last, levels.way_out(shell, last, job.clearance, top=job.top + job.clearance)),
            )
            here, cuts = end_of(legs), cuts + 1
    return legs, cuts
