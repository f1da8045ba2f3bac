"""Thin walls change the order: the hole is bored while the bar round it is whole, its thickness left to the end."""

from __future__ import annotations

from toolpath.part.walls import least_wall
from toolpath.plan.hole_rows import Rows
from toolpath.plan.request import Request

THIN = 2.0
"""Times the material's least wall: thinner ones give way to the bar while it bores (common practice, no source)."""


def bored_first(request: Request, rows: Rows) -> str:
    """Why the hole is bored before the outside is roughed, and not between its passes as usual; else empty."""
    wall = least_wall(request.part) if rows.bored else None
    least = request.material.least_wall
    if wall is None or wall.thick >= THIN * least:
        return ""
    return (
        f"after the bore, not before it as usual: a wall of {wall.thick:.2f} mm stays at z {wall.outside[0]:.2f}, less "
        f"than {THIN:g} times the least of {least:g} mm in {request.material.title}; its thickness is left to the end"
    )
