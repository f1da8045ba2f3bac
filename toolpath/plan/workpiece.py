"""The metal of a set-up in (z, x): what stands before, what must stand afterwards, and what no tool may enter.

Behind the part the bar is turned down to the part's last diameter for the width of the blade and a little more, then
rises to the bar in a hollow that every nose of the rack can follow. What must be missed never ends at the part's last
row: a tool that ran off its end would dive behind it.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Element, Line, Point, arc_about, polyline, reverse
from toolpath.geometry.minimum import between, height_over
from toolpath.plan.request import Request
from toolpath.plan.side import AIR, Side
from toolpath.shop.holding import Hold, chuck, collet
from toolpath.shop.tools import Tool

RUN_OUT = 0.5
"""mm that the turned length goes on beyond the parting slot, so that the blade enters a clean cylinder."""

BLADE_SHARE = 0.8
"""Part of the blade's width within which it breaks a back corner with its side."""

SAME = 1e-9


class Workpiece(Struct, frozen=True):
    """Lengths in mm, outlines in (z, x) with the part's front face at z = 0.

    stick_out: of the bar, from the nose of its hold
    hold:      what holds the bar; its nose stands at nose_z
    outside:   the work as turning tools see it: from behind the hold to the part's front
    rows:      the part's surfaces that are turned, from its front to its back
    tail:      what is turned behind the part, from the part towards the chuck
    back:      the elements that the blade cuts (back corner and back face), left to right; empty when it is not parted
    stock:     closed outlines before the set-up
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

    @property
    def parting_z(self) -> float:
        """z of the blade's programmed corner while it parts, mm."""
        return self.back[0].a[0] - (self.blade.width if self.blade else 0.0)


def workpiece(request: Request, blade: Tool | None, *, largest_nose: float) -> Workpiece:
    """The metal of the one set-up. blade: the parting tool, or None when the part stays on the bar.

    largest_nose: greatest nose radius that must follow the hollow behind the part, mm
    Errors: CannotMake when the bar is too short for what the job needs.
    """
    part, stock = request.part, request.stock
    first_back = _first_of_back(request, blade)
    face = front_of(part.outside)
    rows = (*((Line(face[0].a, face[-1].b),) if face else ()), *part.outside[len(face) : first_back])
    end = rows[-1].b
    width = blade.width if blade else 0.0
    bar = height_over(stock.skyline, (stock.back, end[0]))
    tail = _tail(end, bar, run=(width + RUN_OUT) if blade else 0.0, hollow=2.0 * largest_nose)
    reach_back = max(-(tail[-1].b[0] if tail else end[0]), _back_of(blade, -part.length - width))
    stick_out = _stick_out(request, reach_back)
    nose_z = stock.front - stick_out
    hold = _hold(request, nose_z)
    left = _behind(hold, nose_z, bar, tail[-1].b if tail else end, clearance=request.machine.clearance)
    back = reverse(part.outside[first_back:]) if blade else ()
    return Workpiece(
        stick_out=stick_out,
        nose_z=nose_z,
        hold=hold,
        outside=_outside(request, left, (*rows, *tail), tail=len(tail), nose_z=nose_z),
        rows=rows,
        tail=tail,
        back=back,
        stock=stock.outlines,
        blade=blade,
    )


def front_of(outside: Chain) -> Chain:
    """The front face with the grooves in it, from its inner edge to its rim; () where the part has none."""
    front = [k for k, e in enumerate(outside) if abs(e.a[0]) < SAME and abs(e.b[0]) < SAME]
    return outside[: front[-1] + 1] if front else ()


def _outside(request: Request, left: Chain, turned: Chain, *, tail: int, nose_z: float) -> Side:
    """left: what lies left of what is turned; turned: rows and tail, from the front towards the chuck."""
    contour, stock = (*left, *reverse(turned)), request.stock
    front = contour[-1]
    # The flat front face is faced, not turned.
    last = len(contour) - (1 if front.a[0] == front.b[0] else 0)
    stands = between(stock.skyline, stock.back, 0.0)
    edge = stands[-1].b
    return Side(
        works="outside",
        contour=contour,
        wanted=frozenset(range(len(left) + tail, last)),
        finished=frozenset(range(len(left), last)),
        stands=(*stands, Line(edge, (edge[0], -AIR)), Line((edge[0], -AIR), (AIR, -AIR))),
        begins=nose_z,
        ends=0.0,
        top=height_over(stands, (nose_z, 0.0)),
        clearance=request.machine.clearance,
        dia=stock.dia,
    )


def _first_of_back(request: Request, blade: Tool | None) -> int:
    """Index of the first element that is left to the blade: the back corner where its side reaches it, and the face."""
    outside = request.part.outside
    k = len(outside)
    if k and outside[-1].a[0] == outside[-1].b[0]:
        k -= 1
    if blade is None:
        return k
    while k > 1:
        e = outside[k - 1]
        falls = e.b[1] < e.a[1] - SAME and e.a[0] > e.b[0] + SAME
        if not falls or e.a[0] + request.part.length > BLADE_SHARE * blade.width:
            break
        k -= 1
    return k


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
    if rise <= radius:
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
    stock = request.stock
    needed = stock.front + reach_back + 2.0 * request.machine.clearance
    if request.stick_out is None:
        # A blank is held by the cylinder at its back end, and what stands before that stands out of the hold.
        return max(math.ceil(2.0 * needed) / 2.0, stock.length - stock.grip.reach)
    if request.stick_out < needed - SAME:
        raise CannotMake(
            f"the bar sticks out {request.stick_out:g} mm; face, part, parting slot and the clearance to the hold take "
            f"{needed:.2f} mm. Let it stick out at least so far"
        )
    return request.stick_out


def _hold(request: Request, nose_z: float) -> Hold:
    m = request.machine
    if request.held_in == "collet":
        return collet(request.stock.grip.dia, nose_z=nose_z, size=m.collet)
    return chuck(request.stock.grip.dia, nose_z=nose_z, body=m.chuck_diameter, bore=request.stock.bore)


def _behind(hold: Hold, nose_z: float, r_bar: float, join: Point, *, clearance: float) -> Chain:
    """Left to right: the skyline of the hold, grown by the clearance, then the bar up to where the contour begins."""
    boxes = sorted((_bounds(o) for o in hold.outlines), key=lambda b: b[0])
    points: list[Point] = []
    for z0, _, z1, x1 in boxes:
        points += [(z0, x1 + clearance), (z1, x1 + clearance)]
    nose = nose_z + clearance
    points[-1] = (nose, points[-1][1])
    points += [(nose, r_bar), (join[0], r_bar)]
    return polyline(_steps(points))


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
