"""Rows of a hollow -> its sharp profile, as seen from the face it is cut from.

That face lies at z = 0 and the part at z < 0, whichever end it is. The profile starts with the face, a line down to the
mouth at (0, r), and runs inwards with the metal on its right: to the axis or, where the hollow opens again, past its
last surface along the piece that follows there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.corners import crossings
from toolpath.geometry.elements import Element, Line, Point, arc_about
from toolpath.part.figures import degrees, mm
from toolpath.part.rows import Cylinder, Hole, Neck, Row, SurfaceRow
from toolpath.part.walk import SAME, Named, Piece, Walk


class Opening(Struct, frozen=True):
    """Where a hollow opens again: its z, and the element that follows there in the direction of the walk."""

    z: float
    beyond: Element


class Hollow(Struct, frozen=True):
    """pieces: from the mouth inwards. asked: joint -> the corner row that names it, -1 the mouth. opens: at its end."""

    pieces: tuple[Piece, ...]
    asked: dict[int, Named]
    opens: bool

    @property
    def mouth(self) -> float:
        """Radius at the face."""
        return self.pieces[0].element.a[1]

    @property
    def end(self) -> Point:
        return self.pieces[-1].element.b


def hollow(rows: Sequence[tuple[int, Row]], *, where: str, chain: str, opening: Opening | None = None) -> Hollow:
    """A hollow, sharp, its joints named.

    rows:    with their index in the list, from the mouth inwards
    opening: of one that goes through; None where its last row says how deep it is
    Errors: BadInput with the place `where.inside[index]`.
    """
    try:
        walked = _Inwards(rows, where=where, chain=chain, opening=opening).run()
    except BadInput as e:
        if chain == "inside":
            raise
        # A row counts from the face it is seen from, and so must what is said of it.
        raise BadInput(e.what.replace("front face", "back face"), where=e.where, right=e.right) from None
    pieces = walked.pieces[1:-1] if opening is not None else walked.pieces[1:]
    return Hollow(pieces, {j - 1: row for j, row in walked.asked.items()}, opening is not None)


class _Inwards(Walk):
    """From the mouth to the floor."""

    def __init__(self, rows: Sequence[tuple[int, Row]], *, where: str, chain: str, opening: Opening | None) -> None:
        super().__init__(rows, where=where, chain=chain)
        self.opening = opening

    def at(self) -> str:
        return "after a neck" if self.done > 1 else "at the mouth"

    def face_to(self, x: float) -> None:
        if x <= SAME:
            raise BadInput("a hollow has a mouth, and this one starts at a point", right="Write a diameter for it")
        self.add(Line((0.0, 2.0 * x), (0.0, x)), None, "face")
        self.open = [0]

    def element(self, row: SurfaceRow, before: Element | None) -> Element:
        if not isinstance(row, Hole):
            return super().element(row, before)
        if row.deep is None and self.done < len(self.surfaces):
            raise BadInput("a hole that goes through ends its hollow", right="Leave out the rows after it")
        end = self.opening.z if row.deep is None and self.opening is not None else -(row.deep or 0.0)
        if end >= self.z - SAME:
            what = f"deep = {mm(-end)}" if row.deep is not None else f"going through at {mm(-end)}"
            raise BadInput(
                f"{what} does not go beyond the surface before it, which ends {mm(-self.z)} from the front face"
            )
        return Line((self.z, self.x), (end, self.x))

    def neck(self, k: int, row: Neck) -> None:
        if not self.pieces:
            raise BadInput("an inside neck lies between two surfaces, and none is before it")
        super().neck(k, row)

    def shoulder_to(self, x: float, k: int) -> None:
        """A square shoulder, or what a narrower hole leaves of the floor of the one before it."""
        before = self.surfaces[self.done - 2]
        if not isinstance(before, Hole) or before.floor == "flat" or x > self.x:
            narrower = x < self.x
            super().shoulder_to(x, k)
            if narrower:
                self.pieces[-1] = replace(self.pieces[-1], made=_floor_made(before))
            return
        self.add(_narrowed(self.floor(before), x), self.pieces[-1].row, _floor_name(before), made=before.made)

    def close(self) -> None:
        if not self.surfaces:
            raise BadInput(
                "the rows of this end make no surface",
                where=f"{self.where}[{self.rows[0][0]}]",
                right="A corner where the hollow from the other end comes out is named after its last row",
            )
        last, row = self.surfaces[-1], self.pieces[-1].row
        if isinstance(last, Neck):
            raise BadInput("a neck lies between two surfaces", where=f"{self.where}[{row}]")
        if self.opening is not None:
            self.add(self.opening.beyond, None, "beyond")
        elif self.x <= SAME:
            self.open = []
        elif isinstance(last, Hole):
            self.add(self.floor(last), row, _floor_name(last), made=last.made)
        else:
            self.add(Line((self.z, self.x), (self.z, 0.0)), row, "flat floor", made=_floor_made(last))

    def floor(self, hole: Hole) -> Element:
        """From where the hole's full diameter ends to the axis."""
        a = (self.z, self.x)
        if hole.floor == "round":
            return arc_about((self.z, 0.0), a, (self.z - self.x, 0.0), ccw=True)
        tip = 0.0 if hole.floor == "flat" else self.x / math.tan(hole.point_angle / 2.0)
        return Line(a, (self.z - tip, 0.0))


def _floor_made(row: SurfaceRow) -> str:
    """What makes the flat floor of a cylinder: a counterbore its own, else a bar."""
    made = row.made if isinstance(row, Hole | Cylinder) else ""
    return made if made == "counterbored" else "bored"


def _floor_name(hole: Hole) -> str:
    return f"drilled floor {degrees(hole.point_angle)}" if hole.floor == "drilled" else f"{hole.floor} floor"


def _narrowed(floor: Element, x: float) -> Element:
    """The floor from its rim to radius x."""
    level = Line((0.0, x), (-1.0, x))
    return floor.part(0.0, min(t for p in crossings(level, floor) if 0.0 <= (t := floor.parameter_of(p)) <= 1.0))
