"""A written value as a formula over operands: `1 3/8"`, `cord + 2*wall`, `min(knot, 1/2 in)`.

Every operand is put aside under a running name, and what is left (`v0 + v1 * v2`) is what the safe evaluator gets to
see: no text of a job ever reaches it, only signs, brackets and our own names.
"""

from __future__ import annotations

import re
from collections.abc import Collection

from toolpath.errors import BadInput
from toolpath.quantity.nearest import nearest
from toolpath.quantity.tokens import CLASS, NOTHING, Token, tokens
from toolpath.quantity.units import UNITS, unit_named
from toolpath.quantity.value import LARGEST, Quantity

Value = Quantity | float  # float: a bare number, whose dimension is not known yet

FUNCTIONS = ("min", "max")


class Parsed:
    """formula: v0, v1, ..., signs and functions; operands: a str is the name of a size; units: as named in the text."""

    __slots__ = ("formula", "operands", "text", "units")

    def __init__(self, text: str) -> None:
        self.text = text
        self.formula: list[str] = []
        self.operands: list[Value | str] = []
        self.units: list[str] = []

    @property
    def names(self) -> set[str]:
        return {one for one in self.operands if isinstance(one, str)}

    def put(self, operand: Value | str) -> None:
        self.formula.append(f"v{len(self.operands)}")
        self.operands.append(operand)


def parse(text: str, known: Collection[str] = ()) -> Parsed:
    """A tidied text as formula and operands. known: names of sizes that may be used. BadInput when it is no value."""
    try:
        return _parse(text, known)
    except BadInput as error:
        raise BadInput(f"'{text}': {error.what}", right=error.right) from None


def _parse(text: str, known: Collection[str]) -> Parsed:
    parsed, found, at = Parsed(text), tokens(text), 0
    while at < len(found):
        token = found[at]
        if token.form == "other":
            raise BadInput(f"the sign '{token.text}' has no meaning in a value")
        if _ends_operand(parsed.formula) and (token.form != "sign" or token.text == "("):
            raise BadInput(f"a sign is missing before '{token.text}'", right="For 2 times wall write '2*wall'")
        if token.form == "number":
            at = _literal(parsed, found, at, known)
            continue
        if token.form == "sign" or (token.text in FUNCTIONS and _at(found, at + 1).text == "("):
            parsed.formula.append(token.text)
        else:
            parsed.put(_name(token.text, known))
        at += 1
    return parsed


def _ends_operand(formula: list[str]) -> bool:
    return bool(formula) and (formula[-1] == ")" or formula[-1].startswith("v"))


def _at(found: list[Token], place: int) -> Token:
    return found[place] if place < len(found) else NOTHING


def _name(word: str, known: Collection[str]) -> str:
    if word in known:
        return word
    if unit_named(word):
        raise BadInput(f"the unit '{word}' has no number before it")
    right = nearest(word, known) if known else "No sizes are named under [sizes]"
    raise BadInput(f"there is no size named '{word}'", right=right)


def _literal(parsed: Parsed, found: list[Token], at: int, known: Collection[str]) -> int:
    """Puts the number at `at` with its unit (`12 mm`, `1 3/8"`, `0.08 mm/rev`); returns the place after it."""
    number, at = _number(found, at)
    word = _at(found, at)
    if word.form != "word" or word.text in known:
        parsed.put(number)
        return at
    unit, named = unit_named(word.text), word.text
    if unit is None:
        raise _unknown_unit(word.text, known)
    if _at(found, at + 1).text == "/" and _at(found, at + 3).text != "(":  # not the function min( )
        below = unit_named(_at(found, at + 2).text)
        if below is not None:
            unit, named, at = unit / below, f"{named}/{_at(found, at + 2).text}", at + 2
    parsed.units.append(named)
    parsed.put(number * unit)
    return at + 1


def _number(found: list[Token], at: int) -> tuple[float, int]:
    """A plain, mixed (`1 3/8`) or broken (`3/8 in`) number; a fraction without a unit is left to be a division."""
    first, second, third, fourth = (_at(found, at + k) for k in range(4))
    if second.form == "number":
        if third.text != "/" or fourth.form != "number":
            raise BadInput("two numbers stand side by side", right="A whole number and a fraction read '1 3/8'")
        if not (first.text + second.text + fourth.text).isdigit() or not 0 < int(second.text) < int(fourth.text):
            raise BadInput(f"{first.text} {second.text}/{fourth.text} is not a whole number and a fraction below one")
        return int(first.text) + int(second.text) / int(fourth.text), at + 4
    number = float(first.text)
    if number >= LARGEST:
        raise BadInput("the number is too large to mean anything at a lathe")
    if second.text == "/" and third.form == "number" and fourth.form == "word" and unit_named(fourth.text):
        if float(third.text) == 0:
            raise BadInput("a division by zero")
        return number / float(third.text), at + 3
    return number, at + 1


def _unknown_unit(word: str, known: Collection[str]) -> BadInput:
    if re.fullmatch(r"[eE]\d+", word):
        return BadInput(f"a number is written out in full here, without '{word}'")
    if CLASS.fullmatch(word):
        return BadInput(f"limits such as '{word}' may stand only at the end of a size")
    return BadInput(f"unknown unit '{word}'", right=nearest(word, [*UNITS, *known]))
