"""The stock as it stands while the program runs: cuts taken off, pieces that fall, finished metal that is lost."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from msgspec import Struct, field

from toolpath.proof.contact import Target
from toolpath.proof.flatten import Geometry
from toolpath.proof.measure import Hit, Surface, only_areas, polygons, region, worst
from toolpath.proof.setting import FINE, Setting
from toolpath.proof.shapes import Edge, Shapes, covered, covered_by_moves, may_meet
from toolpath.proof.sweep import Convex
from toolpath.proof.thread_zones import ThreadZone
from toolpath.proof.tracks import Run

HELD = 0.01  # mm from what grips the work: what is nearer is held
NEAR = 4.0 * FINE  # mm between what a tool covers from within and from outside, with room to spare
NONE: Geometry = np.empty(0, dtype=object)
CHIP = 1e-3  # mm, mean thickness: what is thinner is no piece


class Fallen(Struct, frozen=True):
    """A piece that came off: its outline (polygon), the line of the move that freed it, the tool."""

    line: int
    tool: int
    body: Geometry


class Gouge(Struct, frozen=True):
    """Metal of the finished part that was cut away: depth (mm), deepest place, line and tool."""

    depth: float
    at: tuple[float, float]
    line: int
    tool: int


class Standing(Struct):
    """stock: what stands and is held; part: what of the finished part may still be spoiled;
    forgiven: depth of a gouge that is none, mm; bare: what was cut off crests, and stands in the outline only."""

    stock: Target
    part: Target
    surface: Surface
    hold: Geometry
    forgiven: float
    fallen: list[Fallen] = field(default_factory=list)
    bare: list[Geometry] = field(default_factory=list)

    @classmethod
    def of(cls, setting: Setting) -> Standing:
        part = region(setting.part)
        return cls(Target.of("the stock", region(setting.stock)), Target.of("the part", part), Surface.of(part),
                   region(setting.gripping), setting.gouge_tolerance)  # fmt: skip

    def cut(self, run: Run, shapes: Shapes) -> tuple[bool, Gouge | None]:
        """Takes what a run of cuts covers off the stock: (whether it met any, the deepest gouge)."""
        if len(run.path) < 2:
            return False, None
        met, worst_one = False, None
        for edge in shapes.edges:
            one, gouge = self._cut(run, edge, shapes.number)
            met |= one
            if gouge and (worst_one is None or gouge.depth > worst_one.depth):
                worst_one = gouge
        return met, worst_one

    def take(self, areas: Geometry, *, line: int) -> Gouge | None:
        """Takes an array of polygons off the stock, as a person's hand does at a stop in that line: the gouge."""
        lost = polygons(shapely.intersection(self.part.body, shapely.union_all(areas)))
        depth, at = worst(self.surface.farthest(lost))
        self._takes(areas, number=0, line=lambda: line)
        return Gouge(depth, at, line, 0) if at is not None and depth > 0.0 else None

    @property
    def in_the_way(self) -> Target:
        """The stock as a rapid may meet it: without what was cut off crests."""
        if not self.bare:
            return self.stock
        return Target.of(self.stock.name, shapely.difference(self.stock.body, shapely.union_all(self.bare)))

    def threaded(self, run: Run, shapes: Shapes, zone: ThreadZone | None, *, touch: float) -> Gouge | None:
        """The deepest gouge of a threading pass, which leaves the stock as it is but for its groove.

        zone: where it may cut the part, touch (mm) wider
        """
        allowed = zone.band(touch) if zone else None
        if zone and zone.cut_crest is not None:
            swept = shapely.union_all([shapely.union_all(run.covered(edge.inner)) for edge in shapes.edges])
            self.bare.append(shapely.intersection(swept, zone.over_crests()))
        gouges = [
            self._gouge(run, edge, shapes.number, allowed=allowed)
            for edge in shapes.edges
            if len(run.path) > 1 and may_meet(edge.outer, run.box, self.part.box)
        ]
        return max((g for g in gouges if g), key=lambda g: g.depth, default=None)

    def _cut(self, run: Run, edge: Edge, number: int) -> tuple[bool, Gouge | None]:
        if not may_meet(edge.outer, run.box, self.stock.box):
            return False, None
        pieces = run.covered(edge.inner)
        close = may_meet(edge.outer, run.box, self.part.box) and shapely.dwithin(self.part.body, pieces, NEAR).any()
        gouge = self._gouge(run, edge, number) if close else None
        pieces = pieces[shapely.intersects(self.stock.body, pieces)]
        if not len(pieces):
            return False, gouge
        self._takes(pieces, number=number, line=lambda: self._line_of_parting(run, edge.inner))
        return True, gouge

    def _takes(self, pieces: Geometry, *, number: int, line: Callable[[], int]) -> None:
        """Takes pieces off; number, line: of the tool and of the move that frees what then falls."""
        left = only_areas(shapely.difference(self.stock.body, shapely.union_all(pieces)))
        held, fallen = self._parted(left)
        if len(fallen):
            freed = line()
            self.fallen += [Fallen(freed, number, piece) for piece in fallen]
            self.part = Target.of("the part", only_areas(shapely.difference(self.part.body, shapely.union_all(fallen))))
        self.stock = Target.of("the stock", held)

    def _gouge(self, run: Run, edge: Edge, number: int, *, allowed: Geometry | None = None) -> Gouge | None:
        path = run.path
        pieces = run.covered(edge.outer)
        pieces = pieces[shapely.intersects(self.part.body, pieces)]
        if not len(pieces):
            return None
        lost = shapely.intersection(self.part.body, shapely.union_all(pieces))
        lost = polygons(lost if allowed is None else shapely.difference(lost, allowed))
        depth, at = worst(self.surface.farthest(lost))
        if at is None or depth <= 0.0:
            return None
        if depth <= self.forgiven:
            return Gouge(depth, at, run.line_of(0), number)
        moves = covered_by_moves(edge.outer, path[:-1], path[1:])
        k = int(np.argmin(shapely.distance(moves, shapely.Point(at))))
        return Gouge(depth, at, run.line_of(k), number)

    def _parted(self, left: Geometry) -> tuple[Geometry, Geometry]:
        """(what stays, the pieces that fall): a piece stays that touches what grips it. Without, or when no piece does,
        the one that reaches farthest towards the chuck stays."""
        if left.geom_type == "Polygon":
            return left, NONE
        parts = shapely.get_parts(left)
        parts = parts[2.0 * shapely.area(parts) > CHIP * shapely.length(parts)]
        stays = shapely.dwithin(parts, self.hold, HELD) if not self.hold.is_empty else np.zeros(len(parts), dtype=bool)
        if not stays.any() and len(parts):
            stays[int(np.argmin(shapely.bounds(parts)[:, 0]))] = True
        return only_areas(shapely.multipolygons(parts[stays])), parts[~stays]

    def _line_of_parting(self, run: Run, tool: Convex) -> int:
        """Line of the first move of the run after which a piece is loose."""
        path = run.path
        low, high = 1, len(path) - 1
        while low < high:
            middle = (low + high) // 2
            left = shapely.difference(self.stock.body, shapely.union_all(covered(tool, path[: middle + 1])))
            low, high = (low, middle) if len(self._parted(only_areas(left))[1]) else (middle + 1, high)
        return run.line_of(low - 1)


def leftover(
    result: Geometry, goal: Geometry, surface: Surface, *, least: float
) -> tuple[Hit, list[tuple[Geometry, Hit]]]:
    """(Farthest point of `result` from `goal`, the regions farther than `least` with theirs, the thickest first).

    Tools were taken from within, so that the figure may only be too great, by 2 FINE.
    """
    over = least + 2.0 * FINE
    pieces = polygons(shapely.difference(result, goal))
    hits = surface.farthest(pieces)
    places = [_thicker(p, goal, least) for p, h in zip(pieces, hits, strict=True) if h[0] > over]
    regions = np.concatenate(places) if places else NONE
    thick = [(p, h) for p, h in zip(regions, surface.farthest(regions), strict=True) if h[0] > over]
    return worst(hits), sorted(thick, key=lambda ph: -ph[1][0])


def _thicker(piece: Geometry, goal: Geometry, least: float) -> Geometry:
    """Array of the polygons of a piece that lie farther than `least` from the goal; a film of rounding joins many."""
    z0, x0, z1, x1 = shapely.bounds(piece)
    near = shapely.clip_by_rect(goal, z0 - 2.0 * least, x0 - 2.0 * least, z1 + 2.0 * least, x1 + 2.0 * least)
    return polygons(shapely.difference(piece, shapely.buffer(near, least)))
