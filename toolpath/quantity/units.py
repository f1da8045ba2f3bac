"""The units a turner writes, as values of one each.

Factors are exact by definition: 1 in = 25.4 mm (international inch, 1959), 1 ft = 12 in, 1 thou = 0.001 in.
"""

from __future__ import annotations

import math

from toolpath.errors import BadInput
from toolpath.quantity.nearest import nearest
from toolpath.quantity.value import ANGLE, FEED, LENGTH, PLAIN, SPEED, SPIN, TIME, TURNS, Quantity

INCH = 25.4

UNITS: dict[str, Quantity] = {
    "mm": Quantity(1.0, LENGTH),
    "cm": Quantity(10.0, LENGTH),
    "m": Quantity(1000.0, LENGTH),
    "um": Quantity(0.001, LENGTH),
    "in": Quantity(INCH, LENGTH),
    "inch": Quantity(INCH, LENGTH),
    '"': Quantity(INCH, LENGTH),
    "ft": Quantity(12 * INCH, LENGTH),
    "thou": Quantity(INCH / 1000, LENGTH),
    "deg": Quantity(math.pi / 180, ANGLE),
    "rad": Quantity(1.0, ANGLE),
    "s": Quantity(1.0, TIME),
    "min": Quantity(60.0, TIME),
    "rev": Quantity(1.0, TURNS),
    "rpm": Quantity(1 / 60, SPIN),
    "sfm": Quantity(12 * INCH / 60, SPEED),
    "ipm": Quantity(INCH / 60, SPEED),
    "ipr": Quantity(INCH, FEED),
    "times": Quantity(1.0, PLAIN),
}


def unit_named(word: str) -> Quantity | None:
    """The unit, capitals or not (`MM`, `RPM`); None for a word that is none."""
    return UNITS.get(word) or UNITS.get(word.lower())


def is_length(word: str) -> bool:
    """Whether the word is a unit of length."""
    unit = unit_named(word)
    return unit is not None and unit.dims == LENGTH


def length_unit(word: str) -> Quantity:
    """The unit that bare lengths take; BadInput when the word is no unit of length."""
    unit = unit_named(word)
    if unit is None or unit.dims != LENGTH:
        lengths = [name for name, one in UNITS.items() if one.dims == LENGTH]
        raise BadInput(f"'{word}' is no unit of length", right=nearest(word, lengths))
    return unit
