"""Rules of the trade for holes, against the figures that are printed of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput, CannotMake
from toolpath.shop.drills import DrillSet, drill_named, drill_set, every_set
from toolpath.shop.hole_rules import drill_before_reamer, oversize, ream_stock

INCH = 25.4


@pytest.mark.parametrize(
    ("inches", "least", "greatest"), [(1 / 16, 0.001, 0.002), (1 / 4, 0.0025, 0.0065), (1 / 2, 0.003, 0.008)]
)
def test_a_drill_cuts_over(inches: float, least: float, greatest: float) -> None:
    """Machinists' handbooks, from memory."""
    over = oversize(inches * INCH)
    assert (over.least, over.greatest) == pytest.approx((least * INCH, greatest * INCH))


def test_between_two_drills_the_figure_lies_between() -> None:
    over = oversize(0.1875 * INCH)
    assert over.mean == pytest.approx((0.003 + 0.004) / 2 * INCH)


@given(st.floats(0.3, 25.4))
def test_the_three_figures_stand_in_order(dia: float) -> None:
    over = oversize(dia)
    assert 0.0 < over.least < over.mean < over.greatest < 0.15 * dia


def test_above_an_inch_it_is_not_known() -> None:
    with pytest.raises(BadInput, match="how much over a 30 mm drill cuts is not known"):
        oversize(30.0)


@pytest.mark.parametrize(
    ("reamer", "drill"), [(4.0, "3.8"), (5.0, "4.8"), (6.0, "5.8"), (8.0, "7.8"), (10.0, "9.8"), (12.0, "11.8")]
)
def test_the_drill_before_a_reamer(reamer: float, drill: str) -> None:
    """Metric reaming tables: two tenths under from 4 to 12 mm; from memory."""
    assert drill_before_reamer(reamer, [drill_set("metric")]).name == drill


@given(st.floats(2.0, 12.9))
def test_what_a_reamer_gets_is_within_the_rule_and_never_too_large(reamer: float) -> None:
    try:
        drill = drill_before_reamer(reamer, every_set())
    except CannotMake:
        return
    least, most = ream_stock(reamer)
    assert least - 0.001 <= reamer - drill.dia <= most + 0.001
    assert drill.dia + oversize(drill.dia).greatest < reamer


def test_of_inch_drills_number_one_goes_before_six() -> None:
    """#1 is 0.2280 in, 5.791 mm."""
    assert drill_before_reamer(6.0, every_set()[1:]).name == "#1"


def test_without_a_drill_that_fits_none_is_taken() -> None:
    with pytest.raises(CannotMake) as caught:
        drill_before_reamer(8.0, [drill_set("metric 0.5"), DrillSet("one", (drill_named("N"),))])
    assert str(caught.value) == (
        "no drill of the rack goes before a 8 mm reamer: it takes 0.2 to 0.3 mm, so a drill of 7.7 to 7.8 mm is wanted"
    )


def test_stock_of_large_reamers_is_not_known() -> None:
    with pytest.raises(BadInput, match="what a 40 mm reamer takes is not known"):
        ream_stock(40.0)
