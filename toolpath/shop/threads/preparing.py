"""What to turn, bore and chamfer before a thread is cut.

The blank of a screw is turned to the limits of its major diameter, whether a die or a V point cuts it: the point leaves
the crest as turned, and published diameters before a die all lie in the middle of these limits, within 0.008 mm (a
little under nominal, for a die swells what it cuts). The hole is bored to the limits of its minor diameter.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.standards import limits
from toolpath.shop.threads.thread import Span, Thread, span

CHAMFER_ANGLE = math.radians(45.0)  # of a screw's start; common practice, no source
MOUTH_ANGLE = math.radians(90.0)  # included, of a hole's mouth; common practice, no source
BELOW_ROOT = 0.1  # of P: the start lies this much under the least root diameter; common practice, no source
TAP_LEAD = 5.0  # P that a hole is deeper than its full thread, for a second tap's lead; common practice, no source
MOUTH = 1.05  # of the diameter, between 1.0 and 1.1; common practice, no source


class Start(Struct, frozen=True):
    """Where a thread begins. dia, and depth along the axis: mm; angle: rad, from the axis (screw), included (hole)."""

    dia: float
    angle: float
    depth: float


def blank(thread: Thread) -> Span:
    """Diameter to turn before a die or a V point, mm; its middle is what to aim at. Tapers: that at the small end."""
    found = limits(thread).screw
    return span(thread.diameter, thread.diameter) if found is None else found.major


def bore(thread: Thread) -> Span:
    """Diameter to drill or bore before a tap or an inside point, mm; of a taper that at its mouth."""
    found = limits(thread).hole
    minor = profile(thread).minor
    return span(minor, minor) if found is None else found.minor


def start(thread: Thread) -> Start:
    """Chamfer of a screw: from just under its root, so that die and point begin in no full cut."""
    found = limits(thread).screw
    root = profile(thread).root if found is None else found.minor.least
    dia = round(root - BELOW_ROOT * thread.pitch, 3)
    return Start(dia, CHAMFER_ANGLE, round((thread.diameter - dia) / 2.0 / math.tan(CHAMFER_ANGLE), 3))


def mouth(thread: Thread) -> Start:
    """Countersink of a hole: to a little over its major diameter."""
    dia = round(MOUTH * (profile(thread).hole_major + thread.at_mouth), 3)
    bare = profile(thread).minor + thread.at_mouth
    return Start(dia, MOUTH_ANGLE, round((dia - bare) / 2.0 / math.tan(MOUTH_ANGLE / 2.0), 3))
