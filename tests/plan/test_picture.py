"""Layers of the picture: every operation on the axis is drilling."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from tests.plan.test_report import sample
from toolpath.commands.picture import picture
from toolpath.commands.results import results
from toolpath.cutting.drilling import OPERATIONS
from toolpath.geometry.elements import Line
from toolpath.motion import Cut, Operation, Rapid, State, ThreadCut
from toolpath.plan.operations import ByHand


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


def test_what_a_hand_takes_off_is_drawn_in_the_layer_of_its_work() -> None:
    """The stub that is broken off belongs to the parting; centre, drills and countersink to the drilling."""
    setup = sample("plumb-bob-cap").setups[0]
    drawn = picture("", setup.plan, replace(setup.read_back, operations=()), setup.proof)
    by_hand = [op for op in setup.plan.operations if isinstance(op, ByHand)]
    (stub,) = [op.removes for op in by_hand if op.kind == "break off"]
    assert drawn["GROOVE"].strokes == stub != ()
    drilled = [outline for op in by_hand if op.kind != "break off" for outline in op.removes]
    assert list(drawn["DRILL"].strokes) == drilled and len(drilled) > 2


def test_a_picture_says_which_set_up_it_shows() -> None:
    files = results(sample("plumb-bob-cap"))
    for number in (1, 2):
        assert f"Plumb-bob cap, set-up {number} of 2" in files[f"plumb-bob-cap-{number}.svg"].decode()
    assert ", set-up" not in results(sample("drawer-knob"))["drawer-knob-1.svg"].decode()
