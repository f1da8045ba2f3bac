"""Single values out of a rack's or machine's row: lengths, angles and words, each error naming its key."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import ParamSpec, TypeVar

from toolpath.errors import BadInput
from toolpath.quantity import angle, length, nearest

P = ParamSpec("P")
T = TypeVar("T")

SHARP = 1e-6  # mm: a smaller radius is none
SMALLEST, LARGEST = 1e-3, 1000.0  # mm: nothing in a rack has a size outside these


def at(where: str, make: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """make(...), with `where` filled into a BadInput that has no place yet."""
    try:
        return make(*args, **kwargs)
    except BadInput as error:
        raise error.at(where=where) from None


@contextmanager
def within(where: str) -> Iterator[None]:
    """Puts the place of a table before the key that a BadInput raised inside names."""
    try:
        yield
    except BadInput as error:
        inner = f"{where}.{error.where}" if error.where else where
        raise BadInput(error.what, where=inner, right=error.right) from None


def size(
    value: object,
    where: str,
    *,
    unit: str = "mm",
    least: float = SMALLEST,
    default: float | None = None,
    assumed: list[str] | None = None,
) -> float:
    """A length in mm between `least` and 1 m; the default, noted in `assumed`, when the row does not say it."""
    if value is None and default is not None:
        if assumed is not None:
            assumed.append(f"{where} {default:.4g} mm")
        return default
    mm = at(where, length, value, unit=unit)
    if not least <= mm <= LARGEST:
        raise BadInput(
            f"{mm:g} mm is no {where.replace('_', ' ')}", where=where, right=f"{least:g} to {LARGEST:g} mm are possible"
        )
    return mm if mm > SHARP else 0.0


def degrees_of(value: object, where: str, *, least: float, most: float) -> float:
    """An angle in rad; `least` and `most` in degrees."""
    rad = at(where, angle, value)
    if not math.radians(least) <= rad <= math.radians(most):
        raise BadInput(
            f"{math.degrees(rad):g} deg is no {where.replace('_', ' ')} angle",
            where=where,
            right=f"{least:g} to {most:g} deg are possible",
        )
    return rad


def word(value: str, known: Iterable[str], where: str) -> str:
    """The value itself when it is one of the known words."""
    words = tuple(known)
    if value not in words:
        raise BadInput(f"'{value}' is not known as {where.replace('_', ' ')}", where=where, right=nearest(value, words))
    return value
