"""Roughing along the contour: shells from the outside in, no cut deeper than its depth, rapids clear of what stands."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from tests.passes.bench import CLEAR, DEPTH, LEAVE, START, TOP, Lathe, bar, joined, knife, passes, under, with_front
from toolpath.geometry.elements import Chain
from toolpath.geometry.envelope import envelope
from toolpath.passes.follow import Following, follow
from toolpath.passes.legs import Legs, Pace

SHELLS = 8
"""Enough for the outermost to meet the bar everywhere: (12.5 - 3) / 1.5 and one more."""
STEPPED = with_front((-60.0, 14.0), (-40.0, 14.0), (-40.0, 9.0), (-20.0, 9.0), (-20.0, 5.0), (-1.0, 5.0), (0.0, 4.0))
TAPERED = with_front((-60.0, 14.0), (-40.0, 14.0), (-40.0, 11.0), (0.0, 3.0))
NECKED = with_front(
    (-70.0, 14.0), (-60.0, 14.0), (-60.0, 11.0), (-50.0, 11.0), (-46.0, 9.0), (-40.0, 9.0), (-30.0, 11.0), (-1.0, 11.0),
    (0.0, 10.0),
)  # fmt: skip
ALL = {"stepped": STEPPED, "tapered": TAPERED, "necked": NECKED}
LOST = 1e-3
"""mm2: area by which polygons of finely broken lines touch."""


def job(keep: Chain, shells: int = SHELLS) -> Following:
    stock = envelope(bar(keep[0].a[0]), knife())
    leaves = [(LEAVE[0] + k * DEPTH, LEAVE[1] + k * DEPTH) for k in range(shells - 1, -1, -1)]
    return Following(
        shells=[envelope(keep, knife(leave)) for leave in leaves],
        stock=stock,
        within=(keep[0].a[0] + 2.0, stock.hi + CLEAR),
        top=TOP,
        clearance=CLEAR,
    )


def stock(keep: Chain) -> shapely.Geometry:
    return shapely.box(keep[0].a[0], -50.0, 0.0, TOP)


def heights(run: Legs, at: np.ndarray) -> np.ndarray:
    """Least height of the path of a pass over each place; inf where it does not go."""
    out = np.full(at.shape, np.inf)
    for leg in run:
        for k in range(129):
            u, v = leg.path.point_at(k / 128.0)
            i = int(np.argmin(np.abs(at - u)))
            if abs(at[i] - u) < 0.1:
                out[i] = min(out[i], v)
    return out


@pytest.mark.parametrize("name", ALL)
def test_legs_join_and_every_cut_is_counted(name: str) -> None:
    legs, cuts = follow(job(ALL[name]), START)
    assert joined(legs, START)
    assert len(passes(legs)) == cuts >= 2


@pytest.mark.parametrize("name", ALL)
def test_rapids_run_clear_of_what_stands_then_and_nothing_is_gouged(name: str) -> None:
    keep = ALL[name]
    lathe, stays = Lathe(stock(keep)), under(keep, keep[0].a[0] - 5.0, 0.0)
    for leg in follow(job(keep), START)[0]:
        if leg.pace is Pace.RAPID:
            assert lathe.bite(leg) <= LOST, f"a rapid meets metal from {leg.path.a} to {leg.path.b}"
            assert leg.path.a[0] == leg.path.b[0] or leg.path.a[1] == leg.path.b[1], "one axis at a time"
        assert stays.intersection(lathe.way(leg)).area <= LOST
        lathe.cut(leg)


@pytest.mark.parametrize("name", ALL)
def test_the_outermost_shell_comes_first(name: str) -> None:
    """Over every place, each pass runs lower than those before it."""
    keep = ALL[name]
    at = np.arange(keep[0].a[0], 2.0, 0.25)
    lowest = np.full(at.shape, np.inf)
    for run in passes(follow(job(keep), START)[0]):
        now = heights(run[1:-1], at)
        assert np.all((now < lowest + 0.01) | ~np.isfinite(now))
        lowest = np.minimum(lowest, now)


@pytest.mark.parametrize("name", ALL)
def test_no_pass_is_deeper_than_its_depth(name: str) -> None:
    """What a pass takes lies within one depth, along z and along x each, of what it leaves."""
    keep = ALL[name]
    lathe = Lathe(stock(keep))
    runs = passes(follow(job(keep), START)[0])
    for run in runs:
        before = lathe.metal
        for leg in run:
            lathe.cut(leg)
        taken = before.difference(lathe.metal)
        # The shells grow by a box of one depth each way, so a corner of it is sqrt 2 of the depth away.
        left = shapely.distance(shapely.points(shapely.get_coordinates(taken)), lathe.metal)
        assert left.max() <= DEPTH * 2.0**0.5 + 0.02


@pytest.mark.parametrize("name", ALL)
def test_what_is_left_is_the_finishing_metal(name: str) -> None:
    """No column of metal above the last shell's own sweep remains."""
    asked, keep = job(ALL[name]), ALL[name]
    lathe = Lathe(stock(keep))
    for leg in follow(asked, START)[0]:
        lathe.cut(leg)
    left = lathe.metal.difference(under(keep, keep[0].a[0] - 5.0, 0.0).buffer(0.3, join_style="mitre"))
    beyond = shapely.box(keep[0].a[0] + 3.0, -40.0, 0.0, 40.0)
    assert left.intersection(beyond).area <= 0.05


def test_it_climbs_the_wall_where_the_stretch_ends_at_one() -> None:
    """The wall from 9 to 12.5 at z -40 is cut up to the bar's own surface."""
    legs, _ = follow(job(STEPPED), START)
    last = passes(legs)[-1]
    # The nose is 0.4 and 0.2 is left: the knife's path runs up beside the wall, from the floor to the bar's top.
    upright = [leg.path for leg in last if abs(leg.path.a[0] - leg.path.b[0]) < 1e-6 and leg.path.b[1] > leg.path.a[1]]
    (climb,) = (e for e in upright if e.a[0] == pytest.approx(-40.0 + LEAVE[0], abs=1e-5))
    assert climb.b[1] == pytest.approx(TOP, abs=1e-6)


def test_stock_already_at_the_last_shell_is_left_alone() -> None:
    asked = job(STEPPED)
    done = Following(asked.shells, asked.shells[-1], asked.within, asked.top, asked.clearance)
    assert follow(done, START) == ((), 0)


def test_fewer_shells_make_fewer_cuts() -> None:
    assert follow(job(TAPERED, 2), START)[1] < follow(job(TAPERED, SHELLS), START)[1]
