"""What must stand after a set-up: the part, its stub or the stock's cut end, and the stock as the tools leave it."""

from __future__ import annotations

from msgspec import Struct

from toolpath.geometry.elements import Chain, Element, Line, Point, arc_about, polyline, reverse
from toolpath.geometry.minimum import between
from toolpath.plan.request import Request
from toolpath.plan.share import SAME, front_of
from toolpath.plan.tailstock import KERF
from toolpath.plan.workpiece import Workpiece


class Goal(Struct, frozen=True):
    """outlines: closed, in (z, x), of all that stands; piece: that of the work alone once it is off its stub."""

    outlines: tuple[Chain, ...]
    piece: Chain


def goal(request: Request, work: Workpiece, outside: Chain, inside: Chain) -> Goal:
    """What stands afterwards. outside, inside: the surfaces that the tools leave, left to right in z; inside goes from
    the stock's back end to the front face, along the axis where there is no hole.

    A piece that is parted right off is an outline of its own; one that hangs on its stub is one outline with the stock.
    """
    far, end = request.stock.back, work.rows[-1].b
    face = front_of(request.part.outside)
    turned: Chain = (*face, *(work.rows[1:] if face else work.rows))
    if request.sawn:
        return _sawn(request, turned, outside, inside)
    if work.blade is None:
        bar = _surface(outside, end[0], far)
        whole = _closed((*turned, *polyline(_distinct([end, bar[0].a])), *bar), inside)
        return Goal((whole,), whole)
    slot, stub = work.parting_z, request.stub / 2.0
    bar = _surface(outside, slot, far)
    *corner, down = reverse(work.back)
    surface = (*_joined(turned, outside, work.back[-1].b), *corner)
    own = _closed((*surface, down), between(inside, down.b[0], inside[-1].b[0]))
    if radius_at(inside, slot) > SAME or stub <= SAME:
        return Goal((own, _closed(bar, between(inside, far, slot))), own)
    slotted = _stub(down.a, bar[0].a, stub, corner=work.blade.nose_radius)
    return Goal((_closed((*surface, *slotted, *bar), inside),), own)


def _sawn(request: Request, turned: Chain, outside: Chain, inside: Chain) -> Goal:
    """Of a piece that is sawn off by hand: it and the bar, the saw's kerf between them."""
    far, at, end = request.stock.back, -request.part.length - request.spare, turned[-1].b
    behind = _surface(outside, end[0], at)
    surface = (*turned, *polyline(_distinct([end, behind[0].a])), *behind)
    own = _closed(surface, between(inside, at, inside[-1].b[0]))
    bar = _closed(_surface(outside, at - KERF, far), between(inside, far, at - KERF))
    return Goal((own, bar), own)


def _closed(surface: Chain, inside: Chain) -> Chain:
    """A surface that ends where `inside` begins in z, closed by it and upright lines."""
    return (
        *surface,
        *polyline(_distinct([surface[-1].b, inside[0].a])),
        *inside,
        *polyline(_distinct([inside[-1].b, surface[0].a])),
    )


def radius_at(inside: Chain, z: float) -> float:
    """Radius of the hole at z, mm; 0 where there is none."""
    return between(inside, z, inside[-1].b[0])[0].a[1]


def _joined(surface: Chain, outside: Chain, top: Point) -> Chain:
    """The surface that is turned, then what stands as far as the back face's top."""
    end = surface[-1].b
    if end[0] - top[0] <= SAME:
        return surface
    stands = reverse(between(outside, top[0], end[0]))
    return (*surface, *polyline(_distinct([end, stands[0].a])), *stands, *polyline(_distinct([stands[-1].b, top])))


def _surface(outside: Chain, end: float, far: float) -> Chain:
    """The stock's outside from z = `end` towards the chuck, to its back end."""
    # What stands is known farther back than the stock goes: the hold's outline reaches behind its end.
    return reverse(between(outside, max(outside[0].a[0], far), end))


def _stub(top: Point, far: Point, radius: float, *, corner: float) -> Chain:
    """Down the back face, along the stub and up the slot's other wall, with the hollows of the blade's corners."""
    z0, z1, x = top[0], far[0], radius + corner
    out: list[Element] = [Line(top, (z0, x))]
    if corner > SAME:
        out.append(arc_about((z0 - corner, x), (z0, x), (z0 - corner, radius), ccw=False))
    if z0 - z1 > 2.0 * corner + SAME:
        out.append(Line((z0 - corner, radius), (z1 + corner, radius)))
    if corner > SAME:
        out.append(arc_about((z1 + corner, x), (z1 + corner, radius), (z1, x), ccw=False))
    return (*out, Line((z1, x), far))


def _distinct(points: list[Point]) -> list[Point]:
    return [p for i, p in enumerate(points) if i == 0 or p != points[i - 1]]
