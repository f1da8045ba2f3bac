"""What of the part's outside a set-up turns, and what of its back end the parting blade cuts."""

from __future__ import annotations

from toolpath.geometry.elements import Chain, Element, Line, arc_about, reverse
from toolpath.geometry.envelope import height_on
from toolpath.geometry.minimum import height_over
from toolpath.geometry.silhouette import monotone
from toolpath.plan.request import Request
from toolpath.shop.tools import Tool

BLADE_SHARE = 0.8
"""Part of the blade's width within which it breaks a back corner with its side."""

SAME = 1e-9


def front_of(outside: Chain) -> Chain:
    """The front face with the grooves in it, from its inner edge to its rim; () where the part has none."""
    front = [k for k, e in enumerate(outside) if abs(e.a[0]) < SAME and abs(e.b[0]) < SAME]
    return outside[: front[-1] + 1] if front else ()


def shares(request: Request, blade: Tool | None) -> tuple[Chain, Chain]:
    """(what is turned, from the front to the back, a plain face first; what the blade cuts, left to right)."""
    outside = request.part.outside
    if request.turn_to is None:
        outside = tuple(part for e in outside for part in _at_its_top(e, blade, -request.part.length))
        first_back = _first_of_back(outside, request.part.length, blade)
        return _plain(outside[:first_back]), reverse(outside[first_back:]) if blade else ()
    rows = _plain(turned_to(outside, request.turn_to))
    if blade is None:
        return rows, ()
    far = -request.part.length - request.spare
    top = rows[-1].b[1] if request.runs_on else height_over(request.stock.skyline, (far - blade.width, far))
    return rows, (Line((far, 0.0), (far, top)),)


def turned_to(outside: Chain, distance: float) -> Chain:
    """The outside from the front as far as z = -distance; there, only a wall that looks at the front is counted in."""
    rows = []
    for e in outside:
        if min(e.a[0], e.b[0]) >= -distance - SAME:
            wall_behind = max(e.a[0], e.b[0]) <= -distance + SAME and e.b[1] < e.a[1]
            if wall_behind:
                break
            rows.append(e)
            continue
        if e.a[0] > -distance + SAME:
            rows += _before(e, -distance)
        break
    return tuple(rows)


def split_at(rows: Chain, distance: float) -> Chain:
    """The rows, front to back, an element that goes on over z = -distance cut in two there."""
    before = turned_to(rows, distance) if distance > 0.0 else ()
    if not before or before[-1] in rows:
        return rows
    k = next(k for k, e in enumerate(rows) if e.a == before[-1].a or (e.a[0] > -distance > e.b[0]))
    e, cut = rows[k], before[-1].b
    rest = Line(cut, e.b) if isinstance(e, Line) else arc_about(e.centre, cut, e.b, ccw=e.sweep > 0.0)
    return (*rows[:k], *before[k:], rest, *rows[k + 1 :])


def _before(e: Element, z: float) -> list[Element]:
    """What of an element that begins in front of z lies in front of it, as far as it first gets there."""
    out: list[Element] = []
    for piece in monotone(e):
        if piece.b[0] < z - SAME:
            if isinstance(piece, Line):
                return [*out, piece.part(0.0, (piece.a[0] - z) / (piece.a[0] - piece.b[0]))]
            end = (z, height_on(piece.reversed(), z))
            return [*out, arc_about(piece.centre, piece.a, end, ccw=piece.sweep > 0.0)]
        out.append(piece)
    return out


def faces_back_from(outside: Chain) -> float:
    """Distance from the front face from which the outside never rises again: what is turned from the other end, mm."""
    k = len(outside)
    while k > 1 and max(outside[k - 1].bounds()[3], outside[k - 1].b[1]) <= outside[k - 1].a[1] + SAME:
        k -= 1
    highest = outside[k].a[1] if k < len(outside) else 0.0
    while k < len(outside) and abs(outside[k].b[1] - highest) <= SAME and abs(outside[k].a[1] - highest) <= SAME:
        k += 1
    return -outside[k].a[0] if k < len(outside) else -outside[-1].b[0]


def _plain(rows: Chain) -> Chain:
    """The rows with a plain face in place of a grooved one."""
    face = front_of(rows)
    return (*((Line(face[0].a, face[-1].b),) if face else ()), *rows[len(face) :])


def _at_its_top(e: Element, blade: Tool | None, back: float) -> Chain:
    """An arc within the blade's reach cut at its highest point: what rises there is turned, or it would be cut away."""
    if blade is None or isinstance(e, Line) or e.a[0] > back + BLADE_SHARE * blade.width:
        return (e,)
    top = (e.centre[0], e.centre[1] + e.radius)
    if not SAME < e.parameter_of(top) < 1.0 - SAME:
        return (e,)
    return tuple(arc_about(e.centre, a, b, ccw=e.sweep > 0.0) for a, b in ((e.a, top), (top, e.b)))


def _first_of_back(outside: Chain, length: float, blade: Tool | None) -> int:
    """Index of the first element that is left to the blade: the back corner where its side reaches it, and the face."""
    k = len(outside)
    if k and outside[-1].a[0] == outside[-1].b[0]:
        k -= 1
    if blade is None:
        return k
    while k > 1:
        e = outside[k - 1]
        falls = e.b[1] < e.a[1] - SAME and e.a[0] > e.b[0] + SAME
        if not falls or e.a[0] + length > BLADE_SHARE * blade.width:
            break
        k -= 1
    return k
