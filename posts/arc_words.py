"""What becomes of an arc when its places are rounded to the control's last digit.

The ends are rounded first; then the centre is chosen on the grid of I and K, so that the radii from it to both rounded
ends agree: the true centre where it does, else the nearest place on their bisector. An arc that rounding leaves without
length is dropped; one without a sound centre that no digit could tell from its chord becomes a line. Nothing ever turns
a tiny arc into a full circle.
"""

from __future__ import annotations

import math

from msgspec import Struct

from posts.numbers import Digits, Grid, fixed
from toolpath.errors import CannotMake
from toolpath.geometry.elements import TURN, arc_about
from toolpath.motion import ArcCut, Point

NOISE = 1e-9  # mm: ends nearer than this are one place, rounded differently by the arithmetic before
KEPT_GAP = 0.0012  # mm: with no more between the radii the true centre stays; 3 decimals of mm never use it up
WRITTEN_GAP = 0.002  # mm: most that is ever written, in inch too, where the published rule would allow 0.0002 in
SAME_DIGIT = 1e-3  # last digits: what is nearer was printed so, and read with rounding in the arithmetic alone
TURNED = 8.0  # last digits by which an arc's length may change when its ends and centre are rounded


class ArcWords(Struct, frozen=True):
    """I and K as printed, increments on radius from the rounded start."""

    i: str
    k: str


def arc_words(arc: ArcCut, start: Digits, end: Digits, grid: Grid) -> ArcWords | None:
    """I and K for the arc between rounded ends; None when a line (or nothing, when the ends are one) is what is left.

    CannotMake when no centre fits and the arc is too large to be said as a line.
    """
    true = _sweep(arc)
    radius = math.dist(arc.start, arc.centre)
    a, b = grid.point(start), grid.point(end)
    if start == end and (abs(true) < math.pi or 2.0 * radius <= grid.step / 2.0):
        return None
    if start == end and arc.start != arc.end:
        raise CannotMake(f"an arc of nearly a full turn at {_place(arc)} can not be told from a full one; split it")
    kept = WRITTEN_GAP if _printed(arc, (a, b), grid) else KEPT_GAP
    if words := _sound(arc.centre, arc, (a, b), sweep=true, gap=kept, grid=grid):
        return words
    if abs(true) <= math.pi and radius * (1.0 - math.cos(true / 2.0)) <= grid.step / 2.0:
        return None
    even = _evened(arc.centre, a, b, most=math.inf if abs(true) <= math.pi else WRITTEN_GAP)
    if words := _sound(even, arc, (a, b), sweep=true, gap=WRITTEN_GAP, grid=grid):
        return words
    raise CannotMake(f"an arc of radius {radius:.4f} mm at {_place(arc)} can not be said in the control's digits")


def radius_word(arc: ArcCut, start: Digits, end: Digits, grid: Grid) -> str:
    """R for an arc of at most a quarter turn between rounded ends; empty when a line (or nothing) is what is left.

    CannotMake when the digits can not carry the radius.
    """
    radius = math.dist(arc.start, arc.centre)
    if start == end or radius * (1.0 - math.cos(_sweep(arc) / 2.0)) <= grid.step / 2.0:
        return ""
    decimals = grid.numbers.centre
    digits = round(radius / grid.unit * 10**decimals)
    said = digits / 10**decimals * grid.unit
    if said <= math.dist(grid.point(start), grid.point(end)) / 2.0 or said > grid.numbers.greatest * grid.unit:
        raise CannotMake(
            f"an arc of radius {radius:.4f} mm at {_place(arc)} can not be said by R in the control's digits"
        )
    return f"R{fixed(digits, decimals)}"


def _sweep(arc: ArcCut) -> float:
    """Signed sweep; a full turn when start and end are the same, none when they differ by noise."""
    if arc.start == arc.end:
        return TURN if arc.ccw else -TURN
    if math.dist(arc.start, arc.end) <= NOISE:
        return 0.0
    return arc_about(arc.centre, arc.start, arc.end, ccw=arc.ccw).sweep


def _printed(arc: ArcCut, ends: tuple[Point, Point], grid: Grid) -> bool:
    """Whether the arc lies on the last digits already, as one that was read does: it is said again as it was said."""
    a, b = ends
    scale = float(10**grid.numbers.centre / grid.unit)
    offsets = [(arc.centre[axis] - a[axis]) * scale for axis in (0, 1)]
    on_digits = max(abs(value - round(value)) for value in offsets) < SAME_DIGIT
    return on_digits and max(math.dist(arc.start, a), math.dist(arc.end, b)) * scale < SAME_DIGIT


def _sound(
    aim: Point, arc: ArcCut, ends: tuple[Point, Point], *, sweep: float, gap: float, grid: Grid
) -> ArcWords | None:
    """I and K nearest to the aimed centre; None when the radii differ by more, or it sends the arc another way."""
    a, b = ends
    decimals = grid.numbers.centre
    scale = 10**decimals / grid.unit
    k, i = round((aim[0] - a[0]) * scale), round((aim[1] - a[1]) * scale)
    centre = (a[0] + k / scale, a[1] + i / scale)
    first, last = math.dist(a, centre), math.dist(b, centre)
    allowed = min(gap, grid.numbers.arc_gap * grid.unit)
    if max(abs(i), abs(k)) > grid.numbers.greatest * 10**decimals or first <= allowed or abs(first - last) > allowed:
        return None
    turned = arc_about(centre, a, b, ccw=arc.ccw).sweep
    if a != b and abs(turned - sweep) > min(TURNED * grid.step / first, 1.0):
        return None
    return ArcWords(fixed(i, decimals), fixed(k, decimals))


def _evened(centre: Point, a: Point, b: Point, *, most: float) -> Point:
    """The centre moved along the chord to where its distances to a and b are equal, by at most `most` mm.

    Up to half a turn the arc then runs through both ends and bulges as before. Beyond it, a short chord's direction
    would carry the whole circle away, hence the bound.
    """
    chord = math.dist(a, b)
    if not chord:
        return centre
    uz, ux = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
    off = (centre[0] - (a[0] + b[0]) / 2.0) * uz + (centre[1] - (a[1] + b[1]) / 2.0) * ux
    off = max(-most, min(most, off))
    return (centre[0] - off * uz, centre[1] - off * ux)


def _place(arc: ArcCut) -> str:
    return f"z {arc.start[0]:.4f}, x {arc.start[1]:.4f}"
