"""The first move: to a stated place clear of everything, and a stop at which a rule shows whether it is the right one.

Units and the meaning of X differ between controls, and a wrong zero looks like a right one. So the first tool goes,
with the spindle off, to a place in round figures. Read as millimetres for inches, inches for millimetres, a radius for
a diameter or a diameter for a radius that place is another one, by far, and as clear of work and hold as the right one.
"""

from __future__ import annotations

import math

from msgspec.structs import replace

from toolpath import motion
from toolpath.geometry.elements import Point
from toolpath.motion import Rapid, State, Stop
from toolpath.part.stock import bar
from toolpath.plan.request import Request
from toolpath.shop.tools import Tool

OFF_AXIS, OFF_FACE = 25.0, 20.0
"""mm from the axis and off what stands there, at least: a rule reads them, a hand fits between (common practice)."""

BESIDE = 10.0
"""mm that the tip stands farther out than the surface of the work, at least."""

INCH = 25.4
"""mm: an inch program read in millimetres goes that many times less far."""


def check_place(request: Request, home: Point) -> Point:
    """(z, x) of the place where a rule is laid, mm; it lies nearer than the change point, tools side by side excepted.

    Half its x is still in front of the work. In an inch program a 25.4th of its z must be so too.
    """
    front, off = request.stock.front, OFF_FACE
    if request.machine.units == "inch":
        off = max(off, _up(INCH * (front + request.machine.clearance) - front))
    if request.machine.tool_change == "gang":  # no nearer than where all that stands beside the tool is clear
        off = max(off, _up(home[0] - front) + 5.0)
    return (front + off, max(OFF_AXIS, _up(request.stock.dia / 2.0 + BESIDE)))


def first_moves(tool: Tool, state: State, home: Point, request: Request) -> list[motion.Step]:
    """From the change point along Z, then across, the stop, and back the same way. state: the spindle is off in it"""
    place = check_place(request, home)
    beside = (place[0], home[1])
    there = [Rapid(a, b, state) for a, b in ((home, beside), (beside, place)) if a != b]
    back = [Rapid(a, b, state) for a, b in ((place, beside), (beside, home)) if a != b]
    return [*there, Stop(told(tool, place, request), place, state), *back]


def told(tool: Tool, place: Point, request: Request) -> str:
    """What must be seen there, and what not being so means."""
    point = "tip" if tool.point == "nose" else tool.point
    end = "face that stands there" if request.gripped else "bar's end"
    across, off = (_length(v, inch=request.machine.units == "inch") for v in (place[1], place[0] - request.stock.front))
    return (
        f"the {point} must stand {across} from the axis and {off} off the {end}: check with a rule. "
        "If not, end here: units, X as diameter or radius, zero or offset are not what the program means"
    )


def faced(request: Request) -> Request:
    """The same once the end is faced, for a program that begins then."""
    return replace(request, stock=bar(request.stock.dia, length=request.part.length, front=0.0))


def _up(value: float) -> float:
    """The next 5 mm."""
    return 5.0 * math.ceil(value / 5.0 - 1e-9)


def _length(value: float, *, inch: bool) -> str:
    return f"{value:g} mm, {value / INCH:.2f} in," if inch else f"{value:g} mm"
