"""Threads of Whitworth form and BA against published tables of their diameters."""

from __future__ import annotations

import math

import pytest

from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop.threads import limits, read_thread
from toolpath.shop.threads.ba import BA
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.whitworth import WHITWORTH

# BSW: size, tpi, effective and core diameter, inches (published threading tables). BSF: tpi (published), diameters by
# the published proportions of the form, so these check the arithmetic only; 1 in from memory.
TABLE = """
1/8  BSW 40 0.1090 0.0930
3/16 BSW 24 0.1608 0.1341
1/4  BSW 20 0.2180 0.1860
5/16 BSW 18 0.2769 0.2414
3/8  BSW 16 0.3350 0.2950
7/16 BSW 14 0.3918 0.3460
1/2  BSW 12 0.4466 0.3933
9/16 BSW 12 0.5091 0.4558
5/8  BSW 11 0.5668 0.5086
3/4  BSW 10 0.6860 0.6219
7/8  BSW 9  0.8039 0.7327
1    BSW 8  0.9200 0.8399
3/16 BSF 32 0.1675 0.1475
1/4  BSF 26 0.2254 0.2007
5/16 BSF 22 0.2834 0.2543
3/8  BSF 20 0.3430 0.3110
7/16 BSF 18 0.4019 0.3664
1/2  BSF 16 0.4600 0.4200
9/16 BSF 16 0.5225 0.4825
5/8  BSF 14 0.5793 0.5335
3/4  BSF 12 0.6966 0.6433
7/8  BSF 11 0.8168 0.7586
1    BSF 10 0.9360 0.8719
"""
# Beyond the published rows, from memory: tpi of the other sizes.
REMEMBERED = {
    "BSW": {"1/16": 60, "3/32": 48, "5/32": 32, "7/32": 24, "1 1/8": 7, "1 1/4": 7, "1 1/2": 6},
    "BSF": {"7/32": 28, "1 1/8": 9, "1 1/4": 9, "1 1/2": 8},  # 7/32 is published
}
# BS 93: pitch, diameter, minor diameter, mm, of 0 to 10 BA (two published pages, an inch table agrees).
BA_TABLE = [
    (1.00, 6.0, 4.80), (0.90, 5.3, 4.22), (0.81, 4.7, 3.73), (0.73, 4.1, 3.22), (0.66, 3.6, 2.81), (0.59, 3.2, 2.49),
    (0.53, 2.8, 2.16), (0.48, 2.5, 1.92), (0.43, 2.2, 1.68), (0.39, 1.9, 1.43), (0.35, 1.7, 1.28),
]  # fmt: skip


@pytest.mark.parametrize("line", TABLE.strip().splitlines())
def test_effective_and_core_diameters(line: str) -> None:
    size, series, count, effective, core = line.split()
    thread = read_thread(f"{size} {series}")
    form = profile(thread)
    assert thread.pitch == pytest.approx(INCH / int(count))
    assert f"{form.pitch_dia / INCH:.4f}" == effective
    assert f"{form.root / INCH:.4f}" == core
    assert math.degrees(thread.angle) == pytest.approx(55)
    found = limits(thread).screw
    assert found is not None
    assert f"{found.pitch.greatest / INCH:.4f}" == effective
    assert f"{found.minor.greatest / INCH:.4f}" == core


@pytest.mark.parametrize("series", REMEMBERED)
def test_no_size_stands_without_a_check(series: str) -> None:
    published = {line.split()[0]: int(line.split()[2]) for line in TABLE.split("\n") if f" {series} " in line}
    sizes = {name.partition("-")[0]: int(name.split("-")[1].split()[0]) for name in WHITWORTH.known() if series in name}
    assert sizes == published | REMEMBERED[series]


def test_depth_and_radius_of_the_form() -> None:
    """0.640327 P and 0.137329 P: depth and radius of BS 84, computed here from its angle: two thirds of the sharp V."""
    form, pitch = profile(read_thread("1/4 BSW")), INCH / 20
    sharp = pitch / 2 / math.tan(math.radians(27.5))
    assert form.depth(6.35) == pytest.approx(2 / 3 * sharp, rel=1e-5)
    # A circle that touches both flanks and the line a sixth of the V below its point.
    radius = sharp / 6 / (1 / math.sin(math.radians(27.5)) - 1)
    assert form.root_radius == pytest.approx(radius, rel=1e-5)
    assert form.crest_radius == form.root_radius


# BS 84 medium, 1/4 BSW by hand: T = 0.002 * 0.630 + 0.003 * 0.5 + 0.005 * 0.2236 = 0.00388 in (formula from memory).
def test_medium_class_by_hand() -> None:
    found = limits(read_thread("1/4 BSW"))
    assert found.screw is not None
    assert found.hole is not None
    assert found.screw.pitch.least / INCH == pytest.approx(0.2180 - 0.0039, abs=1e-9)
    assert found.screw.major.least / INCH == pytest.approx(0.2500 - 0.0039 - 0.0022, abs=1e-9)
    assert found.hole.minor.greatest / INCH == pytest.approx(0.1860 + 0.2 / 20 + 0.007, abs=1e-9)
    assert "from memory" in found.said[0]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ('1/4" BSW', "1/4-20 BSW"), ("1/4 Whit", "1/4-20 BSW"), ("1/4-20 BSW", "1/4-20 BSW"), ("BSF 3/8", "3/8-20 BSF"),
        ("1/4 x 40 ME", "1/4-40 ME"), ("1/4-32 ME", "1/4-32 ME"), ("ME 5/16x32", "5/16-32 ME"),
        ("3/8 brass", "3/8-26 BSB"),
        ("0.25 in BSF", "1/4-26 BSF"),
    ],
)  # fmt: skip
def test_spellings(text: str, named: str) -> None:
    assert read_thread(text).designation == named


@pytest.mark.parametrize("name", WHITWORTH.known())
def test_every_size_is_read_as_it_is_named(name: str) -> None:
    assert read_thread(name).designation == name


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1/4-26 BSW", "1/4 BSW has no 26 threads to the inch. It has 20; 26 is 1/4-26 BSF"),
        ("1/3 BSF", "1/3 is no size of BSF. The nearest is 5/16-22 BSF"),
        ("1/4 ME", "Write 1/4-40 ME or 1/4-32 ME"),
        ("1/4-26 ME", "It has 40 or 32"),
        ("1/0 BSW", "divided by nothing"),
        ("17 BA", "there is no 17 BA here. Known are 0 BA to 16 BA"),
    ],
)
def test_a_near_miss(text: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_thread(text)
    assert message in str(caught.value)


@pytest.mark.parametrize("number", range(11))
def test_the_ba_table(number: int) -> None:
    pitch, dia, minor = BA_TABLE[number]
    thread = read_thread(f"{number}BA")
    assert (thread.pitch, thread.diameter) == (pitch, dia)
    assert profile(thread).root == pytest.approx(minor, abs=0.0051)  # printed to 0.01
    assert math.degrees(thread.angle) == pytest.approx(47.5)


def test_fine_ba_sizes() -> None:
    """11 to 16 BA: 1.5, 1.3, 1.2, 1.0, 0.90, 0.79 mm (from memory)."""
    assert [read_thread(f"{n} BA").diameter for n in range(11, 17)] == [1.5, 1.3, 1.2, 1.0, 0.90, 0.79]


@pytest.mark.parametrize("text", ["2 BA", "2BA", "BA 2", "No 2 BA", "2ba"])
def test_ba_spellings(text: str) -> None:
    assert read_thread(text).designation == "2 BA"
    assert BA.known()[2] == "2 BA"


# BS 93 normal class, 0 BA by hand: allowance 0.025, major 0.20 P, effective 0.10 P + 0.025, hole's minor 0.375 P (from
# memory).
def test_normal_class_by_hand() -> None:
    found = limits(read_thread("0 BA"))
    assert found.screw is not None
    assert found.hole is not None
    assert (found.screw.major.least, found.screw.major.greatest) == (5.775, 5.975)
    assert (found.screw.pitch.least, found.screw.pitch.greatest) == (5.25, 5.375)
    assert (found.hole.minor.least, found.hole.minor.greatest) == (4.8, 5.175)
