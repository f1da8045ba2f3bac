"""A stock drawn with rows: a casting, or a blank turned before. The words of the rows are those of the part."""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.errors import BadInput
from toolpath.geometry.elements import reverse
from toolpath.geometry.silhouette import silhouette
from toolpath.part.figures import mm
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.rows import Inside, Row
from toolpath.part.stock import Stock, stock_of


def drawn(outside: Sequence[Row], *, inside: Sequence[Row] = (), front: float, where: str = "bar") -> Stock:
    """The stock of these rows, which run from its own front face.

    inside: the hollow that opens at the front, rows from its mouth inwards; one as deep as the stock goes right through
    front:  z of the stock's front face, mm
    Errors: BadInput naming the row, `where.outside[index]` or `where.inside[index]`.
    """
    body = build(outside, inside=[Inside(row) for row in inside], where=where)
    _refuse_overhang(body, where)
    return stock_of(tuple(e.moved((front, 0.0)) for e in body.outline))


def _refuse_overhang(body: HalfSection, where: str) -> None:
    """A tool sees metal wherever an overhang hides a hollow, and a part could be asked of what is not there."""
    hidden = silhouette(reverse(body.outside)).hidden
    if hidden:
        p = hidden[0].point_at(0.5)
        k = min(range(len(body.outside)), key=lambda i: body.outside[i].distance(p))
        raise BadInput(
            f"{body.surfaces[k].name} lies under an overhang, {mm(-p[0])} from the front face, where no tool sees it",
            where=body.surfaces[k].place(where),
            right="Draw the stock plumb under what stands over it",
        )
