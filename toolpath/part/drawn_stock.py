"""A stock drawn with rows: a casting, or a blank turned before. The words of the rows are those of the part."""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, Line, reverse
from toolpath.geometry.silhouette import silhouette
from toolpath.part.crossing import touching
from toolpath.part.figures import dia, mm
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.rows import CornerRow, Row
from toolpath.part.stock import SAME, Stock, stock_of


def drawn(outside: Sequence[Row], *, inside: Sequence[Row] = (), front: float, where: str = "bar") -> Stock:
    """The stock of these rows, which run from its own front face.

    inside: the hollow that opens at the front, rows from its mouth inwards; one as deep as the stock goes right through
    front:  z of the stock's front face, mm
    Errors: BadInput naming the row, `where.outside[index]` or `where.inside[index]`.
    """
    body = build(outside, where=f"{where}.outside")
    _refuse_overhang(body, f"{where}.outside")
    outline = _hollowed(body, inside, f"{where}.inside") if inside else body.outline
    return stock_of(tuple(e.moved((front, 0.0)) for e in outline))


def _refuse_overhang(body: HalfSection, where: str) -> None:
    """A tool sees metal wherever an overhang hides a hollow, and a part could be asked of what is not there."""
    hidden = silhouette(reverse(body.outside)).hidden
    if hidden:
        p = hidden[0].point_at(0.5)
        k = min(range(len(body.outside)), key=lambda i: body.outside[i].distance(p))
        raise BadInput(
            f"{body.surfaces[k].name} lies under an overhang, {mm(-p[0])} from the front face, where no tool sees it",
            where=_row(body, k, where),
            right="Draw the stock plumb under what stands over it",
        )


def _hollowed(body: HalfSection, rows: Sequence[Row], where: str) -> Chain:
    """The body's outline less what would fill the hollow, which is a half-section of its own."""
    for k, row in enumerate(rows):
        if isinstance(row, CornerRow):
            raise BadInput("a hollow in the stock takes no corner rows", where=f"{where}[{k}]", right="Write a taper")
    plug = build(rows, where=where)
    face, mouth = body.outside[0], plug.outside[0]
    if face.a[0] != face.b[0]:
        raise BadInput("the stock has no flat front face for a hollow to open in", where=where)
    if mouth.a[0] != mouth.b[0] or mouth.b[1] > face.b[1] - SAME:
        raise BadInput(
            f"the mouth of the hollow is {dia(mouth.b[1])}, and the front face {dia(face.b[1])}", where=f"{where}[0]"
        )
    if plug.length > body.length + SAME:
        raise BadInput(
            f"the hollow is {mm(plug.length)} deep, and the stock {mm(body.length)} long", where=_row(plug, -1, where)
        )
    along, hollow = body.outside[1:], plug.outside[1:]
    if plug.length < body.length - SAME:
        rest: Chain = (*along, Line(along[-1].b, hollow[-1].b), *reverse(hollow))
    else:  # right through: both back faces shrink to the ring between outside and hollow
        ring = Line(along[-1].a, hollow[-1].a)
        along, hollow = along[:-1], hollow[:-1]
        rest = (*along, ring, *reverse(hollow))
    _refuse_touching(rest, plug, hollow, where)
    return (Line(mouth.b, face.b), *rest)


def _refuse_touching(rest: Chain, plug: HalfSection, hollow: Chain, where: str) -> None:
    """The hollow must leave metal around it. rest: the outline but for its front face, ending with the hollow."""
    met = touching(rest)
    if met is not None:
        k = plug.outside.index(hollow[min(len(rest) - 1 - met[1], len(hollow) - 1)])
        raise BadInput("the hollow comes through the outside of the stock", where=_row(plug, k, where))


def _row(plug: HalfSection, k: int, where: str) -> str:
    """Place of the row that made element k of the plug, or the last row before it."""
    rows = [s.row for s in plug.surfaces[: k % len(plug.surfaces) + 1] if s.row is not None]
    return f"{where}[{rows[-1]}]" if rows else where
