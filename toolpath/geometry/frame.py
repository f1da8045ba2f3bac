"""Approach frames: the plane turned so that the tool always comes down along -v and feeds towards -u.

    outside  (u, v) = ( z,  x)      inside  (u, v) = ( z, -x)      face  (u, v) = (x,  z)

and the same three mirrored in u for a tool that feeds the other way. Every frame is its own inverse but for the
mirrored face, so the map back is kept beside it.
"""

from __future__ import annotations

from msgspec import Struct

from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, reverse


class Frame(Struct, frozen=True):
    """A map (z, x) -> (u, v) = (a z + b x, c z + d x) with entries -1, 0, 1."""

    name: str
    a: int
    b: int
    c: int
    d: int

    @property
    def flips(self) -> bool:
        """True when the map is a reflection: counter-clockwise becomes clockwise."""
        return self.a * self.d - self.b * self.c < 0

    def point(self, p: Point) -> Point:
        return (self.a * p[0] + self.b * p[1], self.c * p[0] + self.d * p[1])

    def element(self, e: Element) -> Element:
        if isinstance(e, Line):
            return Line(self.point(e.a), self.point(e.b))
        return Arc(self.point(e.a), self.point(e.b), self.point(e.centre), -e.sweep if self.flips else e.sweep)

    def chain(self, chain: Chain) -> Chain:
        return tuple(self.element(e) for e in chain)

    def outline(self, chain: Chain) -> Chain:
        """A counter-clockwise outline, counter-clockwise again after the map."""
        mapped = self.chain(chain)
        return reverse(mapped) if self.flips else mapped

    @property
    def back(self) -> Frame:
        """The frame that maps (u, v) back to (z, x)."""
        # The entries are -1, 0, 1 and the map keeps lengths, so the inverse is the transpose.
        return Frame(self.name, self.a, self.c, self.b, self.d)

    def mirrored(self) -> Frame:
        """The same approach for a tool that feeds the other way."""
        return Frame(f"{self.name}, fed the other way", -self.a, -self.b, self.c, self.d)


OUTSIDE = Frame("outside", 1, 0, 0, 1)
INSIDE = Frame("inside", 1, 0, 0, -1)
FACE = Frame("face", 0, 1, 1, 0)
TURNED_OVER = Frame("turned over", 1, 0, 0, -1)
