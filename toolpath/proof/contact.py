"""Where something touches that must not: rapids, the hold on any move, the holder while the edge cuts."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from msgspec import Struct

from toolpath.motion import Move
from toolpath.proof.findings import Finding, finding
from toolpath.proof.flatten import Array, Box, Geometry
from toolpath.proof.measure import Hit, Surface, polygons, worst
from toolpath.proof.shapes import Shapes, covered, covered_by_moves, may_meet, moved_box, round_box, simpler
from toolpath.proof.sweep import SHORTEST_RING, Convex, box_round
from toolpath.proof.tracks import Run

COARSE = 0.05  # mm: a long way is first tried as a few straight moves at most so far from it


class Target(Struct):
    """Something not to be touched: its name, its polygons (prepared) and the box round them."""

    name: str
    body: Geometry
    box: Box

    @classmethod
    def of(cls, name: str, body: Geometry) -> Target:
        shapely.prepare(body)
        return cls(name, body, tuple(shapely.bounds(body).tolist()))


def on_the_way(run: Run, shapes: Shapes, targets: list[Target], *, only: str = "") -> Iterator[Finding]:
    """At most one finding for each body of the tool and target: the first move of a run on which they overlap.

    only: `the holder` to leave the edge out.
    """
    if len(run.path) < 2:
        return
    short = len(run.path) <= SHORTEST_RING
    for what, body, core in shapes.everything:
        met = [t for t in targets if (not only or what == only) and may_meet(core, run.box, t.box)]
        if not met:
            continue
        if not short:
            rough = covered(core, simpler(run.path, COARSE))
            met = [t for t in met if shapely.dwithin(t.body, rough, COARSE).any()]
        if not met:
            continue
        pieces = run.covered(core) if short else covered(core, simpler(run.path, shapes.touch))
        for target in met:
            if shapely.intersects(target.body, pieces).any():
                yield from _first(run, (what, body, core), shapes, target)


def _first(run: Run, one: tuple[str, Convex, Convex], shapes: Shapes, target: Target) -> Iterator[Finding]:
    what, body, core = one
    moves = covered_by_moves(core, run.path[:-1], run.path[1:])
    hits = np.nonzero(shapely.intersects(target.body, moves))[0]
    if len(hits):  # the simpler way may have strayed by a hair
        k = int(hits[0])
        size, at = overlap(body, run.path[k : k + 2], target.body)
        yield _finding(what, run.moves[int(run.owner[k])], shapes, target, size=size, at=at)


def _finding(what: str, move: Move, shapes: Shapes, target: Target, *, size: float, at: object) -> Finding:
    place = "" if not isinstance(at, tuple) else f" at z {at[0]:.3f}, x {at[1]:.3f}"
    text = f"{what} of T{shapes.number} ({shapes.name}) runs {size:.3f} mm into {target.name}{place}; "
    where = at if isinstance(at, tuple) else move.end
    kind = {
        "the stock": "rapid-contact",
        "the hold": "hold-contact",
        "the tailstock": "hold-contact",
        "standing metal": "holder-contact",
    }[target.name]
    advice = {
        "rapid-contact": "go clear of it before the rapid, or feed",
        "hold-contact": "let the work stand out farther, or keep the tool away",
        "holder-contact": "take a tool that reaches, or let it stand out farther",
    }[kind]
    return finding(kind, text + advice, line=move.line, tool=shapes.number, at=where, size=size)


def overlap(body: Convex, path: Array, target: Geometry) -> Hit:
    """How deep, mm, a moving outline reaches into a target, and where it does most."""
    reached = polygons(shapely.intersection(shapely.union_all(covered(body, path)), target))
    return worst(Surface.of(target).farthest(reached))


def bent_rapid(run: Run, shapes: Shapes, target: Target) -> Iterator[Finding]:
    """A rapid of both axes that is clear only if it is straight, which controls do not promise."""
    for move in run.moves:
        (z0, x0), (z1, x1) = move.start, move.end
        if min(abs(z1 - z0), abs(x1 - x0)) < 1e-6:
            continue
        box = (min(z0, z1), min(x0, x1), max(z0, z1), max(x0, x1))
        for what, _, core in shapes.everything:
            if may_meet(core, box, target.box) and shapely.intersects(target.body, round_box(core, box)).any():
                text = (
                    f"{what} of T{shapes.number} ({shapes.name}) clears {target.name} only if this rapid of both axes "
                    "runs straight, which controls do not promise; move one axis at a time"
                )
                yield finding("bent-rapid", text, line=move.line, tool=shapes.number, at=move.end)
                break


def clearance(run: Run, shapes: Shapes, targets: list[Target], *, best: float, touch: float) -> float:
    """The least distance, mm (within `touch`), of tool or holder from the targets on the run's rapids, or `best` if
    that is less. A rapid that leaves metal starts at distance 0; of such only where it ends counts.
    """
    for k in range(len(run.path) - 1):
        way = run.path[k : k + 2]
        box = box_round(way)
        for _, _, core in shapes.everything:
            for target in targets:
                if _gap(moved_box(core, box), target.box) >= best:
                    continue
                part = run.of_step(core, k)
                if math.isfinite(best) and not shapely.dwithin(target.body, part, best + touch).any():
                    continue
                gap = _distance(part, target)
                if gap <= 2.0 * touch:
                    start, end = shapely.polygons(core.points + way[:, None])
                    if shapely.dwithin(target.body, start, 2.0 * touch):
                        gap = _distance(end, target)
                best = min(best, max(0.0, gap - touch))
    return best


def _distance(part: Geometry, target: Target) -> float:
    return float(np.min(shapely.distance(part, target.body)))


def _gap(a: Box, b: Box) -> float:
    dz, dx = max(a[0] - b[2], b[0] - a[2], 0.0), max(a[1] - b[3], b[1] - a[3], 0.0)
    return math.hypot(dz, dx)
