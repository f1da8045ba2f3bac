"""The half-section: outside and hollows of the finished part as chains of exact lines and arcs, and its measures.

Points are (z, x), x a radius; the front face lies at z = 0 and the part at z <= 0. The outside starts on the axis at
the front, goes up the front face, along the surfaces towards the chuck, down the back face to the axis, and so runs
counter-clockwise about the metal. Where a hollow opens in a face, the outside starts or ends at its mouth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, Element, Line, reverse
from toolpath.part.checks import refuse_impossible
from toolpath.part.edges import finished
from toolpath.part.figures import mm
from toolpath.part.hollows import hollows
from toolpath.part.mates import refuse_jamming
from toolpath.part.mirror import mirrored
from toolpath.part.profile import profile
from toolpath.part.ring import chains, ring
from toolpath.part.rooted import refuse_thread_through
from toolpath.part.rows import FaceGroove, Inside, Row, Threaded
from toolpath.part.solid import volume
from toolpath.part.threads import Place, ThreadOn, threads_of
from toolpath.part.walk import Piece
from toolpath.quantity import Size


class Surface(Struct, frozen=True):
    """What an element of a half-section is.

    row:  index of the row it came from; None for the faces and for edges broken because no row names them
    name: in words, as "taper dia 20 to 12"
    dia:  the diameter with its limits, where the row gives it
    of:   the list that `row` counts in: "outside", "inside" or "face"
    made: of an inside surface "bored", "drilled", "reamed" or "counterbored"; else empty
    threaded: the thread that is cut on it, the surface being its crest
    """

    row: int | None
    name: str
    dia: Size | None = None
    of: str = "outside"
    made: str = ""
    threaded: Threaded | None = None

    def place(self, where: str) -> str:
        """Key path of its row, `where` being that of the part."""
        return f"{where}.{self.of}" if self.row is None else f"{where}.{self.of}[{self.row}]"


class HalfSection(Struct, frozen=True):
    """Every chain has one surface for each of its elements.

    outside:     from the front mouth (0, r) to the back mouth (-length, r); r is 0 where the face is whole
    inside:      the hollow seen from the front, from its mouth inwards: to the axis, to where it opens into the other
                 hollow, or to the back mouth; empty where there is none
    inside_back: the same of the one seen from the back, from (-length, r) inwards
    """

    outside: Chain
    surfaces: tuple[Surface, ...]
    inside: Chain = ()
    inside_surfaces: tuple[Surface, ...] = ()
    inside_back: Chain = ()
    inside_back_surfaces: tuple[Surface, ...] = ()

    @property
    def length(self) -> float:
        """Overall length, mm."""
        return -self.outside[-1].b[0]

    @property
    def outline(self) -> Chain:
        """Closed, counter-clockwise: outside, hollow from the back, what is left of the axis, hollow from the front."""
        behind, ahead = (*self.outside, *self.inside_back), reverse(self.inside)
        start = ahead[0].a if ahead else behind[0].a
        axis = () if behind[-1].b == start else (Line(behind[-1].b, start),)
        return (*behind, *axis, *ahead)

    def volume(self) -> float:
        """mm³, exact (Pappus)."""
        return volume(self.outline)

    @property
    def surface_length(self) -> float:
        """Length along the outside from mouth to mouth (or axis), mm."""
        return sum(e.length for e in self.outside)

    @property
    def largest_dia(self) -> float:
        """mm."""
        return 2.0 * max(e.bounds()[3] for e in self.outside)

    @property
    def smallest_dia(self) -> float:
        """Smallest outside diameter, faces left out, mm; 0 where the part comes to a point or a dome."""
        around = zip(self.outside, self.surfaces, strict=True)
        return 2.0 * min(e.bounds()[1] for e, s in around if s.of == "outside" and not self._is_face(e))

    def _is_face(self, e: Element) -> bool:
        return isinstance(e, Line) and e.a[0] == e.b[0] and e.a[0] in (self.outside[0].a[0], self.outside[-1].b[0])

    @property
    def threads(self) -> tuple[ThreadOn, ...]:
        """The threads of the part, outside first."""
        chains = (
            ("outside", self.outside, self.surfaces),
            ("inside", self.inside, self.inside_surfaces),
            ("inside_back", self.inside_back, self.inside_back_surfaces),
        )
        return tuple(
            on
            for name, chain, surfaces in chains
            for on in threads_of(
                name, [Place(e.a, e.b, s.row, s.name, s.threaded) for e, s in zip(chain, surfaces, strict=True)]
            )
        )

    def turned_round(self) -> HalfSection:
        """The same part with its back face at z = 0: what the lathe sees when the part is held by its front end."""
        far = self.length
        return HalfSection(
            tuple(mirrored(e.reversed(), far) for e in reversed(self.outside)),
            tuple(reversed(self.surfaces)),
            tuple(mirrored(e, far) for e in self.inside_back),
            self.inside_back_surfaces,
            tuple(mirrored(e, far) for e in self.inside),
            self.inside_surfaces,
        )


def build(
    rows: Sequence[Row],
    *,
    inside: Sequence[Inside] = (),
    face: Sequence[FaceGroove] = (),
    break_edges: float = 0.0,
    where: str = "part",
) -> HalfSection:
    """The half-section of outside rows in order from the front end, of inside rows and of face grooves.

    break_edges: mm; every corner that stands out by 20 degrees or more and that no row names gets a chamfer that starts
                 this far from it on both sides (45 degrees on a square corner). 0 leaves them sharp.
    Errors: BadInput naming the row, as `where.outside[index]`, when a row can not exist.
    """
    if not (math.isfinite(break_edges) and break_edges >= 0.0):
        raise BadInput(f"break_edges can not be {mm(break_edges)}", right="0 leaves edges sharp; 0.2 is usual")
    outside = profile(rows, where=where)
    if inside or face:
        length = -outside.pieces[-1].element.b[0]
        outside = ring(outside, hollows(inside, length, where=where), face, where=where)
    pieces = finished(outside, break_edges, where=where)
    front, around, back = chains(pieces)
    refuse_impossible(around, front, back, where=where)
    half = HalfSection(
        outside=_elements(around),
        surfaces=_surfaces(around),
        inside=_elements(front),
        inside_surfaces=_surfaces(front),
        inside_back=_elements(back),
        inside_back_surfaces=_surfaces(back),
    )
    refuse_thread_through(half, where=where)
    refuse_jamming(half, where=where)
    return half


def _elements(pieces: tuple[Piece, ...]) -> Chain:
    return tuple(p.element for p in pieces)


def _surfaces(pieces: tuple[Piece, ...]) -> tuple[Surface, ...]:
    return tuple(Surface(p.row, p.name, p.dia, p.of, p.made, p.threaded) for p in pieces)
