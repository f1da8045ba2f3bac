"""Bending over the real section: handbooks' closed forms, scipy's own integration, and what must always hold.

scipy integrates the bending line y'' = M / (E I) itself, as an initial value problem from the clamped end; a centre
pushes the far end home. The unit-load method under test appears nowhere in it.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from toolpath.cutting.beams import Beam, Station, beam, deflection, even_beam, give, plate_moment, weakest
from toolpath.errors import CannotMake

STEEL = 206_000.0  # N/mm2, Isakov, Cutting Tool Engineering 2019


def moment_of_area(b: Beam, u: float) -> float:
    for near, far in pairwise(b.stations):
        if near.at <= u <= far.at and far.at > near.at:
            t = (u - near.at) / (far.at - near.at)
            r = near.outside + t * (far.outside - near.outside)
            h = near.hole + t * (far.hole - near.hole)
            return math.pi / 4.0 * (r**4 - h**4)
    raise AssertionError(u)


def integrated(b: Beam, load: float, at: float, *, reaction: float = 0.0) -> float:
    """mm at `at` under 1 N at `load` and `reaction` N at the far end: y'' = M/(E I), clamped at 0, step by step."""

    def bent(u: float, y: np.ndarray) -> list[float]:
        moment = max(load - u, 0.0) + reaction * (b.length - u)
        return [y[1], moment / (b.modulus * moment_of_area(b, u))]

    y = np.zeros(2)
    cuts = sorted({0.0, at, *(s.at for s in b.stations if s.at < at), *([load] if load < at else [])})
    for lo, hi in pairwise(cuts):
        inner = (lo + 1e-12 * b.length, hi - 1e-12 * b.length)
        y = solve_ivp(bent, inner, y, rtol=1e-9, atol=1e-18, method="DOP853").y[:, -1]
    return float(y[0])


def in_centre(b: Beam, load: float, at: float) -> float:
    """The centre pushes back with the force that brings the far end home."""
    push = -integrated(b, load, b.length) / integrated(b, b.length, b.length)
    return integrated(b, load, at, reaction=push)


RADII = st.floats(1.0, 20.0)


@st.composite
def beams(draw: st.DrawFn, hold: str = "free") -> Beam:
    """Stepped, tapered, bored: two to five stretches."""
    stations, at = [], 0.0
    for _ in range(draw(st.integers(2, 5))):
        for along in (0.0, draw(st.floats(2.0, 40.0))):
            at += along
            outside = draw(RADII)
            stations.append(Station(at, outside, outside * draw(st.sampled_from([0.0, 0.0, 0.5, 0.9]))))
    return beam(stations, modulus=draw(st.floats(500.0, 600_000.0)), hold=hold)


@settings(max_examples=25, deadline=None)
@given(beams(), st.floats(0.2, 1.0), st.floats(0.2, 1.0))
def test_hanging_free_against_the_bending_line(b: Beam, load: float, at: float) -> None:
    where, there = load * b.length, at * b.length
    assert give(b, where, at=there) == pytest.approx(integrated(b, where, there), rel=2e-5)


@settings(max_examples=12, deadline=None)
@given(beams("centre"), st.floats(0.2, 0.8))
def test_between_chuck_and_centre_against_the_bending_line(b: Beam, load: float) -> None:
    where = load * b.length
    assert give(b, where) == pytest.approx(in_centre(b, where, where), rel=1e-3)


@settings(max_examples=25, deadline=None)
@given(beams("centres"), st.floats(0.1, 0.9))
def test_between_centres_against_castigliano(b: Beam, load: float) -> None:
    """Twice the work of 1 N, integrated by scipy's adaptive rule over each stretch."""
    p, whole = load * b.length, b.length

    def energy(u: float) -> float:
        m = u * (whole - p) / whole if u <= p else p * (whole - u) / whole
        return m * m / (b.modulus * moment_of_area(b, u))

    cuts = sorted({s.at for s in b.stations} | {p})
    work = sum(quad(energy, lo, hi, epsrel=1e-9)[0] for lo, hi in pairwise(cuts))
    assert give(b, p) == pytest.approx(work, rel=2e-5)


def test_isakovs_bar() -> None:
    """Isakov, Boring: calculating deflection, Cutting Tool Engineering 2019: 25.4, 101.6 out, 911.1 N: 0.0757 mm."""
    bar = even_beam(25.4, 101.6, modulus=STEEL)
    assert round(deflection(bar, 911.1, 101.6), 4) == 0.0757
    inch = even_beam(1.0, 4.0, modulus=30e6)
    assert round(deflection(inch, 207.8, 4.0), 3) == 0.003


@pytest.mark.parametrize(
    ("hold", "load", "share"),
    [
        ("free", 1.0, 1 / 3),  # F L^3 / (3 E I), handbooks
        ("centres", 0.5, 1 / 48),  # F L^3 / (48 E I), handbooks, from memory
        (
            "centre",
            0.5,
            7 / 768,
        ),  # fixed and supported, force in the middle: 7 F L^3 / (768 E I), handbooks, from memory
        ("centre", 1.0, 0.0),
    ],
)
def test_even_bars_have_the_handbooks_closed_forms(hold: str, load: float, share: float) -> None:
    b = even_beam(12.0, 90.0, modulus=STEEL, hold=hold)
    moment = math.pi * 12.0**4 / 64.0
    assert give(b, load * 90.0) == pytest.approx(share * 90.0**3 / (STEEL * moment), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(
    ("d", "out", "force", "printed"), [(10, 40, 100, 0.0217), (10, 30, 100, 0.0092), (6, 24, 50, 0.0181)]
)
def test_worked_examples_in_steel(d: float, out: float, force: float, printed: float) -> None:
    """E 200 GPa, worked by hand from the closed form."""
    assert round(deflection(even_beam(d, out, modulus=200_000.0), force, out), 4) == printed


def test_a_cone_has_its_closed_form() -> None:
    """A cone from R to r, loaded at its end: F L^3 / (3 E I_R) times R / r (integrating (L - x)^2 / I(x) by hand)."""
    for small in (9.0, 5.0, 1.0, 0.05):
        cone = beam([Station(0.0, 10.0), Station(60.0, small)], modulus=STEEL)
        even = 60.0**3 / (3.0 * STEEL * math.pi * 10.0**4 / 4.0)
        assert give(cone, 60.0) == pytest.approx(even * 10.0 / small, rel=1e-6)


def test_a_stepped_bar_by_moment_areas() -> None:
    """20 mm dia. for 30, then 10 mm for 20: by hand, (50^3 - 20^3)/3 over I of 20 and 20^3/3 over I of 10."""
    b = beam([Station(0, 10), Station(30, 10), Station(30, 5), Station(50, 5)], modulus=STEEL)
    thick, thin = math.pi * 20**4 / 64, math.pi * 10**4 / 64
    by_hand = ((50**3 - 20**3) / 3 / thick + 20**3 / 3 / thin) / STEEL
    assert give(b, 50.0) == pytest.approx(by_hand, rel=1e-9)


def test_a_bore_takes_away_what_the_tube_formula_says() -> None:
    """I of a tube: pi (D^4 - d^4) / 64 (Isakov)."""
    solid, tube = (even_beam(20.0, 60.0, modulus=STEEL, bore=bore) for bore in (0.0, 16.0))
    assert give(tube, 60.0) / give(solid, 60.0) == pytest.approx(20**4 / (20**4 - 16**4))


@settings(max_examples=40, deadline=None)
@given(beams(), st.floats(0.1, 1.0), st.floats(0.1, 1.0))
def test_two_places_bend_each_other_alike(b: Beam, first: float, second: float) -> None:
    """Maxwell: the give at one place under a force at another is that at the other under the same force at the one."""
    one, two = first * b.length, second * b.length
    assert give(b, one, at=two) == pytest.approx(give(b, two, at=one), rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(beams(), st.floats(0.1, 0.95))
def test_support_only_stiffens_and_metal_only_helps(b: Beam, load: float) -> None:
    where = load * b.length
    held = beam(b.stations, modulus=b.modulus, hold="centre")
    assert 0.0 < give(held, where) < give(b, where)
    stout = beam([Station(s.at, 1.2 * s.outside, s.hole) for s in b.stations], modulus=b.modulus)
    assert give(stout, where) < give(b, where)
    assert weakest(b, [where, b.length])[0] == b.length


def test_a_blade_stands_on_edge() -> None:
    """b h^3 / 12 of a 2 x 12 mm blade."""
    assert plate_moment(2.0, 12.0) == 288.0


def test_refusals() -> None:
    ends = (Station(0.0, 5.0), Station(30.0, 5.0))
    for modulus in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(CannotMake, match="Give the material its modulus"):
            beam(ends, modulus=modulus)
    with pytest.raises(CannotMake, match="30 mm from its hold the work has no metal left: outside 10, hole 10 mm"):
        beam((ends[0], Station(30.0, 5.0, 5.0)), modulus=STEEL)
    with pytest.raises(ValueError, match="outwards"):
        beam(ends[::-1], modulus=STEEL)
    with pytest.raises(ValueError, match="one of free, centre, centres"):
        beam(ends, modulus=STEEL, hold="hope")
    with pytest.raises(ValueError, match="outside a beam"):
        give(even_beam(10.0, 30.0, modulus=STEEL), 31.0)
