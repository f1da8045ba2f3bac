"""Faults put into a sound program, one at a time: each is found, by its code and, where one is to blame, its line."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from toolpath.motion import ArcCut, Cut, End, Operation, Rapid, Spindle, State
from toolpath.proof.prove import Proof, prove
from toolpath.proof.setting import Hand
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

from tests.proof.bench import GOAL, HERE, HOLD, SHAFT_TEXT, box, codes, machine, program, proven, rack, setting  # isort: skip


def line_of(text: str, block: str) -> int:
    return text[: text.index(block)].count("\n") + 1


def lines(proof: Proof, code: str) -> list[int]:
    return [f.line for f in proof.findings if f.code == code]


def stops(proof: Proof) -> set[str]:
    return {f.code for f in proof.findings if f.rank == "stop"}


TEXT_FAULTS: dict[str, tuple[str, str, str, str]] = {
    # what went wrong: (what stood there, what stands there now, the code, the block to blame)
    "a sign lost": ("G01 X10. Z-1.1172", "G01 X10. Z1.1172", "uncut", ""),
    "a digit mistyped": ("G01 Z-20.1834", "G01 X15. Z-20.1834", "gouge", "G01 X15. Z-20.1834"),
    "a radius taken for a diameter": ("G01 X18. Z-26.1834", "G01 X9. Z-26.1834", "gouge", "G01 X9. Z-26.1834"),
    "clockwise for counter-clockwise": ("G03 X16. Z-11.2 I0. K-1.2", "G02 X16. Z-11.2 I0. K-1.2", "gouge", "G02 X16."),
    "a hollow arc bulging": ("G02 X11.6 Z-10. I0.8 K0.", "G03 X11.6 Z-10. I0. K-0.8", "uncut", ""),
    "a face too deep": ("G00 Z0.\nG00 X22.", "G00 Z-0.05\nG00 X22.", "gouge", "G01 X-0.8 F0.08"),
    "a pass left out": ("G02 X11.6 Z-10. I0.8 K0.\nG01 X13.6\nG03 X16. Z-11.2 I0. K-1.2\n", "G01 X16.\n", "uncut", ""),
    "a retract left out": ("G01 X22.\nG00 X9.", "G00 Z-20.\nG00 X9.", "rapid-contact", "G00 Z-20."),
    "a rapid into the bar": ("G00 X18.4\n", "G00 X18.4\nG00 Z-3.\n", "rapid-contact", "G00 Z-3."),
    "the last rapid missed": ("G01 X17.4 Z-9.2\nG00 Z1.\n", "G01 X17.4 Z-9.2\n", "rapid-contact", "G00 X10.4"),
    "spindle not started": ("G97 S1500 M03", "G97 S1500", "spindle-off", ""),
    "spindle the wrong way": ("G97 S1200 M03", "G97 S1200 M04", "wrong-sense", "G01 X-0.8 F0.08"),
    "no limit to the surface speed": ("G96 S100 D1800", "G96 S100", "no-speed-limit", "G96 S100"),
    "a limit above the chuck's": ("G96 S100 D1800", "G96 S100 D2200", "too-fast", "G96 S100 D2200"),
    "too fast for the chuck": ("G97 S1500 M03", "G97 S2400 M03", "too-fast", "G97 S2400 M03"),
    "slower than it can turn": ("G97 S1500 M03", "G97 S40 M03", "too-slow", "G97 S40 M03"),
    "a feed of ten times": ("G01 Z-32.5 F0.12", "G01 Z-32.5 F1.2", "feed-too-fast", "G01 Z-32.5 F1.2"),
    "past the axis": ("G01 X-0.8 F0.08", "G01 X-3. F0.08", "past-axis", "G01 X-3. F0.08"),
    "a blade into the collet": ("G00 Z-32.\nG00 X22.\nG01", "G00 Z-43.\nG00 X52.\nG01", "hold-contact", "G01 X8."),
    "a rapid into the collet": ("G00 Z0.5\n", "G00 X40.\nG00 Z-45.\nG00 Z0.5\n", "hold-contact", "G00 Z-45."),
    "work after parting": ("X-0.2\nG01 X22.\n", "X-0.2\nG01 X22.\nG00 Z-34.\nG01 X15.\n", "after-parting", "G01 X15."),
    "a person reaches in while it turns": ("M05\nM00 (put T2 in)", "M00 (put T2 in)", "spindle-on", "M00 (put T2 in)"),
    "no stop to put the tool in": ("M05\nM00 (put T2 in)", "M05", "no-change-stop", "T2 M06"),
    "a stop on a switch to put the tool in": ("M00 (put T2 in)", "M01 (put T2 in)", "no-change-stop", "T2 M06"),
    "no time to run up": ("G97 S1200 M03\nG04 P3.\n", "G97 S1200 M03\n", "spindle-not-up", "G01 X-0.8 F0.08"),
    "farther than the slide": ("(starts at X80. Z40. mm", "(starts at X80. Z400. mm", "travel", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", TEXT_FAULTS)
def test_each_fault_is_found(name: str) -> None:
    before, after, code, blamed = TEXT_FAULTS[name]
    assert SHAFT_TEXT.count(before) >= 1
    text = SHAFT_TEXT.replace(before, after, 1)
    if code == "spindle-off":
        text = text.replace("G95 F0.05", "G94 F60.")  # feed per turn with the spindle still is refused on reading
    proof = proven(text)
    assert code in codes(proof)
    if blamed:
        assert line_of(text, blamed) in lines(proof, code)


@pytest.mark.parametrize(
    "change, code",
    [
        ({"nose": 0.4}, "uncut"),
        ({"nose": 0.05}, "gouge"),
        ({"tools": {1: 1, 2: 2}}, "unknown-tool"),
        ({"surface": False}, "surface-speed"),
        ({"stock": 14.0}, "rapid-contact"),
    ],
)
def test_faults_of_the_setting(change: dict[str, Any], code: str) -> None:
    assert code not in codes(proven())
    assert code in codes(proven(**_changed(change)))


def _changed(change: dict[str, Any]) -> dict[str, Any]:
    """A setting with another nose on T2, fewer tools, a control without surface speed, or a thicker bar."""
    if "nose" in change:
        return {"tools": {**rack(), 2: with_nose(change["nose"])}}
    if "tools" in change:
        return {"tools": {n: rack()[n] for n in change["tools"]}}
    if "surface" in change:
        return {"machine": msgspec.structs.replace(machine(), constant_surface_speed=False)}
    return {"stock": (box(-60.0, 1.0, change["stock"]),)}


def with_nose(radius: float) -> Tool:
    """T2 as if its insert had another nose: same edges, same imaginary tip."""
    code = {0.4: "DCGT 070204", 0.05: "DCGT 070200"}[radius]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rack.toml"
        path.write_text((HERE / "rack.toml").read_text().replace("DCGT 070202", code))
        return {t.number: t for t in load_rack(path)}[2]


# -- faults that no text can carry, for reading refuses them ---------------


def with_steps(change: Any) -> Proof:
    """The shaft's program with every step passed through `change`; a step for which it returns None is left out."""
    operations = [
        replace(op, steps=tuple(s for s in map(change, op.steps) if s is not None)) for op in program().operations
    ]
    return prove(replace(program(), operations=tuple(operations)), setting())


def test_a_program_without_an_end() -> None:
    assert "no-end" in codes(with_steps(lambda s: None if isinstance(s, End) else s))


def test_steps_after_the_end() -> None:
    sound = program()
    end = sound.operations[-1].steps[-1]
    again = replace(sound, operations=(*sound.operations, Operation("more", (Rapid(end.at, (9.0, 9.0), State()),))))
    assert "after-end" in codes(prove(again, setting()))


def test_a_move_that_begins_elsewhere() -> None:
    first = next(s for s in program().steps if isinstance(s, Cut))
    proof = with_steps(lambda s: replace(s, start=(s.start[0] + 0.5, s.start[1])) if s == first else s)
    (found,) = [f for f in proof.findings if f.code == "jump"]
    assert found.size_mm == pytest.approx(0.5) and found.line == first.line


def test_a_feed_that_is_not_stated() -> None:
    proof = with_steps(lambda s: replace(s, state=replace(s.state, feed=None)) if isinstance(s, Cut | ArcCut) else s)
    assert "no-feed" in stops(proof) and proof.cutting_seconds == 0.0


def test_a_spindle_lost_on_every_cut() -> None:
    proof = with_steps(lambda s: replace(s, state=replace(s.state, spindle=None)) if isinstance(s, Cut | ArcCut) else s)
    assert len(lines(proof, "spindle-off")) == len(program().operations)


def test_the_spindle_turning_the_wrong_way_everywhere() -> None:
    def reversed_(s: Any) -> Any:
        spindle: Spindle | None = s.state.spindle
        return replace(s, state=replace(s.state, spindle=replace(spindle, sense="reverse"))) if spindle else s

    assert len(lines(with_steps(reversed_), "wrong-sense")) == len(program().operations)


# -- what touches ---------------


def test_a_rapid_through_the_bar_says_where_and_how_deep() -> None:
    text = SHAFT_TEXT.replace("G00 X18.4\n", "G00 X18.4\nG00 Z-3.\n", 1)
    found, holder = [f for f in proven(text).findings if f.code == "rapid-contact"]
    assert holder.line == found.line == line_of(text, "G00 Z-3.") and "the holder" in holder.text
    assert found.size_mm == pytest.approx(0.8, abs=0.01) and found.tool == 1
    assert found.at is not None and found.at[1] == pytest.approx(9.2, abs=0.01)
    assert "T1" in found.text and "0.800 mm" in found.text


def test_touching_is_no_contact() -> None:
    """A rapid back along the surface that was just cut slides, it does not crash."""
    text = SHAFT_TEXT.replace("G01 Z-32.5 F0.12\nG01 X22.\n", "G01 Z-32.5 F0.12\nG00 Z1.\nG00 X22.\n", 1)
    assert not stops(proven(text))


def test_a_rapid_is_tried_against_the_stock_of_its_own_moment() -> None:
    """The same rapid is a crash before the cut that makes room for it, and none after."""
    rapid, cut = "G00 X16.4\nG00 Z-10.\nG00 Z1.\n", "G01 Z-19.8\n"
    head = SHAFT_TEXT[: SHAFT_TEXT.index("G00 X16.4")]
    after = proven(head + "G00 X16.4\n" + cut + "G01 X24.\nG00 Z1.\n" + rapid + "M30\n")
    before = proven(head + rapid + cut + "G01 X24.\nM30\n")
    assert "rapid-contact" not in codes(after) and "rapid-contact" in codes(before)


def test_a_slanting_rapid_that_is_clear_only_if_it_is_straight() -> None:
    """From before the face to beside the bar: straight it clears the corner by 2 mm, axis by axis it goes through."""
    slant = SHAFT_TEXT.replace("G01 Z1.\nG97 S1200\n", "G01 Z4.\nG97 S1200\nG00 X17.\nG00 X29. Z-2.\n", 1)
    found = proven(slant)
    assert lines(found, "bent-rapid") == [line_of(slant, "G00 X29. Z-2.")] and not stops(found)
    beside = SHAFT_TEXT.replace("G01 Z1.\nG97 S1200\n", "G01 Z4.\nG97 S1200\nG00 X29.\nG00 X35. Z-2.\n", 1)
    assert "bent-rapid" not in codes(proven(beside))


def test_a_holder_that_does_not_fit_into_its_own_groove() -> None:
    """A 2 mm blade in a block that is wider: deeper than its reach, the block meets the bar."""
    short = replace(rack()[4], holder=(box(-2.0, 12.0, 40.0, x0=6.0),))
    proof = proven(tools={**rack(), 4: short})
    assert "holder-contact" in stops(proof) and "holder-contact" not in codes(proven())


def test_the_gouge_is_as_deep_as_the_slip() -> None:
    """0.02 mm too deep over the 16 mm diameter: reported within a tenth of a micrometre, with line and place."""
    text = SHAFT_TEXT.replace("G03 X16. Z-11.2 I0. K-1.2\n", "G03 X16. Z-11.2 I0. K-1.2\nG01 X15.96\n")
    text = text.replace("G01 Z-20.1834", "G01 X15.96 Z-20.1834")
    (found,) = [f for f in proven(text).findings if f.code == "gouge"]
    assert found.size_mm == pytest.approx(0.02, abs=2e-4) and found.tool == 2
    assert found.at is not None and -20.4 < found.at[0] < -11.0


@pytest.mark.parametrize("deep, found", [(0.0002, False), (0.0005, False), (0.0010, True), (0.003, True)])
def test_a_gouge_counts_beyond_a_tenth_of_a_micrometre_and_half_the_last_digit(deep: float, found: bool) -> None:
    text = SHAFT_TEXT.replace("G00 Z0.\nG00 X22.", f"G00 Z{-deep:.4f}\nG00 X22.")
    proof = proven(text)
    assert ("gouge" in codes(proof)) is found and proof.gouge_mm == pytest.approx(deep, abs=1e-4)


def test_a_loose_ring_is_told_from_the_part() -> None:
    """A ring parted off a drilled bar before the part itself: a piece that is no part of the drawing."""
    tube = box(-60.0, 1.0, 10.0, x0=9.3)
    text = SHAFT_TEXT[: SHAFT_TEXT.index("(--- 1")] + SHAFT_TEXT[SHAFT_TEXT.index("(--- 4") :]
    proof = proven(text, stock=(tube,), part=(box(-70.0, -60.0, 5.0),), goal=(tube,))
    assert "loose-piece" in codes(proof) and "parted" not in codes(proof) and len(proof.parted) == 1


@pytest.mark.parametrize(
    "steps", [("6.", "-0.2"), ("6.", "4.", "2.", "-0.1", "-0.2"), ("-0.1", "-0.12", "-0.15", "-0.2")]
)
def test_the_line_that_frees_the_part(steps: tuple[str, ...]) -> None:
    """The first move that takes the blade to the axis, however many there are in the plunge."""
    text = SHAFT_TEXT.replace("G01 X-0.2", "\n".join(f"G01 X{x}" for x in steps))
    (piece,) = proven(text).parted
    assert piece.after_line == line_of(text, f"G01 X{next(x for x in steps if float(x) <= 0.0)}")


def test_without_a_hold_what_reaches_farthest_to_the_chuck_stays() -> None:
    proof = proven(hold=())
    assert len(proof.parted) == 1 and min(p[0] for p in proof.result[0]) == -60.0


def test_a_collet_stands_more_than_the_chuck() -> None:
    text = SHAFT_TEXT.replace("G97 S1500 M03", "G97 S2400 M03")
    assert "too-fast" in codes(proven(text)) and "too-fast" not in codes(proven(text, hold_max_rpm=2500.0))
    assert "too-fast" in codes(proven(text, hold_max_rpm=9000.0, machine=slower()))


def slower() -> Any:
    return msgspec.structs.replace(machine(), max_rpm=2000.0)


def test_all_findings_come_at_once() -> None:
    text = SHAFT_TEXT.replace("G97 S1200 M03", "G97 S1200 M04", 1).replace("G01 X13.6", "G01 X13.6 F9.")
    text = text.replace("G00 Z0.\nG00 X22.", "G00 Z-0.05\nG00 X22.", 1)
    assert {"wrong-sense", "gouge", "feed-too-fast", "parted"} <= codes(proven(text))


@pytest.mark.parametrize(
    ("fixing", "brake", "on_thread", "found"),
    [
        ("flanged", True, "", False),
        ("screwed", False, "", False),
        ("screwed", True, "", True),
        ("flanged", False, "right", False),
        ("flanged", True, "right", True),
        ("flanged", False, "left", True),
        ("flanged", True, "left", True),
    ],
)
def test_what_would_unscrew_while_the_spindle_goes_forward(
    fixing: str, brake: bool, on_thread: str, found: bool
) -> None:
    """Forward tightens a right-hand thread and loosens a left-hand one; a brake does the opposite."""
    own = msgspec.structs.replace(machine(), chuck_fixing=fixing, spindle_brake=brake)
    assert ("unscrews" in stops(proven(machine=own, on_thread=on_thread))) == found


def test_a_reversed_spindle_unscrews_the_chuck_from_its_nose() -> None:
    text = SHAFT_TEXT.replace("G97 S1200 M03", "G97 S1200 M04", 1)
    screwed = msgspec.structs.replace(machine(), chuck_fixing="screwed")
    assert lines(proven(text, machine=screwed), "unscrews")[0] == line_of(text, "G97 S1200 M04")
    assert "unscrews" not in codes(proven(text))


def test_a_tool_turned_over_needs_the_other_sense() -> None:
    over = {n: replace(t, face="down") for n, t in rack().items()}
    assert "wrong-sense" in stops(proven(tools=over))
    text = SHAFT_TEXT.replace("M03", "M04")
    assert "wrong-sense" not in codes(proven(text, tools=over))


BELT_TEXT = SHAFT_TEXT.replace("G96 S100 D1800\n", "").replace("T1 M06", "M00\nT1 M06")
"""The shaft at fixed speeds, each with a stop before it."""


@pytest.mark.parametrize(
    ("steps", "text", "code"),
    [
        ((800.0, 1200.0, 1500.0), BELT_TEXT, ""),
        ((800.0, 1200.7, 1500.0), BELT_TEXT, ""),  # a step of 1200.7 is printed as 1200
        ((800.0, 1500.0), BELT_TEXT, "belt-step"),
        ((800.0, 1200.0, 1500.0), BELT_TEXT.replace("M05\nM00 (put T2 in)", "M05\n"), "speed-not-set"),
    ],
)
def test_a_belt_turns_at_its_steps_and_is_waited_for(steps: tuple[float, ...], text: str, code: str) -> None:
    belts = replace(machine(), drive="belts", belt_rpm=steps, constant_surface_speed=False)
    found = codes(proven(text, machine=belts)) & {"belt-step", "speed-not-set"}
    assert found == ({code} if code else set())


# -- what must stay besides the part ---------------


def stubbed(**changes: Any) -> dict[str, Any]:
    """The shaft's set-up, in which a stub of diameter 3 is to join part and bar."""
    return {"goal": (*GOAL, box(-32.0, -30.0, 1.5)), **changes}


def test_a_stub_that_is_cut_through_is_told_with_its_operation() -> None:
    """The shaft's program parts right off; a job that wants a stub of 3 mm loses 1.5 mm of it."""
    (found,) = [f for f in proven(**stubbed()).findings if f.code == "goal-lost"]
    assert found.rank == "stop" and found.tool == 4
    assert found.size_mm == pytest.approx(1.5, abs=0.001)  # its middle was 1.5 mm deep in metal
    assert found.line == line_of(SHAFT_TEXT, "T4 M06")


def test_what_a_person_takes_off_at_a_stop_may_go() -> None:
    at_stop = Hand(0, "saws it off", (box(-32.0, -30.0, 1.5),))
    assert "goal-lost" not in codes(proven(**stubbed(by_hand=(at_stop,)))) and "goal-lost" not in codes(proven())


def test_a_cut_into_the_bar_behind_the_part() -> None:
    text = SHAFT_TEXT.replace("G00 Z-32.\nG00 X22.\n", "G00 Z-34.\nG00 X22.\nG01 X17.\nG01 X22.\nG00 Z-32.\n", 1)
    (found,) = [f for f in proven(text).findings if f.code == "goal-lost"]
    assert found.at is not None and -34.01 < found.at[0] < -32.0 and "stay standing" in found.text


@pytest.mark.parametrize(("words", "found"), [("G04 P3.", False), ("G04 P60.", False), ("G04 P3000.", True)])
def test_a_dwell_in_the_wrong_unit(words: str, found: bool) -> None:
    text = SHAFT_TEXT.replace("G04 P3.", words, 1)
    assert lines(proven(text), "long-dwell") == ([line_of(text, words)] if found else [])


def test_coolant_that_runs_on_at_a_stop() -> None:
    text = SHAFT_TEXT.replace("G95 F0.1\n", "G95 F0.1\nM08\n", 1)
    assert lines(proven(text), "coolant-on") == [line_of(text, "M00 (put T2 in)")]
    off = text.replace("M05\nM00 (put T2 in)", "M09\nM05\nM00 (put T2 in)")
    assert "coolant-on" not in codes(proven(off)) and "coolant-on" not in codes(proven())


# -- a centre in the free end ---------------

SEATED = {"stock": (box(-60.0, 0.5, 10.0),), "hold": (*HOLD, box(0.5, 40.0, 3.0))}


def test_parting_with_a_centre_in() -> None:
    text = SHAFT_TEXT[: SHAFT_TEXT.index("(--- 1")] + SHAFT_TEXT[SHAFT_TEXT.index("(--- 4") :]
    (found,) = [f for f in proven(text, **SEATED).findings if f.code == "parted-on-centre"]
    assert found.rank == "stop" and found.line == line_of(text, "G01 X-0.2")
    assert "parted-on-centre" not in codes(proven(text))


def test_a_centre_is_the_tailstock_s_and_never_keeps_a_piece() -> None:
    """What only the centre touches has come off."""
    text = SHAFT_TEXT[: SHAFT_TEXT.index("(--- 1")] + SHAFT_TEXT[SHAFT_TEXT.index("(--- 4") :]
    assert len(proven(text, **SEATED).parted) == 1


def test_how_near_rapids_come_to_stock_hold_and_tailstock() -> None:
    """The blade goes back into its groove, flush with the walls; a jaw that stands 1 mm nearer is 1 mm nearer."""
    text = SHAFT_TEXT[: SHAFT_TEXT.index("(--- 1")] + SHAFT_TEXT[SHAFT_TEXT.index("(--- 4") :]
    near = dict(proven(text, **SEATED).closest)
    assert set(near) == {"the stock", "the hold", "the tailstock"}
    assert near["the stock"] == proven(text, **SEATED).closest_rapid_mm == pytest.approx(0.0, abs=0.002)
    moved = dict(proven(text, hold=(box(-60.0, -41.0, 25.0, x0=10.0),)).closest)
    assert near["the hold"] - moved["the hold"] == pytest.approx(1.0, abs=1e-6)
    assert near["the tailstock"] > 5.0 and "the tailstock" not in moved


def test_a_rapid_into_the_tailstock() -> None:
    text = SHAFT_TEXT.replace("G00 Z0.\nG00 X22.", "G00 X60.\nG00 Z20.\nG00 X4.\nG00 X60.\nG00 Z0.\nG00 X22.", 1)
    found = [f for f in proven(text, **SEATED).findings if f.code == "hold-contact"]
    assert any("into the tailstock" in f.text and f.line == line_of(text, "G00 X4.") for f in found)
