"""Every tool's first section is a label to start again at: from there the text alone says all that it needs."""

from __future__ import annotations

from functools import cache

import pytest

from posts.dialect import built_in, load_dialect
from posts.headings import kind_of
from posts.reader import read
from tests.plan.bench import machine_text, made
from toolpath.commands.road import Made, noses
from toolpath.motion import ArcCut, Cut, Operation, Program, SpindleChange, ToolCall

DRIVES = {
    "the control": "",
    "belts": 'drive = "belts"\nbelt_rpm = [320, 800, 1500]\n',
}


@cache
def job(dialect: str, drive: str) -> Made:
    text = machine_text().replace('"g95"', f'"{dialect}"')
    if drive != "the control":
        text = text.replace("constant_surface_speed = true", "")
    return made(
        machine=text + DRIVES[drive] + "units_by_g70_g71 = true\n",
        outside=[{"dia": 12, "to": 9}, {"taper_to": 20, "to": 18}, {"radius": 1, "on": "foot"}, {"dia": 22, "to": 24}],
        inside=[{"dia": 7, "to": 8}],
    )


def cuts(operation: Operation) -> list[tuple[object, ...]]:
    """Everything of its feed moves but the line they stand in."""
    return [
        (s.start, s.end, s.state.tool, s.state.offset, s.state.spindle, s.state.feed)
        for s in operation.steps
        if isinstance(s, Cut | ArcCut)
    ]


def from_label(done: Made, section: int) -> Program:
    """The text as a control runs it from a section's label: without what stands before, but for the opening lines."""
    setup = done.setups[0]
    lines = setup.text.text.splitlines()
    first = setup.text.lines[section][0]
    opening = [line for line in lines[: setup.text.lines[0][0] - 1] if line.startswith(("(starts", "(STARTS", "%"))]
    return read(
        "\n".join([*opening, *lines[first - 1 :]]), load_dialect(done.dialect.name), noses=noses(done.inputs.tools)
    )


@pytest.mark.parametrize("dialect", built_in())
@pytest.mark.parametrize("drive", DRIVES)
def test_from_each_tools_label_on_the_text_is_the_same_program(dialect: str, drive: str) -> None:
    done = job(dialect, drive)
    assert not done.refused
    whole = done.setups[0].read_back.operations
    labels = [k for k, op in enumerate(whole) if any(isinstance(s, ToolCall) for s in op.steps)]
    assert len(labels) >= 3
    for k in labels:
        again = from_label(done, k).operations
        assert [op.kind for op in again] == [op.kind for op in whole[k:]]
        assert [cuts(op) for op in again] == [cuts(op) for op in whole[k:]]
        started = next(s for s in again[0].steps if isinstance(s, SpindleChange) and s.state.spindle)
        assert started.state.spindle == next(s.state.spindle for s in whole[k].steps if isinstance(s, Cut))


@pytest.mark.parametrize("dialect", built_in())
def test_a_label_is_a_heading_and_a_block_number_where_the_control_has_them(dialect: str) -> None:
    done = job(dialect, "the control")
    lines = done.setups[0].text.text.splitlines()
    for first, _ in done.setups[0].text.lines:
        assert kind_of(lines[first - 1].strip("(); "))
        block = next(line for line in lines[first - 1 :] if not line.startswith(("(", ";")))
        assert block.startswith("N") == (load_dialect(dialect).lines.numbered != "none")
