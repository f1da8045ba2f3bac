"""Jobs with holes, necks and face grooves, made down the whole road from the job's text to the proof of the program."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest
import shapely

from tests.plan.bench import area, faults, kinds, left, machine_text, made, rack_text, rack_without, standing
from toolpath.commands.road import Made
from toolpath.errors import CannotMake
from toolpath.motion import Rapid, Stop
from toolpath.plan.operations import ByHand

COLLET = {"in": "collet"}
FACE_BLADE = """
[[tool]]
number = 13
kind = "blade"
width = 2.0
reach = 6
corner = 0.1
face_grooves = [12, 30]
does = ["groove face"]
"""
BORED = {"hole": 8, "deep": 12, "floor": "flat", "made": "bored"}

CORNER = 0.1 * (math.sqrt(2.0) - 1.0) / math.sqrt(2.0)
"""mm: what a blade's corner of 0.1 mm leaves, its arc's middle to wall and floor, by geometry."""

JOBS: dict[str, dict[str, Any]] = {
    "ring": {
        "bar": {"dia": 22, "length": 70, "bore": 11.5},
        "outside": [{"dia": 20, "to": 10}],
        "inside": [{"dia": 14, "to": 4}, {"neck": 16, "length": 2}, {"dia": 14, "to": 10}],
        "holdings": [COLLET],
    },
    "cap": {
        "bar": {"dia": 16, "length": 70},
        "outside": [
            {"chamfer": 1},
            {"dia": 10, "to": 9},
            {"dia": "14 -0.02/-0.05", "to": 13},
            {"taper_to": 9, "to": 22},
        ],
        "inside": [BORED, {"hole": 2, "through": True, "from": "back", "made": "drilled"}],
        "holdings": [COLLET, COLLET],
        "thin": "warn",
    },
    "bush": {
        "bar": {"dia": 16, "length": 60},
        "outside": [{"dia": 12, "to": 14}],
        "inside": [{"hole": 8, "through": True, "made": "reamed"}],
        "holdings": [COLLET],
    },
    "bush from both ends": {
        "bar": {"dia": 16, "length": 60},
        "outside": [{"dia": 12, "to": 14}, {"dia": 15, "to": 20}],
        "inside": [{"hole": 8, "through": True, "made": "reamed"}],
        "holdings": [COLLET, COLLET],
    },
    "screw seat": {
        "bar": {"dia": 16, "length": 60},
        "outside": [{"dia": 12, "to": 14}],
        "inside": [{"chamfer": 1}, {"hole": 5, "deep": 10, "made": "drilled"}],
        "holdings": [COLLET],
    },
    "tapered seat": {
        "bar": {"dia": 25, "length": 90, "bore": 8},
        "outside": [{"dia": 22, "to": 12}],
        "inside": [{"dia": 16, "to": 4}, {"taper_to": 12, "to": 8}, {"fillet": 1}, {"dia": 9, "to": 12}],
        "holdings": [COLLET],
    },
    "stepped bore": {
        "bar": {"dia": 25, "length": 90},
        "outside": [{"dia": 22, "to": 24}],
        "inside": [{"dia": 16, "to": 6}, {"taper_to": 13, "to": 9}, {"hole": 12, "deep": 12, "floor": "flat"}],
        "holdings": [COLLET],
    },
    "bored right through": {
        "bar": {"dia": 25, "length": 90},
        "outside": [{"dia": 22, "to": 12}],
        "inside": [{"dia": 14, "to": 12}],
        "holdings": [COLLET],
    },
    "face groove": {
        "bar": {"dia": 25, "length": 90},
        "outside": [{"dia": 24, "to": 12}],
        "face": [{"groove": 18, "inner_dia": 12, "deep": 2}],
        "holdings": [COLLET],
        "rack": rack_text() + FACE_BLADE,
    },
    "groove in the back face": {
        "bar": {"dia": 25, "length": 90},
        "outside": [{"dia": 24, "to": 16}],
        "face": [{"groove": 18, "inner_dia": 12, "deep": 2, "from": "back"}],
        "holdings": [COLLET, {**COLLET, "turn_to": 3}],
        "rack": rack_text() + FACE_BLADE,
    },
    "not parted": {
        "bar": {"dia": 16, "length": 60},
        "outside": [{"dia": 12, "to": 14}],
        "inside": [{"hole": 5, "through": True}],
        "holdings": [COLLET],
        "parting": {"off": False},
    },
    "turn_to at a wall": {
        "bar": {"dia": 20, "length": 80},
        "outside": [{"dia": 18, "to": 14}, {"dia": 12, "to": 22}],
        "holdings": [COLLET, {**COLLET, "turn_to": 8}],
    },
    "turn_to on an arc": {
        "bar": {"dia": 20, "length": 80},
        "outside": [{"dia": 10, "to": 10}, {"bulge_to": 10, "to": 30, "radius": 14}],
        "holdings": [COLLET, {**COLLET, "turn_to": 10}],
    },
    "turn_to before the belly": {
        "bar": {"dia": 20, "length": 80},
        "outside": [{"dia": 10, "to": 10}, {"bulge_to": 10, "to": 30, "radius": 14}],
        "holdings": [COLLET, {**COLLET, "turn_to": 14}],
    },
    "held where it is said": {
        "bar": {"dia": 20, "length": 80},
        "outside": [{"dia": 12, "to": 10}, {"dia": 18, "to": 22}, {"dia": 10, "to": 30}],
        "holdings": [COLLET, {**COLLET, "grip": "part", "held": [1, 9]}],
    },
    "drawn blank": {
        "bar": {"outside": [{"dia": 20, "to": 15}, {"dia": 24, "to": 60}]},
        "outside": [{"dia": 16, "to": 12}, {"dia": 18, "to": 20}],
        "holdings": [COLLET],
    },
}


@cache
def job(name: str) -> Made:
    return made(**JOBS[name])


@pytest.mark.parametrize("name", JOBS)
def test_every_promise_is_kept(name: str) -> None:
    """No gouge, nothing that stops, no more left than told, every set-up begun with what the one before it left."""
    assert faults(job(name)) == []


@pytest.mark.parametrize("name", JOBS)
def test_the_last_piece_is_the_part(name: str) -> None:
    """The area of the half-section that came out, against the one drawn: by the proof's own sweep, not by the plan."""
    done = job(name)
    last = done.setups[-1]
    part = area(last.plan.request.part.outline)
    piece = standing(last)
    # A piece that hangs on its stub is one with the bar until a hand takes it.
    piece = piece.intersection(shapely.box(-last.plan.request.part.length, 0.0, 1.0, 100.0))
    assert part.difference(piece.buffer(0.002)).area < 1e-3, "metal of the part is missing"
    thickest = max([0.03, *(left(s) for s in done.setups)])
    over = piece.difference(part.buffer(thickest + 0.02))
    assert over.area < 1e-3, shapely.bounds(over)


def test_a_ring_is_bored_its_neck_grooved_and_it_is_parted_into_its_hole() -> None:
    (one,) = job("ring").setups
    found = kinds(one)
    assert found.index("rough") < found.index("groove") < found.index("part off")
    blade = next(op for op in one.plan.operations if op.kind == "groove")
    assert not isinstance(blade, ByHand) and blade.tool.number == 11
    assert left(one) == pytest.approx(0.2 / math.sqrt(2.0), abs=1e-3)  # the far edge, which only the other end sees
    assert any("far edge" in r.why for r in one.plan.left)
    assert any(r.thick == pytest.approx(CORNER, abs=1e-3) for r in one.plan.left)
    # The blade goes into the hole and not to the axis.
    off = one.read_back.operations[-1]
    assert min(s.end[1] for s in off.steps if hasattr(s, "end")) > 5.0


def test_a_cap_is_drilled_bored_and_met_from_the_back() -> None:
    one, two = job("cap").setups
    assert [k for k in kinds(one) if k in ("centre", "drill", "flat bottom")] == ["centre", "drill", "flat bottom"]
    assert "drill" in kinds(two) and two.plan.request.turned_round
    # The holes meet: from the back face at z = 0 down to the bore's floor the axis is free.
    free = shapely.box(-22.0, 0.0, 0.0, 0.99)
    assert standing(two).intersection(free).area < 1e-6


def test_a_bush_is_reamed_after_a_drill_that_leaves_it_metal() -> None:
    (one,) = job("bush").setups
    found = kinds(one)
    order = [found.index(k) for k in ("centre", "drill", "ream", "countersink", "part off")]
    assert order == sorted(order)
    said = [op.does for op in one.plan.operations if isinstance(op, ByHand)]
    assert "7.8 mm" in said[1] and "reamer 8 H7" in said[2]
    # Reamed to size for all of its length but the far edge, which is told.
    piece = standing(one)
    assert piece.intersection(shapely.box(-14.0, 0.0, 0.0, 3.999)).area < 1e-6
    assert piece.intersection(shapely.box(-13.8, 0.0, -0.2, 4.01)).area > 0.1


def test_a_named_chamfer_on_a_drilled_hole_is_countersunk() -> None:
    (one,) = job("screw seat").setups
    assert kinds(one) == ["face", "centre", "drill", "countersink", "rough", "finish", "part off"]
    assert left(one) == 0.0


def test_without_a_countersink_a_bar_makes_the_chamfer() -> None:
    no = rack_text().replace('kind  = "countersink"\nangle = 90', 'kind  = "countersink"\nangle = 60')
    assert no != rack_text()
    done = made(**JOBS["screw seat"], rack=no)
    assert faults(done) == []
    assert "countersink" not in kinds(done.setups[0])


def test_solid_bar_is_drilled_through_before_it_is_bored_through() -> None:
    (one,) = job("bored right through").setups
    found = kinds(one)
    assert "flat bottom" not in found and found[-1] == "part off"
    assert standing(one).intersection(shapely.box(-12.0, 0.0, 0.0, 6.999)).area < 1e-6


def test_the_bar_of_a_groove_goes_in_first_and_last_out() -> None:
    (one,) = job("face groove").setups
    assert kinds(one)[-2:] == ["groove", "part off"]
    assert left(one) == pytest.approx(CORNER, abs=1e-3)


def test_metal_left_in_the_first_holding_is_still_told_in_the_second() -> None:
    one, two = job("turn_to on an arc").setups
    assert 0.0 < left(one) <= left(two)
    assert any("set-up 1 left it" in r.why for r in two.left)


# ---------------------------------------------------------------- refusals


def refused(**job: Any) -> str:
    with pytest.raises(CannotMake) as told:
        made(**job)
    return str(told.value)


def test_a_hole_from_the_back_needs_a_second_holding() -> None:
    told = refused(outside=[{"dia": 12, "to": 14}], inside=[{"hole": 5, "deep": 6, "from": "back"}])
    assert "a hollow seen from the back" in told and "second [[holding]]" in told


def test_a_groove_in_the_back_face_needs_a_second_holding() -> None:
    one = {**JOBS["groove in the back face"], "holdings": [COLLET]}
    assert "a groove in the back face" in refused(**one)


def test_a_flat_floor_deeper_than_the_flat_drill_is_refused_with_its_flutes() -> None:
    told = refused(
        outside=[{"dia": 22, "to": 24}], inside=[{"dia": 16, "to": 6}, {"dia": 12, "to": 14}], holdings=[COLLET]
    )
    assert "14.00 mm deep" in told and "13 mm of flutes" in told


def test_a_bore_without_a_bar_is_refused_with_the_reason_of_each() -> None:
    told = refused(**JOBS["stepped bore"], rack=rack_without(7, 8))
    assert "no boring bar goes" in told


def test_a_bar_too_short_for_the_depth_is_refused_with_its_reach() -> None:
    job = JOBS["tapered seat"]
    deeper = {**job, "outside": [{"dia": 22, "to": 20}], "inside": [*job["inside"][:-1], {"dia": 9, "to": 20}]}
    told = refused(**deeper)
    # The bar ground from a 4 mm bit stands out 16 mm; part, slot of 2 mm and its run-out of 0.5 mm are 22.5 mm.
    assert "T8: it stands out 16 mm" in told and "can not go 22.50 mm deep" in told
    assert "T7: a bar of 8 mm can not enter a 8 mm hole" in told


def test_a_face_groove_needs_a_blade_bent_for_faces() -> None:
    told = refused(**{k: v for k, v in JOBS["face groove"].items() if k != "rack"})
    assert "the rack has no blade bent for faces" in told


def test_a_blade_bent_for_other_grooves_is_refused_with_its_range() -> None:
    other = rack_text() + FACE_BLADE.replace("[12, 30]", "[30, 60]")
    told = refused(**{**JOBS["face groove"], "rack": other})
    assert "30 to 60 mm" in told and "18.4 mm" in told


def test_drilling_from_the_post_needs_a_drill_holder() -> None:
    post = machine_text() + '\ndrilling = "post"\n'
    assert "no drill holder of the rack takes" in refused(**JOBS["bush"], machine=post)


POST = '\ndrilling = "post"\n'
CHUCK = '\n[[tool]]\nnumber = 12\nkind = "drill holder"\nlargest = 13\nchuck = 40\n'


def test_drills_follow_one_another_in_one_chuck_under_numbers_of_their_own() -> None:
    """With a stop before each; under its own offset, so that the control never mixes them up."""
    rack = rack_text() + CHUCK + "further = [13, 14, 15]\n"
    done = made(**JOBS["bush"], machine=machine_text() + POST, rack=rack)
    assert faults(done) == []
    (one,) = done.setups
    on_axis = {op.kind: op.tool for op in one.plan.operations if not isinstance(op, ByHand) and op.tool.works == "hole"}
    assert [(kind, t.number, t.offset) for kind, t in on_axis.items()] == [
        ("centre", 12, 12), ("drill", 13, 13), ("ream", 14, 14), ("countersink", 15, 15),
    ]  # fmt: skip
    assert {max(e.a[1] for e in t.holder[-1]) for t in on_axis.values()} == {20.0}  # the chuck that the rack states
    stops = [s.text for op in one.read_back.operations for s in op.steps if isinstance(s, Stop)]
    told = [t for t in stops if "into the drill holder 12" in t]
    assert len(told) == 4 and all("touch it off anew" in t for t in told)
    # Each is clear of the work at the change point, whichever longer one stood there before.
    assert one.plan.change_point[0] >= max(t.reach for t in on_axis.values())


def test_a_chuck_too_small_for_a_drill_is_refused_by_the_drill() -> None:
    """A hole of 12 mm: a chuck up to 10 mm takes centre drill and pilot, and not that."""
    small = rack_text() + CHUCK.replace("largest = 13", "largest = 10") + "further = [13, 14, 15]\n"
    job = {"outside": [{"dia": 20, "to": 30}], "inside": [{"hole": 12, "deep": 10}], "bar": {"dia": 25, "length": 100}}
    told = refused(**job, machine=machine_text() + POST, rack=small)
    assert "no drill holder of the rack takes the drill 12 mm" in told


def test_a_chuck_without_a_number_left_is_refused_with_what_has_them() -> None:
    rack = rack_text() + CHUCK + "further = [13]\n"
    told = refused(**JOBS["bush"], machine=machine_text() + POST, rack=rack)
    assert "no number is left for the reamer 8 H7: T12 the centre drill A3.15" in told
    assert "T13 the drill 7.8 mm" in told and "write further = [13, 14]" in told


def test_a_turret_has_one_drill_in_a_place() -> None:
    rack = rack_text() + CHUCK + "further = [13, 14, 15]\n"
    turret = machine_text().replace('tool_change = "hand"', 'tool_change = "turret"')
    assert "the turret would turn to its place 13" in refused(**JOBS["bush"], machine=turret + POST, rack=rack)


@pytest.mark.parametrize(
    ("material", "length", "way"),
    [
        ("mild steel", 22, "drawn back 0.5 mm between pecks to break the chip: 4.7 diameters deep in mild steel"),
        ("mild steel", 34, "out of the hole between pecks to clear the chips: 7.1 diameters deep in mild steel"),
        ("brass", 22, "out of the hole between pecks to clear the chips: 4.7 diameters deep in free-cutting brass"),
    ],
)
def test_chips_are_broken_or_cleared_as_depth_and_material_have_it(material: str, length: int, way: str) -> None:
    job = {"outside": [{"dia": 20, "to": 40}], "inside": [{"hole": 5, "deep": length}], "material": material}
    rack = rack_text() + CHUCK + "further = [13, 14, 15]\n"
    done = made(**job, machine=machine_text() + POST, rack=rack)
    assert faults(done) == []
    at = kinds(done.setups[0]).index("drill")
    assert way in done.setups[0].plan.operations[at].because
    ups = [s for s in done.setups[0].read_back.operations[at].steps if isinstance(s, Rapid) and s.end[0] > s.start[0]]
    inside = [s for s in ups if s.end[0] < 0.0]
    assert bool(inside) == ("drawn back" in way)
    assert {round(s.end[0] - s.start[0], 6) for s in inside} <= {0.5}
    by_hand = made(**job).setups[0].plan.operations
    (told,) = [op for op in by_hand if isinstance(op, ByHand) and op.kind == "drill"]
    assert ("back 0.5 mm to break the chip" if inside else "then out to clear the chips") in told.does
    assert way in told.because
