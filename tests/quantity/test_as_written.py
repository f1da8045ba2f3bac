"""Values as people write them at the lathe: lengths, angles, speeds, feeds, times, and sums of them."""

from __future__ import annotations

import math
import operator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.quantity import LENGTH, PLAIN, Quantity, angle, duration, feed, length, rpm, size, surface_or_rpm

BOB = {
    "cord": Quantity(2.0, LENGTH),
    "wall": Quantity(1.2, LENGTH),
    "knot": Quantity(6.0, LENGTH),
    "ribs": Quantity(3.0, PLAIN),
    "slope": Quantity(math.radians(8), (0, 1, 0, 0)),
}

# The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
LENGTHS = [
    (12, 12.0),
    (12.5, 12.5),
    ("12", 12.0),
    ("12 mm", 12.0),
    ("12mm", 12.0),
    (" 12  MM ", 12.0),
    ("1.2 cm", 12.0),
    ("0.012 m", 12.0),
    ("50 um", 0.05),
    ("50 \u00b5m", 0.05),
    ("0.5 in", 12.7),
    ("1/2 in", 12.7),
    ("1/2 inch", 12.7),
    ('1/2"', 12.7),
    ("1/2\u2033", 12.7),
    ('1 3/8"', 34.925),
    ("1 3/8 in", 34.925),
    ("15/32 in", 11.90625),
    ("12 thou", 0.3048),
    ("1 ft", 304.8),
    (".5", 0.5),
    ("5.", 5.0),
    ("5e-1", 0.5),
    ("2.5e+1", 25.0),
    ("-3 mm", -3.0),
    ("\u22123 mm", -3.0),
    ("+3", 3.0),
    ("2 1/4", 2.25),
]


@pytest.mark.parametrize(("written", "mm"), LENGTHS)
def test_lengths(written: object, mm: float) -> None:
    assert length(written) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        (0.5, 12.7),
        ("0.5", 12.7),
        ("1 3/8", 34.925),
        ("12 mm", 12.0),
        ("1/2 in + 1 mm", 13.7),
        ("12 mm + 1", 37.4),
        ("max(10 mm, 1)", 25.4),
    ],
)
def test_bare_lengths_of_an_inch_job_are_inches(written: object, mm: float) -> None:
    assert length(written, unit="inch") == pytest.approx(mm, abs=1e-12)
    assert length(written, unit="in") == length(written, unit="inch")


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("cord + 2*wall", 4.4),
        ("cord+2*wall", 4.4),
        ("2*(cord + wall)", 6.4),
        ("(cord + wall) * 2", 6.4),
        ("cord + 2", 4.0),
        ("cord + 2 mm", 4.0),
        ("cord - wall", 0.8),
        ("cord - -wall", 3.2),
        ("-cord", -2.0),
        ("-(cord + wall)", -3.2),
        ("knot / 2", 3.0),
        ("knot/cord * wall", 3.6),
        ("knot * wall / cord", 3.6),
        ("wall * 1/2", 0.6),
        ("ribs * wall", 3.6),
        ("3 times * wall", 3.6),
        ("min(cord, wall)", 1.2),
        ("min(cord, wall, 1)", 1.0),
        ("max(cord, 1/8 in)", 3.175),
        ("max(cord, min(wall, 5) + 1)", 2.2),
        ("2 + 3 * 4", 14.0),
        ("(2 + 3) * 4", 20.0),
        ("10 / 4", 2.5),
        ("10 - 4 - 3", 3.0),
        ("8 / 2 / 2", 2.0),
        ("20 - 4/2", 18.0),
        ("1/2 in + 2 mm", 14.7),
        ("1 - 3/8", 0.625),
        ("cord \u00d7 wall / wall", 2.0),
        ("20 mm/min(2, 4)", 10.0),
    ],
)
def test_sums_over_the_sizes_of_a_bob(written: str, mm: float) -> None:
    assert length(written, names=BOB) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    ("written", "degrees"),
    [(30, 30), ("30", 30), ("30 deg", 30), ("30\u00b0", 30), ("7.5 deg * 2", 15), ("slope/2", 4), ("slope + 1", 9)],
)
def test_angles_are_degrees_unless_said(written: object, degrees: float) -> None:
    assert angle(written, names=BOB) == pytest.approx(math.radians(degrees), abs=1e-15)


def test_radians_may_be_written() -> None:
    assert angle("0.5 rad") == 0.5


@pytest.mark.parametrize(
    ("written", "seconds"), [("2 s", 2), ("0.5 min", 30), (2, 2), ("1.5", 1.5), ("2 s + 0.1 min", 8)]
)
def test_durations(written: object, seconds: float) -> None:
    assert duration(written) == pytest.approx(seconds)


@pytest.mark.parametrize(("written", "turns"), [("800 rpm", 800), (2800, 2800), ("2*400 rpm", 800), ("10 rev/s", 600)])
def test_spindle_speeds(written: object, turns: float) -> None:
    assert rpm(written) == pytest.approx(turns)


@pytest.mark.parametrize(
    ("written", "kind", "value"),
    [
        ("90 m/min", "surface", 90.0),
        ("1.5 m/s", "surface", 90.0),
        ("300 ft/min", "surface", 91.44),
        ("300 sfm", "surface", 91.44),
        ("800 rpm", "rpm", 800.0),
        ("800 rev/min", "rpm", 800.0),
        ("2 * 45 m/min", "surface", 90.0),
    ],
)
def test_cutting_speed_or_spindle_speed(written: str, kind: str, value: float) -> None:
    told, figure = surface_or_rpm(written)
    assert told == kind
    assert figure == pytest.approx(value)


@pytest.mark.parametrize(
    ("written", "kind", "value"),
    [
        ("0.08 mm/rev", "per turn", 0.08),
        ("0.003 in/rev", "per turn", 0.0762),
        ('.003"/rev', "per turn", 0.0762),
        ("3 thou/rev", "per turn", 0.0762),
        ("0.003 ipr", "per turn", 0.0762),
        ("100 mm/min", "per minute", 100.0),
        ("4 in/min", "per minute", 101.6),
        ("4 ipm", "per minute", 101.6),
        ("800 rpm * 0.1 mm/rev", "per minute", 80.0),
    ],
)
def test_feeds(written: str, kind: str, value: float) -> None:
    told, figure = feed(written)
    assert told == kind
    assert figure == pytest.approx(value)


@pytest.mark.parametrize(
    ("ask", "written", "says"),
    [
        (length, "12 mm + 30 deg", "a length and an angle can not be added"),
        (length, "12 mm - 30 deg", "a length and an angle can not be added"),
        (length, "max(12 mm, 2 s)", "a length and a time can not be compared"),
        (length, "30 deg", "is an angle; a length was wanted"),
        (length, "cord * wall", "is an area"),
        (length, "cord / wall", "is a plain number; a length was wanted"),
        (length, "ribs + cord", "a plain number and a length can not be added"),
        (length, "90 m/min", "is a speed; a length was wanted"),
        (length, "2 / cord", "is a number divided by a length"),
        (length, "cord * slope", "a value in mm\\^1 rad\\^1"),
        (angle, "12 mm", "is a length; an angle was wanted"),
        (duration, "800 rpm", "is a spindle speed; a time was wanted"),
        (rpm, "90 m/min", "is a speed; a spindle speed was wanted"),
        (surface_or_rpm, "0.08 mm/rev", "is a feed per turn; a speed was wanted"),
        (feed, "800 rpm", "is a spindle speed; a feed was wanted"),
        (surface_or_rpm, "90 m/min + 800 rpm", "a speed and a spindle speed can not be added"),
        (surface_or_rpm, "90 m/min + 5", "5 needs a unit beside a speed"),
        (size, "30 deg", "is an angle; a length was wanted"),
    ],
)
def test_a_wrong_dimension_is_told_as_one(ask, written: str, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadInput, match=says):
        ask(written, names=BOB)


@pytest.mark.parametrize("written", [90, "90", "45 + 45"])
def test_a_bare_speed_or_feed_could_mean_two_things_and_is_refused(written: object) -> None:
    with pytest.raises(BadInput, match=r"does not say what it counts.*m/min.*rpm"):
        surface_or_rpm(written)
    with pytest.raises(BadInput, match=r"does not say what it counts.*mm/rev.*mm/min"):
        feed(written)


@pytest.mark.parametrize("written", [0, -1, "0", "-1 mm", "wall - wall", "wall - cord"])
def test_zero_and_below_are_refused_where_a_positive_value_is_wanted(written: object) -> None:
    assert length(written, names=BOB) <= 0
    with pytest.raises(BadInput, match="has to be larger than 0"):
        length(written, names=BOB, positive=True)


@pytest.mark.parametrize("written", ["0 rpm", "-800 rpm", "0 m/min", "-1 m/min"])
def test_a_spindle_at_rest_or_backwards_is_no_speed(written: str) -> None:
    with pytest.raises(BadInput, match="has to be larger than 0"):
        surface_or_rpm(written)


def test_the_message_carries_the_key_path() -> None:
    with pytest.raises(BadInput) as caught:
        length("12 mmm", where="part.outside[2].to")
    assert caught.value.where == "part.outside[2].to"
    assert str(caught.value).startswith("part.outside[2].to: '12 mmm': unknown unit 'mmm'. Did you mean 'mm'?")


@pytest.mark.parametrize("unit", ["", "deg", "inc", "furlong"])
def test_a_job_in_no_unit_of_length_is_refused(unit: str) -> None:
    with pytest.raises(BadInput, match="is no unit of length"):
        length(12, unit=unit)


plain = st.decimals(min_value="0.001", max_value="9999", places=3)


@given(plain)
def test_a_number_reads_the_same_bare_as_text_and_with_its_unit(number) -> None:  # type: ignore[no-untyped-def]
    assert length(float(number)) == length(str(number)) == length(f"{number} mm")
    assert length(float(number), unit="in") == length(f"{number} in")
    assert length(f"-{number}") == -length(float(number))


@given(st.integers(1, 20), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fractions_of_an_inch_are_exact(whole: int, part: int, parts: int) -> None:
    """64 times a sum of 64ths is a whole number of 25.4 mm steps: arithmetic, no table."""
    part = part % parts or 1
    assert length(f"{part}/{parts} in") * parts == pytest.approx(part * 25.4, rel=1e-15)
    assert length(f'{whole} {part}/{parts}"') == pytest.approx(length(f"{whole} in + {part}/{parts} in"), rel=1e-15)


Sum = tuple[str, float]  # as written, and what it comes to by Python's own arithmetic

SIGNS = {" + ": operator.add, "-": operator.sub, "*": operator.mul}


def joined(parts: tuple[Sum, str, Sum]) -> Sum:
    (left, a), sign, (right, b) = parts
    return f"({left}){sign}({right})", SIGNS[sign](a, b)


sums: st.SearchStrategy[Sum] = st.recursive(
    st.integers(1, 99).map(lambda n: (str(n), float(n))),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from(sorted(SIGNS)), inner).map(joined),
        inner.map(lambda one: (f"-({one[0]})", -one[1])),
        st.tuples(inner, inner).map(lambda two: (f"min({two[0][0]}, {two[1][0]})", min(two[0][1], two[1][1]))),
        st.tuples(inner, inner).map(lambda two: (f"max({two[0][0]}, {two[1][0]})", max(two[0][1], two[1][1]))),
    ),
    max_leaves=5,
)


@given(sums)
def test_sums_of_plain_numbers_agree_with_arithmetic(one: Sum) -> None:
    text, expected = one
    assert length(text) == pytest.approx(expected, rel=1e-12)


@given(st.text(alphabet='0123456789.+-*/(),"eEhHjsmin xaw_ \u00b1\u00b0', max_size=30))
def test_any_text_is_a_finite_value_or_a_plain_refusal(text: str) -> None:
    for ask in (length, size, angle, surface_or_rpm, feed):
        try:
            answer = ask(text)
        except BadInput as error:
            assert str(error)
        else:
            figures = [answer] if isinstance(answer, float) else [v for v in _figures(answer)]
            assert all(math.isfinite(v) for v in figures)


def _figures(answer: object) -> list[float]:
    if isinstance(answer, tuple):
        return [answer[1]]
    return [answer.value, answer.lower, answer.upper]  # type: ignore[attr-defined]
