"""Hole tools as the rack gives them: outlines round the axis, the point at (0, 0), the shank behind the flutes."""

from __future__ import annotations

import math

from toolpath.geometry.elements import Chain, polyline
from toolpath.shop.hole_tools import HoleTool
from toolpath.shop.tools import Tool


def pointed(diameter: float, flutes: float, *, point: float = 118.0) -> Chain:
    """A drill: cone of the included angle (degrees), then the flutes; counter-clockwise."""
    r = diameter / 2.0
    shoulder = r / math.tan(math.radians(point) / 2.0)
    return polyline([(0.0, 0.0), (shoulder, -r), (flutes, -r), (flutes, r), (shoulder, r)], close=True)


def flat(diameter: float, flutes: float) -> Chain:
    r = diameter / 2.0
    return polyline([(0.0, -r), (flutes, -r), (flutes, r), (0.0, r)], close=True)


def hole_tool(
    number: int = 7,
    *,
    kind: str = "drill",
    diameter: float = 6.0,
    flutes: float = 40.0,
    point: float = 118.0,
    shank: float = 0.0,
    material: str = "HSS",
    pilot: float = 0.0,
    steps: tuple[Chain, ...] = (),
) -> Tool:
    """A tool held in a chuck of diameter 20 behind its shank, which is 10 mm long beyond the flutes."""
    s = (shank or diameter) / 2.0
    flat_end = kind in ("flat drill", "reamer")
    outline = flat(diameter, flutes) if flat_end else pointed(diameter, flutes, point=point)
    return Tool(
        number=number,
        offset=number,
        name=f"{kind} {diameter:g}",
        kind=kind,
        material=material,
        hand="right",
        tip=(-1, 0),
        point="drill point",
        nose_radius=0.0,
        outline=outline,
        holder=(
            polyline([(flutes, -s), (flutes + 10.0, -s), (flutes + 10.0, s), (flutes, s)], close=True),
            polyline(
                [(flutes + 10.0, -10.0), (flutes + 40.0, -10.0), (flutes + 40.0, 10.0), (flutes + 10.0, 10.0)],
                close=True,
            ),
        ),
        edges=(math.radians(59.0), math.radians(59.0)),
        edge_length=diameter / 2.0,
        width=diameter,
        reach=flutes,
        max_depth=flutes,
        honed=False,
        does=frozenset({kind}),
        works="hole",
        hole=HoleTool(diameter, math.pi if flat_end else math.radians(point), flutes, pilot=(pilot, 1.0)),
        steps=steps,
    )
