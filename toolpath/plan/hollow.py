"""The inside of the work as boring bars see it: (z, -x), the wall below, the axis above, the mouth to the right."""

from __future__ import annotations

import math

from toolpath.cutting.turning import leave_on
from toolpath.errors import CannotMake
from toolpath.geometry.ceiling import back
from toolpath.geometry.elements import Chain, Element, Line, Point, reverse
from toolpath.geometry.envelope import envelope
from toolpath.geometry.frame import INSIDE
from toolpath.geometry.minimum import between, height_over, lower
from toolpath.geometry.silhouette import silhouette
from toolpath.passes.legs import Legs
from toolpath.plan.hole_rows import Rows
from toolpath.plan.reach import HOLDER_ROOM, Reach
from toolpath.plan.request import Request
from toolpath.plan.side import AIR, Side
from toolpath.plan.workpiece import RUN_OUT, SAME, Workpiece
from toolpath.shop.duties import enter_refusal
from toolpath.shop.tools import Tool

TOUCHES = 1e-6
"""mm by which a bar's back may seem to enter the wall across the hole."""


def hollow(request: Request, work: Workpiece, rows: Rows, stands: Chain, *, out: float) -> Side | None:
    """The side that is bored; None when nothing is. out: z to which bars draw back, mm.

    stands: what stands inside when everything on the axis has been drilled, (z, -x)
    CannotMake when there is no hole for a bar to begin in.
    """
    n = rows.bored
    if not n:
        return None
    seen = INSIDE.chain(reverse(rows.chain))
    end, bored = seen[0].a, seen[len(seen) - n :]
    through = rows.through and len(seen) == n
    behind = _tail(work, end, stands, far=-request.part.length) if through else _floor(end)
    contour = (*behind, *seen)
    wanted = frozenset(range(len(behind) + len(seen) - n, len(behind) + len(seen)))
    # The end of the bore behind the part is cut where a hole goes on there; a bar never climbs up solid metal.
    first = 2 if behind[0].a[1] > 0.0 else 1
    tail = frozenset(range(first, len(behind))) if through else frozenset()
    begins = behind[-1].a[0] if tail else bored[0].a[0]
    core = _core(stands) if rows.closed else None
    top = core[1] if core else height_over(stands, (begins + SAME, -SAME))
    if top > -SAME:
        raise CannotMake(
            f"nothing opens the hole to its depth of {-begins:.2f} mm for a boring bar: a drill leaves its cone on a "
            'flat floor. Put a flat drill that goes in into the rack, or write floor = "drilled"'
        )
    return Side(
        works="inside",
        contour=contour,
        wanted=wanted,
        finished=wanted | tail,
        stands=stands,
        begins=begins,
        ends=0.0,
        top=top,
        clearance=request.machine.clearance,
        dia=-2.0 * min(e.bounds()[1] for e in bored),
        out=out,
        core=core[0] if core else None,
    )


def _core(stands: Chain) -> Point | None:
    """Where the widest of what was drilled ends and the drill's point begins, at the mouth where only that went in."""
    drilled = [p for e in stands if e.b[0] <= 0.0 and e.a[0] < e.b[0] for p in (e.a, e.b) if p[1] < -SAME]
    widest = min((v for _, v in drilled), default=0.0)
    return min((p for p in drilled if p[1] <= widest + SAME), default=None)


def fitting(rack: tuple[Tool, ...], side: Side) -> tuple[Tool, ...]:
    """The tools that go into the hole; CannotMake with the reason of each when no bar that bores does.

    A bar that bores must get to the end of what is bored; a blade may do its work nearer to the mouth.
    """
    hole, end = -2.0 * side.top, side.begins
    inside = [t for t in rack if t.works == "inside"]
    told = {t.number: enter_refusal(t, hole) or (_short(t, side, end) if side.turns in t.does else "") for t in inside}
    fit = tuple(t for t in inside if not told[t.number])
    if not any(side.turns in t.does for t in fit):
        why = "; ".join(f"T{n}: {reason}" for n, reason in sorted(told.items()) if reason) or "the rack has none"
        raise CannotMake(f"no boring bar goes {side.ends - end:.2f} mm into the hole of {hole:.2f} mm. {why}")
    return fit


def reaches(tool: Tool, side: Side, u: float) -> bool:
    """Whether the tool gets as deep as u before what carries it comes against the front of the work."""
    return not _short(tool, side, u)


def _short(tool: Tool, side: Side, u: float) -> str:
    """Why a bar does not get as deep as u, or nothing."""
    if tool.bar is None:
        return ""
    usable, deep = tool.bar.reach - leave_on(tool)[1].value - HOLDER_ROOM, side.ends - u
    if deep <= usable + TOUCHES:
        return ""
    return (
        f"it stands out {tool.bar.reach:g} mm, {tool.bar.reach - usable:.2f} of which stay clear of the face, and can "
        f"not go {deep:.2f} mm deep"
    )


def refuse_tight(choice: Reach, legs: Legs) -> None:
    """CannotMake when a bar's back would meet the wall across the hole anywhere on these legs, which are in (z, x)."""
    side, tool = choice.side, choice.tool
    # What closes the hole at its floor lies before the tool, not behind its back.
    solid = max((k for k, e in enumerate(side.stands) if max(e.a[1], e.b[1]) > 0.0), default=-1)
    wall = silhouette(side.stands[solid + 1 :]).chain
    backs = [envelope(wall, back(side.frame.outline(o))) for o in (tool.outline, *tool.holder)]
    worst, at = 0.0, (0.0, 0.0)
    for leg in legs:
        for k in range(5):
            u, v = side.frame.point(leg.path.point_at(k / 4.0))
            over = v + max(b.height(u) for b in backs)
            if u < side.ends and over > worst:
                worst, at = over, (u, v)
    if worst > TOUCHES and at[1] > 0.0:  # lifted over the solid metal at the hole's end, and so across the axis
        raise CannotMake(
            f"what carries T{tool.number} {tool.name} would meet the end of the hole when it cuts at z {at[0]:.2f}. "
            "Make the hole deeper, or take a tool that has less ahead of its edge"
        )
    if worst > TOUCHES:
        raise CannotMake(
            f"the back of T{tool.number} {tool.name} would meet the wall across the hole by {worst:.2f} mm at z "
            f"{at[0]:.2f}, diameter {-2.0 * at[1]:.2f}. Open the hole further first, or take a thinner bar"
        )


def standing_inside(request: Request) -> Chain:
    """What stands inside when the front has been faced: left to right in (z, -x), solid metal high above the axis."""
    stock = request.stock
    inside = INSIDE.chain(stock.inside)
    hole = between(inside, inside[0].a[0], 0.0) if inside else ()
    begins = hole[0].a if hole else (0.0, AIR)
    deep = begins[0] > stock.back + SAME
    solid = Line((stock.back, AIR), (begins[0], AIR))
    upright = () if begins[1] == AIR else (Line((begins[0], AIR), begins),)
    before: Chain = (solid, *upright) if deep else ()
    surface = (*before, *hole)
    if stock.inside_back:
        surface = lower(surface, INSIDE.chain(stock.inside_back))
    return (*surface, *_mouth(surface[-1].b))


def inner_surface(stands: Chain) -> Chain:
    """What stands inside, (z, x), from the stock's back end to the front face, on the axis where it is solid."""

    def cut(e: Element) -> Element:
        return e if max(e.a[1], e.b[1]) <= 0.0 else Line((e.a[0], min(e.a[1], 0.0)), (e.b[0], min(e.b[1], 0.0)))

    held = (cut(e) for e in stands if e.b[0] <= 0.0 and min(e.a[1], e.b[1]) > -AIR)
    return INSIDE.back.chain(tuple(e for e in held if e.a != e.b))


def _mouth(edge: Point) -> Chain:
    """The front face outwards from the hole's edge, and the air in front of it."""
    return (Line(edge, (edge[0], -AIR)), Line((edge[0], -AIR), (edge[0] + AIR, -AIR)))


def _floor(end: Point) -> Chain:
    """Solid metal behind a floor that ends on the axis."""
    return (Line((end[0] - AIR, AIR), (end[0], AIR)), Line((end[0], AIR), end))


def _tail(work: Workpiece, end: Point, stands: Chain, *, far: float) -> Chain:
    """Behind a hole that goes right through the part: on through the parting slot, then up to the stock's own hole.

    far: z of the part's back face
    """
    stop = (work.parting_z if work.blade else far) - RUN_OUT
    own = height_over(stands, (stands[0].a[0], stop))
    if math.isinf(own) or own <= end[1] + SAME:
        return (Line((end[0] - AIR, end[1]), end),)
    return (Line((stop - AIR, own), (stop, own)), Line((stop, own), (stop, end[1])), Line((stop, end[1]), end))
