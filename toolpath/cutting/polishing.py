"""The abrasive steps from a turned surface to a wanted one, and what each of them takes off the diameter."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.cutting import bench
from toolpath.errors import CannotMake
from toolpath.shop import materials
from toolpath.shop.materials import Material

PLAIN_UM = 4.0 * bench.PLAIN_FINISH
"""Height of plain turning marks, µm: four times their average (Mitsubishi Materials, f^2/(8 r) against f^2/(32 r))."""

WORTH = 0.8
"""Of the height that stands: a paper that leaves more is none to begin with (common practice, no source)."""

RULES = (
    "Polish off the machine, or with the drives isolated and the tools withdrawn.",
    "Hold the abrasive flat on a backing board, never wrapped round the work, never round a finger; no gloves, no "
    "loose sleeves.",
    "Cover the ways: the grit wears them. Wipe the work between two grades.",
    "Keep off fits and threads: they are at their size already.",
)
"""HSE engineering FAQs and EIS2; UK MCA Safety Bulletin 21; SafeWork NSW emery alert; common practice."""


class Step(Struct, frozen=True):
    """grade: of the paper; takes: mm on the diameter; leaves: height of the marks afterwards, µm."""

    grade: str
    takes: float
    leaves: float


class Polish(Struct, frozen=True):
    """steps: in order; last: what follows the last paper; turned, wanted: heights of the marks, µm"""

    steps: tuple[Step, ...]
    last: str
    turned: float
    wanted: float

    @property
    def takes(self) -> float:
        """mm on the diameter, of all steps."""
        return sum(s.takes for s in self.steps)


def polish(material: Material, *, turned: float, wanted: float) -> Polish:
    """The steps between two heights of marks, µm.

    CannotMake where abrasives are a danger, where the turned surface is that fine already, or where none gets so fine.
    """
    if material.rubbed == "burns":
        raise CannotMake(f"{material.title} is not polished with abrasives: its dust burns and explodes. Turn it finer")
    if not 0.0 < wanted < turned:
        raise CannotMake(
            f"marks {turned:g} µm high are turned; {wanted:g} µm is nothing to polish them to. Leave "
            "polished_um out, or give a finer one"
        )
    rows = _table()
    kind = order_of(material)
    marks = {g: rows["marks"] * rows["um"][g] for g in rows["order"][kind]}
    finest = min(marks.values())
    if finest > min(wanted, WORTH * turned):
        raise CannotMake(
            f"the finest paper for {material.title} leaves marks of {finest:.2g} µm, {wanted:g} are wanted. Ask for "
            f"{finest:.2g}, or buff it afterwards"
        )
    # Of the papers finer than what is turned, those down to the first that is fine enough.
    finer = [g for g in marks if marks[g] <= WORTH * turned]
    until = next((k for k, g in enumerate(finer) if marks[g] <= wanted), 0)
    out, before = [], turned
    for grade in finer[: until + 1]:
        out.append(Step(grade, _takes(grade, before), marks[grade]))
        before = marks[grade]
    return Polish(tuple(out), rows["last"][kind], turned, wanted)


def order_of(material: Material) -> str:
    """Which papers a material is polished with."""
    if material.name in _table()["rubbers"]:
        return "rubber"
    if material.name in _table()["woods"]:
        return "wood"
    return "plastic" if "grows warm" in material.traits else "metal"


def told(found: Polish) -> tuple[str, ...]:
    """The list for the sheet, and the rules."""
    heights = f"from marks of {found.turned:.2g} µm to {found.wanted:.2g}"
    first = f"{heights}; {found.takes:.3f} mm are left for it on free diameters"
    each = (f"{s.grade}: takes {s.takes:.3f} mm off the diameter, leaves {s.leaves:.2g} µm" for s in found.steps)
    return (first, *each, f"then {found.last}", *RULES)


def _takes(grade: str, before: float) -> float:
    """mm on the diameter: twice the marks before it, on both sides, within what such a grade takes."""
    rows = _table()
    size = rows["um"][grade]
    # The bounds of the finest listed grade that is no finer than this one.
    near = min((b for b in rows["bounds"] if rows["um"][b] >= size), key=lambda b: rows["um"][b], default="P120")
    low, high = rows["bounds"][near]
    return float(min(max(rows["takes"] * before / 1000.0, low), high))


@cache
def _table() -> dict[str, Any]:
    with Path(materials.__file__).with_name("abrasives.toml").open("rb") as file:
        return tomllib.load(file)
