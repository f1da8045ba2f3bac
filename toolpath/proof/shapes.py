"""A tool in the forms the proof needs: within its outline, round it, and a trifle smaller to tell touch from crash."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from msgspec import Struct

from toolpath.geometry.elements import Chain
from toolpath.proof.flatten import Array, Box, Geometry
from toolpath.proof.setting import FINE
from toolpath.proof.sweep import SAME_POINT, Convex, inset, outline, single_moves, swept

if TYPE_CHECKING:
    from toolpath.shop.tools import Tool


class Edge(Struct, frozen=True):
    """inner, outer: a cutting outline from within and from outside, both at most FINE from it
    core:         the outline, smaller by the contact tolerance or up to twice as much
    """

    inner: Convex
    outer: Convex
    core: Convex

    @classmethod
    def of(cls, chain: Chain, contact: float) -> Edge:
        return cls(
            inner=outline(chain, FINE, outside=False),
            outer=outline(chain, FINE, outside=True),
            core=inset(outline(chain, contact, outside=False), contact),
        )


class Shapes(Struct, frozen=True):
    """number, name: for messages. edges: what cuts, the first of them the tool's own outline
    holders, holder_cores: what carries the edge, from outside, and its core
    touch:        the contact tolerance, mm
    """

    number: int
    name: str
    edges: tuple[Edge, ...]
    holders: tuple[Convex, ...]
    holder_cores: tuple[Convex, ...]
    touch: float

    @property
    def everything(self) -> tuple[tuple[str, Convex, Convex], ...]:
        """(what it is, outline, core) of edge and holder."""
        edges = tuple(("the tool", e.outer, e.core) for e in self.edges)
        return edges + tuple(("the holder", h, c) for h, c in zip(self.holders, self.holder_cores, strict=True))


def shapes(tool: Tool, contact: float) -> Shapes:
    """The forms of a tool; contact: tolerance, mm."""
    return Shapes(
        number=tool.number,
        name=tool.name,
        edges=tuple(Edge.of(chain, contact) for chain in (tool.outline, *tool.steps)),
        holders=tuple(outline(h, FINE, outside=True) for h in tool.holder),
        holder_cores=tuple(inset(outline(h, contact, outside=False), contact) for h in tool.holder),
        touch=contact,
    )


def may_meet(tool: Convex, way: Box, target: Box) -> bool:
    """Whether the box round a tool moving within the box `way` meets the box `target`."""
    z0, x0, z1, x1 = moved_box(tool, way)
    return z0 <= target[2] and z1 >= target[0] and x0 <= target[3] and x1 >= target[1]


def moved_box(tool: Convex, way: Box) -> Box:
    """Box round a tool whose point moves within `way`, and on this side of the axis what comes round from beyond."""
    (a0, b0, a1, b1), (c0, d0, c1, d1) = tool.box, way
    z0, x0, z1, x1 = a0 + c0, b0 + d0, a1 + c1, b1 + d1
    return (z0, x0, z1, max(x1, -x0))


def round_box(tool: Convex, way: Box) -> Geometry:
    """Array of the convex polygon a tool covers whose point goes anywhere within `way`, folded like `covered`."""
    z0, x0, z1, x1 = way
    copies = np.concatenate([tool.points + corner for corner in ((z0, x0), (z1, x0), (z1, x1), (z0, x1))])
    return folded(np.array([shapely.convex_hull(shapely.multipoints(copies))]))


def simpler(path: Array, tolerance: float) -> Array:
    """The broken line without the points that it passes within `tolerance` (mm) all the same."""
    points: Array = shapely.get_coordinates(shapely.simplify(shapely.LineString(path), tolerance))
    keep = np.abs(np.diff(points, axis=0)).max(axis=1) > SAME_POINT
    return np.asarray(points[np.concatenate([[True], keep])])


def covered(tool: Convex, path: Array) -> Geometry:
    """Array of polygons that the tool covers on its way. What lies beyond the axis meets metal that turns towards it
    from the other side, so it is taken on this side as well."""
    return folded(swept(tool, path))


def covered_one_by_one(tool: Convex, paths: list[Array]) -> list[Geometry]:
    """What `covered` gives for each of several short paths, all moves made ready at once."""
    if not paths:
        return []
    pieces = single_moves(tool, np.concatenate([p[:-1] for p in paths]), np.concatenate([p[1:] for p in paths]))
    below = shapely.bounds(pieces)[:, 1] < 0.0
    ends = np.cumsum([len(p) - 1 for p in paths])
    split = np.split(pieces, ends[:-1])
    if not below.any():
        return split
    return [
        np.concatenate([p, mirrored(p[b])]) if b.any() else p
        for p, b in zip(split, np.split(below, ends[:-1]), strict=True)
    ]


def covered_by_moves(tool: Convex, starts: Array, ends: Array) -> Geometry:
    """One geometry for each straight move, folded like `covered`."""
    pieces = single_moves(tool, starts, ends)
    below = shapely.bounds(pieces)[:, 1] < 0.0
    if below.any():
        pieces[below] = shapely.union(pieces[below], mirrored(pieces[below]))
    return pieces


def folded(pieces: Geometry) -> Geometry:
    """The pieces, and the mirror images of those that reach beyond the axis."""
    below = pieces[shapely.bounds(pieces)[:, 1] < 0.0]
    return np.concatenate([pieces, mirrored(below)]) if len(below) else pieces


def mirrored(pieces: Geometry) -> Geometry:
    return shapely.transform(pieces, lambda p: p * (1.0, -1.0))
