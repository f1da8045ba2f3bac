"""Rough along the feed: level by level, valley by valley.

One level of one valley is one cut along max(E, L): level where nothing is in the way, along the contour where it rises
into the band being taken. So every level climbs the contour by one depth at its end, nothing stands on slopes for the
finish cut, and no pass runs in air. A valley is finished before the next is begun.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.geometry.elements import Point, reverse
from toolpath.geometry.envelope import Envelope
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.passes import levels
from toolpath.passes.legs import Legs, along, end_of, feed, rapid
from toolpath.passes.levels import Span

TOLERANCE = 1e-7
"""mm: heights closer than this are one height."""

LEAST_BITE = 0.2
"""Part of the depth of cut below which a pass is a sliver: no step of the contour makes a pass thinner than this."""


class Roughing(Struct, frozen=True):
    """What the pass must keep to, all mm.

    keep:      envelope of what must be missed for the tool that leaves metal on
    stock:     envelope of what stands now for the bare tool
    within:    stretch of u that is to be roughed
    top:       height from which everything is clear of the stock
    depth:     greatest depth of a pass
    clearance: distance from metal at which rapids end and retreats stop
    """

    keep: Envelope
    stock: Envelope
    within: Span
    top: float
    depth: float
    clearance: float


class _Valley(Struct, frozen=True):
    """A stretch where E lies under `ceiling`, to which the metal has been taken down; `parent` ceiling clears it."""

    span: Span
    ceiling: float
    clear: float


def rough(job: Roughing, start: Point) -> tuple[Legs, tuple[float, ...]]:
    """Legs from `start` (a point clear of the stock) until the last retreat, and the depth of each pass in mm."""
    legs: Legs = ()
    depths: list[float] = []
    here = start
    waiting = [_Valley(s, job.top, job.top) for s in levels.below(job.keep, job.top, job.within, TOLERANCE)]
    while waiting:
        valley = waiting.pop()
        metal = levels.standing(job.stock, job.keep, valley.span)
        if not metal:
            continue
        level = _next_level(job, valley, (metal[0][0], metal[-1][1]))
        cut = _pass(job, valley, level, here)
        if cut:
            legs += cut
            here = end_of(cut)
            depths.append(valley.ceiling - level)
        # The rightmost child is last on the list, so it is cut next: from the free end towards the chuck.
        children = levels.below(job.keep, level, valley.span, -TOLERANCE)
        waiting += [_Valley(s, level, valley.ceiling) for s in children]
    return legs, tuple(depths)


def _next_level(job: Roughing, valley: _Valley, metal: Span) -> float:
    """The next level down: equal steps to the next level stretch of the contour, or to the bottom."""
    least = LEAST_BITE * job.depth
    bottom = levels.lowest(job.keep, metal)
    flats = levels.flats(job.keep, metal, least=job.depth)
    target = max(bottom, next((f for f in flats if f <= valley.ceiling - least), bottom))
    gap = max(valley.ceiling - target, TOLERANCE)
    return valley.ceiling - gap / max(1, math.ceil(gap / job.depth - TOLERANCE))


def _pass(job: Roughing, valley: _Valley, level: float, here: Point) -> Legs:
    """One cut with its approach and its retreat; nothing where no metal stands."""
    metal = levels.standing(job.stock, job.keep, valley.span, level)
    if not metal:
        return ()
    span = (metal[0][0], metal[-1][1])
    c = job.clearance
    path = reverse(
        merged(levels.raised(job.keep, level, (span[0], min(span[1] + c, valley.span[1]))), MERGE, sliver=SLIVER)
    )
    first, foot = path[0].a, path[-1].b
    # A valley that ends at an upright wall is left by climbing it, so that the nose leaves no hollow at its foot.
    last = (foot[0], max(foot[1], valley.ceiling)) if span[0] <= valley.span[0] + TOLERANCE else foot
    height = max(valley.clear + c, here[1])
    # Beside the metal the tool may come down all the way; over a contour it stops one clearance above and feeds in.
    beside = first if first[0] - span[1] > c / 2.0 else (first[0], valley.ceiling + c)
    return (
        *rapid(here, (here[0], height)),
        *rapid((here[0], height), (beside[0], height)),
        *rapid((beside[0], height), beside),
        *feed(beside, first),
        *along(path),
        *feed(foot, last),
        *feed(last, levels.way_out(job.keep, last, c, top=job.top + c)),
    )
