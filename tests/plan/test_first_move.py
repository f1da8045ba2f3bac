"""The first move of every program: to a place a rule can check, in every dialect, however the control misreads it."""

from __future__ import annotations

import math
import re
from functools import cache

import pytest
from msgspec.structs import replace

from posts.dialect import Dialect, built_in, load_dialect
from posts.reader import read
from tests.plan.bench import machine_text, made
from tests.plan.workshop import lathe, part, request
from toolpath.commands.road import Made, noses, setting
from toolpath.motion import End, Operation, Program, Rapid, State, Step, Stop
from toolpath.plan.first_move import check_place
from toolpath.plan.plan import change_point
from toolpath.proof.prove import prove

CONTACT = {"gouge", "rapid-contact", "hold-contact", "holder-contact", "bent-rapid"}
DIALECTS = [(name, units) for name in built_in() for units in ("mm", "inch")]
DIFFERENT = 8.0
"""mm: what nobody misses with a rule (common practice)."""


@cache
def job(dialect: str, units: str, tool_change: str = "hand") -> Made:
    """A stepped pin. The machine's own words for units are stated, as `iso6983` asks for."""
    text = (
        machine_text()
        .replace('"g95"', f'"{dialect}"')
        .replace('tool_change = "hand"', f'tool_change = "{tool_change}"')
    )
    keys = f'units = "{units}"\nunits_by_g70_g71 = true\n' + ("resolution = 0.00254\n" if units == "inch" else "")
    return made(machine=text + keys, outside=[{"dia": 12, "to": 9}, {"dia": 20, "to": 22}])


def first_moves(program: Program) -> tuple[list[Step], Stop]:
    """The steps up to the stop that is not where the program starts, and that stop."""
    steps = program.steps
    home = program.home
    k = next(k for k, s in enumerate(steps) if isinstance(s, Stop) and math.dist(s.at, home or (0.0, 0.0)) > 0.01)
    return list(steps[: k + 1]), steps[k]  # type: ignore[return-value]


def stated(stop: Stop) -> tuple[float, float]:
    """(off the face, from the axis) in mm, as its text says them."""
    across, off = re.findall(r"(\d+) mm", stop.text, re.IGNORECASE)
    return float(off), float(across)


@pytest.mark.parametrize(("dialect", "units"), DIALECTS)
def test_the_tool_goes_to_the_stated_place_before_the_spindle_ever_turns(dialect: str, units: str) -> None:
    (setup,) = job(dialect, units).setups
    assert not setup.proof.refused
    steps, stop = first_moves(setup.read_back)
    assert all(s.state.spindle is None for s in steps) and not stop.optional
    assert [type(s) for s in steps if isinstance(s, Rapid)] == [Rapid, Rapid], "along Z, then across"
    assert not any("Cut" in type(s).__name__ for s in steps)
    off, across = stated(stop)
    assert stop.at == pytest.approx((off + 1.0, across), abs=2e-3), "1 mm is to be faced off the bar's end"
    assert across >= 25.0 and off >= 20.0


def misread(dialect: Dialect) -> dict[str, Dialect]:
    """The control as it is when its units, its X, or both are not what the program takes them for."""
    words = dict(dialect.words)
    swapped = {**words, "inch": words["millimetre"], "millimetre": words["inch"]}
    out = {"units": replace(dialect, words=swapped)}
    if "diameter" in words:
        across = {"diameter": words["radius"], "radius": words["diameter"]}
        out["X"] = replace(dialect, words={**words, **across})
        out["both"] = replace(dialect, words={**swapped, **across})
    else:
        other = "radius" if dialect.fixed_x == "diameter" else "diameter"
        out["X"] = replace(dialect, fixed_x=other)
        out["both"] = replace(out["units"], fixed_x=other)
    return out


@pytest.mark.parametrize(("dialect", "units"), DIALECTS)
@pytest.mark.parametrize("what", ["units", "X", "both"])
def test_misread_it_shows_and_nothing_is_hit(dialect: str, units: str, what: str) -> None:
    """The proof's own sweep judges the way there, from the place where the tool was parked by hand."""
    done = job(dialect, units)
    (setup,) = done.setups
    wrong = misread(load_dialect(dialect))[what]
    ends_there = [*setup.text.text.splitlines()[: first_moves(setup.read_back)[1].line], wrong.words["end"]]
    if ends_there[0] == "%":
        ends_there.append("%")
    steps, stop = first_moves(read("\n".join(ends_there), wrong, noses=noses(done.inputs.tools)))
    off, across = stated(stop)
    seen = (stop.at[0] - 1.0, stop.at[1])
    assert max(abs(seen[0] - off), abs(seen[1] - across)) > DIFFERENT
    ends = End(stop.at, State())
    program = Program("", (), (Operation("", (*steps, ends)),), home=setup.read_back.home)
    found = prove(program, setting(done.inputs, setup.plan, setup.stock)).findings
    assert not [f.text for f in found if f.code in CONTACT]


def test_it_is_made_once_also_by_a_turret_and_leads_back_to_where_tools_change() -> None:
    (setup,) = job("g95", "mm", "turret").setups
    home = setup.read_back.home
    stops = [s for s in setup.read_back.steps if isinstance(s, Stop) and s.at != home]
    assert len(stops) == 1
    steps = setup.read_back.steps
    back = [s for s in steps[steps.index(stops[0]) :] if isinstance(s, Rapid)][:2]
    assert back[0].start == stops[0].at and back[-1].end == home


@pytest.mark.parametrize("dia", [6.0, 25.0, 80.0, 150.0])
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_the_place_lies_outside_the_work_and_nearer_than_the_change_point(dia: float, units: str) -> None:
    asked = request(part({"dia": 5, "to": 9}), dia=dia, machine=replace(lathe(), units=units))
    (far, high) = home = change_point(asked)
    (z, x) = check_place(asked, home)
    assert x >= dia / 2.0 + 10.0 and x < high
    assert z >= asked.stock.front + 20.0
    if units == "inch":
        assert z / 25.4 >= asked.stock.front + asked.machine.clearance - 1e-9
    else:
        assert z < far


def test_the_stop_says_what_to_lay_the_rule_to_as_words() -> None:
    text = job("g95", "mm").setups[0].text.text
    assert "the tip must stand 25 mm from the axis and 20 mm off the bar's end" in " ".join(
        line.strip("()") for line in text.splitlines()
    )
