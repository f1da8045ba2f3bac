"""Unified threads against published limits, to the last printed digit."""

from __future__ import annotations

import pytest

from tests.shop.threads.published import COLUMNS, as_printed, rows
from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop.threads import limits, read_thread
from toolpath.shop.threads.unified import UNIFIED, dia

# The series in full, threads to the inch (published table; numbers and fractions checked against a handbook).
SERIES = {
    "UNC": "#1-64 #2-56 #3-48 #4-40 #5-40 #6-32 #8-32 #10-24 #12-24 1/4-20 5/16-18 3/8-16 7/16-14 1/2-13 9/16-12 "
    "5/8-11 3/4-10 7/8-9 1-8 1_1/8-7 1_1/4-7 1_3/8-6 1_1/2-6",
    "UNF": "#0-80 #1-72 #2-64 #3-56 #4-48 #5-44 #6-40 #8-36 #10-32 #12-28 1/4-28 5/16-24 3/8-24 7/16-20 1/2-20 9/16-18 "
    "5/8-18 3/4-16 7/8-14 1-12 1_1/8-12 1_1/4-12 1_3/8-12 1_1/2-12",
    "UNEF": "#12-32 1/4-32 5/16-32 3/8-32 7/16-28 1/2-28 9/16-24 5/8-24 11/16-24 3/4-20 13/16-20 7/8-20 15/16-20 1-20 "
    "1_1/16-18 1_1/8-18 1_3/16-18 1_1/4-18 1_5/16-18 1_3/8-18 1_7/16-18 1_1/2-18",
}


@pytest.mark.parametrize("row", rows("unified_limits.csv"), ids=lambda row: row["size"])
def test_limits_of_the_published_tables(row: dict[str, str]) -> None:
    thread = read_thread(row["size"])
    for column in COLUMNS.keys() & row.keys():
        assert as_printed(thread, column, row[column], inches=True) == row[column], column


@pytest.mark.parametrize(
    "row", [r for r in rows("handbook_limits.csv") if r["size"][0] != "M"], ids=lambda r: r["size"]
)
def test_limits_with_the_root_of_the_handbook(row: dict[str, str]) -> None:
    thread = read_thread(row["size"])
    for column in COLUMNS.keys() & row.keys():
        ours = float(as_printed(thread, column, row[column], inches=True))
        assert ours == pytest.approx(float(row[column]), abs=1.01e-4 if column.startswith("d1") else 1e-9), column


def test_the_tables_are_whole() -> None:
    assert len(rows("unified_limits.csv")) == 21
    assert len(rows("handbook_limits.csv")) == 15


# Root of #0-80 UNF by UNR, 0.0446 in; allowance of #12-32 UNEF 0.0009 in (charts).
def test_two_printed_figures() -> None:
    from toolpath.shop.threads.forms import profile

    zero = read_thread("#0-80")
    major = limits(zero).screw.major.greatest / INCH  # type: ignore[union-attr]
    assert major - (zero.diameter - profile(zero).root) / INCH == pytest.approx(0.0446, abs=5e-5)
    twelve = limits(read_thread("#12-32 UNEF")).screw
    assert twelve is not None
    assert twelve.major.greatest / INCH == pytest.approx(0.2160 - 0.0009)


@pytest.mark.parametrize("series", SERIES)
def test_a_series_in_full(series: str) -> None:
    listed = [f"{name.replace('_', ' ')} {series}" for name in SERIES[series].split()]
    assert [name for name in UNIFIED.known() if name.endswith(f" {series}")] == listed
    for name in listed:
        assert read_thread(name).pitch == pytest.approx(INCH / int(name.split("-")[1].split()[0]))


def test_a_hole_is_rooted_within_its_sharp_v() -> None:
    """11/12 H over the greatest pitch diameter: a flat of P/24 (ASME B1.1, from memory)."""
    found = limits(read_thread("1/4-20")).hole
    assert found is not None
    assert found.major.greatest - found.pitch.greatest == pytest.approx(11 / 12 * 3**0.5 / 2 * INCH / 20, abs=1e-5)


def test_numbered_sizes() -> None:
    """0.060 in and 0.013 in more for each number: handbook."""
    assert [dia(f"#{n}") for n in (0, 4, 6, 8, 10, 12)] == [0.060, 0.112, 0.138, 0.164, 0.190, 0.216]


# ASME B1.1: 3A has no allowance and three quarters of the tolerance of 2A; 1A half as much again; 3B 0.975, 1B 1.95.
@pytest.mark.parametrize("name", ["1/4-20", "5/16-24", "#10-32", "1/2-13", "3/4-16"])
def test_classes(name: str) -> None:
    found = {c: limits(read_thread(f"{name}-{c}")) for c in ("1A", "2A", "3A", "1B", "2B", "3B")}

    def width(c: str) -> float:
        side = found[c].screw if c.endswith("A") else found[c].hole
        assert side is not None
        return (side.pitch.greatest - side.pitch.least) / INCH

    base = width("2A")
    for c, factor in (("1A", 1.5), ("3A", 0.75), ("1B", 1.95), ("2B", 1.3), ("3B", 0.975)):
        assert width(c) == pytest.approx(factor * base, abs=1.5e-4), c
    three, two = found["3A"].screw, found["2A"].screw
    assert three is not None
    assert two is not None
    assert three.major.greatest == pytest.approx(read_thread(name).diameter)
    assert three.major.greatest - two.major.greatest == pytest.approx(0.3 * base * INCH, abs=0.0001 * INCH)


# 3B minor diameters, in: 1/4-20 0.1960 to 0.2067, 1/2-13 0.4170 to 0.4284, 1/4-28 0.2110 to 0.2190 (from memory).
@pytest.mark.parametrize(("name", "most"), [("1/4-20", 0.2067), ("1/2-13", 0.4284), ("1/4-28", 0.2190)])
def test_minor_diameter_of_3b(name: str, most: float) -> None:
    found = limits(read_thread(f"{name}-3B")).hole
    assert found is not None
    assert found.minor.greatest / INCH == pytest.approx(most, abs=6e-4)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("10-32", "#10-32 UNF"), ("1-8", "1-8 UNC"), ("1-72", "#1-72 UNF"), ("1-14 UNS", "1-14 UNS"),
        ("no 8-32", "#8-32 UNC"), ("#6 UNC", "#6-32 UNC"), ('1/4"-20', "1/4-20 UNC"), ("0.3125-24", "5/16-24 UNF"),
        ("1-1/4-7 UNC-2A", "1 1/4-7 UNC"), ("1 1/4-7", "1 1/4-7 UNC"), ("3/8 UNF", "3/8-24 UNF"), ("1/4 x 20", ""),
        ("5/16-24unf-2b", "5/16-24 UNF"), ("3/4-12 UN", "3/4-12 UN"), ("1/4-20 tpi", "1/4-20 UNC"),
        ("5/16-24NF", "5/16-24 UNF"),
    ],
)  # fmt: skip
def test_spellings(text: str, named: str) -> None:
    if not named:  # a sign of multiplication belongs to metric and model-engineering threads
        with pytest.raises(BadInput, match="is no thread that is known"):
            read_thread(text)
        return
    assert read_thread(text).designation == named


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("5/16-25", "The nearest is 5/16-24 UNF; known: 5/16-18 UNC, 5/16-24 UNF, 5/16-32 UNEF"),
        ("5/16-24 UNC", "The nearest is 5/16-18 UNC"),
        ("1/4", "'1/4' lacks its pitch: it may be several threads. The nearest is 1/4-20 UNC"),
        ("2 UNC", "The nearest is 1 1/2-6 UNC"),
        ("1/3-20", "The nearest is 5/16-18 UNC"),
        ("#13-20", "there is no size #13. Numbers go to #12; then comes 1/4"),
        ("1/4-20 UNJC", "the UNJ form, with its controlled root, is not known here"),
        ("1/4-20 UNC-4A", "'4A' is no class of a Unified thread. Screws are 1A 2A 3A, holes 1B 2B 3B"),
        ("1/4 UNS", "lacks its threads to the inch"),
        ("3/4-13 UN", "UN has no 13 threads to the inch"),
        ("1/4-6 UNS", "is no thread"),
    ],
)
def test_a_near_miss(text: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_thread(text)
    assert message in str(caught.value)


@pytest.mark.parametrize("name", UNIFIED.known())
def test_every_size_is_read_as_it_is_named(name: str) -> None:
    thread = read_thread(name)
    assert thread.designation == name
    assert read_thread(name.rpartition(" ")[0]) == thread
