"""How the work of a set-up gives way where tools push it: over its real section, as it stands when each place is cut.

Roughing leaves the metal towards the chuck at least as thick as the place in hand, for levels are cut from the bar
down and valleys from the free end; the finish cut runs over work that is thin everywhere already.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from toolpath.cutting.beams import Station, beam, give
from toolpath.cutting.bending import Bends, modulus
from toolpath.geometry.elements import Chain, Point, points_of
from toolpath.shop.materials import Material

EVEN = 1e-3
"""mm: a station that lies so near to the line between its neighbours bends nothing of its own."""

CHORD = 0.1
"""mm: how far the section that is reckoned with may be from an arc of the real one."""

BESIDE = 1e-6
"""mm to either side of a place at which the section is looked at there: a step has two."""

THINNEST = 0.5
"""mm of radius below which no place is asked: only a point is left there, and the cut on it is short."""

LEAST_WALL = 0.05
"""Part of the radius that counts as wall where outlines touch."""

WITH = {"free": "", "centre": " with its end in a centre", "centres": " between centres"}

PLACES = 10
"""At so many places along the work it is reckoned how far it gives way."""


class Gives(Struct, frozen=True):
    """How the work gives way most: while it is roughed, and under the finish cut; None where nothing stands out."""

    roughed: Bends | None
    finished: Bends | None


def gives(
    outside: Sequence[Chain],
    inside: Iterable[Chain],
    *,
    ends: tuple[float, float],
    material: Material,
    cut: tuple[float, float] | None = None,
    support: str = "free",
    more: float = 1.0,
) -> Gives:
    """outside: chains in (z, x), left to right: the lowest counts; inside: chains of the hole, the highest counts

    ends: z of the nose of the hold and of the free end, mm; cut: least and greatest z that is cut, all where left out
    support: of `cutting.beams.HOLDS`; more: times as much, where the work is less than clamped at its hold
    """
    lo, hi = (0.0, math.inf) if cut is None else (cut[0] - ends[0] - BESIDE, cut[1] - ends[0] + BESIDE)
    whole = _stations([_height(c) for c in outside], [_height(c) for c in inside if c], _places(outside, ends))
    stations = _thinned(whole)
    if not stations or stations[0].at > BESIDE:
        return Gives(None, None)  # nothing stands in the hold: a bar as short as that is refused for its grip
    stout = [s for s in stations if s.outside >= THINNEST and lo <= s.at <= hi]
    asked = stout[:: max(1, len(stout) // PLACES)] + stout[-1:]
    found = [_most(stations, asked, material, roughed=r, support=support) for r in (True, False)]
    return Gives(*(b and replace(b, give=more * b.give) for b in found))


def _most(
    stations: list[Station], asked: list[Station], material: Material, *, roughed: bool, support: str
) -> Bends | None:
    """Where the work gives way most of the places that are asked. roughed: nothing before the place is thinner yet"""
    most: tuple[float, float, float] = (0.0, 0.0, 0.0)
    for place in asked:
        before = [s for s in stations if s.at <= place.at]
        if roughed:
            before = [Station(s.at, max(s.outside, place.outside), s.hole) for s in before]
        # What is farther out bears nothing where it hangs free, and reaches to the centre where there is one.
        whole = before if support == "free" else [*before, *(s for s in stations if s.at > place.at)]
        if place.at > 0.0 and len(whole) > 1:
            away = give(beam(whole, modulus=modulus(material), hold=support), place.at)
            most = max(most, (away, place.at, 2.0 * min(s.outside for s in before)))
    if most[0] <= 0.0:
        return None
    return Bends(
        most[0], f"{material.title}, {most[2]:.3g} mm at its thinnest, {most[1]:.3g} mm out of its hold{WITH[support]}"
    )


def _places(outside: Sequence[Chain], ends: tuple[float, float]) -> list[float]:
    """z of all corners, and of points along arcs, from the hold to the free end, mm."""
    nose, front = ends
    inner = {z for c in outside for z, _ in points_of(c, CHORD) if nose < z < front}
    return [nose, *sorted(inner), front]


def _stations(
    outside: list[Callable[[float], float]], inside: list[Callable[[float], float]], places: list[float]
) -> list[Station]:
    """The section at both sides of every place, from the nose of the hold."""
    out: list[Station] = []
    for z in places:
        for beside in (z - BESIDE, z + BESIDE):
            if not places[0] <= beside <= places[-1]:
                continue
            radius = min(f(beside) for f in outside)
            hole = min(max((f(beside) for f in inside), default=0.0), (1.0 - LEAST_WALL) * radius)
            if radius > 0.0:
                out.append(Station(max(z - places[0], 0.0), radius, max(hole, 0.0)))
    return out


def _height(chain: Chain) -> Callable[[float], float]:
    """x over z of a chain as a broken line that runs either way along z; nothing where it does not reach."""
    points: list[Point] = points_of(chain, CHORD)
    if points[0][0] > points[-1][0]:
        points.reverse()
    along = [z for z, _ in points]

    def at(z: float) -> float:
        k = bisect_right(along, z)
        if k in (0, len(points)):
            return 0.0
        (z0, x0), (z1, x1) = points[k - 1], points[k]
        return x0 + (x1 - x0) * (z - z0) / (z1 - z0)

    return at


def _thinned(stations: list[Station]) -> list[Station]:
    """Those that are needed: what is left out lies within `EVEN` of the straight way between those that stay."""
    out = stations[:1]
    slopes = (-math.inf, math.inf, -math.inf, math.inf)
    for s, after in pairwise(stations[1:]):
        slopes = _narrowed(slopes, out[-1], s)
        low, high, least, most = _narrowed(slopes, out[-1], after)
        if low > high or least > most:
            out.append(s)
            slopes = (-math.inf, math.inf, -math.inf, math.inf)
    return [*out, *stations[1:][-1:]]


def _narrowed(
    slopes: tuple[float, float, float, float], start: Station, s: Station
) -> tuple[float, float, float, float]:
    """Least and greatest slope, of outside and of hole, of the lines from one station that pass others near enough."""
    run = s.at - start.at
    if run <= 0.0:
        same = max(abs(s.outside - start.outside), abs(s.hole - start.hole)) <= EVEN
        return slopes if same else (1.0, 0.0, 1.0, 0.0)
    low, high, least, most = slopes
    out, hole = s.outside - start.outside, s.hole - start.hole
    return (
        max(low, (out - EVEN) / run),
        min(high, (out + EVEN) / run),
        max(least, (hole - EVEN) / run),
        min(most, (hole + EVEN) / run),
    )
