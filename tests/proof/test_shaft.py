"""A stepped shaft by a program written by hand: what stands afterwards, how long it takes, how much went to chips."""

from __future__ import annotations

import math

import pytest
import shapely

from toolpath.geometry.elements import polyline
from toolpath.proof.findings import NOTE, STOP
from toolpath.proof.measure import region, volume
from toolpath.proof.prove import Proof

from tests.proof.bench import GOAL, PART, SHAFT_TEXT, box, codes, machine, program, proven, rack  # isort: skip


@pytest.fixture(scope="module")
def proof() -> Proof:
    return proven()


def polygon(outline: tuple[tuple[float, float], ...]) -> shapely.Polygon:
    return shapely.Polygon(outline)


def test_a_sound_program_is_not_refused(proof: Proof) -> None:
    assert not proof.refused and codes(proof) == {"parted"}
    assert [f.rank for f in proof.findings] == [NOTE] and proof.uncut == ()


def test_what_is_left_at_a_slight_bend(proof: Proof) -> None:
    """Where the taper (1 in 6) leaves the cylinder a nose of 0.2 mm leaves r (1 - cos(w / 2)) off both: 0.68 µm."""
    assert proof.uncut_mm == pytest.approx(0.2 * (1.0 - math.cos(math.atan(1.0 / 6.0) / 2.0)), abs=5e-5)


def test_the_part_is_untouched_within_a_tenth_of_a_micrometre_and_the_last_digit(proof: Proof) -> None:
    assert 0.0 <= proof.gouge_mm <= 1e-4 + 0.0005


def test_the_part_that_falls_is_the_part_of_the_drawing(proof: Proof) -> None:
    """Tool paths by the published shifts of a nose on tapers and arcs leave the drawn surface: within 1 µm."""
    (piece,) = proof.parted
    assert shapely.hausdorff_distance(polygon(piece.outline), region(PART), densify=0.05) < 0.001
    assert program(SHAFT_TEXT).steps and SHAFT_TEXT.splitlines()[piece.after_line - 1] == "G01 X-0.2"


def test_what_stands_is_the_bar_behind_the_kerf(proof: Proof) -> None:
    (bar,) = proof.result
    assert polygon(bar).bounds == pytest.approx((-60.0, 0.0, -32.0, 10.0), abs=1e-6)


def test_the_corner_that_a_nose_leaves() -> None:
    """A 0.2 mm nose in a square corner: the middle of its arc lies r (1 - 1/sqrt 2) = 0.0586 mm from each wall."""
    square = polyline(
        [(-60.0, 0.0), (-32.0, 0.0), (-32.0, 9.0), (-32.5, 9.0), (-32.5, 10.0), (-60.0, 10.0)], close=True
    )
    proof = proven(goal=(PART[0], square))
    (left,) = proof.uncut
    assert left.thick_mm == pytest.approx(0.2 * (1.0 - math.sqrt(0.5)), abs=2e-4)
    assert proof.uncut_mm == left.thick_mm and codes(proof) == {"parted", "uncut"}
    assert left.at == pytest.approx((-32.4414, 9.0586), abs=2e-3)


def test_removed_is_the_bar_less_what_is_left(proof: Proof) -> None:
    left = sum(volume(polygon(o)) for o in (*proof.result, proof.parted[0].outline))
    assert proof.removed_mm3 == pytest.approx(math.pi * 100.0 * 61.0 - left, rel=1e-9)
    assert volume(region(GOAL)) == pytest.approx(left, rel=1e-4)


def test_states_only_shrink(proof: Proof) -> None:
    sizes = [sum(polygon(o).area for o in s) for s in proof.states]
    assert sizes == sorted(sizes, reverse=True) and sizes[0] == pytest.approx(600.0)
    assert len(proof.states) == len(program().operations) == len(proof.operations)


def test_facing_takes_the_saw_cut_off_and_nothing_else(proof: Proof) -> None:
    (faced,) = proof.states[0]
    assert polygon(faced).bounds == pytest.approx((-60.0, 0.0, 0.0, 10.0), abs=3e-5)
    assert polygon(faced).area == pytest.approx(600.0, abs=3e-4)


def test_seconds_add_up(proof: Proof) -> None:
    assert proof.seconds == pytest.approx(sum(o.seconds for o in proof.operations))
    feed = sum(o.cutting + o.air for o in proof.operations)
    assert feed == pytest.approx(proof.cutting_seconds + proof.air_seconds) and feed < proof.seconds


def test_air_is_the_share_of_the_way_outside_metal() -> None:
    """10 mm of air before a bar, 10 mm in it, at one feed: half and half; the nose meets the bar where it is widest."""
    text = SHAFT_TEXT[: SHAFT_TEXT.index("G00 Z0.\nG00 X22.")] + "G00 Z11.\nG00 X15.\nG01 Z-9. F0.1\nM30\n"
    turned = proven(text, goal=(box(-60.0, 1.0, 10.0),))
    feed = 20.0 / (0.1 * 1200.0) * 60.0
    assert turned.cutting_seconds == pytest.approx(feed / 2.0, rel=0.01)
    assert turned.air_seconds == pytest.approx(feed / 2.0, rel=0.01)


def test_a_second_pass_over_a_finished_surface_is_air() -> None:
    again = SHAFT_TEXT.replace("G01 Z-32.5 F0.12\nG01 X22.\n", "G01 Z-32.5 F0.12\nG01 Z1.\nG01 Z-32.5\nG01 X22.\n")
    once, twice = proven(), proven(again)
    assert twice.operations[1].cutting == pytest.approx(once.operations[1].cutting, rel=0.01)
    assert twice.operations[1].air > once.operations[1].air + 2.0 * 33.0 / (0.12 * 1200.0) * 60.0


def test_the_same_program_gives_the_same_proof() -> None:
    assert proven() == proven()


def test_an_empty_program_leaves_the_stock() -> None:
    nothing = proven("G21 G18 G90 G7\nM30\n")
    assert codes(nothing) == {"uncut"} and nothing.removed_mm3 == 0.0 and nothing.gouge_mm == 0.0
    assert math.isinf(nothing.closest_rapid_mm)
    assert nothing.uncut_mm == pytest.approx(math.hypot(2.0, 5.0))  # the bar's corner to the chamfer's end


def test_findings_come_ranked() -> None:
    bad = proven(SHAFT_TEXT.replace("M03", "M04"))
    ranks = [f.rank for f in bad.findings]
    assert ranks == sorted(ranks, key=["stop", "look", "note"].index) and ranks[0] == STOP


def test_the_tools_and_the_machine_are_those_of_the_shop() -> None:
    assert {t.kind for t in rack().values()} == {"turning", "blade"} and machine().spindle_sense == "forward"
