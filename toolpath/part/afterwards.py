"""What becomes of a surface after it was turned: plating and anodising add to it, polishing takes off."""

from __future__ import annotations

from msgspec import Struct

from toolpath.part.component import Limits

KINDS = {"plating": 1.0, "anodise": 1.0, "polish": -1.0}
SIDES = ("inside", "outside", "both")


class Afterwards(Struct, frozen=True):
    """kind: of `KINDS`; a_side: mm on one surface, more than 0; within: how far off that may be; on: of `SIDES`."""

    kind: str
    a_side: float
    within: float
    on: str

    @property
    def grows(self) -> float:
        """By how much a surface comes out of the metal, mm; less than 0 where it goes back."""
        return KINDS[self.kind] * self.a_side


def after(cut: Limits, what: tuple[Afterwards, ...]) -> Limits:
    """The limits of a hole of these limits when all this was done to it."""
    done = [a for a in what if a.on != "outside"]
    change = -2.0 * sum(a.grows for a in done)
    spread = 2.0 * sum(a.within for a in done)
    return Limits(cut.smallest + change - spread, cut.largest + change + spread)


def outside_change(what: tuple[Afterwards, ...]) -> float:
    """What all this adds to an outside radius, mm; less than 0 where it takes off."""
    return sum(a.grows for a in what if a.on != "inside")
