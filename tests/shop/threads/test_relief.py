"""Reliefs against the published table, and that a point runs out free of metal in every one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import CannotMake
from toolpath.shop.threads import limits, read_thread
from toolpath.shop.threads.relief import ends, inside_relief, relief
from toolpath.shop.threads.standards import known_threads

# GB/T 3-1997 (a published page): pitch, run-out x, shoulder a, width g1, g2, diameter below the thread's, radius.
TABLE = """
M3       0.5  1.25 1.5  0.8 1.5  0.8 0.2
M3.5     0.6  1.5  1.8  0.9 1.8  1.0 0.4
M4       0.7  1.75 2.1  1.1 2.1  1.1 0.4
M4.5     0.75 1.9  2.25 1.2 2.25 1.2 0.4
M5       0.8  2    2.4  1.3 2.4  1.3 0.4
M6       1    2.5  3    1.6 3    1.6 0.6
M8       1.25 3.2  4    2   3.75 2.0 0.6
M10      1.5  3.8  4.5  2.5 4.5  2.3 0.8
M12      1.75 4.3  5.3  3   5.25 2.6 1.0
M16      2    5    6    3.4 6    3.0 1.0
M20      2.5  6.3  7.5  4.4 7.5  3.6 1.2
M24      3    7.5  9    5.2 9    4.4 1.6
M3x0.35  0.35 0.9  1.05 0.6 1.05 0.6 0.16
M2       0.4  1    1.2  0.6 1.2  0.7 0.2
M2.5     0.45 1.1  1.35 0.7 1.35 0.7 0.2
"""


@pytest.mark.parametrize("line", TABLE.strip().splitlines())
def test_the_published_table(line: str) -> None:
    name, pitch, run_out, shoulder, narrow, wide, below, radius = (
        word if i == 0 else float(word) for i, word in enumerate(line.split())
    )
    thread = read_thread(str(name))
    groove = relief(thread)
    assert thread.pitch == pitch
    assert (groove.width.least, groove.width.greatest, groove.radius) == (narrow, wide, radius)
    assert groove.dia.greatest == pytest.approx(thread.diameter - below)  # type: ignore[operator]
    assert groove.said == "GB/T 3"
    # Run-out and shoulder are rounded up to the next handy figure in the table: 1.25 has 4 for 3.75.
    free = ends(thread)
    assert free.run_out == pytest.approx(run_out, abs=0.08)
    assert free.shoulder == pytest.approx(shoulder, abs=0.26)


def test_tolerance_of_the_groove() -> None:
    """h13 of 8.4 mm is 220, h12 of 2.2 mm is 100 micrometres (ISO 286-1); h12 serves threads up to 3 mm."""
    coarse, small = relief(read_thread("M10x1")).dia, relief(read_thread("M3")).dia
    assert (coarse.least, coarse.greatest) == (pytest.approx(8.18), pytest.approx(8.4))
    assert (small.least, small.greatest) == (pytest.approx(2.1), pytest.approx(2.2))


def test_inside_grooves_of_the_published_table() -> None:
    """Width 4 P, short 2 P; D + 0.3 up to a pitch of 0.8, D + 0.5 from 1; radius half the pitch."""
    fine, coarse = inside_relief(read_thread("M5")), inside_relief(read_thread("M10x1"))
    assert (fine.width.least, fine.width.greatest, fine.radius) == (1.6, 3.2, 0.4)
    assert fine.dia.least == pytest.approx(5.3)
    assert (coarse.width.least, coarse.width.greatest, coarse.radius) == (2.0, 4.0, 0.5)
    assert coarse.dia.least == pytest.approx(10.5)


def test_between_two_rows() -> None:
    """24 tpi is 1.0583 mm: 0.2333 of the way from 1 to 1.25, so 1.6 + 0.2333 * 0.4 below the diameter."""
    groove = relief(read_thread("5/16-24"))
    assert groove.dia.greatest == pytest.approx(7.9375 - 1.6 - 0.23333 * 0.4, abs=1e-3)
    assert groove.width.greatest == pytest.approx(3.175, abs=1e-3)
    assert groove.said == "GB/T 3 at 1 and 1.25"


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("M1", "the table of reliefs goes from a pitch of 0.35 to 4 mm; M1 has 0.25 mm"),
        ("Tr 12x3", "no table of reliefs holds Tr 12x3; give width and diameter"),
        ("1/4 NPT", "no table of reliefs holds 1/4-18 NPT"),
        ("M48", "M48 has 5 mm"),
    ],
)
def test_what_the_table_has_not(name: str, message: str) -> None:
    with pytest.raises(CannotMake) as caught:
        relief(read_thread(name))
    assert message in str(caught.value)


@given(st.sampled_from(known_threads()))
def test_a_groove_lies_below_every_root(name: str) -> None:
    thread = read_thread(name)
    found = limits(thread)
    try:
        groove, within = relief(thread), inside_relief(thread)
    except CannotMake:
        assert thread.pitch < 0.5 or thread.pitch > 4 or thread.form == "trapezoidal" or thread.taper
        return
    assert found.screw is not None
    assert groove.dia.greatest < found.screw.minor.least
    assert 0 < groove.dia.least < groove.dia.greatest
    assert 1.2 * thread.pitch < groove.width.least < groove.width.greatest <= 3.001 * thread.pitch
    if found.hole is not None:
        assert within.dia.least > found.hole.major.least
