"""The hollows of a part, seen from its front and from its back, and where one that goes through comes out.

Each is built as seen from its own face. One that goes through ends where it opens: in the hollow from the other end,
whose floor it cuts, or in the other face.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.corners import crossings
from toolpath.geometry.elements import Line
from toolpath.part.figures import dia, mm
from toolpath.part.hollow import Hollow, Opening, hollow
from toolpath.part.mirror import mirrored
from toolpath.part.rows import Chamfer, Hole, Inside, Round, Row, Sharp
from toolpath.part.walk import SAME, Piece

Numbered = Sequence[tuple[int, Row]]  # with the index of the row in the list
CHAINS = ("inside", "inside_back")


def hollows(rows: Sequence[Inside], length: float, *, where: str) -> tuple[Hollow | None, Hollow | None]:
    """From the front, from the back; each as seen from its own face, which lies at z = 0.

    length: of the part, mm. Errors: BadInput with the place `where.inside[index]`.
    """
    numbered = [(k if r.index is None else r.index, r) for k, r in enumerate(rows)]
    ends = [[(k, r.row) for k, r in numbered if r.from_back == back] for back in (False, True)]
    through = [_through(end) for end in ends]
    if all(through):
        k = ends[1][-1][0]
        raise BadInput("both hollows go through; one of them opens into the other", where=f"{where}.inside[{k}]")
    first = 1 if through[0] else 0  # the one whose depth is known without the other
    found: list[Hollow | None] = [None, None]
    found[first] = _blind(ends[first], CHAINS[first], length, where=where) if ends[first] else None
    if ends[1 - first]:
        found[1 - first], found[first] = _other(
            ends[1 - first], CHAINS[1 - first], found[first], length=length, through=through[1 - first], where=where
        )
    return found[0], found[1]


def _through(rows: Numbered) -> Hole | None:
    """The hole that goes through."""
    return next((r for _, r in rows if isinstance(r, Hole) and r.deep is None), None)


def _blind(rows: Numbered, chain: str, length: float, *, where: str) -> Hollow:
    """A hollow whose rows say how deep it is; one as long as the part opens in the other face."""
    made = hollow(rows, where=where, chain=chain)
    surfaces = [p for p in made.pieces if not p.name.endswith(" floor")]
    end = surfaces[-1].element.b
    hole = next((r for k, r in rows if k == surfaces[-1].row and isinstance(r, Hole)), None)
    if hole is None and abs(end[0] + length) <= SAME and end[1] > SAME:
        return hollow(rows, where=where, chain=chain, opening=_face(end[1], length))
    for p in made.pieces:
        deep = -p.element.bounds()[0]
        if deep >= length - SAME:
            right = "Write through = true if it is to come out of the other face" if hole is not None else ""
            raise BadInput(
                f"{p.name} goes {mm(deep)} deep, and only {mm(length)} are there", where=p.place(where), right=right
            )
    return made


def _other(
    rows: Numbered, chain: str, met: Hollow | None, *, length: float, through: Hole | None, where: str
) -> tuple[Hollow, Hollow | None]:
    """The second hollow, and the first with the hole through it."""
    if through is None:
        made = _blind(rows, chain, length, where=where)
        if met is not None:
            _refuse_overlap(made, met, length, where=where)
        return made, met
    x = through.dia.value / 2.0
    if met is None:
        return hollow(rows, where=where, chain=chain, opening=_face(x, length)), None
    if met.opens:
        raise BadInput("the hollow from the other end goes through already", where=_last(rows, where))
    cut = _cut(met, x, place=_last(rows, where), where=where)
    last = cut.pieces[-1].element
    opening = Opening(mirrored(last, length).b[0], mirrored(last.reversed(), length))
    return hollow(rows, where=where, chain=chain, opening=opening), cut


def _face(x: float, length: float) -> Opening:
    return Opening(-length, Line((-length, x), (-length, 2.0 * x)))


def _last(rows: Numbered, where: str) -> str:
    return f"{where}.inside[{max(k for k, r in rows if not isinstance(r, Chamfer | Round | Sharp))}]"


def _cut(met: Hollow, x: float, *, place: str, where: str) -> Hollow:
    """The hollow as far as a hole of radius x from the other end leaves it."""
    level = Line((0.0, x), (-1.0, x))
    hits = [
        (p[0], n, t)
        for n, piece in enumerate(met.pieces)
        for p in crossings(level, piece.element)
        if -1e-12 <= (t := piece.element.parameter_of(p)) <= 1.0 + 1e-12
    ]
    if not hits:
        widest = max(p.element.bounds()[3] for p in met.pieces)
        raise BadInput(
            f"a hole of {dia(x)} can not open into the hollow from the other end, which is {dia(widest)} at the most: "
            f"{mm(2.0 * (x - widest))} too narrow",
            where=place,
        )
    deepest = min(z for z, _, _ in hits)
    n, t = min((n, t) for z, n, t in hits if z <= deepest + SAME)
    e = met.pieces[n].element
    kept = [*met.pieces[:n], *([replace(met.pieces[n], element=e.part(0.0, t))] if t * e.length > SAME else [])]
    lost = [p for p in met.pieces[n + 1 :] if not p.name.endswith(" floor")]
    if lost or not kept:
        raise BadInput(
            f"a hole of {dia(x)} swallows {(lost or met.pieces)[0].name} of the hollow from the other end", where=place
        )
    gone = [row for j, row in sorted(met.asked.items()) if j >= len(kept) - 1]
    if gone:
        raise BadInput(
            f"a hole of {dia(x)} from the other end leaves no corner here",
            where=f"{where}.inside[{gone[0].index}]",
            right="The corner where the hole opens is named after the hole's own row",
        )
    return Hollow(tuple(kept), met.asked, opens=True)


def _refuse_overlap(one: Hollow, other: Hollow, length: float, *, where: str) -> None:
    deep, reach = (max(-p.element.bounds()[0] for p in h.pieces) for h in (one, other))
    if deep + reach >= length - SAME:
        a, b = _deepest(one), _deepest(other)
        raise BadInput(
            f"{a.name} comes {mm(deep)} deep and {b.name} from the other end {mm(reach)}, and the part is "
            f"{mm(length)} long: they overlap by {mm(deep + reach - length)}",
            where=a.place(where),
            right="Write through = true for the one that opens into the other",
        )


def _deepest(h: Hollow) -> Piece:
    return min(reversed(h.pieces), key=lambda p: p.element.bounds()[0])
