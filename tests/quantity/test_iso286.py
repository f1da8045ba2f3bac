"""Limits by tolerance class against published tables of ISO 286, and the rules of the standard as properties."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.quantity import iso286, size

TABLE = Path(__file__).with_name("iso286_classes.csv")
LETTERS = ["d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"]
BANDS = [3, 6, 10, 18, 30, 50, 80, 120, 180]


def rows() -> list[dict[str, str]]:
    lines = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def letters_and_grade(name: str) -> tuple[str, int]:
    letters = name.rstrip("0123456789")
    return letters, int(name[len(letters) :])


@pytest.mark.parametrize("name", sorted({row["class"] for row in rows()}))
def test_class_against_the_published_tables(name: str) -> None:
    """Sources at the head of iso286_classes.csv; at the middle and at the upper end of every band."""
    letters, grade = letters_and_grade(name)
    of_class = [row for row in rows() if row["class"] == name]
    assert len(of_class) >= 8
    for row in of_class:
        over, up_to = float(row["over"]), float(row["up_to"])
        for nominal in ((over + up_to) / 2, up_to):
            lower, upper = iso286.deviations(nominal, letters, grade)
            told = (round(upper * 1000, 6), round(lower * 1000, 6))
            assert told == (float(row["upper"]), float(row["lower"])), f"{nominal} {name} ({row['source']})"


def test_the_published_table_was_read() -> None:
    sources = [row["source"] for row in rows()]
    assert sources.count("fit-table") > 800
    assert sources.count("it-table") > 500


@pytest.mark.parametrize(
    ("text", "upper", "lower"),
    [
        # Fits that stand in every machinist's handbook; from memory, ISO 286-2.
        ("14 h7", 0, -18),
        ("25 H7", 21, 0),
        ("25 g6", -7, -20),
        ("20 h6", 0, -13),
        ("10 H7", 15, 0),
        ("10 m6", 15, 6),
        ("6 h9", 0, -30),
        ("30 p6", 35, 22),
        ("16 f7", -16, -34),
        ("40 js6", 8, -8),
        ("50 k6", 18, 2),
        ("25 k8", 33, 0),
        ("22 K7", 6, -15),
        ("22 N9", 0, -52),
        ("22 P9", -22, -74),
        ("22 JS9", 26, -26),
        ("8 D10", 98, 40),
        ("3 m6", 8, 2),
        ("3 M6", -2, -8),
        ("60 s6", 72, 53),
        ("70 s6", 78, 59),
        ("110 r6", 76, 54),
        ("60 R7", -30, -60),
        ("12 n6", 23, 12),
        ("12 S7", -21, -39),
        ("120 h14", 0, -870),
    ],
)
def test_fits_of_the_bench(text: str, upper: int, lower: int) -> None:
    nominal = float(text.split()[0])
    read = size(text)
    assert read.upper == pytest.approx(nominal + upper / 1000, abs=1e-9)
    assert read.lower == pytest.approx(nominal + lower / 1000, abs=1e-9)
    assert read.value == pytest.approx(nominal + (upper + lower) / 2000, abs=1e-9)


@pytest.mark.parametrize("grade", [12, 13, 14, 15, 16])
def test_a_coarse_grade_is_ten_times_the_one_five_below(grade: int) -> None:
    """ISO 286-1: from grade 12 up each tolerance is ten times that of five grades finer."""
    for nominal in BANDS:
        coarse, fine = (iso286.deviations(nominal, "H", g)[1] for g in (grade, grade - 5))
        assert coarse == pytest.approx(10 * fine)


classes = st.tuples(st.sampled_from(LETTERS), st.integers(5, 13))
sizes = st.floats(1.001, 180.0)


@given(nominal=sizes, one=classes)
def test_a_coarser_grade_is_wider_and_never_moves_the_near_limit_of_a_clearance_shaft(
    nominal: float, one: tuple[str, int]
) -> None:
    letter, grade = one
    lower, upper = iso286.deviations(nominal, letter, grade)
    coarser_lower, coarser_upper = iso286.deviations(nominal, letter, grade + 1)
    assert coarser_upper - coarser_lower > upper - lower > 0
    if letter in ("d", "e", "f", "g", "h"):
        assert coarser_upper == upper <= 0


@given(nominal=sizes, one=classes)
def test_a_hole_is_as_wide_as_its_shaft_and_clearance_holes_mirror_it(nominal: float, one: tuple[str, int]) -> None:
    letter, grade = one
    if letter == "k" and grade > 8 and round(nominal, 6) > 3:
        with pytest.raises(BadInput, match=r"K\d+ is not defined"):
            iso286.deviations(nominal, "K", grade)
        return
    lower, upper = iso286.deviations(nominal, letter, grade)
    hole_lower, hole_upper = iso286.deviations(nominal, letter.upper(), grade)
    assert hole_upper - hole_lower == pytest.approx(upper - lower, abs=1e-12)
    if letter in ("d", "e", "f", "g", "h", "js"):
        assert (hole_lower, hole_upper) == (-upper, -lower)


@pytest.mark.parametrize("grade", [6, 7])
def test_hole_basis_and_shaft_basis_give_the_same_fit(grade: int) -> None:
    """ISO 286-1 defines tight holes so that H8/p7 and P8/h7 fit alike (sizes over 3 mm)."""
    for nominal in (5.0, 8.0, 15.0, 25.0, 40.0, 60.0, 100.0):
        for letter in ("k", "m", "n", "p", "r", "s"):
            if letter in ("p", "r", "s") and grade + 1 > 7:
                continue
            shaft = iso286.deviations(nominal, letter, grade)[0] - iso286.deviations(nominal, "H", grade + 1)[1]
            hole = iso286.deviations(nominal, "h", grade)[0] - iso286.deviations(nominal, letter.upper(), grade + 1)[1]
            assert shaft == pytest.approx(hole, abs=1e-9), f"{nominal} {letter}{grade}"


def test_a_size_belongs_to_the_band_that_it_ends() -> None:
    assert iso286.deviations(10.0, "h", 7)[0] == pytest.approx(-0.015)
    assert iso286.deviations(10.001, "h", 7)[0] == pytest.approx(-0.018)
    assert iso286.deviations(3.3 + 3.3 + 3.4, "h", 7)[0] == pytest.approx(-0.015)
    assert iso286.deviations(10.0 + 4e-15, "h", 7)[0] == pytest.approx(-0.015)


@pytest.mark.parametrize(
    ("nominal", "letters", "grade", "says"),
    [
        (14.0, "z", 7, "class letter 'z'"),
        (14.0, "Hs", 7, "class letter 'Hs'"),
        (14.0, "jS", 7, "class letter 'jS'"),
        (14.0, "j", 6, "class letter 'j'"),
        (14.0, "h", 4, "grade 4"),
        (14.0, "h", 17, "grade 17"),
        (14.0, "h", 0, "grade 0"),
        (180.01, "h", 7, "ends at 180 mm"),
        (0.0, "h", 7, "outside the table"),
        (-3.0, "h", 7, "outside the table"),
        (5.0, "K", 9, "not defined"),
        (1.0, "h", 14, "up to 1 mm"),
        (0.8, "N", 9, "up to 1 mm"),
    ],
)
def test_what_the_table_does_not_hold_is_refused(nominal: float, letters: str, grade: int, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        iso286.deviations(nominal, letters, grade)
