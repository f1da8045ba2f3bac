"""Turning holders read from their ISO 5608 designation, such as `SDJCR 1010 E07`, and outlines of what carries an edge.

Outlines are drawn for a right-hand tool, relative to its point, and go up and away; see `outlines` for the frame.
"""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, Point
from toolpath.quantity import nearest
from toolpath.shop.inserts import Insert
from toolpath.shop.outlines import Disc, box, hull, sharp_corner, trailing_angle

FORM = r"([CDMPS])([A-Z])([A-Z])([A-Z])([RLN])\s*(\d\d)\s*(\d\d)\s*([A-Z])\s*(\d\d)([ -].*)?"
HANDS = {"R": "right", "L": "left", "N": "neutral"}
LEAST_SET_BACK = 0.3  # mm from edge to seat, common practice: an insert always stands proud of its holder
HEAD_PER_EDGE = 1.5  # the head ends and the plain shank begins this many edge lengths up, common practice


class Seat(Struct, frozen=True):
    """What the letters say of the insert, in an outside holder and in a boring bar alike.

    designation: of the whole holder, tidied
    shape, clearance_letter, size_code: of the insert it takes
    entering:   of the edge that leads: the chuck-side one, or the one fed towards the axis when `faces`, rad
    hand:       `right` | `left` | `neutral`
    """

    designation: str
    shape: str
    clearance_letter: str
    size_code: str
    entering: float
    faces: bool
    hand: str

    def edges_with(self, included: float) -> tuple[float, float]:
        """(entering angle, trailing angle) as turning has them, rad, for an insert with this included angle.

        A facing holder is a turning one with z and x exchanged: its style's angle lies between the edge along z and
        the feed towards the axis. Below 90 deg that edge hangs lower than the nose and the trailing angle is negative:
        such a tool faces and can not turn. BadInput when nothing is left behind the nose.
        """
        if self.faces:
            behind = trailing_angle(self.entering, included)
            return math.pi / 2.0 + behind, self.entering - math.pi / 2.0
        return self.entering, trailing_angle(self.entering, included)

    def refuse_unfit(self, insert: Insert) -> None:
        """BadInput when this insert does not sit in this holder; the message says which property differs."""
        pairs = (
            ("shape", insert.shape, self.shape),
            ("clearance letter", insert.clearance_letter, self.clearance_letter),
            ("size", insert.size_code, self.size_code),
        )
        for what, has, wants in pairs:
            if has != wants:
                raise BadInput(
                    f"{insert.designation} does not fit {self.designation}: its {what} is {has}, the holder's {wants}"
                )


def seat(designation: str, *, shape: str, style: str, relief: str, hand: str, size: str) -> Seat:
    """The seat that these letters name; BadInput when the style letter is not known."""
    styles = _table()["style"]
    if style not in styles:
        raise BadInput(f"'{designation}': the style letter '{style}' is not known", right=nearest(style, styles))
    entering, faces = math.radians(styles[style]["entering"]), styles[style]["cuts"] == "face"
    return Seat(designation, shape, relief, size, entering, faces, hand)


class Holder(Struct, frozen=True):
    """seat: the insert it takes and how that stands
    width:   of the shank, mm
    far_side: from the tip to the side of the shank away from the chuck, mm
    """

    seat: Seat
    width: float
    far_side: float


def holder(designation: str) -> Holder:
    """The holder that an ISO 5608 designation names; BadInput naming the letter that is not known."""
    found = re.fullmatch(FORM, designation.upper())
    if not found:
        raise BadInput(
            f"'{designation}' is no designation of a turning holder",
            right="Write it like SDJCR 1010 E07: five letters, shank height and width, length letter, insert size",
        )
    clamp, shape, style, relief, hand, height, width, length, size = found.groups()[:9]
    tidy = f"{clamp}{shape}{style}{relief}{hand} {height}{width} {length}{size}"
    b = float(width)
    return Holder(
        seat=seat(tidy, shape=shape, style=style, relief=relief, hand=HANDS[hand], size=size),
        width=b,
        far_side=b / 2.0 if hand == "N" else far_side(b),
    )


def far_side(width: float) -> float:
    """From the tip to the far side of a shank of this width, mm: the row of the next larger shank, or 1.25 times."""
    rows = {float(k): float(v) for k, v in _table()["tip_to_far_side"].items()}
    return next((f for b, f in sorted(rows.items()) if b >= width), 1.25 * width)


def set_back(insert: Insert) -> float:
    """How far the seat stands back from the edge: the insert's own clearance over its thickness, mm."""
    return max(LEAST_SET_BACK, insert.thickness * math.tan(insert.clearance))


class Shank(Struct, frozen=True):
    """left, right: its two sides along z, relative to the point
    set_back:    of the head behind both edges
    reach:       its far end along x
    """

    left: float
    right: float
    set_back: float
    reach: float


def edged_holder(entering: float, included: float, shank: Shank, *, nose: float, edge: float) -> tuple[Chain, ...]:
    """Head and shank behind two edges: the head keeps `set_back` behind both until it meets the shank."""
    lead, trail = math.pi - entering, math.pi - entering - included
    root, tip = head_corner(entering, included, nose=nose, set_back=shank.set_back)
    top = root[1] + HEAD_PER_EDGE * edge
    if top >= shank.reach:
        raise BadInput(
            f"the tool stands out {shank.reach:g} mm, its head alone takes {top:.3g} mm",
            right="State a longer overhang",
        )
    left_top = (root[0] + (top - root[1]) / math.tan(lead), top)
    head = hull([tip, *((p, 0.0) for p in (*_right_side(root, trail, shank.right, top), left_top))])
    return head, box(shank.left, top, shank.right, shank.reach)


def head_corner(entering: float, included: float, *, nose: float, set_back: float) -> tuple[Point, Disc]:
    """Where the sides of a head meet that keep `set_back` behind both edges, and the disc that ends the head there."""
    corner = sharp_corner(entering, included, nose)
    back, middle = set_back / math.sin(included / 2.0), math.pi - entering - included / 2.0
    root = (corner[0] + back * math.cos(middle), corner[1] + back * math.sin(middle))
    # A nose larger than the set-back rounds the head too: its corner would else stand out in front of the nose arc.
    return root, ((nose, nose), nose - set_back) if nose > set_back else (root, 0.0)


def _right_side(root: Point, trail: float, right: float, top: float) -> list[Point]:
    """Corners of the head on its trailing side, going up: along the edge's direction, then up the shank's far side."""
    run = (top - root[1]) / math.tan(trail) if trail > 0.0 else math.inf
    if root[0] + run <= right or (trail > 0.0 and right <= root[0]):
        return [(root[0] + run, top)]
    return [(right, root[1] + (right - root[0]) * math.tan(trail)), (right, top)]


def round_holder(radius: float, shank: Shank) -> tuple[Chain, ...]:
    """Head under a round insert, then the shank."""
    top = 2.0 * radius * HEAD_PER_EDGE
    if top >= shank.reach:
        raise BadInput(f"the tool stands out {shank.reach:g} mm, its head alone takes {top:.3g} mm")
    s = min(shank.set_back, radius / 2.0)
    return box(s, radius, 2.0 * radius - s, top), box(shank.left, top, shank.right, shank.reach)


@cache
def _table() -> dict[str, Any]:
    with Path(__file__).with_name("holders.toml").open("rb") as file:
        return tomllib.load(file)
