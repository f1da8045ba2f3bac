"""What becomes of each corner of the sharp profile: rounded, chamfered, kept sharp, or broken.

Corners that rows name come first; then every corner that stands out and that no row names is broken, in what is left.
"""

from __future__ import annotations

import math

from toolpath.errors import BadInput
from toolpath.geometry.corners import Corner, NoCorner, chamfer_corner, round_corner, turn
from toolpath.geometry.elements import Element, Line
from toolpath.part.figures import degrees, mm, plain
from toolpath.part.profile import Piece, Profile
from toolpath.part.rows import Chamfer, CornerRow, Round, Sharp

BREAK_FROM = math.radians(20.0)  # an edge that turns less is blunt already (common practice, no source)


def finished(profile: Profile, break_edges: float, *, where: str) -> tuple[Piece, ...]:
    """The profile's pieces with their corners made. break_edges: mm, 0 leaves unnamed corners as they are."""
    work = _Corners(profile)
    for j, (k, row) in sorted(profile.asked.items()):
        work.name(j, k, row, place=f"{where}[{k}]")
    for j in range(len(profile.pieces) - 1) if break_edges else ():
        if j not in profile.asked:
            work.break_edge(j, break_edges, where=where)
    return work.pieces()


def row_name(row: CornerRow) -> str:
    if isinstance(row, Round):
        return f"{'fillet' if row.on == 'foot' else 'radius'} {plain(row.radius)}"
    if isinstance(row, Chamfer):
        return f"chamfer {plain(row.size)}" + (f" x {degrees(row.angle)}" if row.angle is not None else "")
    return "sharp corner"


class _Corners:
    """`left[j]` is what is left of piece j, None when used up; `made[j]` what stands between pieces j and j + 1."""

    def __init__(self, profile: Profile) -> None:
        self.sharp = profile.pieces
        self.left: list[Element | None] = [p.element for p in profile.pieces]
        self.made: dict[int, Piece] = {}

    def name(self, j: int, k: int, row: CornerRow, *, place: str) -> None:
        if isinstance(row, Sharp):
            return
        e, f = self.left[j], self.left[j + 1]
        size = row.radius if isinstance(row, Round) else row.size
        if size <= 0.0:
            raise BadInput(f"{row_name(row)} is no size for a corner", where=place, right="It must be more than 0")
        if e is None or f is None:
            used = self.sharp[j if e is None else j + 1].name
            raise BadInput(f"nothing of {used} is left for {row_name(row)}", where=place)
        if isinstance(row, Round):
            got = round_corner(e, f, row.radius)
        else:
            got = chamfer_corner(e, f, row.size, angle=row.angle)
        if isinstance(got, NoCorner):
            raise self.refused(j, got, row_name(row), size).at(where=place)
        self.put(j, got, Piece(got.new, k, row_name(row)))

    def break_edge(self, j: int, size: float, *, where: str) -> None:
        """A small chamfer where the profile stands out; inside corners and blunt ones stay as they are."""
        if turn(self.sharp[j].element, self.sharp[j + 1].element) < BREAK_FROM:
            return
        e, f = self.left[j], self.left[j + 1]
        if e is None or f is None:
            got: Corner | NoCorner = NoCorner("no room", "before" if e is None else "after", size, 0.0)
        else:
            got = chamfer_corner(e, f, size)
        name = f"broken edge {plain(size)}"
        if isinstance(got, NoCorner):
            k = next((p.row for p in (self.sharp[j + 1], self.sharp[j]) if p.row is not None), None)
            fault = self.refused(j, got, f"break_edges {plain(size)}", size)
            raise BadInput(
                f"{fault.what}, at the corner between {self.sharp[j].name} and {self.sharp[j + 1].name}",
                where=where if k is None else f"{where}[{k}]",
                right="Write a corner row there (chamfer, radius or sharp = true), or make break_edges smaller",
            )
        self.put(j, got, Piece(got.new, None, name))

    def put(self, j: int, got: Corner, piece: Piece) -> None:
        self.left[j], self.left[j + 1] = got.before, got.after
        self.made[j] = piece

    def refused(self, j: int, why: NoCorner, name: str, size: float) -> BadInput:
        before, after = self.sharp[j], self.sharp[j + 1]
        if why.why == "smooth":
            return BadInput(f"{before.name} and {after.name} meet smoothly, so there is no corner for {name}")
        if why.why == "folded":
            return BadInput(f"{after.name} runs back along {before.name}")
        if why.why == "level":
            return BadInput(
                f"{name} could lean either way between {before.name} and {after.name}", right="Leave angle out"
            )
        if why.why == "too large":
            return BadInput(f"{name} is too large: nothing of that size touches both {before.name} and {after.name}")
        short = before if why.side == "before" else after
        whole = short.element.length
        other = f" besides its other corner ({mm(whole)} in all)" if why.there < whole - 1e-6 else ""
        straight = isinstance(before.element, Line) and isinstance(after.element, Line)
        most = f"At most {mm(size * why.there / why.needs)} fits" if straight and why.there > 0.0 else ""
        return BadInput(
            f"{name} takes {mm(why.needs)} of {short.name}, and only {mm(why.there)} is there{other}", right=most
        )

    def pieces(self) -> tuple[Piece, ...]:
        out: list[Piece] = []
        for j, p in enumerate(self.sharp):
            e = self.left[j]
            if e is not None:
                out.append(Piece(e, p.row, p.name, p.dia))
            if j in self.made:
                out.append(self.made[j])
        return tuple(out)
