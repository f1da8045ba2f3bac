"""What becomes of each corner of the sharp profile: rounded, chamfered, kept sharp, or broken.

Corners that rows name come first; then every corner that stands out and that no row names is broken, in what is left.
"""

from __future__ import annotations

import math

from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.corners import Corner, NoCorner, chamfer_corner, round_corner, turn
from toolpath.geometry.elements import Element, Line
from toolpath.part.figures import degrees, mm, plain
from toolpath.part.rows import Chamfer, CornerRow, Round, Sharp
from toolpath.part.walk import Named, Piece, Profile

LEAST_BREAK = 0.02  # mm; a step too low for this much is none that a hand could feel (common practice, no source)
BREAK_FROM = math.radians(20.0)  # an edge that turns less is blunt already (common practice, no source)


def finished(profile: Profile, break_edges: float, *, where: str) -> tuple[Piece, ...]:
    """The profile's pieces with their corners made. break_edges: mm, 0 leaves unnamed corners as they are."""
    work = _Corners(profile)
    for j, named in sorted(profile.asked.items()):
        work.name(j, named, place=f"{where}.{named.of}[{named.index}]")
    for j in range(len(profile.pieces) - (not profile.closed)) if break_edges else ():
        if j not in profile.asked and not work.deep(j):
            work.break_edge(j, break_edges)
    return work.pieces()


def row_name(row: CornerRow) -> str:
    if isinstance(row, Round):
        return f"{'fillet' if row.on == 'foot' else 'radius'} {plain(row.radius)}"
    if isinstance(row, Chamfer):
        return f"chamfer {plain(row.size)}" + (f" x {degrees(row.angle)}" if row.angle is not None else "")
    return "sharp corner"


class _Corners:
    """`left[j]` is what is left of piece j, None when used up; `made[j]` what stands between pieces j and j + 1.

    After the last piece comes the first, which matters where the profile is closed.
    """

    def __init__(self, profile: Profile) -> None:
        self.sharp = profile.pieces
        self.left: list[Element | None] = [p.element for p in profile.pieces]
        self.made: dict[int, Piece] = {}

    def after(self, j: int) -> int:
        return (j + 1) % len(self.sharp)

    def before(self, j: int) -> int:
        return (j - 1) % len(self.sharp)

    def deep(self, j: int) -> bool:
        """True where two hollows meet: no tool gets to that edge from either end, so it stays as it comes."""
        return {self.sharp[j].chain, self.sharp[self.after(j)].chain} == {"inside", "inside_back"}

    def name(self, j: int, named: Named, *, place: str) -> None:
        row = named.row
        if isinstance(row, Sharp):
            return
        e, f = self.left[j], self.left[self.after(j)]
        size = row.radius if isinstance(row, Round) else row.size
        if size <= 0.0:
            raise BadInput(f"{row_name(row)} is no size for a corner", where=place, right="It must be more than 0")
        if e is None or f is None:
            used = self.sharp[j if e is None else self.after(j)].name
            raise BadInput(f"nothing of {used} is left for {row_name(row)}", where=place)
        if isinstance(row, Round):
            got = round_corner(e, f, row.radius)
        else:
            got = chamfer_corner(e, f, row.size, angle=row.angle)
        if isinstance(got, NoCorner):
            raise self.refused(j, got, row_name(row), size).at(where=place)
        beside = max(self.sharp[j], self.sharp[self.after(j)], key=lambda p: p.of != "outside")
        # What goes before a drilled hole's edge is a countersink; a round takes a bar.
        made = "" if named.of == "outside" else beside.made if isinstance(row, Chamfer) else "bored"
        self.put(j, got, Piece(got.new, named.index, row_name(row), of=named.of, made=made, chain=named.chain))

    def break_edge(self, j: int, size: float) -> None:
        """A small chamfer where the profile stands out; inside corners and blunt ones stay as they are.

        Between two low steps the full size may not fit: an edge is broken by as much as leaves its neighbours two
        thirds of themselves. A neighbour that named corners have used up is stood in for by the corner itself.
        """
        e = self.left[j] or self.made[self.before(j)].element
        f = self.left[self.after(j)] or self.made[self.after(j)].element
        if turn(e, f) < BREAK_FROM:
            return
        size = min(size, e.length / 3.0, f.length / 3.0)
        while size >= LEAST_BREAK:
            got = chamfer_corner(e, f, size)
            if isinstance(got, Corner):
                beside = max(self.sharp[j], self.sharp[self.after(j)], key=lambda p: p.of != "outside")
                name = f"broken edge {plain(size)}"
                self.put(j, got, Piece(got.new, None, name, of=beside.of, made=beside.made, chain=beside.chain))
                return
            size /= 2.0

    def put(self, j: int, got: Corner, piece: Piece) -> None:
        if self.left[j] is not None:
            self.left[j] = got.before
        elif got.before is not None:
            self.made[self.before(j)] = replace(self.made[self.before(j)], element=got.before)
        k = self.after(j)
        if self.left[k] is not None:
            self.left[k] = got.after
        elif got.after is not None:
            self.made[k] = replace(self.made[k], element=got.after)
        self.made[j] = piece

    def refused(self, j: int, why: NoCorner, name: str, size: float) -> BadInput:
        before, after = self.sharp[j], self.sharp[self.after(j)]
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
                out.append(replace(p, element=e))
            if j in self.made:
                out.append(self.made[j])
        return tuple(out)
