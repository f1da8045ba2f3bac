"""How the work of a plan gives way: its real section, against formulas of handbooks and against the plain bar."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from tests.plan.workshop import part, request
from toolpath.geometry.elements import Line
from toolpath.plan.bending import gives
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
