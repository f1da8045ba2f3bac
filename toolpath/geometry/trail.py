"""What a tool takes along a way on which it touches nothing: the lowest of all that it passes over.

Where what carries the tool is in the way, or an edge that is counted flatter than it is, no contact tells the surface
that is left. Turned over, the lowest that the tool's lower side comes to anywhere along its way is the highest that the
mirrored cap forbids over the turned way: it is the envelope again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from toolpath.geometry.cutter import Cutter
from toolpath.geometry.elements import Chain, Element, Line
from toolpath.geometry.envelope import envelope
from toolpath.geometry.frame import TURNED_OVER
from toolpath.geometry.minimum import between


def trail(ways: Sequence[Element], cut: Cutter, within: tuple[float, float]) -> Chain:
    """The surface over `within` (stretch of u) that the cutter leaves along pieces of its way, left to right.

    ways: each begins where the one before ends
    """
    over = envelope(TURNED_OVER.chain(tuple(ways)), mirrored(cut))
    # A hair at either end may be left out by rounding: there the surface begins and ends with what was passed over.
    under = between(TURNED_OVER.chain(over.path), *within)
    return under or (Line((within[0], ways[0].a[1]), (within[1], ways[-1].b[1])),)


def mirrored(cut: Cutter) -> Cutter:
    """The cutter mirrored in u = 0."""
    right = cut.start[0] + cut.width, cut.start[1] + sum(p.dv for p in cut.pieces)
    pieces = (replace(p, high=math.pi - p.low, low=math.pi - p.high, dv=-p.dv) for p in reversed(cut.pieces))
    return Cutter((-right[0], right[1]), tuple(pieces))
