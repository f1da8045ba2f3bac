"""The form of a thread, and how deep a point must go to bring the pitch diameter where it belongs.

At the pitch line groove and ridge are equally wide, half a pitch each (ISO 68-1, ASME B1.1). A sharper point must go
deeper to open its groove that far, a blunter one less. For 60 degrees and the nominal crest of an outside thread this
is 0.757772 P for a sharp point, less 0.866025 F for a flat F or less r for a radius r; F = P/8 gives 0.649519 P, the
radius H/6 = 0.144338 P gives 0.613435 P, the height of ISO 68-1.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.cutting.figures import Figure
from toolpath.errors import CannotMake


class ThreadForm(Struct, frozen=True):
    """Radii in mm as they are to be cut, angles in rad.

    crest:      of the crests, as turned or bored before
    pitch:      radius of the pitch line to be reached
    root:       the depth that the mate needs: an outside thread must be cut at least down, an inside one at least out
                to this radius
    lead:       mm along z in one turn; starts: how many threads run side by side
    hand:       `right` | `left`
    half_angle: between each flank and the plane across the axis
    crests:     least and greatest radius of crests that the insert cuts, None where they stay as turned or bored
    deepest:    to where the end of a full-form insert may come
    """

    crest: float
    pitch: float
    root: float
    lead: float
    half_angle: float
    starts: int = 1
    hand: str = "right"
    inside: bool = False
    crests: tuple[float, float] | None = None
    deepest: float = 0.0

    @property
    def spacing(self) -> float:
        """mm from groove to groove: the pitch."""
        return self.lead / self.starts


def tool_depth(form: ThreadForm, *, flat: float, radius: float) -> Figure:
    """mm from the crest to where the end of the point must come, for a flat or a nose radius at that end.

    CannotMake when the point is too blunt: it would be at the pitch line with no groove yet, or leave the mate no room.
    """
    below = below_pitch_line(form.spacing, form.half_angle, flat=flat, radius=radius)
    sign = -1.0 if form.inside else 1.0
    above = sign * (form.crest - form.pitch)
    deep, needed = above + below, sign * (form.crest - form.root)
    end = f"radius {radius:g}" if radius else f"flat {flat:g}"
    if above <= 0.0:
        raise CannotMake(f"a crest at radius {form.crest:g} mm does not stand over a pitch line at {form.pitch:g}")
    if below <= 0.0 or deep < needed - 1e-6:
        raise CannotMake(
            f"a point with a {end} mm at its end goes {max(deep, 0.0):.3f} mm deep when the pitch diameter is reached, "
            f"and the mating thread needs {needed:.3f}. A sharper point is needed"
        )
    return Figure(deep, f"with a {end} mm at the point's end the groove is half a pitch wide at the pitch line")


def below_pitch_line(pitch: float, half_angle: float, *, flat: float, radius: float) -> float:
    """mm from the pitch line to the end of the point when the groove is half a pitch wide there."""
    slope = math.tan(half_angle)
    rounded = radius / math.sin(half_angle) - radius
    return (pitch / 2.0 - flat) / (2.0 * slope) - rounded


def towards_chuck(hand: str, *, forward: bool) -> bool:
    """Whether the tool must run towards the chuck: a spindle that turns forward moves under a tool going that way as a
    right-hand screw (M03 is the way a right-hand drill cuts); each reversal changes it."""
    return (hand == "right") == forward
