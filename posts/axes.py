"""Where the point stands while a program is read, and how its axis words move it.

Nothing is assumed: units, X as diameter or radius, absolute or incremental, and the position itself must have been
stated before a word may depend on them, for what a control holds at power-up depends on what ran before.
"""

from __future__ import annotations

import math

from msgspec import Struct, field

from posts.block import AXES, INCREMENTS, Block
from posts.dialect import Numbers
from posts.lexer import Word, fault
from toolpath.motion import Point

INCH = 25.4


class Axes(Struct):
    """scale: mm in one unit, 0 while no unit is stated. at: (z, x) in mm, NaN where never stated.

    stated: the axes whose place is certain; a change of tool or offset makes both uncertain.
    increments: U and W are increments along X and Z; pointed: a length without a point is not certain.
    """

    diameter: bool | None = None
    absolute: bool | None = None
    scale: float = 0.0
    at: Point = (math.nan, math.nan)
    stated: set[str] = field(default_factory=set)
    increments: bool = False
    pointed: bool = False

    def set_modes(self, block: Block) -> None:
        """Units, X mode and distance mode named in the block."""
        for meaning, scale in (("inch", INCH), ("millimetre", 1.0)):
            if meaning in block.codes:
                self.scale = scale
        for meaning, diameter in (("diameter", True), ("radius", False)):
            if meaning in block.codes:
                self.diameter = diameter
        for meaning, absolute in (("absolute", True), ("incremental", False)):
            if meaning in block.codes:
                self.absolute = absolute

    def length(self, word: Word) -> float:
        """The word's length in mm; BadInput while no unit is stated."""
        self.refuse_unitless(word)
        if self.pointed and word.value and "." not in word.digits:
            right = f"Write {word}.0: without a point some controls count last digits"
            raise fault(word.column, f"{word} has no decimal point", right)
        return word.value * self.scale

    def refuse_unitless(self, word: Word) -> None:
        """BadInput while no unit is stated."""
        if not self.scale:
            right = "State the unit in a block before it: F and S are read ahead of a unit beside them"
            raise fault(word.column, f"{word} stands before inch or millimetre is stated", right)

    def target(self, block: Block, numbers: Numbers) -> Point:
        """Where the block's axis words lead, (z, x) in mm; the axes it names count as stated from here on."""
        place = dict(zip("ZX", self.at, strict=True))
        for letter in AXES:
            if found := self._word(block, letter):
                word, increment = found
                place[letter] = self._along(letter, word, increment)
                printed = 2.0 if letter == "X" and self.diameter else 1.0
                if abs(place[letter]) * printed > numbers.greatest * self.scale:
                    raise fault(word.column, f"{word} leads beyond {numbers.greatest:g}, where no lathe reaches")
        return (place["Z"], place["X"])

    def _word(self, block: Block, letter: str) -> tuple[Word, bool] | None:
        """The word that moves along X or Z, and whether it is an increment by itself."""
        place, step = block.words.get(letter), block.words.get(INCREMENTS[letter]) if self.increments else None
        if place and step:
            raise fault(step.column, f"{step} and {place} lead along one axis", "One of them says where the move ends")
        if step:
            return step, True
        return (place, False) if place else None

    def _along(self, letter: str, word: Word, increment: bool) -> float:
        value = self.length(word)
        if letter == "X":
            if self.diameter is None:
                raise fault(word.column, f"{word} stands before X is stated to be a diameter or a radius")
            value = value / 2.0 if self.diameter else value
        if self.absolute is None:
            raise fault(word.column, f"{word} stands before absolute or incremental is stated")
        if self.absolute and not increment:
            return value
        if letter not in self.stated:
            raise fault(word.column, f"{word} is an increment, but where {letter} starts is not stated")
        return self.at["ZX".index(letter)] + value
