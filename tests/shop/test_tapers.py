"""Standard tapers and the ways a taper is written."""

from __future__ import annotations

import math

import pytest

from toolpath.errors import BadInput
from toolpath.shop.tapers import half_angle_of_ratio, jarno, known, standard

# Half angles of the Morse tapers, degrees and minutes: charts of the trade, from memory.
MORSE = {
    "Morse 0": (1, 29, 27),
    "Morse 1": (1, 25, 43),
    "Morse 2": (1, 25, 50),
    "Morse 3": (1, 26, 16),
    "Morse 4": (1, 29, 15),
    "Morse 5": (1, 30, 26),
}


@pytest.mark.parametrize("name", MORSE)
def test_half_angles_of_morse_tapers(name: str) -> None:
    degrees, minutes, seconds = MORSE[name]
    half = math.degrees(math.atan(0.5 / standard(name).rate))
    assert half == pytest.approx(degrees + minutes / 60.0 + seconds / 3600.0, abs=1.0 / 3600.0)


@pytest.mark.parametrize(("number", "large", "small", "length"), [(2, 0.25, 0.2, 1.0), (6, 0.75, 0.6, 3.0)])
def test_jarno_is_a_rule(number: int, large: float, small: float, length: float) -> None:
    """No. 2: 0.250 to 0.200 in over 1 in; No. 6: 0.750 to 0.600 in over 3 in (charts of the trade, from memory)."""
    taper = jarno(number)
    assert (taper.large / 25.4, taper.small / 25.4, taper.length / 25.4) == pytest.approx((large, small, length))


def test_every_taper_is_thinner_in_front_and_has_a_source() -> None:
    for taper in known():
        assert 0.0 < taper.small < taper.large and taper.source


@pytest.mark.parametrize("written", ["MT2", "morse 2", "Morse no. 2"])
def test_names_as_people_write_them(written: str) -> None:
    assert standard(written).names[0] == "Morse 2"


def test_a_name_that_is_not_known_is_told_the_nearest() -> None:
    with pytest.raises(BadInput, match=r"no standard taper 'Mors 2'\. Did you mean 'Morse 2'"):
        standard("Mors 2")


@pytest.mark.parametrize(
    ("written", "degrees"),
    [
        ("1:20", 1.43210),  # arctan 1/40, by calculator
        ("1 in 16", 1.78991),  # the taper of a pipe thread: 1.7899 deg, threads.md of the published tables
        ("0.6 in/ft", 1.43210),
        ("1:3", 9.46232),  # D 50, d 30 over 60: 9.4623 deg, a published worked example (compound slide)
    ],
)
def test_rates_are_read(written: str, degrees: float) -> None:
    assert math.degrees(half_angle_of_ratio(written)) == pytest.approx(degrees, abs=1e-5)


@pytest.mark.parametrize("written", ["", "20", "1:0", "1:-3", "a:b", "1:0.01", "9" * 400 + ":1"])
def test_what_is_no_taper_is_refused(written: str) -> None:
    with pytest.raises(BadInput, match="1:20, diameter to length"):
        half_angle_of_ratio(written)


@pytest.mark.parametrize("name", ["Foo", "", "Morse"])
def test_the_series_are_told_where_no_name_is_near(name: str) -> None:
    with pytest.raises(BadInput, match=r"Known here are, each with its number: Morse, metric, Jarno$"):
        standard(name)
