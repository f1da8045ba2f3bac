"""How the work of a plan gives way: its real section, against formulas of handbooks and against the plain bar."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.plan.workshop import part, request
from toolpath.cutting.beams import Station, beam, give
from toolpath.geometry.elements import Line
from toolpath.plan.bending import _thinned, gives
from toolpath.plan.plan import plan
from toolpath.shop.materials import material

BRASS = material("brass")


def chain(*points: tuple[float, float]) -> tuple[Line, ...]:
    return tuple(Line(a, b) for a, b in pairwise(points) if a != b)


def test_an_even_bar_gives_way_as_the_handbook_says() -> None:
    """F L^3 / (3 E I), Isakov, Cutting Tool Engineering 2019."""
    found = gives([chain((-50.0, 5.0), (0.0, 5.0))], [], ends=(-40.0, 0.0), material=BRASS)
    closed = 40.0**3 / (3.0 * 105_000.0 * math.pi * 10.0**4 / 64.0)
    assert found.roughed and found.finished
    assert found.roughed.give == pytest.approx(closed, rel=1e-6) == found.finished.give
    assert found.finished.words == "free-cutting brass, 10 mm at its thinnest, 40 mm out of its hold"


def test_a_step_and_a_bore_by_moment_areas() -> None:
    """20 mm for 30, then 10 mm for 20 with a 6 mm hole: (50^3 - 20^3)/3 over I of 20, 20^3/3 over I of the tube."""
    outside = chain((-60.0, 10.0), (-20.0, 10.0), (-20.0, 5.0), (0.0, 5.0))
    found = gives([outside], [chain((-20.0, 3.0), (0.0, 3.0))], ends=(-50.0, 0.0), material=BRASS)
    thick, tube = math.pi * 20**4 / 64, math.pi * (10**4 - 6**4) / 64
    by_hand = ((50**3 - 20**3) / 3 / thick + 20**3 / 3 / tube) / 105_000.0
    assert found.finished and found.finished.give == pytest.approx(by_hand, rel=1e-5)


def test_the_lower_of_what_is_wanted_and_what_stands_counts() -> None:
    wide, thin = chain((-40.0, 10.0), (0.0, 10.0)), chain((-40.0, 4.0), (0.0, 4.0))
    one, other = (gives(c, [], ends=(-30.0, 0.0), material=BRASS) for c in ([wide, thin], [thin]))
    assert one == other


def test_a_neck_counts_for_the_finish_cut_and_not_while_it_is_roughed() -> None:
    """Roughing takes valleys from the free end: behind the place in hand nothing is thinner yet."""
    neck = chain((-60.0, 10.0), (-40.0, 10.0), (-40.0, 3.0), (-30.0, 3.0), (-30.0, 10.0), (0.0, 10.0))
    found = gives([neck], [], ends=(-50.0, 0.0), material=BRASS)
    assert found.roughed and found.finished
    assert found.roughed.give < found.finished.give / 5.0
    assert "6 mm at its thinnest" in found.finished.words


def test_only_where_it_is_cut() -> None:
    bar = [chain((-50.0, 5.0), (0.0, 5.0))]
    near = gives(bar, [], ends=(-40.0, 0.0), material=BRASS, cut=(-30.0, -20.0))
    assert near.finished is None or "20 mm out" in near.finished.words
    assert gives(bar, [], ends=(0.0, 0.0), material=BRASS).finished is None


def test_the_plan_reckons_with_the_thin_end_and_the_hold() -> None:
    """Nylon of 5 mm for 18: the depth of roughing is what bends it by 0.05 mm, far less than the bar itself would."""
    asked = request(part({"dia": 5, "to": 18}, {"dia": 20, "to": 40}), material=material("nylon"))
    rough = next(op for op in plan(asked).operations if op.kind == "rough")
    assert "nylon (PA 6, PA 66), 5 mm at its thinnest" in rough.data.depth.because
    assert "gives way by 0.05 mm" in rough.data.depth.because and rough.depth < 0.6
    stout = plan(request(part({"dia": 18, "to": 40}), material=material("nylon"))).operations
    assert next(op for op in stout if op.kind == "rough").depth > 0.6


@given(st.lists(st.tuples(st.floats(0.05, 2.0), st.floats(3.0, 8.0), st.floats(0.0, 2.5)), min_size=2, max_size=40))
@settings(max_examples=60)
def test_stations_that_are_left_out_bend_nothing(drawn: list[tuple[float, float, float]]) -> None:
    """Any section, and the same with 20 points along every stretch of it: a part in a thousand at the most."""
    stations, at = [], 0.0
    for step, outside, hole in drawn:
        at += step
        stations.append(Station(at, outside, hole))
    assume(at - stations[0].at > 0.5)
    fine = [
        Station(*(p + k / 20 * (q - p) for p, q in ((a.at, b.at), (a.outside, b.outside), (a.hole, b.hole))))
        for a, b in pairwise(stations)
        for k in range(21)
    ]
    thin = _thinned(fine)
    assert (thin[0], thin[-1]) == (fine[0], fine[-1]) and len(thin) <= 2 * len(stations)
    truth, found = (give(beam(s, modulus=1e5), s[-1].at - s[0].at) for s in (stations, thin))
    assert found == pytest.approx(truth, rel=1e-2 if at < 5.0 else 5e-3)


def test_a_wave_of_ten_thousand_tapers_takes_few_stations() -> None:
    wave = [Station(90.0 * k / 10_000, 10.0 + 1.5 * math.sin(8.0 * math.pi * k / 10_000)) for k in range(10_001)]
    thin = _thinned(wave)
    assert len(thin) < 800
    truth, found = (give(beam(s, modulus=1e5), 90.0) for s in (wave, thin))
    assert found == pytest.approx(truth, rel=3e-4)
