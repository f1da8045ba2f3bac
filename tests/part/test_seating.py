"""A component in its part: where its steps lie, the rows of its holes, what it meets on its way in, where it stops."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.part.rows import part
from tests.part.test_fits import means
from toolpath.errors import BadInput, CannotMake
from toolpath.part.afterwards import Afterwards
from toolpath.part.component import Component, Step, seated
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.insertion import Insertion, inserted
from toolpath.part.rows import Hole, Sharp
from toolpath.part.seating import fittings, refuse_thin, rows
from toolpath.part.words import held_rows, inside_rows, outside_rows

POINT = Component(name="point", steps=(Step(5.95, 12.0), Step(2.9, 8.0)), within=0.02, fit="free", seat=8.0)
CORD = (Step(6.0, 6.0), Step(2.0, 30.0))
KNOT = Component(name="knot", steps=CORD, within=0.05, fit="free", seat=9.0, from_back=True, through=True)
BUSH = Component(name="bush", steps=(Step(8.01, 10.0),), within=0.002, fit="press", seat=10.0, through=True)
PLAIN = "{ dia = 14, to = 30 }"


def holder(component: Component, outside: str = PLAIN, *, break_edges: float = 0.2) -> HalfSection:
    """The part with the holes that are picked for a component, as the road makes it."""
    solid = part(outside)
    found = fittings(component, means(), length=solid.length, where="component[0]")
    refuse_thin(component, found, solid.outside, least=0.5, means=means(), where="component[0]")
    rows_ = outside_rows({"outside": [dict(r) for r in _rows(outside)]})
    return build(rows_, inside=rows(component, found, index=0), break_edges=break_edges)


def _rows(text: str) -> list[dict[str, object]]:
    import tomllib

    return list(tomllib.loads(f"rows = [{text}]")["rows"])


def put_in(component: Component, half: HalfSection) -> Insertion:
    return inserted(component, half, means(), where="component[0]")


def refused(component: Component, half: HalfSection) -> str:
    with pytest.raises(BadInput) as e:
        put_in(component, half)
    return str(e.value)


def test_the_body_ends_where_the_component_steps_down() -> None:
    assert (POINT.body, POINT.sticks_out, POINT.reach) == (12.0, 4.0, 16.0)
    assert [(s.dia, s.first, s.last, s.fit) for s in POINT.spans] == [(5.95, 0, 0, "free"), (2.9, 1, 1, "free")]
    assert POINT.depths(0) == (-4.0, 8.0) and POINT.depths(1) == (8.0, 16.0)


def test_a_waist_lies_in_the_hole_of_what_went_in_before_it() -> None:
    dumb_bell = Component(name="pin", steps=(Step(6, 3), Step(4, 5), Step(5, 3)), within=0.01, fit="close", seat=3.0)
    assert [(s.dia, s.first, s.last, s.fit) for s in dumb_bell.spans] == [(6, 0, 0, "close"), (5, 1, 2, "free")]
    assert dumb_bell.called(dumb_bell.spans[1]) == "'pin', step 3 (5 mm)"


def test_a_step_may_want_a_fit_of_its_own() -> None:
    both = Component(name="pin", steps=(Step(6, 3), Step(4, 5, "close")), within=0.01, fit="free", seat=3.0)
    assert [s.fit for s in both.spans] == ["free", "close"]


def test_seat_or_how_far_it_sticks_out() -> None:
    assert seated(POINT.steps, seat=None, sticks_out=4.0, within=0.02) == 8.0
    assert seated(POINT.steps, seat=8.0, sticks_out=4.01, within=0.02) == 8.0
    assert seated(POINT.steps, seat=None, sticks_out=-3.0, within=0.02) == 15.0  # sunk by 3 mm
    with pytest.raises(BadInput, match="rests at 8 mm, so that 4 mm stick out, not 5 mm"):
        seated(POINT.steps, seat=8.0, sticks_out=5.0, within=0.02)
    with pytest.raises(BadInput, match="nothing says where it lies"):
        seated(POINT.steps, seat=None, sticks_out=None, within=0.02)
    with pytest.raises(BadInput, match="nothing of it is in the part"):
        seated(POINT.steps, seat=None, sticks_out=12.0, within=0.02)


def test_the_rows_of_the_steel_point() -> None:
    """Its edge, 2.975 from the axis, meets the 118 degree cone of a hole of 3.0548 (drill 6, 0.1095 over).

    So the full diameter ends (3.0548 - 2.975) / tan 59 above the seat; the thin hole goes half a mm beyond the end.
    """
    found = fittings(POINT, means(), length=30.0, where="component[0]")
    made = [r.row for r in rows(POINT, found, index=3)]
    assert [type(r) for r in made] == [Hole, Sharp, Hole]
    body, end = made[0], made[2]
    assert isinstance(body, Hole) and isinstance(end, Hole)
    assert (body.dia.value, body.made, body.floor) == (6.0, "drilled", "drilled")
    middle = found[0].made.limits.middle / 2.0
    assert middle == pytest.approx(3.0548, abs=2e-4)
    assert body.deep == pytest.approx(8.0 - (middle - 2.975) / math.tan(math.radians(59.0)))
    assert (end.dia.text, end.deep) == ("2.9464", 16.5)


def test_a_point_in_its_holder_sticks_out_as_said() -> None:
    found = put_in(POINT, holder(POINT))
    assert found.stops == pytest.approx(8.0, abs=1e-6)
    assert found.sticks_out == pytest.approx(4.0, abs=1e-6)
    assert [p.span.dia for p in found.plays] == [5.95, 2.9]
    assert found.plays[0].play.smallest == pytest.approx(6.059 - 5.97, abs=1e-3)
    assert found.plays[0].play.largest == pytest.approx(6.160 - 5.93, abs=1e-3)


def test_a_knot_is_drawn_in_from_the_back_and_its_cord_comes_out_of_the_front() -> None:
    half = holder(KNOT, "{ dia = 14, to = 20 }")
    assert [s.made for s in half.inside_back_surfaces if s.made] and not half.inside
    assert half.inside_back[-1].b[0] == 0.0  # through to the front face
    found = put_in(KNOT, half)
    assert found.sticks_out == pytest.approx(-3.0, abs=0.2)


def test_a_bush_is_pressed_into_a_bore_that_goes_through() -> None:
    """8.008 to 8.012, s6 +32/+23: hole 8.012 - 0.032 = 7.980 to 8.008; the reamer 8 H7 comes to 8.015."""
    half = holder(BUSH, "{ dia = 14, to = 10 }")
    assert {s.made for s in half.inside_surfaces} == {"bored"}
    found = put_in(BUSH, half)
    assert found.sticks_out == 0.0
    assert found.plays[0].play.largest <= 0.0
    assert found.plays[0].play.smallest >= -0.032 - 1e-6


HAND = "{ hole = 6, deep = 7.97 }, { hole = 2.95, deep = 16.5, made = 'bored' }"


def test_holes_written_by_hand_are_judged_in_the_same_way() -> None:
    assert put_in(POINT, part(PLAIN, inside=HAND)).sticks_out == pytest.approx(4.0, abs=0.03)


@pytest.mark.parametrize(
    ("inside", "told"),
    [
        ("{ hole = 5.9, deep = 8 }", "'point', step 1 (5.95 mm) meets hole dia 5.9 (part.inside[0]): it stops"),
        ("{ dia = 5.5, to = 2 }, { dia = 8, to = 8 }", "meets bore dia 5.5 (part.inside[0]): it stops 0 mm"),
        ("{ hole = 6, deep = 7.97 }", "'point', step 2 (2.9 mm) meets drilled floor 118°"),
        ("{ hole = 6, deep = 7.97 }, { hole = 2.95, deep = 13, made = 'bored' }", "it stops 5 mm from its face"),
        ("{ hole = 6, deep = 5 }, { hole = 2.95, deep = 16.5, made = 'bored' }", "it stops 5.0"),
        ("{ hole = 6, deep = 9 }, { hole = 2.95, deep = 17.5, made = 'bored' }", "nothing stops 'point' 8 mm from"),
        ("{ hole = 6, through = true }", "nothing stops 'point' 8 mm from its face: it goes right through"),
        ("{ hole = 7, deep = 8, made = 'bored' }, { hole = 3, deep = 17, made = 'bored' }", "too large at its largest"),
        ("{ hole = 6, deep = 8, from = 'back' }", "goes in from the front, and no hollow opens there"),
    ],
)
def test_a_component_that_does_not_go_in_stop_or_fit(inside: str, told: str) -> None:
    assert told in refused(POINT, part(PLAIN, inside=inside))


def test_a_component_thicker_than_its_part_names_both() -> None:
    with pytest.raises(BadInput) as e:
        holder(POINT, "{ dia = 14, to = 4 }, { neck = 5, to = 8 }, { dia = 14, to = 30 }")
    told = str(e.value)
    assert "component[0]: 'point', step 1 (5.95 mm) wants a hole of 6.1595 mm from 0 mm to" in told
    assert "is 1.1595 mm larger than the part there, dia 5" in told


def test_a_wall_below_the_least_is_told_by_how_much() -> None:
    """Outside 6.8, hole 6 + (0.0045 + 0.8898 * 0.0020) in = 6.1595 at its largest: 3.4 - 3.07976 of wall."""
    with pytest.raises(BadInput, match=r"leaves a wall of 0\.3202 mm, 0\.1798 mm below the least of 0\.5 mm"):
        holder(POINT, "{ dia = 6.8, to = 30 }")


def test_polishing_takes_its_share_of_the_wall() -> None:
    solid = part("{ dia = 7.2, to = 30 }")  # 0.52 of wall before
    polish = means("brass", Afterwards("polish", 0.03, 0.0, "outside"))
    found = fittings(POINT, polish, length=30.0, where="component[0]")
    refuse_thin(POINT, found, solid.outside, least=0.48, means=polish, where="component[0]")
    with pytest.raises(BadInput, match=r"leaves a wall of 0\.49"):
        refuse_thin(POINT, found, solid.outside, least=0.5, means=polish, where="component[0]")


def test_from_the_back_the_wall_is_measured_there() -> None:
    back = Component(name="pin", steps=(Step(5.95, 8.0),), within=0.02, fit="free", seat=8.0, from_back=True)
    holder(back, "{ dia = 5, to = 20 }, { dia = 14, to = 40 }")
    with pytest.raises(BadInput, match="narrowest 30 mm from its front face"):
        holder(back, "{ dia = 14, to = 30 }, { dia = 5, to = 32 }, { dia = 14, to = 36 }")


def test_a_body_that_comes_to_rest_beyond_the_part() -> None:
    with pytest.raises(BadInput, match=r"rests? .*35 mm from its face, and the part is 30 mm long|comes to rest 35"):
        fittings(
            Component(name="rod", steps=(Step(5.95, 40.0), Step(2.9, 2.0)), within=0.02, fit="free", seat=35.0),
            means(),
            length=30.0,
            where="component[0]",
        )


def test_a_step_too_small_to_rest_on() -> None:
    pin = Component(name="pin", steps=(Step(5.95, 8.0), Step(5.85, 8.0)), within=0.02, fit="free", seat=8.0)
    with pytest.raises(BadInput, match=r"'pin', step 1 \(5.95 mm\) has 0 mm to rest on; 0.1 mm is the least"):
        fittings(pin, means(), length=30.0, where="component[0]")


@settings(max_examples=60)
@given(
    body=st.floats(4.0, 8.0),
    thin=st.floats(0.35, 0.8),
    seat=st.floats(4.0, 12.0),
    out=st.floats(0.0, 6.0),
    beyond=st.floats(2.0, 8.0),
    off=st.floats(0.0, 0.02),
    fit=st.sampled_from(["free", "glue gap", "close"]),
    back=st.booleans(),
)
def test_what_is_picked_goes_in_and_stops_where_it_was_said(
    body: float, thin: float, seat: float, out: float, beyond: float, off: float, fit: str, back: bool
) -> None:
    steps = (Step(body, seat + out), Step(thin * body, beyond))
    one = Component(name="pin", steps=steps, within=off, fit=fit, seat=seat, from_back=back)
    try:
        half = holder(one, "{ dia = 20, to = 40 }")
    except (BadInput, CannotMake):
        return
    found = put_in(one, half)
    assert found.stops == pytest.approx(seat, abs=0.1 + off)
    assert found.sticks_out == pytest.approx(out, abs=0.1 + off)
    assert len(found.plays) == 2 and all(p.play.smallest > 0.0 for p in found.plays)


def test_a_row_that_holds_a_component_keeps_the_numbers_of_the_others() -> None:
    table = {"inside": [{"chamfer": 0.5}, {"holds": "point"}, {"sharp": True}]}
    assert [(h.component, h.index) for h in held_rows(table)] == [("point", 1)]
    assert [r.index for r in inside_rows(table)] == [0, 2]
    assert [r.index for r in inside_rows({"inside": [{"hole": 6, "deep": 3}]})] == [None]
    with pytest.raises(BadInput, match=r"part.inside\[0\].deep: 'deep' does not belong beside 'holds'"):
        held_rows({"inside": [{"holds": "point", "deep": 3}]})
    with pytest.raises(BadInput, match="holds is the name of a component, not 3"):
        held_rows({"inside": [{"holds": 3}]})
