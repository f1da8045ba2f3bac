"""Hollows from inside rows: volumes against closed forms (textbook geometry), chains where a drawing has them."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from tests.part.rows import cap, cone, cylinder, part
from toolpath.geometry.elements import Arc, Chain, Point
from toolpath.part.halfsection import HalfSection

BAR = "{ dia = 20, to = 30 }"


def points(chain: Chain) -> list[Point]:
    return [chain[0].a, *(e.b for e in chain)]


def hollowed(inside: str, *, break_edges: float = 0.0) -> HalfSection:
    return part(BAR, inside=inside, break_edges=break_edges)


SOLID = cylinder(20, 30)
POINT = 3.0 / math.tan(math.radians(59.0))  # length of the point of a 6 mm drill of 118 degrees: r / tan 59
REMOVED = [
    ("{ hole = 10, through = true }", cylinder(10, 30)),
    ("{ dia = 10, to = 30 }", cylinder(10, 30)),
    ("{ hole = 6, deep = 12 }", cylinder(6, 12) + cone(6, 0, POINT)),
    ("{ hole = 6, deep = 12, point_angle = 90 }", cylinder(6, 12) + cone(6, 0, 3)),
    ("{ hole = 6, deep = 12, floor = 'flat' }", cylinder(6, 12)),
    ("{ hole = 6, deep = 12, made = 'bored' }", cylinder(6, 12)),
    ("{ hole = 6, deep = 12, floor = 'round' }", cylinder(6, 12) + cap(3, 3)),
    ("{ dia = 12, to = 5 }, { dia = 8, to = 14 }", cylinder(12, 5) + cylinder(8, 9)),
    ("{ dia = 12, to = 5 }, { hole = 8, through = true }", cylinder(12, 5) + cylinder(8, 25)),
    ("{ dia = 12, to = 5 }, { taper_to = 6, to = 30 }", cylinder(12, 5) + cone(12, 6, 25)),
    ("{ from_dia = 12, taper_to = 0, half_angle = 45 }", cone(12, 0, 6)),
    ("{ dia = 8, to = 5 }, { neck = 12, to = 8 }, { dia = 8, to = 11 }", cylinder(8, 8) + cylinder(12, 3)),
    ("{ dia = 8, to = 5 }, { dome_to = 0, radius = 4 }", cylinder(8, 5) + cap(4, 4)),
    ("{ from_dia = 6, ball = 10, down_to = 0 }", cap(5, 9)),
    # A 3 mm hole starts where the 6 mm drill's point has come down to 3 mm: half the point is left as a shoulder.
    ("{ hole = 6, deep = 12 }, { hole = 3, deep = 20, made = 'bored' }",
     cylinder(6, 12) + cone(6, 3, POINT / 2) + cylinder(3, 8 - POINT / 2)),
    ("{ dia = 10, to = 12 }, { hole = 4, through = true }, { hole = 6, deep = 10, floor = 'flat', from = 'back' }",
     cylinder(10, 12) + cylinder(4, 8) + cylinder(6, 10)),
    ("{ hole = 6, through = true, from = 'back' }, { hole = 6, deep = 10 }", cylinder(6, 30)),
    ("{ hole = 5, deep = 10, floor = 'flat' }, { hole = 6, deep = 12, from = 'back' }",
     cylinder(5, 10) + cylinder(6, 12) + cone(6, 0, POINT)),
    ("{ chamfer = 1, angle = 45 }, { hole = 10, through = true }", cylinder(10, 29) + cone(12, 10, 1)),
    ("{ hole = 10, through = true }, { chamfer = 1, angle = 45 }", cylinder(10, 29) + cone(12, 10, 1)),
]  # fmt: skip


@pytest.mark.parametrize(("inside", "removed"), REMOVED)
def test_what_a_hollow_takes_away_is_what_its_closed_form_says(inside: str, removed: float) -> None:
    assert hollowed(inside).volume() == pytest.approx(SOLID - removed, rel=1e-12)


@pytest.mark.parametrize(("inside", "removed"), REMOVED)
def test_seen_from_the_back_it_is_the_same_part_turned_round(inside: str, removed: float) -> None:
    swapped = inside.replace("from = 'back'", "from = 'FRONT'").replace(" }", ", from = 'back' }")
    swapped = swapped.replace("from = 'FRONT', from = 'back'", "from = 'front'")
    one, other = hollowed(inside).turned_round(), hollowed(swapped)
    for a, b in ((one.outside, other.outside), (one.inside, other.inside), (one.inside_back, other.inside_back)):
        assert len(a) == len(b)
        for e, f in zip(a, b, strict=True):
            assert (e.a, e.b) == (pytest.approx(f.a, abs=1e-12), pytest.approx(f.b, abs=1e-12))
    assert [s.made for s in one.inside_surfaces] == [s.made for s in other.inside_surfaces]


def test_a_tube_is_four_lines() -> None:
    tube = hollowed("{ hole = 10, through = true }")
    assert points(tube.outside) == [(0.0, 5.0), (0.0, 10.0), (-30.0, 10.0), (-30.0, 5.0)]
    assert points(tube.inside) == [(0.0, 5.0), (-30.0, 5.0)] and tube.inside_back == ()
    assert len(tube.outline) == 4


def test_a_blind_hollow_runs_to_the_axis_and_the_back_face_stays_whole() -> None:
    cup = hollowed("{ dia = 10, to = 12 }")
    assert points(cup.inside) == [(0.0, 5.0), (-12.0, 5.0), (-12.0, 0.0)]
    assert cup.outside[-1].b == (-30.0, 0.0)
    assert [s.name for s in cup.inside_surfaces] == ["bore dia 10", "flat floor"]


def test_a_hole_through_cuts_the_cone_it_opens_into() -> None:
    cap_ = hollowed("{ dia = 10, to = 12 }, { hole = 4, through = true }, { hole = 6, deep = 10, from = 'back' }")
    meet = (-20.0 + 1.0 / math.tan(math.radians(59.0)), 2.0)
    assert points(cap_.inside)[-1] == pytest.approx(meet)
    assert points(cap_.inside_back) == [(-30.0, 3.0), (-20.0, 3.0), pytest.approx(meet)]
    assert [(s.name, s.row, s.made) for s in cap_.inside_surfaces] == [
        ("bore dia 10", 0, "bored"),
        ("inside shoulder dia 10 to 4", 1, "bored"),
        ("hole dia 4", 1, "drilled"),
    ]
    assert [(s.name, s.row, s.made) for s in cap_.inside_back_surfaces] == [
        ("hole dia 6", 2, "drilled"),
        ("drilled floor 118°", 2, "drilled"),
    ]


def test_a_hole_through_goes_on_to_the_deepest_place_where_the_other_hollow_is_as_wide() -> None:
    """It meets the rims of the undercut too, which lie nearer to the back face."""
    back = (
        "{ dia = 10, to = 4, from = 'back' }, { neck = 14, to = 6, from = 'back' }, { dia = 10, to = 8, from = 'back' }"
    )
    tube = hollowed(f"{{ hole = 10, through = true }}, {back}")
    assert tube.inside[-1].b == pytest.approx((-22.0, 5.0))
    assert tube.volume() == pytest.approx(SOLID - cylinder(10, 28) - cylinder(14, 2), rel=1e-12)


def test_what_stands_out_inside_is_broken_and_inside_corners_are_not() -> None:
    cup = hollowed("{ dia = 12, to = 8 }, { dia = 6, to = 20 }", break_edges=0.2)
    assert [pytest.approx(p) for p in points(cup.inside)] == [
        (0.0, 6.2), (-0.2, 6.0), (-8.0, 6.0), (-8.0, 3.2), (-8.2, 3.0), (-20.0, 3.0), (-20.0, 0.0),
    ]  # fmt: skip
    assert cup.outside[0].a == (0.0, 6.2)


def test_both_mouths_of_a_hole_through_are_broken_and_not_where_hollows_meet() -> None:
    tube = hollowed("{ hole = 10, through = true }", break_edges=0.5)
    assert points(tube.inside) == [(0.0, 5.5), (-0.5, 5.0), (-29.5, 5.0), (-30.0, 5.5)]
    assert tube.outside[-1].b == (-30.0, 5.5)
    stepped = hollowed("{ hole = 4, through = true }, { dia = 10, to = 12, from = 'back' }", break_edges=0.5)
    broken = [s.name for s in (*stepped.inside_surfaces, *stepped.inside_back_surfaces)]
    assert broken.count("broken edge 0.5") == 2  # the two mouths; no tool gets to the edge inside
    assert stepped.volume() == pytest.approx(
        SOLID - cylinder(4, 18) - cylinder(10, 12) - cone(5, 4, 0.5) + cylinder(4, 0.5)
        - cone(11, 10, 0.5) + cylinder(10, 0.5)
        - 2.0 * (cylinder(20, 0.5) - cone(20, 19, 0.5))
    )  # fmt: skip


def test_rows_name_the_corner_at_the_mouth_at_the_foot_and_at_the_far_end() -> None:
    cup = hollowed("{ radius = 1 }, { dia = 12, to = 8 }, { fillet = 2 }", break_edges=0.2)
    mouth, _, foot, _ = cup.inside
    assert isinstance(mouth, Arc) and isinstance(foot, Arc)
    assert (mouth.a, mouth.centre) == ((0.0, 7.0), (-1.0, 7.0))
    assert (foot.a, foot.centre) == (pytest.approx((-6.0, 6.0)), pytest.approx((-6.0, 4.0)))
    assert [s.row for s in cup.inside_surfaces] == [0, 1, 2, 1]
    sharp = hollowed("{ sharp = true }, { hole = 12, through = true }, { sharp = true }", break_edges=0.2)
    assert len(sharp.inside) == 1


def test_an_inside_bulge_comes_towards_the_axis_and_a_hollow_goes_away_from_it() -> None:
    bulge = hollowed("{ from_dia = 10, bulge_to = 10, to = 6, radius = 5 }")
    hollow = hollowed("{ from_dia = 10, hollow_to = 10, to = 6, radius = 5 }")
    assert bulge.inside[0].bounds()[1] == pytest.approx(4.0)  # sagitta of a 6 mm chord at radius 5: 5 - 4
    assert hollow.inside[0].bounds()[3] == pytest.approx(6.0)
    quarter = hollowed("{ dia = 12, to = 5 }, { quarter_round = 2, goes = 'falling' }")
    arc = quarter.inside[1]
    assert isinstance(arc, Arc) and arc.centre == pytest.approx((-7.0, 6.0))  # about a point in the metal


def test_an_undercut_has_its_foot_radius_in_both_corners() -> None:
    part_ = hollowed(
        "{ dia = 8, to = 5 }, { neck = 12, to = 9, foot_radius = 0.5, wall_angle = 10 }, { dia = 8, to = 20 }"
    )
    arcs = [e for e in part_.inside if isinstance(e, Arc)]
    assert [e.radius for e in arcs] == pytest.approx([0.5, 0.5])
    assert max(e.bounds()[3] for e in part_.inside) == pytest.approx(6.0)


def test_a_mouth_as_large_as_the_face_leaves_no_face() -> None:
    knob = part("{ dome_to = 20, from_dia = 6, radius = 12 }, { dia = 20, to = 20 }", inside="{ hole = 6, deep = 10 }")
    assert knob.surfaces[0].name.startswith("dome") and knob.outside[0].a == knob.inside[0].a == (0.0, 3.0)


def test_outside_figures_do_not_see_the_hollow() -> None:
    cup, solid = hollowed("{ dia = 12, to = 8 }", break_edges=0.2), part(BAR, break_edges=0.2)
    assert (cup.length, cup.largest_dia, cup.smallest_dia) == (solid.length, solid.largest_dia, solid.smallest_dia)
    assert all(e.b == f.a for e, f in pairwise(cup.outline))
