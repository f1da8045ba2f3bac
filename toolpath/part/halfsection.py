"""The half-section: the outside of the finished part as one chain of exact lines and arcs, and its measures.

Points are (z, x), x a radius; the front face lies at z = 0 and the part at z <= 0. The outside starts on the axis at
the front, goes up the front face, along the surfaces towards the chuck, down the back face to the axis, and so runs
counter-clockwise about the metal.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Chain, Element, Line, Point
from toolpath.part.crossing import touching
from toolpath.part.edges import finished
from toolpath.part.figures import mm
from toolpath.part.profile import Piece, profile
from toolpath.part.rows import Row
from toolpath.part.solid import volume
from toolpath.quantity import Size

ON_AXIS = 1e-9  # mm
LEAST_RADIUS = 0.005  # mm; thinner is nothing that a lathe turns, and hardly more than what a control tells apart
OUT_OF_PLACE = 1e-7  # mm that a figure may pass a face, the axis or the bar by rounding alone


class Surface(Struct, frozen=True):
    """What an element of the outside is.

    row:  index of the row it came from; None for the faces and for edges broken because no row names them
    name: in words, as "taper dia 20 to 12"
    dia:  the diameter with its limits, where the row gives it
    """

    row: int | None
    name: str
    dia: Size | None = None


class HalfSection(Struct, frozen=True):
    """outside: chain from (0, 0) to (-length, 0); surfaces: one for each of its elements."""

    outside: Chain
    surfaces: tuple[Surface, ...]
    inside: Chain = ()

    @property
    def length(self) -> float:
        """Overall length, mm."""
        return -self.outside[-1].b[0]

    @property
    def outline(self) -> Chain:
        """Closed: the outside and the axis, counter-clockwise."""
        return (*self.outside, Line(self.outside[-1].b, self.outside[0].a))

    def volume(self) -> float:
        """mm³, exact (Pappus)."""
        return volume(self.outline)

    @property
    def surface_length(self) -> float:
        """Length along the outside from axis to axis, mm."""
        return sum(e.length for e in self.outside)

    @property
    def largest_dia(self) -> float:
        """mm."""
        return 2.0 * max(e.bounds()[3] for e in self.outside)

    @property
    def smallest_dia(self) -> float:
        """Smallest diameter, the flat faces left out, mm; 0 where the part comes to a point or a dome."""
        return 2.0 * min(e.bounds()[1] for e in self.outside if not _is_end_face(e))

    def turned_round(self) -> HalfSection:
        """The same part with its back face at z = 0: what the lathe sees when the part is held by its front end."""
        far = self.length
        return HalfSection(
            tuple(_mirrored(e, far) for e in reversed(self.outside)),
            tuple(reversed(self.surfaces)),
        )


def build(rows: Sequence[Row], *, break_edges: float = 0.0, where: str = "part.outside") -> HalfSection:
    """The half-section of rows in order from the front end.

    break_edges: mm; every corner that stands out by 20 degrees or more and that no row names gets a chamfer that starts
                 this far from it on both sides (45 degrees on a square corner). 0 leaves them sharp.
    Errors: BadInput naming the row, `where[index]`, when a row can not exist.
    """
    if not (math.isfinite(break_edges) and break_edges >= 0.0):
        raise BadInput(f"break_edges can not be {mm(break_edges)}", right="0 leaves edges sharp; 0.2 is usual")
    pieces = finished(profile(rows, where=where), break_edges, where=where)
    _check(pieces, where)
    return HalfSection(tuple(p.element for p in pieces), tuple(Surface(p.row, p.name, p.dia) for p in pieces))


def _check(pieces: tuple[Piece, ...], where: str) -> None:
    """Refuse a profile that leaves its place, touches the axis in the middle, or touches itself."""
    length = -pieces[-1].element.b[0]
    for k, p in enumerate(pieces):
        place = where if p.row is None else f"{where}[{p.row}]"
        z_least, x_least, z_most, _ = p.element.bounds()
        if x_least < -OUT_OF_PLACE:
            raise BadInput(f"{p.name} dips past the axis, to a radius of {mm(x_least)}", where=place)
        inner = [x for n, (_, x) in ((k, p.element.a), (k + 1, p.element.b)) if 0 < n < len(pieces)]
        if ON_AXIS < min(inner, default=1.0) < LEAST_RADIUS:
            made = p if p.row is not None or k else pieces[1]  # a front face is as large as the row behind it
            raise BadInput(
                f"{made.name} is only {2000.0 * min(inner):.3g} µm across at one end",
                where=where if made.row is None else f"{where}[{made.row}]",
                right=f"Nothing thinner than {mm(2.0 * LEAST_RADIUS)} is turned; 0 is a point on the axis",
            )
        if min(inner, default=1.0) <= ON_AXIS or (x_least <= ON_AXIS and not _touches_only_at_ends(p.element)):
            raise BadInput(f"{p.name} comes down to the axis before the part ends, and cuts it in two", where=place)
        if z_most > OUT_OF_PLACE:
            raise BadInput(f"{p.name} stands {mm(z_most)} out in front of the front face", where=place)
        if -z_least > length + OUT_OF_PLACE:
            raise BadInput(f"{p.name} stands {mm(-z_least - length)} out behind the part's own end", where=place)
    met = touching(tuple(p.element for p in pieces))
    if met is not None:
        a, b = pieces[met[0]], pieces[met[1]]
        row = b.row if b.row is not None else a.row
        raise BadInput(f"{b.name} touches or crosses {a.name}", where=where if row is None else f"{where}[{row}]")


def _touches_only_at_ends(e: Element) -> bool:
    """Whether the element's lowest points are its ends."""
    return isinstance(e, Line) or e.bounds()[1] >= min(e.a[1], e.b[1]) - ON_AXIS


def _is_end_face(e: Element) -> bool:
    return isinstance(e, Line) and e.a[0] == e.b[0] and min(e.a[1], e.b[1]) <= ON_AXIS


def _mirrored(e: Element, far: float) -> Element:
    """z -> -far - z, travelled backwards: mirror and reversal each turn an arc's sense, so it stays."""

    def m(p: Point) -> Point:
        return (-far - p[0], p[1])

    return Line(m(e.b), m(e.a)) if isinstance(e, Line) else Arc(m(e.b), m(e.a), m(e.centre), e.sweep)
