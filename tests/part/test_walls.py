"""The thinnest wall: by hand where it is easy, against shapely's distance between chorded copies where it is not."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString

from tests.part.rows import part, refusal
from toolpath.geometry.elements import Element, Line, arc_about, points_of
from toolpath.part.walls import least_wall, nearest, stations

BAR = "{ dia = 20, to = 30 }"


def thin(inside: str, *, outside: str = BAR, face: str = "", break_edges: float = 0.0) -> tuple[float, set[str]]:
    wall = least_wall(part(outside, inside=inside, face=face, break_edges=break_edges))
    assert wall is not None
    assert math.dist(wall.inside, wall.outside) == pytest.approx(wall.thick, abs=1e-9)
    return wall.thick, {s.name for s in wall.between}


def test_a_part_without_a_hollow_has_no_wall() -> None:
    assert least_wall(part(BAR)) is None


@pytest.mark.parametrize("edges", [0.0, 0.2])
def test_of_a_tube_it_is_half_the_difference_whatever_its_edges(edges: float) -> None:
    assert thin("{ hole = 17, through = true }", break_edges=edges) == (pytest.approx(1.5), {"hole dia 17", "dia 20"})


def test_of_a_blind_bore_it_may_be_the_floor() -> None:
    assert thin("{ dia = 10, to = 28.8 }") == (pytest.approx(1.2), {"flat floor", "back face"})
    assert thin("{ hole = 10, deep = 20, floor = 'round' }") == (pytest.approx(5.0), {"hole dia 10", "dia 20"})


def test_behind_a_taper_it_is_square_to_the_slope_not_across_the_axis() -> None:
    """Cone of 45 degrees from radius 10 at z = 0 to radius 0 at z = -10 before a bore whose corner is (-5, 3): that
    lies 5 - 3 = 2 mm inside across the axis, and 2 cos 45 from the slope."""
    outside = "{ dia = 20, to = 5 }, { taper_to = 2, half_angle = 45 }"
    thick, names = thin("{ dia = 6, to = 10 }", outside=outside)
    assert thick == pytest.approx((10.0 - 5.0 - 3.0) * math.cos(math.pi / 4.0))
    assert "taper dia 20 to 2" in names


def test_between_two_hollows_that_do_not_meet_it_is_the_web() -> None:
    both = "{ dia = 10, to = 14 }, { dia = 8, to = 15, from = 'back' }"
    assert thin(both) == (pytest.approx(1.0), {"flat floor"})


def test_two_hollows_that_meet_have_no_web_between_them() -> None:
    met = "{ dia = 10, to = 14 }, { hole = 4, through = true, from = 'back' }"
    assert thin(met) == (pytest.approx(5.0), {"bore dia 10", "dia 20"})


def test_a_face_groove_beside_the_bore_counts() -> None:
    groove = "{ groove = 14, inner_dia = 11, deep = 3 }"
    thick, names = thin("{ dia = 10, to = 14 }", face=groove)
    assert thick == pytest.approx(0.5) and "bore dia 10" in names


@pytest.mark.parametrize("edges", [0.0, 0.2])
def test_a_face_groove_in_a_solid_part_has_walls_of_its_own(edges: float) -> None:
    """Groove of 15 to 18.6 in a bar of 20: 0.7 mm to the outside; 28.5 deep of 30, 1.5 mm to the back face."""
    outer = {"face groove dia 15 to 18.6, outer wall", "dia 20"}
    groove = "{{ groove = 18.6, inner_dia = 15, deep = {} }}"
    assert thin("", face=groove.format(2), break_edges=edges) == (pytest.approx(0.7), outer)
    behind = thin("", face=groove.format(29.5), break_edges=edges)
    assert behind == (pytest.approx(0.5), {"face groove dia 15 to 18.6, floor", "back face"})


def test_between_two_face_grooves_stands_a_wall() -> None:
    both = "{ groove = 8, inner_dia = 5, deep = 2 }, { groove = 15, inner_dia = 9, deep = 2 }"
    thick, names = thin("", face=both)
    assert thick == pytest.approx(0.5)
    assert names == {"face groove dia 5 to 8, outer wall", "face groove dia 9 to 15, inner wall"}


def test_stations_give_outside_inside_and_wall() -> None:
    table = stations(
        part("{ dia = 20, to = 10 }, { dia = 14, to = 30 }", inside="{ dia = 10, to = 12 }, { dia = 4, to = 20 }")
    )
    assert [(s.z, s.outside_dia, s.inside_dia, s.wall) for s in table] == [
        (0.0, 20.0, 10.0, 5.0),
        (-10.0, 14.0, 10.0, 2.0),
        (-12.0, 14.0, 10.0, 2.0),
        (-20.0, 14.0, 4.0, 5.0),
        (-30.0, 14.0, 0.0, 7.0),
    ]


def test_stations_follow_arcs() -> None:
    table = stations(
        part("{ dome_to = 20, from_dia = 12, radius = 10 }, { dia = 20, to = 20 }", inside="{ dia = 6, to = 4 }")
    )
    at = {s.z: s for s in table}[-4.0]  # the dome's centre lies 8 mm behind the face: radius sqrt(100 - 16) there
    assert at.outside_dia == pytest.approx(2.0 * math.sqrt(84.0)) and at.inside_dia == 6.0


numbers = st.integers(-200, 200).map(lambda n: n / 10.0)
spots = st.tuples(numbers, numbers)


@st.composite
def elements(draw: st.DrawFn) -> Element:
    a, b = draw(st.tuples(spots, spots).filter(lambda ends: math.dist(*ends) > 0.5))
    if draw(st.booleans()):
        return Line(a, b)
    half = math.dist(a, b) / 2.0
    away = draw(st.floats(-1.5, 1.5)) * half
    square = ((a[1] - b[1]) / (2.0 * half), (b[0] - a[0]) / (2.0 * half))
    centre = ((a[0] + b[0]) / 2.0 + away * square[0], (a[1] + b[1]) / 2.0 + away * square[1])
    return arc_about(centre, a, b, ccw=draw(st.booleans()))


@settings(max_examples=150, deadline=None)
@given(elements(), elements())
def test_the_distance_of_any_two_elements_is_shapely_s(e: Element, f: Element) -> None:
    lines = [LineString(points_of((g,), 1e-4)) for g in (e, f)]
    if lines[0].distance(lines[1]) <= 2e-4:
        return  # they meet: no wall, and refused before one is measured
    thick, p, q = nearest(e, f)
    assert thick == pytest.approx(lines[0].distance(lines[1]), abs=2e-4)
    assert math.dist(p, q) == pytest.approx(thick, abs=1e-9)
    assert e.distance(p) <= 1e-9 and f.distance(q) <= 1e-9


def test_under_a_thread_the_wall_counts_from_its_root() -> None:
    """M10x1-6g may go down to 8.596 (9.212 - 0.6160 P): over a hole of 7 that leaves 0.798, not (9.884 - 7) / 2; and
    M10x1-6H out to 10.294: below 12 that leaves 0.853, by the deepest that a sound tap may go."""
    screw = '{ thread = "M10x1-6g", to = 10, no_start = true }, { dia = 15, to = 30 }'
    thick, names = thin("{ hole = 7, deep = 20 }", outside=screw)
    assert thick == pytest.approx((9.212 - 0.616025 - 7.0) / 2.0, abs=1e-4)
    assert names == {"dia 9.884 (M10x1)", "hole dia 7"}
    nut = '{ thread = "M10x1-6H", to = 10, cut_by = "point", no_start = true }, { hole = 8, deep = 12 }'
    thick, names = thin(nut, outside="{ dia = 12, to = 30 }")
    assert thick == pytest.approx((12.0 - 10.293857) / 2.0, abs=1e-4)
    assert names == {"bore dia 9.035 (M10x1)", "dia 12"}


def test_in_an_undercut_the_wall_counts_from_its_floor() -> None:
    """Floor of dia 8 over a hole of 7, below the root of the thread."""
    screw = '{ thread = "M10x1-6g", to = 10, undercut_width = 4, undercut_dia = 8 }, { dia = 15, to = 30 }'
    thick, names = thin("{ hole = 7, deep = 20 }", outside=screw)
    assert thick == pytest.approx(0.5) and names & {"neck dia 8", "fillet 0.6"}


def test_stations_along_a_thread_show_its_root() -> None:
    screw = '{ thread = "M10x1-6g", to = 10, no_start = true }, { dia = 15, to = 30 }'
    at = {s.z: s for s in stations(part(screw, inside="{ hole = 7, deep = 20 }"))}
    assert at[-10.0].wall == pytest.approx((8.595975 - 7.0) / 2.0, abs=1e-4)


@pytest.mark.parametrize(
    ("outside", "inside", "said"),
    [
        ('{ thread = "M10x1-6g", to = 10, no_start = true }, { dia = 15, to = 30 }', "{ hole = 9, deep = 14 }",
         "part.outside[0]: M10x1 goes 0.644 mm deep, to dia 8.596 mm, and the wall to hole dia 9 (part.inside[0]) is "
         "0.442 mm thick: nothing is left under its root. Take a finer pitch, or leave more metal under the thread"),
        ("{ dia = 10.2, to = 30 }",
         '{ thread = "M10x1-6H", to = 10, cut_by = "point", no_start = true }, { hole = 8, deep = 12 }',
         "part.inside[0]: M10x1 goes 0.6294 mm deep, to dia 10.2939 mm, and the wall to dia 10.2 (part.outside[0]) is "
         "0.5825 mm thick: nothing is left under its root. Take a finer pitch, or leave more metal under the thread"),
        ('{ thread = "M10x1-6g", to = 10, no_start = true }, { dia = 15, to = 30 }',
         "{ dia = 6, to = 4 }, { neck = 9, length = 3 }, { dia = 6, to = 14 }",
         "part.outside[0]: M10x1 goes 0.644 mm deep, to dia 8.596 mm, and the wall to inside neck dia 9 "
         "(part.inside[1]) is 0.442 mm thick: nothing is left under its root. Take a finer pitch, or leave more metal "
         "under the thread"),
    ],
)  # fmt: skip
def test_a_thread_coarser_than_its_wall_is_refused_with_both_named(outside: str, inside: str, said: str) -> None:
    assert refusal(outside, inside=inside) == said
