"""Where chips come as strings, and after how many turns the feed is broken so that they part."""

from __future__ import annotations

import math

from toolpath.cutting import bench
from toolpath.cutting.figures import Figure
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool

LONGEST = 600.0
"""mm: a longer chip no longer falls off by itself, it winds round work and tool (common practice, no source)."""

FEWEST = 3.0
"""Turns: broken more often, a tool does little else (common practice, no source)."""

STAND = 1.0
"""Turns that the feed stands: the chip thins to nothing and parts (common practice, no source)."""

BACK = 0.3
"""mm that the tool draws back instead where the material must not be rubbed (common practice, no source)."""


def strings(material: Material, tool: Tool, *, feed: float, depth: float) -> str:
    """Why the chip comes as a string; "" where it breaks by itself."""
    if material.breaks_at <= 0.0:
        return ""
    if feed < material.breaks_at:
        return f"{material.title} breaks its chips from {material.breaks_at:g} mm a turn on, this is {feed:.3g}"
    if tool.kind != "round" and depth < bench.NOSE_DEPTH * tool.nose_radius:
        return f"{depth:.2g} mm deep lies within the nose, where {material.title} does not break its chips"
    return ""


def turns(material: Material, tool: Tool, *, feed: float, depth: float, diameter: float) -> Figure | None:
    """Turns of the spindle after which roughing breaks the feed; None where chips break by themselves."""
    why = strings(material, tool, feed=feed, depth=depth)
    if not why:
        return None
    every = max(FEWEST, math.floor(LONGEST / (math.pi * diameter)))
    return Figure(every, f"strings: {why}; {every:.0f} turns make {math.pi * diameter * every / 1000.0:.2g} m of it")
