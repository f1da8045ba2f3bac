"""The pump runs with the spindle where machine and material are for it, and never while a hand is near."""

from __future__ import annotations

from functools import cache

import pytest
from msgspec.structs import replace

from posts.dialect import load_dialect
from tests.plan.bench import faults, machine_text, made
from toolpath.commands.road import Made, suited
from toolpath.motion import ArcCut, Cut, Stop, ToolCall
from toolpath.plan.dry import dry_run

WET = machine_text() + "coolant = true\n"


@cache
def job(machine: str, material: str) -> Made:
    return made(machine=machine, material=material, outside=[{"dia": 12, "to": 9}, {"dia": 20, "to": 22}])


@pytest.mark.parametrize(
    ("machine", "material", "runs"),
    [(WET, "mild steel", True), (WET, "brass", False), (machine_text(), "mild steel", False)],
)
def test_steel_is_cut_wet_by_a_machine_with_a_pump_and_brass_is_not(machine: str, material: str, runs: bool) -> None:
    (setup,) = job(machine, material).setups
    assert faults(job(machine, material)) == []
    wet = {s.state.coolant for s in setup.read_back.steps if isinstance(s, Cut | ArcCut)}
    assert wet == {runs}
    assert ("M08" in setup.text.text) == runs


def test_it_stands_at_every_stop_and_call_and_at_the_end() -> None:
    steps = job(WET, "mild steel").setups[0].read_back.steps
    assert not any(s.state.coolant for s in steps if isinstance(s, Stop | ToolCall))
    assert not steps[-1].state.coolant


def test_a_dry_run_is_dry() -> None:
    plan = job(WET, "mild steel").setups[0].plan
    run = dry_run(plan.program, plan.request.machine, nose_z=plan.work.nose_z, tools=())
    assert not any(s.state.coolant for s in run.steps)


def test_a_dialect_without_the_words_leaves_it_to_the_hand() -> None:
    g95 = load_dialect("g95")
    mute = replace(g95, words={k: v for k, v in g95.words.items() if k != "coolant_on"})
    machine = job(WET, "mild steel").inputs.machine
    assert suited(machine, g95).coolant and not suited(machine, mute).coolant
    assert any("coolant = false: the dialect g95 has no words" in line for line in suited(machine, mute).defaults_used)
