"""Limits as on a drawing: `14 -0.02/-0.05`, `14 +0.03/0`, `14 h7`, `cord + 2*wall +-0.05`, `0.5 in +-0.001`."""

from __future__ import annotations

import re
from typing import NamedTuple

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.quantity import iso286
from toolpath.quantity.evaluation import evaluate
from toolpath.quantity.expression import Parsed, parse
from toolpath.quantity.tokens import CLASS, tokens
from toolpath.quantity.units import is_length, length_unit
from toolpath.quantity.value import LENGTH, Quantity, kind

DECIMALS = 9  # of a mm: a limit of 0.0001 in is exact, the noise of adding floats is gone

# Patterns are texts, compiled (and kept by `re`) when the first limits are read: most runs read none.
_NUMBER = r"(?:\d+\.?\d*|\.\d+)"
_UNIT = r'(?:[A-Za-z]+|")'
_PLUS_MINUS = r"\+/-|\+-|\u00b1"
_ALONE = rf"{_NUMBER}(?:\s+\d+/\d+|/\d+)?\s*{_UNIT}?"
# Upper and lower: both signed, or one of them a bare 0, which no sum would divide by or begin with.
_PAIR = (
    rf"(?P<upper>[+-]\s*{_NUMBER}|(?<=\s)0(?:\.0*)?)\s*(?P<unit>{_UNIT})?\s*/\s*"
    rf"(?P<lower>[+-]\s*{_NUMBER}|0(?:\.0*)?)\s*(?P<lower_unit>{_UNIT})?$"
)
# A signed number over an unsigned one is limits with a sign forgotten, or 1-3/8, or a sum: it reads two ways.
_TWO_WAYS = rf"(?P<nominal>.*\S)(?P<space>\s*)[+-]{_NUMBER}\s*/\s*{_NUMBER}\s*{_UNIT}?"


class Size(Struct, frozen=True):
    """A size with its limits, all in mm; without limits the three are the same.

    value: the middle of the limits, which is what is cut; text: as written.
    """

    value: float
    lower: float
    upper: float
    text: str

    @property
    def toleranced(self) -> bool:
        return self.lower < self.upper


class Limits(NamedTuple):
    """What stands behind a nominal size: a class (`h7`), or the texts of upper and lower deviation."""

    tolerance_class: str = ""
    upper: str = ""
    lower: str = ""


def split(text: str) -> tuple[str, Limits | None]:
    """A tidied text as the text of its nominal value and its limits, None when it has none."""
    if found := re.search(_PLUS_MINUS, text):
        width = text[found.end() :].strip()
        if not re.fullmatch(_ALONE, width):
            raise BadInput(f"'{text}': after +- stands one plain width without a sign", right="Write '14 +-0.05'")
        return _nominal(text, found.start()), Limits(upper=f"+{width}", lower=f"-{width}")
    if "/" in text and (found := re.search(_PAIR, text)):
        upper, lower, unit, lower_unit = found.group("upper", "lower", "unit", "lower_unit")
        limits = Limits(upper=f"{upper} {unit or lower_unit or ''}", lower=f"{lower} {lower_unit or unit or ''}")
        return _nominal(text, found.start()), limits
    if "/" in text:
        _refuse_two_readings(text)
    *before, last = tokens(text)
    behind_value = before and (before[-1].form != "sign" or before[-1].text == ")")
    if behind_value and last.form == "word" and CLASS.fullmatch(last.text):
        return _nominal(text, last.start), Limits(tolerance_class=last.text)
    return text, None


def applied(nominal: float, limits: Limits, parsed: Parsed, *, unit: str) -> tuple[float, float]:
    """(lower, upper) size in mm. Bare limits take the unit the nominal names, else the default `unit`."""
    if limits.tolerance_class:
        letters, grade = CLASS.fullmatch(limits.tolerance_class).groups()  # type: ignore[union-attr]
        below, above = iso286.deviations(nominal, letters, int(grade))
    else:
        below, above = (_deviation(text, parsed, unit) for text in (limits.lower, limits.upper))
    if not below < above:
        raise BadInput(f"the upper limit {above:+g} mm does not lie above the lower {below:+g} mm")
    return round(nominal + below, DECIMALS), round(nominal + above, DECIMALS)


def _unit_of_limits(parsed: Parsed, unit: str) -> str:
    named = {length_unit(word).value: word for word in parsed.units if is_length(word)}
    if len(named) > 1:
        words = " and ".join(named.values())
        raise BadInput(f"the size is written in {words}, so its limits need a unit: '+-0.05 mm'")
    return next(iter(named.values()), unit)


def _deviation(text: str, size: Parsed, unit: str) -> float:
    value = evaluate(parse(text.strip()), names={}, bare={})
    if not isinstance(value, Quantity):
        return value * length_unit(_unit_of_limits(size, unit)).value
    if value.dims != LENGTH:
        raise BadInput(f"the limit '{text.strip()}' is {kind(value.dims)}; a length was wanted")
    return value.value


def _nominal(text: str, end: int) -> str:
    nominal = text[:end].strip()
    if not nominal:
        raise BadInput(f"'{text}' are limits without a size", right="Write the size first: '14 -0.02/-0.05'")
    return nominal


def _refuse_two_readings(text: str) -> None:
    found = re.fullmatch(_TWO_WAYS, text)
    if found and (found["space"] or re.fullmatch(_ALONE, found["nominal"])):
        raise BadInput(
            f"'{text}' reads two ways",
            right="Limits each have a sign (-0.02/-0.05, +0.03/0), fractions read '1 3/8', sums have spaces: 20 - 4/2",
        )
