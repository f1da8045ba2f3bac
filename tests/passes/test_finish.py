"""Finishing: one pass without a stop, in along the tangent, along the contour to its end, out clear of everything."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import nose_tool
from tests.passes.bench import CLEAR, NOSE, START, TOP, Lathe, bare, joined, knife, passes, under, with_front
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Arc, Chain, Element, Line, arc_about, polyline
from toolpath.geometry.envelope import envelope
from toolpath.geometry.merge import merged
from toolpath.passes.finish import Finishing, finish
from toolpath.passes.legs import Legs, Pace

LEAD = 1.5
SHAFT = with_front((-60.0, 13.0), (-40.0, 13.0), (-40.0, 9.0), (-20.0, 9.0), (-12.0, 6.0), (0.0, 6.0))


def followed(keep: Chain, first: float, last: float) -> Chain:
    """The bare tool's path between two places, left to right."""
    pieces = [p.path for p in bare(keep).pieces if p.path.a[0] >= first - 1e-6 and p.path.b[0] <= last + 1e-6]
    return merged(tuple(pieces), 1e-9)


def job(work: Chain, path: Chain, **changes: Any) -> Finishing:
    plain: dict[str, Any] = {
        "keep": bare(work), "path": path, "top": TOP, "lead": LEAD, "clearance": CLEAR, "nose": NOSE, "leave": 0.2,
    }  # fmt: skip
    return Finishing(**{**plain, **changes})


def fed(legs: Legs) -> list[Element]:
    return [leg.path for leg in legs if leg.pace is Pace.FEED]


def test_one_continuous_pass_from_the_free_end_to_the_last_point() -> None:
    path = followed(SHAFT, -39.99, -0.4)
    legs = finish(job(SHAFT, path), START)
    assert joined(legs, START)
    (run,) = passes(legs)
    inner = [leg.path for leg in run[1:-1]]
    assert inner[0].a == path[-1].b and inner[-1].b == path[0].a
    assert math.fsum(e.length for e in inner) == pytest.approx(math.fsum(e.length for e in path), abs=1e-9)
    for e in inner:
        assert e.b[0] <= e.a[0] + 1e-9, "always towards the chuck"


def test_the_lead_in_lies_on_the_tangent() -> None:
    path = followed(SHAFT, -39.99, -0.4)
    lead, first = fed(finish(job(SHAFT, path), START))[:2]
    assert lead.length == pytest.approx(LEAD)
    assert lead.tangent_at(1.0) == pytest.approx(first.tangent_at(0.0), abs=1e-9)


def test_a_taper_at_the_front_is_met_along_its_own_slope() -> None:
    """1 in 10 towards the chuck: the lead-in falls short of the taper's line by nothing, in front of the face."""
    keep = with_front((-60.0, 13.0), (-40.0, 13.0), (-40.0, 9.0), (0.0, 5.0))
    on_taper = tuple(p.path for p in bare(keep).pieces if p.element == 2 and not p.corner)
    lead, first = fed(finish(job(keep, on_taper), START))[:2]
    assert first.b[1] > first.a[1]
    assert lead.tangent_at(1.0) == pytest.approx(first.tangent_at(0.0), abs=1e-9)
    assert (lead.b[1] - lead.a[1]) / (lead.a[0] - lead.b[0]) == pytest.approx(0.1, abs=1e-9)


def test_a_dome_is_met_level_at_the_axis() -> None:
    """Its tangent comes from under the axis; the tool comes along the axis, past it by the nose."""
    dome = (
        Line((-60.0, 8.0), (-8.0, 8.0)),
        arc_about((-8.0, 0.0), (-8.0, 8.0), (0.0, 0.0), ccw=False),
        *polyline([(0.0, 0.0), (0.0, -NOSE), (200.0, -NOSE)]),
    )
    path = followed(dome, -40.0, 0.0)
    lead, *rest = fed(finish(job(dome, path), START))
    first = next(e for e in rest if e.length > 1e-3)
    assert lead.a[1] == lead.b[1] == pytest.approx(-NOSE)
    assert lead.a[0] - lead.b[0] == pytest.approx(LEAD)
    assert isinstance(first, Arc) and first.radius == pytest.approx(8.0 + NOSE, abs=1e-5)
    assert first.sweep > 0.0, "from the tip over the dome towards the chuck is G03"


def test_it_leaves_at_45_deg_where_there_is_room() -> None:
    out = fed(finish(job(SHAFT, followed(SHAFT, -39.99, -0.4)), START))[-1]
    assert (out.b[0] - out.a[0], out.b[1] - out.a[1]) == pytest.approx((LEAD, LEAD))


def test_it_leaves_a_narrow_slot_straight_up() -> None:
    """A slim point in a slot 1.2 wide and 3 deep: at 45 deg it would run into the other wall.

    It is fed out until everything is clear: its leading edge leans, and leaves a wedge on the wall.
    """
    slot = polyline([(-60.0, 9.0), (-30.0, 9.0), (-30.0, 6.0), (-28.8, 6.0), (-28.8, 9.0), (0.0, 9.0)])
    slim = cutter(nose_tool(0.2, (math.radians(86.0), math.radians(89.5)), tip=-1, long=(30.0, 30.0)))
    env = envelope(slot, slim)
    floor = tuple(p.path for p in env.pieces if p.element == 2 and not p.corner)
    out = fed(finish(job(slot, floor, keep=env, nose=0.2), START))[-1]
    assert out.a == pytest.approx((-30.0, 6.0), abs=1e-5)
    assert out.b == pytest.approx((-30.0, TOP + CLEAR), abs=1e-5)


def test_rapids_move_one_axis_at_a_time_over_everything() -> None:
    legs = finish(job(SHAFT, followed(SHAFT, -39.99, -0.4)), (26.0, 5.0))
    rapids = [leg.path for leg in legs if leg.pace is Pace.RAPID]
    assert all(e.a[0] == e.b[0] or e.a[1] == e.b[1] for e in rapids)
    level = [e for e in rapids if e.a[1] == e.b[1]]
    assert level and all(e.a[1] >= TOP + CLEAR for e in level)
    assert legs[-1].path.b[1] >= TOP + CLEAR


def test_the_feed_is_eased_into_hollows_and_inner_corners() -> None:
    """A cove of R 2 under a nose of 0.4 has 2 / 1.6 times the surface of its path; a square foot is met slower too."""
    cove = (
        *polyline([(-60.0, 13.0), (-40.0, 13.0), (-40.0, 8.0)]),
        arc_about((-38.0, 8.0), (-40.0, 8.0), (-38.0, 6.0), ccw=True),
        *polyline([(-38.0, 6.0), (0.0, 6.0), (0.0, -NOSE), (200.0, -NOSE)]),
    )
    legs = finish(job(cove, followed(cove, -40.01, -0.4)), START)
    hollow = [leg for leg in legs if isinstance(leg.path, Arc) and leg.path.sweep < 0.0]
    assert [leg.share for leg in hollow] == pytest.approx([1.6 / 2.0], abs=1e-5)
    square = finish(job(SHAFT, followed(SHAFT, -40.01, -0.4)), START)
    eased = [leg for leg in square if leg.pace is Pace.FEED and leg.share < 1.0]
    assert eased and max(leg.path.length for leg in eased) <= 1.0
    assert any(abs(leg.path.b[0] + 40.0) < 1e-5 and leg.path.b[1] < 9.1 for leg in eased)
    assert all(leg.share <= 1.0 for leg in square)


@st.composite
def shafts(draw: st.DrawFn) -> Chain:
    points = [(-80.0, 13.0), (-60.0, 13.0)]
    z, x = -60.0, 13.0
    for _ in range(draw(st.integers(1, 5))):
        x = draw(st.integers(20, 110)) / 10.0
        if draw(st.booleans()):
            points.append((z, x))
        z += draw(st.integers(20, 110)) / 10.0
        points.append((z, x))
    return with_front(*points, (0.0, x))


@given(shafts())
@settings(max_examples=40, deadline=None)
def test_no_finish_cut_stands_still_or_leaves_the_metal_on_its_way(keep: Chain) -> None:
    """No dwell marks: one run of feeds, none of no length, none with a wait at its end, at a corner or elsewhere."""
    legs = finish(job(keep, followed(keep, -60.0 + 1e-3, -NOSE)), START)
    assert all(leg.turns == 0.0 and leg.path.length > 0.0 for leg in legs)
    paces = [leg.pace for leg in legs]
    first, last = paces.index(Pace.FEED), len(paces) - 1 - paces[::-1].index(Pace.FEED)
    assert set(paces[first : last + 1]) == {Pace.FEED}


@given(shafts())
@settings(max_examples=40, deadline=None)
def test_the_back_edge_is_never_fed_into_a_wall(keep: Chain) -> None:
    """Towards the chuck or straight up or down all the way; down a slope no steeper than the edge behind the nose,
    which stands at 30 degrees."""
    way = fed(finish(job(keep, followed(keep, -60.0 + 1e-3, -NOSE)), START))[1:-1]
    for e in way:
        for t in (0.0, 0.5, 1.0):
            z, x = e.tangent_at(t)
            assert z <= 1e-9
            assert math.atan2(-x, -z) <= math.radians(30.0) + 1e-6, "down into the metal on the back edge"


@given(shafts())
@settings(max_examples=40, deadline=None)
def test_into_every_inner_corner_the_feed_is_half_for_thrice_the_metal_left(keep: Chain) -> None:
    """Whole elsewhere on straight ways: 0.6 mm before a corner for 0.2 mm left, or all of a shorter way."""
    way = [leg for leg in finish(job(keep, followed(keep, -60.0 + 1e-3, -NOSE)), START) if leg.pace is Pace.FEED][1:-1]
    for leg, after in itertools.pairwise(way):
        (a, b), (c, d) = leg.path.tangent_at(1.0), after.path.tangent_at(0.0)
        if isinstance(leg.path, Line) and math.atan2(a * d - b * c, a * c + b * d) < -math.radians(5.1):
            assert leg.share == 0.5 and leg.path.length <= 0.6 + 1e-9
        elif isinstance(leg.path, Line) and leg.share == 0.5:
            raise AssertionError("slow where no corner is")


@given(shafts())
@settings(max_examples=40, deadline=None)
def test_the_way_in_turns_into_the_first_surface_without_a_corner(keep: Chain) -> None:
    lead, first = fed(finish(job(keep, followed(keep, -60.0 + 1e-3, -NOSE)), START))[:2]
    assert lead.length == pytest.approx(LEAD)
    assert lead.tangent_at(1.0) == pytest.approx(first.tangent_at(0.0), abs=1e-9)


@given(shafts())
@settings(max_examples=40, deadline=None)
def test_any_shaft_is_finished_to_its_envelope_and_not_beyond(keep: Chain) -> None:
    """The metal under the contour is not touched, and only what the tool must leave stands over it afterwards."""
    env = bare(keep)
    path = followed(keep, -60.0 + 1e-3, -NOSE)
    legs = finish(job(keep, path), START)
    assert joined(legs, START)
    stays = under(keep, -79.0, 0.0)
    lathe = Lathe(shapely.box(-79.0, -50.0, 0.0, TOP))
    for leg in legs:
        assert float(stays.intersection(lathe.way(leg)).area) <= 1e-3
        lathe.cut(leg)
    for k in range(1, 12):
        u = path[0].a[0] + (path[-1].b[0] - path[0].a[0]) * k / 12.0
        spot = shapely.Point(u + NOSE, env.height(u) + 1e-3)
        if abs(env.height(u + 1e-6) - env.height(u - 1e-6)) < 1e-4:
            assert lathe.metal.intersection(spot.buffer(2e-4)).area == 0.0


def test_the_same_shaft_moved_along_gives_the_same_pass_moved_along() -> None:
    def moved(chain: Chain, d: float) -> Chain:
        return tuple(e.moved((d, 0.0)) for e in chain)

    path = followed(SHAFT, -39.99, -0.4)
    here = finish(job(SHAFT, path), START)
    away = moved(SHAFT, 16.0)
    there = finish(job(away, moved(path, 16.0)), (START[0] + 16.0, START[1]))
    assert [leg.pace for leg in here] == [leg.pace for leg in there]
    for p, q in zip(here, there, strict=True):
        assert q.path.b == pytest.approx((p.path.b[0] + 16.0, p.path.b[1]), abs=1e-9)
    assert envelope(away, knife()).lo == pytest.approx(bare(SHAFT).lo + 16.0)


def test_the_way_across_keeps_over_whatever_lifts_the_tool_there() -> None:
    """What carries the tool stands over the hold at the chuck's end: no rapid passes lower than the envelope says."""
    hold = with_front((-80.0, 30.0), (-50.0, 30.0), (-50.0, 9.0), (0.0, 9.0))
    legs = finish(job(hold, followed(hold, -50.01, 0.0)), (-55.0, TOP + CLEAR))
    keep, across = bare(hold), coming(legs)[1]
    assert across.a[1] == across.b[1] and across.a[0] == -55.0
    assert across.a[1] >= keep.height(-55.0) - 1e-9 > TOP + CLEAR


def coming(legs: Legs) -> list[Element]:
    """The rapids before the first feed."""
    return [leg.path for leg in itertools.takewhile(lambda leg: leg.pace is Pace.RAPID, legs)]


def test_into_metal_that_stands_the_lead_in_is_fed() -> None:
    """Where more stands than is left for this pass, the rapid ends one clearance over it."""
    path = followed(SHAFT, -39.99, -15.0)
    thick = bare(with_front((-60.0, 13.0), (0.0, 11.0)))
    legs = finish(job(SHAFT, path, stands=thick), START)
    u, v = coming(legs)[-1].b
    assert v == pytest.approx(thick.height(u) + CLEAR, abs=1e-9)
    assert joined(legs, START)
    plain = finish(job(SHAFT, path), START)
    assert coming(plain)[-1].b[1] < v - 1.0
