"""Volumes of what turns about the axis, and the farthest point of a region from a surface."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from msgspec import Struct

from toolpath.geometry.elements import Chain, Point
from toolpath.proof.flatten import Array, Geometry, Indices, closed
from toolpath.proof.setting import FINE, NO_AXIS

CLOSE = 5.0 * FINE  # mm, to which farthest points are found,
CLOSE_SHARE = 1e-3  # and the share of their distance
PARTS = 8  # into which an edge is cut that may hold a farther point
THICK = 0.05  # mm: from here on points inside a region are tried as well as its edge
Outline = tuple[Point, ...]
Hit = tuple[float, Point | None]


def region(chains: Iterable[Chain]) -> Geometry:
    """The area inside closed chains, arcs as broken lines with their corners on the arc, at most FINE from it."""
    polygons = [shapely.polygons(closed(c, FINE)) for c in chains]
    return shapely.union_all([p if shapely.is_valid(p) else shapely.make_valid(p) for p in polygons])


def volume(geometry: Geometry) -> float:
    """Volume in mm3 of what polygons (z, x) sweep in one turn about the axis x = 0 (Pappus, exact for polygons)."""
    total = 0.0
    for ring in shapely.get_rings(shapely.orient_polygons(shapely.get_parts(geometry))):
        z, x = shapely.get_coordinates(ring).T
        total += float(np.sum((z[:-1] * x[1:] - z[1:] * x[:-1]) * (x[:-1] + x[1:])))
    return abs(total) * np.pi / 3.0


def polygons(geometry: Geometry) -> Geometry:
    """Array of its polygons, without lines and points that overlays leave behind."""
    if geometry.geom_type == "Polygon":
        return np.array([] if geometry.is_empty else [geometry], dtype=object)
    parts = shapely.get_parts(geometry)
    if (shapely.get_type_id(parts) == shapely.GeometryType.GEOMETRYCOLLECTION).any():
        parts = shapely.get_parts(parts)
    return parts[(shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(parts)]


def outlines(geometry: Geometry) -> tuple[Outline, ...]:
    """Outer outlines of polygons, closed, as points (z, x)."""
    return tuple(tuple(map(tuple, shapely.get_coordinates(p.exterior).tolist())) for p in polygons(geometry))


def only_areas(geometry: Geometry) -> Geometry:
    """Its polygons as one geometry."""
    if geometry.geom_type == "Polygon":
        return geometry
    parts = polygons(geometry)
    return parts[0] if len(parts) == 1 else shapely.multipolygons(parts)


def worst(hits: list[Hit]) -> Hit:
    """The farthest, or (0, None)."""
    return max(hits, key=lambda hit: hit[0], default=(0.0, None))


class Surface(Struct):
    """The boundary of a region, without what lies on the axis: stretches from starts along `along`, both (m, 2);
    square: squares of their lengths; height: of the triangle over each and the next, inf where they do not meet."""

    starts: Array
    along: Array
    square: Array
    height: Array
    order: Indices  # of the starts, by z, then x
    tree: shapely.STRtree

    @classmethod
    def of(cls, body: Geometry) -> Surface:
        pairs = [shapely.get_coordinates(r) for r in shapely.get_rings(shapely.get_parts(body))]
        starts = np.concatenate([p[:-1] for p in pairs]) if pairs else np.empty((0, 2))
        ends = np.concatenate([p[1:] for p in pairs]) if pairs else np.empty((0, 2))
        off_axis = np.maximum(np.abs(starts[:, 1]), np.abs(ends[:, 1])) > NO_AXIS
        starts, ends = starts[off_axis], ends[off_axis]
        along = ends - starts
        square = np.maximum(np.sum(along**2, axis=1), 1e-300)
        chord = along + (after := np.roll(along, -1, axis=0))
        base = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-300)
        height = np.abs(along[:, 0] * after[:, 1] - along[:, 1] * after[:, 0]) / base
        height[(ends != np.roll(starts, -1, axis=0)).any(axis=1)] = np.inf
        tree = shapely.STRtree(shapely.linestrings(np.stack([starts, ends], axis=1)))
        return cls(starts, along, square, height, np.lexsort((starts[:, 1], starts[:, 0])), tree)

    def near(self, points: Array) -> tuple[Indices, Array]:
        """The stretch nearest to each point (m, 2), and how far it is."""
        index, distance = self._corners(points)
        if len(rest := np.nonzero(index < 0)[0]):
            nearest = self.tree.query_nearest(shapely.points(points[rest]), all_matches=False, return_distance=True)
            index[rest], distance[rest] = nearest[0][1], nearest[1]
        return index, distance

    def _corners(self, points: Array) -> tuple[Indices, Array]:
        """The stretches that begin at points, and 0, their distance; -1 where a point is no corner of the surface.

        What overlays leave has most of its corners in common with the surface, and they need no search.
        """
        corners, wanted = (np.ascontiguousarray(p).view(np.complex128).ravel() for p in (self.starts, points))
        at = np.minimum(np.searchsorted(corners, wanted, sorter=self.order), len(corners) - 1)
        index = self.order[at]
        return np.where(corners[index] == wanted, index, -1), np.zeros(len(points))

    def distance_to(self, index: Indices, points: Array) -> Array:
        """Distance from each point to the stretch that goes with it."""
        (az, ax), (uz, ux) = self.starts[index].T, self.along[index].T
        z, x = points[:, 0] - az, points[:, 1] - ax
        t = np.minimum(np.maximum((z * uz + x * ux) / self.square[index], 0.0), 1.0)
        return np.asarray(np.hypot(z - t * uz, x - t * ux))

    def farthest(self, areas: Geometry) -> list[Hit]:
        """For each of an array of polygons the greatest distance of any of its points from the surface, mm, and where.

        Within CLOSE and 0.1 %; a polygon thicker than THICK is tried inside as well, see `_inside`.
        """
        hits = self._along(areas) if len(areas) and len(self.starts) else []
        return [
            max(h, self._inside(p), key=lambda x: x[0]) if h[0] > THICK else h for h, p in zip(hits, areas, strict=True)
        ]

    def _along(self, areas: Geometry) -> list[Hit]:
        """Farthest points on the edges of polygons, by cutting up every edge that could still hold a farther one."""
        points, owner = shapely.get_coordinates(areas, return_index=True)
        inner = owner[:-1] == owner[1:]
        i, f = self.near(points)
        best, place = np.full(len(areas), -1.0), np.zeros((len(areas), 2))
        _raise(best, place, owner, f, points)
        a, b, ia, ib = (v[k][inner] for v in (points, i) for k in (slice(-1), slice(1, None)))
        owner = owner[:-1][inner]
        while True:
            bound = self._bound(a, b, (ia, ib))
            open_ = np.nonzero(bound > best[owner] * (1.0 + CLOSE_SHARE) + CLOSE)[0]
            if not len(open_):
                return [(float(d), (float(z), float(x))) for d, (z, x) in zip(best, place, strict=True)]
            owner = np.repeat(owner[open_], PARTS)
            points = a[open_, None] + (b - a)[open_, None] * np.linspace(0.0, 1.0, PARTS + 1)[:, None]
            i, f = self.near(points.reshape(-1, 2))
            i, f = i.reshape(-1, PARTS + 1), f.reshape(-1, PARTS + 1)
            a, b = points[:, :-1].reshape(-1, 2), points[:, 1:].reshape(-1, 2)
            ia, ib = i[:, :-1].ravel(), i[:, 1:].ravel()
            _raise(best, place, owner, f[:, 1:].ravel(), b)

    def _bound(self, a: Array, b: Array, near: tuple[Indices, Indices]) -> Array:
        """What no point on the edges a to b is farther than; near: the stretches nearest to a and to b.

        Distance from a convex figure is convex along an edge, so greatest at one of its ends. Figures tried: each
        stretch, and the triangle over two that follow each other, whose points all lie within `height` of them.
        """
        bound = np.full(len(a), np.inf)
        da, db = {}, {}
        for i in near:
            for k in (-1, 0, 1):
                j = np.clip(i + k, 0, len(self.starts) - 1)
                da[k], db[k] = self.distance_to(j, a), self.distance_to(j, b)
                bound = np.minimum(bound, np.maximum(da[k], db[k]))
            for k in (-1, 0):
                ends = np.maximum(np.minimum(da[k], da[k + 1]), np.minimum(db[k], db[k + 1]))
                bound = np.minimum(bound, ends + self.height[np.clip(i + k, 0, len(self.starts) - 1)])
        return bound

    def _inside(self, area: Geometry) -> Hit:
        """Farthest of 40 x 40 points over the area: the middle of a thick region may be farther than its edge."""
        z0, x0, z1, x1 = shapely.bounds(area)
        z, x = np.meshgrid(np.linspace(z0, z1, 42)[1:-1], np.linspace(x0, x1, 42)[1:-1])
        points = np.stack([z.ravel(), x.ravel()], axis=1)
        points = points[shapely.contains_xy(area, points[:, 0], points[:, 1])]
        if not len(points):
            return 0.0, None
        _, distance = self.near(points)
        k = int(np.argmax(distance))
        return float(distance[k]), (float(points[k, 0]), float(points[k, 1]))


def _raise(best: Array, place: Array, owner: Indices, values: Array, points: Array) -> None:
    """Takes each owner's greatest value, and its point, where that is more than its best."""
    order = np.lexsort((values, owner))
    last = order[np.append(np.diff(owner[order]) != 0, True)]
    last = last[values[last] > best[owner[last]]]
    best[owner[last]], place[owner[last]] = values[last], points[last]
