"""Rounds and chamfers between two neighbouring elements.

A *corner* is where one element ends and the next starts in another direction. A round is an arc tangent to both, a
chamfer a line from one to the other; each shortens its neighbours. Both work between line and line, line and arc, arc
and arc, on corners that turn left and on corners that turn right.

A round's centre is where the two neighbours, each moved sideways by the radius, cross: line and line, line and circle
or circle and circle, all in closed form. Of several crossings the one that takes least from the neighbours is the
corner's own (the others belong to where the same two curves meet again). The result is measured before it is given.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.geometry.elements import Arc, Element, Line, Point

SMOOTH = 1e-6  # rad; less turn than this is no corner: its arc would be shorter than what the numbers can tell
NEAR = 1e-9  # of the lengths compared: closer than this counts as equal


class Corner(Struct, frozen=True):
    """A corner made: its neighbours shortened, None where it used one up completely, and the element between."""

    before: Element | None
    new: Element
    after: Element | None


class NoCorner(Struct, frozen=True):
    """Why a corner can not be made.

    why:   "smooth" no corner here; "folded" the second runs back along the first; "level" the corner lies level with
           an axis, so that an angle could lean either way; "too large" nothing of that size touches both; "no room"
           the neighbour on `side` ("before" or "after") is shorter than what it takes
    needs: mm the corner takes of that neighbour, measured along it; there: mm it is long
    """

    why: str
    side: str = ""
    needs: float = 0.0
    there: float = 0.0


def turn(e: Element, f: Element) -> float:
    """Angle from the direction at the end of e to that at the start of f, rad, -pi..pi, left turns positive."""
    a, b = e.tangent_at(1.0), f.tangent_at(0.0)
    return math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])


def round_corner(e: Element, f: Element, radius: float) -> Corner | NoCorner:
    """Arc of `radius` (mm, > 0) tangent to e and f on the inner side of the corner where e ends and f starts."""
    w = turn(e, f)
    if (bad := _no_turn(w)) is not None:
        return bad
    shift = math.copysign(radius, w)
    centres = crossings(_carrier(e, shift), _carrier(f, shift))
    found = _nearest(e, f, [(c, c) for c in centres])
    if isinstance(found, NoCorner):
        return found
    t, u, centre = found
    a, b = _on(e, t), _on(f, u)
    sweep = (1.0 - t) * _sweep(e) + w + u * _sweep(f)
    off = max(abs(math.dist(centre, a) - radius), abs(math.dist(centre, b) - radius))
    if sweep * w <= 0.0 or abs(sweep) >= 2.0 * math.pi or off > 10.0 * NEAR * _scale(e, f, radius):
        return NoCorner("too large")
    return _trimmed(e, f, (t, u), Arc(a, b, centre, sweep))


def chamfer_corner(e: Element, f: Element, size: float, *, angle: float | None = None) -> Corner | NoCorner:
    """Line across the corner where e ends and f starts.

    angle None: both its ends lie `size` (mm, > 0, straight) from the corner: on a square corner that is 45 degrees.
    angle in rad, between 0 and pi/2: the line leans that far from the first axis, and is `size` long along that axis.
    """
    w = turn(e, f)
    if (bad := _no_turn(w)) is not None:
        return bad
    found = _even(e, f, size) if angle is None else _leaning(e, f, size, angle)
    if isinstance(found, NoCorner):
        return found
    t, u = found[0], found[1]
    new = Line(_on(e, t), _on(f, u))
    # A chamfer must leave e and enter f turning the same way as the corner, else it crosses one of them.
    ends = turn(e.part(0.0, t) if t > 0.0 else e, new), turn(new, f.part(u, 1.0) if u < 1.0 else f)
    if (t > 0.0 and ends[0] * w <= 0.0) or (u < 1.0 and ends[1] * w <= 0.0):
        return NoCorner("too large")
    return _trimmed(e, f, (t, u), new)


def _no_turn(w: float) -> NoCorner | None:
    if abs(w) < SMOOTH:
        return NoCorner("smooth")
    return NoCorner("folded") if abs(w) > math.pi - SMOOTH else None


def _sweep(e: Element) -> float:
    return e.sweep if isinstance(e, Arc) else 0.0


def _scale(e: Element, f: Element, size: float) -> float:
    return max(e.length, f.length, size)


def _on(e: Element, t: float) -> Point:
    return e.point_at(min(1.0, max(0.0, t)))


def _trimmed(e: Element, f: Element, at: tuple[float, float], new: Element) -> Corner:
    t, u = at
    return Corner(e.part(0.0, t) if t > 0.0 else None, new, f.part(u, 1.0) if u < 1.0 else None)


def _carrier(e: Element, shift: float) -> Line | Arc | None:
    """e moved sideways by shift (mm, to the left positive); None when an arc's radius would pass zero."""
    if isinstance(e, Line):
        d = e.tangent_at(0.0)
        return e.moved((-d[1] * shift, d[0] * shift))
    k = 1.0 - math.copysign(shift, shift * e.sweep) / e.radius
    if k <= 0.0:
        return None
    (cz, cx), pts = e.centre, (e.a, e.b)
    a, b = ((cz + k * (p[0] - cz), cx + k * (p[1] - cx)) for p in pts)
    return Arc(a, b, e.centre, e.sweep)


def crossings(e: Element | None, f: Element | None) -> list[Point]:
    """Where the whole line or circle of e crosses that of f."""
    if e is None or f is None:
        return []
    if isinstance(e, Arc):
        return _circle_circle(e, f) if isinstance(f, Arc) else _line_circle(f, e)
    return _line_circle(e, f) if isinstance(f, Arc) else _line_line(e, f)


def _line_line(e: Line, f: Line) -> list[Point]:
    d, g = e.tangent_at(0.0), f.tangent_at(0.0)
    k = d[0] * g[1] - d[1] * g[0]
    if abs(k) < SMOOTH / 2.0:
        return []
    t = ((f.a[0] - e.a[0]) * g[1] - (f.a[1] - e.a[1]) * g[0]) / k
    return [(e.a[0] + t * d[0], e.a[1] + t * d[1])]


def _line_circle(e: Line, f: Arc) -> list[Point]:
    d, (cz, cx), r = e.tangent_at(0.0), f.centre, f.radius
    along = (cz - e.a[0]) * d[0] + (cx - e.a[1]) * d[1]
    aside = abs((cz - e.a[0]) * d[1] - (cx - e.a[1]) * d[0])
    half = (r - aside) * (r + aside)
    if half < -NEAR * r * r:
        return []
    h = math.sqrt(max(half, 0.0))
    return [(e.a[0] + k * d[0], e.a[1] + k * d[1]) for k in (along - h, along + h)]


def _circle_circle(e: Arc, f: Arc) -> list[Point]:
    (az, ax), (bz, bx), r, s = e.centre, f.centre, e.radius, f.radius
    apart = math.dist(e.centre, f.centre)
    if apart < NEAR * max(r, s):
        return []
    k = apart / 2.0 + (r - s) * (r + s) / (2.0 * apart)
    half = (r - k) * (r + k)
    if half < -NEAR * r * r:
        return []
    h = math.sqrt(max(half, 0.0))
    d = ((bz - az) / apart, (bx - ax) / apart)
    return [(az + k * d[0] - m * d[1], ax + k * d[1] + m * d[0]) for m in (h, -h)]


def _leaning(e: Element, f: Element, size: float, angle: float) -> tuple[float, float, Point] | NoCorner:
    """Parameters on e and f of two points joined by the vector of the chamfer: where e, moved by it, crosses f."""
    a, b = e.tangent_at(1.0), f.tangent_at(0.0)
    across = (a[0] + b[0], a[1] + b[1])
    if min(abs(across[0]), abs(across[1])) < SMOOTH:
        return NoCorner("level")
    v = (math.copysign(size, across[0]), math.copysign(size * math.tan(angle), across[1]))
    return _nearest(e, f, [((q[0] - v[0], q[1] - v[1]), q) for q in crossings(e.moved(v), f)])


def _even(e: Element, f: Element, size: float) -> tuple[float, float, Point] | NoCorner:
    """Parameters on e and f of the points `size` away from the corner."""
    taken: list[float] = []
    for g in (e, f):
        if isinstance(g, Arc):
            if size > 2.0 * g.radius:
                return NoCorner("too large")
            taken.append(2.0 * math.asin(size / (2.0 * g.radius)) / abs(g.sweep))
        else:
            taken.append(size / g.length)
    return _with_room(e, f, (1.0 - taken[0], taken[1], e.b), size)


def _nearest(e: Element, f: Element, pairs: list[tuple[Point, Point]]) -> tuple[float, float, Point] | NoCorner:
    """Of pairs (point seen from e, point seen from f) the one that takes least from both, and on the right side."""
    found = [(e.parameter_of(p), f.parameter_of(q), q) for p, q in pairs]
    size = _scale(e, f, 0.0)
    sides = [x for x in found if x[0] <= 1.0 + NEAR and x[1] >= -NEAR]
    if not sides:
        return NoCorner("too large")
    best = min(sides, key=lambda x: (1.0 - x[0]) * e.length + x[1] * f.length)
    return _with_room(e, f, best, size)


def _with_room(
    e: Element, f: Element, at: tuple[float, float, Point], size: float
) -> tuple[float, float, Point] | NoCorner:
    """The parameters, drawn to 0 or 1 exactly where a neighbour is used up; NoCorner where it is too short."""
    t, u, p = at
    near = NEAR * _scale(e, f, size)
    if t * e.length < -near:
        return NoCorner("no room", "before", (1.0 - t) * e.length, e.length)
    if (u - 1.0) * f.length > near:
        return NoCorner("no room", "after", u * f.length, f.length)
    return (0.0 if t * e.length <= near else t, 1.0 if (1.0 - u) * f.length <= near else u, p)
