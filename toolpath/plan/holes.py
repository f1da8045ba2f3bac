"""Which hole is made with what: centre, drills from thin to thick, reamers, flat drills, countersinks; then the bar.

All in the frame (z, -x) of the inside: a hole that is opened is a surface that is lowered.
"""

from __future__ import annotations

from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Line, reverse
from toolpath.geometry.frame import INSIDE
from toolpath.geometry.minimum import between, height_over
from toolpath.passes.drill import taken
from toolpath.plan.bar_drill import before_the_bar
from toolpath.plan.counterbores import counterbored
from toolpath.plan.countersinks import broken_edges
from toolpath.plan.hole_rows import DRILLED, SAME_SIZE, Rows, Step, centre_step, diameter, drill_step, of_kind
from toolpath.plan.request import Request
from toolpath.plan.share import SAME
from toolpath.shop.drawer import Drawer, drill_tool
from toolpath.shop.drills import Drill, nearest_drills
from toolpath.shop.hole_rules import drill_before_reamer
from toolpath.shop.hole_tools import point_length

PILOT_FROM = 8.0
"""mm: thicker drills follow a thinner one on a light lathe (common practice, no source)."""

PILOT_SHARE = 0.45
"""Greatest pilot, of the drill that follows: as thick as its web and a little more (common practice, no source)."""

MEETS = 0.5
"""mm that a hole goes on where it opens into another or out of a face (common practice, no source)."""

CENTRE_SHARE = 0.8
"""Mouth of the centre, of the first drill's diameter: the drill's corners still cut the edge (common practice)."""

BEFORE = 0.5
"""mm before the face to which what a tool takes is told: a face is never cut to the last micrometre."""


def steps(request: Request, rows: Rows, stands: Chain, *, beyond: float) -> tuple[Step, ...]:
    """The tools on the axis, in order. beyond: z to which a hole goes on that goes right through here.

    stands: what stands inside, (z, -x). CannotMake naming what the drawer lacks.
    """
    drawer = request.drawer
    solid = max((max(e.a[1], e.b[1]) for e in stands), default=0.0) > 0.0 or not stands
    out: list[Step] = []
    found = _cylinders(rows, beyond)
    for c in found:
        if not _is_there(c, stands):
            out += _drilled(drawer, c, last=c is found[-1])
    out += [s for s in before_the_bar(drawer, rows, solid=solid, beyond=beyond) if not _taken_by(out, s)]
    out.sort(key=lambda s: (s.operation == "flat bottom", s.dia, s.operation != "drill"))
    if solid and out and out[0].operation == "drill":
        out = [*_centred(drawer, out[0]), *_piloted(drawer, out)]
    return (*centre_step(drawer, rows), *out, *broken_edges(drawer, rows))


def _taken_by(others: list[Step], step: Step) -> bool:
    """Whether a drill takes nothing that a thicker one does not take on its way."""
    drills = (s for s in others if s.operation == "drill")
    return step.operation == "drill" and any(s.dia >= step.dia and s.tip <= step.tip for s in drills)


class _Cylinder(Struct, frozen=True):
    """dia: mm; ends: z where its full diameter ends; how: it is made; open: there is nothing behind its end."""

    dia: float
    ends: float
    how: str
    open: bool = False


def _cylinders(rows: Rows, beyond: float) -> list[_Cylinder]:
    """The cylinders that are drilled or reamed, from the mouth inwards. beyond: as in `steps`."""
    found = [
        _Cylinder(2.0 * e.a[1], e.b[0], how)
        for e, how in zip(rows.chain, rows.made, strict=True)
        if how in DRILLED and isinstance(e, Line) and abs(e.a[1] - e.b[1]) <= SAME
    ]
    # One drill goes as deep as the deepest of neighbours of its size: under a thread its own hole, then the relief.
    found = [*(c for c, d in pairwise(found) if (c.how, c.dia) != (d.how, d.dia)), *found[-1:]]
    if found and rows.opens:
        ends = beyond if rows.through else found[-1].ends - MEETS
        found[-1] = replace(found[-1], ends=ends, open=True)
    return found


def _is_there(hole: _Cylinder, stands: Chain) -> bool:
    """Whether the stock has this hole already: a tube's own."""
    over = height_over(stands, (hole.ends + SAME, -SAME))
    return over <= -hole.dia / 2.0 + SAME


def _drilled(drawer: Drawer, hole: _Cylinder, *, last: bool) -> list[Step]:
    dia, z = hole.dia, hole.ends
    if hole.how == "counterbored":
        return counterbored(drawer, dia, z, blind=last and not hole.open)
    if hole.how == "drilled":
        drill = _exact(drawer, dia)
        return [replace(drill_step(drill, z, f"the hole of {dia:g} mm is drilled"), opens=hole.open)]
    reamers = of_kind(drawer, "reamer")
    reamer = next((t for t in reamers if abs(diameter(t) - dia) < SAME_SIZE), None)
    if reamer is None or reamer.hole is None:
        has = ", ".join(f"{diameter(t):g}" for t in reamers) or "none"
        raise CannotMake(f"the hole of {dia:g} mm is to be reamed; reamers in the rack: {has} mm")
    before = drill_before_reamer(dia, drawer.sets)
    # A reamer's lead goes on where it may; in a blind hole it leaves the last of the hole at the drill's size.
    deep = z - reamer.hole.lead if hole.open else z
    return [
        drill_step(
            before, deep - MEETS if hole.open else z, f"leaves {dia - before.dia:.2f} mm for the {dia:g} mm reamer"
        ),
        Step(
            "ream",
            reamer,
            dia,
            deep,
            f"to {reamer.hole.tolerance or 'size'}; its lead is {reamer.hole.lead:g} mm long",
        ),
    ]


def _exact(drawer: Drawer, dia: float) -> Drill:
    near = nearest_drills(dia, drawer.sets)
    exact = next((n.exact for n in near if n.exact), None)
    if exact is None:
        found = sorted({d.dia: d for n in near for d in n.all}.values(), key=lambda d: abs(d.dia - dia))[:2]
        has = " and ".join(f"{d.name} ({d.dia:.3f} mm)" for d in found) or "none"
        raise CannotMake(f"no drill of {dia:.3f} mm is in the rack; the nearest are {has}. Take one of them, or bore")
    return exact


def _centred(drawer: Drawer, first: Step) -> list[Step]:
    """The centre drill before the first drill: the thickest whose mouth the drill still takes away."""
    drills = [t for t in of_kind(drawer, "centre drill") if t.hole and t.hole.pilot[0] <= first.dia + SAME_SIZE]
    tool = max(drills, key=lambda t: t.hole.pilot[0] if t.hole else 0.0, default=None)
    if tool is None or tool.hole is None:
        return []
    mouth = min(max(CENTRE_SHARE * first.dia, tool.hole.pilot[0]), tool.hole.mouth)
    deep = tool.hole.depth_for_mouth(mouth)
    if -deep < first.tip:
        return []
    return [Step("centre", tool, mouth, -deep, f"starts the {first.tool.name} true")]


def _piloted(drawer: Drawer, steps_: list[Step]) -> list[Step]:
    """A thinner drill before the first one where that is thick."""
    first = steps_[0]
    if first.dia <= PILOT_FROM:
        return steps_
    fit = [d for d in drawer.drills if d.dia <= PILOT_SHARE * first.dia]
    if not fit:
        return steps_
    pilot = max(fit, key=lambda d: d.dia)
    tool = drill_tool(pilot)
    # Where its point is the blunter one, it stays inside the cone of the drill that follows.
    point = first.tool.hole.point if first.tool.hole else pilot.point
    tip = first.tip + max(point_length(pilot.dia, point) - point_length(pilot.dia, pilot.point), 0.0)
    return [
        Step("drill", tool, pilot.dia, tip, f"goes before {first.dia:g} mm, so that its web need not cut"),
        *steps_,
    ]


def removes(step: Step) -> Chain:
    """The closed outline (z, x) of what a tool takes."""
    return taken(step.tool, mouth=BEFORE, bottom=step.tip)


def opened(step: Step) -> Chain:
    """The surface that a tool leaves when it has been down: from its tip on the axis to the mouth, (z, -x)."""
    wall = (e for e in removes(step) if max(e.a[1], e.b[1]) > 0.0 and min(e.a[0], e.b[0]) < 0.0)
    return between(INSIDE.chain(reverse(tuple(wall))), step.tip, 0.0)
