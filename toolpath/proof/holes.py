"""Tools that work on the axis: never sideways where metal is, never deeper than their flutes reach."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import shapely

from toolpath.motion import Move
from toolpath.proof.contact import Target
from toolpath.proof.findings import Finding, finding
from toolpath.proof.flatten import Box
from toolpath.proof.shapes import Shapes, may_meet
from toolpath.proof.tracks import Run


def sideways(run: Run, shapes: Shapes, stock: Target, *, digit: float) -> Iterator[Finding]:
    """Moves of a hole tool off the axis by more than `digit`, mm, on which it is within the box round the stock: in its
    hole it would break, and beside the axis its point cuts nothing."""
    for move in run.moves:
        off = max(abs(move.start[1]), abs(move.end[1]))
        if off > digit and any(may_meet(e.core, _box(move), stock.box) for e in shapes.edges):
            text = (
                f"T{shapes.number} ({shapes.name}) goes {off:.3f} mm off the axis within the work; bring it to the "
                "axis and away from it in front of the work, and move it along the axis only"
            )
            yield finding("off-axis", text, line=move.line, tool=shapes.number, at=move.end, size=off)


def depth(run: Run, shapes: Shapes, stock: Target, *, most: float) -> Iterator[Finding]:
    """A run that takes the point deeper than `most`, mm, below the mouth of its hole.

    The mouth is where the wall of the hole begins: metal just outside the tool's greatest radius.
    """
    deepest = min(range(len(run.path)), key=lambda k: float(run.path[k, 0]))
    radius = max(e.outer.box[3] for e in shapes.edges) + 2.0 * shapes.touch
    z0, _, z1, _ = stock.box
    wall = shapely.intersection(stock.body, shapely.LineString([(z0 - 1.0, radius), (z1 + 1.0, radius)]))
    if wall.is_empty:
        return
    z = float(run.path[deepest, 0])
    mouth = float(shapely.bounds(wall)[2])
    if mouth - z - most > shapes.touch:
        text = (
            f"T{shapes.number} ({shapes.name}) goes {mouth - z:.3f} mm deep, its flutes clear chips to {most:g} mm; "
            "take a longer one, or drill from both ends"
        )
        line = run.line_of(max(deepest - 1, 0))
        yield finding("too-deep", text, line=line, tool=shapes.number, at=(z, 0.0), size=mouth - z - most)


def worst_of(found: Iterable[Finding]) -> list[Finding]:
    """Of each code and tool the one of greatest size, the first of equals."""
    kept: dict[tuple[str, int], Finding] = {}
    for f in found:
        key = (f.code, f.tool)
        if key not in kept or f.size_mm > kept[key].size_mm:
            kept[key] = f
    return list(kept.values())


def _box(move: Move) -> Box:
    (za, xa), (zb, xb) = move.start, move.end
    return (min(za, zb), min(xa, xb), max(za, zb), max(xa, xb))
