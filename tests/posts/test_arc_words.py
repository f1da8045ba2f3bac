"""Arcs rounded to the last digit: radii that agree, centres that stay, and no tiny arc that becomes a full turn.

The bound is that of NISTIR 6556: radii at start and end within 0.002 mm (0.0002 in). The finding that three decimals of
I and K break it now and then, four do not, was computed over 400 000 arcs of radius 0.2 to 60 mm.
"""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from posts.arc_words import arc_words
from posts.numbers import Grid
from tests.posts.common import G95
from toolpath.errors import CannotMake
from toolpath.geometry.elements import arc_about
from toolpath.motion import ArcCut, State

METRIC = Grid(G95.millimetre, inch=False, diameter=True)
INCH = Grid(G95.inch, inch=True, diameter=True)
GRIDS = pytest.mark.parametrize("grid", [METRIC, INCH], ids=["mm", "inch"])


def arc_of(centre: tuple[float, float], radius: float, angle: float, sweep: float) -> ArcCut:
    def at(w: float) -> tuple[float, float]:
        return (centre[0] + radius * math.cos(w), centre[1] + radius * math.sin(w))

    return ArcCut(at(angle), at(angle + sweep), centre, sweep > 0.0, State())


def printed(arc: ArcCut, grid: Grid) -> tuple[ArcCut, float] | None:
    """The arc that the text says and the gap between its radii, mm; None when no arc is left."""
    start, end = grid.digits(arc.start), grid.digits(arc.end)
    words = arc_words(arc, start, end, grid)
    if words is None:
        return None
    a, b = grid.point(start), grid.point(end)
    centre = (a[0] + float(words.k) * grid.unit, a[1] + float(words.i) * grid.unit)
    return ArcCut(a, b, centre, arc.ccw, arc.state), abs(math.dist(a, centre) - math.dist(b, centre))


def farthest(arc: ArcCut, true: ArcCut) -> float:
    """Farthest that places along an arc lie from the circle of the true one, mm."""
    way, radius = arc_about(arc.centre, arc.start, arc.end, ccw=arc.ccw), math.dist(true.start, true.centre)
    return max(abs(math.dist(way.point_at(n / 8), true.centre) - radius) for n in range(9))


@GRIDS
def test_the_radii_of_thousands_of_arcs_agree(grid: Grid) -> None:
    """Within 2 um, in inch too, and no place of the printed arc farther from the true one than its ends may be."""
    dice = random.Random(1)
    worst_gap = worst_place = 0.0
    lines = 0
    for _ in range(6000):
        radius = math.exp(dice.uniform(math.log(0.2), math.log(60.0)))
        sweep = dice.choice((1, -1)) * dice.uniform(0.02, 1.9 * math.pi)
        arc = arc_of((dice.uniform(-80, 5), dice.uniform(0, 60)), radius, dice.uniform(0, 7), sweep)
        if found := printed(arc, grid):
            worst_gap, worst_place = max(worst_gap, found[1]), max(worst_place, farthest(found[0], arc))
        else:
            lines += 1
            assert radius * (1.0 - math.cos(sweep / 2.0)) <= grid.step / 2.0
    assert 0.0 < worst_gap <= 0.002
    half = math.hypot(grid.step / 2.0, grid.step / 4.0)  # half a last digit of Z, a quarter of X as a radius
    last = math.hypot(0.5, 0.5) * grid.unit / 10**grid.numbers.centre  # half a last digit of I and K
    assert worst_place <= 2.0 * half + last
    assert lines < 60


@pytest.mark.parametrize("decimals, holds", [(2, False), (3, False), (4, True)])
def test_why_i_and_k_have_a_digit_more(decimals: int, *, holds: bool) -> None:
    """Plainly rounded arcs, as the finding has it: gaps to 0.0022 mm at three decimals of I and K, 0.0011 at four."""
    dice = random.Random(2)
    worst = 0.0
    for _ in range(20000):
        radius, angle, sweep = dice.uniform(0.2, 60.0), dice.uniform(0, 7), dice.uniform(0.02, 6.0)
        arc = arc_of((dice.uniform(-80, 5), dice.uniform(0, 60)), radius, angle, sweep)
        a, b = (METRIC.point(METRIC.digits(p)) for p in (arc.start, arc.end))
        centre = tuple(p + round(c - p, decimals) for p, c in zip(a, arc.centre, strict=True))
        worst = max(worst, abs(math.dist(a, centre) - math.dist(b, centre)))
    assert (worst <= 0.0012) is holds


@GRIDS
@given(
    radius=st.floats(0.001, 2000.0),
    sweep=st.floats(1e-7, 1.95 * math.pi),
    angle=st.floats(0.0, 6.3),
    forward=st.booleans(),
    centre=st.tuples(st.floats(-100, 100), st.floats(-100, 100)),
)
@settings(max_examples=200)
def test_what_is_printed_is_the_same_arc_or_no_arc(
    grid: Grid, radius: float, sweep: float, angle: float, forward: bool, centre: tuple[float, float]
) -> None:
    """Whatever the arc: the printed one sweeps about the same length; else the chord tells it within half a digit."""
    arc = arc_of(centre, radius, angle, sweep if forward else -sweep)
    start, end = grid.digits(arc.start), grid.digits(arc.end)
    try:
        words = arc_words(arc, start, end, grid)
    except CannotMake:
        # Only what is within a few last digits across, or what starts and ends in one printed place.
        assert start == end or radius <= 8 * grid.step
        return
    bulge = radius * (1.0 - math.cos(min(sweep, math.pi) / 2.0))
    if words is None:
        assert (start == end and sweep < math.pi) or bulge <= grid.step / 2.0
        return
    found = printed(arc, grid)
    assert found is not None and found[1] <= 0.002
    said = arc_about(found[0].centre, found[0].start, found[0].end, ccw=arc.ccw)
    assert abs(said.length - radius * sweep) <= 8 * grid.step + 7 * abs(said.radius - radius)
    assert farthest(found[0], arc) <= 2.0 * grid.step + 1e-9


def test_a_tiny_arc_is_dropped_and_never_a_full_turn() -> None:
    tiny = arc_of((0.0, 10.0), 5.0, 0.3, 0.00001)
    start, end = METRIC.digits(tiny.start), METRIC.digits(tiny.end)
    assert start == end and arc_words(tiny, start, end, METRIC) is None


def test_a_small_arc_whose_printed_ends_lie_the_other_way_round_becomes_a_line() -> None:
    """The printed place may be one digit off the true start; as an arc this would be read as nearly a full turn."""
    arc = ArcCut((0.0002, 5.0), (0.0006, 5.0), (0.0004, 3.0), False, State())
    assert arc_words(arc, (0, 10000), (1, 10000), METRIC) is not None
    assert arc_words(arc, (1, 10000), (0, 10000), METRIC) is None


def test_a_full_turn_stays_a_full_turn() -> None:
    turn = ArcCut((0.0, 10.0), (0.0, 10.0), (-3.0, 10.0), True, State())
    words = arc_words(turn, METRIC.digits(turn.start), METRIC.digits(turn.end), METRIC)
    assert words is not None and (words.i, words.k) == ("0.0", "-3.0")


def test_a_turn_too_small_for_any_digit_is_dropped() -> None:
    for radius in (0.0, 0.0002):
        turn = ArcCut((0.0, 10.0), (0.0, 10.0), (-radius, 10.0), True, State())
        assert arc_words(turn, METRIC.digits(turn.start), METRIC.digits(turn.end), METRIC) is None


def test_nearly_a_full_turn_is_refused() -> None:
    arc = arc_of((0.0, 10.0), 5.0, 0.3, 2 * math.pi - 0.00001)
    start, end = METRIC.digits(arc.start), METRIC.digits(arc.end)
    assert start == end
    with pytest.raises(CannotMake, match="nearly a full turn"):
        arc_words(arc, start, end, METRIC)


def test_ends_that_differ_by_noise_are_no_full_turn() -> None:
    arc = ArcCut((0.0, 10.0), (1e-15, 10.0 - 1e-15), (-3.0, 10.0), True, State())
    assert arc_words(arc, METRIC.digits(arc.start), METRIC.digits(arc.end), METRIC) is None


def test_an_arc_smaller_than_the_digits_that_bulges_more_is_refused() -> None:
    arc = arc_of((0.0, 10.0), 0.0015, 0.3, 1.2 * math.pi)
    with pytest.raises(CannotMake, match=r"an arc of radius 0\.0015 mm"):
        arc_words(arc, METRIC.digits(arc.start), METRIC.digits(arc.end), METRIC)


def test_a_centre_beyond_the_controls_numbers_leaves_a_line_or_a_refusal() -> None:
    flat = arc_of((0.0, -20000.0), 20010.0, math.pi / 2, 0.0003)
    assert arc_words(flat, METRIC.digits(flat.start), METRIC.digits(flat.end), METRIC) is None
    bulging = arc_of((0.0, -20000.0), 20010.0, math.pi / 2, 0.003)
    with pytest.raises(CannotMake):
        arc_words(bulging, METRIC.digits(bulging.start), METRIC.digits(bulging.end), METRIC)


def test_quarter_round_of_the_derivation() -> None:
    """Face to cylinder R5 on a 40 mm bar: G03 X40. Z-5. I0 K-5. (derived from right-handed axes, ISO 841)."""
    arc = ArcCut((0.0, 15.0), (-5.0, 20.0), (-5.0, 15.0), True, State())
    words = arc_words(arc, METRIC.digits(arc.start), METRIC.digits(arc.end), METRIC)
    assert words is not None and (words.i, words.k) == ("0.0", "-5.0")


@pytest.mark.parametrize(
    "centre, radius, angle, sweep",
    [
        ((-41.62270867871339, 0.0), 46.62270867871339, 0.0, -5.9),
        ((-123.99465567766796, 11.576857337148112), 1.0, 0.13286, 5.9),
    ],
)
def test_a_centre_that_was_moved_to_even_the_radii_is_not_moved_again(
    centre: tuple[float, float], radius: float, angle: float, sweep: float
) -> None:
    """Seeds that failed: a program read and written again came out in other digits."""
    found = once_and_again(arc_of(centre, radius, angle, sweep), INCH)
    assert found is not None and found[0][0] == found[1][0]


@GRIDS
def test_printed_arcs_are_printed_again_as_they_are(grid: Grid) -> None:
    dice = random.Random(3)
    moved = 0
    for _ in range(6000):
        radius, sweep = dice.uniform(0.05, 80.0), dice.choice((1, -1)) * dice.uniform(0.05, 5.9)
        arc = arc_of((dice.uniform(-200, 50), dice.uniform(-5, 60)), radius, dice.uniform(0.0, 6.28), sweep)
        try:
            found = once_and_again(arc, grid)
        except CannotMake:
            continue
        if found:
            (first, gap), (again, _) = found
            assert again == first
            moved += gap > 0.0012
    assert moved or grid is METRIC  # the case in question was met


def once_and_again(arc: ArcCut, grid: Grid) -> tuple[tuple[ArcCut, float], tuple[ArcCut, float]] | None:
    first = printed(arc, grid)
    again = printed(first[0], grid) if first else None
    return (first, again) if first and again else None
