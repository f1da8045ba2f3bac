"""The questions a job reader asks: this value as a length, an angle, a size with limits, a speed, a feed.

Every function takes the value as TOML gave it (a number or a text) and answers in the units of the inside. Keywords:

unit:     the unit of bare lengths, `mm` or `inch`; bare angles are degrees, bare times seconds
names:    the job's sizes, for use in sums and products
positive: refuse zero and below
where:    the key path that a BadInput then carries
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from types import MappingProxyType

from toolpath.errors import BadInput
from toolpath.quantity.evaluation import dressed, evaluate
from toolpath.quantity.expression import Parsed, parse
from toolpath.quantity.limits import DECIMALS, Limits, Size, applied, split
from toolpath.quantity.tokens import tidy
from toolpath.quantity.units import UNITS, length_unit
from toolpath.quantity.value import ANGLE, FEED, LARGEST, LENGTH, PLAIN, SPEED, SPIN, TIME, Dims, Quantity, kind

Names = Mapping[str, Quantity]
NO_NAMES: Names = MappingProxyType({})

_EXAMPLES = {
    LENGTH: "12, '12 mm' or '1/2 in'",
    ANGLE: "30 or '30 deg'",
    TIME: "2, '2 s' or '0.5 min'",
    SPIN: "800 or '800 rpm'",
}

_SPEEDS = "Write a cutting speed as '90 m/min', a spindle speed as '800 rpm'"
_FEEDS = "Write '0.08 mm/rev' or '40 mm/min'"


def length(
    value: object, *, unit: str = "mm", names: Names = NO_NAMES, positive: bool = False, where: str = ""
) -> float:
    """mm."""
    return _one(value, LENGTH, unit=unit, names=names, positive=positive, where=where)


def angle(
    value: object, *, unit: str = "mm", names: Names = NO_NAMES, positive: bool = False, where: str = ""
) -> float:
    """rad; bare numbers are degrees."""
    return _one(value, ANGLE, unit=unit, names=names, positive=positive, where=where)


def duration(
    value: object, *, unit: str = "mm", names: Names = NO_NAMES, positive: bool = False, where: str = ""
) -> float:
    """s."""
    return _one(value, TIME, unit=unit, names=names, positive=positive, where=where)


def rpm(value: object, *, unit: str = "mm", names: Names = NO_NAMES, positive: bool = False, where: str = "") -> float:
    """Turns a minute; bare numbers are that already."""
    return _one(value, SPIN, unit=unit, names=names, positive=positive, where=where) * 60


def size(value: object, *, unit: str = "mm", names: Names = NO_NAMES, positive: bool = False, where: str = "") -> Size:
    """A length that may carry limits: `14 h7`, `14 -0.02/-0.05`, `cord + 2*wall +-0.05`.

    positive: refuse a lower limit of zero and below too.
    """
    with placed(where):
        parsed, limits = read(value, names)
        nominal = _as(parsed, LENGTH, unit=unit, names=names)
        lower, upper = applied(nominal, limits, parsed, unit=unit) if limits else (nominal, nominal)
        text = value.strip() if isinstance(value, str) else parsed.text
        _refuse_negative(text, lower, positive=positive)
        middle = round((lower + upper) / 2, DECIMALS) if limits else nominal
        return Size(value=middle, lower=lower, upper=upper, text=text)


def surface_or_rpm(value: object, *, names: Names = NO_NAMES, where: str = "") -> tuple[str, float]:
    """("surface", m/min) or ("rpm", turns a minute). A bare number is refused, for it could be either."""
    with placed(where):
        quantity = _with_unit(value, names, right=_SPEEDS)
        if quantity.dims == SPEED:
            return "surface", quantity.value * 60 / 1000
        if quantity.dims == SPIN:
            return "rpm", quantity.value * 60
        raise BadInput(f"'{value}' is {kind(quantity.dims)}; a speed was wanted", right=_SPEEDS)


def feed(value: object, *, names: Names = NO_NAMES, where: str = "") -> tuple[str, float]:
    """("per turn", mm) or ("per minute", mm). A bare number is refused, for it could be either."""
    with placed(where):
        quantity = _with_unit(value, names, right=_FEEDS)
        if quantity.dims == FEED:
            return "per turn", quantity.value
        if quantity.dims == SPEED:
            return "per minute", quantity.value * 60
        raise BadInput(f"'{value}' is {kind(quantity.dims)}; a feed was wanted", right=_FEEDS)


@contextmanager
def placed(where: str) -> Iterator[None]:
    """Fills the key path into a BadInput raised inside."""
    try:
        yield
    except BadInput as error:
        raise error.at(where=where) from None


def read(value: object, names: Collection[str]) -> tuple[Parsed, Limits | None]:
    """What TOML gave, made ready: the nominal value and its limits. names: sizes that may be used."""
    if isinstance(value, str):
        nominal, limits = split(tidy(value))
        return parse(nominal, names), limits
    if isinstance(value, bool) or not isinstance(value, int | float):
        shown = str(value).lower() if isinstance(value, bool) else str(value)[:40]
        raise BadInput(f"{shown or 'nothing'} is neither a number nor a text")
    if value != value:
        raise BadInput("'nan' is not a number")
    if not abs(value) < LARGEST:
        raise BadInput("the number is too large to mean anything at a lathe")
    parsed = Parsed(f"{value:g}")
    parsed.put(float(value))
    return parsed, None


@cache
def bare_units(unit: str) -> Mapping[Dims, float]:
    """Base units that one bare number stands for, by dimension. unit: that of bare lengths."""
    return {LENGTH: length_unit(unit).value, ANGLE: UNITS["deg"].value, TIME: 1.0, SPIN: UNITS["rpm"].value, PLAIN: 1.0}


def _one(value: object, dims: Dims, *, unit: str, names: Names, positive: bool, where: str) -> float:
    with placed(where):
        parsed, limits = read(value, names)
        if limits:
            raise BadInput(f"'{value}': limits have no meaning here", right=f"Write {kind(dims)} alone")
        answer = _as(parsed, dims, unit=unit, names=names)
        _refuse_negative(parsed.text, answer, positive=positive)
        return answer


def _as(parsed: Parsed, dims: Dims, *, unit: str, names: Names) -> float:
    """The value in base units of the wanted dimension."""
    bare = bare_units(unit)
    answer = evaluate(parsed, names=names, bare=bare)
    quantity = answer if isinstance(answer, Quantity) else dressed(answer, dims, bare)
    if quantity.dims != dims:
        what = f"'{parsed.text}' is {kind(quantity.dims)}; {kind(dims)} was wanted"
        raise BadInput(what, right=f"Write {_EXAMPLES[dims]}")
    return quantity.value


def _with_unit(value: object, names: Names, *, right: str) -> Quantity:
    parsed, limits = read(value, names)
    answer = evaluate(parsed, names=names, bare={})
    if limits or not isinstance(answer, Quantity):
        raise BadInput(f"'{value}' does not say what it counts", right=right)
    if answer.value <= 0:
        raise BadInput(f"'{value}' has to be larger than 0")
    return answer


def _refuse_negative(text: str, answer: float, *, positive: bool) -> None:
    if positive and not answer > 0:
        raise BadInput(f"'{text}' has to be larger than 0")
