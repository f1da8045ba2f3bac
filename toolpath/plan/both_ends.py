"""What several holdings do to a part: which surface is cut in which, and how far out of true to each other they are.

All that is cut in one holding is true to the spindle's axis, however the hold runs. What is cut in the next lies off it
by half of what the dial would read there, the run-out of that hold: so much comes off a wall between the two on one
side, and so much is the step where their surfaces meet. From holding to holding this adds up, at the most; two between
centres run on the same centre holes.
"""

from __future__ import annotations

from itertools import combinations

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Element, Point
from toolpath.part.halfsection import HalfSection, Surface
from toolpath.part.walls import Pair, Wall, least_wall
from toolpath.plan.stretches import stretches
from toolpath.shop.holding import Holding, way

SAME = 1e-9


class Cuts(Struct, frozen=True):
    """A part and the holdings that cut it. spans: stretches of the outside that they turn, from the front face, mm"""

    part: HalfSection
    holdings: tuple[Holding, ...]
    spans: tuple[tuple[float, float], ...]

    @property
    def off(self) -> float:
        """How far what any two holdings cut may lie off each other at the most, mm."""
        pairs = combinations(range(1, len(self.holdings) + 1), 2)
        return max((self.apart(i, j) for i, j in pairs), default=0.0)

    def apart(self, one: int, other: int) -> float:
        """How far what two holdings cut may lie off each other, mm; holdings by number, from 1."""
        first, last = sorted((one, other))
        if first == last:
            return 0.0
        read = [way(h.kind).run_out / 2.0 for h in self.holdings]
        if self.holdings[first - 1].kind == self.holdings[last - 1].kind == "centres":
            return read[first - 1] + read[last - 1]
        return sum(read[1:last])

    def holding_of(self, e: Element, surface: Surface) -> int:
        """Number of the holding in which a surface is cut, from 1."""
        if any(e is f for f in self.part.inside):
            return self._first("front")
        if any(e is f for f in self.part.inside_back):
            return self._first("back")
        middle = -(e.a[0] + e.b[0]) / 2.0
        there = [k for k, (a, b) in enumerate(self.spans, start=1) if b - a > SAME and a - SAME <= middle <= b + SAME]
        if len(there) < 2:
            return there[0] if there else self._first("front")
        # A wall on a border is cut from the side that it looks at.
        return min(there, key=lambda k: self.spans[k - 1][0] if e.b[1] > e.a[1] else -self.spans[k - 1][0])

    def _first(self, end: str) -> int:
        """The first holding with that end at the tools: it makes what is hollow there."""
        return next((k for k, h in enumerate(self.holdings, start=1) if h.end == end), 1)

    @property
    def wall(self) -> tuple[Wall, float] | None:
        """The wall, as drawn, that run-out may leave the thinnest, and how much that takes, mm; None where there is
        none between surfaces that are cut in different holdings."""
        found = []
        for pair in combinations(range(1, len(self.holdings) + 1), 2):

            def counts(a: Pair, b: Pair, pair: tuple[int, int] = pair) -> bool:
                return tuple(sorted((self.holding_of(*a), self.holding_of(*b)))) == pair

            wall = least_wall(self.part, counts=counts)
            if wall is not None:
                found.append((wall, self.apart(*pair)))
        return min(found, key=lambda f: f[0].thick - f[1], default=None)

    @property
    def meeting(self) -> Point | None:
        """Where the holes from the two ends meet, (z, x); None where they do not."""
        a, b = self.part.inside, self.part.inside_back
        return a[-1].b if a and b and a[-1].b == b[-1].b and a[-1].b[1] > SAME else None

    @property
    def step(self) -> float:
        """Of the holes there, mm at the most."""
        return self.apart(self._first("front"), self._first("back"))

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


def both_ends(part: HalfSection, holdings: tuple[Holding, ...]) -> Cuts | None:
    """The part as its holdings cut it; None when there is one, or they are such as no plan takes."""
    if len(holdings) < 2:
        return None
    try:
        turned = stretches(part, holdings)
    except CannotMake:
        return None  # told with its set-up when that is planned
    spans = (
        (a, b) if h.end == "front" else (part.length - b, part.length - a)
        for h, (a, b) in zip(holdings, turned, strict=True)
    )
    return Cuts(part, holdings, tuple(spans))
