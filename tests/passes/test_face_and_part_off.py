"""Facing to past the axis in equal cuts, and parting off in pecks, the corner broken first, down to a stub."""

from __future__ import annotations

import itertools
import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.passes.bench import joined
from toolpath.geometry.elements import Arc, Line, arc_about
from toolpath.passes.face import Facing, face
from toolpath.passes.legs import Leg, Legs, Pace
from toolpath.passes.part_off import OUT, Parting, part_off

FACING = Facing(front=2.5, face=0.0, outside=12.5, past=0.4, depth=1.0, clearance=1.0)
START = (27.0, 40.0)


def feeds(legs: Legs) -> list[Leg]:
    return [leg for leg in legs if leg.pace is Pace.FEED]


def rapids(legs: Legs) -> list[Leg]:
    return [leg for leg in legs if leg.pace is Pace.RAPID]


# ---------------------------------------------------------------- face


def test_the_sawn_end_goes_in_equal_cuts_that_end_on_the_face() -> None:
    legs, depths = face(FACING, START)
    assert depths == pytest.approx((2.5 / 3.0,) * 3)
    across = [leg.path for leg in feeds(legs) if leg.path.a[0] == leg.path.b[0]]
    assert [e.a[0] for e in across] == pytest.approx([2.5 * 2.0 / 3.0, 2.5 / 3.0, 0.0])
    assert across[-1].a[0] == 0.0, "the last one is the face itself, to the bit"


def test_every_cut_goes_from_beside_the_bar_to_past_the_axis_by_the_nose() -> None:
    """With a nose of r the tip ends at X = -2r (program-language, section c: X-1.6 for r 0.8, two sources)."""
    for leg in feeds(face(FACING, START)[0]):
        e = leg.path
        if e.a[0] == e.b[0]:
            assert (e.a[1], e.b[1]) == (13.5, -0.4)


def test_it_draws_off_the_face_before_any_rapid() -> None:
    legs, _ = face(FACING, START)
    for before, leg in itertools.pairwise(legs):
        if leg.pace is Pace.RAPID and before.pace is Pace.FEED:
            assert before.path.b[0] - before.path.a[0] == pytest.approx(FACING.clearance)
            assert before.path.a[1] == before.path.b[1]
    assert legs[-1].path.b == (1.0, -0.4)


def test_facing_rapids_never_enter_the_bar() -> None:
    """A rapid is in front of what stands then, or outside the bar."""
    legs, depths = face(FACING, START)
    assert joined(legs, START)
    end = FACING.front
    for leg in legs:
        e = leg.path
        if leg.pace is Pace.RAPID:
            assert min(e.a[0], e.b[0]) >= end + 0.99 or min(e.a[1], e.b[1]) >= 13.5, f"{e} at an end of {end}"
            assert e.a[0] == e.b[0] or e.a[1] == e.b[1]
        elif e.a[0] == e.b[0]:
            end = e.a[0]
    assert len(depths) == 3 and end == 0.0


@given(
    stock=st.floats(0.05, 8.0), depth=st.floats(0.1, 2.0), face_at=st.floats(-50.0, 5.0), radius=st.floats(1.0, 60.0)
)
@settings(max_examples=80, deadline=None)
def test_any_facing_is_equal_cuts_no_deeper_than_asked(
    stock: float, depth: float, face_at: float, radius: float
) -> None:
    job = Facing(front=face_at + stock, face=face_at, outside=radius, past=0.2, depth=depth, clearance=1.0)
    legs, depths = face(job, (face_at + stock + 30.0, radius + 30.0))
    assert math.fsum(depths) == pytest.approx(stock) and max(depths) <= depth * (1.0 + 1e-8)
    assert len(depths) == 1 or (len(depths) - 1) * depth < stock, "no more cuts than it takes"
    assert joined(legs, (face_at + stock + 30.0, radius + 30.0))
    assert min(leg.path.b[0] for leg in legs) == face_at


# ---------------------------------------------------------------- part off

PARTING = Parting(
    z=-62.0, outside=10.5, corner=(), floor=0.5, peck=2.0, lift=0.5, slow_from=1.5, slow=0.7, clearance=1.0
)
OVER = (-40.0, 15.0)


def test_pecks_go_down_by_the_peck_and_come_back_by_the_lift() -> None:
    legs = part_off(PARTING, OVER)
    down = [leg for leg in feeds(legs) if leg.path.b[1] < leg.path.a[1] and leg.share <= 1.0]
    up = [leg for leg in feeds(legs)[:-1] if leg.path.b[1] > leg.path.a[1]]
    floors = [leg.path.b[1] for leg in down]
    assert floors[:4] == pytest.approx([8.5, 6.5, 4.5, 2.5])
    assert all(leg.path.b[1] - leg.path.a[1] == pytest.approx(0.5) and leg.share == OUT for leg in up)
    assert floors[-1] == 0.5 == min(floors)


def test_the_way_back_into_the_slot_is_free_but_for_a_tenth() -> None:
    """Four times the feed where nothing is cut, and the feed itself from 0.1 mm above the floor of before."""
    legs = feeds(part_off(PARTING, OVER))
    back = [(leg, after) for leg, after in pairwise(legs) if leg.path.b[1] < leg.path.a[1] and leg.share > 1.0]
    assert [leg.path.b[1] for leg, _ in back] == pytest.approx([8.6, 6.6, 4.6, 2.6])
    assert all(leg.share == OUT and after.share <= 1.0 and after.path.a == leg.path.b for leg, after in back)


def test_it_goes_slower_near_the_axis() -> None:
    down = [leg for leg in feeds(part_off(PARTING, OVER)) if leg.path.b[1] < leg.path.a[1] and leg.share <= 1.0]
    assert [leg.share for leg in down if leg.path.b[1] >= 1.5] == [1.0] * 5
    assert [leg.share for leg in down if leg.path.b[1] < 1.5] == [0.7]
    assert any(leg.path.b[1] == 1.5 for leg in down), "the feed falls at its own radius"


def test_it_stays_in_its_slot_and_leaves_at_feed_to_above_the_bar() -> None:
    legs = part_off(PARTING, OVER)
    assert joined(legs, OVER)
    assert {leg.path.a[0] for leg in feeds(legs)} == {leg.path.b[0] for leg in feeds(legs)} == {-62.0}
    assert all(leg.path.a[1] >= 11.5 and leg.path.b[1] >= 11.5 for leg in rapids(legs)), "no rapid in the slot"
    last = legs[-1]
    assert last.pace is Pace.FEED and last.path.a == (-62.0, 0.5) and last.path.b == (-62.0, 11.5)


def test_without_a_stub_it_passes_the_axis_by_the_corner_of_the_blade() -> None:
    assert min(leg.path.b[1] for leg in part_off(replace(PARTING, floor=-0.1), OVER)) == -0.1


def test_the_corner_is_broken_before_the_slot_goes_deep() -> None:
    """A 0.3 chamfer behind the head: the slot is opened beside it, the corner is cut, then the pecks go on."""
    chamfer = (Line((-61.0, 10.7), (-61.7, 10.0)), Line((-61.7, 10.0), (-62.0, 9.7)))
    legs = part_off(replace(PARTING, corner=chamfer), OVER)
    assert joined(legs, OVER)
    paths = [leg.path for leg in legs]
    cut = paths.index(chamfer[0])
    assert paths[cut + 1] == chamfer[1]
    before = min(e.b[1] for e in paths[:cut])
    assert before == pytest.approx(9.7 - 1.0), "as deep as the break and the clearance, no deeper"
    assert min(e.b[1] for e in paths[cut:]) == 0.5
    for leg in rapids(legs):
        assert min(leg.path.a[1], leg.path.b[1]) >= 11.5 - 1e-9
    after = paths[cut + 2 :]
    assert after[0].a == (-62.0, 9.7) and all(e.b[0] == -62.0 for e in after)


def test_a_round_corner_keeps_its_arc() -> None:
    quarter = arc_about((-62.0, 9.5), (-61.0, 9.5), (-62.0, 10.5), ccw=True).reversed()
    corner = (quarter.reversed(),)
    legs = part_off(replace(PARTING, corner=(Line((-61.0, 10.6), (-61.0, 9.5)), *corner)), OVER)
    arcs = [leg.path for leg in legs if isinstance(leg.path, Arc)]
    assert [a.sweep for a in arcs] == [corner[0].sweep]


@given(outside=st.floats(2.0, 30.0), stub=st.floats(0.0, 1.9), peck=st.floats(0.3, 4.0), lift=st.floats(0.1, 1.0))
@settings(max_examples=100, deadline=None)
def test_any_slot_is_cut_once_over_and_to_the_floor(outside: float, stub: float, peck: float, lift: float) -> None:
    job = replace(PARTING, outside=outside, floor=stub, peck=peck, lift=lift)
    legs = part_off(job, (0.0, 50.0))
    assert joined(legs, (0.0, 50.0))
    reached = outside
    down = [leg.path for leg in feeds(legs) if leg.path.b[1] < leg.path.a[1]]
    fresh = []
    for e in down:
        assert e.a[1] >= reached - 1e-9, "the blade starts where it has been"
        fresh.append(reached - min(e.b[1], reached))
        reached = min(reached, e.b[1])
    assert reached == pytest.approx(stub) and math.fsum(fresh) == pytest.approx(outside - stub)
    assert max(fresh) <= 1.25 * peck + 1e-9
    assert min(leg.path.b[1] for leg in legs) >= stub - 1e-12
