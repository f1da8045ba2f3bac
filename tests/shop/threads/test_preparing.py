"""Diameters before die, point and tap against published rods, and chamfers that begin clear of the root."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.shop.threads import limits, read_thread
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.preparing import blank, bore, mouth, start
from toolpath.shop.threads.standards import known_threads

# Rod before a die, mm: two published tables. (M8x1 7.83 and M10 9.95 of one of them are slips.)
RODS = {
    "M2": 1.93, "M2.5": 2.43, "M3": 2.92, "M4": 3.91, "M5": 4.90, "M6": 5.88, "M8": 7.87, "M10": 9.85, "M12": 11.83,
    "M14": 13.82, "M16": 15.82, "M20": 19.79, "M24": 23.77, "M30": 29.73, "M10x1": 9.88, "M10x1.25": 9.86,
    "M12x1.5": 11.85, "M16x1.5": 15.85,
}  # fmt: skip


@pytest.mark.parametrize(("name", "rod"), RODS.items())
def test_rods_before_a_die(name: str, rod: float) -> None:
    assert blank(read_thread(name)).middle == pytest.approx(rod, abs=0.0081)


def test_bore_is_the_minor_diameter() -> None:
    """M10x1-6H: 8.917 to 9.153 (published limits)."""
    assert (bore(read_thread("M10x1")).least, bore(read_thread("M10x1")).greatest) == (8.917, 9.153)


def test_a_class_moves_the_blank() -> None:
    assert blank(read_thread("M10x1-6h")).greatest == 10.0
    assert blank(read_thread("M10x1-6e")).greatest == 9.94


def test_chamfers() -> None:
    """M10x1: least root 9.212 - 0.616 = 8.596, a tenth of the pitch under it."""
    begin = start(read_thread("M10x1"))
    assert begin.dia == pytest.approx(8.496)
    assert math.degrees(begin.angle) == pytest.approx(45)
    assert begin.depth == pytest.approx((10 - 8.496) / 2)
    assert mouth(read_thread("M10x1")).dia == pytest.approx(10.5)


@given(st.sampled_from(known_threads()))
def test_chamfers_begin_clear_of_the_thread(name: str) -> None:
    thread = read_thread(name)
    found = limits(thread)
    begin = start(thread)
    assert 0 < begin.dia < profile(thread).root
    assert begin.depth > 0
    assert mouth(thread).dia > profile(thread).hole_major
    if found.screw is not None:
        assert begin.dia < found.screw.minor.least
        # 0.6 P to 1 P of radius: common practice goes to just under the root (from memory)
        assert 0.5 * thread.pitch < begin.depth < 1.3 * thread.pitch
