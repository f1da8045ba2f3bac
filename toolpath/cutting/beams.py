"""Bending of work and bars over their real sections: stepped, tapered, bored; hanging free, in a centre, or in two.

A beam is a chain of stations from what holds it outwards; outside and hole run straight between neighbours, so two
stations at one place are a step. What bends is found by the unit-load method: the integral of m1 m2 / (E I) over the
length, m1 and m2 the moments of a unit force at each of two places. Lengths mm, forces N, moduli N/mm2.

Source: the strain-energy theorem as any book on strength of materials prints it; it gives the handbooks' closed forms
(F L^3 / 3 E I free, F L^3 / 48 E I between centres) where the section is even.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from toolpath.cutting.formulas import second_moment
from toolpath.errors import CannotMake

HOLDS = ("free", "centre", "centres")
"""Clamped and hanging free; clamped, with the far end in a centre; both ends in centres."""

FINE = (
    1.15  # of a radius or a wall: no slice of a taper changes by more, so that four points of Gauss are exact to 1e-6
)
GAUSS = ((-0.8611363115940526, 0.34785484513745385), (-0.3399810435848563, 0.6521451548625461),
         (0.3399810435848563, 0.6521451548625461), (0.8611363115940526, 0.34785484513745385))  # fmt: skip


class Station(Struct, frozen=True):
    """at: mm from the hold; outside: radius; hole: radius of the hole, 0 where it is solid."""

    at: float
    outside: float
    hole: float = 0.0


class Beam(Struct, frozen=True):
    """stations: from the hold outwards; modulus: N/mm2; hold: one of `HOLDS`."""

    stations: tuple[Station, ...]
    modulus: float
    hold: str = "free"

    @property
    def length(self) -> float:
        """mm from the hold to the far end."""
        return self.stations[-1].at


def beam(stations: Iterable[Station], *, modulus: float, hold: str = "free") -> Beam:
    """The beam, looked over. CannotMake for a modulus that is missing, and for a section without metal.

    ValueError for stations that do not run outwards, and for a hold that is none.
    """
    found = tuple(stations)
    if hold not in HOLDS or len(found) < 2 or any(b.at < a.at for a, b in pairwise(found)):
        raise ValueError("a beam has stations that run outwards from its hold, which is one of " + ", ".join(HOLDS))
    if not modulus > 0.0 or not math.isfinite(modulus):
        raise CannotMake(
            f"nothing tells how far the work gives way: its modulus is {modulus:g} N/mm2. Give the material its modulus"
        )
    for s in found:
        if not s.outside > s.hole >= 0.0:
            raise CannotMake(
                f"{s.at:g} mm from its hold the work has no metal left: outside {2.0 * s.outside:g}, "
                f"hole {2.0 * s.hole:g} mm"
            )
    start = found[0].at
    return Beam(tuple(Station(s.at - start, s.outside, s.hole) for s in found), modulus, hold)


def even_beam(diameter: float, length: float, *, modulus: float, bore: float = 0.0, hold: str = "free") -> Beam:
    """One diameter and bore along the whole length."""
    ends = (Station(0.0, diameter / 2.0, bore / 2.0), Station(length, diameter / 2.0, bore / 2.0))
    return beam(ends, modulus=modulus, hold=hold)


def give(b: Beam, load_at: float, *, at: float | None = None) -> float:
    """mm for each N: how far the beam gives way at `at` (left out: where the load is) under a force at `load_at`."""
    there = load_at if at is None else at
    for place in (load_at, there):
        if not -1e-9 <= place <= b.length + 1e-9:
            raise ValueError(f"{place:g} mm lies outside a beam of {b.length:g} mm")
    free = _bent(b, load_at, there)
    if b.hold != "centre":
        return free
    # The centre pushes back just so that the far end stays where it is.
    far = b.length
    return free - _bent(b, load_at, far) * _bent(b, there, far) / _bent(b, far, far)


def deflection(b: Beam, force: float, load_at: float, *, at: float | None = None) -> float:
    """mm under a force (N)."""
    return force * give(b, load_at, at=at)


def weakest(b: Beam, places: Sequence[float]) -> tuple[float, float]:
    """(place, mm for each N) of those places where a tool pushes, the one at which the beam gives way most."""
    return max(((p, give(b, p)) for p in places), key=lambda found: found[1])


def plate_moment(thickness: float, height: float) -> float:
    """mm4 of a blade: it stands on edge, and the cutting force bends it over its height."""
    return thickness * height**3 / 12.0


def _bent(b: Beam, first: float, second: float) -> float:
    """Integral of m1 m2 / (E I): moments of unit forces at two places."""
    total = 0.0
    centred = b.hold == "centres"
    stop = b.length if centred else min(first, second)
    for lo, hi, section in _slices(b, (first, second), stop):
        half, middle = (hi - lo) / 2.0, (hi + lo) / 2.0
        for x, weight in GAUSS:
            u = middle + half * x
            one, two = (_moment(b, u, first), _moment(b, u, second)) if centred else (first - u, second - u)
            s = _between(section, u)
            total += weight * half * one * two / second_moment(2.0 * s.outside, 2.0 * s.hole)
    return total / b.modulus


def _moment(b: Beam, u: float, load: float) -> float:
    """Moment at u of a unit force at `load` on a beam in two centres."""
    return u * (b.length - load) / b.length if u <= load else load * (b.length - u) / b.length


def _slices(
    b: Beam, breaks: tuple[float, float], stop: float
) -> Iterator[tuple[float, float, tuple[Station, Station]]]:
    """Stretches from the hold to `stop`: cut where a load stands, and so fine that no section changes much in one."""
    for near, far in pairwise(b.stations):
        lo, hi = near.at, min(far.at, stop)
        if hi <= lo:
            continue
        cuts = [lo, *sorted(p for p in breaks if lo < p < hi), hi]
        for a, z in pairwise(cuts):
            first, last = _between((near, far), a), _between((near, far), z)
            n = max(_steps(first.outside, last.outside), _steps(_wall(first), _wall(last)))
            # Geometric steps where the section shrinks to little, for there most of the bending is.
            ratio = _wall(last) / _wall(first)
            places = [_share(k / n, ratio) for k in range(n + 1)]
            for p, q in pairwise(places):
                yield a + (z - a) * p, a + (z - a) * q, (near, far)


def _steps(a: float, z: float) -> int:
    return max(1, math.ceil(abs(math.log(z / a)) / math.log(FINE)))


def _share(t: float, ratio: float) -> float:
    """Where along a stretch its wall has changed by the t-th power of the whole ratio."""
    return t if abs(ratio - 1.0) < 1e-6 else (math.pow(ratio, t) - 1.0) / (ratio - 1.0)


def _wall(s: Station) -> float:
    return s.outside - s.hole


def _between(ends: tuple[Station, Station], u: float) -> Station:
    near, far = ends
    t = (u - near.at) / (far.at - near.at)
    return Station(u, near.outside + t * (far.outside - near.outside), near.hole + t * (far.hole - near.hole))
