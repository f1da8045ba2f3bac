"""Rules of the trade for holes: how much over a drill cuts, and which drill goes before a reamer."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.errors import BadInput, CannotMake
from toolpath.quantity.units import INCH
from toolpath.shop.drills import SAME, Drill, DrillSet


class Oversize(Struct, frozen=True):
    """By how much a drilled hole is larger than its drill, mm on diameter."""

    least: float
    mean: float
    greatest: float


def oversize(dia: float) -> Oversize:
    """How much over a drill of `dia` mm cuts, straight between the diameters of the table.

    Below its first row in proportion to the diameter; BadInput above its last.
    """
    rows = [[figure * INCH for figure in row] for row in _table()["oversize"]]
    if dia > rows[-1][0]:
        raise BadInput(f"how much over a {dia:g} mm drill cuts is not known", right=f"Up to {rows[-1][0]:g} mm it is")
    below = [0.0] * 4
    for row in rows:
        if dia <= row[0]:
            share = (dia - below[0]) / (row[0] - below[0])
            return Oversize(*(a + share * (b - a) for a, b in zip(below[1:], row[1:], strict=True)))
        below = row
    raise AssertionError("the last row holds every diameter up to it")


def oversize_known_to() -> float:
    """The thickest drill of which it is known how much over it cuts, mm."""
    return float(_table()["oversize"][-1][0]) * INCH


def ream_stock(dia: float) -> tuple[float, float]:
    """(least, most) that is left on the diameter for a reamer of `dia` mm."""
    rows = _table()["ream_stock"]
    for upto, least, most in rows:
        if dia <= upto:
            return least, most
    raise BadInput(f"what a {dia:g} mm reamer takes is not known", right=f"Up to {rows[-1][0]:g} mm it is")


def drill_before_reamer(dia: float, owned: Iterable[DrillSet]) -> Drill:
    """The drill for a hole that a reamer of `dia` mm then finishes; CannotMake when none that is owned does.

    The thickest that leaves the reamer its stock and, cutting over by the greatest figure, still leaves it something.
    """
    least, most = ream_stock(dia)
    fit = {
        d
        for owner in owned
        for d in owner.drills
        if dia - most - SAME <= d.dia <= dia - least + SAME and d.dia + oversize(d.dia).greatest < dia
    }
    if fit:
        return max(fit, key=lambda d: (d.dia, d.name))
    raise CannotMake(
        f"no drill of the rack goes before a {dia:g} mm reamer: it takes {least:g} to {most:g} mm, "
        f"so a drill of {dia - most:g} to {dia - least:g} mm is wanted"
    )


@cache
def _table() -> dict[str, Any]:
    with Path(__file__).with_name("hole-rules.toml").open("rb") as file:
        return tomllib.load(file)
