"""Finish: one continuous pass along the envelope, from the free end towards the chuck."""

from __future__ import annotations

from dataclasses import dataclass

from toolpath.geometry.elements import Chain, Point, reverse
from toolpath.geometry.envelope import Envelope
from toolpath.passes.legs import Legs, along, feed, rapid
from toolpath.passes.levels import way_out


@dataclass(frozen=True, slots=True)
class Finishing:
    """What the pass must keep to, all mm.

    keep:      envelope of what must be missed for the bare tool
    path:      the stretch of it that is followed, left to right; its right end is where the tool first touches
    top:       height from which everything is clear of the stock
    lead:      length of the tangent lead-in and of the lead-out
    clearance: distance from metal at which rapids end
    """

    keep: Envelope
    path: Chain
    top: float
    lead: float
    clearance: float


def finish(job: Finishing, start: Point) -> Legs:
    """Legs from `start` (clear of the stock) along the whole contour to a point clear of it again."""
    path = reverse(job.path)
    entry = _lead_in(job, path)
    last = path[-1].b
    out = way_out(job.keep, last, job.lead)
    height = max(job.top + job.clearance, start[1])
    return (
        *rapid(start, (start[0], height)),
        *rapid((start[0], height), (entry[0], height)),
        *rapid((entry[0], height), entry),
        *feed(entry, path[0].a),
        *along(path),
        *feed(last, out),
        *rapid(out, (out[0], max(height, out[1]))),
    )


def _lead_in(job: Finishing, path: Chain) -> Point:
    """Where the straight lead-in starts: on the tangent of the contour where that is clear, else level with it.

    At the axis the tangent of a dome would come from below the axis; there the surface does not move and the tool
    comes in level. Inside a valley there is no other way in than from above.
    """
    p = path[0].a
    t = path[0].tangent_at(0.0)
    room = 1e-6
    for d in (t, (-1.0, 0.0), (0.0, -1.0)):
        entry = (p[0] - d[0] * job.lead, p[1] - d[1] * job.lead)
        samples = [(p[0] + k / 16.0 * (entry[0] - p[0]), p[1] + k / 16.0 * (entry[1] - p[1])) for k in range(1, 17)]
        if d[0] <= 0.0 and all(job.keep.height(u) <= v + room for u, v in samples):
            return entry
    raise ValueError("no clear way in to the contour: the tool can not come level to its first point")
