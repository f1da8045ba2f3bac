"""Limits as on a drawing: what is cut is their middle, what is measured lies between them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.quantity import LENGTH, Quantity, Size, angle, length, size

CAP = {"cord": Quantity(2.0, LENGTH), "wall": Quantity(1.2, LENGTH), "d1": Quantity(14.0, LENGTH)}


@pytest.mark.parametrize(
    ("written", "lower", "upper"),
    [
        ("14 -0.02/-0.05", 13.95, 13.98),
        ("14 - 0.02 / - 0.05", 13.95, 13.98),
        ("14 mm -0.02/-0.05", 13.95, 13.98),
        ("14 -0.02/-0.05 mm", 13.95, 13.98),
        ("14 -0.02 mm/-0.05 mm", 13.95, 13.98),
        ("14-0.02/-0.05", 13.95, 13.98),
        ("14 \u22120.02/\u22120.05", 13.95, 13.98),
        ("14 +0.03/0", 14.0, 14.03),
        ("14 +0.03/-0", 14.0, 14.03),
        ("14 +0.03/0.00", 14.0, 14.03),
        ("14 0/-0.02", 13.98, 14.0),
        ("14 0.00/-0.02", 13.98, 14.0),
        ("14 -0/-0.02", 13.98, 14.0),
        ("14 +0.05/+0.02", 14.02, 14.05),
        ("14 +0.1/-0.05", 13.95, 14.1),
        ("14 -10 thou/-20", 13.492, 13.746),
        ("14 -10/-20 thou", 13.492, 13.746),
        ("14 0 thou/-0.1 mm", 13.9, 14.0),
        ("14 +-0.05", 13.95, 14.05),
        ("14+-0.05", 13.95, 14.05),
        ("14 +/-0.05", 13.95, 14.05),
        ("14 +/- .05", 13.95, 14.05),
        ("14 \u00b10.05", 13.95, 14.05),
        ("14 +-50 um", 13.95, 14.05),
        ("14 h7", 13.982, 14.0),
        ("14h7", 13.982, 14.0),
        ("14 mm h7", 13.982, 14.0),
        ("14 H7", 14.0, 14.018),
        ("14 js6", 13.9945, 14.0055),
        ("14e7", 13.95, 13.968),
        ("14 E7", 14.032, 14.05),
        ("cord + 2*wall +-0.05", 4.35, 4.45),
        ("cord + 2*wall -0.02/-0.05", 4.35, 4.38),
        ("cord + 2*wall h7", 4.388, 4.4),
        ("2*(cord + wall) h7", 6.385, 6.4),
        ("max(cord, wall) +0.1/0", 2.0, 2.1),
        ("d1 h7", 13.982, 14.0),
        ("d1 - 0.02/-0.05", 13.95, 13.98),
    ],
)
def test_limits_in_millimetres(written: str, lower: float, upper: float) -> None:
    read = size(written, names=CAP)
    assert read.lower == pytest.approx(lower, abs=1e-12)
    assert read.upper == pytest.approx(upper, abs=1e-12)
    assert read.value == pytest.approx((lower + upper) / 2, abs=1e-12)
    assert read.toleranced
    assert read.text == written


@pytest.mark.parametrize(
    ("written", "lower", "upper"),
    [
        ("0.5 in +-0.001", 12.6746, 12.7254),
        ("1/2 in +-0.001", 12.6746, 12.7254),
        ('1/2" +0.001/-0.002', 12.6492, 12.7254),
        ('1 3/8" +0/-0.001', 34.8996, 34.925),
        ("0.5 in -0.001/-0.002", 12.6492, 12.6746),
        ("500 thou +-1", 12.6746, 12.7254),
        ("0.5 in +-1 thou", 12.6746, 12.7254),
        ("0.5 in +-0.05 mm", 12.65, 12.75),
        ("0.5 in +-1/64", 12.303125, 13.096875),
        ("cord + 0.5 in +-0.001", 14.6746, 14.7254),
        ("0.5 in h7", 12.682, 12.7),
        ("1/2 in + 2 mm +-0.05 mm", 14.65, 14.75),
        ("14 mm + 1 mm +-0.05", 14.95, 15.05),
    ],
)
def test_bare_limits_take_the_unit_of_the_size(written: str, lower: float, upper: float) -> None:
    read = size(written, names=CAP)
    assert (read.lower, read.upper) == (pytest.approx(lower, abs=1e-9), pytest.approx(upper, abs=1e-9))


def test_bare_limits_of_a_bare_size_take_the_unit_of_the_job() -> None:
    read = size("0.5 +-0.001", unit="inch")
    assert (read.lower, read.upper) == (pytest.approx(12.6746), pytest.approx(12.7254))
    read = size("cord +-0.001", unit="inch", names=CAP)
    assert read.upper - read.lower == pytest.approx(0.0508)
    read = size("12 mm +-0.05", unit="inch")
    assert (read.lower, read.upper) == (pytest.approx(11.95), pytest.approx(12.05))


def test_a_class_in_an_inch_job_is_looked_up_in_millimetres() -> None:
    read = size("0.5 h7", unit="inch")
    assert (read.lower, read.upper) == (pytest.approx(12.682), pytest.approx(12.7))


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        (14, 14.0),
        (14.5, 14.5),
        ("14", 14.0),
        ("1/2 in", 12.7),
        ("2*d1", 28.0),
        ("cord + d1", 16.0),
        ("d1 - 4/2", 12.0),
        ("d1 / -2", -7.0),
        ("10 + 2 * -2", 6.0),
        ("10 + -2", 8.0),
    ],
)
def test_a_size_without_limits_is_its_own_middle(written: object, mm: float) -> None:
    read = size(written, names=CAP)
    assert read == Size(value=mm, lower=mm, upper=mm, text=str(written))
    assert not read.toleranced


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("14 -0.05/-0.02", "upper limit -0.05 mm does not lie above the lower -0.02 mm"),
        ("14 0/+0.02", "does not lie above"),
        ("14 +0.02/+0.02", "does not lie above"),
        ("14 0/0", "does not lie above"),
        ("14 +-0", "does not lie above"),
        ("+-0.05", "limits without a size"),
        ("-0.02/-0.05", "limits without a size"),
        ("14 +-", "one plain width without a sign"),
        ("14 +--0.05", "one plain width without a sign"),
        ("14 +-0.05/0.02", "one plain width without a sign"),
        ("14 +-wall*2", "one plain width without a sign"),
        ("14 +-0.05 +-0.02", "one plain width without a sign"),
        ("14 +-0.05 mmm", "unknown unit 'mmm'"),
        ("14 +-1 deg", "is an angle; a length was wanted"),
        ("14 +0.1/-0.1 s", "is a time; a length was wanted"),
        ("14 -0.02/0.05", "reads two ways"),
        ("14 +0.05/0.02", "reads two ways"),
        ("14+0.05/0.02", "reads two ways"),
        ("cord -0.02/0.05", "reads two ways"),
        ('1-3/8"', "reads two ways"),
        ("20 -4/2", "reads two ways"),
        ("14 0.05/0.02", "14 0.05/0.02 is not a whole number and a fraction"),
        ("14 0.05/-0.02", "two numbers stand side by side"),
        ("1/2 in + 2 mm +-0.05", "written in in and mm, so its limits need a unit"),
        ("14 z7", "class letter 'z' is not in the table"),
        ("14 h99", "grade 99 is not in the table"),
        ("14 h4", "grade 4 is not in the table"),
        ("200 h7", "ends at 180 mm"),
        ("-14 h7", "outside the table"),
        ("14 h7 mm", "only at the end"),
        ("14 H7/h6", "only at the end"),
        ("14 h7 +-0.05", "only at the end"),
        ("h7", "no size named 'h7'"),
        ("30 deg h7", "is an angle; a length was wanted"),
    ],
)
def test_limits_that_make_no_sense_are_refused(written: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        size(written, names=CAP)


@pytest.mark.parametrize("written", ["14 h7", "14 +-0.05", "14 -0.02/-0.05", "30 deg +-1 deg"])
def test_limits_are_refused_where_nothing_is_measured(written: str) -> None:
    for ask in (length, angle):
        with pytest.raises(BadInput, match="limits have no meaning here"):
            ask(written)


def test_positive_holds_for_the_lower_limit() -> None:
    assert size("0.1 +-0.2").lower == pytest.approx(-0.1)
    with pytest.raises(BadInput, match=r"'0\.1 \+-0\.2' has to be larger than 0"):
        size("0.1 +-0.2", positive=True)
    assert size("0.3 +-0.2", positive=True).lower == pytest.approx(0.1)


thousandths = st.integers(-500, 500)


@given(st.integers(1000, 99999), thousandths, thousandths)
def test_any_pair_of_signed_limits(nominal: int, one: int, other: int) -> None:
    """Integer thousandths are the oracle: no float arithmetic on that side."""
    upper, lower = max(one, other), min(one, other)
    text = f"{nominal / 1000:.3f} {upper / 1000:+.3f}/{lower / 1000:+.3f}"
    if upper == lower:
        with pytest.raises(BadInput, match="does not lie above"):
            size(text)
        return
    read = size(text)
    assert round(read.lower * 1000, 6) == nominal + lower
    assert round(read.upper * 1000, 6) == nominal + upper
    assert round(read.value * 2000, 6) == 2 * nominal + upper + lower
    with pytest.raises(BadInput, match="does not lie above"):
        size(f"{nominal / 1000:.3f} {lower / 1000:+.3f}/{upper / 1000:+.3f}")


@given(st.integers(1000, 99999), st.integers(1, 500))
def test_plus_and_minus_is_the_pair_of_both(nominal: int, width: int) -> None:
    size_text, width_text = f"{nominal / 1000:.3f}", f"{width / 1000:.3f}"
    pair = size(f"{size_text} +{width_text}/-{width_text}")
    for sign in ("+-", "+/-", "\u00b1", " +- "):
        read = size(f"{size_text}{sign}{width_text}")
        assert (read.value, read.lower, read.upper) == (pair.value, pair.lower, pair.upper)
        assert read.value == pytest.approx(nominal / 1000, abs=1e-9)
