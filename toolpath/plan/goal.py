"""What must stand after a set-up: the part, its stub or the stock's cut end, and the stock as the tools leave it."""

from __future__ import annotations

from toolpath.geometry.elements import Chain, Element, Line, Point, arc_about, polyline, reverse
from toolpath.geometry.minimum import between
from toolpath.plan.request import Request
from toolpath.plan.workpiece import SAME, Workpiece, front_of


def goal(request: Request, work: Workpiece, outside: Chain, inside: Chain) -> tuple[Chain, ...]:
    """Closed outlines in (z, x). outside, inside: the surfaces that the tools leave, left to right in z; inside begins
    on the axis or at the stock's back end and runs to the front face; () where there is no hole.

    A piece that is parted right off is an outline of its own; one that hangs on its stub is one outline with the stock.
    """
    far = request.stock.back
    if work.blade is None:
        end = work.rows[-1].b
        bar = _surface(outside, end[0], far)
        turned = (*front_of(request.part.outside), *(e for e in work.rows if e.b[0] < -SAME))
        return (_closed((*turned, *polyline(_distinct([end, bar[0].a])), *bar), inside, far),)
    slot = work.parting_z
    bar = _surface(outside, slot, far)
    back = request.part.outside[-1].b
    hole = radius_at(inside, slot)
    stub = request.stub / 2.0
    if hole > SAME or stub <= SAME:
        piece = (*request.part.outside, *_hollow_to(inside, back))
        rest = _closed(bar, between(inside, far, slot), far) if hole > SAME else _closed(bar, (), far, slot)
        return (piece, rest)
    *front, face = request.part.outside
    slotted = _stub(face.a, bar[0].a, stub, corner=work.blade.nose_radius)
    return (_closed((*front, *slotted, *bar), inside, far),)


def _closed(surface: Chain, inside: Chain, far: float, start: float | None = None) -> Chain:
    """A surface that ends at the stock's back end, closed by that end and the hole or the axis."""
    outer, first = surface[-1].b, surface[0].a
    if inside and inside[0].a[1] > SAME:
        return (
            *surface,
            *polyline(_distinct([outer, inside[0].a])),
            *inside,
            *polyline(_distinct([inside[-1].b, first])),
        )
    begin = inside[0].a if inside else (first[0], 0.0)
    ends = _distinct([outer, (far, 0.0), begin])
    last = inside[-1].b if inside else begin
    return (*surface, *polyline(ends), *inside, *polyline(_distinct([last, first])))


def _hollow_to(inside: Chain, back: Point) -> Chain:
    """From the part's back face through its hole, or along the axis, to the front: what closes a parted piece."""
    if not inside:
        return (Line(back, (0.0, 0.0)),)
    if inside[0].a[0] >= back[0]:
        return (*polyline(_distinct([back, inside[0].a])), *inside)
    through = between(inside, back[0], inside[-1].b[0])
    return (*polyline(_distinct([back, through[0].a])), *through)


def radius_at(inside: Chain, z: float) -> float:
    """Radius of the hole at z, mm; 0 where it does not reach."""
    here = between(inside, z, inside[-1].b[0]) if inside else ()
    return here[0].a[1] if here and here[0].a[0] <= z + SAME else 0.0


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
