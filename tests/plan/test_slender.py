"""A free end that is long for its thickness: told, and refused where no tool could hold it straight."""

from __future__ import annotations

import pytest

from tests.plan.workshop import part, request
from toolpath.errors import CannotMake
from toolpath.plan.header import NEEDLE, SLENDER, slenderness
from toolpath.plan.plan import plan


def test_the_free_end_that_is_longest_for_its_thickness() -> None:
    """6 mm for 30 mm is five times; behind it 20 mm at 50 mm are two and a half."""
    made = part({"dia": 4, "to": 5}, {"dia": 6, "to": 30}, {"dia": 20, "to": 50})
    assert slenderness(made.outside) == pytest.approx((30.0, 6.0))


def test_a_thin_end_behind_a_thick_one_hangs_on_nothing() -> None:
    made = part({"dia": 20, "to": 5}, {"dia": 6, "to": 40}, {"dia": 20, "to": 50})
    assert slenderness(made.outside) == pytest.approx((50.0, 20.0))


def test_a_slender_end_is_told_and_a_stout_one_is_not() -> None:
    slender = plan(request(part({"dia": 6, "to": 30}, {"dia": 20, "to": 40})))
    assert any("30.0 mm of the free end are no thicker than 6 mm" in c for c in slender.cautions)
    stout = plan(request(part({"dia": 6, "to": 6 * SLENDER - 1.0}, {"dia": 20, "to": 40})))
    assert not any("free end" in c for c in stout.cautions)


def test_a_needle_is_refused_with_its_figures() -> None:
    with pytest.raises(CannotMake, match=r"41\.0 mm of the part's free end are no thicker than 4 mm, 10 times"):
        plan(request(part({"dia": 4, "to": 4 * NEEDLE + 1.0}, {"dia": 20, "to": 50})))
