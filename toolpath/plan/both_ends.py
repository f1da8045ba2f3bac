"""What two holdings do to a part: which surface is cut in which, and how far the two are out of true to each other.

All that is cut in one holding is true to the spindle's axis, however the hold runs. What is cut in the next lies off it
by half of what the dial would read there, the run-out of that hold: so much comes off a wall between the two on one
side, and so much is the step where their surfaces meet.
"""

from __future__ import annotations

from msgspec import Struct

from toolpath.geometry.elements import Chain, Element, Point
from toolpath.part.halfsection import HalfSection, Surface
from toolpath.part.walls import Pair, Wall, least_wall
from toolpath.plan.stretches import turned_from_end
from toolpath.shop.holding import Holding, way

SAME = 1e-9


class BothEnds(Struct, frozen=True):
    """A part cut from its two ends.

    off:    how far what the second holding cuts lies off the axis of the first, mm
    border: z, from the front face, where the outside of one holding meets that of the other
    front:  number of the holding, 1 or 2, whose end is the front
    """

    part: HalfSection
    off: float
    border: float
    front: int

    def holding_of(self, e: Element, surface: Surface) -> int:
        """Number of the holding in which a surface is cut, 1 or 2."""
        if any(e is f for f in self.part.inside):
            return self.front
        if any(e is f for f in self.part.inside_back):
            return 3 - self.front
        middle = (e.a[0] + e.b[0]) / 2.0
        if abs(middle - self.border) <= SAME:  # a wall there is cut from the side that it looks at
            return self.front if e.b[1] > e.a[1] else 3 - self.front
        return self.front if middle > self.border else 3 - self.front

    @property
    def wall(self) -> Wall | None:
        """The thinnest wall between surfaces that are cut in different holdings, as drawn; None where there is none."""

        def counts(a: Pair, b: Pair) -> bool:
            return self.holding_of(*a) != self.holding_of(*b)

        return least_wall(self.part, counts=counts)

    @property
    def meeting(self) -> Point | None:
        """Where the holes from the two ends meet, (z, x); None where they do not."""
        a, b = self.part.inside, self.part.inside_back
        return a[-1].b if a and b and a[-1].b == b[-1].b else None

    def named(self, place: str) -> int | None:
        """Number of the holding that cuts a row, as `outside[2]`; None where no surface comes from it.

        Of a row with its shoulder it is the surface that counts.
        """
        rows = [(e, s) for e, s in self._surfaces() if s.row is not None and s.place("part") == f"part.{place}"]
        return self.holding_of(*max(rows, key=lambda p: abs(p[0].b[0] - p[0].a[0]))) if rows else None

    def _surfaces(self) -> list[Pair]:
        p = self.part
        chains: tuple[tuple[Chain, tuple[Surface, ...]], ...] = (
            (p.outside, p.surfaces),
            (p.inside, p.inside_surfaces),
            (p.inside_back, p.inside_back_surfaces),
        )
        return [pair for chain, surfaces in chains for pair in zip(chain, surfaces, strict=True)]


def both_ends(part: HalfSection, holdings: tuple[Holding, ...]) -> BothEnds | None:
    """The part as two holdings cut it; None when it is cut in one, or in holdings that no plan takes."""
    if len(holdings) != 2 or holdings[0].end == holdings[1].end:
        return None
    if any(h.turn_to is not None and not 0.0 < h.turn_to <= part.length for h in holdings):
        return None
    front = 1 if holdings[0].end == "front" else 2
    return BothEnds(part, way(holdings[1].kind).run_out / 2.0, -turned_from_end(part, holdings, front), front)
