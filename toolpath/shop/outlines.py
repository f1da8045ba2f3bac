"""Exact outlines of tools seen from above: convex, closed, counter-clockwise, relative to the point the program moves.

Everything is the hull of discs in order: an insert is the hull of its rounded corners, a blade of its two corner
radii and two far points, a round tool of one disc. So edges are true tangents, noses are true arcs, and no outline
can fail to be convex. The tools drawn here are right-hand outside tools, in (z, x), millimetres, radians: the nose
centre stands at (+r, +r) from the point. Other hands are mirror images (`mirrored`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from toolpath.errors import BadInput
from toolpath.geometry.elements import TURN, Arc, Chain, Element, Line, Point, reverse

Disc = tuple[Point, float]

ANGLE_EPS = 1e-9  # rad: turning backwards by less than this is rounding, not a hollow
SAME_PLACE = 1e-9  # mm: two corner discs this near are one (a blade with a full radius)
SHARP = 1e-6  # mm: a smaller radius is a sharp corner


def hull(discs: Sequence[Disc]) -> Chain:
    """Closed outline around discs given counter-clockwise; a disc of radius 0 is a sharp corner.

    Begins with the arc of the first disc (or, when that is a point, with the line that leaves it).
    ValueError when the discs do not all stand on their own hull, in this order.
    """
    ring = _merged(discs)
    if len(ring) == 1:
        return _circle(*ring[0])
    normals = [_tangent_normal(p, q) for p, q in zip(ring, ring[1:] + ring[:1], strict=True)]
    turns = [_turn(n, m) for n, m in zip(normals[-1:] + normals[:-1], normals, strict=True)]
    if min(turns) < 0.0 or abs(sum(turns) - TURN) > ANGLE_EPS * len(turns):
        raise ValueError("these discs do not stand counter-clockwise on a convex outline")
    arrive = [_on(d, n) for d, n in zip(ring, normals[-1:] + normals[:-1], strict=True)]
    leave = [_on(d, n) for d, n in zip(ring, normals, strict=True)]
    out: list[Element] = []
    for i, ((centre, radius), turn) in enumerate(zip(ring, turns, strict=True)):
        if radius > 0.0 and turn > 0.0:
            out.append(Arc(arrive[i], leave[i], centre, turn))
        end = arrive[(i + 1) % len(ring)]
        if leave[i] != end:
            out.append(Line(leave[i], end))
    return tuple(out)


def ground_outline(entering: float, included: float, *, nose: float, edge: float) -> Chain:
    """A tool ground from a bit: both edges `edge` mm long from the sharp corner, closed straight between their ends."""
    trailing_angle(entering, included)
    lead, trail = _directions(entering, included)
    nose = _measurable(nose)
    corner = sharp_corner(entering, included, nose)
    if edge <= nose / math.tan(included / 2.0):
        raise BadInput(
            f"an edge of {edge:g} mm is used up by the nose radius of {nose:g} mm",
            right=f"Longer than {nose / math.tan(included / 2.0):.3g} mm is needed with this included angle",
        )
    return hull([((nose, nose), nose), (_along(corner, trail, edge), 0.0), (_along(corner, lead, edge), 0.0)])


def polygon_outline(entering: float, *, corners: Sequence[float], sides: Sequence[float], nose: float) -> Chain:
    """An insert: all its corners, rounded by `nose`, the working one first.

    corners: angles at the corners, counter-clockwise from the working one; they make up a closed polygon.
    sides:   lengths between sharp corners, the first one being the trailing edge, the last one the leading edge.
    """
    _, direction = _directions(entering, corners[0])
    nose = _measurable(nose)
    cot = [1.0 / math.tan(c / 2.0) for c in corners]
    centre, discs = (nose, nose), []
    for i, side in enumerate(sides):
        discs.append((centre, nose))
        j = (i + 1) % len(corners)
        between = side - nose * (cot[i] + cot[j])
        if between <= 0.0:
            raise BadInput(f"a nose radius of {nose:g} mm leaves nothing of an edge of {side:.3g} mm")
        centre = _along(centre, direction, between)
        direction += math.pi - corners[j]
    return hull(discs)


def round_outline(radius: float) -> Chain:
    """A whole round insert."""
    return hull([((radius, radius), radius)])


def blade_outline(width: float, reach: float, *, corners: tuple[float, float], side_clearance: float = 0.0) -> Chain:
    """A blade from 0 to `width` along z, its end at x = 0; the point is its sharp corner on the chuck side.

    corners: radii on the chuck side and on the free side; both half the width make a full radius.
    side_clearance: angle by which each side leans inwards going up.
    """
    near, far = (_measurable(r) for r in corners)
    lean = reach * math.tan(side_clearance)
    if near + far > width + SAME_PLACE:
        raise BadInput(
            f"corner radii of {near:g} and {far:g} mm do not fit on a blade {width:g} mm wide",
            right=f"A full radius is {width / 2:g} mm on both corners",
        )
    if lean * 2.0 >= width or max(corners) >= reach:
        raise BadInput(f"a blade {width:g} mm wide that reaches {reach:g} mm has nothing left at its upper end")
    top = [((width - lean, reach), 0.0), ((lean, reach), 0.0)]
    return hull([((near, near), near), ((width - far, far), far), *top])


def point_outline(angle: float, depth: float, *, flat: float, radius: float) -> Chain:
    """A threading point: two flanks with `angle` between them, `depth` mm high, over a flat or a radius; lowest at 0.

    The point is in the middle of its end.
    """
    half = angle / 2.0
    radius = _measurable(radius)
    side = half_width(angle, depth, flat=flat, radius=radius)
    if depth <= radius * (1.0 - math.sin(half)):
        raise BadInput(f"a radius of {radius:g} mm leaves nothing of flanks {depth:g} mm high")
    ends = [((0.0, radius), radius)] if radius else [((-flat / 2.0, 0.0), 0.0), ((flat / 2.0, 0.0), 0.0)]
    return hull([*ends, ((side, depth), 0.0), ((-side, depth), 0.0)])


def half_width(angle: float, depth: float, *, flat: float, radius: float) -> float:
    """Half of a threading point's width at `depth` above its end, mm."""
    half = angle / 2.0
    # A radius stands above the sharp end of its flanks by r / sin(half) - r.
    return flat / 2.0 + (depth + radius / math.sin(half) - radius) * math.tan(half)


def box(z0: float, x0: float, z1: float, x1: float) -> Chain:
    """The rectangle between two corners, (z0, x0) the lower left one."""
    return hull([((z0, x0), 0.0), ((z1, x0), 0.0), ((z1, x1), 0.0), ((z0, x1), 0.0)])


def mirrored(chain: Chain) -> Chain:
    """The outline seen in a mirror across z, still counter-clockwise, still beginning with the same element's image."""
    back = reverse(chain)
    return tuple(_mirror(e) for e in back[-1:] + back[:-1])


def sharp_corner(entering: float, included: float, nose: float) -> Point:
    """Where the two edges would meet if there were no nose radius, relative to the point."""
    lead, trail = _directions(entering, included)
    return _along((nose, nose), (lead + trail) / 2.0, -nose / math.sin(included / 2.0))


def trailing_angle(entering: float, included: float) -> float:
    """Angle between the trailing edge and the +z direction, rad; checked to leave room behind the nose."""
    trailing = math.pi - entering - included
    if trailing <= 0.0:
        raise BadInput(
            f"an insert or tool of {math.degrees(included):g} deg entering at {math.degrees(entering):g} deg has "
            f"{round(math.degrees(trailing), 3) + 0.0:g} deg behind its nose and would rub",
            right="Entering and included angle together must stay below 180 deg",
        )
    return trailing


def _directions(entering: float, included: float) -> tuple[float, float]:
    """Directions of the leading and the trailing edge, both going away from the nose."""
    return math.pi - entering, math.pi - entering - included


def _along(p: Point, direction: float, distance: float) -> Point:
    return (p[0] + distance * math.cos(direction), p[1] + distance * math.sin(direction))


def _measurable(radius: float) -> float:
    return radius if radius > SHARP else 0.0


def _on(disc: Disc, normal: Point) -> Point:
    (z, x), r = disc
    return (z + r * normal[0], x + r * normal[1])


def _tangent_normal(p: Disc, q: Disc) -> Point:
    """Unit normal, to the right of the way from p to q, of the straight line that touches both discs there."""
    dz, dx = q[0][0] - p[0][0], q[0][1] - p[0][1]
    d = math.hypot(dz, dx)
    c = (p[1] - q[1]) / d
    if abs(c) >= 1.0:
        raise ValueError("one disc swallows its neighbour")
    s = math.sqrt(1.0 - c * c)
    return ((c * dz + s * dx) / d, (c * dx - s * dz) / d)


def _turn(n: Point, m: Point) -> float:
    """Angle from direction n to direction m, counter-clockwise, 0 to a turn; rounding just below 0 counts as 0."""
    w = math.atan2(n[0] * m[1] - n[1] * m[0], n[0] * m[0] + n[1] * m[1])
    return 0.0 if -ANGLE_EPS < w < 0.0 else w % TURN


def _merged(discs: Sequence[Disc]) -> list[Disc]:
    """Neighbours that are the same disc become one."""
    ring: list[Disc] = []
    for disc in discs:
        if not ring or math.dist(ring[-1][0], disc[0]) > SAME_PLACE or ring[-1][1] != disc[1]:
            ring.append(disc)
    return ring


def _circle(centre: Point, r: float) -> Chain:
    left, right = (centre[0] - r, centre[1]), (centre[0] + r, centre[1])
    return (Arc(left, right, centre, math.pi), Arc(right, left, centre, math.pi))


def _mirror(e: Element) -> Element:
    def flip(p: Point) -> Point:
        return (0.0 - p[0], p[1])  # never a minus zero

    if isinstance(e, Line):
        return Line(flip(e.a), flip(e.b))
    return Arc(flip(e.a), flip(e.b), flip(e.centre), -e.sweep)
