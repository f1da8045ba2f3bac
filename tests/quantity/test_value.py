"""Values with dimensions: what may be added, and what products and quotients are."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.quantity import ANGLE, FEED, LENGTH, PLAIN, SPEED, SPIN, TIME, Quantity

ROOT = Path(__file__).resolve().parents[2]

dims = st.tuples(*[st.integers(-2, 2)] * 4)
figures = st.floats(-1e3, 1e3)
quantities = st.builds(Quantity, figures, dims)


@given(quantities, quantities)
def test_a_product_undone_by_a_quotient(a: Quantity, b: Quantity) -> None:
    product = a * b
    assert product.dims == tuple(x + y for x, y in zip(a.dims, b.dims, strict=True))
    if abs(b.value) > 1e-6:
        back = product / b
        assert back.dims == a.dims
        assert back.value == pytest.approx(a.value, rel=1e-12, abs=1e-9)


@given(quantities, quantities)
def test_only_like_is_added_to_like(a: Quantity, b: Quantity) -> None:
    if a.dims == b.dims:
        assert (a + b) - b == Quantity(a.value + b.value - b.value, a.dims)
    else:
        for done in (a.__add__, a.__sub__):
            with pytest.raises(BadInput, match="can not be"):
                done(b)


@given(quantities, figures)
def test_plain_factors_keep_the_dimension(a: Quantity, factor: float) -> None:
    assert a * factor == factor * a == a * Quantity(factor)
    assert -a == a * -1.0 and +a == a
    if abs(factor) > 1e-3:
        assert (a / factor).dims == a.dims
    if abs(a.value) > 1e-3:
        assert (factor / a).dims == tuple(-d for d in a.dims)


def test_speeds_times_times() -> None:
    surface, seconds = Quantity(1500.0, SPEED), Quantity(2.0, TIME)
    assert surface * seconds == Quantity(3000.0, LENGTH)
    assert Quantity(0.1, FEED) * Quantity(10.0, SPIN) == Quantity(1.0, SPEED)
    assert Quantity(3.0, LENGTH) / Quantity(2.0, LENGTH) == Quantity(1.5, PLAIN)


@pytest.mark.parametrize(
    ("a", "b", "says"),
    [
        (LENGTH, ANGLE, "a length and an angle can not be added"),
        (TIME, SPEED, "a time and a speed can not be added"),
        (FEED, SPIN, "a feed per turn and a spindle speed can not be added"),
        (PLAIN, LENGTH, "a plain number and a length can not be added"),
        ((2, 1, 0, 0), LENGTH, "a value in mm\\^2 rad\\^1 and a length can not be added"),
    ],
)
def test_a_wrong_sum_is_told_in_words(a, b, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadInput, match=says):
        Quantity(1.0, a) + Quantity(1.0, b)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1e13, -1e13])
def test_a_value_without_end_does_not_exist(value: float) -> None:
    with pytest.raises(BadInput, match="too large"):
        Quantity(value, LENGTH)
    with pytest.raises(BadInput, match="too large"):
        Quantity(1e7, LENGTH) * Quantity(1e7, LENGTH)


def test_nothing_is_divided_by_zero() -> None:
    with pytest.raises(BadInput, match="division by zero"):
        Quantity(1.0, LENGTH) / Quantity(0.0, TIME)
    with pytest.raises(BadInput, match="division by zero"):
        1.0 / Quantity(0.0, TIME)


def test_a_quantity_can_not_be_changed() -> None:
    with pytest.raises(AttributeError):
        Quantity(1.0, LENGTH).value = 2.0  # type: ignore[misc]


def test_reading_a_plain_value_imports_no_evaluator() -> None:
    """What most jobs never need must not cost every run."""
    code = (
        "import sys; from toolpath.quantity import length, size; length('1 3/8 in'); length(-3); length('-3 mm'); "
        "size('14 -0.02/-0.05'); print([m for m in ('simpleeval', 'difflib', 'numpy') if m in sys.modules]); "
        "length('1 + 2'); print('simpleeval' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.split("\n")[:2] == ["[]", "True"]
