"""Which hole is made with what: centre, drills from thin to thick, reamers, flat drills, countersinks; then the bar.

All in the frame (z, -x) of the inside: a hole that is opened is a surface that is lowered.
"""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Element, Line, reverse
from toolpath.geometry.frame import INSIDE
from toolpath.geometry.minimum import between, height_over
from toolpath.part.halfsection import HalfSection
from toolpath.passes.drill import taken
from toolpath.plan.request import Request
from toolpath.plan.share import SAME
from toolpath.shop.drawer import Drawer, drill_tool
from toolpath.shop.drills import Drill, nearest_drills
from toolpath.shop.hole_duties import hole_refusal
from toolpath.shop.hole_rules import drill_before_reamer
from toolpath.shop.tools import Tool

BORE_STOCK = 0.3
"""mm a side that a drill leaves for the boring bar, at the least (common practice, no source)."""

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

SAME_SIZE = 1e-6
"""mm: sizes closer than this are one."""

ALIKE = 0.01
"""mm: drills that get as deep but for this are alike, and the thickest is taken."""

SAMPLES = 64
"""Places along an element where a drill that goes before a bar is held against it."""

DRILLED = ("drilled", "reamed")


class Step(Struct, frozen=True):
    """One tool on the axis, mm.

    operation: of `cutting.drilling.OPERATIONS`; dia: greatest diameter cut; tip: z of the tool's point at the bottom
    opens:     True where the tool breaks through at its bottom
    """

    operation: str
    tool: Tool
    dia: float
    tip: float
    because: str
    opens: bool = False


class Rows(Struct, frozen=True):
    """The hollow that a set-up makes, from its mouth inwards, and for each element how it is made.

    through: it goes on out of the far face, behind `edge`: the edge of that mouth, which only the other end sees
    """

    chain: Chain
    made: tuple[str, ...]
    through: bool = False
    edge: Chain = ()

    @property
    def opens(self) -> bool:
        """Whether its last cylinder opens into a wider hollow from the other end."""
        last = self.chain[-1]
        return last.b[1] > SAME and abs(last.a[1] - last.b[1]) <= SAME and self.made[-1] in DRILLED

    @property
    def bored(self) -> int:
        """How many elements, from the mouth, a bar must go along: up to the last that is not drilled or reamed."""
        return max((k + 1 for k, m in enumerate(self.made) if m not in DRILLED), default=0)


def rows_of(part: HalfSection) -> Rows:
    """The hollow of the end in hand.

    The edge of a hole's far mouth is left to the set-up that sees it; the near edge of a hole that the other end made
    is cut here.
    """
    made = tuple(s.made for s in part.inside_surfaces)
    chain, back = part.inside, part.inside_back
    if chain:
        keep = len(chain) - _flare(chain, part.length)
        through = abs(chain[-1].b[0] + part.length) <= SAME and chain[-1].b[1] > SAME
        return Rows(chain[:keep], made[:keep], through, chain[keep:])
    if back and back[-1].b[0] >= -SAME:
        n = _flare(tuple(back), 0.0)
        edge = tuple(e.reversed() for e in reversed(back[len(back) - n :])) if n else ()
        return Rows(edge, ("drilled",) * len(edge))
    return Rows((), ())


def _flare(chain: Chain, far: float) -> int:
    """How many elements at the end of a chain widen towards the other face, at z = -far."""
    if abs(chain[-1].b[0] + far) > SAME:
        return 0
    n = 0
    while n < len(chain) and chain[-1 - n].b[1] > chain[-1 - n].a[1] + SAME:
        n += 1
    return n


def steps(request: Request, rows: Rows, stands: Chain, *, beyond: float) -> tuple[Step, ...]:
    """The tools on the axis, in order. beyond: z to which a hole goes on that goes right through here.

    stands: what stands inside, (z, -x). CannotMake naming what the drawer lacks.
    """
    drawer = request.drawer
    solid = max((max(e.a[1], e.b[1]) for e in stands), default=0.0) > 0.0 or not stands
    out: list[Step] = []
    for c in _cylinders(rows, beyond):
        if not _is_there(c, stands):
            out += _drilled(drawer, c)
    out += _before_the_bar(drawer, rows, solid=solid, beyond=beyond)
    out.sort(key=lambda s: (s.operation == "flat bottom", s.dia, s.operation != "drill"))
    if solid and out and out[0].operation == "drill":
        out = [*_centred(drawer, out[0]), *_piloted(drawer, out)]
    return (*out, *_edges(drawer, rows))


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
    if found and rows.opens:
        ends = beyond if rows.through else found[-1].ends - MEETS
        found[-1] = replace(found[-1], ends=ends, open=True)
    return found


def _is_there(hole: _Cylinder, stands: Chain) -> bool:
    """Whether the stock has this hole already: a tube's own."""
    over = height_over(stands, (hole.ends + SAME, -SAME))
    return over <= -hole.dia / 2.0 + SAME


def _drilled(drawer: Drawer, hole: _Cylinder) -> list[Step]:
    dia, z = hole.dia, hole.ends
    if hole.how == "drilled":
        drill = _exact(drawer, dia)
        return [replace(_drill(drill, z, f"the hole of {dia:g} mm is drilled"), opens=hole.open)]
    reamers = of_kind(drawer, "reamer")
    reamer = next((t for t in reamers if abs(diameter(t) - dia) < SAME_SIZE), None)
    if reamer is None or reamer.hole is None:
        has = ", ".join(f"{diameter(t):g}" for t in reamers) or "none"
        raise CannotMake(f"the hole of {dia:g} mm is to be reamed; reamers in the rack: {has} mm")
    before = drill_before_reamer(dia, drawer.sets)
    # A reamer's lead goes on where it may; in a blind hole it leaves the last of the hole at the drill's size.
    deep = z - reamer.hole.lead if hole.open else z
    return [
        _drill(before, deep - MEETS if hole.open else z, f"leaves {dia - before.dia:.2f} mm for the {dia:g} mm reamer"),
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


def _drill(drill: Drill, z: float, because: str) -> Step:
    tool = drill_tool(drill)
    assert tool.hole is not None
    return Step("drill", tool, drill.dia, z - tool.hole.point_length, because)


def _before_the_bar(drawer: Drawer, rows: Rows, *, solid: bool, beyond: float) -> list[Step]:
    """The thickest drill that leaves the bar its metal, and a flat drill where the hole ends in a flat floor."""
    n = rows.bored
    if not solid or not any(e.a[0] - e.b[0] > SAME for e in rows.chain[:n]):
        return []
    open_ = rows.through and n == len(rows.chain)
    fit = [(_lowest(d, rows, beyond=beyond if open_ else None), d) for d in drawer.drills]
    deepest = min((tip for tip, _ in fit), default=0.0)
    best = max((d for tip, d in fit if tip < min(deepest + ALIKE, 0.0)), key=lambda d: d.dia, default=None)
    if best is None:
        narrowest = 2.0 * min(max(e.a[1], e.b[1]) for e in rows.chain[:n])
        raise CannotMake(f"no drill of the rack is thin enough to go before boring {narrowest:g} mm")
    tip = _lowest(best, rows, beyond=beyond if open_ else None)
    because = f"the thickest that leaves {BORE_STOCK:g} mm a side to bore"
    return [Step("drill", drill_tool(best), best.dia, tip, because, open_), *_flat_floor(drawer, rows)]


def _lowest(drill: Drill, rows: Rows, *, beyond: float | None) -> float:
    """z of a drill's point when it is as deep as leaves the bar its metal everywhere, mm; 0 where it may not go in.

    beyond: z to which the full diameter goes where nothing closes the hole
    """
    flat = math.tan(drill.point / 2.0)
    floor = rows.chain[rows.bored - 1].b[0] + BORE_STOCK
    deep = floor if beyond is None else beyond - drill.dia / 2.0 / flat
    for e in rows.chain:
        for t in _places(e, drill.dia / 2.0 + BORE_STOCK):
            z, x = e.point_at(t)
            inner = max(x - BORE_STOCK, 0.0)
            if inner <= drill.dia / 2.0 + SAME:
                deep = max(deep, z + BORE_STOCK - inner / flat)
    return min(deep, 0.0)


def _places(e: Element, radius: float) -> list[float]:
    """Parameters of an element where a drill is held against it: along it, and where it has this radius."""
    fall = e.a[1] - e.b[1]
    at = (e.a[1] - radius) / fall if isinstance(e, Line) and abs(fall) > SAME else 0.0
    return [*(k / SAMPLES for k in range(SAMPLES + 1)), min(max(at, 0.0), 1.0)]


def _flat_floor(drawer: Drawer, rows: Rows) -> list[Step]:
    """The thickest flat drill that makes the middle of a flat floor; CannotMake where none is there or gets so deep."""
    last = rows.chain[-1]
    if rows.bored < len(rows.chain) or rows.through:
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


def _centred(drawer: Drawer, first: Step) -> list[Step]:
    """The centre drill before the first drill: the thickest whose mouth the drill still takes away."""
    drills = [t for t in of_kind(drawer, "centre drill") if t.hole and t.hole.pilot[0] < first.dia]
    tool = max(drills, key=lambda t: t.hole.pilot[0] if t.hole else 0.0, default=None)
    if tool is None or tool.hole is None:
        return []
    mouth = min(max(CENTRE_SHARE * first.dia, tool.hole.pilot[0]), tool.hole.mouth)
    deep = tool.hole.depth_for_mouth(mouth)
    if -deep < first.tip:
        return []
    return [
        Step(
            "centre",
            tool,
            mouth,
            -deep,
            f"starts the {first.tool.name} true",
        )
    ]


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
    return [
        Step("drill", tool, pilot.dia, first.tip, f"goes before {first.dia:g} mm, so that its web need not cut"),
        *steps_,
    ]


def by_countersink(drawer: Drawer, rows: Rows) -> Rows:
    """The rows with an edge at the mouth that a countersink of the rack makes, where a bar need not come for it."""
    return replace(rows, made=("drilled", *rows.made[1:])) if rows.bored == 1 and _countersink(drawer, rows) else rows


def _edges(drawer: Drawer, rows: Rows) -> list[Step]:
    """A countersink for the broken edge of a hole that no bar goes along."""
    found = None if rows.bored else _countersink(drawer, rows)
    if found is None or found.hole is None:
        return []
    mouth = 2.0 * rows.chain[0].a[1]
    return [Step("countersink", found, mouth, -found.hole.depth_for_mouth(mouth), f"breaks the edge to {mouth:.2f} mm")]


def _countersink(drawer: Drawer, rows: Rows) -> Tool | None:
    """The countersink of the rack whose cone is that of the edge at the mouth."""
    edge = rows.chain[0] if rows.chain else None
    if not isinstance(edge, Line) or edge.a[1] <= edge.b[1] + SAME or abs(edge.a[0] - edge.b[0]) <= SAME:
        return None
    mouth = 2.0 * edge.a[1]
    angle = 2.0 * math.atan2(edge.a[1] - edge.b[1], edge.a[0] - edge.b[0])
    for tool in of_kind(drawer, "countersink"):
        hole = tool.hole
        if hole is None or abs(hole.cone - angle) > 1e-6 or hole.pilot[0] > 2.0 * edge.b[1] + SAME:
            continue
        if not hole_refusal(tool, "countersink", deep=hole.depth_for_mouth(mouth), dia=mouth):
            return tool
    return None


def removes(step: Step) -> Chain:
    """The closed outline (z, x) of what a tool takes."""
    return taken(step.tool, mouth=BEFORE, bottom=step.tip)


def opened(step: Step) -> Chain:
    """The surface that a tool leaves when it has been down: from its tip on the axis to the mouth, (z, -x)."""
    wall = (e for e in removes(step) if max(e.a[1], e.b[1]) > 0.0 and min(e.a[0], e.b[0]) < 0.0)
    return between(INSIDE.chain(reverse(tuple(wall))), step.tip, 0.0)


def of_kind(drawer: Drawer, kind: str) -> list[Tool]:
    """The hole tools of a kind that have no number."""
    return [t for t in drawer.by_hand if t.kind == kind]


def diameter(tool: Tool) -> float:
    """mm."""
    return tool.hole.diameter if tool.hole else 0.0
