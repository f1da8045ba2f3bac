"""Rows -> the sharp profile: every surface, shoulder and face as one element, and the corners that rows name.

The profile starts on the axis at the front, (0, 0), and ends on it at the back, (-length, 0); it runs counter-clockwise
about the metal. A *joint* is the corner between a piece and the next, named by the index of the piece before it.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.corners import turn
from toolpath.geometry.elements import Element, Line
from toolpath.part.figures import dia, plain
from toolpath.part.joints import Asked, assign
from toolpath.part.necks import front_wall, neck_ends
from toolpath.part.rows import Ball, Chamfer, CornerRow, Dome, Neck, Round, Row, Sharp, SurfaceRow
from toolpath.part.surfaces import element, named, start_of
from toolpath.quantity import Size

SAME = 1e-9  # mm on the radius: two diameters nearer than this are one, and no shoulder stands between them


class Piece(Struct, frozen=True):
    """An element of the profile, the index of its row (None for the front and back face), its name and its limits."""

    element: Element
    row: int | None
    name: str
    dia: Size | None = None


class Profile(Struct, frozen=True):
    """asked: joint -> the corner row that names it and that row's index."""

    pieces: tuple[Piece, ...]
    asked: dict[int, tuple[int, CornerRow]]


def profile(rows: Sequence[Row], *, where: str) -> Profile:
    """The sharp profile of the rows. Errors: BadInput with the place `where[index]`."""
    walk = _Walk(rows, where)
    for k, row in enumerate(rows):
        try:
            walk.take(k, row)
        except BadInput as e:
            raise e.at(where=f"{where}[{k}]") from None
    return walk.close()


class _Walk:
    """Adds surfaces from the front towards the chuck; `z`, `x` is where the last one ended."""

    def __init__(self, rows: Sequence[Row], where: str) -> None:
        self.where = where
        self.z, self.x = 0.0, 0.0
        self.pieces: list[Piece] = []
        self.surfaces = [(k, r) for k, r in enumerate(rows) if not isinstance(r, CornerRow)]
        self.done = 0
        self.asked: dict[int, tuple[int, CornerRow]] = {}
        self.waiting: list[Asked] = []
        self.open: list[int] = []  # joints that the corner rows now waiting may mean
        self.groups: list[tuple[list[Asked], list[int]]] = []

    def take(self, k: int, row: Row) -> None:
        if isinstance(row, Chamfer | Round | Sharp):
            self.waiting.append((k, row))
            return
        self.done += 1
        if isinstance(row, Neck):
            self.neck(k, row)
            return
        start = self.start(row)
        before = self.pieces[-1].element if self.pieces and abs(start - self.x) <= SAME else None
        self.step_to(start, k)
        e = element(row, (self.z, self.x), before)
        self.add(e, k, named(row, e), getattr(row, "dia", None))
        self.open = [len(self.pieces) - 1]

    def start(self, row: SurfaceRow) -> float:
        """Radius where the surface starts."""
        start = start_of(row)
        if start is not None:
            return start
        if self.pieces and not isinstance(self.surfaces[self.done - 2][1], Neck):
            return self.x
        if not self.pieces and isinstance(row, Dome | Ball):
            return 0.0
        after = "after a neck" if self.pieces else "at the front"
        raise BadInput(
            f"nothing says at which diameter the surface starts, {after}", right="Write from_dia (0 for a point)"
        )

    def step_to(self, x: float, k: int) -> None:
        """Face or shoulder to radius x, then the corner rows that were waiting know their joints."""
        if abs(x - self.x) > SAME:
            front = not self.pieces
            if not front:
                self.open.append(len(self.pieces))
            name = "front face" if front else f"shoulder {dia(self.x)} to {plain(2.0 * x)}"
            self.add(Line((self.z, self.x), (self.z, x)), None if front else k, name)
            if front:
                self.open = [0]
        self.settle()

    def neck(self, k: int, row: Neck) -> None:
        """Wall, floor, wall. The second wall rises to where the next surface starts, so that one is looked up here."""
        following = self.surfaces[self.done][1] if self.done < len(self.surfaces) else None
        behind = None if following is None else start_of(following)
        wall = front_wall(row, (self.z, self.x))
        first = len(self.pieces)
        self.add(wall, k, "neck wall")
        floor, back = neck_ends(row, wall, behind)
        self.add(floor, k, named(row, floor), row.dia)
        self.add(back, k, "neck wall")
        self.open.append(first)
        foot = [first, first + 1]
        if row.foot_radius is not None:
            self.open.remove(first)
            self.asked.update({j: (k, Round(radius=row.foot_radius, on="foot")) for j in foot})
        self.settle()
        self.open = [j for j in (first + 1, first + 2) if j not in self.asked]

    def add(self, e: Element, row: int | None, name: str, size: Size | None = None) -> None:
        self.pieces.append(Piece(e, row, name, size))
        self.z, self.x = e.b

    def settle(self) -> None:
        self.groups.append((self.waiting, self.open))
        self.waiting, self.open = [], []

    def close(self) -> Profile:
        """Back face, and every corner row at its joint."""
        if not self.surfaces:
            raise BadInput(
                "no row makes a surface", where=self.where, right="Write at least one, as { dia = 12, to = 20 }"
            )
        if self.x > SAME:
            self.add(Line((self.z, self.x), (self.z, 0.0)), None, "back face")
        else:
            self.open = []
        self.settle()
        for rows, joints in self.groups:
            turns = {j: turn(self.pieces[j].element, self.pieces[j + 1].element) for j in joints}
            self.asked.update(assign(rows, turns, where=self.where))
        return Profile(tuple(self.pieces), self.asked)
