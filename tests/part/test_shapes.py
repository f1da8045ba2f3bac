"""Every kind of row against its closed form."""

from __future__ import annotations

import math

import pytest

from tests.part.rows import arc_named, corners, named, part
from toolpath.geometry.corners import turn
from toolpath.geometry.elements import Line


def test_a_plain_pin() -> None:
    half = part("{ dia = 12, to = 20 }")
    assert corners(half) == [(0, 0), (12, 0), (12, -20), (0, -20)]
    assert [s.name for s in half.surfaces] == ["front face", "dia 12", "back face"]
    assert [s.row for s in half.surfaces] == [None, 0, None]


def test_to_counts_from_the_front_face_and_length_from_the_surface_before() -> None:
    assert part("{ dia = 12, to = 20 }, { dia = 16, to = 30 }") == part(
        "{ dia = 12, length = 20 }, { dia = 16, length = 10 }"
    )


def test_a_change_of_diameter_is_a_square_shoulder_of_the_row_behind_it() -> None:
    half = part("{ dia = 12, to = 20 }, { dia = 16, to = 30 }, { dia = 9, to = 35 }")
    assert named(half, "shoulder dia 12 to 16") == Line((-20.0, 6.0), (-20.0, 8.0))
    assert named(half, "shoulder dia 16 to 9") == Line((-30.0, 8.0), (-30.0, 4.5))
    assert [s.row for s in half.surfaces] == [None, 0, 1, 1, 2, 2, None]


def test_one_diameter_in_two_rows_has_no_shoulder() -> None:
    assert len(part("{ dia = 12, to = 20 }, { dia = 12, to = 30 }").outside) == 4


def test_limits_stay_on_the_surface_and_the_middle_is_cut() -> None:
    half = part('{ dia = "14 -0.02/-0.05", to = 13 }')
    size = half.surfaces[1].dia
    assert size is not None and (size.lower, size.upper) == (pytest.approx(13.95), pytest.approx(13.98))
    assert half.outside[1].a[1] == pytest.approx(13.965 / 2.0)


# tan 10 = 0.176327, tan 5 = 0.087489 (any table of tangents)
@pytest.mark.parametrize(
    "taper",
    [
        "{ taper_to = 20, length = 28.3564 }",
        "{ taper_to = 20, half_angle = 10 }",
        "{ taper_to = 20, included_angle = 20 }",
        '{ half_angle = 10, length = 28.3564, goes = "rising" }',
        '{ included_angle = 20, to = 38.3564, goes = "rising" }',
    ],
)
def test_the_ways_to_write_a_taper_agree(taper: str) -> None:
    """Dia 10 to 20 at 10 degrees from the axis: 5 / 0.176327 = 28.3564 long."""
    half = part(f"{{ dia = 10, to = 10 }}, {taper}")
    assert 2.0 * half.outside[2].b[1] == pytest.approx(20.0, abs=1e-4)
    assert half.length == pytest.approx(38.3564, abs=2e-4)


def test_a_falling_taper_and_one_that_starts_behind_a_shoulder() -> None:
    half = part('{ dia = 20, to = 10 }, { from_dia = 30, half_angle = 5, length = 20, goes = "falling" }')
    assert named(half, "shoulder dia 20 to 30").b == (-10.0, 15.0)
    assert 2.0 * half.outside[3].b[1] == pytest.approx(30.0 - 40.0 * 0.087489, abs=1e-4)


def test_a_cone_comes_to_its_point_on_the_axis() -> None:
    half = part("{ from_dia = 0, taper_to = 10, to = 15 }")
    assert corners(half) == [(0, 0), (10, -15), (0, -15)]
    assert half.smallest_dia == 0.0


@pytest.mark.parametrize(("word", "bulging"), [("bulge_to", True), ("hollow_to", False)])
def test_an_arc_by_its_ends_bows_by_its_sagitta(word: str, bulging: bool) -> None:
    """Sagitta r - sqrt(r² - (c/2)²): radius 10 over a chord of 12 is 2 exactly (3-4-5)."""
    half = part(f"{{ dia = 30, to = 5 }}, {{ {word} = 30, length = 12, radius = 10 }}, {{ dia = 30, to = 30 }}")
    middle = half.outside[2].point_at(0.5)
    assert middle == pytest.approx((-11.0, 17.0 if bulging else 13.0))


def test_a_tangent_arc_goes_on_without_a_corner() -> None:
    """From a cylinder to dia 20 over 8 mm, dropping 2: r = (8² + 2²) / (2 * 2) = 17 (chord and tangent)."""
    half = part("{ dia = 24, to = 10 }, { bulge_to = 20, length = 8, tangent = true }")
    arc = half.outside[2]
    assert arc_named(half, "bulge radius 17 from dia 24 to 20") is arc
    assert turn(half.outside[1], arc) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    "arc", ["hollow_to = 28, tangent = true, radius = 17", "hollow = true, tangent = true, radius = 17, length = 8"]
)
def test_a_tangent_arc_of_known_radius_finds_its_end(arc: str) -> None:
    half = part(f"{{ dia = 24, to = 10 }}, {{ {arc} }}")
    assert half.outside[2].b == pytest.approx((-18.0, 14.0))


def test_a_tangent_arc_on_a_taper_keeps_the_taper_s_direction() -> None:
    half = part("{ from_dia = 8, taper_to = 20, to = 30 }, { bulge_to = 20, tangent = true, radius = 25 }")
    assert turn(half.outside[1], half.outside[2]) == pytest.approx(0.0, abs=1e-12)
    # Entering and leaving one diameter at the same lean: the chord is 2 r sin(lean), tan lean = 6 / 30.
    chord = 50.0 * math.sin(math.atan(0.2))
    assert half.length == pytest.approx(30.0 + chord)


@pytest.mark.parametrize(
    ("word", "goes", "start", "centre"),
    [
        ("quarter_round", "rising", 10, (-8.0, 5.0)),  # leaves along the shoulder, arrives along the cylinder
        ("quarter_round", "falling", 16, (-5.0, 5.0)),
        ("quarter_hollow", "rising", 10, (-5.0, 8.0)),
        ("quarter_hollow", "falling", 16, (-8.0, 8.0)),
    ],
)
def test_quarters(word: str, goes: str, start: int, centre: tuple[float, float]) -> None:
    end = 26 - start
    half = part(f'{{ dia = {start}, to = 5 }}, {{ {word} = 3, goes = "{goes}" }}, {{ dia = {end}, length = 5 }}')
    arc = half.outside[2]
    assert arc.b == ((-8.0, 8.0) if goes == "rising" else (-8.0, 5.0))
    assert arc_named(half, f"quarter {word[8:]} 3").centre == centre
    assert arc.length == pytest.approx(3.0 * math.pi / 2.0)


@pytest.mark.parametrize("size", ["radius = 13", "sphere_dia = 26", "length = 8"])
def test_a_dome_at_the_front(size: str) -> None:
    """Radius 13 to dia 24 is 13 - 5 = 8 high (5-12-13)."""
    half = part(f"{{ dome_to = 24, {size} }}, {{ dia = 24, length = 10 }}")
    assert arc_named(half, "dome radius 13").b == pytest.approx((-8.0, 12.0))
    assert half.outside[0].a == (0.0, 0.0)
    assert arc_named(half, "dome radius 13").centre == pytest.approx((-13.0, 0.0))


def test_a_dome_at_the_back() -> None:
    half = part("{ dia = 24, length = 10 }, { dome_to = 0, radius = 13 }")
    assert half.length == pytest.approx(18.0)
    assert half.outside[-1].b == pytest.approx((-18.0, 0.0))
    assert half.surfaces[-1].name == "dome radius 13"


def test_a_dome_about_a_flat() -> None:
    """From dia 10 to dia 24 on radius 13: 12 - 5 = 7 high (5-12-13 twice)."""
    half = part("{ from_dia = 10, dome_to = 24, radius = 13 }, { dia = 24, length = 10 }")
    assert named(half, "front face").b == (0.0, 5.0)
    assert named(half, "dome radius 13").b == pytest.approx((-7.0, 12.0))


@pytest.mark.parametrize("end", ["down_to = 12", "length = 18", "to = 18"])
def test_a_ball_goes_past_its_largest_diameter_down_to_the_neck(end: str) -> None:
    """Sphere 20: at dia 12 the section stands 8 behind the centre (6-8-10)."""
    half = part(f"{{ ball = 20, {end} }}, {{ dia = 12, length = 4 }}")
    ball = arc_named(half, "ball dia 20")
    assert ball.b == pytest.approx((-18.0, 6.0))
    assert half.largest_dia == pytest.approx(20.0)
    assert math.degrees(ball.sweep) == pytest.approx(180.0 - math.degrees(math.asin(0.6)))


def test_a_ball_at_the_back_and_one_between_two_necks() -> None:
    half = part(
        "{ dia = 12, length = 5 }, { ball = 20, down_to = 12 }, { dia = 12, length = 5 }, { ball = 20, down_to = 0 }"
    )
    assert half.length == pytest.approx(5.0 + 16.0 + 5.0 + 18.0)
    assert half.outside[-1].b[1] == 0.0


def test_a_square_neck_is_two_shoulders_and_a_floor() -> None:
    half = part("{ dia = 20, to = 10 }, { neck = 12, length = 4 }, { dia = 18, to = 30 }")
    assert corners(half) == [(0, 0), (20, 0), (20, -10), (12, -10), (12, -14), (18, -14), (18, -30), (0, -30)]
    assert [s.row for s in half.surfaces] == [None, 0, 1, 1, 1, 2, None]


def test_a_neck_with_leaning_walls_and_round_feet() -> None:
    """Walls 4 deep at 15 degrees take 4 tan 15 = 1.0718 of the mouth each; a foot takes r tan(37.5) of the floor."""
    half = part(
        "{ dia = 20, to = 10 }, { neck = 12, length = 6, wall_angle = 15, foot_radius = 0.5 }, { dia = 20, to = 30 }"
    )
    assert half.outside[2].a == (-10.0, 10.0)
    floor = named(half, "neck dia 12")
    assert floor.a[0] - floor.b[0] == pytest.approx(
        6.0 - 2.0 * 1.071797 - 2.0 * 0.5 * math.tan(math.radians(37.5)), abs=1e-6
    )
    assert half.outside[-2].a == pytest.approx((-16.0, 10.0))


def test_walls_of_a_neck_may_lean_differently() -> None:
    half = part("{ dia = 20, to = 10 }, { neck = 12, length = 6, back_wall_angle = 30 }, { dia = 20, to = 30 }")
    floor = named(half, "neck dia 12")
    assert (floor.a[0], floor.b[0]) == (pytest.approx(-10.0), pytest.approx(-16.0 + 4.0 * 0.5773503, abs=1e-6))


def test_turned_round_the_back_face_is_at_zero_and_twice_is_the_same() -> None:
    half = part(
        "{ dome_to = 24, radius = 13 }, { dia = 24, to = 20 }, { fillet = 2 }, { chamfer = 1 }, { dia = 30, to = 40 }"
    )
    other = half.turned_round()
    assert other.outside[0].a == (0.0, 0.0) and other.outside[-1].b == (-40.0, 0.0)
    assert other.volume() == pytest.approx(half.volume())
    assert [s.name for s in other.surfaces] == [s.name for s in half.surfaces][::-1]
    again = other.turned_round()
    for e, f in zip(half.outside, again.outside, strict=True):
        assert math.dist(e.a, f.a) < 1e-12 and math.dist(e.point_at(0.5), f.point_at(0.5)) < 1e-12


def test_surface_length_of_a_ball_end() -> None:
    """Quarter circle of radius 10, cylinder of 15, back face of 10."""
    half = part("{ dome_to = 20, radius = 10 }, { dia = 20, length = 15 }")
    assert half.surface_length == pytest.approx(5.0 * math.pi + 15.0 + 10.0)


def test_a_bulge_may_hang_over_the_surface_before_it_but_not_cross_it() -> None:
    half = part("{ dia = 10, to = 20 }, { bulge_to = 20, length = 2, radius = 5.4 }, { dia = 20, to = 30 }")
    assert half.outside[2].bounds()[2] == pytest.approx(-20.0 + 0.054, abs=5e-4)
    assert math.isclose(half.turned_round().volume(), half.volume())
