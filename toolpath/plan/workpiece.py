"""The metal of a set-up in (z, x): what stands before, what must stand afterwards, and what no tool may enter.

Behind the part the bar is turned down to the part's last diameter for the width of the blade and a little more, then
rises to the bar in a hollow that every nose of the rack can follow. What must be missed never ends at the part's last
row: a tool that ran off its end would dive behind it.
"""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Element, Line, Point, arc_about, polyline, reverse
from toolpath.geometry.envelope import height_on
from toolpath.geometry.minimum import between, height_over
from toolpath.part.stock import Stock
from toolpath.plan.bending import Gives, gives
from toolpath.plan.gripping import widest_hole
from toolpath.plan.request import Request
from toolpath.plan.share import shares, split_at, turned_to
from toolpath.plan.side import AIR, Side
from toolpath.plan.steadies import more_give, refuse_behind, steady_of
from toolpath.plan.tailstock import KERF, Centre, centre_of
from toolpath.shop import ways
from toolpath.shop.holding import Hold, least_grip, thin_tube
from toolpath.shop.tools import Tool
from toolpath.shop.ways import Held

RUN_OUT = 0.5
"""mm that the turned length goes on beyond the parting slot, so that the blade enters a clean cylinder."""

SAME = 1e-9

MEETS = 0.02
"""mm that what stands may be higher than the surface that runs into it: less is no step that a nose must follow."""


class Workpiece(Struct, frozen=True):
    """Lengths in mm, outlines in (z, x) with the part's front face at z = 0.

    stick_out: of the bar, from the nose of its hold
    hold:      what holds the bar; its nose stands at nose_z
    outside:   the work as turning tools see it: from behind the hold to the part's front
    rows:      the part's surfaces that are turned, from its front to its back
    tail:      what is turned behind the part, from the part towards the chuck
    back:      the elements that the blade cuts (back corner and back face), left to right; empty when it is not parted
    stock:     closed outlines before the set-up
    gives:     how the work gives way under a tool
    centre:    in the end that looks at the tools; hold has it too where it is in when the program begins
    """

    stick_out: float
    nose_z: float
    hold: Hold
    outside: Side
    rows: Chain
    tail: Chain
    back: Chain
    stock: tuple[Chain, ...]
    blade: Tool | None
    gives: Gives
    centre: Centre | None = None

    @property
    def parting_z(self) -> float:
        """z of the blade's programmed corner while it parts, mm."""
        return self.back[0].a[0] - (self.blade.width if self.blade else 0.0)


def workpiece(request: Request, blade: Tool | None, *, largest_nose: float) -> Workpiece:
    """The metal of a set-up. blade: the parting tool, or None when the part stays on the bar.

    largest_nose: greatest nose radius that must follow the hollow behind the part, mm
    Errors: CannotMake when the stock is too short for what the job needs.
    """
    stock, hollow = request.stock, 2.0 * largest_nose
    rows, back = shares(request, blade)
    rows = split_at(rows, request.turn_from)
    end = rows[-1].b
    width = blade.width if blade else 0.0
    far = back[0].a[0] if back else end[0]
    run = end[0] - far + (width + RUN_OUT if blade else 0.0) if request.runs_on else 0.0
    bar = height_over(stock.skyline, (max(stock.back, end[0] - run - hollow), end[0] - run))
    # Where an earlier set-up has turned what follows, the surface runs on into it: there is no step to rise over.
    bare = request.turn_to is not None and request.turn_to <= request.turn_from + SAME  # nothing is turned
    met = bare or (request.gripped is not None and _just_behind(stock.skyline, end[0]) <= end[1] + MEETS)
    # A hollow that begins level would dip under a surface that goes on rising: only an upright wall is clear of it.
    rises = run <= 0.0 and _goes_on_rising(request, rows[-1], hollow)
    tail = () if met else _tail(end, bar, run=run, hollow=0.0 if rises else hollow)
    reach_back = max(-(tail[-1].b[0] if tail else end[0]), _back_of(blade, far - width))
    if request.sawn:
        reach_back = max(reach_back, request.part.length + request.spare + KERF)
    stick_out, steady = _stick_out(request, reach_back), steady_of(request)
    nose_z = stock.front - stick_out
    centre = centre_of(request)
    hold = _hold(request, nose_z)
    if centre:
        there = centre.outlines if centre.there else ()
        name = hold.name if request.support == "centres" else f"{hold.name} and a running centre"
        hold = replace(hold, outlines=(*hold.outlines, *there), name=name)
    if steady:
        refuse_behind(request, steady, stock.front + reach_back + 2.0 * request.machine.clearance)
        hold = replace(hold, outlines=(*hold.outlines, *steady.outlines), name=f"{hold.name} and a fixed steady")
        nose_z, stick_out = steady.front, stock.front - steady.front
    join = tail[-1].b if tail else end
    left = _behind(hold, stock.skyline, (nose_z, join), clearance=request.machine.clearance)
    outside = _outside(request, left, (*rows, *tail), tail=len(tail), nose_z=nose_z)
    return Workpiece(
        stick_out=stick_out,
        nose_z=nose_z,
        hold=hold,
        outside=_round(centre, outside),
        rows=rows,
        tail=tail,
        back=back,
        stock=stock.outlines,
        blade=blade,
        gives=how_it_gives(request, outside.contour, nose_z=nose_z),
        centre=centre,
    )


def how_it_gives(request: Request, contour: Chain, *, nose_z: float, cut: tuple[float, float] | None = None) -> Gives:
    """How the work gives way where it is cut. contour: what stands afterwards; cut: least and greatest z of that, mm"""
    part, stock, steady = request.part, request.stock, steady_of(request)
    more = more_give(steady, nose_z=request.gripped.nose_z, front=stock.front) if steady and request.gripped else 1.0
    return gives(
        (contour, stock.skyline),
        (part.inside, part.inside_back, stock.inside),
        ends=(stock.back if request.support == "centres" else nose_z, 0.0),
        material=request.material,
        cut=cut,
        support=request.support,
        more=more,
    )


def _round(centre: Centre | None, side: Side) -> Side:
    """The side with a centre before it: the face ends where tools keep clear of that."""
    if centre is None:
        return side
    *surface, face = side.contour
    met = next(k for k, e in enumerate(side.stands) if e.a[0] >= 0.0 and e.b[1] < centre.edge)
    down = Line(side.stands[met].a, (0.0, centre.edge))
    return replace(
        side,
        contour=(*surface, Line(face.a, (face.a[0], centre.edge))),
        stands=(*side.stands[:met], down, *centre.beyond),
        beyond=centre.beyond,
    )


def _outside(request: Request, left: Chain, turned: Chain, *, tail: int, nose_z: float) -> Side:
    """left: what lies left of what is turned; turned: rows and tail, from the front towards the chuck."""
    contour, stock = (*left, *reverse(turned)), request.stock
    # The flat front face is faced, not turned; what an earlier set-up has turned stands.
    last = len(contour) - _finished_before(turned, request.turn_from)
    stands = between(stock.skyline, stock.back, 0.0)
    edge = stands[-1].b
    skin = frozenset(k for k in range(len(left), last) if _lies_on(contour[k], stands))
    return Side(
        works="outside",
        contour=contour,
        wanted=frozenset(range(len(left) + tail, last)) - skin,
        finished=frozenset(range(len(left), last)) - skin,
        stands=(*stands, Line(edge, (edge[0], -AIR)), Line((edge[0], -AIR), (AIR, -AIR))),
        begins=nose_z,
        ends=0.0,
        top=height_over(stands, (nose_z, 0.0)),
        clearance=request.machine.clearance,
        dia=stock.dia,
    )


def _lies_on(e: Element, surface: Chain) -> bool:
    """True of an element that is a stretch of a surface as it stands: the skin of the bar has nothing to be cut."""
    middle = e.point_at(0.5)
    return any(all(s.distance(p) <= SAME for p in (e.a, middle, e.b)) for s in surface)


def _finished_before(turned: Chain, turn_from: float) -> int:
    """How many elements from the front on are not turned here: the flat face, and what lies before `turn_from`, mm."""
    face = 1 if turned[0].a[0] == turned[0].b[0] else 0
    before = len(turned_to(turned, turn_from)) if turn_from > 0.0 else 0
    return max(face, before)


def _goes_on_rising(request: Request, last: Element, within: float) -> bool:
    """Whether the part rises behind what is turned last, as far as a hollow there would reach."""
    t, (z, x) = last.tangent_at(1.0), last.b
    behind = (e for e in request.part.outside if z - within - SAME < e.b[0] < z - SAME and request.turn_to is not None)
    return (t[1] > SAME and t[0] < -SAME) or any(e.bounds()[3] > x + SAME for e in behind)


def _just_behind(skyline: Chain, z: float) -> float:
    """Height of what stands beside z towards the chuck, mm."""
    beside = [e for e in skyline if e.a[0] < z <= e.b[0] + SAME]
    return height_on(beside[-1], min(z, beside[-1].b[0])) if beside else 0.0


def _tail(end: Point, r_bar: float, *, run: float, hollow: float) -> Chain:
    """From the part's last point towards the chuck: level, then a hollow up to the bar."""
    z, x = end
    out: list[Element] = []
    if run > 0.0:
        out.append(Line((z, x), (z - run, x)))
        z -= run
    rise = r_bar - x
    if rise <= SAME:
        return tuple(out)
    radius = max(hollow, SAME)
    if hollow <= SAME:
        out.append(Line((z, x), (z, r_bar)))
    elif rise <= radius:
        along = math.sqrt(max(radius**2 - (radius - rise) ** 2, 0.0))
        out.append(arc_about((z, x + radius), (z, x), (z - along, r_bar), ccw=False))
    else:
        out.append(arc_about((z, x + radius), (z, x), (z - radius, x + radius), ccw=False))
        out.append(Line((z - radius, x + radius), (z - radius, r_bar)))
    return tuple(out)


def _back_of(blade: Tool | None, parting_z: float) -> float:
    """How far behind the front face the parting blade and what carries it reach while it parts, mm."""
    if blade is None:
        return 0.0
    return max(-(parting_z + e.bounds()[0]) for chain in (blade.outline, *blade.holder) for e in chain)


def _stick_out(request: Request, reach_back: float) -> float:
    """As asked for, or as little as leaves the tools their clearance to the hold; whole half millimetres."""
    stock, gripped = request.stock, request.gripped
    needed = stock.front + reach_back + 2.0 * request.machine.clearance
    asked = stock.front - gripped.nose_z if gripped else request.stick_out
    if asked is None:
        # A blank is held by the cylinder at its back end, and what stands before that stands out of the hold.
        return max(math.ceil(2.0 * needed) / 2.0, stock.length - stock.grip.reach)
    if asked < needed - SAME and gripped:
        raise CannotMake(
            f"{asked:.2f} mm of the work stand out of its hold, and what is turned takes {needed:.2f} mm with its "
            "clearance. Write a smaller turn_to here, and turn the rest in another holding"
        )
    if asked < needed - SAME:
        raise CannotMake(
            f"the work sticks out {asked:g} mm; face, part, parting slot and the clearance to the hold take "
            f"{needed:.2f} mm. Let it stick out at least so far"
        )
    return asked


def _hold(request: Request, nose_z: float) -> Hold:
    m = request.machine
    dia = request.gripped.dia if request.gripped else request.stock.grip.dia
    gripped, stock = request.gripped, request.stock
    far = gripped.far_z if gripped else max(stock.back, nose_z - least_grip(dia))
    bore = widest_hole(stock, (far, nose_z)) if far < nose_z else 0.0
    on = Held(
        dia,
        length=abs(nose_z - far),
        bore=0.0 if request.plug else bore,
        on=request.on,
        mouth=_behind_mouth(stock),
        neck=gripped.neck if gripped else 0.0,
    )
    made = ways.hold(request.held_in, on, nose_z=nose_z, machine=m)
    if gripped and made.jaws and (crushed := thin_tube(dia, on.bore)):
        raise CannotMake(f"{crushed[0]} Then write plug = true in this holding, or hold it in soft jaws or a collet")
    return made


def _behind_mouth(stock: Stock) -> float:
    """Diameter of the hollow in the end behind, mm; 0 where that is whole."""
    return 2.0 * stock.inside_back[0].a[1] if stock.inside_back else 0.0


def _behind(hold: Hold, skyline: Chain, stretch: tuple[float, Point], *, clearance: float) -> Chain:
    """Left to right: the skyline of the hold, grown by the clearance, then what stands up to where the contour begins.

    stretch: z of the hold's nose, and the point where the contour begins
    """
    nose_z, join = stretch
    # What stands before the nose is an arbor in the bore, which no tool meets from outside.
    boxes = [b for b in map(_bounds, hold.outlines) if b[0] < nose_z - SAME]
    high = max(b[3] for b in boxes)  # no tool goes between a chuck and a steady
    points: list[Point] = []
    for z0, z1 in pairwise(sorted({z for b in boxes for z in (b[0], b[2])})):
        top = max((b[3] for b in boxes if b[0] <= z0 and z1 <= b[2]), default=high)
        points += [(z0, top + clearance), (z1, top + clearance)]
    nose = nose_z + clearance
    # The flange of an arbor is lower than the work that lies on it.
    points[-1] = (nose, max(points[-1][1], height_over(skyline, (nose_z, nose))))
    stands = between(skyline, nose, join[0])
    first = stands[0].a if stands else (nose, join[1])
    last = stands[-1].b if stands else first
    upright = () if last[1] == join[1] else (Line(last, (join[0], join[1])),)
    return (*polyline(_steps([*points, (nose, first[1])])), *stands, *upright)


def _steps(points: list[Point]) -> list[Point]:
    """The points with every slanting step made square, so that only level and upright lines join them."""
    out = points[:1]
    for p in points[1:]:
        if p[0] != out[-1][0] and p[1] != out[-1][1]:
            out.append((out[-1][0], p[1]))
        out.append(p)
    return out


def _bounds(outline: Chain) -> tuple[float, float, float, float]:
    b = [e.bounds() for e in outline]
    return (min(x[0] for x in b), min(x[1] for x in b), max(x[2] for x in b), max(x[3] for x in b))
