"""Numbers as printed: a point always, no needless zero, and every place on the grid of last digits."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from posts.numbers import Grid, fixed, plain
from tests.posts.common import G95
from toolpath.errors import BadInput, CannotMake

METRIC = Grid(G95.millimetre, inch=False, diameter=True)
INCH = Grid(G95.inch, inch=True, diameter=True)
RADIUS = Grid(G95.millimetre, inch=False, diameter=False)


@pytest.mark.parametrize(
    "digits, decimals, text",
    [
        (14000, 3, "14.0"),
        (14050, 3, "14.05"),
        (-5, 3, "-0.005"),
        (0, 3, "0.0"),
        (-12345, 4, "-1.2345"),
        (7, 0, "7.0"),
        (100, 1, "10.0"),
    ],
)
def test_a_point_always_and_no_needless_zero(digits: int, decimals: int, text: str) -> None:
    assert fixed(digits, decimals) == text


@pytest.mark.parametrize(
    "value, decimals, text", [(800.0, 0, "800"), (92.5, 1, "92.5"), (90.04, 1, "90"), (0.04, 1, "0")]
)
def test_speeds_are_plain(value: float, decimals: int, text: str) -> None:
    assert plain(value, decimals) == text


@given(digits=st.integers(-(10**8), 10**8), decimals=st.integers(0, 5))
@settings(max_examples=200)
def test_printed_numbers_say_what_they_stand_for(digits: int, decimals: int) -> None:
    text = fixed(digits, decimals)
    assert round(float(text) * 10**decimals) == digits
    assert "e" not in text and "." in text and not text.startswith("-0.0 ")
    assert text == "0.0" or (
        text.lstrip("-") == text.lstrip("-").strip() and not (text.endswith("0") and text[-2] != ".")
    )


def test_minus_nothing_is_nothing() -> None:
    assert METRIC.words(METRIC.digits((-0.0001, -0.0001)), "XZ") == ["X0.0", "Z0.0"]


def test_x_words_are_diameters_or_radii() -> None:
    assert METRIC.words(METRIC.digits((-2.5, 7.25)), "XZ") == ["X14.5", "Z-2.5"]
    assert RADIUS.words(RADIUS.digits((-2.5, 7.25)), "XZ") == ["X7.25", "Z-2.5"]
    assert INCH.words(INCH.digits((-2.54, 12.7)), "XZ") == ["X1.0", "Z-0.1"]


@pytest.mark.parametrize("grid", [METRIC, INCH, RADIUS], ids=["mm", "inch", "radius"])
@given(z=st.floats(-300, 300), x=st.floats(-100, 100))
@settings(max_examples=100)
def test_rounding_is_at_most_half_a_last_digit(grid: Grid, z: float, x: float) -> None:
    back = grid.point(grid.digits((z, x)))
    assert abs(back[0] - z) <= grid.step / 2 + 1e-9
    assert abs(back[1] - x) <= grid.step / (4 if grid.diameter else 2) + 1e-9
    assert grid.digits(back) == grid.digits((z, x))


def test_beyond_the_bounds() -> None:
    assert METRIC.digits((9999.0, 0.0))
    for place in ((9999.001, 0.0), (0.0, 5000.0), (0.0, -5000.0)):
        with pytest.raises(CannotMake, match="beyond 9999"):
            METRIC.digits(place)
    for place in ((math.nan, 0.0), (0.0, math.inf)):
        with pytest.raises(BadInput, match="no place"):
            METRIC.digits(place)
