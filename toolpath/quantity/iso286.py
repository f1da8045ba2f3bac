"""Limits of size by tolerance class: `h7`, `H7`, `js9` (ISO 286-1:2010; figures in iso286.toml).

Small letters are shafts (outside), capitals are holes. Deviations are returned in millimetres.
"""

from __future__ import annotations

from bisect import bisect_left
from functools import cache
from pathlib import Path
from typing import Any

from toolpath.errors import BadInput

LARGEST_SIZE = 180.0  # mm, the end of the table
SMALLEST_GRADE, LARGEST_GRADE = 5, 16
_WRITE_OUT = "Write the limits out"
_SIZE_STEP = 6  # decimals of a mm; a sum such as 3*3.333 must not slip into the next band


def deviations(size: float, letters: str, grade: int) -> tuple[float, float]:
    """(lower, upper) deviation in mm of a nominal size in mm. BadInput when the table does not hold the class."""
    size = round(size, _SIZE_STEP)
    hole = letters.isupper()
    letter = letters.lower()
    if not (letters.islower() or hole) or letter not in _letters():
        known = ", ".join(x.upper() if hole else x for x in _letters())
        right = f"Known here: {known}; for others write the limits out"
        raise BadInput(f"the class letter '{letters}' is not in the table", right=right)
    if not SMALLEST_GRADE <= grade <= LARGEST_GRADE:
        raise BadInput(f"grade {grade} is not in the table", right=f"It holds {SMALLEST_GRADE} to {LARGEST_GRADE}")
    if not 0 < size <= LARGEST_SIZE:
        raise BadInput(f"{size:g} mm is outside the table, which ends at {LARGEST_SIZE:g} mm", right=_WRITE_OUT)
    if size <= 1 and (grade >= 14 or (letters == "N" and grade > 8)):
        raise BadInput(f"{letters}{grade} is not meant for sizes up to 1 mm", right=_WRITE_OUT)
    lower, upper = (_hole if hole else _shaft)(size, letter, grade)
    return lower / 1000, upper / 1000


def _shaft(size: float, letter: str, grade: int) -> tuple[float, float]:
    width = _tolerance(size, grade)
    if letter == "js":
        return -width / 2, width / 2
    base = _deviation(size, letter)
    if letter in _table()["shaft_upper"]:
        return base - width, base
    if letter == "k" and grade > 7:
        base = 0
    return base, base + width


def _hole(size: float, letter: str, grade: int) -> tuple[float, float]:
    """A hole mirrors the shaft of its letter; the tighter K to S are eased by the step to the next finer grade."""
    width = _tolerance(size, grade)
    if letter in ("d", "e", "f", "g", "h", "js"):
        lower, upper = _shaft(size, letter, grade)
        return -upper, -lower
    if size > 3 and grade > 8 and letter == "k":
        raise BadInput(f"K{grade} is not defined for sizes over 3 mm", right=_WRITE_OUT)
    if size > 3 and grade > 8 and letter == "n":
        return -width, 0.0
    eased = size > 3 and grade <= (8 if letter in "kmn" else 7)
    upper = (width - _tolerance(size, grade - 1) if eased else 0.0) - _deviation(size, letter)
    return upper - width, upper


def _tolerance(size: float, grade: int) -> float:
    return float(_table()["grades"][str(grade)][bisect_left(_table()["bands"], size)])


def _deviation(size: float, letter: str) -> float:
    table = _table()
    if letter in table["shaft_lower_fine"]:
        return float(table["shaft_lower_fine"][letter][bisect_left(table["fine_bands"], size)])
    row = table["shaft_upper"].get(letter) or table["shaft_lower"][letter]
    return float(row[bisect_left(table["bands"], size)])


def _letters() -> list[str]:
    table = _table()
    return [*table["shaft_upper"], "js", *table["shaft_lower"], *table["shaft_lower_fine"]]


@cache
def _table() -> dict[str, Any]:
    import tomllib

    return tomllib.loads(Path(__file__).with_name("iso286.toml").read_text(encoding="utf-8"))
