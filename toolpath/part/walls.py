"""How thick the metal is between the hollows of a part and its outside.

The true distance, in any direction, between the lines and arcs themselves. The faces that a hollow opens in are left
out, and so are edges broken because no row names them and two surfaces that meet at a mouth: there the metal ends by
intention. Under a thread the metal begins at its root.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import combinations

from msgspec import Struct

from toolpath.geometry.elements import Chain, Element, Line, Point
from toolpath.part.halfsection import HalfSection, Surface
from toolpath.part.radii import radii
from toolpath.part.rooted import rooted

SAME = 1e-9  # mm
Pair = tuple[Element, Surface]
Counts = Callable[[Pair, Pair], bool]


class Wall(Struct, frozen=True):
    """thick: mm. inside, outside: the point on each of the two surfaces, (z, x); between: what the surfaces are."""

    thick: float
    inside: Point
    outside: Point
    between: tuple[Surface, Surface]


class Station(Struct, frozen=True):
    """At z, mm: outside and inside diameter, and the metal between them, across the axis; inside_dia 0 where solid.

    Where a diameter changes it is the smaller outside, the larger inside; of a thread it is the root. Face grooves are
    no part of it.
    """

    z: float
    outside_dia: float
    inside_dia: float

    @property
    def wall(self) -> float:
        """mm."""
        return (self.outside_dia - self.inside_dia) / 2.0


def least_wall(part: HalfSection, *, counts: Counts | None = None) -> Wall | None:
    """The thinnest wall between a hollow and the outside, or between two hollows that do not meet; None if solid.

    A groove in an end face is such a hollow. counts: whether two surfaces are to be looked at; all of them otherwise
    """
    bores = [
        _whole(rooted(part, "inside"), part.inside_surfaces),
        _whole(rooted(part, "inside_back"), part.inside_back_surfaces),
    ]
    grooves = _face_grooves(part)
    around = _without_mouth_faces(part)
    pairs = [(hollow, around) for hollow in (*bores, *grooves)]
    if all(bores) and part.inside[-1].b != part.inside_back[-1].b:
        pairs.append((bores[0], bores[1]))
    pairs += [(bore, groove) for bore in bores for groove in grooves]
    pairs += list(combinations(grooves, 2))
    return min((w for pair in pairs for w in _between(*pair, counts or _all)), key=lambda w: w.thick, default=None)


def stations(part: HalfSection) -> tuple[Station, ...]:
    """From the front to the back: wherever a surface of the outside or of a hollow begins or ends."""
    around = tuple(e for e, s in _without_faces(part) if s.of == "outside")
    hollow = (*rooted(part, "inside"), *rooted(part, "inside_back"))
    ends = sorted({p[0] for e in (*around, *hollow) for p in (e.a, e.b)}, reverse=True)
    places = [z for z, before in zip(ends, [math.inf, *ends], strict=False) if before - z > SAME]
    return tuple(_station(z, around, hollow) for z in places)


def _station(z: float, around: Chain, hollow: Chain) -> Station:
    outside = min((x for e in around for x in radii(e, z)), default=0.0)
    return Station(z, 2.0 * outside, 2.0 * max((x for e in hollow for x in radii(e, z)), default=0.0))


def nearest(e: Element, f: Element) -> tuple[float, Point, Point]:
    """Distance between two elements that do not cross, mm, the point on e and the point on f.

    Where the shortest way ends at no end of either it stands square on both, so that it starts on a line below the
    other's centre, or on an arc towards it.
    """
    from_e = [(f.distance(p), p, _foot(f, p)) for p in _candidates(e, f)]
    from_f = [(e.distance(p), _foot(e, p), p) for p in _candidates(f, e)]
    return min([*from_e, *from_f], key=lambda found: found[0])


def _candidates(e: Element, f: Element) -> Iterator[Point]:
    """Points of e from which the shortest way to f may start, those found from f left out."""
    yield e.a
    yield e.b
    if isinstance(f, Line):
        return
    if isinstance(e, Line):
        yield e.point_at(e.parameter_of(f.centre))
        return
    dz, dx = f.centre[0] - e.centre[0], f.centre[1] - e.centre[1]
    far = math.hypot(dz, dx)
    if far > SAME:  # about one centre their ends are as near as any other points
        p = (e.centre[0] + e.radius / far * dz, e.centre[1] + e.radius / far * dx)
        if 0.0 <= e.parameter_of(p) <= 1.0:
            yield p


def _foot(e: Element, p: Point) -> Point:
    """The point of e nearest to p."""
    t = e.parameter_of(p)
    if isinstance(e, Line) or 0.0 <= t <= 1.0:
        return e.point_at(t)
    return min((e.a, e.b), key=lambda end: math.dist(end, p))


def _all(a: Pair, b: Pair) -> bool:
    return True


def _between(hollow: list[Pair], around: list[Pair], counts: Counts) -> list[Wall]:
    """The least wall of a hollow, as a list of one, or of none where there is nothing to measure.

    Of walls equally thin it is the one that is square to both its surfaces: a floor, not the bore that ends at it.
    """
    best: tuple[float, float, Wall] | None = None
    boxes = [f.bounds() for f, _ in around]
    for e, s in hollow:
        box = e.bounds()
        for (f, r), other in zip(around, boxes, strict=True):
            if (best is not None and _apart(box, other) > best[0] + SAME) or _join(e, f) or not counts((e, s), (f, r)):
                continue
            thick, p, q = nearest(e, f)
            slant = _slant(e, p, q) + _slant(f, q, p)
            if best is None or thick < best[0] - SAME or (thick <= best[0] + SAME and slant < best[1] - SAME):
                best = (thick, slant, Wall(thick, p, q, (s, r)))
    return [] if best is None else [best[2]]


def _slant(e: Element, p: Point, q: Point) -> float:
    """Of the way from p on e to q: 0 where it leaves square, 1 along the surface."""
    along = e.tangent_at(min(1.0, max(0.0, e.parameter_of(p))))
    return abs(along[0] * (q[0] - p[0]) + along[1] * (q[1] - p[1])) / (math.dist(p, q) or 1.0)


def _apart(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> float:
    """Distance between two upright boxes."""
    return math.hypot(max(a[0] - b[2], b[0] - a[2], 0.0), max(a[1] - b[3], b[1] - a[3], 0.0))


def _join(e: Element, f: Element) -> bool:
    return any(math.dist(p, q) <= SAME for p in (e.a, e.b) for q in (f.a, f.b))


def _whole(chain: Chain, surfaces: tuple[Surface, ...]) -> list[Pair]:
    """The surfaces less the broken edges."""
    return [(e, s) for e, s in zip(chain, surfaces, strict=True) if not s.name.startswith("broken edge")]


def _without_faces(part: HalfSection) -> list[Pair]:
    return [(e, s) for e, s in zip(rooted(part, "outside"), part.surfaces, strict=True) if not s.name.endswith(" face")]


def _face_grooves(part: HalfSection) -> list[list[Pair]]:
    """The surfaces of each groove in an end face."""
    cut = [(e, s) for e, s in zip(part.outside, part.surfaces, strict=True) if s.of == "face"]
    return [[(e, s) for e, s in cut if s.row == row] for row in sorted({s.row or 0 for _, s in cut})]


def _without_mouth_faces(part: HalfSection) -> list[Pair]:
    """The outside less the grooves in its faces, and less the faces that a hollow or a groove opens in."""
    ends = (("front face", part.outside[0].a), ("back face", part.outside[-1].b))
    named = [s.name for s in part.surfaces]
    opened = [n for n, p in ends if p[1] > SAME or named.count(n) > 1]
    around = _whole(rooted(part, "outside"), part.surfaces)
    return [(e, s) for e, s in around if s.of == "outside" and s.name not in opened]
