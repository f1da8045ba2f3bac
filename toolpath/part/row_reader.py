"""One row of the job file, word by word, as lengths, angles and choices; every mistake with its key path."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

from toolpath import quantity
from toolpath.errors import BadInput

Names = Mapping[str, quantity.Quantity]
NO_NAMES: Names = MappingProxyType({})

REACH = ("to", "length")


class RowReader(Struct, frozen=True):
    """Values of one row by their word, None where it is not written. Lengths are more than 0; a `dia` may be 0."""

    row: Mapping[str, object]
    where: str
    unit: str
    names: Names

    def length(self, word: str) -> float | None:
        return self.sure(word) if word in self.row else None

    def sure(self, word: str) -> float:
        return quantity.length(
            self.row[word], unit=self.unit, names=self.names, positive=True, where=f"{self.where}.{word}"
        )

    def size(self, word: str) -> quantity.Size:
        return quantity.size(
            self.row[word], unit=self.unit, names=self.names, positive=True, where=f"{self.where}.{word}"
        )

    def dia(self, word: str) -> float | None:
        """A diameter at the end of a surface: the middle of its limits if it has some, 0 on the axis."""
        if word not in self.row:
            return None
        place = f"{self.where}.{word}"
        value = quantity.size(self.row[word], unit=self.unit, names=self.names, where=place).value
        if value < 0.0:
            raise BadInput(f"a diameter can not be {value:g} mm", where=place, right="0 is a point on the axis")
        return value

    def angle(self, word: str, below: float) -> float | None:
        """rad; between 0 and `below` degrees, neither included."""
        if word not in self.row:
            return None
        place = f"{self.where}.{word}"
        value = quantity.angle(self.row[word], unit=self.unit, names=self.names, where=place)
        if not 0.0 < math.degrees(value) < below - 1e-9:
            raise BadInput(
                f"{math.degrees(value):g}° is no {word.replace('_', ' ')}",
                where=place,
                right=f"It lies between 0° and {below:g}°",
            )
        return value

    def walls(self, first: str, second: str) -> tuple[float | None, float | None, float | None]:
        """The angle of both walls of a groove, or that of each, rad."""
        both, one, other = self.angle("wall_angle", 90.0), self.angle(first, 90.0), self.angle(second, 90.0)
        if both is not None and (one is not None or other is not None):
            raise BadInput(
                "wall_angle is that of both walls",
                where=f"{self.where}.wall_angle",
                right=f"Write it alone, or {first.split('_')[0]}_ and {second}",
            )
        return both, one, other

    def must(self, word: str) -> None:
        if word not in self.row:
            raise BadInput(f"nothing says its {word}", where=self.where, right=f"Write {word}")

    def flag(self, word: str) -> bool:
        value = self.row.get(word, False)
        if value is not True and word in self.row:
            raise BadInput(
                f"{word} is a plain yes, not {value!r}",
                where=f"{self.where}.{word}",
                right=f"Write {word} = true, or leave it out",
            )
        return value is True

    def choice(self, word: str, words: tuple[str, ...]) -> str:
        value = self.row.get(word, "")
        if value not in words and word in self.row:
            raise BadInput(
                f"{word} can not be {value!r}", where=f"{self.where}.{word}", right=f"It is {' or '.join(words)}"
            )
        return str(value)

    def goes(self) -> bool | None:
        word = self.choice("goes", ("rising", "falling"))
        return word == "rising" if word else None

    def reach(self) -> dict[str, float | None]:
        return {w: self.length(w) for w in REACH if w in self.row}
