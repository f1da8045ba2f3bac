"""Grooves in the end faces: part of the outside, measured in the face."""

from __future__ import annotations

import math

import pytest

from tests.part.rows import cone, cylinder, part, refusal
from toolpath.geometry.elements import Arc

BAR = "{ dia = 40, to = 10 }"
SOLID = cylinder(40, 10)


@pytest.mark.parametrize(
    ("face", "removed"),
    [
        ("{ groove = 26, inner_dia = 20, deep = 2 }", cylinder(26, 2) - cylinder(20, 2)),
        ("{ groove = 26, inner_dia = 20, deep = 2, from = 'back' }", cylinder(26, 2) - cylinder(20, 2)),
        ("{ groove = 30, inner_dia = 20, deep = 2, wall_angle = 45 }", cone(30, 26, 2) - cone(20, 24, 2)),
        ("{ groove = 30, inner_dia = 20, deep = 2, outer_wall_angle = 45 }", cone(30, 26, 2) - cylinder(20, 2)),
        (
            "{ groove = 36, inner_dia = 30, deep = 2 }, { groove = 20, inner_dia = 16, deep = 1 }",
            cylinder(36, 2) - cylinder(30, 2) + cylinder(20, 1) - cylinder(16, 1),
        ),
    ],
)
def test_a_face_groove_takes_away_a_ring(face: str, removed: float) -> None:
    assert part(BAR, face=face).volume() == pytest.approx(SOLID - removed, rel=1e-12)


def test_a_face_groove_is_wall_floor_wall_of_the_outside_with_its_limits() -> None:
    lid = part(BAR, face="{ groove = '26 +0.1/0', inner_dia = 20, deep = 2, foot_radius = 0.2 }")
    assert [(s.name, s.of, s.row) for s in lid.surfaces[:7]] == [
        ("front face", "outside", None),
        ("face groove dia 20 to 26.05, inner wall", "face", 0),
        ("fillet 0.2", "face", 0),
        ("face groove dia 20 to 26.05, floor", "face", 0),
        ("fillet 0.2", "face", 0),
        ("face groove dia 20 to 26.05, outer wall", "face", 0),
        ("front face", "outside", None),
    ]
    assert lid.surfaces[5].dia is not None and lid.surfaces[5].dia.value == pytest.approx(26.05)
    assert all(e.radius == pytest.approx(0.2) and e.sweep < 0.0 for e in lid.outside if isinstance(e, Arc))


def test_its_edges_are_broken_and_the_outside_s_own_corners_keep_their_rows() -> None:
    rows = "{ chamfer = 1, angle = 45 }, { dia = 40, to = 10 }, { radius = 1 }"
    faces = "{ groove = 26, inner_dia = 20, deep = 2 }, { groove = 26, inner_dia = 20, deep = 2, from = 'back' }"
    lid = part(rows, face=faces, inside="{ hole = 8, through = true }", break_edges=0.2)
    assert [s.name for s in lid.surfaces].count("broken edge 0.2") == 4
    assert [s.name for s in lid.surfaces if s.row is not None and s.of == "outside"] == [
        "chamfer 1 x 45°",
        "dia 40",
        "radius 1",
    ]
    assert lid.smallest_dia == pytest.approx(38.0)


@pytest.mark.parametrize(
    ("face", "inside", "message"),
    [
        ("{ groove = 42, inner_dia = 20, deep = 2 }", "",
         "part.face[0]: the face groove to dia 42 is wider than its face, dia 40"),
        ("{ groove = 20, inner_dia = 26, deep = 2 }", "",
         "part.face[0]: the face groove is dia 26 inside and dia 20 outside. Outside is larger"),
        ("{ groove = 26, inner_dia = 10, deep = 2 }", "{ hole = 12, through = true }",
         "part.face[0]: the face groove from dia 10 runs into the bore, dia 12"),
        ("{ groove = 26, inner_dia = 20, deep = 2 }, { groove = 36, inner_dia = 25, deep = 2 }", "",
         "part.face[1]: the face groove from dia 25 runs into the groove to dia 26"),
        ("{ groove = 26, inner_dia = 20, deep = 2, wall_angle = 60 }", "",
         "part.face[0]: the walls of the face groove meet before they come to its floor: they take 6.9282 mm and the "
         "groove is 3 mm wide"),
        ("{ groove = 26, inner_dia = 20, deep = 12 }", "",
         "part.face[0]: face groove dia 20 to 26, inner wall stands 2 mm out behind the part's own end"),
        ("{ groove = 26, inner_dia = 20 }", "", "part.face[0]: nothing says its deep. Write deep"),
        ("{ groove = 26, inner_dia = 20, deep = 2, wall_angle = 5, inner_wall_angle = 3 }", "",
         "part.face[0].wall_angle: wall_angle is that of both walls. Write it alone, or inner_ and outer_wall_angle"),
        ("{ groove = 26, inner_dia = 20, deep = 2, foot_radius = 4 }", "", "part.face[0]: fillet 4 takes"),
        ("3", "", "part.face[0]: a row is a table, not 3. Write { groove = 26, inner_dia = 20, deep = 2 }"),
    ],
)  # fmt: skip
def test_grooves_that_can_not_be(face: str, inside: str, message: str) -> None:
    assert refusal(BAR, face=face, inside=inside).startswith(message)


def test_a_groove_needs_a_face() -> None:
    message = refusal(
        "{ dome_to = 20, radius = 12 }, { dia = 20, to = 20 }", face="{ groove = 9, inner_dia = 6, deep = 1 }"
    )
    assert message.startswith("part.face[0]: there is no front face to cut into: the outside ends in dome radius 12")


def test_a_groove_may_not_run_into_an_undercut_behind_it() -> None:
    undercut = "{ dia = 8, to = 1 }, { neck = 24, to = 4 }, { dia = 8, to = 6 }"
    message = refusal(BAR, face="{ groove = 26, inner_dia = 20, deep = 2 }", inside=undercut)
    assert message.startswith("part.inside[1]: ") and "face groove dia 20 to 26" in message


def test_two_grooves_in_opposite_faces_may_not_meet() -> None:
    both = "{ groove = 26, inner_dia = 20, deep = 6 }, { groove = 26, inner_dia = 20, deep = 6, from = 'back' }"
    assert "touches or crosses" in refusal(BAR, face=both)
    assert math.isclose(part(BAR, face=both.replace("deep = 6", "deep = 4")).length, 10.0)
