"""Pitch diameter measured over three wires: M = d2 + w (1 + 1/sin a) - P / (2 tan a), a being half the flank angle.

The usual formula of the trade's charts; it leaves the helix out, which for steep threads makes the true figure larger
(`steep` tells). The best wire touches the flanks on the pitch line: w = P / (2 cos a).
"""

from __future__ import annotations

import math

from toolpath.errors import BadInput
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.thread import Thread, helix_angle

STEEP = math.radians(5.0)  # beyond this helix angle charts no longer leave it out (common practice, from memory)


def best_wire(thread: Thread) -> float:
    """Diameter of the wire that touches on the pitch line, mm."""
    return thread.pitch / (2.0 * math.cos(thread.angle / 2.0))


def wire_range(thread: Thread) -> tuple[float, float]:
    """(least, greatest) wire, mm, that rests on straight flank and stands out over the crests."""
    half = thread.angle / 2.0
    form = profile(thread)
    middle = thread.pitch / (4.0 * math.tan(half))  # from the point of the V to the pitch line
    per_wire = math.cos(half) ** 2 / math.sin(half) / 2.0  # height of the touch over the point of the V, of the wire
    crest = (thread.diameter - form.pitch_dia) / 2.0
    foot = (form.pitch_dia - form.minor) / 2.0
    proud = (middle + crest) / (0.5 + 0.5 / math.sin(half))
    return max((middle - foot) / per_wire, proud), (middle + crest) / per_wire


def over_wires(thread: Thread, pitch_dia: float, *, wire: float | None = None) -> float:
    """What a micrometer reads over the wires at this pitch diameter, mm; BadInput for a wire that does not fit.

    wire: its diameter, mm; the best one if left out.
    """
    if thread.taper:
        raise BadInput("a taper thread is not measured over wires here", right="Try it with a ring gauge")
    half = thread.angle / 2.0
    if wire is None:
        wire = best_wire(thread)
    else:
        least, greatest = wire_range(thread)
        if not least <= wire <= greatest:
            right = f"{least:.3f} to {greatest:.3f} mm do, {best_wire(thread):.3f} mm is best"
            raise BadInput(f"a wire of {wire:g} mm does not rest on the flanks of {thread.designation}", right=right)
    return pitch_dia + wire * (1.0 + 1.0 / math.sin(half)) - thread.pitch / (2.0 * math.tan(half))


def steep(thread: Thread) -> bool:
    """Whether the helix is too steep for the formula."""
    return helix_angle(thread.lead, profile(thread).pitch_dia) > STEEP
