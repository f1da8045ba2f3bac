"""Drills and their sets against published charts, and the words in which people name them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.shop.drills import (
    FAMILIES,
    SAME,
    DrillSet,
    diameter,
    drill_named,
    drill_set,
    every_set,
    family_drills,
    jobber_flute,
    nearest_drills,
)

# Drills of the usual inch tapping chart, "soft" column (data of bd-warehouse 0.4.0), in.
CHART = {
    "#43": 0.0890, "#36": 0.1065, "#29": 0.1360, "#25": 0.1495, "#21": 0.1590, "#7": 0.2010, "#3": 0.2130, "F": 0.2570,
    "I": 0.2720, "5/16": 0.3125, "Q": 0.3320, "U": 0.3680, "25/64": 0.3906, "27/64": 0.4219, "29/64": 0.4531,
}  # fmt: skip
# Read in another chart of drill sizes, in.
SPOT = {"#1": 0.2280, "#80": 0.0135, "A": 0.2340, "Z": 0.4130}
# Sizes of the metric tapping charts, mm: D - P of ISO 261 coarse threads M2 to M14.
TAPPING = (1.6, 2.05, 2.5, 3.3, 4.2, 5.0, 6.8, 8.5, 10.2, 12.0)
# Every second member of the R40 series of preferred numbers (ISO 3), from 1.06 to 9.5.
R40 = (1.06, 1.18, 1.32, 1.5, 1.7, 1.9, 2.12, 2.36, 2.65, 3.0, 3.35, 3.75, 4.25, 4.75, 5.3, 6.0, 6.7, 7.5, 8.5, 9.5)


@pytest.mark.parametrize(("name", "inches"), [*CHART.items(), *SPOT.items()])
def test_drills_of_published_charts(name: str, inches: float) -> None:
    assert drill_named(name).dia == pytest.approx(inches * 25.4, abs=0.00005 * 25.4)


@pytest.mark.parametrize("dia", TAPPING)
def test_tapping_sizes_are_stocked(dia: float) -> None:
    assert drill_named(f"{dia}") == drill_named(f"{dia} mm")
    assert drill_named(f"{dia}").dia == dia


def test_how_many_there_are() -> None:
    """#1 to #80 and A to Z (ASME B94.11M); 64ths up to a half inch."""
    assert {f: len(family_drills(f)) for f in FAMILIES} == {"metric": 155, "number": 80, "letter": 26, "fractional": 32}


@pytest.mark.parametrize("family", FAMILIES)
def test_sets_rise_and_no_name_stands_twice(family: str) -> None:
    drills = family_drills(family)
    assert [d.dia for d in drills] == sorted({d.dia for d in drills})
    assert len({d.name for d in drills}) == len(drills)
    assert {d.set for d in drills} == {family}


def test_e_and_a_quarter_inch_are_one_size() -> None:
    assert drill_named("E").dia == drill_named("1/4").dia == 6.35


@pytest.mark.parametrize(
    ("text", "name", "count"),
    [
        ("metric 0.5", "metric 0.5, 1 to 13", 25),  # boxes of 25 and 91 pieces, common practice
        ("metric 0.1", "metric 0.1, 1 to 10", 91),
        ("metric 0.1 1 to 6", "metric 0.1, 1 to 6", 51),
        ("metric 0.1, from 1 to 6", "metric 0.1, 1 to 6", 51),
        ("Number 1-60", "number 1 to 60", 60),
        ("number 61 to 80", "number 61 to 80", 20),
        ("number #60 - #1", "number 1 to 60", 60),
        ("letter", "letter A to Z", 26),
        ("letter b to f", "letter B to F", 5),
        ("fractional 1/64 to 1/2", "fractional 1/64 to 1/2", 32),
        ("fractional 1/16-1/4", "fractional 1/16 to 1/4", 13),
        ("metric 3 to 3.3", "metric 3 to 3.3", 5),
    ],
)
def test_sets_in_the_words_of_their_box(text: str, name: str, count: int) -> None:
    found = drill_set(text)
    assert (found.name, len(found.drills)) == (name, count)
    assert drill_set(name) == found


def test_one_end_alone_cuts_a_set_short() -> None:
    assert drill_set("number", last="60") == drill_set("number 1-60")
    assert drill_set("number", first="61") == drill_set("number 61-80")
    assert drill_set("letter", last="R").drills[-1].name == "R"
    assert drill_set("metric 0.5", first="8").drills[0].dia == 8.0


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("metrik 0.5", "'metrik 0.5' names no set of drills. Did you mean 'metric'?"),
        ("metric 0.3", "Steps go with metric: metric 0.05, metric 0.1, metric 0.25, metric 0.5, metric 1"),
        ("letter 0.5", "Steps go with metric"),
        ("number 1-90", "there is no drill #90. Known are #1 to #80"),
        ("letter A to 5", "there is no drill 5. Known are A to Z"),
        ("fractional 3/4 to 1", "no fractional drill lies between these ends. Known are 1/64 to 1/2"),
        ("", "names no set"),
    ],
)
def test_sets_that_there_are_not(text: str, what: str) -> None:
    with pytest.raises(BadInput) as caught:
        drill_set(text)
    assert what in str(caught.value)


def test_a_set_has_two_ends_only() -> None:
    with pytest.raises(BadInput, match="has its ends already"):
        drill_set("number 1-60", last="50")


@pytest.mark.parametrize(
    ("text", "name"),
    [("#29", "#29"), ("no 29", "#29"), ("No.29", "#29"), ("number 29", "#29"), ("f", "F"), ("letter F", "F"),
     ("5/16", "5/16"), ("5/16 in", "5/16"),
     ("0.5 in", "1/2"), ("12.7", "12.7"), ("10/32", "5/16"), ("0.3125 in", "5/16"), ("7.8", "7.8"),
     ("7.80 mm", "7.8"), ("0.201 in", "#7"), ("0.257 in", "F"), ("5.105", "#7"), (" 7.8 ", "7.8")],
)  # fmt: skip
def test_drills_as_they_are_stamped(text: str, name: str) -> None:
    assert drill_named(text).name == name


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("#0", "there is no drill #0. Known are #1 to #80"),
        ("#99999999999999999999", "Known are #1 to #80"),
        ("7.83", "no drill of '7.83' is known. The nearest is 7.8, 7.800 mm"),
        ("29", "a number drill is written '#29'"),
        ("AA", "'AA' is neither a drill nor a length. Write a drill as 7.8, '#29', F or 5/16"),
        ("", "neither a drill nor a length"),
        ("-3", "Write a drill as"),
        ("3 deg", "Write a drill as"),
        ("1/0", "Write a drill as"),
    ],
)
def test_drills_that_there_are_not(text: str, what: str) -> None:
    with pytest.raises(BadInput) as caught:
        drill_named(text)
    assert what in str(caught.value)


def test_a_bare_fraction_is_inches_and_another_figure_mm() -> None:
    assert diameter("5/16") == 7.9375
    assert diameter("1 1/8") == 28.575
    assert diameter("5") == 5.0


def test_the_nearest_to_seven() -> None:
    """Letters I 0.272 in and J 0.277 in, 17/64 and 9/32, from the charts; #1 is the thickest number drill."""
    near = {n.set: n for n in nearest_drills(7.0, every_set())}
    names = {s: tuple(d and d.name for d in (n.below, n.exact, n.above)) for s, n in near.items()}
    assert names == {
        "metric": ("6.9", "7", "7.1"),
        "number": ("#1", None, None),
        "letter": ("I", None, "J"),
        "fractional": ("17/64", None, "9/32"),
    }


def test_an_empty_set_has_nothing_near() -> None:
    (near,) = nearest_drills(3.0, [DrillSet("none", ())])
    assert near.all == ()


@given(st.floats(0.3, 14.0), st.sampled_from(FAMILIES))
def test_nothing_lies_between_the_neighbours(dia: float, family: str) -> None:
    (near,) = nearest_drills(dia, [DrillSet(family, family_drills(family))])
    low = near.below.dia if near.below else 0.0
    high = near.above.dia if near.above else math.inf
    assert low <= dia - SAME
    assert high >= dia + SAME
    between = [d for d in family_drills(family) if low < d.dia < high]
    assert between == ([near.exact] if near.exact else [])


@pytest.mark.parametrize("family", FAMILIES)
def test_every_drill_is_found_by_its_name_and_is_just_its_size(family: str) -> None:
    for drill in family_drills(family):
        assert drill_named(drill.name) == drill
        assert drill in [n.exact for n in nearest_drills(drill.dia, every_set())]


def test_the_steps_of_the_flute_table_are_preferred_numbers() -> None:
    """ISO 3: flutes change just above each of these diameters, and grow."""
    for dia in R40:
        assert jobber_flute(dia) < jobber_flute(dia + 0.01)
        assert jobber_flute(dia) == jobber_flute(dia - 0.01)


@pytest.mark.parametrize(
    ("dia", "flute"), [(1.0, 12), (3.0, 33), (5.0, 52), (6.0, 57), (8.0, 75), (10.0, 87), (12.0, 101)]
)
def test_flutes_of_jobber_drills(dia: float, flute: float) -> None:
    """DIN 338, from memory."""
    assert jobber_flute(dia) == flute


def test_flutes_are_known_up_to_twenty() -> None:
    with pytest.raises(BadInput, match="no jobber drill is 21 mm thick"):
        jobber_flute(21.0)


def test_the_usual_point() -> None:
    assert math.degrees(drill_named("7").point) == pytest.approx(118)
