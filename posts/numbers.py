"""Numbers as a control prints them, and the grid of last digits that every printed place lies on.

Places are kept as whole numbers of last digits, so that the writer knows what the text says without reading it back.
"""

from __future__ import annotations

import math

from msgspec import Struct

from posts.dialect import Numbers
from toolpath.errors import BadInput, CannotMake
from toolpath.motion import Point

INCH = 25.4
Digits = tuple[int, int]
"""(z, x) in last digits of the text; x a diameter when X words are."""


def fixed(digits: int, decimals: int) -> str:
    """`digits` last digits as a number with a point and no needless zero: 14000 at 3 is `14.0`, -5 at 3 `-0.005`."""
    sign = "-" if digits < 0 else ""
    text = str(abs(digits)).rjust(decimals + 1, "0")
    whole, part = (text[:-decimals], text[-decimals:]) if decimals else (text, "")
    return f"{sign}{whole}.{part.rstrip('0') or '0'}"


def plain(value: float, decimals: int) -> str:
    """A speed or a count: as `fixed`, but without a point when it is whole: `800`, `92.5`."""
    return fixed(round(value * 10**decimals), decimals).removesuffix(".0")


def sound(value: float, what: str) -> float:
    """The value; BadInput when it is negative or no number."""
    if not (math.isfinite(value) and value >= 0.0):
        raise BadInput(f"{what} of {value:g} is none")
    return value


class Grid(Struct, frozen=True):
    """Last digits of one program: its unit, its decimals, and whether X is a diameter."""

    numbers: Numbers
    inch: bool
    diameter: bool

    @property
    def unit(self) -> float:
        """mm in one unit of the text."""
        return INCH if self.inch else 1.0

    @property
    def step(self) -> float:
        """mm in the last digit of Z."""
        return float(self.unit / 10**self.numbers.position)

    def digits(self, p: Point) -> Digits:
        """The nearest place that can be printed. BadInput for no number, CannotMake beyond the dialect's bounds."""
        if not (math.isfinite(p[0]) and math.isfinite(p[1])):
            raise BadInput(f"a move leads to {p}, which is no place")
        scale = 10**self.numbers.position / self.unit
        found = (round(p[0] * scale), round(p[1] * scale * (2 if self.diameter else 1)))
        if max(map(abs, found)) > self.numbers.greatest * 10**self.numbers.position:
            text = f"a move leads to X{self.x(found)} Z{self.z(found)}, beyond {self.numbers.greatest:g}"
            raise CannotMake(f"{text}; the control's numbers end there")
        return found

    def point(self, d: Digits) -> Point:
        """(z, x) in mm, x a radius, of a printed place."""
        scale = 10**self.numbers.position
        return (d[0] / scale * self.unit, d[1] / scale * self.unit / (2.0 if self.diameter else 1.0))

    def x(self, d: Digits) -> str:
        return fixed(d[1], self.numbers.position)

    def z(self, d: Digits) -> str:
        return fixed(d[0], self.numbers.position)

    def words(self, d: Digits, letters: str, *, names: str = "XZ") -> list[str]:
        """`X` and `Z` words of a place, those named in `letters`; under other names for a way."""
        told = zip("XZ", names, (self.x(d), self.z(d)), strict=True)
        return [name + value for letter, name, value in told if letter in letters]
