"""Insides that can not exist: refused with place, figures and both offenders. The texts are compared whole."""

from __future__ import annotations

import pytest

from tests.part.rows import part, refusal
from toolpath.errors import BadInput
from toolpath.part.words import inside_rows

BAR = "{ dia = 20, to = 30 }"
STEPPED = "{ dia = 20, to = 10 }, { dia = 12, to = 30 }"

REFUSED = [
    (BAR, "{ hole = 6 }",
     "part.inside[0]: nothing says how deep the hole is. Write deep (to where the full diameter ends) or "
     "through = true"),
    (BAR, "{ hole = 6, deep = 5, through = true }",
     "part.inside[0]: a hole goes through or is so deep, not both. Write deep (to where the full diameter ends) or "
     "through = true"),
    (BAR, "{ hole = 6, to = 12 }",
     "part.inside[0].to: 'to' does not belong beside 'hole'. Beside it may stand: deep, through, floor, made, "
     "point_angle, from"),
    (BAR, "{ hole = 6, through = true, floor = 'flat' }",
     "part.inside[0].floor: a hole that goes through has no floor. Leave it out"),
    (BAR, "{ hole = 6, deep = 12, made = 'drilled', floor = 'flat' }",
     "part.inside[0].floor: a hole that is drilled has the floor that a drill leaves, not a flat one. "
     "Write made = \"bored\", or leave floor out"),
    (BAR, "{ hole = 6, deep = 12, floor = 'flat', point_angle = 90 }",
     "part.inside[0].point_angle: point_angle is that of a drilled floor, and this hole has none. Leave it out"),
    (BAR, "{ hole = 6, deep = 12, made = 'punched' }",
     "part.inside[0].made: made can not be 'punched'. It is bored or drilled or reamed or counterbored"),
    (BAR, "{ hole = 6, deep = 12, made = 'counterbored', floor = 'round' }",
     "part.inside[0].made: a counterbore leaves a flat floor, and this is a round floor. "
     "Write made = \"bored\" or \"drilled\""),
    (BAR, "{ hole = 6, through = true, made = 'counterbored' }",
     "part.inside[0].made: a counterbore leaves a flat floor, and this is a hole that goes through. "
     "Write made = \"bored\" or \"drilled\""),
    (BAR, "{ hole = 6, deep = 12, from = 'top' }",
     "part.inside[0].from: from can not be 'top'. It is front or back"),
    (BAR, "{ dia = 0, to = 12 }", "part.inside[0].dia: '0' has to be larger than 0"),
    (BAR, "{ dia = 10, to = 12 }, { hole = 6, deep = 12 }",
     "part.inside[1]: deep = 12 mm does not go beyond the surface before it, which ends 12 mm from the front face"),
    (BAR, "{ dia = 10, to = 12, from = 'back' }, { dia = 6, to = 12, from = 'back' }",
     "part.inside[1]: to = 12 mm does not go beyond the surface before it, which ends 12 mm from the back face"),
    (BAR, "{ taper_to = 6, to = 12 }",
     "part.inside[0]: nothing says at which diameter the surface starts, at the mouth. Write from_dia (0 for a point)"),
    (BAR, "{ from_dia = 0, taper_to = 6, to = 12 }",
     "part.inside[0]: a hollow has a mouth, and this one starts at a point. Write a diameter for it"),
    (BAR, "{ neck = 10, to = 4 }, { dia = 8, to = 9 }",
     "part.inside[0]: an inside neck lies between two surfaces, and none is before it"),
    (BAR, "{ dia = 8, to = 4 }, { neck = 6, to = 6 }, { dia = 8, to = 9 }",
     "part.inside[1]: a neck of dia 6 does not lie beyond the surface before it, dia 8. An inside neck is larger than "
     "the surfaces on both sides; a plain diameter is a dia"),
    (BAR, "{ dia = 8, to = 4 }, { neck = 10, to = 6 }",
     "part.inside[1]: nothing says how high the neck's second wall is. The next row must be a dia, or say from_dia"),
    (BAR, "{ hole = 22, deep = 10 }", "part.inside[0]: the mouth, dia 22, is larger than the front face, dia 20"),
    (BAR, "{ hole = 6, deep = 40 }",
     "part.inside[0]: hole dia 6 goes 40 mm deep, and only 30 mm are there. Write through = true if it is to come "
     "out of the other face"),
    (BAR, "{ hole = 6, deep = 29 }",
     "part.inside[0]: drilled floor 118° goes 30.8026 mm deep, and only 30 mm are there. Write through = true if it "
     "is to come out of the other face"),
    (STEPPED, "{ dia = 12, to = 15 }", "part.inside[0]: bore dia 12 is as large as dia 12: no wall is left"),
    (STEPPED, "{ dia = 13, to = 15 }",
     "part.inside[0]: bore dia 13 comes through dia 12, by 0.5 mm: no wall is left"),
    ("{ dia = 20, to = 10 }, { taper_to = 8, to = 30 }", "{ hole = 9, through = true }",
     "part.inside[0]: the mouth, dia 9, is larger than the back face, dia 8"),
    ("{ dome_to = 20, radius = 12 }, { dia = 20, to = 20 }", "{ hole = 6, deep = 10 }",
     "part.inside[0]: there is no front face to cut into: the outside ends in dome radius 12. Let the outside "
     "start or end at a diameter, as large as the mouth at the least"),
    (BAR, "{ hole = 6, through = true }, { dia = 4, to = 29 }",
     "part.inside[0]: a hole that goes through ends its hollow. Leave out the rows after it"),
    (BAR, "{ hole = 6, through = true }, { hole = 4, through = true, from = 'back' }",
     "part.inside[1]: both hollows go through; one of them opens into the other"),
    (BAR, "{ hole = 6, through = true }, { hole = 4, deep = 6, from = 'back' }",
     "part.inside[0]: a hole of dia 6 can not open into the hollow from the other end, which is dia 4 at the most: "
     "2 mm too narrow"),
    (BAR, "{ hole = 6, through = true }, { dia = 8, to = 10, from = 'back' }, { hole = 4, deep = 15, from = 'back' }",
     "part.inside[0]: a hole of dia 6 swallows hole dia 4 of the hollow from the other end"),
    (BAR, "{ dia = 6, to = 30 }, { hole = 4, through = true, from = 'back' }",
     "part.inside[1]: the hollow from the other end goes through already"),
    (BAR, "{ dia = 8, to = 20 }, { hole = 5, through = true }, { dia = 6, to = 12, from = 'back' }",
     "part.inside[1]: going through at 18 mm does not go beyond the surface before it, which ends 20 mm from the "
     "front face"),
    (BAR, "{ dia = 6, to = 16 }, { dia = 8, to = 16, from = 'back' }",
     "part.inside[1]: flat floor comes 16 mm deep and flat floor from the other end 16 mm, and the part is 30 mm "
     "long: they overlap by 2 mm. Write through = true for the one that opens into the other"),
    (BAR, "{ hole = 10, through = true }, { chamfer = 1, from = 'back' }",
     "part.inside[1]: the rows of this end make no surface. A corner where the hollow from the other end comes out is "
     "named after its last row"),
    ("{ chamfer = 1 }, { dia = 12, to = 20 }, { dia = 20, to = 30 }", "{ chamfer = 1 }, { hole = 12, deep = 10 }",
     "part.inside[0]: part.outside[0] names this corner already"),
    (BAR, "{ hole = 6, through = true }, { dia = 6, to = 10, from = 'back' }, { fillet = 1, from = 'back' }",
     "part.inside[2]: a hole of dia 6 from the other end leaves no corner here. The corner where the hole opens is "
     "named after the hole's own row"),
    (BAR, "{ dia = 10, to = 4 }, { chamfer = 3 }, { dia = 8, to = 9 }",
     "part.inside[1]: chamfer 3 takes 3 mm of inside shoulder dia 10 to 8, and only 1 mm is there. At most 1 mm fits"),
]  # fmt: skip


@pytest.mark.parametrize(("outside", "inside", "message"), REFUSED)
def test_refused_with_place_reason_and_what_would_be_right(outside: str, inside: str, message: str) -> None:
    assert refusal(outside, inside=inside) == message


def test_a_hollow_that_leaves_just_a_wall_is_not_refused() -> None:
    assert part(STEPPED, inside="{ dia = 11.9, to = 15 }").volume() > 0.0


def test_the_inside_is_a_list_and_its_words_are_known() -> None:
    for table, message in [
        ({"inside": "hole"}, "part.inside: the inside is a list of rows. Write inside = [ { hole = 6, deep = 12 } ]"),
        ({"inside": [3]}, "part.inside[0]: a row is a table, not 3. Write { dia = 12, to = 20 }"),
        ({"inside": [{"bore": 3}]}, "part.inside[0].bore: 'bore' is not known here"),
    ]:
        with pytest.raises(BadInput) as e:
            inside_rows(table)
        assert str(e.value).startswith(message)


def test_words_of_the_inside_do_not_stand_outside() -> None:
    for row in (
        "{ hole = 6, deep = 12 }",
        "{ dia = 12, to = 20, made = 'bored' }",
        "{ dia = 12, to = 20, from = 'back' }",
    ):
        assert "is not known here" in refusal(row)
