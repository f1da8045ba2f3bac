"""Holes bored down to tapered and rounded floors, down the whole road: drilled inside the floor, bored as near to the
axis as the bar's back allows, and the rest told."""

from __future__ import annotations

import math
import random
from functools import cache
from typing import Any

import pytest
import shapely

from tests.plan.bench import FORGIVEN, area, faults, kinds, left, made, rack_text, rack_without, standing
from tests.plan.test_holes import asked, hollow
from toolpath.commands.road import Made
from toolpath.errors import BadInput, CannotMake
from toolpath.geometry.elements import points_of
from toolpath.passes.drill import taken
from toolpath.plan.floors import WHY
from toolpath.plan.operations import ByHand, Operation

CHORDS = 6e-5
"""mm that the proof's own broken lines may be off."""

FLOORS: dict[str, list[dict[str, Any]]] = {
    "ball seat": [{"hole": 16, "deep": 6, "floor": "round", "made": "bored"}],
    "knot": [{"hole": 8, "deep": 8, "floor": "round", "made": "bored"}],
    "drill's own cone": [{"hole": 12, "deep": 10, "floor": "drilled", "made": "bored"}],
    "shallow cone": [{"dia": 16, "to": 6}, {"taper_to": 0, "to": 10}],
    "steep cone": [{"from_dia": 14, "taper_to": 0, "to": 12}],
    "dish behind a step": [{"dia": 16, "to": 4}, {"dia": 14, "to": 8}, {"hollow_to": 0, "to": 11, "radius": 12}],
}


def cut(inside: list[dict[str, Any]], **changes: Any) -> Made:
    return made(**{"outside": [{"dia": 22, "to": 24}], "inside": inside, "holdings": [{"in": "collet"}], **changes})


@cache
def job(name: str) -> Made:
    return cut(FLOORS[name])


def bars(done: Made) -> list[Operation]:
    ops = done.setups[0].plan.operations
    return [op for op in ops if not isinstance(op, ByHand) and op.tool.works == "inside"]


@pytest.mark.parametrize("name", FLOORS)
def test_every_floor_is_bored_and_proven(name: str) -> None:
    """No gouge, nothing that stops; what stands over the floor is as thick by the proof's sweep as the plan says."""
    done = job(name)
    (one,) = done.setups
    assert faults(done) == []
    assert one.proof.uncut_mm == pytest.approx(left(one), abs=0.02)
    assert [op.kind for op in bars(done)][-1] == "finish"
    assert area(one.plan.request.part.outline).difference(standing(one).buffer(0.002)).area < 1e-3


@pytest.mark.parametrize("name", ["ball seat", "knot", "shallow cone", "steep cone", "dish behind a step"])
def test_what_stays_in_the_middle_is_told_with_its_reason(name: str) -> None:
    (one,) = job(name).setups
    (told,) = [r for r in one.plan.left if r.why == WHY]
    assert told.thick == left(one)
    over = standing(one).difference(area(one.plan.request.part.outline).buffer(0.05))
    # Nothing else stands over the hollow: all of it lies in the place that is told.
    inside = over.intersection(shapely.box(-23.0, 0.0, -0.3, 8.5))
    assert inside.difference(area(told.outline).buffer(0.3)).area < 1e-3


@pytest.mark.parametrize("name", FLOORS)
def test_no_drill_goes_through_the_floor(name: str) -> None:
    """Against shapely: what each drill takes lies within the hollow, its point's length counted."""
    part = hollow(*FLOORS[name])
    wanted = shapely.Polygon([(1.0, 0.0), (1.0, part.inside[0].a[1]), *points_of(part.inside, 1e-4)])
    found = asked(part)
    assert found[-1].operation == "drill" and "its point stays inside the floor" in found[-1].because
    for step in found:
        takes = area(taken(step.tool, mouth=0.0, bottom=step.tip))
        assert takes.difference(wanted.buffer(1e-3)).area < 1e-6, step.tool.name


def test_the_points_length_counts() -> None:
    """A drill of 118 degrees on such a floor: its point is where that of the floor is, d / 2 / tan 59 below the rim."""
    found = asked(hollow(*FLOORS["drill's own cone"]))
    assert found[-1].tip == pytest.approx(-10.0 - 6.0 / math.tan(math.radians(59.0)))


def test_a_drill_ground_to_the_floors_angle_leaves_nothing_in_the_middle() -> None:
    floor = [{"hole": 12, "deep": 8, "floor": "drilled", "point_angle": 90, "made": "bored"}]
    plain = cut(floor)
    ground = cut(floor, rack=rack_text() + '\n[[drills]]\ndrills = ["11"]\npoint = 90\n')
    assert faults(plain) == faults(ground) == []
    assert left(plain.setups[0]) > 0.3 > 0.05 > left(ground.setups[0])
    assert WHY not in {r.why for r in ground.setups[0].plan.left}


def test_the_thinner_bar_gets_nearer_to_the_axis_and_says_by_how_much() -> None:
    bar = bars(job("shallow cone"))[-1]
    assert bar.tool.number == 8 and "T7 stops" in bar.because and "mm higher" in bar.because
    thick = cut(FLOORS["shallow cone"], rack=rack_without(8))
    assert faults(thick) == []
    assert left(thick.setups[0]) > left(job("shallow cone").setups[0])


def test_no_bar_moves_across_where_only_the_drills_point_was() -> None:
    """Rapids that change the radius are made in the drilled diameter or in front of the work, never on the floor."""
    done = job("ball seat")
    deepest = 0.0
    for op in bars(done):
        for leg in op.legs:
            (z0, x0), (z1, x1) = leg.path.a, leg.path.b
            deepest = min(deepest, z1)
            assert leg.pace != "rapid" or x0 == x1 or min(z0, z1) > -10.2  # 12.7 mm drill, tip at -14: up to -10.19
    assert deepest < -11.5


def test_a_bar_that_does_not_get_down_to_the_floor_is_refused_with_both_figures() -> None:
    with pytest.raises(CannotMake) as told:
        cut([{"dia": 12, "to": 6}, {"hole": 4, "deep": 9, "floor": "round", "made": "bored"}])
    assert "no bar gets down to the floor that begins 9.00 mm deep at diameter 4.00" in str(told.value)
    assert "4.4 mm behind its point, meets the other side of the hole" in str(told.value)


def drawn(number: int) -> dict[str, Any]:
    """A job with a floor, by number."""
    rng = random.Random(number)
    outer, length, at = rng.choice([18.0, 22.0, 24.0]), rng.choice([14.0, 20.0]), 0.0
    dia = rng.choice([d for d in (8.0, 10.0, 12.0, 14.0, 16.0, 18.0) if d <= outer - 4.0])
    rows: list[dict[str, Any]] = []
    if rng.random() < 0.4:
        at = rng.uniform(2.0, 5.0)
        rows.append({"dia": dia, "to": at})
        dia -= rng.choice([0.5, 1.0, 2.0])
    kind = rng.choice(["round", "drilled", "taper_to", "hollow_to", "bulge_to"])
    if kind in ("round", "drilled"):
        rows.append({"hole": dia, "deep": at + rng.uniform(1.0, 4.0), "floor": kind, "made": "bored"})
    else:
        at += rng.uniform(1.0, 4.0)
        deep = rng.uniform(0.15, 0.45) * dia
        radius = {} if kind == "taper_to" else {"radius": (dia * dia / 4.0 + deep * deep) / (2.0 * deep) + 0.01}
        rows += [{"dia": dia, "to": at}, {kind: 0, "to": at + deep, **radius}]
    material = rng.choice(["brass", "mild steel", "aluminium", "acetal"])
    bar = {"dia": outer + 1.0, "length": 110}
    outside = [{"dia": outer, "to": length}]
    return {"outside": outside, "inside": rows, "bar": bar, "material": material, "thin": "warn"}


@pytest.mark.parametrize("first", [0, 4, 8])
def test_any_floor_is_proven_or_refused(first: int) -> None:
    for number in range(first, first + 4):
        try:
            done = cut(**drawn(number))
        except (BadInput, CannotMake) as refused:
            assert len(str(refused)) > 40
            continue
        assert faults(done, gouge=FORGIVEN + CHORDS, near=0.03) == [], f"job {number}"
        assert "rough" in kinds(done.setups[0])
