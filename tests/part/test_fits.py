"""Fits: the play they want, what holes come out at, and which hole is picked, with figures worked by hand."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.errors import BadInput, CannotMake, HalfsectionError
from toolpath.part.afterwards import Afterwards, after, outside_change
from toolpath.part.component import FITS, Limits
from toolpath.part.fits import Made, Means, band, likely, pick, wanted
from toolpath.shop.drawer import Drawer
from toolpath.shop.materials import material, names
from toolpath.shop.rack import load_drawer

RACK = Path(__file__).parents[2] / "samples" / "racks" / "drawer.toml"
INCH = 25.4


@cache
def rack() -> Drawer:
    return load_drawer(RACK)


def means(name: str = "brass", *done: Afterwards) -> Means:
    return Means(rack(), material(name), done)


def about(dia: float, off: float) -> Limits:
    return Limits(dia - off, dia + off)


def picked(dia: float, off: float, fit: str, *, deep: float = 8.0, made: str = "", by: Means | None = None) -> Made:
    return pick(about(dia, off), fit, by or means(), deep=deep, made=made)


def refusal(dia: float, off: float, fit: str, *, deep: float = 8.0, made: str = "", by: Means | None = None) -> str:
    with pytest.raises(HalfsectionError) as e:
        picked(dia, off, fit, deep=deep, made=made, by=by)
    return str(e.value)


@pytest.mark.parametrize(
    ("fit", "dia", "least", "most"),
    [
        # H8/f7, ISO 286-1: 6 mm f7 -10/-22, H8 +18/0; 12 mm f7 -16/-34, H8 +27/0; 25 mm f7 -20/-41, H8 +33/0
        ("close", 6.0, 0.010, 0.040),
        ("close", 12.0, 0.016, 0.061),
        ("close", 25.0, 0.020, 0.074),
        # H7/s6: 6 mm s6 +27/+19; 12 mm s6 +39/+28; 25 mm s6 +48/+35
        ("press", 6.0, -0.027, 0.0),
        ("press", 12.0, -0.039, 0.0),
        ("press", 25.0, -0.048, 0.0),
        # d of ISO 286-1: 20, 30, 40, 50 under the nominal; holes of ISO 273, fine: M3 3.2, M6 6.4, M10 10.5, M12 13
        ("free", 3.0, 0.020, 0.2),
        ("free", 6.0, 0.030, 0.4),
        ("free", 10.0, 0.040, 0.5),
        ("free", 12.0, 0.050, 1.0),
        ("glue gap", 6.0, 0.05, 0.25),
    ],
)
def test_the_play_of_a_fit(fit: str, dia: float, least: float, most: float) -> None:
    play = band(fit, dia)
    assert (play.least, play.most) == pytest.approx((least, most))
    assert play.source


def test_beyond_the_tables_no_fit_is_known() -> None:
    with pytest.raises(BadInput, match=r"no free fit of 50 mm is known\. Up to 42 mm it is"):
        band("free", 50.0)


def test_every_fit_takes_more_play_the_thicker_it_is() -> None:
    for fit in ("free", "close"):
        plays = [band(fit, dia).most for dia in (2.0, 5.0, 9.0, 15.0, 25.0)]
        assert plays == sorted(plays) and plays[0] < plays[-1]


def test_a_drilled_hole_is_as_much_larger_as_a_drill_cuts_over() -> None:
    """1/4 in: 0.0025 to 0.0065 in over (machinists' handbooks, from memory); brass keeps its size."""
    cut, done = likely("drilled", 0.25 * INCH, means=means())
    assert (cut.smallest, cut.largest) == pytest.approx((0.2525 * INCH, 0.2565 * INCH))
    assert done == cut


def test_a_plastic_closes_in_by_a_share_of_the_hole() -> None:
    """Nylon, by nothing to 1 %: 1/4 in loses up to 0.0635 mm."""
    cut, done = likely("drilled", 0.25 * INCH, means=means("nylon"))
    assert (cut.smallest - done.smallest, cut.largest - done.largest) == pytest.approx((0.0635, 0.0))


def test_a_reamed_hole_comes_out_as_ground_for() -> None:
    """6 H7 is 6.000 to 6.012 (ISO 286-1)."""
    made = picked(5.987, 0.003, "close", made="reamed")
    assert (made.how, made.dia, made.tool) == ("reamed", 6.0, "reamer 6 H7 after drill 5.8")
    assert (made.limits.smallest, made.limits.largest) == pytest.approx((6.0, 6.012))


def test_a_bored_hole_is_held_to_grade_8() -> None:
    """IT8 of 12 mm is 27 um (ISO 286-1)."""
    cut, _ = likely("bored", 12.0, means=means())
    assert (cut.smallest, cut.largest) == pytest.approx((11.9865, 12.0135))


def test_the_steel_point_gets_a_drill_for_its_body_and_one_for_its_end() -> None:
    """5.93 to 5.97 wants 6.00 to 6.33: drill 6. 2.88 to 2.92 wants 2.94 to 3.08: drill #32, 2.946 mm.

    Over, by the handbook's figures between 1/8 and 1/4 in: 0.0010 + 0.889 (0.0015) in and 0.0045 + 0.889 (0.0020) in.
    """
    body, end = picked(5.95, 0.02, "free"), picked(2.9, 0.02, "free")
    assert (body.how, body.tool, end.tool) == ("drilled", "drill 6", "drill #32")
    share = (6.0 / INCH - 0.125) / 0.125
    assert body.limits.smallest == pytest.approx(6.0 + (0.0010 + share * 0.0015) * INCH)
    assert body.limits.largest == pytest.approx(6.0 + (0.0045 + share * 0.0020) * INCH)


def test_a_close_fit_by_a_plain_drill_is_refused_naming_reamer_and_bar() -> None:
    told = refusal(5.987, 0.003, "close", made="drilled")
    assert "a close fit is not drilled: a drill of 5.987 mm cuts 0.059 to 0.159 mm over. Ream or bore it" in told
    # wanted 6.000 to 6.024: above 6 mm H7 takes 15 um of it, so 6.000 to 6.009 nominal; a bar's 22 um go in the middle
    assert "a reamer H7 of 6.000 to 6.009 mm or a bar that goes into a hole of 6.012 mm" in told
    assert "a press fit is not drilled" in refusal(6.01, 0.003, "press", made="drilled")


def test_no_plain_drill_is_even_tried_for_a_close_fit() -> None:
    told = refusal(5.987, 0.003, "close", by=only("6"))
    assert "The rack has no reamer. The rack has no boring bar." in told and "drill" not in told


def test_a_press_fit_takes_the_reamer_that_holds_it() -> None:
    """6.011 to 6.015 wants 6.015 - 0.027 (s6) = 5.988 to 6.011, 6 H7 comes to 6.012; 6.015 to 6.019: 5.992 to 6.015."""
    assert picked(6.017, 0.002, "press").tool.startswith("reamer 6 H7")
    assert picked(6.013, 0.002, "press").how == "bored"


def test_what_no_reamer_does_is_bored_in_the_middle() -> None:
    """12 mm within 0.005, close: 12.021 to 12.056, its middle 12.0385; within 0.027 as bored: 12.04."""
    made = picked(12.0, 0.005, "close")
    assert (made.how, made.dia) == ("bored", 12.04)
    assert made.tool == "bar T7"


def test_measured_too_loosely_for_its_fit() -> None:
    """Close at 6 mm: 0.030 between, less 0.012 of H7, leaves 0.009 either way."""
    told = refusal(5.95, 0.02, "close")
    assert "measured within 0.02 mm, it may be 5.930 to 5.970 mm" in told
    assert "Measure it within 0.009 mm (a micrometer does)" in told


def test_what_the_shop_lacks_is_told_tool_by_tool() -> None:
    bare = Means(Drawer(()), material("brass"))
    told = refusal(4.0, 0.005, "free", by=bare)
    assert "The rack has no drills. The rack has no reamer. The rack has no boring bar." in told
    assert "What would do: a reamer H7 of 4.035 to" in told
    deep = refusal(2.9, 0.02, "free", deep=50.0)
    assert "Drill #32 would do, but its flutes of 33 mm do not go 50 mm deep" in deep
    assert "can not enter a 3.0" in deep or "mm deep" in deep
    assert "The nearest drill, 4, comes out at" in refusal(3.9, 0.06, "glue gap", by=only("4"))


def only(name: str) -> Means:
    drawer = rack()
    sets = tuple(replace(s, drills=tuple(d for d in s.drills if d.name == name)) for s in drawer.sets)
    return Means(Drawer((), sets=sets), material("brass"))


def test_plating_a_hole_makes_it_smaller_on_both_sides_and_polish_larger() -> None:
    plated = Afterwards("plating", 0.008, 0.002, "inside")
    polished = Afterwards("polish", 0.01, 0.0, "both")
    done = after(Limits(6.0, 6.012), (plated,))
    assert (done.smallest, done.largest) == pytest.approx((5.980, 6.000))
    done = after(Limits(6.0, 6.012), (polished,))
    assert (done.smallest, done.largest) == pytest.approx((6.020, 6.032))
    assert outside_change((plated, polished)) == pytest.approx(-0.01)
    assert after(Limits(6.0, 6.1), (Afterwards("anodise", 0.01, 0.0, "outside"),)) == Limits(6.0, 6.1)


def test_a_hole_to_be_plated_is_made_larger() -> None:
    """12 mm close, as above, plated by 0.01 a side: bored 0.02 larger."""
    made = picked(12.0, 0.005, "close", by=means("brass", Afterwards("plating", 0.01, 0.0, "inside")))
    assert made.dia == 12.06
    assert (made.limits.smallest, made.limits.largest) == pytest.approx((12.0265, 12.0535))


def test_in_nylon_the_hole_starts_larger_than_in_brass() -> None:
    assert picked(8.0, 0.02, "free", by=means("nylon")).dia > picked(8.0, 0.02, "free").dia


@settings(max_examples=150)
@given(
    fit=st.sampled_from(FITS),
    dia=st.floats(0.8, 24.0),
    off=st.floats(0.0, 0.05),
    stuff=st.sampled_from(names()),
    deep=st.floats(1.0, 30.0),
    plating=st.floats(0.001, 0.03),
    kind=st.sampled_from(["plating", "polish", "none"]),
    made=st.sampled_from(["", "drilled", "reamed", "bored"]),
)
@example(fit="free", dia=5.95, off=0.02, stuff="acetal", deep=9.0, plating=0.01, kind="plating", made="")
def test_whatever_is_picked_passes_the_largest_and_is_not_sloppy_for_the_smallest(
    fit: str, dia: float, off: float, stuff: str, deep: float, plating: float, kind: str, made: str
) -> None:
    """Reckoned anew from what the hole is made with, not from the limits that were returned."""
    done = () if kind == "none" else (Afterwards(kind, plating, 0.0005, "both"),)
    by = means(stuff, *done)
    try:
        hole = pick(about(dia, off), fit, by, deep=deep, made=made)
    except (BadInput, CannotMake) as error:
        assert str(error).strip()
        return
    play = band(fit, dia)
    low, high = by.material.closes_in
    sign = {"plating": -2.0, "polish": 2.0, "none": 0.0}[kind]
    shift, loose = sign * plating, 0.0 if kind == "none" else 0.001
    smallest = hole.cut.smallest - high * hole.dia + shift - loose
    largest = hole.cut.largest - low * hole.dia + shift + loose
    assert smallest >= dia + off + play.least - 2e-6
    assert largest <= dia - off + play.most + 2e-6
    assert made in ("", hole.how)
    assert hole.how != "drilled" or fit in ("free", "glue gap")


@given(dia=st.floats(0.8, 24.0), off=st.floats(0.0, 0.05), fit=st.sampled_from(FITS))
def test_what_is_wanted_narrows_by_what_is_not_known_of_the_component(dia: float, off: float, fit: str) -> None:
    play = band(fit, dia)
    assert wanted(about(dia, off), play).width == pytest.approx(play.most - play.least - 2.0 * off)
