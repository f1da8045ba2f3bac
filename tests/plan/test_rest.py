"""What the right-hand tools leave: the blade takes it where there is one; else the plan says what stays."""

from __future__ import annotations

import math
import re
from functools import cache

import pytest
import shapely

from tests.plan.workshop import Piece, made, part, rack, request
from toolpath.geometry.cutter import Touch
from toolpath.geometry.elements import points_of
from toolpath.geometry.minimum import lower
from toolpath.part.halfsection import HalfSection
from toolpath.plan.choose import finishing_tool, outside_tools
from toolpath.plan.reach import WHY, Reach
from toolpath.plan.rest import OVERLAP, WORTH, Rest, after, further_tools, left_by_all, stretch
from toolpath.plan.workpiece import workpiece
from toolpath.shop.tools import Tool

FORGIVEN = 1e-4 + 0.0005
"""mm of gouge: 0.1 µm and half of the control's last digit of 0.001 mm."""

NEAR = 0.02
"""mm between what the plan says is left and what the proof finds."""

RIGHT_HAND = rack(1, 2, 3)
FRONT_WALL = -10.0
"""z of the wall of the neck that looks at the chuck, which no right-hand tool sees."""


def necked(length: float = 4.0) -> HalfSection:
    """A spindle of 20 with a square neck of 14."""
    return part({"dia": 20, "to": 10}, {"neck": 14, "length": length}, {"dia": 20, "to": 30})


@cache
def with_all() -> Piece:
    return made(request(necked()))


@cache
def with_right_hand_only() -> Piece:
    return made(request(necked(), rack=RIGHT_HAND, parted=False))


@cache
def planned_rest(length: float, tools: tuple[int, ...]) -> tuple[Reach, tuple[Rest, ...]]:
    """(the finishing tool's reach, the further tools) of a rack."""
    asked = request(necked(length), rack=rack(*tools), parted=False)
    work = workpiece(asked, None, largest_nose=0.4)
    first, _ = finishing_tool(outside_tools(asked.rack), work.outside)
    return first.reach, further_tools(asked.rack, work.outside, first.reach)


def tool_of(piece: Piece, kind: str) -> Tool:
    found = piece.planned(kind).tool
    assert isinstance(found, Tool)
    return found


# ---------------------------------------------------------------- with a blade


def test_the_blade_cuts_the_neck_and_the_proof_agrees() -> None:
    piece = with_all()
    assert tool_of(piece, "groove").kind == "blade"
    assert piece.stops == []
    assert piece.proof.gouge_mm <= FORGIVEN
    assert piece.proof.uncut_mm <= piece.left + NEAR
    # All that is left is in the corners of the floor, where the blade's own corner of 0.1 mm does not go: the middle
    # of its arc stands (1 - 1 / sqrt 2) r = 0.0293 mm off floor and wall, by geometry.
    assert piece.left == pytest.approx(0.0293, abs=1e-3)
    assert piece.proof.uncut_mm == pytest.approx(piece.left, abs=1e-3)


def test_no_thick_metal_stands_in_the_neck_afterwards() -> None:
    """Held against the part itself, not against the goal that the plan made of it."""
    piece = with_all()
    neck = shapely.box(FRONT_WALL - 4.0, 7.0, FRONT_WALL, 10.0)
    # The state before parting is the last in which part and bar are one.
    before = piece.proof.states[-2]
    metal = shapely.union_all([shapely.Polygon([(p[0], p[1]) for p in outer(o)]) for o in before])
    assert metal.intersection(neck.buffer(-0.05)).area < 1e-4


def outer(outline: object) -> list[tuple[float, float]]:
    """Corners of an outline as the proof has it."""
    if isinstance(outline, tuple) and outline and hasattr(outline[0], "flattened"):
        return points_of(outline, 1e-3)
    return [(float(p[0]), float(p[1])) for p in outline]  # type: ignore[attr-defined]


def test_because_names_the_figures() -> None:
    because = with_all().planned("groove").because
    found = re.match(r"T4 takes what is left: at most (\d+\.\d\d) mm before, (\d+\.\d\d) mm after it; ", because)
    assert found, because
    before, after = float(found[1]), float(found[2])
    # A wall 3 mm high and an edge 52 deg behind the nose, counted 2 deg flatter: on that edge the place that is as far
    # from the wall as from the floor is d = 3 - d tan 50 from both, by geometry.
    assert before == pytest.approx(3.0 / (1.0 + math.tan(math.radians(50.0))), abs=0.01)
    assert after < WORTH
    assert "no other tool takes any" in because


def test_a_wide_neck_tells_what_the_next_best_tool_would_leave() -> None:
    _, further = planned_rest(12.0, (1, 2, 3, 4, 6))
    found = re.search(r"the next best tool would leave (\d+\.\d\d) mm$", further[0].because)
    assert found, further[0].because
    assert WORTH < float(found[1]) < 1.93


# ---------------------------------------------------------------- without


def test_without_blade_and_left_hand_tool_it_stays_and_the_plan_says_so() -> None:
    piece = with_right_hand_only()
    assert [op.kind for op in piece.plan.operations] == ["face", "rough", "finish"]
    assert piece.stops == []
    worst = max(piece.plan.left, key=lambda r: r.thick)
    assert worst.thick == pytest.approx(piece.proof.uncut_mm, abs=0.01) and worst.thick > 1.3
    assert worst.why == "the edge behind the nose shades the wall"
    zs = [p[0] for p in points_of(worst.outline, 1e-3)]
    assert max(zs) == pytest.approx(FRONT_WALL, abs=0.3), "it leans on the wall that looks at the chuck"
    assert piece.proof.gouge_mm <= FORGIVEN


def test_the_metal_that_stays_is_where_the_plan_says() -> None:
    """The area of the outline is what stands between the wall and the slope of the edge (less than a triangle)."""
    worst = max(with_right_hand_only().plan.left, key=lambda r: r.thick)
    area = shapely.Polygon(points_of(worst.outline, 1e-3)).area
    # Edge 52 deg behind the nose, counted 2 deg flatter: a triangle 3 high and 3 / tan 50 long.
    assert area == pytest.approx(3.0 * 3.0 / 1.19175 / 2.0, rel=0.1)


def test_a_rack_of_right_hand_tools_has_no_further_tool() -> None:
    first, further = planned_rest(4.0, (1, 2, 3))
    assert further == ()
    left = left_by_all([first], lower(first.side.stands, first.stands))
    thick = max(region.thick for region in left)
    assert thick == pytest.approx(3.0 / (1.0 + math.tan(math.radians(50.0))), abs=0.01)
    # The reason for the first tool tells the same figure as the table of what is left.
    assert first.in_words().startswith(f"leaves {thick:.2f} mm at z")


# ---------------------------------------------------------------- where it goes


@pytest.mark.parametrize("length", [3.0, 4.0, 12.0])
def test_spans_lie_on_what_was_left_and_the_cut_goes_on_into_what_is_finished(length: float) -> None:
    first, further = planned_rest(length, (1, 2, 3, 4))
    (rest,) = further
    assert rest.reach.tool.kind == "blade"
    assert OVERLAP == 0.3
    for lo, hi in rest.spans:
        assert FRONT_WALL - length - 1e-6 <= lo <= hi <= FRONT_WALL + 1e-6
        pieces = stretch(rest.reach, (lo, hi))
        # The blade touches the floor from its chuck-side corner on: the path starts OVERLAP before the span,
        # except where the wall of the neck is nearer.
        start = pieces[0].path.a[0]
        assert start <= max(lo - OVERLAP, FRONT_WALL - length) + 0.1 + 1e-4
    assert max(hi for _, hi in rest.spans) == pytest.approx(FRONT_WALL, abs=0.01)
    stands = after(rest.reach, rest.spans, lower(first.side.stands, first.stands))
    left = left_by_all([first, rest.reach], stands)
    assert left and all(region.thick < WORTH for region in left)
    assert {region.why for region in left} <= {WHY[Touch.NOSE], WHY[Touch.FLAT]}, "no longer the first tool's edge"


# ---------------------------------------------------------------- a holder near the work


def test_roughing_keeps_the_holder_off_what_the_edge_leaves_behind_it() -> None:
    """T1 down a slope of 25 deg, far steeper than the 5 deg behind its nose: its holder follows over the collar."""
    neck = {"neck": 17, "to": 55, "front_wall_angle": 65, "foot_radius": 0.5}
    drawn = part({"dia": 20, "to": 34}, {"dia": 23.9, "to": 44}, neck, {"dia": 20, "to": 60}, break_edges=0.3)
    piece = made(request(drawn, rack=rack(1, 4)))
    assert piece.stops == []
    assert piece.proof.gouge_mm <= FORGIVEN
    assert piece.proof.uncut_mm <= piece.left + NEAR


# ---------------------------------------------------------------- the back corner


def test_the_blade_takes_the_whole_of_a_back_corner_beside_a_long_collar() -> None:
    """The collar goes on level from its front shoulder past the corner: all of it stands beside the blade."""
    piece = made(request(part({"dia": 12, "to": 34}, {"dia": 18, "to": 42}, {"chamfer": 1.0})))
    corner = [u for u in piece.proof.uncut if u.at[0] < -40.0]
    assert not corner, [(u.thick_mm, u.at) for u in corner]


def test_what_rises_of_a_rounded_back_corner_is_turned() -> None:
    """The round between a slope up and a slope down to the back rises over where the slope up ends: the tool that turns
    on behind the part must not cut that off."""
    rows = ({"dia": 12, "to": 20}, {"taper_to": 20, "to": 24.2}, {"radius": 0.5}, {"taper_to": 12, "to": 25})
    piece = made(request(part(*rows)))
    assert piece.stops == []
    assert piece.proof.gouge_mm <= FORGIVEN
    assert piece.proof.uncut_mm <= piece.left + NEAR
