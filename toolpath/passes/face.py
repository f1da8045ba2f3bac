"""Face: from outside the bar to past the axis by the nose, in equal cuts, leaving nothing."""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.geometry.elements import Point
from toolpath.passes.legs import Legs, end_of, feed, rapid


class Facing(Struct, frozen=True):
    """In (z, x), mm. The tool's point moves.

    front:     z of the stock's end now; face: z of the face to be left
    outside:   radius of the bar
    past:      how far past the axis the point goes, the nose radius, so that no pip stays
    depth:     greatest depth of a cut
    clearance: distance from metal at which rapids end
    """

    front: float
    face: float
    outside: float
    past: float
    depth: float
    clearance: float


def face(job: Facing, start: Point) -> tuple[Legs, tuple[float, ...]]:
    """Legs from `start` (in front of the stock) to a point in front of the face, and the depth of each cut."""
    stock = job.front - job.face
    n = max(1, math.ceil(stock / job.depth - 1e-9))
    beside, inside = job.outside + job.clearance, -job.past
    legs: Legs = ()
    here = start
    for k in range(1, n + 1):
        z = job.face + stock * (n - k) / n
        away = job.face + stock * (n - k + 1) / n + job.clearance
        legs += (
            *rapid(here, (away, here[1])),
            *rapid((away, here[1]), (away, beside)),
            *rapid((away, beside), (z, beside)),
            *feed((z, beside), (z, inside)),
            *feed((z, inside), (z + job.clearance, inside)),
        )
        here = end_of(legs)
    return legs, (stock / n,) * n
