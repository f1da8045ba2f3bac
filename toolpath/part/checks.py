"""What no part can be: out of its place, cut in two by the axis, touching itself, a wall of less than nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from toolpath.errors import BadInput
from toolpath.geometry.elements import Line
from toolpath.part.crossing import touching
from toolpath.part.figures import mm
from toolpath.part.radii import radii
from toolpath.part.walk import Piece

ON_AXIS = 1e-9  # mm
LEAST_RADIUS = 0.005  # mm; thinner is nothing that a lathe turns, and hardly more than what a control tells apart
OUT_OF_PLACE = 1e-7  # mm that a figure may pass a face, the axis or the bar by rounding alone
Pieces = tuple[Piece, ...]


def refuse_impossible(around: Pieces, front: Pieces, back: Pieces, *, where: str) -> None:
    """Refuse chains (outside, hollows from the mouth inwards) that can not bound one piece of metal."""
    length = -around[-1].element.b[0]
    for chain, ends in ((around, "part"), (front, "hollow"), (back, "hollow")):
        for k, p in enumerate(chain):
            _in_place(p, length, where)
            inner = [x for n, (_, x) in ((k, p.element.a), (k + 1, p.element.b)) if 0 < n < len(chain)]
            if ON_AXIS < min(inner, default=1.0) < LEAST_RADIUS:
                raise _thin(p if p.row is not None or k else chain[1], min(inner), where)
            if min(inner, default=1.0) <= ON_AXIS or (p.element.bounds()[1] <= ON_AXIS and not _low_ends(p)):
                cuts = ", and cuts it in two" if ends == "part" else ""
                raise BadInput(f"{p.name} comes down to the axis before the {ends} ends{cuts}", where=p.place(where))
    _refuse_touching(around, front, back, where=where)


def _thin(p: Piece, x: float, where: str) -> BadInput:
    return BadInput(
        f"{p.name} is only {2000.0 * x:.3g} µm across at one end",
        where=p.place(where),
        right=f"Nothing thinner than {mm(2.0 * LEAST_RADIUS)} is turned; 0 is a point on the axis",
    )


def _in_place(p: Piece, length: float, where: str) -> None:
    z_least, x_least, z_most, _ = p.element.bounds()
    if x_least < -OUT_OF_PLACE:
        raise BadInput(f"{p.name} dips past the axis, to a radius of {mm(x_least)}", where=p.place(where))
    if z_most > OUT_OF_PLACE:
        raise BadInput(f"{p.name} stands {mm(z_most)} out in front of the front face", where=p.place(where))
    if -z_least > length + OUT_OF_PLACE:
        raise BadInput(f"{p.name} stands {mm(-z_least - length)} out behind the part's own end", where=p.place(where))


def _low_ends(p: Piece) -> bool:
    """Whether the element's lowest points are its ends."""
    e = p.element
    return isinstance(e, Line) or e.bounds()[1] >= min(e.a[1], e.b[1]) - ON_AXIS


def _refuse_touching(around: Pieces, front: Pieces, back: Pieces, *, where: str) -> None:
    pieces = (*reversed(front), *around, *back)
    chain = (*(p.element.reversed() for p in reversed(front)), *(p.element for p in (*around, *back)))
    met = touching(chain, closed=chain[0].a == chain[-1].b)
    if met is None:
        return
    a, b = sorted((pieces[k] for k in met), key=lambda p: p.chain != "outside")
    row = b if b.row is not None else a
    over = _overlap(around, (*front, *back)) if (a.chain == "outside") != (b.chain == "outside") else None
    if over is None:
        raise BadInput(f"{b.name} touches or crosses {a.name}", where=row.place(where))
    inner, outer, by = over
    how = f"comes through {outer.name}, by {mm(by)}" if by > OUT_OF_PLACE else f"is as large as {outer.name}"
    raise BadInput(f"{inner.name} {how}: no wall is left", where=inner.place(where))


def _overlap(around: Pieces, hollow: Pieces) -> tuple[Piece, Piece, float] | None:
    """Where the inside lies farthest beyond the outside: the two surfaces, and mm across the axis."""
    ends = sorted({p[0] for piece in (*around, *hollow) for p in (piece.element.a, piece.element.b)})
    places = [a + (b - a) * t for a, b in pairwise(ends) for t in (1e-6, 0.25, 0.5, 0.75, 1.0 - 1e-6)]
    found = [(x - y, p, q) for z in places for x, p in _at(hollow, z) for y, q in _at(around, z)]
    by, inner, outer = max(found, key=lambda f: f[0], default=(0.0, hollow[0], around[0]))
    return (inner, outer, by) if by > -OUT_OF_PLACE else None


def _at(pieces: Sequence[Piece], z: float) -> Iterator[tuple[float, Piece]]:
    for p in pieces:
        for x in radii(p.element, z):
            yield x, p
