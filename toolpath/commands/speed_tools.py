"""Plain tools for the look-up `speed`, where no rack says what there is: one for each operation."""

from __future__ import annotations

import math

from msgspec.structs import replace

from toolpath.shop.drawer import drill_tool
from toolpath.shop.drills import Drill, jobber_flute
from toolpath.shop.rack_rows import BladeRow, GroundRow, InsertRow, ReamerRow, Row, ThreadingRow
from toolpath.shop.rack_tools import tool_from
from toolpath.shop.tools import Tool

POINT = math.radians(118.0)  # of a drill for general use, common practice
BLADE = 2.0  # mm: width of the blade
FLUTE = 5.0  # diameters: of a reamer, common practice, no source
OUT = 8.0 * BLADE  # mm: as far as a blade of that width may stand out, common practice

ROWS: dict[str, Row] = {
    "HSS": GroundRow(number=1, entering=93, included=80, nose_radius=0.4, name="HSS bit, 93 deg, nose 0.4"),
    "carbide": InsertRow(number=1, insert="CCMT 060204", entering=95, name="CCMT 060204, 95 deg, nose 0.4"),
    "groove": BladeRow(number=1, width=BLADE, reach=OUT, name="blade 2 mm wide, 16 mm out"),
    "thread": ThreadingRow(number=1, angle=60, depth=2, flat=0.1, name="60 deg threading point"),
}


def plain_tool(operation: str, material: str, *, dia: float) -> Tool:
    """A usual tool for an operation. material: `HSS` | `carbide`; dia: of what is drilled or reamed, mm."""
    if operation == "drill":
        tool = drill_tool(Drill(f"{dia:g}", dia, "metric", point=POINT, flute=jobber_flute(dia)))
    elif operation == "ream":
        tool = tool_from(ReamerRow(dia=dia, flute=FLUTE * dia))
    else:
        tool = tool_from(ROWS[{"part off": "groove", "groove": "groove", "thread": "thread"}.get(operation, material)])
    return replace(tool, material=material)
