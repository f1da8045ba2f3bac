"""Indexable inserts read from their ISO 1832 designation, such as `DCMT 070204` or `CCMT 09T304`."""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.quantity import nearest

FORM = r"([A-Z])([A-Z])([A-Z])([A-Z])\s*(\d\d)\s*(\d\d|T\d)\s*(\d\d|M0)([ -].*)?"
GROUND_CLASSES = "ACEFGH"  # tolerance letters of inserts whose periphery is ground: sharp edges


class Insert(Struct, frozen=True):
    """designation: tidied, `DCMT 070204`
    shape:       its letter
    corners:     angles (rad) counter-clockwise from the working corner; none for a round one
    sides:       lengths (mm) between sharp corners, the trailing edge first and the leading edge last
    clearance:   angle below the edges, rad
    ic:          diameter of the inscribed circle, mm
    honed:       True when the edge is pressed and rounded, False when it is ground
    """

    designation: str
    shape: str
    corners: tuple[float, ...]
    sides: tuple[float, ...]
    clearance: float
    ic: float
    thickness: float
    nose_radius: float
    honed: bool

    @property
    def clearance_letter(self) -> str:
        return self.designation[1]

    @property
    def size_code(self) -> str:
        return self.designation[5:7]


def insert(designation: str) -> Insert:
    """The insert that an ISO 1832 designation names; BadInput naming the letter or digits that are not known."""
    table = _table()
    found = re.fullmatch(FORM, designation.upper())
    if not found:
        raise BadInput(
            f"'{designation}' is no insert designation",
            right="Write its four letters and six digits, like DCMT 070204 (anything after a dash is left aside)",
        )
    letter, relief, tolerance, fixing, size, thick, nose = found.groups()[:7]
    shape = _entry(table["shape"], letter, what="shape letter", of=designation)
    ic = _entry(shape["ic"], size, what=f"size of a {shape['what']} insert", of=designation)
    if (nose == "M0") != (letter == "R"):
        raise BadInput(
            f"'{designation}' can not be: M0 in place of the nose radius belongs to round inserts (R) and to no other"
        )
    corners = tuple(math.radians(c) for c in shape["corners"])
    return Insert(
        designation=f"{letter}{relief}{tolerance}{fixing} {size}{thick}{nose}",
        shape=letter,
        corners=corners,
        sides=_sides(corners, ic, long_edge=shape.get("long_edge", {}).get(size, 0.0)),
        clearance=math.radians(_entry(table["clearance"], relief, what="clearance letter", of=designation)),
        ic=ic,
        thickness=_entry(table["thickness"], thick, what="thickness", of=designation),
        nose_radius=ic / 2.0 if letter == "R" else int(nose) / 10.0,
        honed=tolerance not in GROUND_CLASSES,
    )


def _sides(corners: tuple[float, ...], ic: float, *, long_edge: float) -> tuple[float, ...]:
    """Edge lengths of the polygon around the inscribed circle; of a parallelogram when its long edge is given."""
    if long_edge:
        return (ic / math.sin(corners[0]), long_edge) * 2
    cot = [1.0 / math.tan(c / 2.0) for c in corners]
    return tuple(ic / 2.0 * (p + q) for p, q in zip(cot, cot[1:] + cot[:1], strict=True))


def _entry(table: dict[str, Any], key: str, *, what: str, of: str) -> Any:
    if key not in table:
        raise BadInput(f"'{of}': the {what} '{key}' is not known", right=nearest(key, table))
    return table[key]


@cache
def _table() -> dict[str, Any]:
    with Path(__file__).with_name("inserts.toml").open("rb") as file:
        return tomllib.load(file)
