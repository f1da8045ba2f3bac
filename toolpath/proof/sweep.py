"""What a convex tool covers while its point runs along a broken line.

One ring goes round the whole way: along the right-hand support corners of the tool, over its front at the end, back
along the left-hand ones and round its back at the start; at each bend it walks from the old support corner to the
new one. The winding number of that ring about a point is how often the tool passes over the point (it comes in over
the front, goes out over the back, and the chord between the two supports crosses the point exactly once between), so
a ring that does not cross itself *is* the swept region. A ring that does is cut in half until none does; a single
move never does, being convex. No convex hull is ever taken.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from toolpath.geometry.elements import Chain
from toolpath.proof.flatten import Array, Box, Flags, Geometry, Indices, closed

TURN = 2.0 * np.pi
SMOOTH = 0.3  # rad: a bend above is sharp
LONGEST_RING = 1024  # moves in one ring: beyond, checking it costs more than joining two
SHORTEST_RING = 4  # moves: below, polygons of single moves are cheaper
ALONG = 1e-9  # rad: an edge nearer to the motion lies along it
SAME_POINT = 1e-12  # mm


@dataclass(frozen=True, slots=True)
class Convex:
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
    angles = np.unwrap(np.arctan2(edges[:, 1], edges[:, 0]))
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

    One ring for each smooth stretch; at a sharp bend a ring would cross itself wherever a step is shorter than the
    tool is wide. Of stretches whose ring does all the same, the longest parts whose does not are found as one finds a
    step size: twice as long after one that held, half after one that did not, at last move by move.
    """
    step = np.diff(path, axis=0)
    turn = np.abs(np.arctan2(_cross(step[:-1], step[1:]), np.sum(step[:-1] * step[1:], axis=1)))
    bends = np.concatenate([[0], np.nonzero(turn > SMOOTH)[0] + 1, [len(step)]])
    rings, alone = [], []
    for first, last in zip(bends[:-1].tolist(), bends[1:].tolist(), strict=True):
        size = LONGEST_RING
        while last - first > 1:
            size = min(size, last - first)
            polygon = shapely.polygons(ring(tool, path[first : first + size + 1])) if size >= SHORTEST_RING else None
            if polygon is None:
                size = min(4 * SHORTEST_RING, last - first)  # where rings cross, the next ones will
                alone.append(np.arange(first, first + size))
            elif shapely.is_valid(polygon):
                rings.append(polygon)
            else:
                size //= 2
                continue
            first += size
            size = min(2 * size, LONGEST_RING)
        if last - first == 1:
            alone.append(np.array([first]))
    singles = np.concatenate(alone) if alone else np.arange(0)
    return np.concatenate([np.array(rings, dtype=object), single_moves(tool, path[singles], path[singles + 1])])


def ring(tool: Convex, path: Array) -> Array:
    """The ring round the sweep (module docstring), open, counter-clockwise."""
    step = np.diff(path, axis=0)
    angle = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    right, left = tool.support(angle), tool.support(angle + np.pi)
    n = len(tool.points)
    side_right = _side(tool, path, step, right, inner=-1)
    side_left = _side(tool, path, step, left, inner=1)
    front = tool.points[np.arange(right[-1] + 1, left[-1]) % n] + path[-1]
    back = tool.points[np.arange(left[0] + 1, right[0] + n) % n] + path[0]
    return np.concatenate([side_right, front, side_left[::-1], back])


def fronts(tool: Convex, places: Array, angles: Array) -> Geometry:
    """Array of the open lines along the tool's front, as it stands at `places` (m, 2) moving in directions `angles`.

    Edges along the motion meet nothing and are left out.
    """
    owner, index = _walks(tool.support(angles + ALONG), tool.support(angles + np.pi - ALONG))
    return shapely.linestrings(tool.points[index % len(tool.points)] + places[owner], indices=owner)


def _side(tool: Convex, path: Array, step: Array, corner: Indices, *, inner: int) -> Array:
    """One side of the ring, from start to end. inner: sign of the bends whose inner side this is."""
    n = len(tool.points)
    at = tool.points[corner % n]
    before, after = corner[:-1].copy(), corner[1:]
    mitre, where = _mitres(path, step, at, bent=(after - before) * inner > 0)
    before[mitre] = after[mitre]
    owner, index = _walks(before, after)
    points = tool.points[index % n] + path[1:-1][owner]
    points[mitre[owner]] = where[mitre]
    return np.concatenate([(path[0] + at[0])[None], points, (path[-1] + at[-1])[None]])


def _mitres(path: Array, step: Array, at: Array, *, bent: Flags) -> tuple[Flags, Array]:
    """Where the two edges at an inner bend cross before they end, the ring turns there and needs no walk.

    The loop that is left out lies in what both moves cover. Returned: which bends, and the crossing of each.
    """
    length = np.hypot(step[:, 0], step[:, 1])
    u, w = step[:-1] / length[:-1, None], step[1:] / length[1:, None]
    gap = at[:-1] - at[1:]
    cross = _cross(u, w)
    with np.errstate(divide="ignore", invalid="ignore"):
        back, ahead = _cross(gap, w) / cross, _cross(u, gap) / cross
    mitre = bent & (np.abs(cross) > 1e-12) & (back >= 0.0) & (ahead >= 0.0)
    back, ahead = np.where(mitre, back, 0.0), np.where(mitre, ahead, 0.0)
    used = np.concatenate([[0.0], ahead]) + np.concatenate([back, [0.0]])
    fits = used <= length
    mitre &= fits[:-1] & fits[1:]
    return mitre, path[1:-1] + at[1:] + ahead[:, None] * w


def _cross(u: Array, w: Array) -> Array:
    return u[:, 0] * w[:, 1] - u[:, 1] * w[:, 0]


def _walks(first: Indices, last: Indices) -> tuple[Indices, Indices]:
    """Counts from first to last, both included, up or down, one walk after the other: (which walk, count)."""
    size = np.abs(last - first) + 1
    owner = np.repeat(np.arange(len(first)), size)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(size) - size, size)
    return owner, first[owner] + np.sign(last - first)[owner] * step
