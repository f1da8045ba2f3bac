"""Centre drills by the size stamped on them: `A2`, `A2x5`, `B2.5`, `#3`, `BS4`."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.quantity import nearest


class CentreDrill(Struct, frozen=True):
    """Lengths in mm, angles in rad.

    pilot, pilot_length: its thin end, point included; point: included angle of that end
    cone:  included angle of the seat; body: diameter behind it
    guard: (diameter, included angle) of the second cone of type B, else (0, 0)
    seat:  diameter to which a seat of type A opens in the face, 0 where that is not known
    """

    name: str
    pilot: float
    pilot_length: float
    point: float
    cone: float
    body: float
    guard: tuple[float, float] = (0.0, 0.0)
    seat: float = 0.0

    @property
    def mouth(self) -> float:
        """Greatest diameter of the seat."""
        return self.guard[0] or self.body


def centre_drill(size: str) -> CentreDrill:
    """The centre drill of this size; BadInput with the nearest for none, and for type R."""
    table = _table()
    name, _, body = size.upper().replace(" ", "").partition("X")
    if name.startswith("R"):
        raise BadInput(f"'{size}': the curved seat of type R is not known", right="Types A and B are")
    row = table["size"].get(name)
    if row is None or (body and body != f"{row['body']:g}"):
        raise BadInput(f"there is no centre drill '{size}'", right=_nearest(name, table["size"]))
    guard = row.get("guard")
    return CentreDrill(
        name=name,
        pilot=row["pilot"],
        pilot_length=row["length"],
        point=math.radians(table["point"]),
        cone=math.radians(table["cone"]),
        body=row["body"],
        guard=(guard["dia"], math.radians(guard["angle"])) if guard else (0.0, 0.0),
        seat=row.get("seat", 0.0),
    )


def _nearest(name: str, known: dict[str, Any]) -> str:
    """Of the type that was meant, the one whose pilot is nearest."""
    try:
        pilot = float(name[1:])
    except ValueError:
        pilot = 0.0
    alike = [n for n, row in known.items() if name[:1] in ("A", "B") and n[:1] == name[:1] and n[1:2].isdigit()]
    if pilot and alike:
        return f"Did you mean '{min(alike, key=lambda n: abs(known[n]['pilot'] - pilot))}'?"
    return nearest(name, known) or f"Known are {', '.join(n for n in known if n[0] == 'A')}"


@cache
def _table() -> dict[str, Any]:
    with Path(__file__).with_name("centre-drills.toml").open("rb") as file:
        return tomllib.load(file)
