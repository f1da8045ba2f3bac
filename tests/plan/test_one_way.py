"""Backlash: where a finish pass turns round along X is named with the step's size, and the pass can be split."""

from __future__ import annotations

import math
from functools import cache

import pytest

from tests.plan.bench import faults, machine_text, made
from toolpath.commands.road import Made
from toolpath.errors import BadInput
from toolpath.motion import ArcCut, Cut

ROWS = {
    "a ball": [{"dome_to": 14, "sphere_dia": 16}, {"dia": 12, "to": 16}, {"dia": 22, "to": 26}],
    "a hollow": [{"dia": 20, "to": 4}, {"taper_to": 16, "to": 14}, {"taper_to": 20, "to": 24}, {"dia": 20, "to": 28}],
    "a shaft": [{"dia": 12, "to": 9}, {"dia": 20, "to": 22}],
}


@cache
def job(rows: str, one_way: bool, more: str = "") -> Made:
    return made(machine=machine_text() + more, outside=ROWS[rows], finish={"one_way": one_way}, parting={"off": False})


def turning_round(done: Made) -> list[tuple[float, float, float]]:
    """(z, diameter, size) of each place that is named."""
    return [(f.at[0], 2.0 * f.at[1], f.size_mm) for f in done.setups[0].proof.findings if f.code == "x-turns" and f.at]


def test_the_floor_of_a_hollow_is_named_with_the_size_of_its_step() -> None:
    """The tapers meet at z -14, diameter 16; the nose of 0.2 or 0.4 turns round beside it. Default backlash 0.05 mm."""
    found = turning_round(job("a hollow", False))
    assert any(z == pytest.approx(-14.0, abs=0.6) and d == pytest.approx(16.0, abs=0.3) for z, d, _ in found)
    assert {size for _, _, size in found} == {0.05}
    (text,) = {
        f.text for f in job("a hollow", False).setups[0].proof.findings if f.code == "x-turns" and "-1" in f.text
    }
    assert "0.05 mm, 0.1 on the diameter" in text and "one_way = true" in text


def test_the_backlash_of_the_machine_is_the_size() -> None:
    assert {size for *_, size in turning_round(job("a hollow", False, "backlash_x = 0.02\n"))} == {0.02}
    assert turning_round(job("a hollow", False, "backlash_x = 0\nbacklash_z = 0\n")) == []


def test_a_shaft_that_rises_to_the_chuck_turns_round_nowhere() -> None:
    """Its back edge, broken by 0.2 mm, is where it does; with the edge left sharp there is none."""
    assert {round(z) for z, *_ in turning_round(job("a shaft", False))} == {-22}
    sharp = made(outside=ROWS["a shaft"], parting={"off": False}, break_edges=0)
    assert turning_round(sharp) == []


@pytest.mark.parametrize("rows", ROWS)
@pytest.mark.parametrize("approach", ["towards the work", "away from the work"])
def test_split_the_pass_goes_one_way_and_leaves_the_same_part(rows: str, approach: str) -> None:
    """From the text: along X every cut in the metal of the finish pass goes as the slide is approached."""
    split, whole = job(rows, True, f'approach_x = "{approach}"\n'), job(rows, False)
    assert faults(split) == [] and turning_round(split) == []
    a, b = split.setups[0].proof, whole.setups[0].proof
    assert a.uncut_mm == pytest.approx(b.uncut_mm, abs=2e-3)
    if rows == "a hollow":
        assert turning_round(whole) != []
        finish = next(op for op in split.setups[0].read_back.operations if op.kind == "finish")
        sign = 1.0 if approach == "towards the work" else -1.0
        sloping = [m for m in finish.steps if isinstance(m, Cut | ArcCut) and abs(m.start[0] - m.end[0]) > 2.0]
        steep = [m for m in sloping if abs(m.start[1] - m.end[1]) > 0.5]
        assert len(steep) == 2 and all(sign * (m.start[1] - m.end[1]) > 0.0 for m in steep)
        assert math.copysign(1.0, steep[0].start[0] - steep[0].end[0]) != math.copysign(
            1.0, steep[1].start[0] - steep[1].end[0]
        ), "the halves are cut in opposite directions along Z"


def test_a_contour_that_the_control_compensates_is_not_split() -> None:
    with pytest.raises(BadInput, match=r"finish.one_way: a contour that the control keeps the nose off"):
        made(outside=ROWS["a shaft"], finish={"one_way": True, "compensation": "control"})


def test_the_program_says_from_which_side_a_touch_off_is_made() -> None:
    head = " ".join(line.strip("()") for line in job("a hollow", False).setups[0].text.text.splitlines()[:60])
    assert "Backlash X 0.05 mm, Z 0.05 mm" in head
    assert "let X come towards the work, Z towards the chuck" in head
    plain = job("a hollow", False, "backlash_x = 0\nbacklash_z = 0\n").setups[0].text.text
    assert "Backlash" not in plain


@pytest.mark.parametrize("approach", ["towards the work", "away from the work"])
def test_a_bore_is_split_too_and_its_floor_is_cut(approach: str) -> None:
    """A chamber of 15 mm behind a mouth of 14: towards its floor it narrows, so that the pass would turn round."""
    rows = {
        "outside": [{"dia": 24, "to": 20}],
        "inside": [{"dia": 14, "to": 4}, {"taper_to": 15, "to": 9}, {"taper_to": 12, "to": 12}],
        "parting": {"off": False},
        "machine": machine_text() + f'approach_x = "{approach}"\n',
    }
    whole, split = made(**rows), made(**rows, finish={"one_way": True})  # type: ignore[arg-type]
    inside = [place for place in turning_round(whole) if place[1] < 16.0]
    assert inside and faults(split) == [] and turning_round(split) == []
