"""Volumes of what turns about the axis, and the farthest point of a region from a surface."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely

from toolpath.geometry.elements import Chain, Point, points_of
from toolpath.proof.setting import FINE, NO_AXIS
from toolpath.proof.sweep import Array, Geometry, Indices

THICK = 0.05  # mm: from here on points inside a region are tried as well as its edge
Outline = tuple[Point, ...]
Hit = tuple[float, Point | None]


def region(chains: Iterable[Chain]) -> Geometry:
    """The area inside closed chains, arcs as broken lines with their corners on the arc, at most FINE from it."""
    polygons = [shapely.polygons(np.array(points_of(c, FINE))) for c in chains]
    return shapely.union_all([p if shapely.is_valid(p) else shapely.make_valid(p) for p in polygons])


def volume(geometry: Geometry) -> float:
    """Volume in mm3 of what polygons (z, x) sweep in one turn about the axis x = 0 (Pappus, exact for polygons)."""
    total = 0.0
    for ring in shapely.get_rings(shapely.orient_polygons(shapely.get_parts(geometry))):
        z, x = shapely.get_coordinates(ring).T
        total += float(np.sum((z[:-1] * x[1:] - z[1:] * x[:-1]) * (x[:-1] + x[1:])))
    return abs(total) * np.pi / 3.0


def outlines(geometry: Geometry) -> tuple[Outline, ...]:
    """Outer outlines of polygons, closed, as points (z, x)."""
    parts = [p for p in shapely.get_parts(geometry) if p.geom_type == "Polygon" and not p.is_empty]
    return tuple(tuple(map(tuple, shapely.get_coordinates(p.exterior).tolist())) for p in parts)


def only_areas(geometry: Geometry) -> Geometry:
    """Its polygons, without lines and points that overlays leave behind."""
    parts = shapely.get_parts(geometry)
    parts = parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]
    return parts[0] if len(parts) == 1 else shapely.multipolygons(parts)


@dataclass(slots=True)
class Surface:
    """The boundary of a region, without what lies on the axis: stretches starts[i] to ends[i], both (m, 2)."""

    starts: Array
    ends: Array
    tree: shapely.STRtree

    @classmethod
    def of(cls, body: Geometry) -> Surface:
        pairs = [shapely.get_coordinates(r) for r in shapely.get_rings(shapely.get_parts(body))]
        starts = np.concatenate([p[:-1] for p in pairs]) if pairs else np.empty((0, 2))
        ends = np.concatenate([p[1:] for p in pairs]) if pairs else np.empty((0, 2))
        off_axis = np.maximum(np.abs(starts[:, 1]), np.abs(ends[:, 1])) > NO_AXIS
        starts, ends = starts[off_axis], ends[off_axis]
        return cls(starts, ends, shapely.STRtree(shapely.linestrings(np.stack([starts, ends], axis=1))))

    def near(self, points: Array) -> tuple[Indices, Array]:
        """The stretch nearest to each point (m, 2), and how far it is."""
        found, distance = self.tree.query_nearest(shapely.points(points), all_matches=False, return_distance=True)
        return found[1], distance

    def distance_to(self, index: Indices, points: Array) -> Array:
        """Distance from each point to the stretch that goes with it."""
        a, along = self.starts[index], self.ends[index] - self.starts[index]
        t = np.clip(np.sum((points - a) * along, axis=1) / np.maximum(np.sum(along**2, axis=1), 1e-300), 0.0, 1.0)
        gap = points - a - t[:, None] * along
        return np.asarray(np.hypot(gap[:, 0], gap[:, 1]))

    def farthest(self, area: Geometry) -> Hit:
        """The greatest distance of any point of `area` from the surface, mm, and where; (0, None) for no area."""
        rings = shapely.get_rings(shapely.get_parts(area))
        if not len(rings) or not len(self.starts):
            return 0.0, None
        pairs = [shapely.get_coordinates(r) for r in rings]
        a, b = np.concatenate([p[:-1] for p in pairs]), np.concatenate([p[1:] for p in pairs])
        best, where = self._along(a, b)
        if best > THICK:
            best, where = max((best, where), self._inside(area), key=lambda hit: hit[0])
        return best, where

    def _along(self, a: Array, b: Array) -> Hit:
        """Farthest point on the edges a to b, by halving all that could still hold a farther one.

        Distance from one stretch is convex along an edge, so an edge is no farther than its farther end is from it.
        """
        (i, fa), (j, fb) = self.near(a), self.near(b)
        best, where = -1.0, None
        while len(a):
            k = int(np.argmax(fa if fa.max() >= fb.max() else fb))
            value, point = (fa[k], a[k]) if fa.max() >= fb.max() else (fb[k], b[k])
            if value > best:
                best, where = float(value), (float(point[0]), float(point[1]))
            bound = np.minimum(np.maximum(fa, self.distance_to(i, b)), np.maximum(fb, self.distance_to(j, a)))
            open_ = bound > best + 1e-7 + 1e-3 * best
            a, b, i, j, fa, fb = a[open_], b[open_], i[open_], j[open_], fa[open_], fb[open_]
            middle = (a + b) / 2.0
            if not len(a):
                break
            k_, fm = self.near(middle)
            a, b = np.concatenate([a, middle]), np.concatenate([middle, b])
            i, j = np.concatenate([i, k_]), np.concatenate([k_, j])
            fa, fb = np.concatenate([fa, fm]), np.concatenate([fm, fb])
        return best, where

    def _inside(self, area: Geometry) -> Hit:
        """Farthest of 40 x 40 points over the area: for thick regions, whose middle may be farther than their edge."""
        z0, x0, z1, x1 = shapely.bounds(area)
        z, x = np.meshgrid(np.linspace(z0, z1, 42)[1:-1], np.linspace(x0, x1, 42)[1:-1])
        points = np.stack([z.ravel(), x.ravel()], axis=1)
        points = points[shapely.contains_xy(area, points[:, 0], points[:, 1])]
        if not len(points):
            return 0.0, None
        _, distance = self.near(points)
        k = int(np.argmax(distance))
        return float(distance[k]), (float(points[k, 0]), float(points[k, 1]))
