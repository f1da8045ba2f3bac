"""Boring bars: read from a designation such as `S10K SCLCR 06` or given by their sizes; what they look like inside.

Everything is drawn as a right-hand outside tool: the point at the origin, up (x) being away from the wall that is cut
and towards the axis, the bar going out to +z. `forms.placed` turns it over to the inside.
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
from toolpath.shop.holders import HANDS, HEAD_PER_EDGE, Seat, seat
from toolpath.shop.outlines import Disc, box, hull, trailing_angle

FORM = r"([A-Z])\s*(\d\d)\s*([A-Z])[ -]*([CDMPS])([A-Z])([A-Z])([A-Z])([RL])\s*(\d\d)([ -].*)?"
CLAMP = 10.0  # mm of holder drawn round the bar where it is clamped, common practice
SLIVER = 1e-6  # mm: a head is wider than this at the bar's back
CLAMP_LENGTH = 40.0  # mm of it drawn behind the bar's overhang


class BarHolder(Struct, frozen=True):
    """designation: tidied, `S10K SCLCR 06`
    seat:       the insert it takes and how that stands, as in an outside holder
    diameter:   of the bar, mm
    tip_to_middle, least_bore: by the table, mm; 0 when the diameter is not in it
    body:       what it is made of, `steel` or `carbide`
    """

    designation: str
    seat: Seat
    diameter: float
    tip_to_middle: float
    least_bore: float
    body: str


class Bar(Struct, frozen=True):
    """diameter:    of the bar, mm
    tip_to_middle: from the point to the bar's middle line, mm
    neck:          diameter of the thinner part behind the edge; the bar's own when there is none
    neck_length:   how far along z from the point the neck goes
    reach:         how far along z the bar stands out of its clamp, from the point
    least_bore:    diameter of the smallest hole it works in
    """

    diameter: float
    tip_to_middle: float
    neck: float
    neck_length: float
    reach: float
    least_bore: float

    @property
    def front(self) -> float:
        """From the point to the side of the neck that looks at the wall being cut, mm."""
        return self.tip_to_middle - self.neck / 2.0

    @property
    def back(self) -> float:
        """From the point to the neck's back, mm: what must fit across the hole."""
        return self.tip_to_middle + self.neck / 2.0


def is_bar(designation: str) -> bool:
    """Whether a holder's designation is that of a boring bar: it begins with a letter and the bar's diameter."""
    return re.match(r"[A-Z]\s*\d\d\s*[A-Z]", designation.upper()) is not None


def bar_holder(designation: str) -> BarHolder:
    """The bar that a designation names; BadInput naming the letter or digits that are not known."""
    found = re.fullmatch(FORM, designation.upper())
    if not found:
        raise BadInput(
            f"'{designation}' is no designation of a boring bar",
            right="Write it like S10K SCLCR 06: kind and diameter of the bar, length letter, five letters, insert size",
        )
    make, bar, length, clamp, shape, style, relief, hand, size = found.groups()[:9]
    table = _table()
    if make not in table["make"]:
        raise BadInput(f"'{designation}': '{make}' names no kind of bar", right=nearest(make, table["make"]))
    tidy = f"{make}{bar}{length} {clamp}{shape}{style}{relief}{hand} {size}"
    row = table["bar"].get(str(int(bar)), {})
    return BarHolder(
        designation=tidy,
        seat=seat(tidy, shape=shape, style=style, relief=relief, hand=HANDS[hand], size=size),
        diameter=float(bar),
        tip_to_middle=row.get("tip_to_middle", 0.0),
        least_bore=row.get("least_bore", 0.0),
        body=table["make"][make]["body"],
    )


def longest(diameter: float, body: str) -> float:
    """How far a bar of this diameter (mm) and body may stand out, mm."""
    return float(_table()["overhang"][body]) * diameter


def edged_head(entering: float, included: float, bar: Bar, *, root: Point, tip: Disc, edge: float) -> Chain:
    """The head under an edged insert or ground end: behind both edges, from the wall's side to the bar's back.

    root: where the lines that keep the set-back behind both edges meet; tip: the disc that rounds that corner
    """
    lead, trail = math.pi - entering, trailing_angle(entering, included)
    top, length = bar.back, HEAD_PER_EDGE * edge
    if root[1] >= top:
        raise BadInput(f"a bar whose back lies {top:.3g} mm behind its point leaves no metal behind the edge")
    if root[0] + length >= bar.neck_length:
        raise BadInput(
            f"the bar's head alone takes {root[0] + length:.3g} mm, {bar.neck_length:.3g} mm are there",
            right="State a longer overhang or neck",
        )
    rise = length * math.tan(trail)
    if root[1] + rise < top:
        right = [(root[0] + length, root[1] + rise), (root[0] + length, top)]
    else:
        right = [(root[0] + (top - root[1]) / math.tan(trail), top)]
    # An edge that leans towards the chuck goes before the bar's flat end, which then is square.
    left = (root[0] + max(0.0, (top - root[1]) / math.tan(lead)), top)
    if left[0] > right[-1][0] - SLIVER:
        lean = math.degrees(entering) - 90.0
        raise BadInput(
            f"an edge {edge:g} mm long that leans back {lean:.3g} deg leaves no head across {top:.3g} mm of bar",
            right="Take a thinner bar, a longer edge or a steeper one",
        )
    return hull([tip, *((p, 0.0) for p in (*right, left))])


def bodies(bar: Bar, begins: float) -> tuple[Chain, ...]:
    """Neck, bar and clamp behind the head, which ends at z = `begins`."""
    middle, half = bar.tip_to_middle, bar.diameter / 2.0
    neck = (box(begins, bar.front, bar.neck_length, bar.back),) if bar.neck_length < bar.reach else ()
    bar_begins = bar.neck_length if neck else begins
    body = box(bar_begins, middle - half, bar.reach, middle + half)
    clamp = box(bar.reach, middle - half - CLAMP, bar.reach + CLAMP_LENGTH, middle + half + CLAMP)
    return (*neck, body, clamp)


@cache
def _table() -> dict[str, Any]:
    with Path(__file__).with_name("bars.toml").open("rb") as file:
        return tomllib.load(file)
