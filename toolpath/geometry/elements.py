"""Line and arc: frozen values with one small set of verbs.

Lengths in millimetres, angles in radians; points are pairs of floats. An arc stores its end points as given (they
are never recomputed from centre and angle) and its signed sweep, counter-clockwise positive, so that direction
survives. Full turns are not elements: split them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from msgspec import Struct

Point = tuple[float, float]
TURN = 2.0 * math.pi


class Line(Struct, frozen=True):
    """From `a` to `b`."""

    a: Point
    b: Point

    @property
    def length(self) -> float:
        return math.hypot(self.b[0] - self.a[0], self.b[1] - self.a[1])

    def point_at(self, t: float) -> Point:
        """Point at parameter t, 0 at `a`, 1 at `b`; the ends are exact."""
        if t <= 0.0:
            return self.a
        if t >= 1.0:
            return self.b
        return (self.a[0] + t * (self.b[0] - self.a[0]), self.a[1] + t * (self.b[1] - self.a[1]))

    def tangent_at(self, t: float) -> Point:
        """Unit direction of travel (the same for every t)."""
        n = self.length or 1.0
        return ((self.b[0] - self.a[0]) / n, (self.b[1] - self.a[1]) / n)

    def part(self, t0: float, t1: float) -> Line:
        """The stretch from parameter t0 to t1."""
        return Line(self.point_at(t0), self.point_at(t1))

    def reversed(self) -> Line:
        return Line(self.b, self.a)

    def parameter_of(self, p: Point) -> float:
        """Parameter of the point of the whole line nearest to p (may lie outside 0..1)."""
        dx, dy = self.b[0] - self.a[0], self.b[1] - self.a[1]
        n = dx * dx + dy * dy
        return ((p[0] - self.a[0]) * dx + (p[1] - self.a[1]) * dy) / n if n else 0.0

    def distance(self, p: Point) -> float:
        """Distance from p to this stretch, >= 0."""
        return math.dist(self.point_at(self.parameter_of(p)), p)

    def bounds(self) -> tuple[float, float, float, float]:
        """(least first, least second, greatest first, greatest second)."""
        return (
            min(self.a[0], self.b[0]),
            min(self.a[1], self.b[1]),
            max(self.a[0], self.b[0]),
            max(self.a[1], self.b[1]),
        )

    def moved(self, d: Point) -> Line:
        return Line((self.a[0] + d[0], self.a[1] + d[1]), (self.b[0] + d[0], self.b[1] + d[1]))

    def flattened(self, tolerance: float, *, outside: bool = False) -> list[Point]:
        """End points after `a` of chords along the element: just `b`."""
        return [self.b]


class Arc(Struct, frozen=True):
    """From `a` to `b` about `centre`, turning through `sweep` radians (counter-clockwise positive, |sweep| < 2 pi)."""

    a: Point
    b: Point
    centre: Point
    sweep: float

    @property
    def radius(self) -> float:
        return math.hypot(self.a[0] - self.centre[0], self.a[1] - self.centre[1])

    @property
    def start_angle(self) -> float:
        return math.atan2(self.a[1] - self.centre[1], self.a[0] - self.centre[0])

    @property
    def length(self) -> float:
        return self.radius * abs(self.sweep)

    def point_at(self, t: float) -> Point:
        """Point at parameter t, 0 at `a`, 1 at `b`, even in angle; the ends are exact."""
        if t <= 0.0:
            return self.a
        if t >= 1.0:
            return self.b
        w, r = self.start_angle + t * self.sweep, self.radius
        return (self.centre[0] + r * math.cos(w), self.centre[1] + r * math.sin(w))

    def tangent_at(self, t: float) -> Point:
        """Unit direction of travel at parameter t."""
        w, s = self.start_angle + t * self.sweep, math.copysign(1.0, self.sweep)
        return (-s * math.sin(w), s * math.cos(w))

    def part(self, t0: float, t1: float) -> Arc:
        """The stretch from parameter t0 to t1."""
        turned = min(1.0, max(0.0, t1)) - min(1.0, max(0.0, t0))
        return Arc(self.point_at(t0), self.point_at(t1), self.centre, turned * self.sweep)

    def reversed(self) -> Arc:
        return Arc(self.b, self.a, self.centre, -self.sweep)

    def parameter_of(self, p: Point) -> float:
        """Parameter of the direction of p seen from the centre; outside 0..1 when the arc does not face p."""
        w = math.atan2(p[1] - self.centre[1], p[0] - self.centre[0]) - self.start_angle
        w = math.remainder(w - self.sweep / 2.0, TURN) + self.sweep / 2.0
        return w / self.sweep if self.sweep else 0.0

    def distance(self, p: Point) -> float:
        """Distance from p to this stretch, >= 0."""
        if 0.0 <= self.parameter_of(p) <= 1.0:
            return abs(math.dist(p, self.centre) - self.radius)
        return min(math.dist(p, self.a), math.dist(p, self.b))

    def bounds(self) -> tuple[float, float, float, float]:
        """(least first, least second, greatest first, greatest second)."""
        xs, ys = [self.a[0], self.b[0]], [self.a[1], self.b[1]]
        r = self.radius
        for k in range(4):
            p = (self.centre[0] + r * (1, 0, -1, 0)[k], self.centre[1] + r * (0, 1, 0, -1)[k])
            if 0.0 < self.parameter_of(p) < 1.0:
                xs.append(p[0])
                ys.append(p[1])
        return (min(xs), min(ys), max(xs), max(ys))

    def moved(self, d: Point) -> Arc:
        return Arc(
            (self.a[0] + d[0], self.a[1] + d[1]),
            (self.b[0] + d[0], self.b[1] + d[1]),
            (self.centre[0] + d[0], self.centre[1] + d[1]),
            self.sweep,
        )

    def flattened(self, tolerance: float, *, outside: bool = False) -> list[Point]:
        """End points after `a` of a broken line along the arc, never farther from it than `tolerance` (mm).

        outside False: vertices on the arc (chords inside the circle). outside True: a run of tangents around the
        circle; its first and last points still are the arc's ends.
        """
        r = self.radius
        if r == 0.0:
            return [self.b]
        step = 2.0 * math.acos(max(0.0, 1.0 - tolerance / r)) if not outside else 2.0 * math.acos(r / (r + tolerance))
        n = max(1, math.ceil(abs(self.sweep) / step))
        if not outside:
            return [self.point_at(k / n) for k in range(1, n)] + [self.b]
        half, w0 = self.sweep / n / 2.0, self.start_angle
        far = r / math.cos(half)
        return [
            (
                self.centre[0] + far * math.cos(w0 + (2 * k + 1) * half),
                self.centre[1] + far * math.sin(w0 + (2 * k + 1) * half),
            )
            for k in range(n)
        ] + [self.b]


Element = Line | Arc
Chain = tuple[Element, ...]


def arc_about(centre: Point, a: Point, b: Point, *, ccw: bool) -> Arc:
    """Arc from a to b about centre, counter-clockwise or clockwise, of less than a full turn."""
    w = math.atan2(b[1] - centre[1], b[0] - centre[0]) - math.atan2(a[1] - centre[1], a[0] - centre[0])
    w = w % TURN if ccw else -((-w) % TURN)
    return Arc(a, b, centre, w)


def points_of(chain: Chain, tolerance: float, *, outside_left: bool | None = None) -> list[Point]:
    """Vertices of a broken line along the chain, its first point included.

    outside_left None: vertices on the arcs. True: bent so that the broken line never falls to the right of the
    chain (what lies to its right grows by at most `tolerance`); False: never to its left.
    """
    if not chain:
        return []
    out = [chain[0].a]
    for e in chain:
        bulges_right = isinstance(e, Arc) and e.sweep > 0.0
        out += e.flattened(tolerance, outside=outside_left is not None and bulges_right != outside_left)
    return out


def reverse(chain: Chain) -> Chain:
    """The same chain travelled backwards."""
    return tuple(e.reversed() for e in reversed(chain))


def polyline(points: list[Point] | tuple[Point, ...], *, close: bool = False) -> Chain:
    """Lines through the points; zero-length steps are left out."""
    pts = list(points) + ([points[0]] if close and points else [])
    return tuple(Line(p, q) for p, q in itertools.pairwise(pts) if p != q)


def gaps(chain: Chain, tolerance: float) -> Iterator[int]:
    """Indices of elements whose end is farther than `tolerance` from the next one's start."""
    for i, (e, f) in enumerate(itertools.pairwise(chain)):
        if math.dist(e.b, f.a) > tolerance:
            yield i


def signed_area(chain: Chain) -> float:
    """Exact area inside a closed outline, mm², positive when it runs counter-clockwise."""
    total = 0.0
    for e in chain:
        total += (e.a[0] * e.b[1] - e.b[0] * e.a[1]) / 2.0
        if isinstance(e, Arc):
            total += e.radius**2 * (e.sweep - math.sin(e.sweep)) / 2.0
    return total
