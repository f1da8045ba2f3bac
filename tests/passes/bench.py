"""Contours and tools for these tests, and how deep a straight way runs into metal at that moment."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely

from tests.geometry.strategies import nose_tool
from toolpath.geometry.cutter import Cutter, cutter
from toolpath.geometry.elements import Chain, Line, Point, points_of, polyline
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.passes.legs import Leg, Legs, Pace
from toolpath.passes.rough import Roughing

NOSE = 0.4
TOP = 12.5
DEPTH = 1.5
CLEAR = 1.0
LEAVE = (0.1, 0.2)
FRONT = 0.0
START = (26.0, 40.0)

KNIFE = nose_tool(NOSE, (math.radians(30.0), math.radians(87.0)), tip=-1, long=(30.0, 30.0))
"""A right-hand outside tool of 93 deg whose trailing edge stands at 30 deg; the imaginary tip is its point."""


def knife(leave: tuple[float, float] = (0.0, 0.0)) -> Cutter:
    plain = cutter(KNIFE)
    return plain.leaving(*leave) if leave != (0.0, 0.0) else plain


def with_front(*points: Point) -> Chain:
    """A contour from the chuck to the front face at z = 0, then down past the axis and on in front of it."""
    return polyline([*points, (FRONT, -NOSE), (FRONT + 200.0, -NOSE)])


def bar(left: float) -> Chain:
    return (Line((left, TOP), (FRONT, TOP)), Line((FRONT, TOP), (FRONT, -NOSE)))


def job(keep: Chain, *, depth: float = DEPTH, leave: tuple[float, float] = LEAVE) -> Roughing:
    """Roughing of a bar of radius 12.5 down to `keep`, as a plan asks for it."""
    stock = envelope(bar(keep[0].a[0]), knife())
    return Roughing(
        keep=envelope(keep, knife(leave)),
        stock=stock,
        within=(keep[0].a[0] + 2.0, stock.hi + CLEAR),
        top=TOP,
        depth=depth,
        clearance=CLEAR,
    )


def bare(keep: Chain) -> Envelope:
    return envelope(keep, knife())


class Lathe:
    """Metal as shapely sees it, cut by a tool's own outline, leaning edges and all, that is swept along legs."""

    def __init__(self, metal: shapely.Geometry, tool: Chain = KNIFE) -> None:
        self.tool = np.array(points_of(tool, 1e-3))
        self.metal = metal

    def swept(self, a: Point, b: Point) -> shapely.Geometry:
        return shapely.convex_hull(shapely.MultiPoint(np.concatenate([self.tool + a, self.tool + b])))

    def way(self, leg: Leg) -> shapely.Geometry:
        pts = [leg.path.a, *leg.path.flattened(1e-3)]
        return shapely.union_all([self.swept(p, q) for p, q in itertools.pairwise(pts)])

    def bite(self, leg: Leg) -> float:
        """Area of metal in the way of a leg, mm2."""
        return float(self.metal.intersection(self.way(leg)).area)

    def cut(self, leg: Leg) -> float:
        """Take away what is in the way; its area."""
        taken = self.bite(leg)
        self.metal = self.metal.difference(self.way(leg))
        return taken


def under(chain: Chain, left: float, right: float) -> shapely.Geometry:
    """The metal under a chain that runs left to right, as a polygon down to a depth below everything."""
    pts = points_of(chain, 1e-4)
    polygon = shapely.Polygon([*pts, (pts[-1][0], -50.0), (pts[0][0], -50.0)])
    return polygon.intersection(shapely.box(left, -50.0, right, 100.0))


def passes(legs: Legs) -> list[Legs]:
    """Runs of feed legs between rapids."""
    out: list[list[Leg]] = [[]]
    for leg in legs:
        if leg.pace is Pace.RAPID:
            if out[-1]:
                out.append([])
        else:
            out[-1].append(leg)
    return [tuple(run) for run in out if run]


def joined(legs: Legs, start: Point) -> bool:
    """Whether every leg starts where the one before it ended, to the height that counts as one (1e-7 mm)."""
    at = start
    for leg in legs:
        if math.dist(leg.path.a, at) > 2e-7:
            return False
        at = leg.path.b
    return True
