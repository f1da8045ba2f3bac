"""Outside, hollows and face grooves joined into one profile about the metal, counter-clockwise.

It starts where the hollow from the front ends, comes out of it backwards, goes round the outside and into the hollow
from the back. So every corner, the mouths among them, has its metal on the left and is made by one rule.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.part.faces import Numbered, face
from toolpath.part.figures import dia
from toolpath.part.hollow import Hollow
from toolpath.part.mirror import mirrored
from toolpath.part.rows import FaceGroove
from toolpath.part.walk import SAME, Named, Piece, Profile

Mouth = tuple[float, str]  # radius, place of the row that makes it
Pieces = tuple[Piece, ...]
CHAINS = ("inside", "outside", "inside_back")


def ring(
    outside: Profile, hollows: tuple[Hollow | None, Hollow | None], grooves: Sequence[FaceGroove], *, where: str
) -> Profile:
    """One profile of all. Errors: BadInput with the place of the row that does not fit its face."""
    length = -outside.pieces[-1].element.b[0]
    front, back = hollows
    around = outside
    for at_back, mouth in ((False, _mouth(front, back, where)), (True, _mouth(back, front, where))):
        cut = [(k, g) for k, g in enumerate(grooves) if g.from_back == at_back]
        if mouth is not None or cut:
            around = _faced(around, mouth, cut, back=length if at_back else None, where=where)
    first = [] if front is None else [replace(p, element=p.element.reversed()) for p in reversed(front.pieces)]
    last = [] if back is None else [replace(p, element=mirrored(p.element, length)) for p in back.pieces]
    pieces = (*first, *around.pieces, *last)
    closed = any(h is not None and h.opens for h in hollows)
    if closed:  # worked out from both ends, the place where it closes may differ by rounding
        start = pieces[0].element
        pieces = (replace(pieces[0], element=replace(start, a=pieces[-1].element.b)), *pieces[1:])
    asked = [(j + len(first), row) for j, row in around.asked.items()]
    asked += [] if front is None else [(len(first) - 2 - j, row) for j, row in front.asked.items()]
    base = len(first) + len(around.pieces)
    asked += [] if back is None else [(base + j, row) for j, row in back.asked.items()]
    return Profile(pieces, _once(asked, len(pieces), where), closed)


def _once(asked: list[tuple[int, Named]], count: int, where: str) -> dict[int, Named]:
    out: dict[int, Named] = {}
    for j, row in asked:
        if j % count in out:
            other = out[j % count]
            raise BadInput(
                f"{where}.{other.of}[{other.index}] names this corner already", where=f"{where}.{row.of}[{row.index}]"
            )
        out[j % count] = row
    return out


def _mouth(own: Hollow | None, other: Hollow | None, where: str) -> Mouth | None:
    """In a face: that of its own hollow, or of one that comes through from the other."""
    if own is not None:
        return own.mouth, own.pieces[0].place(where)
    return (other.end[1], other.pieces[-1].place(where)) if other is not None and other.opens else None


def _faced(outside: Profile, mouth: Mouth | None, grooves: Numbered, *, back: float | None, where: str) -> Profile:
    """The outside with an end face opened and grooved: the front, or the back of a part `back` mm long."""
    name, at = ("front face", 0) if back is None else ("back face", -1)
    here, place = mouth or (0.0, f"{where}.face[{grooves[0][0]}]")
    old = outside.pieces[at]
    if old.name != name:
        raise BadInput(
            f"there is no {name} to cut into: the outside ends in {old.name}",
            where=place,
            right="Let the outside start or end at a diameter, as large as the mouth at the least",
        )
    rim = max(old.element.a[1], old.element.b[1])
    if here > rim + SAME:
        raise BadInput(f"the mouth, {dia(here)}, is larger than the {name}, {dia(rim)}", where=place)
    new = face(name, (here, rim), grooves, where=where)
    more = len(new.pieces) - 1
    if back is None:
        asked = {j + more: row for j, row in outside.asked.items()}
        return Profile((*new.pieces, *outside.pieces[1:]), {**asked, **new.asked})
    base = len(outside.pieces) - 1
    pieces = [replace(p, element=mirrored(p.element.reversed(), back)) for p in reversed(new.pieces)]
    return Profile(
        (*outside.pieces[:-1], *pieces),
        {**outside.asked, **{base + more - 1 - j: row for j, row in new.asked.items()}},
    )


def chains(pieces: Sequence[Piece]) -> tuple[Pieces, Pieces, Pieces]:
    """Hollow from the front, outside, hollow from the back: the finished profile cut at the mouths, hollows inwards."""
    order = list(pieces)
    if order[-1].chain == "inside":  # the corner where the profile closes
        order = [order[-1], *order[:-1]]
    front, outside, back = (tuple(p for p in order if p.chain == c) for c in CHAINS)
    return tuple(replace(p, element=p.element.reversed()) for p in reversed(front)), outside, back
