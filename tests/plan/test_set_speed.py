"""Spindles whose speed a person sets: rounded down to a belt step, grouped, and waited for; proven from the text."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.plan.bench import faults, machine_text, made, toml
from tests.plan.workshop import Cut, SpindleChange, ToolCall, Wait, lathe
from toolpath.commands.road import Made
from toolpath.cutting.figures import Figure
from toolpath.motion import Step
from toolpath.plan import set_speed
from toolpath.plan.operations import ByHand, Operation, Planned
from toolpath.plan.set_speed import grouped

STEPS = (320.0, 800.0, 1100.0, 1500.0)
BELTS = replace(lathe(), drive="belts", belt_rpm=STEPS, constant_surface_speed=False)


@cache
def job(drive: str) -> Made:
    """A ring of 30 and 38 mm with a bore of 12: outside and bore are roughed and finished at different speeds."""
    text = machine_text().replace("constant_surface_speed = true", f'drive = "{drive}"')
    if drive == "belts":
        text += f"belt_rpm = {toml(STEPS)}\n"
    return made(
        machine=text,
        outside=[{"dia": 30, "to": 9}, {"dia": 38, "to": 22}],
        inside=[{"dia": 12, "to": 10}],
        bar={"dia": 40, "length": 120},
        parting={"off": False},
    )


def turned(done: Made) -> list[Operation]:
    return [op for op in done.setups[0].plan.operations if isinstance(op, Operation)]


def test_belt_speeds_are_the_step_below_what_a_free_spindle_would_turn() -> None:
    free = {(op.kind, op.tool.number): op.data.rpm.value for op in turned(job("hand"))}
    for op in turned(job("belts")):
        wanted = free[(op.kind, op.tool.number)]
        assert op.data.rpm.value == max(s for s in STEPS if s <= wanted)


def test_operations_that_share_a_step_stand_together() -> None:
    """In the order of the plan, the bore finished before the outside, the belt would go 1100, 800, 1100, 1500, 1100."""
    as_planned = [(op.kind, op.tool.number) for op in turned(job("hand"))]
    together = [(op.kind, op.tool.number) for op in turned(job("belts"))]
    speeds = [op.data.rpm.value for op in turned(job("belts"))]
    assert as_planned.index(("finish", 8)) < as_planned.index(("finish", 2))
    assert together.index(("finish", 8)) > together.index(("finish", 2))
    assert [a for a, b in pairwise([*speeds, 0.0]) if a != b] == [1100.0, 800.0, 1100.0, 1500.0]


@pytest.mark.parametrize("drive", ["belts", "hand"])
def test_the_program_waits_for_every_other_speed_and_says_which(drive: str) -> None:
    """From the text: before the spindle takes another speed there is a stop, the spindle off, that names it."""
    done = job(drive)
    assert faults(done) == []
    before, text, waited = 0.0, "", 0
    for s in done.setups[0].read_back.steps:
        if isinstance(s, Wait):
            assert s.state.spindle is None
            text += s.text
        if isinstance(s, SpindleChange) and s.state.spindle:
            if s.state.spindle.rpm != before:
                named = (
                    f"step of {s.state.spindle.rpm:.0f} rpm"
                    if drive == "belts"
                    else f"to {s.state.spindle.rpm:.0f} rpm by"
                )
                assert named in text
                waited += 1
            before, text = s.state.spindle.rpm, ""
    assert waited >= 4


def test_a_speed_is_set_with_the_tool_at_the_change_point() -> None:
    """No hand goes to the belt with the tool beside the work."""
    setup = job("belts").setups[0]
    stops = [s for s in setup.read_back.steps if isinstance(s, Wait) and "belt" in s.text]
    assert stops and all(s.at == pytest.approx(setup.plan.change_point) for s in stops)


def test_what_the_hand_does_says_the_belt_too() -> None:
    does = [op.does for op in job("belts").setups[0].plan.operations if isinstance(op, ByHand)]
    assert does and all("set the belt to its step of" in d for d in does)


def test_after_work_by_hand_the_belt_is_set_anew() -> None:
    """A drill may have asked for another step."""
    read_back = job("belts").setups[0].read_back
    kinds = [op.kind for op in read_back.operations]
    after = read_back.operations[max(k for k, kind in enumerate(kinds) if "by hand" in kind) + 1]
    assert any(isinstance(s, Wait) and "belt" in s.text for s in after.steps)


def test_a_drive_the_control_sets_is_neither_grouped_nor_waited_for() -> None:
    some = list(job("hand").setups[0].plan.operations)
    assert grouped(some, lathe()) == some
    steps: tuple[Step, ...] = job("hand").setups[0].read_back.steps
    assert any(isinstance(s, Cut) for s in steps) and not set_speed.by_hand(lathe())


# ------------------------------------------------------------------------------------------- any order of operations


@st.composite
def plans(draw: st.DrawFn) -> list[Planned]:
    """Operations of the real job, drawn again and again with other speeds, among them stops for the hand."""
    kinds = turned(job("hand"))
    out: list[Planned] = []
    for _ in range(draw(st.integers(0, 9))):
        one = draw(st.sampled_from([*kinds, None]))
        if one is None:
            out.append(ByHand("drill", "drill"))
            continue
        data = replace(one.data, rpm=Figure(draw(st.sampled_from(STEPS)), "drawn"))
        out.append(replace(one, data=data, because=str(len(out))))
    return out


@settings(max_examples=60, deadline=None)
@given(plans())
def test_grouping_loses_nothing_and_sets_the_belt_no_more_often(planned: list[Planned]) -> None:
    found = grouped(planned, BELTS)
    assert sorted(map(id, found)) == sorted(map(id, planned))

    def settings_of(ops: list[Planned]) -> int:
        speeds = [op.data.rpm.value if isinstance(op, Operation) else None for op in ops]
        return sum(a != b for a, b in pairwise(speeds) if a is not None and b is not None)

    assert settings_of(found) <= settings_of(planned)
    place = {id(op): k for k, op in enumerate(found)}
    for k, earlier in enumerate(planned):
        for later in planned[k + 1 :]:
            if isinstance(earlier, ByHand) or isinstance(later, ByHand):
                assert place[id(earlier)] < place[id(later)], "a stop for the hand keeps its place"
            elif earlier.tool.works == later.tool.works or "rough" in (earlier.kind, later.kind):
                assert place[id(earlier)] < place[id(later)], (
                    "one side is cut in its own order, roughing before finishing"
                )


def test_one_call_a_tool_still_follows_every_stop_that_fits_it() -> None:
    steps = job("belts").setups[0].read_back.steps
    for a, b in pairwise(steps):
        if isinstance(b, ToolCall):
            assert isinstance(a, Wait) and f"T{b.state.tool}" in a.text
