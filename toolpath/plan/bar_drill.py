"""What goes before a boring bar: the thickest drill that leaves it its metal, and a flat drill for a flat floor.

All in the frame (z, -x) of the inside.
"""

from __future__ import annotations

import math

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Element, Line
from toolpath.plan.hole_rows import Rows, Step, diameter, of_kind
from toolpath.plan.share import SAME
from toolpath.shop.drawer import Drawer, drill_tool
from toolpath.shop.drills import Drill
from toolpath.shop.hole_duties import hole_refusal

BORE_STOCK = 0.3
"""mm a side that a drill leaves for the boring bar, at the least (common practice, no source)."""

ALIKE = 0.01
"""mm: drills that get as deep but for this are alike, and the thickest is taken."""

ANGLE = 1e-6
"""rad: a cone this near to a drill's point has its angle."""

NEAR_AXIS = 0.25
"""Of the radius: what is left on a floor near the axis, so that the drill's point is on it there."""

SAMPLES = 64
"""Places along an element where a drill that goes before a bar is held against it."""


def before_the_bar(drawer: Drawer, rows: Rows, *, solid: bool, beyond: float) -> list[Step]:
    """The thickest drill that leaves the bar its metal, and a flat drill where the hole ends in a flat floor."""
    n = rows.bored
    if not solid or not any(e.a[0] - e.b[0] > SAME for e in rows.chain[:n]):
        return []
    open_ = rows.through and n == len(rows.chain)
    enters = _enters(drawer) if rows.closed else 0.0
    fit = [(_lowest(d, rows, beyond=beyond if open_ else None), d) for d in drawer.drills if d.dia >= enters]
    deepest = min((tip for tip, _ in fit), default=0.0)
    best = max((d for tip, d in fit if tip < min(deepest + ALIKE, 0.0)), key=lambda d: d.dia, default=None)
    if best is None:
        narrowest = 2.0 * min(max(e.a[1], e.b[1]) for e in rows.chain[:n])
        raise CannotMake(f"no drill of the rack is thin enough to go before boring {narrowest:g} mm")
    tip = _lowest(best, rows, beyond=beyond if open_ else None)
    because = f"the thickest that leaves {BORE_STOCK:g} mm a side to bore"
    if rows.closed:
        because += f"; its point stays inside the floor, {-tip:.2f} mm deep"
    return [Step("drill", drill_tool(best), best.dia, tip, because, open_), *_flat_floor(drawer, rows)]


def _lowest(drill: Drill, rows: Rows, *, beyond: float | None) -> float:
    """z of a drill's point when it is as deep as leaves the bar its metal everywhere, mm; 0 where it may not go in.

    beyond: z to which the full diameter goes where nothing closes the hole
    """
    flat = math.tan(drill.point / 2.0)
    floor = rows.chain[rows.bored - 1].b[0] + (0.0 if rows.closed else BORE_STOCK)
    deep = floor if beyond is None else beyond - drill.dia / 2.0 / flat
    for k, e in enumerate(rows.chain):
        for t in _places(e, drill.dia / 2.0 + BORE_STOCK):
            z, x = e.point_at(t)
            stock = _left_on(drill, e, x) if rows.closed and k + 1 == len(rows.chain) else BORE_STOCK
            inner = max(x - stock, 0.0)
            if inner <= drill.dia / 2.0 + SAME:
                deep = max(deep, z + stock - inner / flat)
    return min(deep, 0.0)


def _left_on(drill: Drill, floor: Element, x: float) -> float:
    """mm to leave on a floor that closes the hole on the axis, at radius x.

    Nothing on the axis, where no bar comes after the drill, and nothing anywhere on a cone of the drill's own point.
    """
    own = math.atan2(abs(floor.b[1] - floor.a[1]), abs(floor.b[0] - floor.a[0]))
    if isinstance(floor, Line) and abs(own - drill.point / 2.0) <= ANGLE:
        return 0.0
    return min(BORE_STOCK, NEAR_AXIS * x)


def _enters(drawer: Drawer) -> float:
    """Diameter of the smallest hole that a boring bar of the rack goes into, mm; 0 without one."""
    return min((t.bar.least_bore for t in drawer.tools if t.bar and "bore" in t.does), default=0.0)


def _places(e: Element, radius: float) -> list[float]:
    """Parameters of an element where a drill is held against it: along it, and where it has this radius."""
    fall = e.a[1] - e.b[1]
    at = (e.a[1] - radius) / fall if isinstance(e, Line) and abs(fall) > SAME else 0.0
    return [*(k / SAMPLES for k in range(SAMPLES + 1)), min(max(at, 0.0), 1.0)]


def _flat_floor(drawer: Drawer, rows: Rows) -> list[Step]:
    """The thickest flat drill that makes the middle of a flat floor; CannotMake where none is there or gets so deep."""
    last = rows.chain[-1]
    if rows.bored < len(rows.chain) or rows.through or rows.closed:
        return []
    deep = last.b[0]
    flat_end = abs(last.a[0] - last.b[0]) <= SAME
    told = []
    for tool in sorted(of_kind(drawer, "flat drill"), key=diameter, reverse=True) if flat_end else ():
        room = min(x for e in rows.chain[:-1] for x in (e.a[1], e.b[1])) - diameter(tool) / 2.0
        why = hole_refusal(tool, "flat bottom", deep=-deep)
        if room < BORE_STOCK / 4.0:
            why = f"the {tool.name} leaves the bar {room:.2f} mm a side"
        if not why:
            return [Step("flat bottom", tool, diameter(tool), deep, "makes the middle of the floor flat")]
        told.append(why)
    floor = "the middle of a flat floor" if flat_end else "a bored floor that is not flat,"
    reasons = "; ".join(told) or ("the rack has no flat drill" if flat_end else "a drill's point leaves a cone on it")
    raise CannotMake(
        f"{floor} {-deep:.2f} mm deep can not be made, for no bar begins on solid metal: {reasons}. "
        'A drilled floor (floor = "drilled", made = "drilled") or a longer flat drill would do'
    )
