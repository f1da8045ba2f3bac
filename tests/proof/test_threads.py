"""Threads that passes leave, measured; and faults put into a sound threading program, one at a time."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from posts.reader import read
from tests.proof.bench import box, codes
from tests.proof.test_faults import line_of, lines, stops
from tests.proof.threaded import (
    G95,
    HALF,
    INSIDE,
    NUT_ZONE,
    OUTSIDE,
    ZONE,
    points,
    proven,
    setting_of,
    text_of,
)
from toolpath.geometry.elements import polyline
from toolpath.motion import Operation, Program, Sense, Spindle, Step, ThreadCut
from toolpath.passes.thread import Infeed
from toolpath.proof.clock import thread_seconds
from toolpath.proof.prove import prove
from toolpath.proof.thread_zones import zone_of
from toolpath.shop.outlines import point_outline
from toolpath.shop.tools import Tool

SCREW = text_of(OUTSIDE)
LAST = "G33 Z-14.0 K1.5"


# -- sound threads, as they come out -----------------------------------------------------------------------------------


def test_a_screw_in_the_middle_of_its_limits() -> None:
    """M10x1.5-6g: pitch diameter 8.862 to 8.994 (published charts of ISO 965-1). Depth, crest flat in closed form: the
    groove is 0.12 mm wide at the root and wider by 2 tan 30 for each mm above it."""
    proof = proven(SCREW)
    assert codes(proof) == set() and proof.gouge_mm == 0.0 and proof.uncut_mm == 0.0
    (thread,) = proof.threads
    assert (thread.inside, thread.hand, thread.starts, thread.lead_mm) == (False, "right", 1, 1.5)
    assert thread.root_mm == pytest.approx(4.925 - OUTSIDE.depth, abs=3e-4)
    assert thread.pitch_dia_mm == pytest.approx((8.862 + 8.994) / 2.0, abs=6e-4)
    assert thread.flat_mm == pytest.approx(1.5 - 0.12 - 2.0 * OUTSIDE.depth * math.tan(HALF), abs=6e-4)


def test_a_nut_in_the_middle_of_its_limits() -> None:
    """M12x1.5-6H: pitch diameter 11.026 to 11.216 (published charts)."""
    proof = proven(text_of(INSIDE, tool=10), NUT_ZONE)
    assert codes(proof) == set()
    (thread,) = proof.threads
    assert thread.inside and thread.root_mm == pytest.approx(5.263 + INSIDE.depth, abs=3e-4)
    assert thread.pitch_dia_mm == pytest.approx((11.026 + 11.216) / 2.0, abs=6e-4)


@pytest.mark.parametrize("share, height", [(0.125, 0.649519), (0.25, 0.541266)])
def test_the_basic_profile_is_measured_as_the_standard_draws_it(share: float, height: float) -> None:
    """ISO 68-1, ISO 724: cut from d with a flat of P/8 (P/4) to 0.649519 P (0.541266 P), d2 = d - 0.649519 P and P/8 is
    left of the crest."""
    tool = _with_flat(share * 1.5)
    job = replace(OUTSIDE, depth=height * 1.5)
    zone = replace(ZONE, root=4.925 - job.depth, pitch_dia=(0.0, 0.0))
    proof = proven(text_of(job), zone, tools={**points(), 9: tool})
    assert codes(proof) == set()
    assert proof.threads[0].pitch_dia_mm == pytest.approx(9.85 - 0.649519 * 1.5, abs=1.2e-3)
    assert proof.threads[0].flat_mm == pytest.approx(1.5 / 8.0, abs=1.2e-3)


def _with_flat(flat: float) -> Tool:
    return replace(points()[9], outline=point_outline(math.radians(60.0), 2.5, flat=flat, radius=0.0), width=flat)


@pytest.mark.parametrize("infeed", Infeed)
@pytest.mark.parametrize("relief", [0.0, 3.0])
def test_every_infeed_leaves_the_same_thread(infeed: Infeed, relief: float) -> None:
    plain = proven(SCREW).threads[0]
    proof = proven(text_of(replace(OUTSIDE, infeed=infeed, relief=math.radians(relief))))
    assert codes(proof) == set()
    assert proof.threads[0].pitch_dia_mm == pytest.approx(plain.pitch_dia_mm, abs=2e-3)


def test_a_left_hand_thread_starts_in_the_undercut() -> None:
    job = replace(OUTSIDE, begins=-12.0, ends=-1.0, run_in=1.9, run_out=5.0)
    zone = replace(ZONE, hand="left")
    proof = proven(text_of(job, rpm=200.0), zone)
    assert codes(proof) == set()
    assert proof.threads[0].hand == "left"


@pytest.mark.parametrize("starts", [2, 3])
def test_several_starts(starts: int) -> None:
    lead = 1.5 * starts
    job = replace(OUTSIDE, lead=lead, starts=starts)
    proof = proven(text_of(job, rpm=120.0), replace(ZONE, lead=lead, starts=starts))
    assert codes(proof) == set()
    assert proof.threads[0].starts == starts
    assert proof.threads[0].pitch_dia_mm == pytest.approx(8.928, abs=1e-3)


def test_an_exit_on_a_ramp_needs_no_undercut() -> None:
    rod = box(-25.0, 0.0, 4.925)
    job = replace(OUTSIDE, ramped=True, ends=-12.0, run_out=3.0)
    zone = replace(ZONE, run_out=(2.0, 1.1))
    text = text_of(job)
    changes: dict[str, Any] = {
        "stock": (rod,),
        "part": (rod,),
        "goal": (rod,),
        "hold": (box(-40, -24.5, 25, x0=4.925),),
    }
    proof = proven(text, zone, **changes)
    assert codes(proof) == set() and proof.threads[0].pitch_dia_mm == pytest.approx(8.928, abs=1e-3)
    abrupt = text_of(replace(job, ramped=False))
    assert "rapid-contact" in codes(proven(abrupt, replace(zone, run_out=(4.0, 1.1)), **changes))


def test_a_pass_that_slants_through_the_thread_is_told() -> None:
    """The first half of a pass left out: what was its ramp at the end now goes slantwise over the whole thread."""
    rod = box(-25.0, 0.0, 4.925)
    text = text_of(replace(OUTSIDE, ramped=True, ends=-12.0, run_out=3.0))
    passes = [m for m in re.finditer(r"^G33 Z-[\d.]+ K1\.5\n", text, flags=re.MULTILINE)]
    spoiled = text[: passes[2].start()] + text[passes[2].end() :]
    proof = proven(spoiled, replace(ZONE, run_out=(2.0, 1.1)), stock=(rod,), part=(rod,), goal=(rod,),
                   hold=(box(-40, -24.5, 25, x0=4.925),))  # fmt: skip
    assert len(passes) > 4 and lines(proof, "thread-slants") == [text[: passes[2].start()].count("\n") + 1]


def test_a_taper_keeps_its_pitch_diameter_at_the_wide_end() -> None:
    """1 in 16 on diameter, ASME B1.20.1: 1/32 on the radius."""
    taper = -1.0 / 32.0  # the screw is thicker towards the chuck
    part = ((0.0, 0.0), (0.0, 3.9), (-1.025, 4.925), (-12.0, 4.925 - taper * 10.975), (-12.0, 3.85), (-15.5, 3.85))
    cone = polyline([*part, (-15.5, 5.3), (-25.0, 5.3), (-25.0, 0.0)], close=True)
    job = replace(OUTSIDE, taper=taper, begins=-1.025)
    zone = replace(ZONE, taper=taper, root=4.925 - OUTSIDE.depth)
    proof = proven(text_of(job), zone, stock=(cone,), part=(cone,), goal=(cone,))
    assert codes(proof) == set()
    assert proof.threads[0].pitch_dia_mm == pytest.approx(8.928, abs=3e-3)


@pytest.mark.parametrize("cut", [0.0, -1.0 / 40.0, -1.0 / 24.0, 1.0 / 32.0])
def test_a_taper_is_measured_at_both_its_ends(cut: float) -> None:
    """10.975 mm of 1 in 16 on diameter; passes on another cone leave the limits, 0.132 mm apart, at one end or both.

    In the middle, where 5 mm were turned off its end, every one of them is right.
    """
    taper, long = -1.0 / 32.0, 10.975
    part = ((0.0, 0.0), (0.0, 3.9), (-1.025, 4.925), (-12.0, 4.925 - taper * long), (-12.0, 3.85), (-15.5, 3.85))
    cone = polyline([*part, (-15.5, 5.3), (-25.0, 5.3), (-25.0, 0.0)], close=True)
    own = replace(OUTSIDE, taper=taper, begins=-1.025)
    job = replace(own, taper=cut, crest=own.crest + (cut - taper) * long / 2.0, clear=7.5)
    zone = replace(ZONE, taper=taper, root=4.925 - OUTSIDE.depth - 0.5)
    proof = proven(text_of(job), zone, stock=(cone,), part=(cone,), goal=(cone,))
    assert proof.threads[0].pitch_dia_mm == pytest.approx(8.928, abs=4e-3)
    assert proof.refused and {"pitch-diameter", "thread-short"} & codes(proof)
    assert codes(proven(text_of(own), zone, stock=(cone,), part=(cone,), goal=(cone,))) == set()


def test_a_slight_error_of_the_cone_is_told_as_a_pitch_diameter() -> None:
    """0.01 mm on the radius a mm steeper: 0.055 mm at either end on the radius, 0.11 on diameter; half of 0.132 is
    borne."""
    taper, long = -1.0 / 32.0, 10.975
    part = ((0.0, 0.0), (0.0, 3.9), (-1.025, 4.925), (-12.0, 4.925 - taper * long), (-12.0, 3.85), (-15.5, 3.85))
    cone = polyline([*part, (-15.5, 5.3), (-25.0, 5.3), (-25.0, 0.0)], close=True)
    job = replace(OUTSIDE, taper=taper + 0.01, begins=-1.025, crest=4.925 + 0.01 * long / 2.0)
    zone = replace(ZONE, taper=taper, root=4.925 - OUTSIDE.depth - 0.2)
    found = proven(text_of(job), zone, stock=(cone,), part=(cone,), goal=(cone,)).findings
    told = [f.text for f in found if f.code == "pitch-diameter"]
    assert told and "where the taper's limits are" in told[0] and "let the passes follow the cone" in told[0]


@settings(max_examples=12, deadline=None)
@given(
    lead=st.sampled_from([0.5, 0.75, 1.0, 1.25, 1.5, 25.4 / 24.0]),
    depth=st.floats(0.3, 1.0),
    aside=st.floats(0.0, 1.0),
    infeed=st.sampled_from(Infeed),
)
def test_measured_is_what_was_cut(lead: float, depth: float, aside: float, infeed: Infeed) -> None:
    """Closed form for any depth: the groove is half a pitch wide (P/2 - F) / (2 tan 30) over the root."""
    depth *= 0.6 * lead
    job = replace(OUTSIDE, lead=lead, depth=depth, run_in=5.0 + aside, infeed=infeed, most=0.2, least=0.02)
    zone = replace(ZONE, lead=lead, root=4.925 - depth, pitch_dia=(0.0, 0.0), least_flat=0.0)
    (thread,) = proven(text_of(job), zone).threads
    above = (lead / 2.0 - 0.12) / (2.0 * math.tan(HALF))
    expected = 2.0 * (4.925 - depth + above) if above < depth else 9.85
    assert thread.pitch_dia_mm == pytest.approx(expected, abs=2e-3)
    assert thread.flat_mm == pytest.approx(lead - 0.12 - 2.0 * depth * math.tan(HALF), abs=2e-3)


# -- faults ------------------------------------------------------------------------------------------------------------

FAULTS: dict[str, tuple[str, str, str, str]] = {
    # what went wrong: (pattern, what stands there now, the code, the block to blame)
    "a wrong lead": (LAST, "G33 Z-14.0 K1.25", "thread-lead", "G33 Z-14.0 K1.25"),
    "a lead that drifts": (r"K1\.5", "K1.4995", "thread-lead", "G33 Z-14.0 K1.4995"),
    "the retract left out": (LAST + "\nG00 X14.0\nZ4.0", LAST + "\nG00 Z4.0", "rapid-contact", "G00 Z4.0\nX9.028"),
    "too short a run-in": (r"\bZ4\.0\b", "Z0.0", "thread-run-in", "G33 Z-14.0 K1.5"),
    "started in the metal": (r"\bZ4\.0\b", "Z-3.0", "thread-start", "G33 Z-14.0 K1.5"),
    "no way to stop": (r"Z-14\.0", "Z-12.2", "thread-run-out", "G33 Z-12.2 K1.5"),
    "ended in the metal": (r"Z-14\.0", "Z-10.0", "thread-short", ""),
    "ended in the metal and out by a rapid": (r"Z-14\.0", "Z-10.0", "rapid-contact", ""),
    "run into the shoulder": (r"Z-14\.0", "Z-15.2", "thread-contact", "the first that deep"),
    "run into the shoulder, the part lost": (r"Z-14\.0", "Z-15.2", "gouge", "the first that deep"),
    "faster than the carriage": ("S400", "S450", "thread-too-fast", "G33 Z-14.0 K1.5"),
    "the spindle the wrong way": ("M03", "M04", "wrong-sense", "G33 Z-14.0 K1.5"),
    "the spindle the wrong way, left-hand": ("M03", "M04", "thread-hand", "G33 Z-14.0 K1.5"),
    "the last passes left out": (r"(X7\.837\nG33 Z-14.0 K1.5\nG00 X14.0\nZ4.0\n)+", "", "pitch-diameter", ""),
    "too deep": (r"X7\.837", "X7.637", "pitch-diameter", ""),
    "too deep, below the root": (r"X7\.837", "X7.637", "gouge", "the first that deep"),
    "another speed for the last passes": (r"X8\.006\n", "X8.006\nG97 S300\n", "thread-speed", ""),
    "a pass that starts elsewhere": (r"Z4\.0\nX7\.837", "Z4.4\nX7.837", "thread-crest", ""),
    "no passes at all": (r"X[0-9.]+\nG33 Z-14.0 K1.5\nG00 X14.0\n", "", "thread-missing", ""),
}  # fmt: skip
ALL = {"started in the metal", "too short a run-in", "no way to stop", "ended in the metal", "run into the shoulder",
       "ended in the metal and out by a rapid", "run into the shoulder, the part lost", "no passes at all",
       "a lead that drifts", "too deep", "too deep, below the root"}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_is_found(name: str) -> None:
    before, after, code, blamed = FAULTS[name]
    text, count = re.subn(before, after, SCREW, count=0 if name in ALL else 1)
    assert count >= 1
    proof = proven(text)
    assert code in stops(proof), proof.findings
    if blamed:
        assert _line(text, blamed) in lines(proof, code)


def _line(text: str, blamed: str) -> int:
    """Of the first pass at full depth, or of the first block that reads so."""
    if blamed == "the first that deep":
        return line_of(text, "\nX7.637" if "X7.637" in text else "\nX7.837") + 2
    return line_of(text, "\n" + blamed) + 1


def test_each_fault_of_all_passes_is_told_once() -> None:
    proof = proven(re.sub(r"\bZ4\.0\b", "Z0.0", SCREW))
    assert len(lines(proof, "thread-run-in")) == 1
    assert line_of(re.sub(r"\bZ4\.0\b", "Z0.0", SCREW), LAST) == lines(proof, "thread-run-in")[0]


@pytest.mark.parametrize(
    "zone, code",
    [
        ({"lead": 1.25}, "thread-lead"),
        ({"hand": "left"}, "thread-hand"),
        ({"starts": 2}, "thread-starts"),
        ({"z": (-12.0, 4.5)}, "thread-short"),
        ({"half_angle": math.radians(27.5)}, "thread-flank"),
        ({"pitch_dia": (8.95, 8.994)}, "pitch-diameter"),
        ({"pitch_dia": (8.862, 8.9)}, "pitch-diameter"),
        ({"pitch_dia": (0.0, 0.0), "root": 3.85}, "thread-depth"),
        ({"least_flat": 0.3}, "thread-crest"),
        ({"root": 3.95}, "gouge"),
        ({"run_out": (0.0, 0.0)}, "gouge"),
        ({"inside": True}, "thread-astray"),
    ],
)
def test_a_thread_that_is_not_the_parts(zone: dict[str, Any], code: str) -> None:
    assert code in stops(proven(SCREW, replace(ZONE, **zone)))


def test_a_thread_where_the_part_has_none() -> None:
    proof = proven(SCREW, threads=())
    assert {"thread-astray", "gouge"} <= stops(proof) and proof.threads == ()
    assert proof.gouge_mm == pytest.approx(OUTSIDE.depth, abs=1e-3)


@pytest.mark.parametrize(
    "machine, code",
    [
        ({"spindle_encoder": "none"}, "no-encoder"),
        ({"max_feed": 500.0}, "thread-too-fast"),
        ({"accel_z": 8.0}, "thread-run-in"),
        ({"accel_z": 20.0}, "thread-run-out"),
    ],
)
def test_a_machine_that_can_not(machine: dict[str, Any], code: str) -> None:
    assert code in stops(proven(SCREW, machine=machine))


def test_one_pulse_a_turn_needs_a_longer_run_in() -> None:
    """3 to 5 pitches, common practice: 5 mm do not hold 4.5 mm, the ramp of 0.33 mm and half a groove."""
    assert "thread-run-in" in stops(proven(SCREW, machine={"spindle_encoder": "pulse"}))
    longer = text_of(replace(OUTSIDE, run_in=8.0))
    assert codes(proven(longer, machine={"spindle_encoder": "pulse"})) == set()


def test_the_run_in_that_just_does() -> None:
    """v^2 / (2 a) = 10^2 / (2 x 150) = 0.333 mm at 400 rpm, and half a pitch until the middle of the point is there."""
    for run_in, found in ((0.333 + 0.75 + 0.03, False), (0.333 + 0.75 - 0.03, True)):
        text = text_of(replace(OUTSIDE, begins=-1.025, run_in=run_in))
        assert ("thread-run-in" in stops(proven(text))) is found


def test_a_point_of_another_angle() -> None:
    tool = replace(points()[8], number=9)
    assert "thread-flank" in stops(proven(SCREW, replace(ZONE, pitch_dia=(8.0, 9.8)), tools={9: tool}))


def test_a_start_of_two_left_out_or_misplaced() -> None:
    job, zone = replace(OUTSIDE, lead=3.0, starts=2), replace(ZONE, lead=3.0, starts=2)
    one = replace(job, starts=1)
    assert "thread-starts" in stops(proven(text_of(one, rpm=120.0), zone))
    text = text_of(job, rpm=120.0)
    assert "Z5.5\n" in text
    assert "thread-starts" in stops(proven(text.replace("Z5.5\n", "Z5.45\n"), replace(zone, pitch_dia=(0, 0))))


def changed(program: Program, **state: Any) -> Program:
    """The program with the state of its synchronised moves changed, as no text could say it."""
    (operation,) = program.operations

    def other(step: Step) -> Step:
        return replace(step, state=replace(step.state, **state)) if isinstance(step, ThreadCut) else step

    return replace(program, operations=(Operation(operation.kind, tuple(map(other, operation.steps))),))


def test_no_thread_without_a_spindle_at_a_fixed_speed() -> None:
    program = read(SCREW, G95)
    still = prove(changed(program, spindle=None), setting_of())
    assert {"spindle-off", "thread-speed"} <= stops(still)
    surface = Spindle(Sense.FORWARD, surface=12.0, limit_rpm=400.0)
    assert "thread-speed" in stops(prove(changed(program, spindle=surface), setting_of()))


def test_the_holder_is_watched_on_a_pass() -> None:
    high = box(-60.0, -15.5, 8.0)
    part = setting_of().part
    proof = proven(SCREW, stock=(*part, high), hold=(box(-70.0, -60.0, 8.0),))
    assert {"holder-contact", "thread-contact"} <= stops(proof)


# -- zones, time -------------------------------------------------------------------------------------------------------


def test_a_pass_belongs_to_the_thread_it_covers_most() -> None:
    back = replace(ZONE, z=(-30.0, -16.0))
    assert zone_of((ZONE, back), inside=False, low=-14.0, high=4.0) == 0
    assert zone_of((ZONE, back), inside=False, low=-32.0, high=-11.0) == 1
    assert zone_of((ZONE, back), inside=True, low=-14.0, high=4.0) is None
    assert zone_of((ZONE,), inside=False, low=1.0, high=4.0) is None


def test_time_of_a_pass_is_its_turns_and_its_ramps() -> None:
    """18 mm at 1.5 mm a turn and 400 rpm: 12 turns, 1.8 s; half a turn, 0.075 s, until the mark; two ramps of
    10 mm/s at 150 mm/s2, each half lost: 0.0667 s in all."""
    setting = setting_of()
    move = next(s for s in read(SCREW, G95).steps if isinstance(s, ThreadCut))
    assert thread_seconds(move, setting.machine, goes_on=(False, False)) == pytest.approx(1.8 + 0.075 + 1.0 / 15.0)
    assert thread_seconds(move, setting.machine, goes_on=(True, True)) == pytest.approx(1.8)
    proof = proven(SCREW)
    passes = SCREW.count("G33")
    assert proof.cutting_seconds + proof.air_seconds == pytest.approx(passes * (1.8 + 0.075 + 1.0 / 15.0))
    assert 10.975 / 18.0 < proof.cutting_seconds / (proof.cutting_seconds + proof.air_seconds) < 12.5 / 18.0
