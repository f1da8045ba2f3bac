"""Grooving: the blade plunges from the middle out, pecks, dwells, and finishes downwards only; it never takes too much.

The metal is a shapely polygon that a square blade's own outline cuts leg by leg, so that what the passes say is held
against what they do.
"""

from __future__ import annotations

import itertools

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import blade
from tests.passes.bench import Lathe, joined, under
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Arc, Chain, Line, Point, polyline
from toolpath.geometry.envelope import envelope
from toolpath.passes.groove import STEP_SHARE, Grooving, downward_runs, groove, middle_out, positions
from toolpath.passes.legs import Leg, Legs, Pace

WIDTH = 2.0
CORNER = 0.1
TOP = 10.0
PECK = 0.8
LIFT = 0.5
CLEAR = 1.0
LEAVE = (0.1, 0.1)
START: Point = (5.0, 30.0)
LOST = 2e-3
"""mm2: area by which polygons of finely broken lines, and corners taken 1e-6 mm smaller, touch."""

BLADE = blade(WIDTH, (CORNER, CORNER))


def square(width: float, floor: float, left: float = -20.0) -> Chain:
    """A bar of radius TOP with one square groove in it."""
    right = left + width
    return polyline([(-40.0, TOP), (left, TOP), (left, floor), (right, floor), (right, TOP), (0.0, TOP)])


def sloping(width: float, floor: float, lean: float) -> Chain:
    """The same with walls that lean outwards by `lean` mm."""
    a, b = -20.0, -20.0 + width
    return polyline([(-40.0, TOP), (a - lean, TOP), (a, floor), (b, floor), (b + lean, TOP), (0.0, TOP)])


def job(keep: Chain, *, leave: tuple[float, float] = LEAVE) -> Grooving:
    """The groove of `keep` out of the full bar, as a plan asks for it."""
    plain = cutter(BLADE)
    bare = envelope(keep, plain)
    near = [p.path for p in bare.pieces if p.path.a[0] > -30.0 and p.path.b[0] < -3.0]
    sunk = [e for e in near if min(e.a[1], e.b[1]) < TOP - 1e-3]
    return Grooving(
        keep=envelope(keep, plain.leaving(*leave) if leave != (0.0, 0.0) else plain),
        bare=bare,
        stock=envelope((Line((-40.0, TOP), (0.0, TOP)),), plain),
        within=(sunk[0].a[0], sunk[-1].b[0]),
        path=tuple(sunk),
        width=WIDTH,
        peck=PECK,
        lift=LIFT,
        top=TOP,
        clearance=CLEAR,
    )


def plunges(legs: Legs) -> list[list[Leg]]:
    """The legs of each plunge: the feed legs straight down and up that end with a dwell."""
    out: list[list[Leg]] = [[]]
    for leg in legs:
        if leg.pace is Pace.RAPID:
            out[-1] = []
        elif leg.turns:
            out.append([])
            out[-2].append(leg)
        else:
            out[-1].append(leg)
    return out[:-1]


# ---------------------------------------------------------------- where it plunges


@given(lo=st.floats(-100.0, 0.0), long=st.floats(0.001, 60.0), step=st.floats(0.2, 5.0))
@settings(max_examples=150)
def test_positions_are_even_hold_both_ends_and_keep_to_the_step(lo: float, long: float, step: float) -> None:
    got = positions((lo, lo + long), step)
    assert got[0] == lo and got[-1] == pytest.approx(lo + long, abs=1e-9)
    gaps = [b - a for a, b in itertools.pairwise(got)]
    assert max(gaps) <= step * (1.0 + 1e-8)
    assert max(gaps) - min(gaps) < 1e-9
    assert len(gaps) == 1 or long / (len(gaps) - 1) > step, "one plunge fewer would have done"


def test_a_groove_as_wide_as_the_blade_has_one_place() -> None:
    assert positions((-3.0, -3.0), 1.5) == [-3.0]


@given(st.lists(st.floats(-50.0, 50.0), min_size=1, max_size=12, unique=True).map(sorted))
@settings(max_examples=100)
def test_middle_out_keeps_every_place_and_only_goes_away_from_the_middle(places: list[float]) -> None:
    got = middle_out(places)
    assert sorted(got) == places
    middle = (places[0] + places[-1]) / 2.0
    far = [abs(u - middle) for u in got]
    assert all(a <= b + 1e-8 for a, b in itertools.pairwise(far))


def test_middle_out_by_example() -> None:
    assert middle_out([0.0, 1.0, 2.0, 3.0, 4.0]) == [2.0, 1.0, 3.0, 0.0, 4.0]


# ---------------------------------------------------------------- how it finishes


def test_walls_go_from_the_top_down_and_the_floor_half_from_each_side() -> None:
    path = polyline([(0.0, 10.0), (0.0, 6.0), (4.0, 6.0), (4.0, 10.0)])
    left, right = downward_runs(path)
    assert left == polyline([(0.0, 10.0), (0.0, 6.0), (2.0, 6.0)])
    assert right == polyline([(4.0, 10.0), (4.0, 6.0), (2.0, 6.0)])


def test_an_arc_as_floor_is_cut_at_its_lowest_point() -> None:
    cup = Arc((0.0, 10.0), (6.0, 10.0), (3.0, 10.0), 3.141592653589793)
    runs = downward_runs((cup,))
    assert len(runs) == 2
    for run, start in zip(runs, ((0.0, 10.0), (6.0, 10.0)), strict=True):
        assert run[0].a == pytest.approx(start)
        assert run[-1].b == pytest.approx((3.0, 7.0))


def test_a_ridge_between_two_floors_is_left_downwards_on_both_sides() -> None:
    path = polyline([(0.0, 9.0), (1.0, 5.0), (2.0, 5.0), (3.0, 7.0), (4.0, 5.0), (5.0, 5.0), (6.0, 9.0)])
    runs = downward_runs(path)
    assert [(r[0].a, r[-1].b) for r in runs] == [
        ((0.0, 9.0), (1.5, 5.0)),
        ((3.0, 7.0), (1.5, 5.0)),
        ((3.0, 7.0), (4.5, 5.0)),
        ((6.0, 9.0), (4.5, 5.0)),
    ]


@given(
    st.lists(
        st.tuples(st.integers(0, 3000).map(lambda k: k / 1000.0), st.integers(0, 9).map(float)), min_size=2, max_size=10
    )
)
@settings(max_examples=150)
def test_no_run_ever_climbs_and_all_of_the_path_is_cut(steps: list[tuple[float, float]]) -> None:
    points, u = [], 0.0
    for du, v in steps:
        u += du
        points.append((u, v))
    path = polyline(points)
    runs = downward_runs(path)
    for run in runs:
        for e in run:
            assert e.b[1] <= e.a[1] + 1e-9
        for e, f in itertools.pairwise(run):
            assert e.b == pytest.approx(f.a, abs=1e-9)
    assert sum(e.length for r in runs for e in r) == pytest.approx(sum(e.length for e in path), abs=1e-9)


# ---------------------------------------------------------------- the whole groove

SHAPES = {
    "as wide as the blade": square(WIDTH, 7.0),
    "a little wider": square(2.3, 7.0),
    "wide": square(9.0, 6.0),
    "shallow": square(5.0, 9.6),
    "sloping walls": sloping(6.0, 6.0, 1.5),
}


@pytest.mark.parametrize("name", ["a little wider", "wide", "shallow", "sloping walls"])
def test_each_plunge_pecks_and_dwells_one_turn_at_its_floor(name: str) -> None:
    asked = job(SHAPES[name])
    legs, n = groove(asked, START)
    found = plunges(legs)
    assert 1 <= len(found) <= n
    for plunge in found:
        *pecks, dwell = plunge
        assert dwell.turns == 1.0
        u, floor = dwell.path.a
        assert floor == pytest.approx(asked.keep.height(u), abs=1e-9)
        down = [leg.path for leg in pecks if leg.path.b[1] < leg.path.a[1]]
        up = [leg.path for leg in pecks if leg.path.b[1] > leg.path.a[1]]
        assert all(leg.path.a[0] == leg.path.b[0] == u for leg in pecks)
        assert len(up) == len(down) - 1
        depths = [TOP, *(e.b[1] for e in down)]
        assert all(0.0 < a - b <= PECK * 1.25 + 1e-9 for a, b in itertools.pairwise(depths))
        assert all(e.length == pytest.approx(LIFT) for e in up)


@pytest.mark.parametrize("name", [name for name, keep in SHAPES.items() if keep is not SHAPES["sloping walls"]])
def test_the_number_of_plunges_is_the_number_of_dwells(name: str) -> None:
    legs, n = groove(job(SHAPES[name]), START)
    assert n == sum(1 for leg in legs if leg.turns) == len(plunges(legs))


@pytest.mark.parametrize("leave", [LEAVE, (0.0, 0.0)])
@pytest.mark.parametrize("name", SHAPES)
def test_nothing_is_gouged_nothing_stands_and_rapids_are_clear(name: str, leave: tuple[float, float]) -> None:
    keep = SHAPES[name]
    legs, _ = groove(job(keep, leave=leave), START)
    assert joined(legs, START)
    lathe, stays = Lathe(shapely.box(-40.0, -50.0, 0.0, TOP), BLADE), under(keep, -40.0, 0.0)
    for leg in legs:
        if leg.pace is Pace.RAPID:
            assert lathe.bite(leg) <= LOST, f"a rapid meets metal from {leg.path.a} to {leg.path.b}"
        gouge = stays.intersection(lathe.way(leg)).area
        assert gouge <= LOST, f"{gouge:.4f} mm2 too much from {leg.path.a} to {leg.path.b}"
        lathe.cut(leg)
    # Two corners of the floor keep the blade's own round: (1 - pi / 4) r^2 each.
    assert lathe.metal.difference(stays).area <= 2.0 * 0.2147 * CORNER**2 + LOST


def test_the_first_plunge_is_in_the_middle_and_the_next_ones_have_air_beside_them() -> None:
    asked = job(SHAPES["wide"])
    legs, n = groove(asked, START)
    places = [p[-1].path.a[0] for p in plunges(legs)]
    assert len(places) == n >= 4
    middle = sum(asked.within) / 2.0
    assert abs(places[0] - middle) <= WIDTH * STEP_SHARE / 2.0
    for k, u in enumerate(places[1:], 1):
        assert min(abs(u - w) for w in places[:k]) <= WIDTH * STEP_SHARE + 1e-6
        assert any(abs(u - w) < WIDTH for w in places[:k])


def test_where_nothing_stands_nothing_is_plunged() -> None:
    keep = SHAPES["wide"]
    asked = job(keep)
    done = Grooving(**{f: getattr(asked, f) for f in asked.__struct_fields__} | {"stock": asked.keep})
    _, n = groove(done, START)
    assert n == 0


# ---------------------------------------------------------------- past failures: exact inputs


@pytest.mark.parametrize("width", [2.0, 2.05, 2.15, 2.3])
def test_a_groove_about_as_wide_as_the_blade_is_pecked_to_size(width: float) -> None:
    """No room beside the blade for the metal to be left on: it was fed the full depth in one go, without a dwell."""
    legs, count = groove(job(square(width, 7.0)), START)
    made = [run for run in plunges(legs) if run and run[-1].turns]
    assert count == len(made) >= 1
    deepest = max(leg.path.a[1] - leg.path.b[1] for run in made for leg in run)
    assert deepest <= PECK * 1.25 + CLEAR + LIFT + 1e-9, "a peck, after the way down through the clearance"


def test_only_plunges_that_cut_are_counted() -> None:
    legs, count = groove(job(sloping(6.0, 6.0, 1.5)), START)
    assert count == sum(1 for leg in legs if leg.turns)
