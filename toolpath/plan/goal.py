"""What must stand after a set-up: the part, its stub or the bar's cut end, and the bar as the tools leave it."""

from __future__ import annotations

from toolpath.geometry.elements import Chain, Element, Line, Point, arc_about, polyline, reverse
from toolpath.geometry.minimum import between
from toolpath.plan.request import Request
from toolpath.plan.workpiece import SAME, Workpiece


def goal(request: Request, work: Workpiece, stands: Chain) -> tuple[Chain, ...]:
    """Closed outlines in (z, x). stands: what the turning tools leave, left to right in z.

    A piece that is parted right off is an outline of its own; one that hangs on its stub is one outline with the bar.
    """
    part = request.part
    far = request.face_off - request.bar_length
    axis = part.outside[0].a
    if work.blade is None:
        end = work.rows[-1].b
        bar = _bar_surface(stands, end[0], far)
        return ((*work.rows, *polyline(_distinct([end, bar[0].a])), *bar, *polyline([(far, 0.0), axis])),)
    slot = work.parting_z
    bar = _bar_surface(stands, slot, far)
    stub = request.stub / 2.0
    if stub <= SAME:
        return (part.outline, (*bar, *polyline([(far, 0.0), (slot, 0.0), bar[0].a])))
    *front, face = part.outside
    return (
        (*front, *_stub(face.a, bar[0].a, stub, corner=work.blade.nose_radius), *bar, *polyline([(far, 0.0), axis])),
    )


def _bar_surface(stands: Chain, end: float, far: float) -> Chain:
    """The bar's outside from z = `end` towards the chuck, and down its back end to the axis."""
    # What stands is known farther back than the bar goes: the hold's outline reaches behind its end.
    surface = reverse(between(stands, max(stands[0].a[0], far), end))
    back = surface[-1].b
    return (*surface, *polyline(_distinct([back, (far, back[1]), (far, 0.0)])))


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
