"""Published turning programs, read and written: points, centres and arc senses as their sources give them.

COURSE: a national vocational school's public CNC turning course, slides 35 and 69. STU: a student turning program in
inches from a public repository. NIST: NISTIR 6556 (2000). Centres were computed from the published points.
The sense of arcs is also derived here from right-handed axes (ISO 841), for front and rear tool posts alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from posts.writer import write
from tests.posts.common import G95, INCH_MODES, MODES, as_drawn, centres_as_drawn, moves_of, read_blocks
from toolpath.geometry.elements import Arc, arc_about
from toolpath.motion import ArcCut


@dataclass(frozen=True)
class Example:
    """blocks as published; points (diameter, z) they lead to; centres (diameter, z) and senses of the arcs."""

    source: str
    blocks: tuple[str, ...]
    points: tuple[tuple[float, float], ...]
    centres: tuple[tuple[float, float], ...]
    senses: tuple[str, ...]
    radii: tuple[float, ...]
    inch: bool = False


SHAFT = Example(
    source="COURSE exercise 1, slide 69, mm",
    blocks=(
        *("G00 X15 Z0", "G01 X20 Z-2.5", "Z-29", "G02 X26 Z-32 R3", "G01 X34", "X40 Z-35", "Z-53"),
        *("G02 X50 Z-58 R5", "G01 X54", "X60 Z-61"),
    ),
    points=(
        *((15, 0), (20, -2.5), (20, -29), (26, -32), (34, -32), (40, -35), (40, -53)),
        *((50, -58), (54, -58), (60, -61)),
    ),
    centres=((26, -29), (50, -53)),
    senses=("G02", "G02"),
    radii=(3, 5),
)
STEPS = Example(
    source="COURSE exercise 10, slide 35, mm",
    blocks=(
        *("G00 X6 Z1", "G01 X10 Z-1", "Z-9", "G03 X16 Z-12 R3", "G01 Z-15", "G02 X26 Z-20 R5", "G03 X30 Z-22 R2"),
        *("G01 Z-40", "X34", "G03 X50 Z-48 R8"),
    ),
    points=(
        *((6, 1), (10, -1), (10, -9), (16, -12), (16, -15), (26, -20), (30, -22)),
        *((30, -40), (34, -40), (50, -48)),
    ),
    centres=((10, -12), (26, -15), (26, -22), (34, -48)),
    senses=("G03", "G02", "G03", "G03"),
    radii=(3, 5, 2, 8),
)
STUDENT = Example(
    source="STU, inch",
    blocks=(
        *("G00 X.33858 Z0", "G01 X.48 Z-.07071 F.004", "Z-.85", "G02 X.58 Z-.9 R.05", "G01 X.836"),
        *("G03 X.996 Z-.98 R.08", "G01 Z-1.75", "G02 X1.076 Z-1.79 R.04", "G01 X1.23636", "X1.3 Z-1.82182"),
    ),
    points=(
        *((0.33858, 0), (0.48, -0.07071), (0.48, -0.85), (0.58, -0.9), (0.836, -0.9), (0.996, -0.98)),
        *((0.996, -1.75), (1.076, -1.79), (1.23636, -1.79), (1.3, -1.82182)),
    ),
    centres=((0.58, -0.85), (0.836, -0.98), (1.076, -1.75)),
    senses=("G02", "G03", "G02"),
    radii=(0.05, 0.08, 0.04),
    inch=True,
)
EXAMPLES = pytest.mark.parametrize("example", [SHAFT, STEPS, STUDENT], ids=lambda e: e.source)


def reading(example: Example):  # type: ignore[no-untyped-def]
    return read_blocks(*example.blocks, modes=INCH_MODES if example.inch else MODES)


@EXAMPLES
def test_published_points_and_centres_are_read(example: Example) -> None:
    program = reading(example)
    assert as_drawn(program, inch=example.inch) == [pytest.approx(p) for p in example.points]
    assert centres_as_drawn(program, inch=example.inch) == [pytest.approx(c, abs=2e-6) for c in example.centres]
    radii = [math.dist(m.start, m.centre) for m in moves_of(program) if isinstance(m, ArcCut)]
    assert radii == pytest.approx([r * (25.4 if example.inch else 1.0) for r in example.radii])


@EXAMPLES
def test_arcs_are_written_in_the_published_sense(example: Example) -> None:
    text = write(reading(example), G95).text
    words = [line.split()[0] for line in text.splitlines() if " I" in line]
    assert words == list(example.senses)


@EXAMPLES
def test_what_is_written_leads_to_the_published_points(example: Example) -> None:
    from posts.reader import read

    again = read(write(reading(example), G95).text, G95)
    digit = 1e-4 if example.inch else 1e-3  # the last digit of X and Z
    for got, published in zip(as_drawn(again, inch=example.inch), example.points, strict=True):
        assert got == pytest.approx(published, abs=digit / 2 + 1e-9)
    for got, published in zip(centres_as_drawn(again, inch=example.inch), example.centres, strict=True):
        assert got == pytest.approx(published, abs=digit)


def test_i_and_k_as_computed_from_the_published_points() -> None:
    text = write(reading(STEPS), G95).text
    arcs = [line.partition(" F")[0] for line in text.splitlines() if " I" in line]
    assert arcs == [
        "G03 X16.0 Z-12.0 I0.0 K-3.0",
        "G02 X26.0 Z-20.0 I5.0 K0.0",
        "G03 X30.0 Z-22.0 I0.0 K-2.0",
        "G03 X50.0 Z-48.0 I0.0 K-8.0",
    ]


# The quarter round of the derivation: bar 40 mm, R5, face Z0 to cylinder. Points on it at 30, 45 and 60 degrees.
QUARTER = {30: (35.0, -0.6699), 45: (37.0711, -1.4645), 60: (38.6603, -2.5)}


@pytest.mark.parametrize("arc", ["G03 X40. Z-5. I0 K-5.", "G03 X40. Z-5. R5."])
def test_face_to_cylinder_bulges_by_g03(arc: str) -> None:
    move = moves_of(read_blocks("G00 X30 Z0", arc))[-1]
    assert isinstance(move, ArcCut) and move.ccw
    assert move.centre == pytest.approx((-5.0, 15.0))
    way = arc_about(move.centre, move.start, move.end, ccw=move.ccw)
    assert way.sweep == pytest.approx(math.pi / 2)
    for degrees, (diameter, z) in QUARTER.items():
        assert _at(way, degrees) == pytest.approx((z, diameter / 2), abs=5e-5)


def test_cylinder_to_face_is_the_same_arc_by_g02() -> None:
    move = moves_of(read_blocks("G00 X40 Z-5", "G02 X30. Z0. I-5. K0."))[-1]
    assert isinstance(move, ArcCut) and not move.ccw
    assert move.centre == pytest.approx((-5.0, 15.0))


def test_the_wrong_code_gives_the_twins_the_derivation_names() -> None:
    hollow = moves_of(read_blocks("G00 X30 Z0", "G02 X40. Z-5. R5."))[-1]
    assert isinstance(hollow, ArcCut)
    assert hollow.centre == pytest.approx((0.0, 20.0))
    way = arc_about(hollow.centre, hollow.start, hollow.end, ccw=hollow.ccw)
    assert way.point_at(0.5) == pytest.approx((-3.5355, 32.9289 / 2), abs=5e-5)
    long = moves_of(read_blocks("G00 X30 Z0", "G02 X40. Z-5. I0. K-5."))[-1]
    assert isinstance(long, ArcCut)
    way = arc_about(long.centre, long.start, long.end, ccw=long.ccw)
    assert way.sweep == pytest.approx(-1.5 * math.pi)
    assert way.point_at(1 / 3) == pytest.approx((-5.0, 10.0)) and way.point_at(2 / 3) == pytest.approx((-10.0, 15.0))


def test_a_tool_at_negative_x_swaps_the_sense() -> None:
    move = moves_of(read_blocks("G00 X-30 Z0", "G02 X-40 Z-5 I0 K-5"))[-1]
    assert isinstance(move, ArcCut)
    way = arc_about(move.centre, move.start, move.end, ccw=move.ccw)
    assert abs(way.sweep) == pytest.approx(math.pi / 2)
    assert way.point_at(0.5) == pytest.approx((-1.4645, -37.0711 / 2), abs=5e-5)


def test_the_waist_of_the_course() -> None:
    """COURSE, waist R13: centre X68.0110 Z-17, I10.0055 K-8.3, bottom diameter 42.0110."""
    by_r = moves_of(read_blocks("G00 X48 Z-8.7", "G02 X48 Z-25.3 R13"))[-1]
    by_ik = moves_of(read_blocks("G00 X48 Z-8.7", "G02 X48 Z-25.3 I10.0055 K-8.3"))[-1]
    assert isinstance(by_r, ArcCut) and isinstance(by_ik, ArcCut)
    assert by_r.centre == pytest.approx((-17.0, 68.0110 / 2), abs=6e-5)
    assert by_r.centre == pytest.approx(by_ik.centre, abs=6e-5)
    way = arc_about(by_r.centre, by_r.start, by_r.end, ccw=by_r.ccw)
    assert 2.0 * way.point_at(0.5)[1] == pytest.approx(42.0110, abs=1e-4)


def test_the_arc_of_the_report() -> None:
    """NIST: from (7, 7) `G2 X10 Y16 I3 J4` is about (10, 11), radius 5; here Z is its X and X, a radius, its Y."""
    move = moves_of(read_blocks("G00 Z7 X7", "G2 Z10 X16 K3 I4", modes="G18 G21 G90 G8"))[-1]
    assert isinstance(move, ArcCut) and not move.ccw
    assert move.centre == pytest.approx((10.0, 11.0))
    assert math.dist(move.centre, move.end) == pytest.approx(5.0)


def test_absolute_and_incremental_describe_the_same_steps() -> None:
    """COURSE taper example: A X0 Z0, B X30 Z0, C X50 Z-10, D X70 Z-10, E X80 Z-15, F X80 Z-30, and their steps."""
    points = [(0, 0), (30, 0), (50, -10), (70, -10), (80, -15), (80, -30)]
    steps = ["X30 Z0", "X20 Z-10", "X20 Z0", "X10 Z-5", "X0 Z-15"]
    program = read_blocks("G00 X0 Z0", "G91 G01 " + steps[0], *steps[1:])
    assert as_drawn(program) == points


def _at(arc: Arc, degrees: float) -> tuple[float, float]:
    """The point of the arc in a direction seen from its centre."""
    angle = math.radians(degrees)
    return arc.point_at((angle - arc.start_angle) / arc.sweep)
