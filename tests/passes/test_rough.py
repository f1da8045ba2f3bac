"""Roughing: every pass cuts metal, none too deep, none into what must stay, and rapids run clear of what stands then.

The metal is kept as shapely polygons and cut move by move with the tool's own outline, so that what the passes say is
held against what they do.
"""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.geometry.strategies import scaled
from tests.passes.bench import (
    CLEAR,
    DEPTH,
    KNIFE,
    LEAVE,
    NOSE,
    START,
    TOP,
    Lathe,
    bar,
    job,
    joined,
    knife,
    passes,
    under,
    with_front,
)
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Chain, Line, polyline
from toolpath.geometry.envelope import envelope
from toolpath.passes.legs import Leg, Legs, Pace
from toolpath.passes.rough import DOWN, PLUNGE, THIN, Roughing, _share, rough

STEPPED = with_front((-60.0, 14.0), (-40.0, 14.0), (-40.0, 9.0), (-20.0, 9.0), (-20.0, 5.0), (-1.0, 5.0), (0.0, 4.0))
TAPERED = with_front((-60.0, 14.0), (-40.0, 14.0), (-40.0, 11.0), (0.0, 3.0))
NECKED = with_front(
    (-70.0, 14.0), (-60.0, 14.0), (-60.0, 11.0),
    (-50.0, 11.0), (-48.0, 7.0), (-40.0, 7.0), (-30.0, 11.0),
    (-26.0, 11.0), (-24.0, 6.0), (-18.0, 6.0), (-8.0, 11.0), (-1.0, 11.0), (0.0, 10.0),
)  # fmt: skip
ALL = {"stepped": STEPPED, "tapered": TAPERED, "necked": NECKED}
LOST = 1e-3
"""mm2: area by which polygons of finely broken lines touch."""


def stock(keep: Chain) -> shapely.Geometry:
    left = keep[0].a[0]
    return shapely.box(left, -50.0, 0.0, TOP)


def watched(keep: Chain) -> tuple[Legs, tuple[float, ...], list[tuple[float, float]]]:
    """Legs, depths, and for each leg (area in its way when it comes, area of it that must stay)."""
    legs, depths = rough(job(keep), START)
    lathe, stays = Lathe(stock(keep)), under(keep, keep[0].a[0] - 5.0, 0.0)
    seen = []
    for leg in legs:
        gouge = float(stays.intersection(lathe.way(leg)).area)
        seen.append((lathe.bite(leg) if leg.pace is Pace.RAPID else lathe.cut(leg), gouge))
    return legs, depths, seen


@pytest.mark.parametrize("name", ALL)
def test_legs_join_from_the_change_point(name: str) -> None:
    legs, depths = rough(job(ALL[name]), START)
    assert joined(legs, START)
    assert depths and max(depths) <= DEPTH + 1e-6


@pytest.mark.parametrize("front", [6.0, 6.1, 6.18])
def test_a_rapid_beside_the_metal_keeps_clear_of_what_stands_below(front: float) -> None:
    """In front of the metal the stock is down to size already, or nearly, as a drilled hole is: one clearance off."""
    keep = with_front((-60.0, 6.0), (0.0, 6.0))
    profile = polyline([(-60.0, TOP), (-20.0, TOP), (-20.0, front), (0.0, front), (0.0, -NOSE)])
    stepped = envelope(profile, knife())
    legs, _ = rough(replace(job(keep), stock=stepped), START)
    lathe = Lathe(shapely.box(-60.0, -50.0, 0.0, front).union(shapely.box(-60.0, -50.0, -20.0, TOP)))
    down = [leg for leg in legs if leg.pace is Pace.RAPID and leg.path.b[1] < leg.path.a[1] and leg.path.b[0] < 0.0]
    assert down and all(leg.path.b[1] >= front + CLEAR - 1e-6 for leg in down)
    assert not any(lathe.bite(leg) > LOST for leg in down)


@pytest.mark.parametrize("name", ALL)
def test_rapids_run_clear_of_what_stands_then(name: str) -> None:
    legs, _, seen = watched(ALL[name])
    for leg, (met, _) in zip(legs, seen, strict=True):
        if leg.pace is Pace.RAPID:
            assert met <= LOST, f"a rapid meets {met:.3f} mm2 of metal from {leg.path.a} to {leg.path.b}"
            assert leg.path.a[0] == leg.path.b[0] or leg.path.a[1] == leg.path.b[1], "one axis at a time"


def lifted_too_high(legs: Legs, lathe: Lathe) -> list[str]:
    """Ways across that neither keep a height the tool has anyway nor are held up by metal one clearance below them."""
    out = []
    for k, leg in enumerate(legs):
        if leg.pace is Pace.RAPID and leg.path.a[1] == leg.path.b[1] and 0 < k < len(legs) - 1:
            came, height = legs[k - 1], leg.path.a[1]
            lifted = came.pace is Pace.RAPID and came.path.b[1] > came.path.a[1] and height > legs[k + 1].path.b[1]
            under = Leg(leg.path.moved((0.0, -CLEAR - 0.01)))
            if lifted and lathe.bite(under) <= LOST:
                out.append(f"from {leg.path.a} to {leg.path.b} could be lower")
        lathe.cut(leg)
    return out


@pytest.mark.parametrize("name", ALL)
def test_a_way_across_is_lifted_over_what_stands_there_then_and_no_higher(name: str) -> None:
    assert lifted_too_high(rough(job(ALL[name]), START)[0], Lathe(stock(ALL[name]))) == []


def test_back_into_the_same_valley_the_tool_keeps_the_height_it_left_at() -> None:
    """Out at 45 deg by one clearance, back level, down by what the next pass needs: two rapids a pass, none upwards."""
    legs, depths = rough(job(STEPPED), START)
    rapids = [leg.path for leg in legs if leg.pace is Pace.RAPID]
    assert len(rapids) == 2 * len(depths) and all(e.b[1] <= e.a[1] for e in rapids)


@pytest.mark.parametrize("name", ALL)
def test_every_pass_cuts_metal(name: str) -> None:
    legs, depths, seen = watched(ALL[name])
    taken: list[float] = []
    here = 0.0
    for leg, (met, _) in zip(legs, seen, strict=True):
        if leg.pace is Pace.RAPID:
            taken, here = ([*taken, here] if here else taken), 0.0
        else:
            here += met
    taken.append(here)
    assert len(passes(legs)) == len(depths)
    assert len(taken) == len(depths) and min(taken) > 0.05


@pytest.mark.parametrize("name", ALL)
def test_nothing_that_must_stay_is_touched(name: str) -> None:
    _, _, seen = watched(ALL[name])
    assert max(gouge for _, gouge in seen) <= LOST


@pytest.mark.parametrize("name", ALL)
def test_what_is_left_is_what_was_to_be_left(name: str) -> None:
    """No point of the path comes nearer to the contour than the envelope that leaves metal on."""
    work = job(ALL[name])
    legs, _ = rough(work, START)
    for run in passes(legs):
        for leg in run:
            for k in range(9):
                u, v = leg.path.point_at(k / 8.0)
                # Beside a wall the envelope jumps, and its height is the higher end's.
                assert v >= min(work.keep.height(u + d) for d in (-2e-6, 0.0, 2e-6)) - 1e-6


@pytest.mark.parametrize("name", ALL)
def test_no_pass_is_deeper_than_its_depth(name: str) -> None:
    """Along z the edge never has more than the depth of cut of metal over the nose, by the metal that stands then."""
    keep = ALL[name]
    lathe = Lathe(stock(keep))
    for run in passes(rough(job(keep), START)[0]):
        for leg in run:
            e = leg.path
            if isinstance(e, Line) and e.a[1] == e.b[1] and e.b[0] < e.a[0] - 1.0:
                z = (e.a[0] + e.b[0]) / 2.0 + NOSE
                column = lathe.metal.intersection(shapely.LineString([(z, e.a[1] + 1e-6), (z, 40.0)]))
                assert column.length <= DEPTH + 1e-4
            lathe.cut(leg)


def test_a_level_climbs_the_contour_by_one_depth_and_leaves_at_45_deg() -> None:
    """On a taper of 0.2: flat at its level, along the taper up to the level before, out by the clearance."""
    work = job(TAPERED)
    legs, depths = rough(work, START)
    runs = passes(legs)
    for i in range(2, len(runs) - 1):
        flat, climb, *_, out = (leg.path for leg in runs[i])
        before = runs[i - 1][0].path.a[1]
        assert flat.a[1] == flat.b[1] == pytest.approx(before - depths[i])
        assert climb.b[1] == pytest.approx(before, abs=1e-6)
        assert (climb.b[1] - climb.a[1]) / (climb.a[0] - climb.b[0]) == pytest.approx(0.2, abs=1e-9)
        assert (out.b[0] - out.a[0], out.b[1] - out.a[1]) == pytest.approx((CLEAR, CLEAR))


def test_valleys_are_finished_one_after_the_other_from_the_free_end() -> None:
    legs, _ = rough(job(NECKED), START)
    feet = [min((leg.path.b for leg in run), key=lambda p: p[1]) for run in passes(legs)]
    in_neck = [z for z, x in feet if 5.0 < x < 10.9 and z < -1.0]
    first = [z for z in in_neck if z > -28.0]
    assert len(first) >= 3 and len(in_neck) - len(first) >= 3
    assert in_neck == [*first, *(z for z in in_neck if z <= -28.0)], "the neck nearer the free end comes first, whole"


def test_a_bar_that_is_small_enough_is_left_alone() -> None:
    keep = with_front((-60.0, 14.0), (0.0, 14.0))
    assert rough(job(keep), START) == ((), ())


def test_a_bar_already_stepped_is_cut_only_where_metal_stands() -> None:
    """What stands is known: the front half is turned down before, and no pass runs there in air."""
    keep = with_front((-60.0, 14.0), (-40.0, 14.0), (-40.0, 6.0), (0.0, 6.0))
    plain = job(keep)
    turned = with_front((-65.0, TOP), (-20.0, TOP), (-20.0, 6.1), (0.0, 6.1))[:-1]
    known = Roughing(
        keep=plain.keep,
        stock=envelope(turned, knife()),
        within=plain.within,
        top=TOP,
        depth=DEPTH,
        clearance=CLEAR,
    )
    legs, _ = rough(known, START)
    assert legs
    for run in passes(legs):
        assert run[0].path.a[0] <= -20.0 + 3.0 * CLEAR
    whole = sum(leg.path.length for run in passes(rough(plain, START)[0]) for leg in run)
    assert sum(leg.path.length for run in passes(legs) for leg in run) < 0.65 * whole


@st.composite
def shafts(draw: st.DrawFn) -> Chain:
    """Steps, tapers and necks from a bar behind to the front face."""
    points = [(-70.0, 14.0)]
    z = -60.0
    points.append((z, 14.0))
    for _ in range(draw(st.integers(1, 5))):
        x = draw(st.integers(20, 120)) / 10.0
        kind = draw(st.sampled_from(["step", "taper"]))
        if kind == "step":
            points.append((z, x))
        z += draw(st.integers(20, 110)) / 10.0
        points.append((z, x))
    return with_front(*points, (0.0, points[-1][1]))


@given(shafts())
@settings(max_examples=25, deadline=None)
def test_any_shaft_is_roughed_without_air_or_gouge_or_contact(keep: Chain) -> None:
    legs, depths, seen = watched(keep)
    assume(legs)
    assert joined(legs, START) and max(depths) <= DEPTH + 1e-6
    assert max(gouge for _, gouge in seen) <= LOST
    for leg, (met, _) in zip(legs, seen, strict=True):
        assert leg.pace is not Pace.RAPID or met <= LOST, f"rapid from {leg.path.a} to {leg.path.b} meets {met} mm2"
    assert lifted_too_high(legs, Lathe(stock(keep))) == []


@given(shafts(), st.sampled_from([0.5, 2.0]))
@settings(max_examples=25, deadline=None)
def test_twice_the_work_is_twice_the_way(keep: Chain, k: float) -> None:
    """Work, tool, depth, leave-on and clearance scaled together give the same passes, scaled."""
    plain = job(keep)
    tool = cutter(scaled(KNIFE, k), fit_tolerance=1e-6 * k)
    large = Roughing(
        keep=envelope(scaled(keep, k), tool.leaving(k * LEAVE[0], k * LEAVE[1])),
        stock=envelope(scaled(bar(keep[0].a[0]), k), tool),
        within=(k * plain.within[0], k * plain.within[1]),
        top=k * TOP,
        depth=k * DEPTH,
        clearance=k * CLEAR,
    )
    small_legs, small_depths = rough(plain, START)
    legs, depths = rough(large, (k * START[0], k * START[1]))
    assert depths == pytest.approx([k * d for d in small_depths], abs=1e-6)
    assert len(legs) == len(small_legs)
    for leg, small in zip(legs, small_legs, strict=True):
        assert leg.pace is small.pace
        assert math.dist(leg.path.b, (k * small.path.b[0], k * small.path.b[1])) <= 1e-3, (
            "a height that counts as one is a longer way on a flat arc"
        )


def over(keep: Chain, metal: float) -> Roughing:
    """Roughing of a shaft of radius 9 from a bar that is `metal` thicker than what is to be left on it."""
    plain = job(keep)
    thin = polyline([(-70.0, 9.2 + metal), (0.0, 9.2 + metal), (0.0, -NOSE)])
    return replace(plain, stock=envelope(thin, knife()), top=9.2 + metal)


def test_metal_thinner_than_a_hundredth_of_the_depth_makes_no_pass() -> None:
    keep = with_front((-70.0, 9.0), (0.0, 9.0))
    assert rough(over(keep, 0.9 * THIN * DEPTH), START) == ((), ())
    legs, depths = rough(over(keep, 1.5 * THIN * DEPTH), START)
    assert len(passes(legs)) == len(depths) == 1


def test_the_nose_goes_down_into_metal_gently() -> None:
    """Into a neck the edge behind the nose cuts along its length: half the feed there, a quarter where it is steep."""
    cuts = [leg for leg in rough(job(NECKED), START)[0] if leg.pace is Pace.FEED]
    assert {leg.share for leg in cuts} == {1.0, DOWN}  # its edge stands at 30 degrees, and goes down 28 at the most
    assert all(leg.path.b[1] < leg.path.a[1] for leg in cuts if leg.share < 1.0)
    assert (_share((0.0, 5.0), (-1.0, 4.0)), _share((0.0, 5.0), (-1.0, 4.9))) == (PLUNGE, DOWN)
    assert any(leg.share == 1.0 and leg.path.b[1] == leg.path.a[1] for leg in cuts)
    assert all(leg.share == 1.0 for leg in rough(job(STEPPED), START)[0] if leg.path.b[1] >= leg.path.a[1])
