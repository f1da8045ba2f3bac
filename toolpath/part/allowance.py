"""Metal left on for polishing: diameters that are free grow by it; fits and threads are at their size already."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from toolpath.part.rows import Ball, Curve, Cylinder, Dome, Neck, Row, Taper, ThreadRow
from toolpath.quantity import Size

SAME = 1e-9


def left_on(rows: Sequence[Row], allowance: float) -> tuple[Row, ...]:
    """The outside rows with `allowance` mm more on every diameter without limits, but for threads.

    A slope or an arc that runs into a fit still meets it at its size.
    """
    return tuple(_grown(row, allowance, meets=_meets(rows[k + 1 :])) for k, row in enumerate(rows))


def _grown(row: Row, more: float, *, meets: float | None) -> Row:
    """meets: the diameter of a fit or thread that follows, None where what follows is free"""
    if isinstance(row, Cylinder | Neck):
        free = not row.dia.toleranced and not (isinstance(row, Cylinder) and row.threaded)
        return replace(row, dia=_larger(row.dia, more)) if free else row
    if isinstance(row, Taper | Curve | Dome | Ball):
        start = None if row.start is None else row.start + more
        kept = row.end is None or (meets is not None and abs(row.end - meets) < SAME)
        row = replace(row, start=start, end=row.end if kept else (row.end or 0.0) + more)
        if isinstance(row, Ball):
            return replace(row, sphere=row.sphere + more)
        if isinstance(row, Dome) and row.radius is not None:
            return replace(row, radius=row.radius + more / 2.0)
    return row


def _meets(following: Sequence[Row]) -> float | None:
    row = next((r for r in following if isinstance(r, Cylinder | Neck | Taper | Curve | Dome | Ball | ThreadRow)), None)
    if isinstance(row, ThreadRow):
        return row.dia.value
    if isinstance(row, Cylinder | Neck) and (row.dia.toleranced or (isinstance(row, Cylinder) and row.threaded)):
        return row.dia.value
    return None


def _larger(size: Size, more: float) -> Size:
    return replace(size, value=size.value + more, lower=size.lower + more, upper=size.upper + more)
