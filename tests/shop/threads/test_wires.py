"""Measure over wires against published constants, and against wires laid into the drawn V."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop.threads import Thread, read_thread
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.standards import known_threads
from toolpath.shop.threads.wires import best_wire, over_wires, steep, wire_range

STRAIGHT = [name for name in known_threads() if not read_thread(name).taper]


# Best wire and constant C of M = E + C for 60 degrees, inches, by tpi: handbook table of wires (from memory).
@pytest.mark.parametrize(
    ("name", "wire", "constant"),
    [
        ("1/4-20", 0.02887, 0.04330),
        ("5/16-18", 0.03208, 0.04811),
        ("1/2-13", 0.04441, 0.06662),
        ("3/4-10", 0.05774, 0.08660),
    ],
)
def test_the_handbook_constants(name: str, wire: float, constant: float) -> None:
    thread = read_thread(name)
    assert best_wire(thread) / INCH == pytest.approx(wire, abs=5.1e-6)
    pitch_dia = profile(thread).pitch_dia
    assert (over_wires(thread, pitch_dia) - pitch_dia) / INCH == pytest.approx(constant, abs=5.1e-6)


def test_a_worked_value() -> None:
    """1/2-13, effective 0.4500 in, wires of 0.045: 0.4500 - 0.86603/13 + 3 * 0.045 = 0.5184 in (the trade's form)."""
    thread = read_thread("1/2-13")
    assert over_wires(thread, 0.4500 * INCH, wire=0.045 * INCH) / INCH == pytest.approx(0.5184, abs=5e-5)


def test_whitworth_constants() -> None:
    """M = E + 3.1657 W - 0.9605 P, best wire 0.5637 P: the trade's constants of the 55 degree form (from memory)."""
    thread = read_thread("1/4 BSW")
    assert best_wire(thread) / thread.pitch == pytest.approx(0.5637, abs=5e-5)
    base = over_wires(thread, 5.0, wire=0.7)
    assert over_wires(thread, 5.0, wire=0.8) - base == pytest.approx(0.1 * 3.1657, abs=5e-5)
    assert base == pytest.approx(5.0 + 3.1657 * 0.7 - 0.9605 * 1.27, abs=1e-4)


def seat(thread: Thread, wire: float, pitch_dia: float) -> float:
    """Twice the height of a wire's top over the axis, found by letting it down until it touches a drawn flank."""
    half = thread.angle / 2.0
    flank = [(t * thread.pitch / 4000.0 * 2.0, 0.0) for t in range(1001)]  # u from the middle of the groove
    line = [(u, pitch_dia / 2.0 + (u - thread.pitch / 4.0) / math.tan(half)) for u, _ in flank]
    return 2.0 * (max(v + math.sqrt(max((wire / 2) ** 2 - u**2, 0.0)) for u, v in line if u <= wire / 2) + wire / 2)


@given(st.sampled_from(STRAIGHT), st.floats(0.0, 1.0))
def test_a_wire_laid_into_the_drawn_groove(name: str, share: float) -> None:
    thread = read_thread(name)
    least, greatest = wire_range(thread)
    wire = least + share * (greatest - least) * 0.999
    pitch_dia = profile(thread).pitch_dia
    drawn = seat(thread, wire, pitch_dia)
    assert over_wires(thread, pitch_dia, wire=max(wire, least)) == pytest.approx(drawn, abs=2e-3 * thread.pitch)


@given(st.sampled_from(STRAIGHT))
def test_the_best_wire_fits_and_stands_proud(name: str) -> None:
    thread = read_thread(name)
    least, greatest = wire_range(thread)
    assert least < best_wire(thread) < greatest
    assert over_wires(thread, profile(thread).pitch_dia) > thread.diameter


@pytest.mark.parametrize("wire", [0.1, 3.0])
def test_a_wire_that_does_not_rest(wire: float) -> None:
    with pytest.raises(BadInput, match="does not rest on the flanks of M10x1"):
        over_wires(read_thread("M10x1"), 9.3, wire=wire)


def test_no_wires_on_a_taper() -> None:
    with pytest.raises(BadInput, match="a taper thread is not measured over wires"):
        over_wires(read_thread("1/4 NPT"), 12.0)


def test_steep() -> None:
    assert not steep(read_thread("M10"))
    assert steep(read_thread("M20x8(P2)"))
