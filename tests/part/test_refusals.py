"""Rows that can not exist: every one is refused with its place, the figures, and what would be right.

The texts are part of what the program promises, so they are compared whole.
"""

from __future__ import annotations

import pytest

from tests.part.rows import part, refusal
from toolpath.errors import BadInput
from toolpath.part.halfsection import build
from toolpath.part.rows import Chamfer, Cylinder, Round, Row, Sharp
from toolpath.part.words import outside_rows
from toolpath.quantity import Size

REFUSED = [
    (
        "{ dia = 12 }",
        "part.outside[0]: nothing says how long the surface is. Write to (from the front face) or length",
    ),
    (
        "{ dia = 12, to = 20, length = 20 }",
        "part.outside[0]: both to and length are written. Write one of them",
    ),
    (
        "{ dia = 12, to = 20 }, { dia = 16, to = 15 }",
        "part.outside[1]: to = 15 mm does not go beyond the surface before it, which ends 20 mm from the front face",
    ),
    (
        "{ dia = -12, to = 20 }",
        "part.outside[0].dia: '-12' has to be larger than 0",
    ),
    (
        "{ dia = 12, to = 0 }",
        "part.outside[0].to: '0' has to be larger than 0",
    ),
    (
        "{ dia = 12, length = -3 }",
        "part.outside[0].length: '-3' has to be larger than 0",
    ),
    (
        "{ dia = 12, to = 20, chamfer = 1 }",
        "part.outside[0].chamfer: 'chamfer' does not belong beside 'dia'. A corner is a row of its own, "
        "between the two surfaces",
    ),
    (
        "{ dia = 12, too = 20 }",
        "part.outside[0].too: 'too' is not known here. Did you mean 'to'?",
    ),
    (
        "12",
        "part.outside[0]: a row is a table, not 12. Write { dia = 12, to = 20 }",
    ),
    (
        "{ dia = 12, taper_to = 10, to = 3 }",
        "part.outside[0].taper_to: 'taper_to' does not belong beside 'dia'. Beside it may stand: to, length",
    ),
    (
        "{ taper_to = 10, to = 20 }",
        "part.outside[0]: nothing says at which diameter the surface starts, at the front. Write from_dia (0 "
        "for a point)",
    ),
    (
        "{ from_dia = 4, taper_to = 10 }",
        "part.outside[0]: a taper needs two of: end diameter, angle, length. Write taper_to with to or "
        "length, or with half_angle or included_angle",
    ),
    (
        "{ from_dia = 4, taper_to = 10, half_angle = 5, to = 20 }",
        "part.outside[0]: end diameter, angle and length are three ways to say two things. Leave one out",
    ),
    (
        "{ from_dia = 4, taper_to = 4, to = 20 }",
        "part.outside[0]: the taper starts and ends at dia 4. A plain diameter is a dia",
    ),
    (
        "{ from_dia = -4, taper_to = 4, to = 20 }",
        "part.outside[0].from_dia: a diameter can not be -4 mm. 0 is a point on the axis",
    ),
    (
        "{ from_dia = 4, half_angle = 5, to = 20 }",
        'part.outside[0]: nothing says which way the taper leans. Write goes = "rising" or goes = "falling"',
    ),
    (
        "{ from_dia = 4, taper_to = 10, half_angle = 5, included_angle = 10 }",
        "part.outside[0]: both half_angle and included_angle are written. Write one of them",
    ),
    (
        "{ from_dia = 4, taper_to = 10, half_angle = 90 }",
        "part.outside[0].half_angle: 90° is no half angle. It lies between 0° and 90°",
    ),
    (
        '{ from_dia = 4, taper_to = 10, to = 20, goes = "rising" }',
        "part.outside[0].goes: taper_to says already which way the taper goes. Leave goes out",
    ),
    (
        '{ from_dia = 4, half_angle = 5, to = 20, goes = "up" }',
        "part.outside[0].goes: goes can not be 'up'. It is rising or falling",
    ),
    (
        '{ from_dia = 4, half_angle = 45, to = 20, goes = "falling" }',
        "part.outside[0]: the taper falls from dia 4 past the axis. It may be 2 mm long",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 20, length = 12, radius = 5 }",
        "part.outside[1]: radius 5 mm is too small to span from dia 20 to dia 20, 12 mm apart. It needs at least 6 mm",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 20, length = 12 }",
        "part.outside[1]: an arc needs its end diameter, its length and its radius. Write all three, or "
        "tangent = true with two of them",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 20, length = 12, radius = 1e9 }",
        "part.outside[1]: an arc that turns through only 6.875e-07° is straight. Write a taper or dia",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 24, length = 12, tangent = true }",
        "part.outside[1]: an arc tangent to the surface before it and ending at dia 24 is hollow. Write "
        "hollow, or another end",
    ),
    (
        "{ dia = 20, to = 5 }, { hollow_to = 16, length = 12, tangent = true }",
        "part.outside[1]: an arc tangent to the surface before it and ending at dia 16 is bulging. Write "
        "bulge, or another end",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 20, length = 12, tangent = true }",
        "part.outside[1]: dia 20 lies straight ahead of the surface before, so nothing bends. Write a taper",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 16, length = 12, tangent = true, radius = 30 }",
        "part.outside[1]: a tangent arc needs two of: end diameter, length, radius. Write exactly two",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 4, tangent = true, radius = 3 }",
        "part.outside[1]: an arc of radius 3 mm tangent to the surface before it comes only to dia 8",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge = true, tangent = true, radius = 3, length = 9 }",
        "part.outside[1]: an arc of radius 3 mm tangent to the surface before it comes only to 8 mm from the front",
    ),
    (
        "{ bulge_to = 4, tangent = true, radius = 3, from_dia = 2 }",
        "part.outside[0]: there is no surface just before it that the arc could be tangent to. Write its "
        "radius instead",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 16, tangent = 1, radius = 3 }",
        "part.outside[1].tangent: tangent is a plain yes, not 1. Write tangent = true, or leave it out",
    ),
    (
        "{ dia = 6, to = 5 }, { hollow_to = 6, length = 12, radius = 6.5 }",
        "part.outside[1]: hollow radius 6.5 from dia 6 to 6 dips past the axis, to a radius of -1 mm",
    ),
    (
        "{ from_dia = 10, bulge_to = 20, length = 2, radius = 5.4 }",
        "part.outside[0]: bulge radius 5.4 from dia 10 to 20 stands 0.054 mm out in front of the front face",
    ),
    (
        "{ dia = 10, to = 5 }, { quarter_round = 3 }",
        'part.outside[1]: nothing says which way it leans. Write goes = "rising" or goes = "falling"',
    ),
    (
        '{ dia = 4, to = 5 }, { quarter_round = 3, goes = "falling" }',
        "part.outside[1]: a quarter of radius 3 mm falls from dia 4 past the axis",
    ),
    (
        '{ dia = 4, to = 5 }, { quarter_hollow = 3, goes = "rising" }',
        "part.outside[1]: back face touches or crosses quarter hollow 3",
    ),
    (
        "{ dome_to = 24, radius = 10 }",
        "part.outside[0]: a sphere of radius 10 mm is 20 mm across and never comes to dia 24. It needs a "
        "radius of at least 12 mm",
    ),
    (
        "{ dome_to = 24, length = 14 }",
        "part.outside[0]: a dome from dia 0 to dia 24 over 14 mm would go past its largest diameter. At most "
        "12 mm long is a dome; past that write ball",
    ),
    (
        "{ dome_to = 24, length = 8, radius = 13 }",
        "part.outside[0]: a dome needs its radius or its length, one of the two",
    ),
    (
        "{ dome_to = 24, sphere_dia = 26, radius = 13 }",
        "part.outside[0]: both radius and sphere_dia are written. Write one of them",
    ),
    (
        "{ dome_to = 0, radius = 13 }",
        "part.outside[0]: the dome starts and ends at dia 0. Write ball for a sphere past its largest diameter",
    ),
    (
        "{ ball = 20 }",
        "part.outside[0]: nothing says where the ball ends. Write down_to (a diameter), or to or length",
    ),
    (
        "{ ball = 20, length = 8 }",
        "part.outside[0]: a ball 8 mm long does not end between its largest diameter and its end. Between 10 "
        "mm and 20 mm; a shorter one is a dome",
    ),
    (
        "{ ball = 20, down_to = 24 }",
        "part.outside[0]: a sphere of radius 10 mm is 20 mm across and never comes to dia 24. It needs a "
        "radius of at least 12 mm",
    ),
    (
        "{ dia = 20, to = 5 }, { neck = 22, length = 4 }, { dia = 30, to = 30 }",
        "part.outside[1]: a neck of dia 22 does not lie below the surface before it, dia 20. "
        "A neck is smaller than the surfaces on both sides; a plain diameter is a dia",
    ),
    (
        "{ dia = 20, to = 5 }, { neck = 12, length = 4 }, { dia = 10, to = 30 }",
        "part.outside[1]: a neck of dia 12 does not lie below the surface after it, dia 10. "
        "A neck is smaller than the surfaces on both sides; a plain diameter is a dia",
    ),
    (
        "{ dia = 20, to = 5 }, { neck = 12, length = 4 }",
        "part.outside[1]: nothing says how high the neck's second wall is. The next row must be a dia, or say from_dia",
    ),
    (
        "{ dia = 20, to = 5 }, { neck = 12, length = 4 }, { taper_to = 10, to = 30 }",
        "part.outside[1]: nothing says how high the neck's second wall is. The next row must be a dia, or say from_dia",
    ),
    (
        "{ dia = 20, to = 5 }, { neck = 12, length = 4, wall_angle = 30 }, { dia = 20, to = 30 }",
        "part.outside[1]: the walls of the neck meet before they come down to dia 12: they take 4.6188 mm and"
        " the neck is 4 mm long",
    ),
    (
        "{ dia = 20, to = 5 }, { neck = 12, length = 4, foot_radius = 3 }, { dia = 20, to = 30 }",
        "part.outside[1]: fillet 3 takes 3 mm of neck dia 12, and only 1 mm is there besides its other corner"
        " (4 mm in all). At most 1 mm fits",
    ),
    (
        "{ dia = 20, to = 5 }, { neck = 12, length = 4, wall_angle = 3, back_wall_angle = 2 }, { dia = 20, to = 30 }",
        "part.outside[1].wall_angle: wall_angle is that of both walls. Write it alone, or front_ and back_wall_angle",
    ),
    (
        "{ neck = 12, length = 4 }, { dia = 20, to = 30 }",
        "part.outside[0]: a neck of dia 12 does not lie below the surface before it, the front end. "
        "A neck is smaller than the surfaces on both sides; a plain diameter is a dia",
    ),
    (
        "{ dia = 12, to = 20 }, { radius = 1 }, { dia = 20, to = 30 }",
        "part.outside[1]: radius 1 mm could be the shoulder's edge or the inside corner at its foot. Write "
        'fillet for the foot, or on = "edge"',
    ),
    (
        "{ dia = 12, to = 20 }, { fillet = 5 }, { dia = 20, to = 30 }",
        "part.outside[1]: fillet 5 takes 5 mm of shoulder dia 12 to 20, and only 4 mm is there. At most 4 mm fits",
    ),
    (
        "{ dia = 12, to = 20 }, { fillet = 3 }, { radius = 3 }, { dia = 20, to = 30 }",
        "part.outside[2]: radius 3 takes 3 mm of shoulder dia 12 to 20, and only 1 mm is there besides its "
        "other corner (4 mm in all). At most 1 mm fits",
    ),
    (
        "{ dia = 12, to = 20 }, { chamfer = 11 }, { dia = 40, to = 30 }",
        "part.outside[1]: chamfer 11 takes 11 mm of dia 40, and only 10 mm is there. At most 10 mm fits",
    ),
    (
        "{ dia = 20, to = 20 }, { fillet = 1 }, { chamfer = 1 }, { dia = 12, to = 30 }",
        "part.outside[1]: the row asks for an inside corner, and the corner here is an edge, which stands "
        "out. Corner rows stand in order from the front end",
    ),
    (
        "{ dia = 12, to = 20 }, { fillet = 1 }, { chamfer = 1 }, { radius = 1 }, { dia = 20, to = 30 }",
        "part.outside[1]: more rows name a corner here than there are corners (2)",
    ),
    (
        "{ dia = 12, to = 20 }, { chamfer = 1 }, { dia = 12, to = 30 }",
        "part.outside[1]: the two surfaces meet smoothly here, so there is no corner",
    ),
    (
        "{ dome_to = 12, radius = 6 }, { chamfer = 1 }, { dia = 12, to = 30 }",
        "part.outside[1]: the two surfaces meet smoothly here, so there is no corner",
    ),
    (
        "{ chamfer = 1 }, { dome_to = 12, radius = 6 }",
        "part.outside[0]: the part begins or ends on the axis here, so there is no corner",
    ),
    (
        "{ fillet = 1 }, { dia = 12, to = 30 }",
        "part.outside[0]: the row asks for an inside corner, and the corner here is an edge, which stands "
        "out. Corner rows stand in order from the front end",
    ),
    (
        '{ chamfer = 1, on = "foot" }, { dia = 12, to = 30 }',
        "part.outside[0]: the row asks for an inside corner, and the corner here is an edge, which stands "
        "out. Corner rows stand in order from the front end",
    ),
    (
        '{ chamfer = 1, on = "top" }, { dia = 12, to = 30 }',
        "part.outside[0].on: on can not be 'top'. It is edge or foot",
    ),
    (
        "{ chamfer = 7 }, { dia = 12, to = 30 }",
        "part.outside[0]: chamfer 7 takes 7 mm of front face, and only 6 mm is there. At most 6 mm fits",
    ),
    (
        "{ chamfer = 0 }, { dia = 12, to = 30 }",
        "part.outside[0].chamfer: '0' has to be larger than 0",
    ),
    (
        "{ chamfer = 1, angle = 95 }, { dia = 12, to = 30 }",
        "part.outside[0].angle: 95° is no angle. It lies between 0° and 90°",
    ),
    (
        "{ dia = 0.001, to = 5 }, { dia = 12, to = 9 }",
        "part.outside[0]: dia 0.001 is only 1 µm across at one end. Nothing thinner than 0.01 mm is turned; 0 is a "
        "point on the axis",
    ),
    (
        "{ from_dia = 10, taper_to = 1e-4, to = 10 }, { dia = 20, to = 20 }",
        "part.outside[0]: taper dia 10 to 0.0001 is only 0.1 µm across at one end. Nothing thinner than 0.01 mm is "
        "turned; 0 is a point on the axis",
    ),
    (
        "{ chamfer = 1 }",
        "part.outside: no row makes a surface. Write at least one, as { dia = 12, to = 20 }",
    ),
    (
        "{ sharp = false }, { dia = 12, to = 30 }",
        "part.outside[0].sharp: sharp is a plain yes, not False. Write sharp = true, or leave it out",
    ),
    (
        "{ from_dia = 10, taper_to = 0, to = 10 }, { dia = 5, to = 20 }",
        "part.outside[0]: taper dia 10 to 0 comes down to the axis before the part ends, and cuts it in two",
    ),
    (
        "{ from_dia = 10, taper_to = 20, to = 10 }, { chamfer = 1, angle = 20 }, { taper_to = 10, to = 20 }",
        "part.outside[1]: chamfer 1 x 20° could lean either way between taper dia 10 to 20 and taper dia 20 "
        "to 10. Leave angle out",
    ),
    (
        "{ dome_to = 10, radius = 6 }, { radius = 8 }, { dia = 10, length = 12 }",
        "part.outside[1]: radius 8 is too large: nothing of that size touches both dome radius 6 and dia 10",
    ),
    (
        "{ dia = 30, to = 3 }, { from_dia = 10, hollow_to = 30, length = 3, radius = 10 }, {dia = 10, length = 9 }",
        "part.outside[2]: shoulder dia 30 to 10 touches or crosses hollow radius 10 from dia 10 to 30",
    ),
    (
        "{ dia = 20, to = 5 }, { bulge_to = 10, length = 2, radius = 5.4 }",
        "part.outside[1]: bulge radius 5.4 from dia 20 to 10 stands 0.054 mm out behind the part's own end",
    ),
]


@pytest.mark.parametrize(("rows", "message"), REFUSED, ids=[r for r, _ in REFUSED])
def test_refusal(rows: str, message: str) -> None:
    assert refusal(rows) == message


@pytest.mark.parametrize("value", ["nan", "inf", "0", "-1", "true", "[]", '""'])
@pytest.mark.parametrize("word", ["dia", "to"])
def test_no_such_value_makes_a_cylinder(word: str, value: str) -> None:
    row = {"dia": "12", "to": "20"} | {word: value}
    message = refusal(f"{{ dia = {row['dia']}, to = {row['to']} }}")
    assert message.startswith(f"part.outside[0].{word}: ")


def test_a_row_of_no_kind_lists_the_kinds() -> None:
    message = refusal("{ to = 20 }")
    assert message.startswith(
        "part.outside[0]: nothing says what kind of surface the row is. It needs one of: thread, dia, "
    )
    assert all(word in message for word in ("taper_to", "bulge_to", "dome_to", "ball", "neck", "chamfer", "radius"))


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ({}, "part.outside: the part has no rows. Write at least one, as { dia = 12, to = 20 }"),
        ({"outside": []}, "part.outside: the part has no rows. Write at least one, as { dia = 12, to = 20 }"),
        ({"outside": 3}, "part.outside: the outside is a list of rows. Write outside = [ { dia = 12, to = 20 } ]"),
        (
            {"outsides": []},
            "part: 'outsides' is not known here. Did you mean 'outside'? Known here: outside, inside, face",
        ),
    ],
)
def test_a_part_table_that_holds_no_rows(table: dict[str, object], message: str) -> None:
    with pytest.raises(BadInput) as e:
        outside_rows(table)
    assert str(e.value) == message


def test_lengths_in_inches_and_named_sizes_keep_their_place() -> None:
    with pytest.raises(BadInput) as e:
        outside_rows({"outside": [{"dia": "cord + 2", "to": 3}]})
    assert str(e.value).startswith("part.outside[0].dia: ")
    assert part('{ dia = "1/2 in", to = "1 in" }').length == pytest.approx(25.4)
    assert part("{ dia = 0.5, to = 1 }", unit="inch").largest_dia == pytest.approx(12.7)


def pin() -> Cylinder:
    return Cylinder(dia=Size(12.0, 12.0, 12.0, "12"), to=20.0)


@pytest.mark.parametrize("row", [Chamfer(size=-1.0), Round(radius=0.0)])
def test_corner_rows_that_came_by_another_road_are_checked_too(row: Row) -> None:
    with pytest.raises(BadInput, match=r"part\.outside\[0\]: .* is no size for a corner"):
        build([row, pin()])


@pytest.mark.parametrize("size", [-0.1, float("nan"), float("inf")])
def test_break_edges_is_a_size(size: float) -> None:
    with pytest.raises(BadInput, match="break_edges can not be"):
        build([pin()], break_edges=size)


def test_the_place_of_a_row_is_the_caller_s_word() -> None:
    with pytest.raises(BadInput, match=r"^drawing\.outside\[0\]: the row asks for an inside corner"):
        build([Sharp(on="foot"), pin()], where="drawing")
