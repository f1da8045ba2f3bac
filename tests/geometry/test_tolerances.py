"""Every tolerance of the kernel held from both sides: what it forgives, and what a little more is not forgiven."""

from __future__ import annotations

import importlib
import itertools
import math
import pkgutil

import msgspec
import numpy as np
import pytest

import toolpath.geometry
from tests.geometry.strategies import blade, box, mirrored, nose_tool, round_tool
from toolpath.geometry.ceiling import back, room
from toolpath.geometry.corners import Corner, NoCorner, crossings, round_corner
from toolpath.geometry.cutter import Touch, cutter
from toolpath.geometry.elements import Chain, Line, arc_about, polyline
from toolpath.geometry.envelope import envelope
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.geometry.minimum import lower
from toolpath.geometry.silhouette import silhouette
from toolpath.geometry.uncut import contact, uncut

NEEDLE = polyline([(0.0, 0.0), (0.0, 9.0)], close=True)
RAD = math.radians


def groove(width: float) -> Chain:
    right = 4.0 + width
    return polyline([(0.0, 9.0), (4.0, 9.0), (4.0, 6.0), (right, 6.0), (right, 9.0), (12.0, 9.0)])


@pytest.mark.parametrize(("narrower", "fits"), [(1.8e-6, True), (2.2e-6, False)])
def test_the_fit_tolerance_is_a_micrometre_off_each_half_width(narrower: float, fits: bool) -> None:
    """1e-6 mm off each half: a groove 1.8e-6 narrower than its blade takes it, one 2.2e-6 narrower does not."""
    env = envelope(groove(2.0 - narrower), cutter(blade(2.0, (0.0, 0.0))))
    lowest = min(env.height(4.0 + d) for d in np.linspace(-4e-6, 4e-6, 401))
    assert lowest == pytest.approx(6.0 if fits else 9.0, abs=1e-9)


def test_the_fit_tolerance_comes_off_a_radius_once_and_never_below_nothing() -> None:
    """R 1 enters as R 0.999999; a corner sharper than the tolerance enters sharp."""
    (piece,) = cutter(round_tool(1.0)).pieces
    assert piece.radius == pytest.approx(1.0 - 1e-6, abs=1e-12)
    assert {p.radius for p in cutter(nose_tool(5e-7, (RAD(40.0), RAD(140.0)), tip=0)).pieces} == {0.0}


@pytest.mark.parametrize("size", [1.0, 10.0, 1000.0])
@pytest.mark.parametrize(("advance", "upright"), [(0.5e-9, True), (2e-9, False)])
def test_what_advances_less_than_1e_9_of_the_size_is_a_wall(size: float, advance: float, upright: bool) -> None:
    a, b = 0.4 * size, (0.4 + advance) * size
    keep = polyline([(0.0, 0.2 * size), (a, 0.2 * size), (b, 0.6 * size), (size, 0.6 * size)])
    (wall,) = [p for p in envelope(keep, cutter(NEEDLE)).pieces if p.path.length > 0.3 * size and p.element == 1]
    assert wall.vertical is upright


def test_no_piece_of_a_path_is_without_length() -> None:
    """A site on top by less than a rounding step leaves no piece behind, at either end of a path."""
    post = polyline([(1.0, 2.0), (1.0, 2.00000001), (2.0, 2.00000001), (2.0, 2.00000002)])
    half = arc_about((1.5, 2.0), (1.0, 2.0), (2.0, 2.0), ccw=False)
    foot = polyline([(0.0, 1.99999999), (1.0, 1.99999999), half.a])
    bead = (*foot, half, Line(half.b, (2.0, 2.00000001)))
    step = polyline([(0.0, 3.0), (1.0, 3.0), (2.0, 3.0), (2.0, 1.0), (4.0, 1.0)])
    for keep in (post, mirrored(post), bead, mirrored(bead), step):
        for tool in (round_tool(1.0), nose_tool(0.4, (RAD(40.0), RAD(95.0)), tip=-1), blade(2.0, (0.2, 0.2))):
            pieces = envelope(keep, cutter(tool)).pieces
            assert all(p.path.b[0] - p.path.a[0] > 1e-13 or abs(p.path.b[1] - p.path.a[1]) > 1e-10 for p in pieces)


@pytest.mark.parametrize(("more", "is_shut"), [(0.4e-9, False), (3e-9, True)])
def test_a_bar_is_shut_out_by_more_than_1e_9_of_the_size(more: float, is_shut: bool) -> None:
    """From point to back just the hole's 1 mm, and a hair more; anything up to 1 mm in size counts as 1 mm."""
    keep = polyline([(-0.9, -0.5), (-0.1, -0.5)])
    got = room(keep, envelope(keep, cutter(NEEDLE)), (box(0.0, 0.2, 0.5, high=0.5 + more),))
    assert (got.shut != ()) is is_shut


@pytest.mark.parametrize("size", [0.01, 1.0, 1000.0])
@pytest.mark.parametrize("first", [True, False])
def test_a_neighbour_is_used_up_at_any_size(size: float, first: bool) -> None:
    """A round that takes all of its neighbour but for a rounding step leaves none of it; 1e-6 short is no room."""
    for miss, made in ((1e-12, True), (-1e-12, True), (1e-6, False), (-1e-6, None)):
        short, long = size * (0.25 - miss), size
        along, up = (short, long) if first else (long, short)
        got = round_corner(Line((0.0, 0.0), (along, 0.0)), Line((along, 0.0), (along, up)), 0.25 * size)
        if made is False:
            assert isinstance(got, NoCorner) and (got.why, got.side) == ("no room", "before" if first else "after")
            continue
        assert isinstance(got, Corner)
        used, kept = (got.before, got.after) if first else (got.after, got.before)
        assert kept is not None and (used is None) is bool(made)


def test_curves_that_just_touch_cross_in_that_point() -> None:
    """A tangent to a circle, and two circles side by side: rounding may put them a hair apart."""
    ball, next_to = (arc_about((c, 0.0), (c - 5.0, 0.0), (c + 5.0, 0.0), ccw=False) for c in (0.0, 10.0))
    for hair in (-1e-11, 0.0, 1e-11):
        tangent = Line((-9.0, 5.0 + hair), (9.0, 5.0 + hair))
        assert [math.dist(p, (0.0, 5.0)) < 1e-4 for p in crossings(tangent, ball)] == [True, True]
        beside = next_to.moved((hair, 0.0))
        assert [math.dist(p, (5.0, 0.0)) < 1e-4 for p in crossings(ball, beside)] == [True, True]
    assert crossings(Line((-9.0, 5.001), (9.0, 5.001)), ball) == crossings(ball, next_to.moved((1e-3, 0.0))) == []


@pytest.mark.parametrize(("length", "left"), [(0.9e-6, 2), (1.1e-6, 3)])
def test_a_sliver_is_a_thousandth_of_a_controls_last_digit(length: float, left: int) -> None:
    """Of 0.001 mm, that is."""
    path = polyline([(0.0, 0.0), (4.0, 3.0), (4.0, 3.0 - length), (9.0, 3.0 - length)])
    got = merged(path, MERGE, sliver=SLIVER)
    assert len(got) == left
    assert (got[0], got[-1]) == (path[0], Line(got[-2].b, path[-1].b))


@pytest.mark.parametrize(("aside", "moves"), [(0.8e-9, 1), (1.2e-9, 2)])
def test_a_vertex_within_1e_9_of_a_line_is_on_it(aside: float, moves: int) -> None:
    assert len(merged(polyline([(0.0, 0.0), (5.0, aside), (10.0, 0.0)]), MERGE)) == moves


def test_metal_left_on_a_holder_is_the_holders_and_on_an_edge_a_flats() -> None:
    """What is drawn apart by the leave-on touches as the part of the tool it stands in."""
    shank = cutter(box(0.0, 4.0, 0.0), holder=True).leaving(0.1, 0.0)
    assert {p.touch for p in shank.pieces} == {Touch.HOLDER}
    nose = cutter(round_tool(1.0)).leaving(0.1, 0.0)
    assert [p.touch for p in nose.pieces] == [Touch.NOSE, Touch.FLAT, Touch.NOSE]
    needle = cutter(NEEDLE).leaving(0.1, 0.2)
    assert (needle.start, needle.width) == ((-0.1, 0.2), 0.2)
    assert [p.touch for p in needle.pieces] == [Touch.FLAT]


def test_what_runs_against_the_ceiling_is_the_holder() -> None:
    assert {p.touch for p in back(round_tool(1.0)).pieces} == {Touch.HOLDER}


def test_of_two_that_overlap_the_higher_is_seen_where_they_do() -> None:
    """A cone leans back over the end of a falling taper: under its rim it is the higher, farther left the taper is."""
    work = polyline([(100.0, 9.0), (106.0, 5.0), (105.0, 6.5), (120.0, 7.0)])
    seen = silhouette(work)
    rim = 9.0 - 5.0 * 4.0 / 6.0
    assert seen.chain[:2] == (
        Line((100.0, 9.0), (105.0, pytest.approx(rim))),
        Line((105.0, pytest.approx(rim)), (105.0, 6.5)),
    )
    assert (seen.chain[2:], seen.source) == ((work[2],), (0, -1, 2))


def test_an_element_without_length_is_none() -> None:
    path = (Line((0.0, 0.0), (4.0, 3.0)), Line((4.0, 3.0), (4.0, 3.0)), Line((4.0, 3.0), (9.0, 3.0)))
    assert merged(path, MERGE) == (path[0], path[2])


@pytest.mark.parametrize(("gap", "moves"), [(0.5e-9, 1), (5e-9, 3)])
def test_heights_within_1e_9_are_one_height(gap: float, moves: int) -> None:
    """The lower of two level lines, one of them only over the middle: a gap of half that tolerance is none."""
    first, second = polyline([(0.0, 5.0), (9.0, 5.0)]), polyline([(3.0, 5.0 - gap), (6.0, 5.0 - gap)])
    level = [e for e in lower(first, second) if e.b[0] > e.a[0]]
    assert len(level) == moves
    assert level[0].a == (0.0, 5.0) and level[-1].b == (9.0, 5.0)


@pytest.mark.parametrize("heights", [(0.0, 2.0, 5.0, 7.0), (7.0, 5.0, 2.0, 0.0)])
def test_a_wall_of_three_lines_at_the_end_of_the_work_knows_which_is_touched(heights: tuple[float, ...]) -> None:
    """The wall is the first (falling) or last (rising) thing of the work; the contact is on the line at its height."""
    rising = heights[0] < heights[-1]
    wall = polyline([(4.0, h) for h in heights])
    keep = (*polyline([(0.0, 0.0), (4.0, 0.0)]), *wall) if rising else (*wall, *polyline([(4.0, 0.0), (8.0, 0.0)]))
    beyond = Line((4.0, 7.0), (8.0, 7.0)) if rising else Line((0.0, 7.0), (4.0, 7.0))
    whole = (*keep, beyond) if rising else (beyond, *keep)
    for work in (whole, keep):
        cut = cutter(round_tool(0.5), fit_tolerance=0.0)
        for p in envelope(work, cut).pieces:
            for at, end in ((p.path.a, False), (p.path.b, True)):
                q, k = contact(p, work, cut, at_end=end)
                e = work[min(k, len(work) - 1)]
                assert e.distance(q) <= 1e-9, (q, k)
                assert math.dist(q, (at[0], at[1] + 0.5)) == pytest.approx(0.5, abs=1e-9)


def test_what_is_left_thinner_than_asked_is_not_told() -> None:
    """By itself a leftover of 0.1 micrometres counts; the corner under a nose is r (sqrt 2 - 1) thick."""
    keep = polyline([(0.0, 9.0), (5.0, 9.0), (5.0, 4.0), (15.0, 4.0)])
    for thick, told in ((0.9e-4, 0), (1.1e-4, 1)):
        cut = cutter(nose_tool(thick / (math.sqrt(2.0) - 1.0), (RAD(30.0), RAD(90.0)), tip=-1), fit_tolerance=0.0)
        assert len(uncut(envelope(keep, cut), keep, cut)) == told


def test_a_flat_is_blamed_for_what_it_bridges_and_an_edge_before_it() -> None:
    slot = polyline([(-9.0, 8.0), (-2.0, 8.0), (-2.0, 5.0), (0.0, 5.0), (0.0, 8.0), (9.0, 8.0)])
    cut = cutter(blade(3.0, (0.1, 0.1)), fit_tolerance=0.0)
    assert [r.touch for r in uncut(envelope(slot, cut), slot, cut)] == [Touch.FLAT]


@pytest.mark.parametrize("outside", [False, True])
def test_chords_of_an_arc_are_even(outside: bool) -> None:
    """A quarter of R 10 to 0.01 mm: chord by chord the same length; tangents too, but for the first and last half."""
    quarter = arc_about((0.0, 0.0), (10.0, 0.0), (0.0, 10.0), ccw=True)
    points = [quarter.a, *quarter.flattened(0.01, outside=outside)]
    steps = [math.dist(p, q) for p, q in itertools.pairwise(points)]
    least = math.ceil(math.pi / 2.0 / (2.0 * math.acos(10.0 / 10.01 if outside else 0.999)))
    assert len(steps) == least + (1 if outside else 0)
    assert len(quarter.flattened(20.0, outside=outside)) == 1 + outside  # coarser than the arc is high: one chord
    inner = steps[1:-1] if outside else steps
    assert inner == pytest.approx([inner[0]] * len(inner), abs=1e-9)
    if outside:
        assert (steps[0], steps[-1]) == pytest.approx((inner[0] / 2.0, inner[0] / 2.0), abs=1e-9)


def test_values_are_frozen() -> None:
    """Nothing of the kernel can be changed once it is made."""
    found = 0
    for info in pkgutil.iter_modules(toolpath.geometry.__path__):
        module = importlib.import_module(f"toolpath.geometry.{info.name}")
        for kind in vars(module).values():
            if isinstance(kind, type) and issubclass(kind, msgspec.Struct) and kind.__module__ == module.__name__:
                assert kind.__struct_config__.frozen, kind
                found += 1
    assert found >= 10
