"""The inside of the work as boring bars see it: (z, -x), the wall below, the axis above, the mouth to the right."""

from __future__ import annotations

import math

from toolpath.errors import CannotMake
from toolpath.geometry.ceiling import back
from toolpath.geometry.elements import Chain, Line, Point, reverse
from toolpath.geometry.envelope import envelope
from toolpath.geometry.frame import INSIDE
from toolpath.geometry.minimum import between, height_over
from toolpath.geometry.silhouette import silhouette
from toolpath.passes.legs import Legs
from toolpath.plan.reach import Reach
from toolpath.plan.request import Request
from toolpath.plan.side import AIR, Side
from toolpath.plan.workpiece import RUN_OUT, SAME, Workpiece
from toolpath.shop.duties import enter_refusal
from toolpath.shop.tools import Tool

TOUCHES = 1e-6
"""mm by which a bar's back may seem to enter the wall across the hole."""


def hollow(request: Request, work: Workpiece, *, out: float) -> Side | None:
    """The side that is bored; None when the part has no hole. out: z to which bars draw back, mm.

    CannotMake when the stock has no hole for a bar to begin in.
    """
    rows = request.part.inside
    if not rows:
        return None
    bored = INSIDE.chain(reverse(rows))
    end = bored[0].a
    stands = _stands(request)
    tail = _tail(work, end, stands) if end[1] < -SAME else _floor(end)
    contour = (*tail, *bored, *_mouth(bored[-1].b))
    wanted = frozenset(range(len(tail), len(tail) + len(bored)))
    begins = min(tail[-1].a[0] if end[1] < -SAME else end[0], end[0])
    top = height_over(stands, (begins + SAME, -SAME))
    if top > -SAME:
        raise CannotMake(
            f"the stock has no hole to the depth of {-begins:.2f} mm in which a boring bar could begin: drill it first"
        )
    return Side(
        works="inside",
        contour=contour,
        wanted=wanted,
        finished=wanted | (frozenset(range(1, len(tail))) if end[1] < -SAME else frozenset()),
        stands=stands,
        begins=begins,
        ends=0.0,
        top=top,
        clearance=request.machine.clearance,
        dia=-2.0 * min(e.bounds()[1] for e in bored),
        out=out,
    )


def fitting(rack: tuple[Tool, ...], side: Side) -> tuple[Tool, ...]:
    """The tools that go into the hole; CannotMake with the reason of each when no bar that bores does."""
    hole, deep = -2.0 * side.top, side.ends - side.begins
    told = {t.number: enter_refusal(t, hole, deep=deep) for t in rack if t.works == "inside"}
    fit = tuple(t for t in rack if t.works == "inside" and not told[t.number])
    if not any(side.turns in t.does for t in fit):
        why = "; ".join(f"T{n}: {reason}" for n, reason in sorted(told.items()) if reason) or "the rack has none"
        raise CannotMake(f"no boring bar goes {deep:.2f} mm into the hole of {hole:.2f} mm. {why}")
    return fit


def refuse_tight(choice: Reach, legs: Legs) -> None:
    """CannotMake when a bar's back would meet the wall across the hole anywhere on these legs, which are in (z, x)."""
    side, tool = choice.side, choice.tool
    wall = silhouette(side.stands).chain
    backs = [envelope(wall, back(side.frame.outline(o))) for o in (tool.outline, *tool.holder)]
    worst, at = 0.0, (0.0, 0.0)
    for leg in legs:
        for k in range(5):
            u, v = side.frame.point(leg.path.point_at(k / 4.0))
            over = v + max(b.height(u) for b in backs)
            if u < side.ends and over > worst:
                worst, at = over, (u, v)
    if worst > TOUCHES:
        raise CannotMake(
            f"the back of T{tool.number} {tool.name} would meet the wall across the hole by {worst:.2f} mm at z "
            f"{at[0]:.2f}, diameter {-2.0 * at[1]:.2f}. Open the hole further first, or take a thinner bar"
        )


def _stands(request: Request) -> Chain:
    """What stands inside when the front has been faced, left to right."""
    stock = request.stock
    if not stock.inside:
        solid = Line((stock.back, AIR), (0.0, AIR))
        return (solid, Line((0.0, AIR), (0.0, -AIR)), Line((0.0, -AIR), (AIR, -AIR)))
    inside = INSIDE.chain(stock.inside)
    start = inside[0].a
    # A hole with a floor: whatever lies deeper is solid.
    deeper = (Line((start[0] - AIR, AIR), (start[0], AIR)), Line((start[0], AIR), start)) if start[1] > -SAME else ()
    hole = inside if inside[-1].b[0] <= SAME else between(inside, inside[0].a[0], 0.0)
    return (*deeper, *hole, *_mouth(hole[-1].b))


def _mouth(edge: Point) -> Chain:
    """The front face outwards from the hole's edge, and the air in front of it."""
    return (Line(edge, (edge[0], -AIR)), Line((edge[0], -AIR), (edge[0] + AIR, -AIR)))


def _floor(end: Point) -> Chain:
    """Solid metal behind a floor that ends on the axis."""
    return (Line((end[0] - AIR, AIR), (end[0], AIR)), Line((end[0], AIR), end))


def _tail(work: Workpiece, end: Point, stands: Chain) -> Chain:
    """Behind a hole that goes right through the part: on through the parting slot, then up to the stock's own hole."""
    run = (work.blade.width + RUN_OUT) if work.blade else RUN_OUT
    stop = end[0] - run
    own = height_over(stands, (stop - RUN_OUT, stop))
    if math.isinf(own) or own <= end[1] + SAME:
        return (Line((end[0] - AIR, end[1]), end),)
    return (Line((stop - AIR, own), (stop, own)), Line((stop, own), (stop, end[1])), Line((stop, end[1]), end))
