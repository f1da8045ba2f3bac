"""A value with its dimension: what sums, products and quotients of written sizes are made of.

Base units are millimetre, radian, second and turn of the spindle. The dimension is the tuple of their exponents: a
length is (1, 0, 0, 0), a feed per turn (1, 0, 0, -1) and a spindle speed (0, 0, -1, 1).
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.errors import BadInput

Dims = tuple[int, int, int, int]

PLAIN: Dims = (0, 0, 0, 0)
LENGTH: Dims = (1, 0, 0, 0)
ANGLE: Dims = (0, 1, 0, 0)
TIME: Dims = (0, 0, 1, 0)
TURNS: Dims = (0, 0, 0, 1)
SPEED: Dims = (1, 0, -1, 0)  # a surface speed and a feed per minute alike
SPIN: Dims = (0, 0, -1, 1)
FEED: Dims = (1, 0, 0, -1)

_KINDS = {
    PLAIN: "a plain number",
    LENGTH: "a length",
    ANGLE: "an angle",
    TIME: "a time",
    TURNS: "a number of turns",
    SPEED: "a speed",
    SPIN: "a spindle speed",
    FEED: "a feed per turn",
    (2, 0, 0, 0): "an area (length times length)",
    (3, 0, 0, 0): "a volume",
    (-1, 0, 0, 0): "a number divided by a length",
}

LARGEST = 1e12  # base units; nothing on a lathe comes near, and no arithmetic below it overflows unseen


def kind(dims: Dims) -> str:
    """The dimension in words."""
    known = _KINDS.get(dims)
    powers = [f"{unit}^{n}" for unit, n in zip(("mm", "rad", "s", "turn"), dims, strict=True) if n]
    return known or f"a value in {' '.join(powers)}"


class Quantity(Struct, frozen=True):
    """value in base units; dims as exponents of (mm, rad, s, turn). Wrong sums and endless values raise BadInput."""

    value: float
    dims: Dims = PLAIN

    def __post_init__(self) -> None:
        if not abs(self.value) < LARGEST:  # catches NaN as well
            raise BadInput("the value is too large to mean anything at a lathe")

    def __add__(self, other: Quantity) -> Quantity:
        return Quantity(self.value + self.same(other, "added").value, self.dims)

    def __sub__(self, other: Quantity) -> Quantity:
        return Quantity(self.value - self.same(other, "subtracted").value, self.dims)

    def __mul__(self, other: Quantity | float) -> Quantity:
        by = _as_quantity(other)
        return Quantity(self.value * by.value, _sum(self.dims, by.dims, 1))

    def __rmul__(self, other: float) -> Quantity:
        return self * other

    def __truediv__(self, other: Quantity | float) -> Quantity:
        by = _as_quantity(other)
        if by.value == 0:
            raise BadInput("a division by zero")
        return Quantity(self.value / by.value, _sum(self.dims, by.dims, -1))

    def __rtruediv__(self, other: float) -> Quantity:
        return Quantity(other) / self

    def __neg__(self) -> Quantity:
        return Quantity(-self.value, self.dims)

    def __pos__(self) -> Quantity:
        return self

    def same(self, other: Quantity, done: str) -> Quantity:
        """`other`, when it has this dimension; else BadInput says what can not be done with the two."""
        if self.dims != other.dims:
            raise BadInput(f"{kind(self.dims)} and {kind(other.dims)} can not be {done}")
        return other


def _as_quantity(value: Quantity | float) -> Quantity:
    return value if isinstance(value, Quantity) else Quantity(value)


def _sum(first: Dims, second: Dims, sign: int) -> Dims:
    a, b, c, d = (x + sign * y for x, y in zip(first, second, strict=True))
    return a, b, c, d


def degrees(value: float) -> Quantity:
    """An angle given in degrees."""
    return Quantity(math.radians(value), ANGLE)
