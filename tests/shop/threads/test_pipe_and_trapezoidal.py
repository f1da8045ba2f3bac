"""Pipe threads against the published tables of ISO 228-1 and ASME B1.20.1; trapezoidal threads against formulas."""

from __future__ import annotations

import math

import pytest

from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop.threads import limits, read_thread
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.grades import R40, by_formula
from toolpath.shop.threads.pipe import PIPE, TAPER_PIPE
from toolpath.shop.threads.thread import Thread
from toolpath.shop.threads.trapezoidal import TRAPEZOIDAL

# ISO 228-1: tpi, pitch, major, pitch diameter, minor; tolerances of pitch A, hole's minor, screw's major (two tables, a
# handbook agrees with the diameters).
G = """
1/8 28 0.907  9.728  9.147  8.566 0.107 0.282 0.214
1/4 19 1.337 13.157 12.301 11.445 0.125 0.445 0.250
3/8 19 1.337 16.662 15.806 14.950 0.125 0.445 0.250
1/2 14 1.814 20.955 19.793 18.631 0.142 0.541 0.284
3/4 14 1.814 26.441 25.279 24.117 0.142 0.541 0.284
1   11 2.309 33.249 31.770 30.291 0.180 0.640 0.360
"""
# ASME B1.20.1: tpi, pitch diameter E0 at the small end, E1 at the length L1 by hand, inches (two published tables).
NPT = {
    "1/8": (27, 0.36351, 0.37360, 0.1615), "1/4": (18, 0.47739, 0.49163, 0.2278), "3/8": (18, 0.61201, 0.62701, 0.240),
    "1/2": (14, 0.75843, 0.77843, 0.320), "3/4": (14, 0.96768, 0.98887, 0.339), "1": (11.5, 1.21363, 1.23863, 0.400),
}  # fmt: skip


@pytest.mark.parametrize("line", G.strip().splitlines())
def test_parallel_pipe(line: str) -> None:
    size, *figures = line.split()
    _, pitch, major, d2, d1, wide, hole_minor, screw_major = map(float, figures)
    thread = read_thread(f"G {size}")
    assert thread.pitch == pitch
    a, b = limits(thread), limits(read_thread(f"G{size} B"))
    assert a.screw is not None
    assert a.hole is not None
    assert b.screw is not None
    assert (a.screw.major.greatest, a.screw.major.least) == (major, pytest.approx(major - screw_major))
    assert (a.screw.pitch.greatest, a.screw.pitch.least) == (d2, pytest.approx(d2 - wide))
    assert b.screw.pitch.least == pytest.approx(d2 - 2 * wide)
    assert (a.hole.pitch.least, a.hole.pitch.greatest) == (d2, pytest.approx(d2 + wide))
    assert (a.hole.minor.least, a.hole.minor.greatest) == (d1, pytest.approx(d1 + hole_minor))


@pytest.mark.parametrize("name", PIPE.known())
def test_the_table_of_pipe_threads_has_the_whitworth_form(name: str) -> None:
    """Pitch diameter and minor lie one and two depths of 0.640327 P below the major, to the table's last digit."""
    thread = read_thread(name)
    form, found = profile(thread), limits(thread).hole
    assert found is not None
    assert found.pitch.least == pytest.approx(form.pitch_dia, abs=1.1e-3)
    assert found.minor.least == pytest.approx(form.minor, abs=1.1e-3)


@pytest.mark.parametrize("size", NPT)
def test_taper_pipe(size: str) -> None:
    count, e0, e1, by_hand = NPT[size]
    thread = read_thread(f"{size} NPT")
    at_end = profile(thread).pitch_dia / INCH
    assert thread.pitch == pytest.approx(INCH / count)
    assert at_end == pytest.approx(e0, abs=5.1e-6)
    assert at_end + by_hand * thread.taper == pytest.approx(e1, abs=5.1e-6)
    assert math.degrees(math.atan(thread.taper / 2)) == pytest.approx(1.7899, abs=1e-4)
    found = limits(thread)
    assert found.screw is not None and found.hole is not None
    assert found.screw.pitch.middle / INCH == pytest.approx(e0, abs=5.1e-6)  # at the small end
    assert found.hole.pitch.middle / INCH == pytest.approx(e1, abs=5.1e-6)  # at the mouth
    turn = thread.pitch / 16.0  # a turn either way by the gauge (the standard, from memory), so much on diameter
    assert found.screw.pitch.greatest - found.screw.pitch.least == pytest.approx(2.0 * turn)
    assert f"({by_hand:.4f} in)" in found.said[2]
    assert f"{size} NPT" in TAPER_PIPE.known()


# ISO 7-1 from memory: gauge length, mm; turns that its plane may lie off along a screw, and in a hole: 1 and 1 1/4.
GAUGE = {"1/8": 4.0, "1/4": 6.0, "3/8": 6.4, "1/2": 8.2, "3/4": 9.5, "1": 10.4}


@pytest.mark.parametrize("line", G.strip().splitlines())
def test_taper_pipe_of_iso_7_is_the_parallel_one_in_its_gauge_plane(line: str) -> None:
    """Its diameters there are the published ones of ISO 228-1; a gauge length before it they are a sixteenth less."""
    size, *figures = line.split()
    _, pitch, major, d2, d1, *_ = map(float, figures)
    screw, hole = read_thread(f"R {size}"), read_thread(f"Rc {size}")
    one, other = limits(screw).screw, limits(hole).hole
    assert one is not None and other is not None
    assert screw.pitch == pytest.approx(pitch, abs=5.1e-4) and screw.taper == 1.0 / 16.0
    assert one.major.middle + GAUGE[size] / 16.0 == pytest.approx(major)
    assert one.pitch.middle + GAUGE[size] / 16.0 == pytest.approx(d2, abs=1.1e-3)
    assert (other.major.middle, other.minor.middle) == (pytest.approx(major), pytest.approx(d1, abs=1.1e-3))
    assert (one.pitch.greatest - one.pitch.least) * 8.0 == pytest.approx(pitch, abs=0.05)
    assert (other.pitch.greatest - other.pitch.least) * 8.0 == pytest.approx(1.25 * pitch, abs=0.05)


def test_any_taper() -> None:
    """1 in 16 like a pipe thread's; limits are those of the straight one, at the small end and the mouth."""
    taper, straight = read_thread("12 x 1.25 60deg taper 1:16"), read_thread("12 x 1.25 60deg")
    assert taper.taper == 1.0 / 16.0 and limits(taper).screw == limits(straight).screw
    assert read_thread("1/2 in x 20 tpi 55deg taper 1 in 10").taper == 0.1
    with pytest.raises(BadInput, match=r"1:4 is no taper of a thread\. It goes from 1:5 to 1:200 on diameter"):
        read_thread("12 x 1.25 60deg taper 1:4")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("G 1/3", "G 1/3 is not in the table. The nearest is G 3/8"),
        ("1/3 NPT", "1/3 NPT is not in the table. The nearest is 3/8 NPT"),
        ("1/4-20 NPT", "1/4 NPT has no 20 threads to the inch. It has 18"),
        ("Rp 1/4", "parallel holes for taper pipe threads (Rp) are not known here. A parallel thread of nearly its"),
        ("R 1/3", "R 1/3 is not in the table. The nearest is R 3/8"),
        ("Tr 13x3", "Tr 13 is not in the table. The nearest is Tr 12x3"),
        ("Tr 12x4", "Tr 12 has no pitch of 4 mm. It has 3, 2"),
        ("Tr 12x3-8e", "the limits of 8e are not known here"),
    ],
)
def test_a_near_miss(text: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_thread(text)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("G1/4A", "G 1/4"),
        ("1/4 BSP", "G 1/4"),
        ('G 1/2"', "G 1/2"),
        ("1/4-18 NPT", "1/4-18 NPT"),
        ("NPT 1/4", "1/4-18 NPT"),
        ("1/4 BSPT", "R 1/4"),
        ("r1/2", "R 1/2"),
        ('Rc 1/2"', "Rc 1/2"),
    ],
)
def test_pipe_spellings(text: str, named: str) -> None:
    assert read_thread(text).designation == named


def tr(text: str) -> Thread:
    return read_thread(text)


# ISO 2904 from memory, d2, d3, D1, D4: Tr 10x2: 9.0, 7.5, 8.0, 10.5; Tr 20x4: 18.0, 15.5, 16.0, 20.5;
# Tr 36x6: 33, 29, 30, 37.
@pytest.mark.parametrize(
    ("text", "d2", "d3", "minor", "hole_major"),
    [("Tr 10x2", 9.0, 7.5, 8.0, 10.5), ("Tr 20x4", 18.0, 15.5, 16.0, 20.5), ("Tr 36x6", 33.0, 29.0, 30.0, 37.0)],
)
def test_basic_diameters_of_trapezoidal_threads(
    text: str, d2: float, d3: float, minor: float, hole_major: float
) -> None:
    form = profile(tr(text))
    assert (form.pitch_dia, form.root, form.minor, form.hole_major) == (d2, d3, minor, hole_major)
    # Flats by geometry: half a pitch at the pitch line, narrower by the slope of 15 degrees.
    pitch, slope = tr(text).pitch, math.tan(math.radians(15))
    assert form.crest_flat == pytest.approx(pitch / 2 - 2 * slope * (tr(text).diameter - d2) / 2, abs=2e-3)
    assert form.root_flat == pytest.approx(pitch / 2 - 2 * slope * (d2 - d3) / 2, abs=2e-3)


@pytest.mark.parametrize("name", TRAPEZOIDAL.known())
def test_trapezoidal_tolerances_stand_near_the_formulas(name: str) -> None:
    """Pitch diameter, grade 7: within six steps of R40 of the ISO 965-1 formula; every figure is of that series."""
    thread = tr(name)
    found = limits(thread)
    assert found.screw is not None
    assert found.hole is not None
    for what, side in (("Td2", found.screw), ("TD2", found.hole)):
        width = round((side.pitch.greatest - side.pitch.least) * 1000)
        formula = round(by_formula(what, 7, dia=thread.diameter, pitch=thread.pitch) * 1000)
        assert abs(R40.index(width) - R40.index(formula)) <= 6, what
    assert round((found.screw.major.greatest - found.screw.major.least) * 1000) in R40
    assert found.screw.minor.greatest < found.hole.minor.least


def test_several_starts() -> None:
    thread = tr("Tr 20x8(P4) LH")
    assert (thread.starts, thread.lead, thread.left, thread.designation) == (2, 8.0, True, "Tr 20x8(P4)")
    assert tr("Tr 20 x Ph8 P4").starts == 2
