"""The finish pass left to the control's own nose compensation: the same surface, or a refusal that names the reason."""

from __future__ import annotations

import math
import re
from functools import cache

import pytest
import shapely

from posts.reader import read
from tests.plan.workshop import Piece, cuts, made, moves, part, rack, request, setting, words
from toolpath.errors import BadInput, CannotMake
from toolpath.geometry.elements import Line
from toolpath.geometry.frame import INSIDE, OUTSIDE
from toolpath.motion import ArcCut, Side
from toolpath.passes.legs import Leg, in_frame
from toolpath.proof.prove import prove

ARBOR = (
    {"chamfer": 1, "angle": 30},
    {"dia": 8, "to": 14},
    {"radius": 0.8, "on": "foot"},
    {"chamfer": 0.5, "on": "edge"},
    {"dia": 12, "to": 34},
    {"radius": 1.5, "on": "foot"},
    {"radius": 1.0, "on": "edge"},
    {"dia": 18, "to": 42},
    {"chamfer": 1.0},
)


@cache
def arbor(compensation: str) -> Piece:
    return made(request(part(*ARBOR, break_edges=0.2), compensation=compensation))


def contour_text(piece: Piece) -> list[str]:
    """The blocks from the word for right up to that for off, both included."""
    lines = piece.text.text.splitlines()
    first = next(i for i, line in enumerate(lines) if line.startswith("G42"))
    last = next(i for i, line in enumerate(lines) if line.startswith("G40"))
    return lines[first : last + 1]


def test_both_ways_make_the_same_surface() -> None:
    program, control = arbor("program"), arbor("control")
    assert (program.stops, control.stops) == ([], [])
    assert control.proof.gouge_mm <= 0.6e-3
    assert control.proof.uncut_mm == pytest.approx(program.proof.uncut_mm, abs=1e-3)
    for ours, theirs in zip(control.proof.result, program.proof.result, strict=True):
        assert shapely.hausdorff_distance(shapely.Polygon(ours), shapely.Polygon(theirs)) < 1e-3


def test_the_text_holds_the_part_itself() -> None:
    """The drawing's own places: diameters 8, 12, 18 and their stations, broken edges, in the order of travel."""
    blocks = contour_text(arbor("control"))
    assert blocks[0].startswith("G42 G01 X6.845 Z0.0")  # 8 - 2 tan 30 degrees
    assert blocks[1] == "X8.0 Z-1.0"
    assert blocks[2] == "Z-13.2"
    assert blocks[3].startswith("G02 X9.6 Z-14.0 I0.8 K0.0")
    slower = float(blocks[3].split("F")[1]) / arbor("control").planned("finish").data.feed.value
    assert slower == pytest.approx((0.8 - 0.4) / 0.8, abs=0.02), "the nose's way along a hollow is the shorter one"
    assert "X12.0 Z-14.5" in blocks
    assert any(re.match(r"G03 X18\.0 Z-35\.0 I0\.0 K-1\.0", block) for block in blocks)
    assert not any("G4" in block for block in blocks[1:-1])


def test_only_the_finish_pass_is_compensated() -> None:
    piece = arbor("control")
    for op, planned in zip(piece.plan.program.operations, piece.plan.operations, strict=True):
        sides = {s.state.compensation.side for s in op.steps if s.state.compensation}
        assert sides == ({Side.RIGHT} if planned.kind == "finish" else set())
    assert all(s.state.compensation is None for s in arbor("program").plan.program.steps)


def test_the_ways_in_and_out_are_longer_than_the_nose() -> None:
    piece = arbor("control")
    operation = piece.plan.program.operations[[o.kind for o in piece.plan.operations].index("finish")]
    way_in, *_, way_out = cuts(operation)
    nose = piece.planned("finish").tool.nose_radius
    # The lead of a finish pass, 0.5 mm beyond the clearance, is to spare on top.
    spare = piece.asked.machine.clearance + 0.5
    assert math.dist(way_in.start, way_in.end) > 2.0 * nose + spare
    assert math.dist(way_out.start, way_out.end) > 2.0 * nose + spare


def test_the_tip_goes_the_same_way_as_when_the_program_moves_it() -> None:
    """Every arc of the one pass is an arc of the other, to the last digit."""
    ours, theirs = (
        [m for m in moves(arbor(c).operation("finish")) if isinstance(m, ArcCut)] for c in ("control", "program")
    )
    assert len(ours) == len(theirs)
    for a, b in zip(ours, theirs, strict=True):
        assert a.ccw == b.ccw
        assert math.dist(a.end, b.end) < 2e-3
        assert math.dist(a.start, b.start) < 2e-3


def test_the_comment_says_what_the_tool_table_must_hold() -> None:
    """Number 2 is an outside tool that cuts towards the chuck where this dialect's language numbers tips."""
    assert "(tool table: nose radius 0.4 mm, tip number 2, tip towards -z -x)" in arbor("control").text.text
    assert any("tool table must hold" in c for c in arbor("control").plan.cautions)
    assert not any("tool table" in c for c in arbor("program").plan.cautions)


def test_a_wrong_nose_in_the_tool_table_shows() -> None:
    """0.6 instead of 0.4 mm: where the first surface is a cylinder the way in still fits; the chamfer is cut too deep
    by 0.2 (sin 45 + cos 45 - 1) = 0.083 mm (the published error of a nose that is left out)."""
    rows = ({"dia": 8, "to": 14}, {"radius": 0.8, "on": "foot"}, {"chamfer": 1.0, "on": "edge"}, {"dia": 14, "to": 24})
    piece = made(request(part(*rows), compensation="control", rack=rack(1, 4)))
    assert piece.stops == []
    wrong = read(piece.text.text, words(), noses={1: (0.6, (-1, -1))})
    assert prove(wrong, setting(piece.asked, piece.plan)).gouge_mm == pytest.approx(0.083, abs=2e-3)


def test_a_wrong_nose_is_refused_where_the_way_in_no_longer_fits() -> None:
    with pytest.raises(BadInput, match="the nose would turn"):
        read(arbor("control").text.text, words(), noses={1: (0.6, (-1, -1))})


REFUSED = {
    "a square shoulder": (({"dia": 8, "to": 10}, {"dia": 14, "to": 20}), "inner corner at z -10.00, diameter 8.00"),
    "a valley between two tapers": (
        ({"dia": 18, "to": 4}, {"taper_to": 16, "to": 24}, {"taper_to": 18, "to": 44}),
        "inner corner at z -24.00, diameter 16.00",
    ),
    "a hollow as large as the nose": (
        ({"dia": 8, "to": 10}, {"radius": 0.4, "on": "foot"}, {"dia": 14, "to": 20}),
        "hollow of radius 0.400",
    ),
    "a dome, begun below the axis": (({"dome_to": 16, "sphere_dia": 16}, {"dia": 16, "to": 20}), "below the axis"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_by_name_with_the_other_way_named(name: str) -> None:
    rows, says = REFUSED[name]
    asked = request(part(*rows, break_edges=0.2), compensation="control", rack=rack(1, 4))
    with pytest.raises(CannotMake, match="The program itself can") as caught:
        made(asked)
    assert says in str(caught.value)
    assert "T1" in str(caught.value)


def test_a_slope_that_the_edge_shades_is_refused() -> None:
    """CCMT at 95 degrees goes down no slope of more than 5 degrees; every hollow here is rounder than its nose."""
    rows = (
        {"dia": 20, "to": 8},
        {"taper_to": 14, "to": 14},
        {"radius": 2},
        {"dia": 14, "to": 26},
    )
    with pytest.raises(CannotMake, match=r"metal stays at z .* because (the edge|what carries)"):
        made(request(part(*rows), compensation="control", rack=rack(1, 4)))


def test_a_mirrored_frame_swaps_the_sides() -> None:
    """One reflection of the plane swaps left and right (public control manuals)."""
    legs = (Leg(Line((0.0, 5.0), (-3.0, 5.0)), side=Side.RIGHT), Leg(Line((-3.0, 5.0), (-3.0, 9.0))))
    assert [leg.side for leg in in_frame(legs, OUTSIDE)] == [Side.RIGHT, None]
    assert [leg.side for leg in in_frame(legs, OUTSIDE.mirrored())] == [Side.LEFT, None]
    assert [leg.side for leg in in_frame(legs, INSIDE)] == [Side.LEFT, None]


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_cone_is_made_by_any_nose(number: int) -> None:
    rows = ({"chamfer": 4, "angle": 30}, {"dia": 20, "to": 22})
    piece = made(request(part(*rows), compensation="control", rack=rack(number, 4)))
    assert piece.stops == []
    assert piece.proof.gouge_mm <= 0.6e-3
    assert piece.proof.uncut_mm < 5e-3
