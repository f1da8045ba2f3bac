"""A bar with a 6 mm hole drilled to 20 mm over its full diameter: part, tools, and the text that drills it."""

from __future__ import annotations

import math
from typing import Any

from toolpath.geometry.elements import Chain, polyline
from toolpath.proof.prove import Proof
from toolpath.shop.tools import Tool

from tests.passes.hole_tools import hole_tool  # isort: skip
from tests.proof.bench import box, proven  # isort: skip

POINT = 3.0 / math.tan(math.radians(59.0))  # mm, length of a 118 deg point on 6 mm
BOTTOM = -20.0 - POINT
DRILLED: Chain = polyline(
    [(-60.0, 10.0), (-60.0, 0.0), (BOTTOM, 0.0), (-20.0, 3.0), (0.0, 3.0), (0.0, 10.0)], close=True
)
HOLE: Chain = polyline([(BOTTOM, 0.0), (0.0, 0.0), (0.0, 3.0), (-20.0, 3.0)], close=True)
HOLLOW_MM3 = math.pi * 9.0 * (20.0 + POINT / 3.0)  # cylinder and cone
WRITTEN = round(BOTTOM, 3)  # mm, as deep as the text says
TEXT = f"""(bushing, 20 mm bar in a collet)
(starts at X80. Z60. mm, X a diameter)
G21 G18 G90 G7 G40 G61 G80 G91.1
(--- 1 drill T7)
T7 M06
G43 H7
G97 S1200 M03
G04 P3.
G95 F0.08
G00 Z5.
G00 X0.
G00 Z1.
G01 Z-15.
G00 Z1.
G00 Z-14.
G01 Z-20.
F0.04
G01 Z{WRITTEN}
G00 Z1.
G00 Z5.
G00 X80.
G00 Z60.
M05
M30
"""


def drilled(text: str = TEXT, tool: Tool | None = None, **changes: Any) -> Proof:
    given: dict[str, Any] = {
        "stock": (box(-60.0, 0.0, 10.0),),
        "part": (DRILLED,),
        "goal": (DRILLED,),
        "tools": {7: tool or hole_tool(7)},
    }
    return proven(text, **(given | changes))
