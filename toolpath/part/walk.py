"""The walk along rows, surface by surface, into the metal: what the outside and a hollow have in common.

A *joint* is the corner between a piece and the next, named by the index of the piece before it.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.corners import turn
from toolpath.geometry.elements import Element, Line
from toolpath.part.figures import dia, plain
from toolpath.part.joints import Asked, assign
from toolpath.part.necks import front_wall, neck_ends
from toolpath.part.rows import Chamfer, CornerRow, Cylinder, Neck, Round, Row, Sharp, SurfaceRow, Taper, Threaded
from toolpath.part.surfaces import element, named, start_of
from toolpath.part.threads import expanded, refuse_no_room
from toolpath.quantity import Size

SAME = 1e-9  # mm on the radius: two diameters nearer than this are one, and no shoulder stands between them


class Piece(Struct, frozen=True):
    """An element of a profile and what it is.

    row:   index of its row in the list `of` ("outside", "inside", "face"); None for faces and edges that no row names
    dia:   the diameter with its limits; made: of an inside surface "bored", "drilled", "reamed" or "counterbored"
    chain: "outside", "inside" (the hollow seen from the front) or "inside_back"
    """

    element: Element
    row: int | None
    name: str
    dia: Size | None = None
    of: str = "outside"
    made: str = ""
    chain: str = "outside"
    threaded: Threaded | None = None

    def place(self, where: str) -> str:
        """Key path of its row."""
        return f"{where}.{self.of}" if self.row is None else f"{where}.{self.of}[{self.row}]"


class Named(Struct, frozen=True):
    """A corner row and its index in the list `of`; the chain that its corner is part of."""

    row: CornerRow
    index: int
    of: str
    chain: str


class Profile(Struct, frozen=True):
    """asked: joint -> the row that names it. closed: the last piece ends where the first starts, which is a joint."""

    pieces: tuple[Piece, ...]
    asked: dict[int, Named]
    closed: bool = False


class Walk(ABC):
    """Adds surfaces from a face into the metal; `z`, `x` is where the last one ended.

    chain: as of a piece; an inside one has its metal on the right, so all that stands out turns the other way.
    """

    def __init__(self, rows: Sequence[tuple[int, Row]], *, where: str, chain: str) -> None:
        self.chain, self.inside = chain, chain != "outside"
        self.of = "inside" if self.inside else "outside"
        self.where = f"{where}.{self.of}"
        self.rows = expanded(rows, inside=self.inside, where=self.where)
        self.z, self.x = 0.0, 0.0
        self.pieces: list[Piece] = []
        self.surfaces: list[SurfaceRow] = [r for _, r in self.rows if not isinstance(r, CornerRow)]
        self.done = 0
        self.asked: dict[int, Asked] = {}
        self.waiting: list[Asked] = []
        self.open: list[int] = []  # joints that the corner rows now waiting may mean
        self.groups: list[tuple[list[Asked], list[int]]] = []

    def run(self) -> Profile:
        for k, row in self.rows:
            try:
                self.take(k, row)
            except BadInput as e:
                raise e.at(where=f"{self.where}[{k}]") from None
        self.close()
        self.settle()
        for rows, joints in self.groups:
            turns = {j: self.stands_out(j) for j in joints}
            self.asked.update(assign(rows, turns, where=self.where))
        asked = {j: Named(row, k, self.of, self.chain) for j, (k, row) in self.asked.items()}
        return Profile(tuple(self.pieces), asked)

    def stands_out(self, joint: int) -> float:
        """Turn at a joint, rad, positive where the metal stands out."""
        angle = turn(self.pieces[joint].element, self.pieces[joint + 1].element)
        return -angle if self.inside else angle

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
        refuse_no_room(row, self.z, self.surfaces[self.done :])
        e = self.element(row, before)
        self.add(e, k, named(row, e, inside=self.inside), size=getattr(row, "dia", None), made=getattr(row, "made", ""))
        if isinstance(row, Cylinder | Taper) and row.threaded:
            self.pieces[-1] = replace(self.pieces[-1], threaded=row.threaded)
        self.open = [len(self.pieces) - 1]

    def element(self, row: SurfaceRow, before: Element | None) -> Element:
        return element(row, (self.z, self.x), before, inside=self.inside)

    def start(self, row: SurfaceRow) -> float:
        """Radius where the surface starts."""
        start = start_of(row)
        if start is not None:
            return start
        if self.done > 1 and not isinstance(self.surfaces[self.done - 2], Neck):
            return self.x
        raise BadInput(
            f"nothing says at which diameter the surface starts, {self.at()}", right="Write from_dia (0 for a point)"
        )

    def at(self) -> str:
        return "after a neck" if self.done > 1 else "at the front"

    def step_to(self, x: float, k: int) -> None:
        """Face or shoulder to radius x, then the corner rows that were waiting know their joints."""
        if not self.pieces:
            self.face_to(x)
        elif abs(x - self.x) > SAME:
            self.open.append(len(self.pieces))
            self.shoulder_to(x, k)
        self.settle()

    def face_to(self, x: float) -> None:
        """The face in which the walk starts, where there is one."""
        if x > SAME:
            self.add(Line((0.0, 0.0), (0.0, x)), None, "front face")
            self.open = [0]

    def shoulder_to(self, x: float, k: int) -> None:
        self.add(
            Line((self.z, self.x), (self.z, x)),
            k,
            f"{'inside ' * self.inside}shoulder {dia(self.x)} to {plain(2.0 * x)}",
        )

    def neck(self, k: int, row: Neck) -> None:
        """Wall, floor, wall. The second wall goes to where the next surface starts, so that one is looked up here."""
        following = self.surfaces[self.done] if self.done < len(self.surfaces) else None
        behind = None if following is None else start_of(following)
        wall = front_wall(row, (self.z, self.x), inside=self.inside)
        first = len(self.pieces)
        name = f"{'inside ' * self.inside}neck wall"
        self.add(wall, k, name)
        floor, back = neck_ends(row, wall, behind, inside=self.inside)
        self.add(floor, k, named(row, floor, inside=self.inside), size=row.dia)
        self.add(back, k, name)
        self.open.append(first)
        foot = [first, first + 1]
        if row.foot_radius is not None:
            self.open.remove(first)
            self.asked.update({j: (k, Round(radius=row.foot_radius, on="foot")) for j in foot})
        self.settle()
        self.open = [j for j in (first + 1, first + 2) if j not in self.asked]

    def add(self, e: Element, row: int | None, name: str, *, size: Size | None = None, made: str = "") -> None:
        made = made or "bored" * self.inside
        self.pieces.append(Piece(e, row, name, size, self.of, made, self.chain))
        self.z, self.x = e.b

    def settle(self) -> None:
        self.groups.append((self.waiting, self.open))
        self.waiting, self.open = [], []

    @abstractmethod
    def close(self) -> None:
        """What comes after the last row."""
