"""A thread as a value: what a designation says, its form in millimetres, its limits."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from msgspec import Struct

DECIMALS = 9  # of a mm: what adding floats leaves behind is gone, 0.0001 in stays exact


class Span(Struct, frozen=True):
    """Least and greatest, mm."""

    least: float
    greatest: float

    @property
    def middle(self) -> float:
        return (self.least + self.greatest) / 2.0


class Limits(Struct, frozen=True):
    """Limits of a screw or of a hole, diameters in mm.

    minor of a screw is that of its root; major of a hole that of its root: `greatest` is what a sound tap may leave.
    """

    major: Span
    pitch: Span
    minor: Span


class ThreadLimits(Struct, frozen=True):
    """Limits of both partners; None where the standard gives none. said: sources and cautions, a line each."""

    screw: Limits | None
    hole: Limits | None
    said: tuple[str, ...]


class Profile(Struct, frozen=True):
    """Basic form at full depth, mm; flats are 0 where a radius takes their place, radii 0 where a flat does.

    pitch_dia, minor (crest of the hole), root (of the screw), hole_major (root of the hole): basic diameters.
    """

    pitch_dia: float
    minor: float
    root: float
    hole_major: float
    crest_flat: float
    root_flat: float
    crest_radius: float
    root_radius: float

    def depth(self, diameter: float) -> float:
        """Depth of the screw's thread from a crest of this diameter, mm of radius."""
        return (diameter - self.root) / 2.0


class Thread(Struct, frozen=True, kw_only=True):
    """A thread as it is designated.

    designation: in full, without class and hand; standard: a key of `standards.STANDARDS`; series: within it
    diameter: nominal; pitch: crest to crest; both mm. angle: between the flanks, rad. form: a name in forms.toml
    screw_class, hole_class: as written, or the usual ones of the standard. taper: mm on diameter per mm of length
    gauge: of a taper, mm from a screw's small end to the plane whose diameters a hole has at its mouth
    """

    designation: str
    standard: str
    series: str
    form: str
    diameter: float
    pitch: float
    angle: float
    starts: int = 1
    left: bool = False
    screw_class: str = ""
    hole_class: str = ""
    taper: float = 0.0
    gauge: float = 0.0

    @property
    def at_mouth(self) -> float:
        """mm on diameter by which a taper is larger at the mouth of its hole than at the small end of its screw."""
        return self.taper * self.gauge

    @property
    def lead(self) -> float:
        """How far one turn goes, mm."""
        return self.pitch * self.starts

    @property
    def in_full(self) -> str:
        """Designation with starts and hand, as a drawing has it."""
        return f"{self.designation}{' LH' if self.left else ''}"


class Standard(Struct, frozen=True):
    """A family of threads: how it is written, what is known of it, its limits.

    pattern: a regular expression that a whole designation, its hand taken off, must match to belong here
    read:    from that match to a Thread; BadInput for a size that is not in the tables, with the nearest that is
    limits:  from a Thread of this standard to its limits
    known:   the designations of the tables
    """

    pattern: str
    read: Callable[[re.Match[str]], Thread]
    limits: Callable[[Thread], ThreadLimits]
    known: Callable[[], tuple[str, ...]]


def helix_angle(lead: float, dia: float) -> float:
    """Angle of the thread at a diameter from square to the axis, rad (of a helix laid flat)."""
    return math.atan2(lead, math.pi * dia)


def span(least: float, greatest: float) -> Span:
    """The span with the noise of float sums taken off."""
    return Span(round(least, DECIMALS), round(greatest, DECIMALS))
