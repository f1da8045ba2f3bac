"""Layers of the picture: every operation on the axis is drilling."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from tests.plan.test_report import sample
from toolpath.commands.picture import picture
from toolpath.cutting.drilling import OPERATIONS
from toolpath.geometry.elements import Line
from toolpath.motion import Cut, Operation, Rapid, State, ThreadCut


@pytest.mark.parametrize("kind", OPERATIONS)
def test_holes_are_drawn_in_the_layer_of_drilling(kind: str) -> None:
    setup = sample("drawer-knob").setups[0]
    state = State(operation=kind)
    there, deep = (1.0, 0.0), (-9.0, 0.0)
    hole = Operation(kind, (Cut(there, deep, state), Rapid(deep, there, state)))
    drawn = picture("", setup.plan, replace(setup.read_back, operations=(hole,)), setup.proof)
    assert drawn["DRILL"].strokes == ((Line(there, deep),),)
    assert drawn["RAPID"].strokes == ((Line(deep, there),),) and not drawn["ROUGH"].strokes


def test_passes_in_step_with_the_spindle_are_drawn_in_the_layer_of_threads() -> None:
    setup = sample("drawer-knob").setups[0]
    state = State(operation="thread")
    there, deep = (4.0, 4.0), (-9.0, 4.0)
    cut = Operation("thread", (ThreadCut(there, deep, 1.5, state), Rapid(deep, there, state)))
    drawn = picture("", setup.plan, replace(setup.read_back, operations=(cut,)), setup.proof)
    assert drawn["THREAD"].strokes == ((Line(there, deep),),)
    assert drawn["RAPID"].strokes == ((Line(deep, there),),)
