"""Thin walls: the order is changed for them, with the reason, and every moment of the cutting is judged."""

from __future__ import annotations

from typing import Any

import pytest

from tests.plan.bench import faults, made
from toolpath.commands.road import Made
from toolpath.plan.operations import ByHand
from toolpath.plan.thin import THIN
from toolpath.shop.materials import material


def bush(bore: float, **changes: Any) -> Made:
    outside = [{"dia": 16, "to": 12}, {"dia": 20, "to": 16}]
    job = {"bar": {"dia": 22, "length": 80}, "outside": outside, "inside": [{"dia": bore, "to": 16}]}
    return made(**{**job, "holdings": [{"in": "collet"}], **changes})


def order(done: Made) -> list[tuple[str, str]]:
    """(kind, where) of what turns, in order."""
    ops = done.setups[0].plan.operations
    return [(op.kind, op.tool.works) for op in ops if not isinstance(op, ByHand) and op.kind in ("rough", "finish")]


def test_a_stout_bush_is_bored_between_the_outside_s_passes() -> None:
    """The usual order (common practice): rough outside, bore, finish outside."""
    done = bush(12.0)
    assert faults(done) == []
    assert order(done) == [("rough", "outside"), ("rough", "inside"), ("finish", "inside"), ("finish", "outside")]
    assert not any("left to the end" in op.because for op in done.setups[0].plan.operations)


def test_a_thin_one_is_bored_first_and_says_why() -> None:
    done = bush(14.4)
    assert faults(done) == []
    assert order(done) == [("rough", "inside"), ("finish", "inside"), ("rough", "outside"), ("finish", "outside")]
    (told,) = [op.because for op in done.setups[0].plan.operations if "left to the end" in op.because]
    assert "after the bore, not before it as usual: a wall of 0.80 mm stays" in told
    assert "less than 2 times the least of 0.5 mm in free-cutting brass" in told


@pytest.mark.parametrize(("name", "bore", "first"), [("brass", 14.0, False), ("brass", 14.01, True)])
def test_thin_is_twice_the_least_wall_of_the_material(name: str, bore: float, first: bool) -> None:
    assert THIN * material(name).least_wall == pytest.approx(1.0)
    assert (order(bush(bore, material=name))[0] == ("rough", "inside")) is first


def test_what_only_drills_make_changes_nothing() -> None:
    job = {
        "outside": [{"dia": 8, "to": 14}],
        "inside": [{"hole": 6.5, "through": True}],
        "bar": {"dia": 10, "length": 60},
    }
    done = made(**job, holdings=[{"in": "collet"}])
    assert faults(done) == [] and order(done) == [("rough", "outside"), ("finish", "outside")]


def test_the_wall_of_every_moment_is_kept_and_only_gets_thinner_at_the_end() -> None:
    """The proof measures what stands after each operation: bored first, the wall is thick until the outside is cut."""
    walls = [w.thick for w in bush(14.4).setups[0].proof.walls[:-1] if w is not None]  # then it is off the bar
    assert walls == sorted(walls, reverse=True)
    assert walls[0] > 2.0 and walls[-1] == pytest.approx(0.8, abs=2e-3)
