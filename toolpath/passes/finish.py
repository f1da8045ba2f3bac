"""Finish: one continuous pass along the envelope, from the free end towards the chuck."""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, reverse
from toolpath.geometry.envelope import Envelope
from toolpath.motion import Side
from toolpath.passes.legs import Leg, Legs, along, end_of, feed, rapid
from toolpath.passes.levels import highest, way_out
from toolpath.passes.one_way import one_way

LEAST_SHARE = 0.3
"""Of the feed that is kept in the tightest hollow (common practice, no source)."""

CORNER_SHARE = 0.5
"""Of the feed into an inner corner (common practice, no source)."""

SLOW = 3.0
"""Times the metal left: how far before an inner corner the feed is lowered (common practice, no source)."""

INNER = math.radians(5.0)
"""A turn into the metal by less is no corner."""


class Finishing(Struct, frozen=True):
    """What the pass must keep to, all mm.

    keep:      envelope of what must be missed for the bare tool
    path:      the stretch of it that is followed, left to right; its right end is where the tool first touches
    top:       height from which everything is clear of the stock
    lead:      length of the tangent lead-in and of the lead-out
    clearance: distance from metal at which rapids end
    nose, leave: the tool's nose radius, and the metal that is left for this pass
    stands:    envelope of what stands for the bare tool, where that may be more than is left for this pass
    falls:     the pass is split so that all of it goes towards the work (True) or away from it (False); None: in one
    inwards:   the path ends on a floor that closes a hole: the way out is straight back along the hole
    """

    keep: Envelope
    path: Chain
    top: float
    lead: float
    clearance: float
    nose: float
    leave: float
    stands: Envelope | None = None
    falls: bool | None = None
    inwards: bool = False


def finish(job: Finishing, start: Point) -> Legs:
    """Legs from `start` (clear of the stock) along the whole contour to a point clear of it again."""
    if job.falls is None:
        return _pass(job, reverse(job.path), start)
    legs: Legs = ()
    for path in one_way(job.path, falls=job.falls):
        legs += _pass(job, path, end_of(legs) if legs else start)
    return legs


def _pass(job: Finishing, path: Chain, start: Point) -> Legs:
    """One stretch, in the direction of the path, from a clear place to another."""
    entry = _lead_in(job, path)
    last = path[-1].b
    away = (last[0] + job.lead, last[1])
    out = away if job.inwards else way_out(job.keep, last, job.lead, top=job.top + job.clearance)
    # What carries the tool may have to keep higher than the tool's own way across, over the hold say.
    across = highest(job.keep, (min(start[0], entry[0]), max(start[0], entry[0])))
    height = max(job.top + job.clearance, start[1], across)
    metal = job.stands.height(entry[0]) + job.clearance if job.stands else entry[1]
    if job.falls is not None and not job.stands:  # a stretch may begin in the middle of the work
        metal = job.top + job.clearance
    near = (entry[0], max(entry[1], min(metal, height)))
    return (
        *rapid(start, (start[0], height)),
        *rapid((start[0], height), (entry[0], height)),
        *rapid((entry[0], height), near),
        *feed(near, entry),
        *feed(entry, path[0].a),
        *eased(path, job.nose, job.leave),
        *feed(last, out),
        *rapid(out, (out[0], max(height, out[1]))),
    )


def finish_contour(job: Finishing, contour: Chain, start: Point) -> Legs:
    """As `finish`, but the legs in the metal are the contour itself, which the control keeps the nose off.

    contour: left to right, what the nose touches from one end of the path to the other
    The lead-in runs on into the first surface and is, as the lead-out, longer than the nose radius wherever its length
    is measured: 3 radii more than the lead (COURSE asks for about two, the published language for more than one).
    CannotMake when the lead-in is not clear.
    """
    first, last = job.path[-1].b, job.path[0].a
    surface = reverse(contour)
    t, lead = surface[0].tangent_at(0.0), job.lead + 3.0 * job.nose
    entry = (first[0] - lead * t[0], first[1] - lead * t[1])
    if t[0] > 0.0 or not _clear(job.keep, first, entry):
        raise CannotMake("the way in along the first surface is not clear of the work or leads from below the axis")
    out = way_out(job.keep, last, lead, top=job.top + job.clearance)
    height = max(job.top + job.clearance, start[1])
    return (
        *rapid(start, (start[0], height)),
        *rapid((start[0], height), (entry[0], height)),
        *rapid((entry[0], height), entry),
        Leg(Line(entry, surface[0].a), side=Side.RIGHT),
        *(Leg(e, share=_share(e, job.nose), side=Side.RIGHT) for e in surface),
        *feed(surface[-1].b, out),
        *rapid(out, (out[0], max(height, out[1]))),
    )


def _share(e: Element, nose: float) -> float:
    """Of the feed along an element of the contour: less in hollows, as in `eased`."""
    return max((e.radius - nose) / e.radius, LEAST_SHARE) if isinstance(e, Arc) and e.sweep < 0.0 else 1.0


def _clear(keep: Envelope, a: Point, b: Point) -> bool:
    """Whether the tool clears everything on the straight way between two places."""
    ways = [(a[0] + k / 16.0 * (b[0] - a[0]), a[1] + k / 16.0 * (b[1] - a[1])) for k in range(1, 17)]
    return all(keep.height(u) <= v + 1e-6 for u, v in ways)


def eased(path: Chain, nose: float, leave: float) -> Legs:
    """The path at feed, slower where the tool runs into a hollow and has more edge in the metal.

    Along a hollow arc the surface is longer than the nose's way by R / (R - nose); the feed is less by that, and never
    below `LEAST_SHARE`. Into an inner corner the last `SLOW` times the metal left is cut at `CORNER_SHARE`.
    """
    legs: Legs = ()
    way = _way(path)
    for i, e in enumerate(path):
        turn = 0.0 if i + 1 == len(path) else -way * _turn(e, path[i + 1])
        if isinstance(e, Arc):
            share = 1.0 if way * e.sweep < 0.0 else max(e.radius / (e.radius + nose), LEAST_SHARE)
            legs += along((e,), share=share)
        elif turn < -INNER and e.length > SLOW * leave:
            t = 1.0 - SLOW * leave / e.length
            legs += (*along((e.part(0.0, t),)), *along((e.part(t, 1.0),), share=CORNER_SHARE))
        else:
            legs += along((e,), share=CORNER_SHARE if turn < -INNER else 1.0)
    return legs


def _way(path: Chain) -> float:
    """-1 for a path towards the left, and for one straight up or down; 1 for one towards the right."""
    return 1.0 if path[-1].b[0] > path[0].a[0] else -1.0


def _turn(e: Element, f: Element) -> float:
    """Angle by which the way turns from e to f, rad; towards -u with the metal below, an inner corner turns right."""
    (a, b), (c, d) = e.tangent_at(1.0), f.tangent_at(0.0)
    return math.atan2(a * d - b * c, a * c + b * d)


def _lead_in(job: Finishing, path: Chain) -> Point:
    """Where the straight lead-in starts: on the tangent of the contour where that is clear, else level with it.

    At the axis the tangent of a dome would come from below the axis; there the surface does not move and the tool
    comes in level. Inside a valley there is no other way in than from above.
    """
    p = path[0].a
    t, way = path[0].tangent_at(0.0), _way(path)
    for d in (t, (way, 0.0), (0.0, -1.0)):
        entry = (p[0] - d[0] * job.lead, p[1] - d[1] * job.lead)
        if way * d[0] >= 0.0 and _clear(job.keep, p, entry):
            return entry
    return (p[0], max(p[1], job.top) + job.lead)
