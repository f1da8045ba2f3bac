"""An end face, from the mouth of the hollow in it (or the axis) out to its rim, with the grooves cut into it.

Built as the front face, at z = 0 with the part at z < 0, from the inside out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from toolpath.errors import BadInput
from toolpath.geometry.elements import Line, Point
from toolpath.part.figures import dia, mm, plain
from toolpath.part.rows import FaceGroove, Round
from toolpath.part.walk import SAME, Named, Piece, Profile

Numbered = Sequence[tuple[int, FaceGroove]]  # with the index of the row


def face(name: str, ends: tuple[float, float], grooves: Numbered, *, where: str) -> Profile:
    """The face between two radii (mm). Errors: BadInput with the place `where.face[index]`."""
    here, rim = ends
    pieces: list[Piece] = []
    asked: dict[int, Named] = {}
    for k, groove in sorted(grooves, key=lambda g: g[1].inner_dia.value):
        _refuse_misplaced(groove, (here, rim), place=f"{where}.face[{k}]", first=not pieces)
        inner, outer = groove.inner_dia.value / 2.0, groove.outer_dia.value / 2.0
        pieces.append(Piece(Line((0.0, here), (0.0, inner)), None, name))
        if groove.foot_radius is not None:
            foot = Named(Round(radius=groove.foot_radius, on="foot"), k, "face", "outside")
            asked.update({len(pieces): foot, len(pieces) + 1: foot})
        pieces += _groove(k, groove, where=where)
        here = outer
    if rim - here > SAME:
        pieces.append(Piece(Line((0.0, here), (0.0, rim)), None, name))
    return Profile(tuple(pieces), asked)


def _groove(k: int, groove: FaceGroove, *, where: str) -> list[Piece]:
    inner, outer, deep = groove.inner_dia.value / 2.0, groove.outer_dia.value / 2.0, groove.deep
    low, high = inner + deep * math.tan(groove.inner_wall), outer - deep * math.tan(groove.outer_wall)
    if high - low <= SAME:
        raise BadInput(
            f"the walls of the face groove meet before they come to its floor: they take "
            f"{mm(outer - inner - high + low)} and the groove is {mm(outer - inner)} wide",
            where=f"{where}.face[{k}]",
        )
    corners: list[Point] = [(0.0, inner), (-deep, low), (-deep, high), (0.0, outer)]
    what = f"face groove dia {plain(2.0 * inner)} to {plain(2.0 * outer)}"
    names = [f"{what}, inner wall", f"{what}, floor", f"{what}, outer wall"]
    sizes = [groove.inner_dia, None, groove.outer_dia]
    return [
        Piece(Line(a, b), k, n, s, of="face") for a, b, n, s in zip(corners, corners[1:], names, sizes, strict=False)
    ]


def _refuse_misplaced(groove: FaceGroove, room: tuple[float, float], *, place: str, first: bool) -> None:
    inner, outer = groove.inner_dia.value / 2.0, groove.outer_dia.value / 2.0
    if outer - inner <= SAME:
        raise BadInput(
            f"the face groove is {dia(inner)} inside and {dia(outer)} outside", where=place, right="Outside is larger"
        )
    here, rim = room
    if inner <= here + SAME:
        beside = (
            f"the bore, {dia(here)}" if first and here > 0.0 else "the axis" if first else f"the groove to {dia(here)}"
        )
        raise BadInput(f"the face groove from {dia(inner)} runs into {beside}", where=place)
    if outer >= rim - SAME:
        raise BadInput(f"the face groove to {dia(outer)} is wider than its face, {dia(rim)}", where=place)
