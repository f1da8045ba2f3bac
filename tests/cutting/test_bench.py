"""The table of depths a bench lathe bears."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.cutting.bench import depth_for
from toolpath.cutting.figures import Figure, greatest, least


@pytest.mark.parametrize(
    ("power", "group", "low", "high"),
    [(250, "steel", 0.2, 0.4), (500, "steel", 0.4, 0.8), (1000, "steel", 0.8, 1.5),
     (250, "soft", 0.5, 1.0), (500, "soft", 1.0, 1.5), (1000, "soft", 2.0, 3.0)],
)  # fmt: skip
def test_rows_of_common_practice(power: float, group: str, low: float, high: float) -> None:
    assert depth_for(power, group=group, rigidity="light") == pytest.approx(low)
    assert depth_for(power, group=group, rigidity="bench") == pytest.approx((low + high) / 2)
    assert depth_for(power, group=group, rigidity="stiff") == pytest.approx(high)


@given(st.floats(1.0, 5000.0), st.floats(1.0, 5000.0), st.sampled_from(["soft", "steel"]))
def test_more_power_is_never_less_depth(p: float, q: float, group: str) -> None:
    low, high = sorted((p, q))
    assert depth_for(low, group=group, rigidity="bench") <= depth_for(high, group=group, rigidity="bench") + 1e-12


def test_between_and_beyond_the_rows() -> None:
    assert depth_for(750, group="steel", rigidity="stiff") == pytest.approx(1.15)
    assert depth_for(125, group="soft", rigidity="light") == pytest.approx(0.25)
    assert depth_for(9000, group="soft", rigidity="stiff") == 3.0


def test_the_tightest_bound_wins_and_keeps_its_reason() -> None:
    a, b, c = Figure(2.0, "a"), Figure(1.0, "b"), Figure(1.0, "c")
    assert least(a, None, b, c) is b
    assert greatest(b, None, a) is a
