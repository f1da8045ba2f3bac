"""What makes a hole, in which order, and what is refused: the steps on the axis of a set-up."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache

import pytest

from tests.plan.workshop import SAMPLES, request
from toolpath.errors import CannotMake
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.stock import from_outlines, tube
from toolpath.part.words import inside_rows, outside_rows
from toolpath.plan.bar_drill import BORE_STOCK
from toolpath.plan.countersinks import by_countersink
from toolpath.plan.gripping import LEAST, OVERHANG, cylinders, grip
from toolpath.plan.hole_rows import Step, rows_of
from toolpath.plan.holes import PILOT_SHARE, steps
from toolpath.plan.hollow import standing_inside
from toolpath.plan.share import faces_back_from, turned_to
from toolpath.shop.drawer import Drawer
from toolpath.shop.rack import load_drawer

Rows = Sequence[Mapping[str, object]]


@cache
def box() -> Drawer:
    return load_drawer(SAMPLES / "racks" / "drawer.toml")


def hollow(*inside: Mapping[str, object], length: float = 24.0, break_edges: float = 0.0) -> HalfSection:
    rows = {"outside": [{"dia": 20, "to": length}], "inside": list(inside)}
    return build(outside_rows(rows), inside=inside_rows(rows), break_edges=break_edges)


def asked(
    part: HalfSection, *, bore: float = 0.0, beyond: float = -27.0, drawer: Drawer | None = None
) -> tuple[Step, ...]:
    what = request(part, bore=bore, drawer=drawer or box())
    rows = by_countersink(what.drawer, rows_of(part))
    return steps(what, rows, standing_inside(what), beyond=beyond)


def names(found: tuple[Step, ...]) -> list[str]:
    return [s.operation for s in found]


def test_centre_then_drill_then_ream_then_countersink() -> None:
    found = asked(hollow({"hole": 6, "deep": 12, "made": "reamed"}, break_edges=0.2))
    assert names(found) == ["centre", "drill", "ream", "countersink"]
    assert found[1].dia == 5.8 and found[2].dia == 6.0


def test_one_drill_makes_the_hole_of_a_tap_and_the_relief_behind_it() -> None:
    """M6: tap drill 5.0 (ISO 2306), and the hole behind the thread is of the same drill: it goes in once."""
    found = asked(hollow({"thread": "M6", "to": 8, "cut_by": "tap", "drill": 5.0}, {"hole": 5, "deep": 14}))
    assert [(s.operation, s.dia) for s in found if s.operation == "drill"] == [("drill", 5.0)]
    assert found[1].tip == pytest.approx(-14.0 - 2.5 / math.tan(math.radians(59.0)))


def test_two_holes_are_drilled_from_thin_to_thick() -> None:
    found = asked(hollow({"hole": 7, "deep": 6}, {"hole": 4, "deep": 14}))
    drills = [s.dia for s in found if s.operation == "drill"]
    assert drills == sorted(drills) == [4.0, 7.0]


def test_the_flat_drill_comes_after_the_drill_that_leaves_the_bar_its_metal() -> None:
    found = asked(hollow({"hole": 12, "deep": 10, "floor": "flat"}))
    assert names(found)[-2:] == ["drill", "flat bottom"]
    drill, flat = found[-2:]
    assert drill.dia / 2.0 <= 6.0 - BORE_STOCK < (drill.dia + 0.5) / 2.0  # the next of the half-millimetre set is not
    assert drill.tip == pytest.approx(-10.0 + BORE_STOCK)
    assert flat.tip == -10.0 and flat.dia == 6.0


def test_a_thick_drill_follows_a_pilot_no_thicker_than_its_web() -> None:
    found = [s for s in asked(hollow({"hole": 12, "deep": 14})) if s.operation == "drill"]
    assert [s.dia for s in found][-1] == 12.0
    assert len(found) == 2 and found[0].dia <= PILOT_SHARE * 12.0
    assert len([s for s in asked(hollow({"hole": 8, "deep": 14})) if s.operation == "drill"]) == 1


def test_a_drill_as_thin_as_the_pilot_of_the_centre_drill_is_started_by_that_pilot_alone() -> None:
    """A2 (ISO 866) has a pilot of 2 mm: it starts a cord hole of 2 mm and opens nothing wider than that."""
    centre, drill = asked(hollow({"hole": 2, "deep": 10}))
    assert centre.operation == "centre" and centre.dia == pytest.approx(2.0) and centre.tool.hole is not None
    assert centre.tip == pytest.approx(-centre.tool.hole.pilot[1]) and drill.dia == 2.0
    assert names(asked(hollow({"hole": 1.5, "deep": 10}))) == ["drill"]  # the pilot is thicker than the hole


def test_no_drill_goes_before_the_bar_where_a_thicker_one_goes_deeper_anyway() -> None:
    """M10x1 over a hole of 8.5: its drill leaves the bar its metal, and one drill less goes in; only a pilot does."""
    found = asked(hollow({"thread": "M10x1-6H", "to": 12, "cut_by": "point"}, {"hole": 8.5, "deep": 14}))
    pilot, drill = [s for s in found if s.operation == "drill"]
    assert drill.dia == 8.5 and pilot.dia <= PILOT_SHARE * 8.5 and "so that its web need not cut" in pilot.because
    assert pilot.tip == pytest.approx(drill.tip, abs=0.01)


def test_a_drill_ends_where_its_full_diameter_does() -> None:
    """Point of 118 degrees: length d / 2 / tan 59, by geometry."""
    (drill,) = [s for s in asked(hollow({"hole": 5, "deep": 10})) if s.operation == "drill"]
    assert drill.tip == pytest.approx(-10.0 - 2.5 / math.tan(math.radians(59.0)))
    assert not drill.opens


@pytest.mark.parametrize("edge", [0.0, 0.2])
def test_a_drill_goes_right_through_whether_the_far_edge_is_broken_or_not(edge: float) -> None:
    part = hollow({"hole": 5, "through": True}, break_edges=edge)
    (drill,) = [s for s in asked(part) if s.operation == "drill"]
    assert drill.opens
    assert drill.tip == pytest.approx(-27.0 - 2.5 / math.tan(math.radians(59.0)))


def test_a_bore_right_through_is_drilled_right_through() -> None:
    (drill,) = [s for s in asked(hollow({"dia": 8, "to": 24})) if s.operation == "drill"]
    assert drill.opens and drill.dia == pytest.approx(7.366, abs=0.05)
    assert drill.tip == pytest.approx(-27.0 - drill.dia / 2.0 / math.tan(math.radians(59.0)))


def test_no_drill_before_the_bar_enters_a_floor_or_a_taper() -> None:
    part = hollow({"dia": 14, "to": 4}, {"taper_to": 9, "to": 8}, {"hole": 8, "deep": 11, "floor": "flat"})
    (drill,) = [s for s in asked(part) if s.operation == "drill" and "a side to bore" in s.because]
    for e in part.inside:
        for k in range(33):
            z, x = e.point_at(k / 32.0)
            cut = min(max(z - drill.tip, 0.0) * math.tan(math.radians(59.0)), drill.dia / 2.0)
            assert z <= drill.tip or cut <= max(x, 0.0) + 1e-9


def test_a_drills_point_may_go_down_a_taper_that_its_body_would_enter() -> None:
    """Taper from radius 6 to 2.5 over 4 mm, 0.3 mm to leave, tip 0.3 mm over the ledge at 10: the point of 118 degrees
    reaches the metal to be left where -9.7 + 4 t - (2.2 + 3.5 t) / tan 59 = -9.7, t = 0.695, at radius 4.63."""
    part = hollow({"dia": 12, "to": 6}, {"taper_to": 5, "to": 10}, {"hole": 3, "deep": 16})
    (drill,) = [s for s in asked(part) if s.operation == "drill" and "a side to bore" in s.because]
    assert 8.7 < drill.dia <= 2.0 * 4.63
    assert drill.tip == pytest.approx(-10.0 + BORE_STOCK)


def test_a_tube_is_not_drilled_where_it_is_open_already() -> None:
    assert names(asked(hollow({"dia": 14, "to": 10}, {"dia": 12, "to": 24}), bore=11.0)) == []


def test_a_size_that_is_not_there_names_the_nearest() -> None:
    with pytest.raises(CannotMake, match=r"no drill of 6\.230 mm .* the nearest are .* Take one of them, or bore"):
        asked(hollow({"hole": 6.23, "deep": 10}))


def test_a_reamer_that_is_not_there_names_those_that_are() -> None:
    with pytest.raises(CannotMake, match="reamers in the rack: 6, 8 mm"):
        asked(hollow({"hole": 7, "deep": 10, "made": "reamed"}))


def test_without_a_flat_drill_a_flat_floor_is_refused() -> None:
    fewer = Drawer(box().tools, tuple(t for t in box().by_hand if t.kind != "flat drill"), (), box().sets)
    with pytest.raises(CannotMake, match="the rack has no flat drill"):
        asked(hollow({"hole": 12, "deep": 10, "floor": "flat"}), drawer=fewer)


def test_a_flat_drill_that_leaves_the_bar_nothing_is_refused() -> None:
    with pytest.raises(CannotMake, match=r"leaves the bar 0\.00 mm a side"):
        asked(hollow({"hole": 6, "deep": 10, "floor": "flat"}))


def test_a_countersink_must_be_thinner_at_its_end_than_the_hole() -> None:
    found = asked(hollow({"chamfer": 1}, {"hole": 5, "deep": 10}))
    assert names(found)[-1] == "countersink"
    seat = found[-1]
    assert seat.dia == pytest.approx(7.0)
    assert seat.tip == pytest.approx(-3.5)  # 90 degrees: as deep as half the mouth


# ---------------------------------------------------------------- what is gripped


def stepped() -> HalfSection:
    return build(outside_rows({"outside": [{"dia": 10, "to": 9}, {"dia": 16, "to": 12}, {"taper_to": 8, "to": 30}]}))


def test_the_cylinders_of_a_part_turned_round() -> None:
    found = cylinders(from_outlines([stepped().turned_round().outline]))
    assert [(c.dia, c.far, c.near) for c in found] == [(10.0, -30.0, -21.0), (16.0, -21.0, -18.0)]


def test_held_by_the_longest_way_in() -> None:
    held = grip(from_outlines([stepped().turned_round().outline]), keep_off=-18.0)
    assert (held.dia, held.nose_z, held.far_z) == (10.0, -21.0, -30.0)


@pytest.mark.parametrize(
    ("held", "why"),
    [
        ((-29.0, -20.0), "there is no one cylinder to hold; the work has: 10 from z -30.00"),
        ((-23.0, -21.0), "only 2.00 mm of it are behind what is cut"),
        ((-21.0, -18.0), "only 3.00 mm of it"),
        ((-29.0, -22.0), "the tools come to z -25.00"),
    ],
)
def test_what_can_not_be_held_as_it_is_said(held: tuple[float, float], why: str) -> None:
    keep = -25.0 if "tools" in why else -18.0
    with pytest.raises(CannotMake) as told:
        grip(from_outlines([stepped().turned_round().outline]), keep_off=keep, held=held)
    assert why in str(told.value)


def test_too_much_out_of_the_hold_is_refused_with_both_lengths() -> None:
    long = build(outside_rows({"outside": [{"dia": 10, "to": 9}, {"taper_to": 8, "to": 60}]}))
    with pytest.raises(CannotMake, match=rf"51\.00 mm would stand out of 9\.00 mm held, more than {OVERHANG:g} times"):
        grip(from_outlines([long.turned_round().outline]), keep_off=0.0)


def test_work_thicker_behind_can_not_go_into_the_hold() -> None:
    waisted = build(outside_rows({"outside": [{"dia": 16, "to": 4}, {"dia": 10, "to": 20}, {"taper_to": 8, "to": 26}]}))
    with pytest.raises(CannotMake, match="the work is thicker behind it, diameter 16"):
        grip(from_outlines([waisted.turned_round().outline]), keep_off=-6.0, held=(-20.0, -8.0))


def test_a_cone_alone_can_not_be_held() -> None:
    cone = build(outside_rows({"outside": [{"taper_to": 12, "from_dia": 4, "to": 20}]}))
    with pytest.raises(CannotMake, match="It has no cylinder"):
        grip(from_outlines([cone.turned_round().outline]), keep_off=-1.0)


def test_a_short_bar_keeps_its_least_grip() -> None:
    assert LEAST > 0.0
    stock = tube(10.0, bore=0.0, length=LEAST - 0.5, front=0.0)
    with pytest.raises(CannotMake, match="are behind what is cut"):
        grip(stock, keep_off=0.0)


# ---------------------------------------------------------------- what a set-up turns of the outside


def outline(*rows: Mapping[str, object]) -> HalfSection:
    return build(outside_rows({"outside": list(rows)}))


def test_turned_to_cuts_a_taper_where_it_is_said() -> None:
    part = outline({"taper_to": 20, "from_dia": 10, "to": 20})
    assert turned_to(part.outside, 8.0)[-1].b == pytest.approx((-8.0, 7.0))


@pytest.mark.parametrize("word", ["bulge_to", "hollow_to"])
def test_turned_to_cuts_an_arc_where_it_is_said(word: str) -> None:
    part = outline({"dia": 10, "to": 10}, {word: 16, "to": 30, "radius": 20})
    rows = turned_to(part.outside, 16.0)
    whole = next(e for e in part.outside if type(e) is type(rows[-1]) and e.a == rows[-1].a)
    assert rows[-1].b[0] == pytest.approx(-16.0)
    assert whole.distance(rows[-1].b) < 1e-9
    assert math.dist(rows[-1].point_at(0.5), whole.point_at(0.5)) < 20.0
    assert whole.distance(rows[-1].point_at(0.5)) < 1e-9


def test_turned_to_counts_a_wall_that_looks_at_the_front_and_no_other() -> None:
    rising = outline({"dia": 10, "to": 10}, {"dia": 16, "to": 20})
    assert turned_to(rising.outside, 10.0)[-1].b == (-10.0, 8.0)
    falling = outline({"dia": 16, "to": 10}, {"dia": 10, "to": 20})
    assert turned_to(falling.outside, 10.0)[-1].b == (-10.0, 8.0)


@pytest.mark.parametrize(
    ("rows", "distance"),
    [
        ([{"dia": 10, "to": 10}, {"dia": 16, "to": 20}], 20.0),
        ([{"dia": 10, "to": 10}, {"dia": 16, "to": 20}, {"dia": 12, "to": 30}], 20.0),
        ([{"dia": 10, "to": 9}, {"dia": 16, "to": 12}, {"taper_to": 8, "to": 30}], 12.0),
        ([{"dia": 16, "to": 12}, {"taper_to": 8, "to": 30}], 12.0),
    ],
)
def test_the_back_is_what_never_rises_again(rows: Rows, distance: float) -> None:
    assert faces_back_from(outline(*rows).outside) == pytest.approx(distance)
