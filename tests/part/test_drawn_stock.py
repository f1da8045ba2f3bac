"""Blanks drawn with rows: castings and pieces turned before, hollow or not."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence

import pytest

from tests.part.rows import cone, cylinder, part
from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Line, polyline, signed_area
from toolpath.part.drawn_stock import drawn
from toolpath.part.rows import Row
from toolpath.part.stock import Stock
from toolpath.part.words import row_from


def rows(text: str) -> Sequence[Row]:
    return [row_from(r, where="row") for r in tomllib.loads(f"rows = [{text}]")["rows"]]


def blank(outside: str, inside: str = "", *, front: float = 0.0) -> Stock:
    return drawn(rows(outside), inside=rows(inside), front=front)


HEAD = "{ dia = 24, to = 10 }, { dia = 16, to = 60 }"


def test_a_stepped_blank_from_its_own_front_face() -> None:
    stock = blank(HEAD, front=2.0)
    assert stock.outside == polyline([(-58.0, 8.0), (-8.0, 8.0), (-8.0, 12.0), (2.0, 12.0), (2.0, 0.0)])
    assert (stock.front, stock.back, stock.dia, stock.grip.length) == (2.0, -58.0, 24.0, 50.0)


def test_arcs_stay_arcs_and_corners_are_rounded_as_on_a_part() -> None:
    outside = "{ dome_to = 20, radius = 12 }, { dia = 20, to = 20 }, { fillet = 2 }, { dia = 30, to = 60 }"
    stock = blank(outside)
    assert [type(e) for e in stock.outside] == [Line, Line, Arc, Line, Arc]
    assert stock.volume() == pytest.approx(part(outside).volume(), rel=1e-12)
    assert stock.outside[-1].b == (0.0, 0.0)


def test_a_blind_hollow_with_a_cone_at_its_floor() -> None:
    stock = blank(HEAD, "{ dia = 10, to = 20 }, { taper_to = 0, to = 23 }")
    assert stock.inside == polyline([(-23.0, 0.0), (-20.0, 5.0), (0.0, 5.0)])
    assert stock.outside[-1] == Line((0.0, 12.0), (0.0, 5.0))
    assert stock.bore == 0.0
    solid = cylinder(24.0, 10.0) + cylinder(16.0, 50.0)
    assert stock.volume() == pytest.approx(solid - cylinder(10.0, 20.0) - cone(10.0, 0.0, 3.0), rel=1e-12)


def test_a_hollow_as_deep_as_the_blank_goes_right_through() -> None:
    stock = blank(HEAD, "{ dia = 10, to = 20 }, { dia = 6, to = 60 }")
    assert stock.inside == polyline([(-60.0, 3.0), (-20.0, 3.0), (-20.0, 5.0), (0.0, 5.0)])
    assert (stock.bore, stock.outside[0].a) == (6.0, (-60.0, 8.0))
    solid = cylinder(24.0, 10.0) + cylinder(16.0, 50.0)
    assert stock.volume() == pytest.approx(solid - cylinder(10.0, 20.0) - cylinder(6.0, 40.0), rel=1e-12)
    assert signed_area(stock.outline) == pytest.approx(12 * 10 + 8 * 50 - 5 * 20 - 3 * 40, rel=1e-12)


def test_a_hollow_wider_behind_its_mouth_is_kept_as_it_is() -> None:
    """A cored casting: 10 at the mouth, 14 behind; its volume is what the two cylinders leave."""
    stock = blank("{ dia = 24, to = 60 }", "{ dia = 10, to = 5 }, { dia = 14, to = 20 }")
    assert stock.volume() == pytest.approx(math.pi * (144 * 60 - 25 * 5 - 49 * 15), rel=1e-12)
    assert stock.inside[-1] == Line((-5.0, 5.0), (0.0, 5.0))


def test_a_corner_of_the_hollow_may_be_named() -> None:
    """Pappus: a triangle of 0.5 by 0.5 mm, its centroid a third of that outside the smaller radius, 4 mm."""
    plain = blank("{ dia = 24, to = 60 }", "{ dia = 10, to = 9 }, { dia = 8, to = 12 }")
    rows = "{ dia = 10, to = 9 }, { chamfer = 0.5 }, { dia = 8, to = 12 }"
    taken = plain.volume() - blank("{ dia = 24, to = 60 }", rows).volume()
    assert taken == pytest.approx(2.0 * math.pi * 0.125 * (4.0 + 0.5 / 3.0), rel=1e-9)


REFUSED = [
    (
        "{ dia = 20, to = 5 }, { from_dia = 10, hollow_to = 20, length = 3, radius = 5.5 }, { dia = 20, to = 60 }",
        "",
        "bar.outside[1]: hollow radius 5.5 from dia 10 to 20 lies under an overhang, 8.0007 mm from the front face, "
        "where no tool sees it. Draw the stock plumb under what stands over it",
    ),
    (HEAD, "{ dia = 24, to = 5 }", "bar.inside[0]: bore dia 24 is as large as dia 24: no wall is left"),
    (HEAD, "{ dia = 6, to = 61 }", "bar.inside[0]: bore dia 6 goes 61 mm deep, and only 60 mm are there"),
    (
        HEAD,
        "{ dia = 10, to = 5 }, { dia = 18, to = 20 }",
        "bar.inside[1]: bore dia 18 comes through dia 16, by 1 mm: no wall is left",
    ),
    (HEAD, "{ dia = 16, to = 60 }", "bar.inside[0]: bore dia 16 is as large as dia 16: no wall is left"),
    (
        "{ dome_to = 20, radius = 12 }, { dia = 20, to = 60 }",
        "{ dia = 5, to = 9 }",
        "bar.inside[0]: there is no front face to cut into: the outside ends in dome radius 12. Let the outside start "
        "or end at a diameter, as large as the mouth at the least",
    ),
    (
        "{ dia = 6, to = 5 }, { hollow_to = 6, length = 12, radius = 6.5 }",
        "",
        "bar.outside[1]: hollow radius 6.5 from dia 6 to 6 dips past the axis, to a radius of -1 mm",
    ),
]


@pytest.mark.parametrize(("outside", "inside", "said"), REFUSED)
def test_blanks_that_can_not_be(outside: str, inside: str, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        blank(outside, inside)
    assert str(caught.value) == said
