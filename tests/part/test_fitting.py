"""A part within its stock: refused where a surface stands out of it, with row, place and figures; exactly."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.part.rows import part
from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, Element, Line, arc_about
from toolpath.geometry.envelope import height_on
from toolpath.part.drawn_stock import drawn
from toolpath.part.fitting import fits, highest_above
from toolpath.part.rows import Row
from toolpath.part.stock import Stock, bar, tube
from toolpath.part.words import row_from

PEAR = "{ from_dia = 6, bulge_to = 20, to = 12, radius = 13 }, { dia = 20, to = 20 }"


def rows(text: str) -> Sequence[Row]:
    return [row_from(r, where="row") for r in tomllib.loads(f"rows = [{text}]")["rows"]]


def casting(outside: str, *, inside: str = "", front: float = 0.0) -> Stock:
    return drawn(rows(outside), inside=rows(inside), front=front)


def said(of: str, stock: Stock) -> str:
    with pytest.raises(BadInput) as caught:
        fits(part(of), stock)
    return str(caught.value)


def test_what_the_bar_holds() -> None:
    fits(part("{ dia = 12, to = 20 }"), bar(16.0, length=60.0, front=1.0))
    fits(part("{ dia = 16, to = 59 }"), bar(16.0, length=60.0, front=1.0))
    assert said("{ dia = 12, to = 59.01 }", bar(16.0, length=60.0, front=1.0)) == (
        "part.outside[0]: dia 12 ends 59.01 mm from the front face, and the bar has 59 mm"
    )


def test_a_part_that_is_its_own_stock_fits() -> None:
    fits(part(PEAR), casting(PEAR + ", { dia = 20, to = 60 }"))


def test_a_part_small_enough_everywhere_but_at_its_shoulder() -> None:
    """The blank's neck is 12 from 10 to 20 mm; the part, smaller than the blank's largest diameter, is 14 there."""
    blank = "{ dia = 24, to = 10 }, { dia = 12, to = 20 }, { dia = 24, to = 60 }"
    fits(part("{ dia = 12, to = 40 }"), casting(blank))
    assert said("{ dia = 8, to = 15 }, { dia = 14, to = 18 }, { dia = 10, to = 40 }", casting(blank)) == (
        "part.outside[1]: dia 14 comes to dia 14 15 mm from the front face, and the bar is dia 12 there"
    )


def test_the_facing_allowance_moves_the_part_into_the_blank() -> None:
    """A blank whose front is turned down to 10 for 5 mm holds a part of 12 only if 5 mm are faced off."""
    blank = "{ dia = 10, to = 5 }, { dia = 20, to = 60 }"
    assert "the bar is dia 10 there" in said("{ dia = 12, to = 20 }", casting(blank, front=4.9))
    fits(part("{ dia = 12, to = 20 }"), casting(blank, front=5.0))


def test_an_arc_that_stands_out_between_its_ends() -> None:
    """A bulge of R 10 over a cone: its ends lie on it, its middle by the sagitta out of it.

    Chord from (0, 5) to (-8, 8): length √73, sagitta 10 - √(100 - 73/4) = 0.9585 square to the chord; along x it is
    greatest where the tangent is parallel, and there worth 0.9585 · √73 / 8.
    """
    cone = "{ from_dia = 10, taper_to = 16, to = 8 }, { dia = 16, to = 40 }"
    bulge = "{ from_dia = 10, bulge_to = 16, to = 8, radius = 10 }"
    (e,) = [x for x in part(bulge).outside if not isinstance(x, Line)]
    worst = highest_above(e, casting(cone).skyline)
    assert worst is not None
    sagitta = 10.0 - math.sqrt(100.0 - 73.0 / 4.0)
    assert worst[1] - worst[2] == pytest.approx(sagitta * math.sqrt(73.0) / 8.0, rel=1e-9)
    assert said(bulge, casting(cone)).startswith("part.outside[0]: bulge radius 10 from dia 10 to 16 comes to dia ")


def test_a_cone_that_stands_out_of_a_hollow_blank_between_its_ends() -> None:
    """The same chord and sagitta the other way round: the blank is hollow there, and the part is the cone."""
    cone = Line((-8.0, 8.0), (0.0, 5.0))
    hollow = "{ from_dia = 10, hollow_to = 16, to = 8, radius = 10 }, { dia = 16, to = 40 }"
    worst = highest_above(cone, casting(hollow).skyline)
    assert worst is not None
    sagitta = 10.0 - math.sqrt(100.0 - 73.0 / 4.0)
    assert worst[1] - worst[2] == pytest.approx(sagitta * math.sqrt(73.0) / 8.0, rel=1e-9)


def test_a_bulge_over_a_hollow_is_farthest_from_it_where_both_run_alike() -> None:
    """Both of R 10 over one chord: by symmetry about its middle they are twice the sagitta's share apart there."""
    bulge = "{ from_dia = 10, bulge_to = 16, to = 8, radius = 10 }"
    hollow = "{ from_dia = 10, hollow_to = 16, to = 8, radius = 10 }, { dia = 16, to = 40 }"
    (e,) = [x for x in part(bulge).outside if not isinstance(x, Line)]
    worst = highest_above(e, casting(hollow).skyline)
    assert worst is not None and worst[0] == pytest.approx(-4.0, abs=1e-9)
    sampled = [(height_on(e.reversed(), -8 * k / 999), k) for k in range(1, 999)]
    skyline = next(x for x in casting(hollow).skyline if not isinstance(x, Line))
    most = max(h - height_on(skyline, -8 * k / 999) for h, k in sampled)
    assert most - 1e-12 <= worst[1] - worst[2] <= most + 1e-4


def test_a_tube_is_no_stock_for_a_solid_part() -> None:
    fits(part("{ dia = 12, to = 20 }"), tube(16.0, bore=0.0, length=60.0, front=1.0))
    assert said("{ dia = 12, to = 20 }", tube(16.0, bore=8.0, length=60.0, front=1.0)) == (
        "part.outside: the part is solid 0 mm from the front face, and the bar there has one of dia 8"
    )


@pytest.mark.parametrize(
    ("hole", "deep", "why"), [(8.0, 20.0, ""), (9.0, 20.0, ""), (7.9, 20.0, "dia 7.9"), (9.0, 15.0, "solid")]
)
def test_the_hole_of_the_part_takes_in_that_of_the_tube(hole: float, deep: float, why: str) -> None:
    """A tube with a bore of 8 for a part of 12 by 20: its own hole must be as wide at least, and go right through."""
    bored = part("{ dia = 12, to = 20 }", inside=f"{{ dia = {hole}, to = {deep} }}")
    stock = tube(16.0, bore=8.0, length=60.0, front=1.0)
    if not why:
        fits(bored, stock)
        return
    with pytest.raises(BadInput, match=f"{why}.* mm from the front face, and the bar there has one of dia 8"):
        fits(bored, stock)


def test_a_hollow_in_front_of_the_part_is_faced_away() -> None:
    """A centre hole 3 mm deep in a blank of which 3 mm are faced off is gone before the part begins."""
    blank = casting("{ dia = 20, to = 60 }", inside="{ from_dia = 4, taper_to = 0, to = 3 }", front=3.0)
    fits(part("{ dia = 12, to = 20 }"), blank)
    nearer = casting("{ dia = 20, to = 60 }", inside="{ from_dia = 4, taper_to = 0, to = 3 }", front=2.0)
    assert "is solid 0 mm from the front face, and the bar there has one of dia 1.3333" in said(
        "{ dia = 12, to = 20 }", nearer
    )


HEIGHTS = st.floats(1.0, 20.0)


@st.composite
def elements(draw: st.DrawFn) -> Element:
    """A line, or a cap or cup of less than half a turn, over a stretch within 0..30."""
    u0 = draw(st.floats(0.0, 20.0))
    a, b = (u0, draw(HEIGHTS)), (u0 + draw(st.floats(0.5, 10.0)), draw(HEIGHTS))
    kind = draw(st.sampled_from(["line", "cap", "cup"]))
    if kind == "line":
        return Line(a, b)
    half = math.dist(a, b) / 2.0
    r = half * draw(st.floats(1.05, 5.0))
    side = math.sqrt(r * r - half * half) / (2.0 * half) * (1.0 if kind == "cup" else -1.0)
    centre = ((a[0] + b[0]) / 2.0 - side * (b[1] - a[1]), (a[1] + b[1]) / 2.0 + side * (b[0] - a[0]))
    arc = arc_about(centre, a, b, ccw=kind == "cup")
    inside = all(abs(e.a[0] - centre[0]) <= r for e in (arc,)) and a[0] < b[0]
    z_least, _, z_most, _ = arc.bounds()
    return arc if inside and z_least >= a[0] and z_most <= b[0] else Line(a, b)


@given(elements(), elements())
def test_no_sample_is_higher_than_the_highest(e: Element, sky: Element) -> None:
    chain: Chain = (sky,)
    found = highest_above(e, chain)
    lo, hi = max(e.a[0], sky.a[0]), min(e.b[0], sky.b[0])
    if hi - lo <= 1e-6:
        return
    assert found is not None and lo <= found[0] <= hi
    sampled = max(height_on(e, u) - height_on(sky, u) for u in (lo + k * (hi - lo) / 400.0 for k in range(401)))
    assert found[1] - found[2] >= sampled - 1e-9
    assert found[1] == pytest.approx(height_on(e, found[0]), abs=1e-9)


@pytest.mark.parametrize("bore", [6.0, 8.0])
def test_a_tube_holds_a_part_whose_own_hole_is_as_large_or_larger(bore: float) -> None:
    fits(
        part("{ dia = 20, to = 10 }", inside="{ hole = 8, through = true }"),
        tube(24.0, bore=bore, length=40.0, front=1.0),
    )


def test_a_tube_with_a_larger_hole_is_refused_by_the_inside_row() -> None:
    body = part("{ dia = 20, to = 10 }", inside="{ dia = 12, to = 4 }, { hole = 8, through = true }")
    with pytest.raises(BadInput) as caught:
        fits(body, tube(24.0, bore=9.0, length=40.0, front=1.0))
    message = str(caught.value)
    assert message.startswith("part.inside[1]: the part has a hole of dia 8 ")
    assert message.endswith(" from the front face, and the bar there has one of dia 9")


def test_behind_a_blind_hole_the_part_is_solid() -> None:
    body = part("{ dia = 20, to = 10 }", inside="{ dia = 8, to = 4 }")
    with pytest.raises(BadInput, match=r"^part.outside: the part is solid .* has one of dia 3$"):
        fits(body, tube(24.0, bore=3.0, length=40.0, front=1.0))
