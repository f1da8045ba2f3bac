"""What makes a hole: the facts that only a tool on the axis has, and the geometry of its end.

The point of such a tool, which the program moves and the hand touches off, is where its end meets the axis. Depths are
those of that point below the face.
"""

from __future__ import annotations

import math

from msgspec import Struct

HOLE_KINDS = ("drill", "centre drill", "countersink", "flat drill", "reamer")


class HoleTool(Struct, frozen=True):
    """Lengths in mm, angles in rad.

    diameter:   the greatest it cuts; of a centre drill that of its body
    point:      included angle of the end on the axis, pi where it is flat
    flute:      from the point to the end of the flutes: what clears chips
    pilot:      (diameter, length from the point) of a centre drill's pilot, of a countersink (diameter of its blunt
                end, 0), else (0, 0)
    cone:       included angle of the cone behind the pilot, of a countersink `point` again, else 0
    mouth:      greatest diameter that cone cuts, else 0
    tolerance:  what a reamer is ground for (`H7`), else empty
    limits:     least and greatest diameter of the hole that leaves, else (0, 0)
    lead:       length of a reamer's lead, which leaves the hole too small, else 0
    """

    diameter: float
    point: float
    flute: float
    pilot: tuple[float, float] = (0.0, 0.0)
    cone: float = 0.0
    mouth: float = 0.0
    tolerance: str = ""
    limits: tuple[float, float] = (0.0, 0.0)
    lead: float = 0.0

    @property
    def deepest(self) -> float:
        """How deep it may go, mm: a drill keeps one diameter of its flutes outside, so that chips find a way."""
        return self.flute - (self.diameter if 0.0 < self.point < math.pi and not self.cone else 0.0)

    @property
    def point_length(self) -> float:
        """From the point to where it cuts its full diameter, mm (of a drill; a flat end has none)."""
        return point_length(self.diameter, self.point)

    def depth_for_mouth(self, mouth: float) -> float:
        """Depth at which the cone of a centre drill or countersink opens to `mouth` mm. No check: see `hole_duties`."""
        dia, length = self.pilot
        return length + point_length(mouth - dia, self.cone)


def point_length(dia: float, angle: float) -> float:
    """Length of a cone, mm, that is `dia` thick at its foot: dia / 2 / tan(angle / 2); angle in rad, included."""
    return 0.0 if angle >= math.pi else dia / 2.0 / math.tan(angle / 2.0)
