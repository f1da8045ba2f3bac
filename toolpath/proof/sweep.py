"""What a convex tool covers while its point runs along a broken line.

One ring goes round the whole way: along the right-hand support corners of the tool, over its front at the end, back
along the left-hand ones and round its back at the start; at each bend it walks from the old support corner to the
new one. The winding number of that ring about a point is how often the tool passes over the point (it comes in over
the front, goes out over the back, and the chord between the two supports crosses the point exactly once between), so
a ring that does not cross itself *is* the swept region. A ring that does is cut in half until none does; a single
move never does, being convex. No convex hull is ever taken.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely
from msgspec import Struct

from toolpath.geometry.elements import Chain
from toolpath.proof.flatten import Array, Box, Flags, Geometry, Indices, closed

TURN = 2.0 * np.pi
LONGEST_RING = 1024  # moves in one ring: beyond, checking it costs more than joining two
SHORTEST_RING = 4  # moves: below, polygons of single moves are cheaper
ALONG = 1e-9  # rad: an edge nearer to the motion lies along it
SAME_POINT = 1e-12  # mm


class Convex(Struct, frozen=True):
    """A convex outline. points: (n, 2), counter-clockwise, mm; angles: (n,), rad, directions of the edges that leave
    the points, rising by less than one turn in all; box: (least z, least x, greatest z, greatest x), mm."""

    points: Array
    angles: Array
    box: Box

    def support(self, angle: Array) -> Indices:
        """Corner farthest to the right of a motion in direction `angle`; counts on over full turns, so that it rises
        and falls steadily with an angle that does. The farthest to the left is that of `angle + pi`."""
        n, first = len(self.angles), self.angles[0]
        turns = np.floor((angle - first) / TURN)
        within = angle - turns * TURN
        return np.asarray(turns * n + np.searchsorted(self.angles, within), dtype=np.int64)


def convex_from(points: Array) -> Convex:
    """The outline through points (n, 2) that already run counter-clockwise round a convex shape."""
    points = points[np.abs(points - np.roll(points, 1, axis=0)).max(axis=1) > SAME_POINT]
    edges = np.roll(points, -1, axis=0) - points
    angles = np.arctan2(edges[:, 1], edges[:, 0])
    jumps = np.diff(angles, prepend=angles[:1])
    angles += TURN * np.cumsum((jumps < -np.pi).astype(np.int64) - (jumps > np.pi))
    return Convex(points, np.maximum.accumulate(angles), box_round(points))  # corners that are flat but for rounding


def box_round(points: Array) -> Box:
    """(least z, least x, greatest z, greatest x) of points (k, 2)."""
    (z0, x0), (z1, x1) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return (z0, x0, z1, x1)


def outline(chain: Chain, tolerance: float, *, outside: bool) -> Convex:
    """A closed convex chain as a polygon at most `tolerance` (mm) from it: round it (`outside`) or within it."""
    return convex_from(closed(chain, tolerance, outside=outside))


def inset(tool: Convex, depth: float) -> Convex:
    """The outline, `depth` (mm) smaller on every side; as it is where nothing would remain."""
    small = shapely.Polygon(tool.points).buffer(-depth, join_style="mitre")
    if small.is_empty or small.geom_type != "Polygon":
        return tool
    return convex_from(shapely.get_coordinates(shapely.orient_polygons(small))[:-1])


def single_moves(tool: Convex, starts: Array, ends: Array) -> Geometry:
    """Array of the convex polygons that the tool covers in each straight move; starts, ends: (m, 2)."""
    step = ends - starts
    angle = np.arctan2(step[:, 1], step[:, 0])
    right, left = tool.support(angle), tool.support(angle + np.pi)
    n = len(tool.points)
    k = np.arange(n + 2)
    front = k <= (left - right)[:, None]
    index = (right[:, None] + np.where(front, k, k - 1)) % n
    rings = tool.points[index] + np.where(front[..., None], ends[:, None], starts[:, None])
    return shapely.polygons(rings)


def swept(tool: Convex, path: Array) -> Geometry:
    """Array of polygons that together are what the tool covers along the path (k + 1, 2), no step of length 0.

    One ring for each stretch between bends where a ring would surely cross itself. Of stretches whose ring does all the
    same, the longest parts whose does not are found as one finds a step size: twice as long after one that held, half
    after one that did not, at last move by move.
    """
    if len(path) <= SHORTEST_RING:
        return single_moves(tool, path[:-1], path[1:])
    way = _Way.of(tool, path)
    bends = [0, *(np.nonzero(way.crossing)[0] + 1).tolist(), len(path) - 1]
    rings: list[Geometry] = []
    alone: list[range] = []
    for first, last in pairwise(bends):
        size = LONGEST_RING
        while first < last:
            size = min(size, last - first)
            if size < SHORTEST_RING:
                size = min(4 * SHORTEST_RING, last - first)  # where rings cross, the next ones will
                alone.append(range(first, first + size))
            elif shapely.is_valid(polygon := shapely.polygons(way.ring(first, first + size))):
                rings.append(polygon)
            else:
                size //= 2
                continue
            first += size
            size = min(2 * size, LONGEST_RING)
    singles = np.array([i for r in alone for i in r], dtype=np.int64)
    return np.concatenate([np.array(rings, dtype=object), single_moves(tool, path[singles], path[singles + 1])])


def ring(tool: Convex, path: Array) -> Array:
    """The ring round the sweep (module docstring), open, counter-clockwise."""
    return _Way.of(tool, path).ring(0, len(path) - 1)


class _Side(Struct, frozen=True):
    """One side of a sweep. corner: the support corner in each step, counted on over full turns. At each bend: mitre,
    whether the edges of the two steps cross before they end, and where."""

    corner: Indices
    mitre: Flags
    where: Array


class _Way(Struct, frozen=True):
    """A path with the tool's support corners along it. crossing: at each bend, whether a ring would cross itself."""

    tool: Convex
    path: Array
    right: _Side
    left: _Side
    crossing: Flags

    @classmethod
    def of(cls, tool: Convex, path: Array) -> _Way:
        step = path[1:] - path[:-1]
        length = np.hypot(step[:, 0], step[:, 1])
        unit = step / length[:, None]
        turn = np.arctan2(_cross(unit[:-1], unit[1:]), np.sum(unit[:-1] * unit[1:], axis=1))
        angle = np.arctan2(step[0, 1], step[0, 0]) + np.concatenate([[0.0], np.cumsum(turn)])
        right, left = tool.support(angle), tool.support(angle + np.pi)
        inner_right, inner_left = right[1:] < right[:-1], left[1:] > left[:-1]
        sides = [
            _mitred(tool, path, corner, unit=unit, length=length, bent=bent)
            for corner, bent in ((right, inner_right), (left, inner_left))
        ]
        crossing = (inner_right & ~sides[0].mitre) | (inner_left & ~sides[1].mitre)
        return cls(tool, path, sides[0], sides[1], crossing)

    def ring(self, first: int, last: int) -> Array:
        """The ring round the steps from point `first` to point `last`."""
        n, points, path = len(self.tool.points), self.tool.points, self.path
        right, left = self.right.corner, self.left.corner
        front = points[np.arange(right[last - 1] + 1, left[last - 1]) % n] + path[last]
        back = points[np.arange(left[first] + 1, right[first] + n) % n] + path[first]
        return np.concatenate(
            [self._along(self.right, first, last), front, self._along(self.left, first, last)[::-1], back]
        )

    def _along(self, side: _Side, first: int, last: int) -> Array:
        """One side of the ring, from start to end."""
        n, points, path = len(self.tool.points), self.tool.points, self.path
        corner, mitre = side.corner, side.mitre[first : last - 1]
        before, after = corner[first : last - 1], corner[first + 1 : last]
        owner, index = _walks(np.where(mitre, after, before), after)
        line = points[index % n] + path[first + 1 : last][owner]
        line[mitre[owner]] = side.where[first : last - 1][mitre]
        start, end = path[first] + points[corner[first] % n], path[last] + points[corner[last - 1] % n]
        return np.concatenate([start[None], line, end[None]])


def _mitred(tool: Convex, path: Array, corner: Indices, *, unit: Array, length: Array, bent: Flags) -> _Side:
    """A side whose inner bends (`bent`) are mitred where the two edges cross before they end.

    There the ring turns and needs no walk: the loop that is left out lies in what both moves cover.
    """
    at = tool.points[corner % len(tool.points)]
    u, w, gap = unit[:-1], unit[1:], at[:-1] - at[1:]
    cross = _cross(u, w)
    sure = bent & (np.abs(cross) > 1e-12)
    cross = np.where(sure, cross, 1.0)
    back, ahead = _cross(gap, w) / cross, _cross(u, gap) / cross
    sure &= (back >= 0.0) & (ahead >= 0.0)
    back, ahead = np.where(sure, back, 0.0), np.where(sure, ahead, 0.0)
    used = np.zeros(len(length))
    used[1:] += ahead
    used[:-1] += back
    fits = used <= length
    mitre = sure & fits[:-1] & fits[1:]
    return _Side(corner, mitre, path[1:-1] + at[1:] + ahead[:, None] * w)


def fronts(tool: Convex, places: Array, angles: Array) -> Geometry:
    """Array of the open lines along the tool's front, as it stands at `places` (m, 2) moving in directions `angles`.

    Edges along the motion meet nothing and are left out.
    """
    owner, index = _walks(tool.support(angles + ALONG), tool.support(angles + np.pi - ALONG))
    return shapely.linestrings(tool.points[index % len(tool.points)] + places[owner], indices=owner)


def _cross(u: Array, w: Array) -> Array:
    return u[:, 0] * w[:, 1] - u[:, 1] * w[:, 0]


def _walks(first: Indices, last: Indices) -> tuple[Indices, Indices]:
    """Counts from first to last, both included, up or down, one walk after the other: (which walk, count)."""
    size = np.abs(last - first) + 1
    owner = np.repeat(np.arange(len(first)), size)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(size) - size, size)
    return owner, first[owner] + np.sign(last - first)[owner] * step
