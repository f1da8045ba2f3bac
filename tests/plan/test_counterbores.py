"""Counterbores: a flat floor and its wall by one tool of just that size, after the drill that lets it start."""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from tests.plan.bench import faults, kinds, left, made, rack_text, standing
from tests.plan.test_holes import asked, hollow
from toolpath.commands.road import Made
from toolpath.errors import CannotMake
from toolpath.plan.counterbores import FLOOR_STOCK

RECESS: list[dict[str, Any]] = [
    {"hole": 6, "deep": 4, "made": "counterbored"},
    {"sharp": True, "on": "edge"},
    {"hole": 3, "deep": 12},
]
BLIND: list[dict[str, Any]] = [{"hole": 6, "deep": 8, "made": "counterbored"}]
COUNTERBORE = '\n[[tool]]\nkind = "counterbore"\ndia = 10\n'


def cut(inside: list[dict[str, Any]], **changes: Any) -> Made:
    job = {"outside": [{"dia": 14, "to": 20}], "bar": {"dia": 16, "length": 70}, "inside": inside}
    return made(**{**job, "holdings": [{"in": "collet"}], **changes})


@pytest.mark.parametrize("inside", [RECESS, BLIND])
def test_it_is_proven_and_leaves_nothing(inside: list[dict[str, Any]]) -> None:
    done = cut(inside)
    (one,) = done.setups
    assert faults(done) == [] and left(one) == 0.0
    on_axis = [k for k in kinds(one) if k in ("centre", "drill", "flat bottom", "countersink")]
    assert on_axis == ["centre", "drill", "flat bottom", "countersink"]
    deep = inside[0]["deep"]
    piece = standing(one)
    assert piece.intersection(shapely.box(-deep, 0.0, -0.3, 2.999)).area < 1e-6
    assert piece.intersection(shapely.box(-deep - 0.01, 1.6, -deep, 2.9)).area == pytest.approx(0.013, rel=1e-3)


def test_the_thinner_hole_comes_first_and_no_other_drill() -> None:
    found = asked(hollow(*RECESS))
    assert [(s.operation, s.dia) for s in found][1:] == [("drill", 3.0), ("flat bottom", 6.0)]
    assert found[-1].tip == -4.0 and found[-1].because == "counterbores 6 mm to a flat floor 4.00 mm deep"


def test_into_solid_metal_the_thickest_drill_that_leaves_wall_and_floor_goes_first() -> None:
    drill, flat = asked(hollow(*BLIND))[-2:]
    assert (drill.operation, flat.operation) == ("drill", "flat bottom")
    assert drill.tip == pytest.approx(-8.0 + FLOOR_STOCK) and flat.tip == -8.0
    assert 6.0 - 2.0 * FLOOR_STOCK - 0.1 <= drill.dia <= 6.0 - 2.0 * FLOOR_STOCK


def test_a_counterbore_of_the_rack_makes_its_own_size() -> None:
    recess = [{"hole": 10, "deep": 3, "made": "counterbored"}, {"sharp": True, "on": "edge"}, {"hole": 5, "deep": 14}]
    with pytest.raises(CannotMake, match=r"10 mm is to be counterbored; .* in the rack: 6 mm"):
        cut(recess)
    done = cut(recess, rack=rack_text() + COUNTERBORE)
    assert faults(done) == [] and "counterbore 10 mm" in str(
        [getattr(op, "using", "") for op in done.setups[0].plan.operations]
    )


def test_one_that_does_not_go_so_deep_is_refused_with_both_lengths() -> None:
    with pytest.raises(CannotMake, match=r"end mill 6 mm, flat end has 13 mm of flutes and can not go 15 mm deep"):
        cut([{"hole": 6, "deep": 15, "made": "counterbored"}])


def test_a_bar_still_bores_what_is_to_be_bored() -> None:
    found = asked(
        hollow({"hole": 12, "deep": 8, "floor": "flat", "made": "bored"}, *RECESS[1:2], {"hole": 3, "deep": 12})
    )
    assert "counterbores" not in " ".join(s.because for s in found)
