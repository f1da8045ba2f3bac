"""How thick the metal between hollow and outside is that stands while the work is being cut.

The outline of what stands falls into runs where it reaches the axis and where it reaches its foremost or hindmost face:
the outside, and every hollow or groove that opens in a face. A wall is what stands between two runs, its thickness
their true distance in any direction. The rim of a mouth, where both run into one face, is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

import numpy as np
import shapely
from msgspec import Struct

from toolpath.geometry.elements import Point
from toolpath.motion import Operation
from toolpath.proof.findings import Finding, finding
from toolpath.proof.flatten import Array, Flags, Geometry
from toolpath.proof.measure import polygons
from toolpath.proof.setting import NO_AXIS, NOISE

EVEN = 0.01  # mm: what is no farther from the foremost or hindmost point belongs to the face there
RIM = 0.5  # mm from a face where a wall begins at the earliest: edges are broken by less; common practice, no source


class Wall(Struct, frozen=True):
    """thick: mm. ends: the point on each of the two surfaces, (z, x)."""

    thick: float
    ends: tuple[Point, Point]


def least_wall(body: Geometry, *, least: float) -> Wall | None:
    """The thinnest wall of a body, polygons (z, x) in mm of the half above the axis; None where it is solid.

    least: mm, the wall that must be; as far from a face, but no less than RIM, the rim ends.
    """
    walls = [wall for piece in polygons(body) for wall in _walls(piece, max(least, RIM))]
    return min(walls, key=lambda wall: wall.thick, default=None)


def thin(
    walls: Sequence[Wall | None], operations: Sequence[Operation], *, least: float, stops: bool = False
) -> Iterator[Finding]:
    """The thinnest wall that was thinner than it must be after one of the operations. stops: it refuses the program."""
    found = [(w.thick, k, w) for k, w in enumerate(walls) if w is not None and w.thick < least - NOISE]
    if not found:
        return
    thick, k, wall = min(found, key=lambda f: f[:2])
    (z0, x0), (z1, x1) = wall.ends
    text = (
        f"after {operations[k].kind} a wall of {thick:.3f} mm stands from z {z0:.3f}, diameter {2.0 * x0:.3f} to "
        f"z {z1:.3f}, diameter {2.0 * x1:.3f}; the least is {least:.3f} mm: take light cuts there, or put in a plug"
    )
    yield finding(
        "wall-too-thin" if stops else "thin-wall", text, line=_line(operations[k]), at=wall.ends[0], size=thick
    )


def _line(operation: Operation) -> int:
    return next((step.line for step in operation.steps), 0)


def _walls(piece: Geometry, rim: float) -> Iterator[Wall]:
    z0, _, z1, x1 = shapely.bounds(piece)
    if z1 - z0 <= 2.0 * rim:
        return
    clipped = [shapely.clip_by_rect(run, z0 + rim, -1.0, z1 - rim, x1 + 1.0) for run in _runs(piece, z0, z1)]
    runs = [run for run in clipped if not run.is_empty]
    shapely.prepare(runs)
    for a, b in combinations(runs, 2):
        ends = shapely.get_coordinates(shapely.shortest_line(a, b)).tolist()
        yield Wall(float(shapely.distance(a, b)), (tuple(ends[0]), tuple(ends[-1])))


def _runs(piece: Geometry, z0: float, z1: float) -> list[Geometry]:
    """The stretches of an outline between its places on the axis and in the faces at z0 and z1."""
    ring: Array = shapely.get_coordinates(piece.exterior)[:-1]
    places = _places(ring, z0, z1)
    first = int(np.argmax(np.any(places, axis=0)))  # the foremost point is one, so that no run goes over the ends
    ring, places = np.roll(ring, -first, axis=0), np.roll(places, -first, axis=1)
    ring, places = np.concatenate([ring, ring[:1]]), np.concatenate([places, places[:, :1]], axis=1)
    along: Flags = np.asarray(np.any(places[:, :-1] & places[:, 1:], axis=0))  # stretches that lie in one of them
    cuts = np.nonzero(np.any(places, axis=0))[0].tolist()
    return [shapely.linestrings(ring[a : b + 1]) for a, b in pairwise(cuts) if b - a > 1 or not along[a]]


def _places(points: Array, z0: float, z1: float) -> Flags:
    """(3, points): whether each lies on the axis, in the foremost face, in the hindmost one."""
    z, x = points.T
    return np.stack([x <= NO_AXIS, z >= z1 - EVEN, z <= z0 + EVEN])
