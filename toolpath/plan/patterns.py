"""How the bulk is roughed: along z, along x, or along the contour; the quickest of those that get everywhere."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from toolpath.cutting.turning import CuttingData
from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Element, Line, Point, reverse
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.geometry.frame import FACE, OUTSIDE
from toolpath.geometry.silhouette import silhouette
from toolpath.passes.chips import broken
from toolpath.passes.follow import Following, follow
from toolpath.passes.legs import Legs, Pace, in_frame, length
from toolpath.passes.rough import Roughing, rough
from toolpath.plan.operations import Operation, breaks_of, figures
from toolpath.plan.reach import Reach, cutters, standing
from toolpath.plan.reach import leaving as leaving_on
from toolpath.plan.request import Request
from toolpath.plan.side import AIR, Side
from toolpath.plan.turning import roughing as along_z
from toolpath.plan.workpiece import Workpiece

PATTERNS = ("along z", "along x", "contour")
MOST_SHELLS = 200
"""More passes along the contour than this is no plan but a mistake in the depth."""


def roughing(request: Request, work: Workpiece, choice: Reach, because: str, *, start: Point) -> Operation:
    """Rough the outside by the pattern asked for, or by the quickest that gets everywhere."""
    asked = request.pattern
    if asked == "along x" and not opens_to_the_front(work):
        why = "a centre stands before that" if work.centre else "this part has some that look at the chuck"
        raise CannotMake(
            f"roughing along x reaches only surfaces that look at the free end, and {why}. Leave the pattern out, or "
            'say "along z" or "contour"'
        )
    ways = [asked] if asked else ["along z", *(["along x"] if opens_to_the_front(work) else [])]
    planned = [(way, _by(way, request, work, choice, start=start)) for way in ways]
    way, best = min(planned, key=lambda p: _minutes(p[1], request))
    others = [f"{w} would take {_minutes(op, request):.1f} min" for w, op in planned if op is not best]
    told = "; ".join([f"{way}, {_minutes(best, request):.1f} min of feed", *others, *(["as asked"] if asked else [])])
    return replace(best, because=f"{because}. Roughed {told}")


def opens_to_the_front(work: Workpiece) -> bool:
    """True when no turned surface looks at the chuck, and no centre stands before the front."""
    return work.centre is None and all(e.b[1] >= e.a[1] - 1e-9 and _never_falls(e) for e in (*work.rows, *work.tail))


def _never_falls(e: Element) -> bool:
    return isinstance(e, Line) or all(e.tangent_at(k / 8.0)[1] >= -1e-9 for k in range(9))


def _by(way: str, request: Request, work: Workpiece, choice: Reach, *, start: Point) -> Operation:
    if way == "along z":
        return along_z(request, work, choice, "", start=start)
    data = figures(request, work, choice.tool, operation="rough", diameter=choice.side.dia)
    c, top = choice.side.clearance, choice.side.top
    if way == "along x":
        keep, stock = _front_view(choice.side)
        cut, _ = cutters(choice.tool, FACE)
        leave = (data.leave_x.value, data.leave_z.value)
        stock_env = envelope(stock, cut)
        job = Roughing(
            keep=standing(choice.tool, keep, FACE, leave=leave)[1],
            stock=stock_env,
            within=(0.0, stock_env.hi + c),
            top=0.0,
            depth=data.depth.value,
            clearance=c,
        )
        legs, depths = rough(job, FACE.point(start))
        legs = broken(legs, breaks_of(request, data))
        return _operation(choice, data, in_frame(legs, FACE.back), depths)
    stock_env = envelope(choice.side.up_to_end, choice.cut)
    within = (choice.side.begins, stock_env.hi + c)
    shells = _shells(choice, data)
    legs, cuts = follow(
        Following(shells=shells, stock=stock_env, within=within, top=top, clearance=c), OUTSIDE.point(start)
    )
    legs = broken(legs, breaks_of(request, data))
    return _operation(choice, data, in_frame(legs, OUTSIDE.back), (data.depth.value,) * cuts)


def _front_view(side: Side) -> tuple[Chain, Chain]:
    """(what must be missed, what stands), seen from the free end: left to right from the axis outwards."""
    seen = FACE.chain(reverse(side.contour))
    axis = Line((-AIR, seen[0].a[1]), seen[0].a)
    nose = seen[-1].b
    keep = silhouette((axis, *seen, Line(nose, (nose[0] + AIR, nose[1])))).chain
    stock = (Line((-AIR, 0.0), (side.top, 0.0)), Line((side.top, 0.0), (side.top, -AIR)))
    return keep, stock


def _shells(choice: Reach, data: CuttingData) -> list[Envelope]:
    """Envelopes that leave one depth less each, from the first that meets the bar to the finishing metal."""
    depth = data.depth.value
    side = choice.side
    lowest = min((min(side.contour[k].a[1], side.contour[k].b[1]) for k in side.wanted), default=0.0)
    # Metal left on along both axes is thicker across a slope, most at 45 degrees: the steps are so much less.
    step = depth / math.sqrt(2.0)
    n = math.ceil((side.top - lowest) / step)
    if n > MOST_SHELLS:
        raise CannotMake(f"{n} passes of {depth:.3g} mm along the contour are too many; rough along z")
    leaves = [(data.leave_z.value + k * step, data.leave_x.value + k * step) for k in range(n, -1, -1)]
    return [leaving_on(choice, leave) for leave in leaves]


def _operation(choice: Reach, data: CuttingData, legs: Legs, depths: Sequence[float]) -> Operation:
    return Operation("rough", choice.tool, data, "", legs, max(depths, default=0.0), len(depths))


def _minutes(op: Operation, request: Request) -> float:
    """Rough minutes: feed at the greatest diameter's speed, rapids at the machine's own."""
    feed = op.data.feed.value * op.data.rpm.value
    return length(op.legs, Pace.FEED) / feed + length(op.legs, Pace.RAPID) / request.machine.rapid_z
