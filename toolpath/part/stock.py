"""The stock: the metal that stands before a set-up, as one closed outline of exact lines and arcs.

Points are (z, x), x a radius, mm; z = 0 is the finished front face of the part, so that the stock's own front face lies
at z = face_off. Whatever it was made from (bar, tube, drawn rows, what an earlier set-up left), a stock is told by its
outline alone; what tools meet from outside and from inside is found by walking along it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Chain, Element, Line, polyline, reverse, signed_area
from toolpath.geometry.frame import Frame
from toolpath.geometry.silhouette import monotone, silhouette
from toolpath.part.figures import dia, mm
from toolpath.part.solid import volume

SAME = 1e-9  # mm; ends nearer than this to the front or the back end lie on it
ON_AXIS = 1e-6  # mm; nearer to the axis there is no surface (the outline may come from a program's sweep)
CLOSED = 1e-6  # mm that one element may begin beside the end of the one before
BROKEN_EDGE = 3.0  # mm; a cylinder that begins farther from the back end is not the one gripped (common practice)
ROUND = Frame("turned round", -1, 0, 0, 1)


class Grip(Struct, frozen=True):
    """The cylinder at the back end that a hold can grip, mm; reach: from the back end, a broken edge included."""

    dia: float
    length: float
    reach: float


class Stock(Struct, frozen=True):
    """outline: closed, counter-clockwise, of the half above the axis
    outside: what is met from outside, left to right: from the back end's outer edge to the front end and down the
             front face, to the bore or the axis
    inside_back: the hollow that opens at the back end alone, left to right to its floor on the axis; () without one
    inside:  the hollow that opens at the front end, left to right; from the back end where it goes right through, from
             the axis where it has a floor; () where there is none
    """

    outline: Chain
    outside: Chain
    inside: Chain
    inside_back: Chain = ()

    @property
    def outlines(self) -> tuple[Chain, ...]:
        return (self.outline,)

    @property
    def front(self) -> float:
        """z of the front end, mm."""
        return max(e.bounds()[2] for e in self.outside)

    @property
    def back(self) -> float:
        """z of the back end, mm."""
        return self.outside[0].a[0]

    @property
    def length(self) -> float:
        """mm."""
        return self.front - self.back

    @property
    def dia(self) -> float:
        """Largest diameter, mm."""
        return 2.0 * max(e.bounds()[3] for e in self.outside)

    @property
    def bore(self) -> float:
        """Least diameter of the hole that goes right through, mm; 0 where there is none."""
        if not self.inside or self.inside[0].a[1] <= ON_AXIS:
            return 0.0
        return 2.0 * min(e.bounds()[1] for e in self.inside)

    @property
    def skyline(self) -> Chain:
        """What a tool that comes straight from outside sees: `outside`, one-valued in z but for upright lines."""
        return silhouette(self.outside).chain

    @property
    def grip(self) -> Grip:
        """The cylinder at the back end, an edge broken behind it or not; BadInput where there is none."""
        for k, e in enumerate(self.outside):
            if e.a[0] - self.back > BROKEN_EDGE or e.b[1] < e.a[1] - SAME:
                break
            if _level(e, e.a[1]):
                end = next((f.a[0] for f in self.outside[k:] if not _level(f, e.a[1])), self.front)
                return Grip(2.0 * e.a[1], end - e.a[0], end - self.back)
        raise BadInput("the stock does not end in a cylinder that a hold could grip", right="End the rows with a dia")

    def volume(self) -> float:
        """mm³, exact (Pappus)."""
        return volume(self.outline)

    def turned_round(self, length: float) -> Stock:
        """The same metal once the part of that length (mm) is turned round: its back face at z = 0."""
        return stock_of(tuple(e.moved((-length, 0.0)) for e in ROUND.outline(self.outline)))


def bar(dia: float, *, length: float, front: float) -> Stock:
    """A round bar, mm, its front face at z = front."""
    return tube(dia, bore=0.0, length=length, front=front)


def tube(outer: float, *, bore: float, length: float, front: float) -> Stock:
    """A bar with a hole right through, mm. BadInput when no metal is left."""
    if not 0.0 <= bore < outer or not length > 0.0:
        raise BadInput(f"a bore of {mm(bore)} leaves nothing of a bar {dia(outer / 2.0)}, {mm(length)} long")
    z, r, hole = front - length, outer / 2.0, bore / 2.0
    return stock_of(polyline([(z, hole), (front, hole), (front, r), (z, r)], close=True))


def from_outlines(outlines: Sequence[Chain]) -> Stock:
    """What an earlier set-up left, already placed: one closed outline, counter-clockwise, in (z, x), mm.

    Errors: BadInput when it is in several pieces, open, runs clockwise, or dips past the axis.
    """
    if len(outlines) != 1:
        raise BadInput(f"the stock is in {len(outlines)} pieces", right="A set-up begins with one")
    outline = outlines[0]
    for e, f in pairwise((*outline, *outline[:1])):
        if math.dist(e.b, f.a) > CLOSED:
            raise BadInput(f"the stock's outline is open by {mm(math.dist(e.b, f.a))} at z {mm(e.b[0])}")
    if not outline or signed_area(outline) <= 0.0:
        raise BadInput("the stock's outline holds no metal", right="It runs counter-clockwise about the metal")
    dips = min(e.bounds()[1] for e in outline)
    if dips < -ON_AXIS:
        raise BadInput(f"the stock's outline dips past the axis, to a radius of {mm(dips)}")
    return stock_of(outline)


def stock_of(outline: Chain) -> Stock:
    """The stock in a sound outline. Walked counter-clockwise: up the hollow, the front face, the outside, the back."""
    ends = [e.bounds() for e in outline]
    back, front = min(b[0] for b in ends), max(b[2] for b in ends)
    cut = [part for e in outline for part in _cut_at_ends(e, back, front)]
    ring = _from_below(cut, back, front)
    mouth = next(k for k, e in enumerate(ring) if e.a[0] >= front - SAME)
    last = next(k for k in range(mouth, len(ring)) if ring[k].b[0] <= back + SAME)
    behind = tuple(e for e in ring[last + 1 :] if max(e.a[0], e.b[0]) > back + SAME)
    return Stock(outline, reverse(tuple(ring[mouth : last + 1])), tuple(ring[:mouth]), behind)


def _cut_at_ends(e: Element, back: float, front: float) -> list[Element]:
    """The element, cut where an arc touches the front or back end in its middle."""
    z_least, _, z_most, _ = e.bounds()
    inner = (z_least <= back + SAME and min(e.a[0], e.b[0]) > back + SAME) or (
        z_most >= front - SAME and max(e.a[0], e.b[0]) < front - SAME
    )
    return monotone(e) if isinstance(e, Arc) and inner else [e]


def _from_below(outline: list[Element], back: float, front: float) -> list[Element]:
    """The outline without what lies on the axis, beginning where the axis, or else the back end, is left."""
    axis = [max(abs(e.a[1]), abs(e.b[1])) <= ON_AXIS and isinstance(e, Line) for e in outline]
    starts = [k for k in range(len(outline)) if axis[k - 1] and not axis[k]]
    if len(starts) > 1:
        raise BadInput("the stock is hollow in the middle", right="A hollow that tools can enter opens at an end")
    if not starts:
        starts = [k for k in range(len(outline)) if _leads_to_front(outline[k:] + outline[:k], back, front)]
    k = starts[0]
    return [e for e, on in zip(outline[k:] + outline[:k], axis[k:] + axis[:k], strict=True) if not on]


def _leads_to_front(ring: list[Element], back: float, front: float) -> bool:
    """Whether the ring leaves the back end with its first element and comes to the front before it is back there."""
    if ring[0].a[0] > back + SAME:
        return False
    ahead = next((e for e in ring if e.b[0] <= back + SAME or e.b[0] >= front - SAME), ring[0])
    return ahead.b[0] >= front - SAME


def _level(e: Element, x: float) -> bool:
    """Whether the element is a stretch of the cylinder of radius x."""
    return isinstance(e, Line) and max(abs(e.a[1] - x), abs(e.b[1] - x)) <= SAME
