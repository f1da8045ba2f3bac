"""Part off: open the slot, break the back corner from its side, then peck down to the stub."""

from __future__ import annotations

from msgspec import Struct

from toolpath.geometry.elements import Chain, Point
from toolpath.passes.legs import Legs, along, end_of, feed, rapid

OUT = 4.0
"""Times the feed at which the blade is drawn out of its slot: it cuts nothing then, yet it touches both walls, so it
does not go at a rapid."""


ABOVE = 0.1
"""mm over the floor of its slot at which the blade comes back to its feed (common practice, no source)."""


class Parting(Struct, frozen=True):
    """In (z, x), mm; the blade's programmed corner moves.

    z:         where that corner stands when the blade's free side is on the part's back face
    outside:   radius of what stands there
    corner:    path of the programmed corner that breaks the back corner, top down, ending on the line x = ... at z;
               empty when the corner stays sharp
    floor:     radius at which the cut ends: the stub, or past the axis by the blade's corner radius
    peck:      depth of one peck; lift: how far the blade is drawn back between pecks
    slow_from: radius below which the feed falls to `slow` of itself
    """

    z: float
    outside: float
    corner: Chain
    floor: float
    peck: float
    lift: float
    slow_from: float
    slow: float
    clearance: float


def part_off(job: Parting, start: Point) -> Legs:
    """Legs from `start` (clear, over the work) to a point over the slot."""
    over = (job.z, job.outside + job.clearance)
    height = max(start[1], over[1])
    legs: Legs = (
        *rapid(start, (start[0], height)),
        *rapid((start[0], height), (over[0], height)),
        *rapid((over[0], height), over),
    )
    depth = job.outside
    if job.corner:
        entry, foot = job.corner[0].a, job.corner[-1].b
        # The slot is opened deeper than the break, so that the corner of the blade cuts and not its whole width.
        depth = max(foot[1] - job.clearance, job.floor)
        legs += _pecks(job, job.outside, depth)
        legs += (
            *feed((job.z, depth), over, share=OUT),
            *rapid(over, (entry[0], over[1])),
            *feed((entry[0], over[1]), entry),
            *along(job.corner),
        )
        back = end_of(legs)
        legs += feed(back, (job.z, back[1]))
        legs += feed(end_of(legs), (job.z, depth))
    legs += _pecks(job, depth, job.floor)
    return (*legs, *feed(end_of(legs), over, share=OUT))


def _pecks(job: Parting, top: float, bottom: float) -> Legs:
    """Straight down from `top` to `bottom`, drawn back after each peck but the last; slower near the axis."""
    legs: Legs = ()
    here = top
    # Where the blade comes back to is known to the digit: down to a little above it the way is free.
    free = 0.0
    x = top if top < job.outside else job.outside + job.clearance
    while here > bottom + 1e-9:
        target = max(here - job.peck, bottom)
        if target - bottom < job.peck / 4.0:
            target = bottom
        if free:
            legs += feed((job.z, x), (job.z, free), share=OUT)
            x = free
        for stop in (job.slow_from, target):
            if target <= stop < x:
                share = 1.0 if stop >= job.slow_from else job.slow
                legs += feed((job.z, x), (job.z, stop), share=share)
                x = stop
        here = target
        if here > bottom + 1e-9:
            back = min(here + job.lift, job.outside + job.clearance)
            legs += feed((job.z, x), (job.z, back), share=OUT)
            x, free = back, here + ABOVE if back > here + 2.0 * ABOVE else 0.0
    return legs
