"""The broken edge at a hole's mouth, where a countersink of the rack has its cone."""

from __future__ import annotations

import math

from msgspec.structs import replace

from toolpath.geometry.elements import Line
from toolpath.plan.hole_rows import Rows, Step, of_kind
from toolpath.plan.share import SAME
from toolpath.shop.drawer import Drawer
from toolpath.shop.hole_duties import hole_refusal
from toolpath.shop.tools import Tool


def by_countersink(drawer: Drawer, rows: Rows) -> Rows:
    """The rows with an edge at the mouth that a countersink of the rack makes, where a bar need not come for it."""
    return replace(rows, made=("drilled", *rows.made[1:])) if rows.bored == 1 and _countersink(drawer, rows) else rows


def broken_edges(drawer: Drawer, rows: Rows) -> list[Step]:
    """A countersink for the broken edge of a hole that no bar goes along."""
    found = None if rows.bored else _countersink(drawer, rows)
    if found is None or found.hole is None:
        return []
    mouth = 2.0 * rows.chain[0].a[1]
    return [Step("countersink", found, mouth, -found.hole.depth_for_mouth(mouth), f"breaks the edge to {mouth:.2f} mm")]


def _countersink(drawer: Drawer, rows: Rows) -> Tool | None:
    """The countersink of the rack whose cone is that of the edge at the mouth."""
    edge = rows.chain[0] if rows.chain else None
    if not isinstance(edge, Line) or edge.a[1] <= edge.b[1] + SAME or abs(edge.a[0] - edge.b[0]) <= SAME:
        return None
    mouth = 2.0 * edge.a[1]
    angle = 2.0 * math.atan2(edge.a[1] - edge.b[1], edge.a[0] - edge.b[0])
    for tool in of_kind(drawer, "countersink"):
        hole = tool.hole
        if hole is None or abs(hole.cone - angle) > 1e-6 or hole.pilot[0] > 2.0 * edge.b[1] + SAME:
            continue
        if not hole_refusal(tool, "countersink", deep=hole.depth_for_mouth(mouth), dia=mouth):
            return tool
    return None
