"""Tolerance grades of ISO 965-1: the standard's tables, or its formulas for a pair of sizes that the tables have not.

The tables are the authority: the formulas, rounded, are off by up to 0.025 mm. Tolerances stand on the R40 series of
preferred numbers, and a grade lies four steps of it from the next; so the tables of grade 6 (metric.toml) are all there
is to know. The steps reproduce the published columns of grade 4 without exception (a test holds that).
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from toolpath.errors import BadInput

# R40 in whole micrometres as the standard's tables have it.
R40 = (
    20, 21, 22, 24, 25, 26, 28, 30, 32, 34, 36, 38, 40, 42, 45, 48, 50, 53, 56, 60, 63, 67, 71, 75, 80, 85, 90, 95,
    100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280, 300, 315, 335, 355,
    375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850, 900, 950, 1000, 1060, 1120, 1180, 1250,
    1320, 1400, 1500, 1600, 1700, 1800, 1900, 2000,
)  # fmt: skip
GRADES = {"Td": (4, 6, 8), "Td2": tuple(range(3, 10)), "TD2": tuple(range(4, 9)), "TD1": tuple(range(4, 9))}
MEANT = {"Td": "crest of a screw", "Td2": "pitch diameter of a screw", "TD2": "pitch diameter of a hole",
         "TD1": "crest of a hole"}  # fmt: skip
POSITIONS = {"screw": "efgh", "hole": "GH"}
STEPS_A_GRADE = 4


def tolerance(what: str, grade: int, *, dia: float, pitch: float) -> float | None:
    """A tolerance of the tables, mm; None for a pair of sizes they have not. `what` is one of `GRADES`."""
    if grade not in GRADES[what]:
        known = ", ".join(map(str, GRADES[what]))
        raise BadInput(f"grade {grade} is not given for the {MEANT[what]}", right=f"It has {known}, as in 5g6g or 6H")
    base = _base(what, dia, f"{pitch:g}")
    return None if base is None else _moved(base, grade)


def by_formula(what: str, grade: int, *, dia: float, pitch: float) -> float:
    """The same from the formulas of ISO 965-1, rounded to R40, mm; for threads that no table has."""
    p = pitch
    wide = 90.0 * p**0.4 * _mean_of_band(dia) ** 0.1
    base = {
        "Td": 180.0 * p ** (2.0 / 3.0) - 3.15 / math.sqrt(p),
        "Td2": wide,
        "TD2": 1.32 * wide,
        "TD1": 433.0 * p - 190.0 * p**1.22 if p <= 0.8 else 230.0 * p**0.7,
    }[what]
    return _moved(min(R40, key=lambda r: abs(r - base)), grade)


def deviation(position: str, pitch: float) -> float:
    """How far the letter's threads keep from the basic form, mm, never negative: screws below it, holes above."""
    letter = position.lower()
    if letter == "h":
        return 0.0
    row = _table()["pitches"].get(f"{pitch:g}")
    if row is None:
        return round({"e": 50.0, "f": 30.0, "g": 15.0}[letter] + 11.0 * pitch) / 1000.0
    if letter not in row:
        raise BadInput(f"position {position} is not given for a pitch of {pitch:g} mm", right="Take f, g or h")
    return float(row[letter]) / 1000.0


def _base(what: str, dia: float, pitch: str) -> int | None:
    if what in ("Td", "TD1"):
        found: int | None = _table()["pitches"].get(pitch, {}).get(what)
        return found
    for band in _table()["bands"]:
        if band["over"] < dia <= band["to"]:
            figures = band["pitches"].get(pitch, [])
            place = ("Td2", "TD2").index(what)
            return figures[place] if place < len(figures) else None
    return None


def _moved(base: float, grade: int) -> float:
    place = R40.index(int(base)) + STEPS_A_GRADE * (grade - 6)
    return R40[min(max(place, 0), len(R40) - 1)] / 1000.0


def _mean_of_band(dia: float) -> float:
    """Geometric mean of the diameter band, as the formula wants it; beyond the table the diameter itself."""
    for band in _table()["bands"]:
        if band["over"] < dia <= band["to"]:
            return math.sqrt(band["over"] * band["to"])
    return dia


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("metric.toml").read_text(encoding="utf-8"))
