"""Rough along the feed: level by level, valley by valley.

One level of one valley is one cut along max(E, L): level where nothing is in the way, along the contour where it rises
into the band being taken. So every level climbs the contour by one depth at its end, nothing stands on slopes for the
finish cut, and no pass runs in air. A valley is finished before the next is begun, and on the way to the next cut the
tool is lifted over what stands on that way then, and no higher.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from toolpath.geometry.elements import Point, reverse
from toolpath.geometry.envelope import Envelope
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.passes import levels
from toolpath.passes.legs import Leg, Legs, along, feed, rapid
from toolpath.passes.levels import Span

TOLERANCE = 1e-7
"""mm: heights closer than this are one height."""

THIN = 0.01
"""Part of the depth of cut: metal no thicker than this is none; a pass for it would rub, so the finish cut takes it."""

LEAST_BITE = 0.2
"""Part of the depth of cut below which a pass is a sliver: no step of the contour makes a pass thinner than this."""


DOWN, PLUNGE = 0.5, 0.25
"""Of the feed, where the nose goes down into metal, and where it does so steeper than `STEEP`: the edge behind it then
cuts too, along much of its length (common practice, no source)."""

STEEP = math.radians(30.0)
"""From level (common practice, no source)."""


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
    """A stretch where E lies under `ceiling`, to which the metal in it has been taken down."""

    span: Span
    ceiling: float


def rough(job: Roughing, start: Point) -> tuple[Legs, tuple[float, ...]]:
    """Legs from `start` (a point clear of the stock) until the last retreat, and the depth of each pass in mm."""
    legs: list[Leg] = []
    depths: list[float] = []
    here = start
    metal = levels.standing(job.stock, job.keep, job.within, least=THIN * job.depth)
    waiting = [_Valley(s, job.top) for s in levels.below(job.keep, job.top, job.within, TOLERANCE)]
    while waiting:
        valley = waiting.pop()
        stands = levels.inside(metal, valley.span)
        if not stands:
            continue
        level = _next_level(job, valley, (stands[0][0], stands[-1][1]))
        taken = _taken(job, stands, level)
        if taken is not None:
            legs += _pass(job, valley, level, taken=taken, here=here)
            here = legs[-1].path.b
            depths.append(valley.ceiling - level)
        # The rightmost child is last on the list, so it is cut next: from the free end towards the chuck.
        waiting += [_Valley(s, level) for s in levels.below(job.keep, level, valley.span, -TOLERANCE)]
    return tuple(legs), tuple(depths)


def _next_level(job: Roughing, valley: _Valley, metal: Span) -> float:
    """The next level down: equal steps to the next level stretch of the contour, or to the bottom."""
    least = LEAST_BITE * job.depth
    bottom = levels.lowest(job.keep, metal)
    flats = levels.flats(job.keep, metal, least=job.depth)
    target = max(bottom, next((f for f in flats if f <= valley.ceiling - least), bottom))
    gap = max(valley.ceiling - target, TOLERANCE)
    return valley.ceiling - gap / max(1, math.ceil(gap / job.depth - TOLERANCE))


def _taken(job: Roughing, metal: Sequence[Span], level: float) -> Span | None:
    """The stretch over which metal stands over a level too; None where the pass would run in air."""
    over = level + THIN * job.depth
    left = next((s for m in metal for s in levels.above(job.stock, over, m)), None)
    right = next((s for m in reversed(metal) for s in reversed(levels.above(job.stock, over, m))), None)
    return (left[0], right[1]) if left and right else None


def _pass(job: Roughing, valley: _Valley, level: float, *, taken: Span, here: Point) -> Legs:
    """One cut over the metal, with its approach and its retreat."""
    c = job.clearance
    within = (taken[0], min(taken[1] + c, valley.span[1]))
    path = reverse(merged(levels.raised(job.keep, level, within), MERGE, sliver=SLIVER))
    first, foot = path[0].a, path[-1].b
    # A valley that ends at an upright wall is left by climbing it, so that the nose leaves no hollow at its foot.
    last = (foot[0], max(foot[1], valley.ceiling)) if taken[0] <= valley.span[0] + TOLERANCE else foot
    # The rapid ends a clearance above what stands there, also beside the metal: a drilled hole's wall may run out.
    open_beside, at = first[0] - taken[1] > c / 2.0, (first[0], first[0])
    stands = levels.highest(job.stock, at) if open_beside else _clear(job, valley, at)
    near = (first[0], max(first[1], stands + c))
    over = max(_clear(job, valley, (first[0], here[0])) + c, near[1], here[1])
    return (
        *rapid(here, (here[0], over)),
        *rapid((here[0], over), (near[0], over)),
        *rapid((near[0], over), near),
        *feed(near, first),
        *_down_gently(along(path)),
        *feed(foot, last),
        *feed(last, levels.way_out(job.keep, last, c, top=job.top + c)),
    )


def _down_gently(legs: Legs) -> Legs:
    return tuple(replace(leg, share=_share(leg.path.a, leg.path.b)) for leg in legs)


def _share(a: Point, b: Point) -> float:
    """Of the feed, on the way from a to b."""
    falls = a[1] - b[1]
    if falls <= TOLERANCE:
        return 1.0
    return PLUNGE if math.atan2(falls, abs(a[0] - b[0])) > STEEP else DOWN


def _clear(job: Roughing, valley: _Valley, way: Span) -> float:
    """Height that is clear of all that stands on the way to a valley now.

    Valleys are cut from the right: on the way stands what was kept, and else no more than the ceiling of this one.
    """
    lo, hi = min(way), max(way)
    return min(levels.highest(job.stock, (lo, hi)), max(levels.highest(job.keep, (lo, hi)), valley.ceiling))
