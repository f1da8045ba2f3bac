"""A figure and why it is what it is; the tightest of several bounds."""

from __future__ import annotations

from msgspec import Struct


class Figure(Struct, frozen=True):
    """value: in the unit of its field; because: the bound that decided it, in words."""

    value: float
    because: str


def least(*bounds: Figure | None) -> Figure:
    """The tightest of several upper bounds; the first of equals. None is a bound that does not apply."""
    return min((b for b in bounds if b is not None), key=lambda b: b.value)


def greatest(*bounds: Figure | None) -> Figure:
    """The tightest of several lower bounds; the first of equals."""
    return max((b for b in bounds if b is not None), key=lambda b: b.value)
