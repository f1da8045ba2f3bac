"""Stops at which a person drills from the tailstock: what goes, what is found when the stop is no safe one."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
import shapely

from toolpath.geometry.elements import polyline
from toolpath.passes.drill import taken
from toolpath.proof.by_hand import TAILSTOCK_ROOM
from toolpath.proof.prove import Proof
from toolpath.proof.setting import Hand
from toolpath.shop.machine import load_machine

from tests.passes.hole_tools import hole_tool  # isort: skip
from tests.proof.bench import HERE, box, codes, machine, rack, setting  # isort: skip
from tests.proof.drilled import BOTTOM, HOLE, HOLLOW_MM3, WRITTEN, drilled  # isort: skip

TEXT = """(bushing drilled by hand)
(starts at X80. Z60. mm, X a diameter)
G21 G18 G90 G7 G40 G61 G80 G91.1
(--- 1 rough T1)
T1 M06
G43 H1
G97 S1200 M03
G04 P3.
G95 F0.1
G00 Z1.
G00 X22.
G01 X21.
G00 X80.
G00 Z60.
M05
(--- 2 drill by hand)
M00 (drill 6 mm, 20 deep, from the tailstock)
(--- 3 end)
G00 Z70.
M30
"""
DOES = "drill 6 mm, 20 deep"


def by_hand(text: str = TEXT, *hands: Hand, **changes: Any) -> Proof:
    return drilled(text, tools=rack(), by_hand=hands or (Hand(1, DOES, (HOLE,)),), **changes)


def line_of(block: str, text: str = TEXT) -> int:
    return text[: text.index(block)].count("\n") + 1


def test_the_hole_is_taken_off_at_the_stop() -> None:
    proof = by_hand()
    assert not proof.findings
    assert proof.removed_mm3 == pytest.approx(HOLLOW_MM3, rel=1e-9)
    (done,) = proof.by_hand
    assert (done.after_line, done.does) == (line_of("M00"), DOES)
    assert sorted(set(done.removes[0])) == sorted({e.a for e in HOLE})
    first, second, _ = proof.states
    assert len(second[0]) > len(first[0])  # the hole stands after operation 2, not before


def test_by_hand_or_by_program_the_same_hole_stands() -> None:
    """What the planner says a drill takes, and what the proof sees it take, are one."""
    said = by_hand(TEXT, Hand(1, DOES, (taken(hole_tool(7), mouth=0.0, bottom=WRITTEN),)))
    (one,), (other,) = said.result, drilled().result
    assert shapely.area(shapely.symmetric_difference(shapely.Polygon(one), shapely.Polygon(other))) <= 1e-3
    assert said.removed_mm3 == pytest.approx(drilled().removed_mm3, rel=1e-6)


def test_without_it_the_hole_is_missing() -> None:
    assert "uncut" in codes(drilled(TEXT, tools=rack()))


def test_the_stop_takes_the_time_that_the_machine_file_states() -> None:
    slow = msgspec.structs.replace(machine(), hand_stop_seconds=300.0)
    plain = drilled(TEXT, tools=rack()).seconds
    assert by_hand().seconds - plain == pytest.approx(120.0)
    assert by_hand(machine=slow).operations[1].seconds == 300.0
    assert any("hand_stop_seconds = 120" in line for line in load_machine(HERE / "bench.toml").defaults_used)


def test_drilled_too_deep_by_hand_is_a_gouge() -> None:
    deep = polyline([(BOTTOM - 1.0, 0.0), (0.0, 0.0), (0.0, 3.0), (-21.0, 3.0)], close=True)
    proof = by_hand(TEXT, Hand(1, DOES, (deep,)))
    (gouge,) = [f for f in proof.findings if f.code == "gouge"]
    # the floor's cone and the bottom corner lie deeper by 1 mm: its tip is the farthest, 1 mm times sin 59 deg off
    assert gouge.line == line_of("M00") and gouge.tool == 0 and "by hand" in gouge.text
    assert gouge.size_mm == pytest.approx(1.0, abs=0.15) and proof.refused


def test_a_hole_through_to_the_bar_lets_the_rest_fall() -> None:
    """What is cut off by hand falls like a parted piece, and nothing may be done by hand after that."""
    ring = box(-31.0, -30.0, 10.0)
    rest = Hand(1, "saw off", (ring,))
    proof = by_hand(TEXT, rest, Hand(1, DOES, (HOLE,)), part=(box(-60.0, -50.0, 10.0), box(-29.0, 0.0, 10.0)))
    assert [p.after_line for p in proof.parted] == [line_of("M00")]
    assert "after-parting" in codes(proof)
    assert "gouge" not in codes(proof)  # what lies on the bed is not spoilt a second time


@pytest.mark.parametrize(
    ("before", "after", "code"),
    [
        ("M05\n(--- 2", "(--- 2", "spindle-on"),
        ("M05\n(--- 2 drill by hand)\nM00", "(--- 2 drill by hand)\nM05 M00", "stop-while-running"),
        ("M00 (drill", "M01 (drill", "no-hand-stop"),
        ("M00 (drill", "(drill", "no-hand-stop"),
        ("G00 X80.\nG00 Z60.\nM05", "G00 X40.\nG00 Z20.\nM05", "not-parked"),
    ],
)
def test_stops_that_are_not_safe(before: str, after: str, code: str) -> None:
    assert before in TEXT
    proof = by_hand(TEXT.replace(before, after))
    assert code in {f.code for f in proof.findings if f.rank == "stop"}


def test_no_operation_of_that_number() -> None:
    assert "no-hand-stop" in codes(by_hand(TEXT, Hand(9, DOES, (HOLE,))))
    assert not by_hand(TEXT, Hand(9, DOES, (HOLE,))).by_hand


@pytest.mark.parametrize(("x", "found"), [(TAILSTOCK_ROOM + 0.01, False), (TAILSTOCK_ROOM - 0.01, True)])
def test_parked_just_far_enough(x: float, *, found: bool) -> None:
    """T1's insert and holder reach no nearer to the axis than its tip."""
    text = TEXT.replace("G00 X80.\nG00 Z60.\nM05", f"G00 X{2 * x:.2f}\nG00 Z60.\nM05")
    proof = by_hand(text)
    assert ("not-parked" in codes(proof)) is found


def test_a_tool_parked_beyond_the_axis_is_out_of_the_way_too() -> None:
    text = TEXT.replace("G00 X80.\nG00 Z60.\nM05", "G00 Z60.\nG00 X-300.\nM05")
    assert "not-parked" not in codes(by_hand(text))


def test_a_setting_without_work_by_hand() -> None:
    assert setting().by_hand == () and not drilled().by_hand


@pytest.mark.parametrize(("wall", "deep"), [(-22.0, 0.0), (BOTTOM + 0.5, 0.5)])
def test_a_tool_fed_by_hand_into_what_holds_the_work(wall: float, deep: float) -> None:
    """A plate behind the work: the hole's bottom lies before it, or its drill would cut into it."""
    hold = (box(-60.0, wall, 30.0),)
    found = [f for f in by_hand(hold=hold).findings if f.code == "hold-contact" and "by hand" in f.text]
    assert [f.line for f in found] == [line_of("M00")] * bool(deep)
    assert all(f.rank == "stop" and f.size_mm == pytest.approx(deep, abs=0.01) and DOES in f.text for f in found)
