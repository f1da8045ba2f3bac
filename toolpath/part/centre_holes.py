"""A centre hole as a drawing names it, by its drill: the cone of the seat and the pilot behind it, as rows.

Seats open to the mouth that ISO 6411 has for the drill; see `centre-drills.toml` of the shop.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from toolpath.errors import BadInput
from toolpath.part.row_reader import RowReader
from toolpath.part.rows import Hole, Inside, Row, Sharp, Taper
from toolpath.quantity import Size
from toolpath.shop.centre_drills import CentreDrill, centre_drill

MADE = "centred"
"""How all surfaces of a centre hole are made: with its centre drill."""


def centre_rows(read: RowReader) -> tuple[Row, ...]:
    """The rows that `centre = "A2"` stands for. BadInput for a drill that is not known or makes no such mouth."""
    place, said = f"{read.where}.centre", read.row["centre"]
    if not isinstance(said, str):
        raise BadInput(f"{said!r} is no centre drill", where=place, right='Write its size, as centre = "A2"')
    try:
        drill = centre_drill(said)
    except BadInput as error:
        raise error.at(where=place) from None
    return _rows(drill, _mouth(drill, read.length("mouth"), where=read.where))


def refuse_beside_centre(row: object, others: Sequence[Inside], *, where: str) -> None:
    """BadInput where a centre hole shares its end with other rows."""
    if not isinstance(row, Mapping) or "centre" not in row:
        return
    from_back = row.get("from") == "back"
    if any(one.from_back == from_back for one in others):
        raise BadInput(
            "a centre hole is alone at its end: a centre bears on nothing else there",
            where=where,
            right="Leave the other rows of that end out, or hold the part another way",
        )


def _mouth(drill: CentreDrill, asked: float | None, *, where: str) -> float:
    if drill.guard[0] and asked is None:
        raise BadInput(
            f"how far the guard of a {drill.name} opens is not known",
            where=f"{where}.centre",
            right=f"Take type A, or write mouth, no more than the {drill.guard[0]:g} mm of its seat",
        )
    mouth = asked or drill.seat
    if not mouth:
        raise BadInput(
            f"how far the seat of a {drill.name} is to open is not known",
            where=f"{where}.centre",
            right=f"Write mouth, between {drill.pilot:g} and {drill.mouth:g} mm",
        )
    if not drill.pilot < mouth <= drill.mouth:
        raise BadInput(
            f"a {drill.name} makes no seat of {mouth:g} mm",
            where=f"{where}.mouth",
            right=f"Between {drill.pilot:g} and {drill.mouth:g} mm",
        )
    return mouth


def _rows(drill: CentreDrill, mouth: float) -> tuple[Row, ...]:
    half = drill.cone / 2.0
    seat = (mouth - drill.pilot) / 2.0 / math.tan(half)
    plain = drill.pilot_length - drill.pilot / 2.0 / math.tan(drill.point / 2.0)
    size = Size(drill.pilot, drill.pilot, drill.pilot, f"{drill.pilot:g}")
    return (
        Sharp(),
        Taper(start=mouth, end=drill.pilot, length=seat, made=MADE),
        Sharp(),
        Hole(dia=size, deep=seat + plain, floor="drilled", made=MADE, point_angle=drill.point),
    )
