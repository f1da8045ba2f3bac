"""The optional measuring stop: after the finish cuts, its block left out by the switch for block skip."""

from __future__ import annotations

from functools import cache

import pytest

from posts.dialect import load_dialect
from posts.reader import read
from tests.plan.bench import faults, kinds, machine_text, made
from toolpath.commands.road import Made, noses, setting
from toolpath.motion import Move, Stop
from toolpath.proof.prove import prove


@cache
def job(dialect: str = "g95", measure: bool = True) -> Made:
    """A turned and bored ring; its longest cylinders are 30 mm between z -9 and -21.8, and the bore."""
    return made(
        machine=machine_text().replace('"g95"', f'"{dialect}"') + "units_by_g70_g71 = true\n",
        outside=[{"dia": 20, "to": 9}, {"dia": 30, "to": 26}],
        inside=[{"dia": 12, "to": 10}],
        bar={"dia": 32, "length": 120},
        parting={"off": False},
        finish={"measure": measure},
    )


def test_it_says_where_and_what_must_be_read_there_after_all_finish_cuts() -> None:
    assert faults(job()) == []
    (setup,) = job().setups
    names = kinds(setup)
    assert names.index("measure") > max(k for k, name in enumerate(names) if name == "finish")
    (op,) = [op for op in setup.plan.operations if op.kind == "measure"]
    does = getattr(op, "does", "")
    assert "the diameter between z -25.80 and -9.20 must be 30.000 mm" in does
    assert "the bore between z -9" in does or "the bore between z -10" in does
    assert "must be 12.000 mm (T8)" in does


@pytest.mark.parametrize("dialect", ["g95", "g99", "iso6983"])
def test_block_skip_leaves_out_the_stop_and_nothing_else(dialect: str) -> None:
    """Either way the text is the same proven program; with the switch on it does not wait."""
    (setup,) = job(dialect).setups
    blocks = [line for line in setup.text.text.splitlines() if line.startswith("/")]
    assert len(blocks) == 1 and blocks[0].endswith("M00")
    on = read(setup.text.text, load_dialect(dialect), block_skip=True, noses=noses(job(dialect).inputs.tools))
    off = setup.read_back
    waits = [[s for s in program.steps if isinstance(s, Stop)] for program in (on, off)]
    assert len(waits[0]) == len(waits[1]) - 1
    assert [s.skip for s in waits[1]].count(True) == 1 and not any(s.skip for s in waits[0])
    assert [(s.start, s.end) for s in on.steps if isinstance(s, Move)] == [
        (s.start, s.end) for s in off.steps if isinstance(s, Move)
    ]
    assert not prove(on, setting(job(dialect).inputs, setup.plan, setup.stock)).refused


def test_the_spindle_stands_at_the_stop_and_starts_again_after_it() -> None:
    steps = job().setups[0].read_back.steps
    (k,) = [k for k, s in enumerate(steps) if isinstance(s, Stop) and s.skip]
    assert steps[k].state.spindle is None
    assert next((s for s in steps[k:] if isinstance(s, Move)), None) is None or any(s.state.spindle for s in steps[k:])


def test_a_board_without_a_switch_always_waits() -> None:
    (setup,) = job("plain94").setups
    assert "/M00" not in setup.text.text and any("measure" in op.kind for op in setup.read_back.operations)
    assert faults(job("plain94")) == []


def test_it_is_not_there_unasked() -> None:
    assert "measure" not in kinds(job(measure=False).setups[0]) and "/M00" not in job(measure=False).setups[0].text.text


def test_a_part_without_a_cylinder_has_nothing_to_measure() -> None:
    cone = made(
        outside=[{"dia": 10, "to": 0.5}, {"taper_to": 20, "to": 12}], finish={"measure": True}, parting={"off": False}
    )
    assert "measure" not in kinds(cone.setups[0])
