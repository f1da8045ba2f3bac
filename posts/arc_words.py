"""What becomes of an arc when its places are rounded to the control's last digit.

The ends are rounded first; then the centre is chosen on the grid of I and K: the true centre where the radii from it
to both rounded ends agree, else the nearest place where they do. With one digit more than X and Z the true centre does
for every arc that was sound before. An arc that rounding leaves without length is dropped; one
that rounding leaves without a sound centre, but that no digit could tell from its chord, becomes a line. Nothing ever
turns a tiny arc into a full circle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from posts.numbers import Digits, Grid, fixed
from toolpath.errors import CannotMake
from toolpath.geometry.elements import TURN, arc_about
from toolpath.motion import ArcCut, Point

NOISE = 1e-9  # mm: ends nearer than this are one place, rounded differently by the arithmetic before
USUAL = 0.6  # share of the allowed gap between the radii that rounding alone can use up, with some to spare
TURNED = 8.0  # last digits by which an arc's length may change when its ends and centre are rounded


@dataclass(frozen=True, slots=True)
class ArcWords:
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
    if start == end and abs(true) < math.pi:
        return None
    if start == end and arc.start != arc.end:
        raise CannotMake(f"an arc of nearly a full turn at {_place(arc)} can not be told from a full one; split it")
    if words := _fitting(arc, a, b, sweep=true, grid=grid):
        return words
    if abs(true) <= math.pi and radius * (1.0 - math.cos(true / 2.0)) <= grid.step / 2.0:
        return None
    raise CannotMake(f"an arc of radius {radius:.4f} mm at {_place(arc)} can not be said in the control's digits")


def _sweep(arc: ArcCut) -> float:
    """Signed sweep; a full turn when start and end are the same, none when they differ by noise."""
    if arc.start == arc.end:
        return TURN if arc.ccw else -TURN
    if math.dist(arc.start, arc.end) <= NOISE:
        return 0.0
    return arc_about(arc.centre, arc.start, arc.end, ccw=arc.ccw).sweep


def _fitting(arc: ArcCut, a: Point, b: Point, *, sweep: float, grid: Grid) -> ArcWords | None:
    """The nearest sound centre as I and K; None when its radii differ too much or it sends the arc another way."""
    gap = grid.numbers.arc_gap * grid.unit
    for aim, most in ((arc.centre, USUAL * gap), (_evened(arc.centre, a, b, most=gap), gap)):
        words, centre = _on_grid(aim, a, grid)
        first = math.dist(a, centre)
        if first <= gap or abs(first - math.dist(b, centre)) > most:
            continue
        turned = arc_about(centre, a, b, ccw=arc.ccw).sweep
        same_way = a == b or abs(turned - sweep) <= min(TURNED * grid.step / first, 1.0)
        return words if same_way and _within(words, grid) else None
    return None


def _on_grid(aim: Point, a: Point, grid: Grid) -> tuple[ArcWords, Point]:
    """I and K nearest to an aimed centre, and the centre that they say."""
    decimals = grid.numbers.centre
    scale = 10**decimals / grid.unit
    k, i = round((aim[0] - a[0]) * scale), round((aim[1] - a[1]) * scale)
    return ArcWords(fixed(i, decimals), fixed(k, decimals)), (a[0] + k / scale, a[1] + i / scale)


def _within(words: ArcWords, grid: Grid) -> bool:
    return max(abs(float(words.i)), abs(float(words.k))) <= grid.numbers.greatest


def _evened(centre: Point, a: Point, b: Point, *, most: float) -> Point:
    """The centre moved along the chord towards where its distances to a and b are equal, by at most `most` mm.

    The bound matters where the chord is short: its direction is then mostly rounding, and following it would carry
    the centre far away.
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
