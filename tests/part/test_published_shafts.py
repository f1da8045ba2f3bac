"""Published turning exercises, rebuilt from rows, must come out at the published points.

Sources, as X (diameter) and Z of the printed programs, with the arcs' centres computed from those points:
  exercises 1, 10 and the waist: CNC turning course of a national vocational school, slides 69 and 35, transcribed
  inch shaft: student turning program in a public repository
Where a printed path starts in front of the face or ends before the shaft does, the rows go on to a whole part.
"""

from __future__ import annotations

import pytest

from tests.part.rows import arc_named, corners, named, part
from toolpath.geometry.elements import Arc, Point
from toolpath.part.halfsection import HalfSection

EXERCISE_1 = """
  { chamfer = 2.5 }, { dia = 20, to = 32 }, { fillet = 3 }, { chamfer = 3 }, { dia = 40, to = 58 },
  { fillet = 5 }, { chamfer = 3 }, { dia = 60, to = 70 },
"""
EXERCISE_1_POINTS = [
    (15, 0), (20, -2.5), (20, -29), (26, -32), (34, -32), (40, -35), (40, -53), (50, -58), (54, -58), (60, -61),
]  # fmt: skip

EXERCISE_10 = """
  { chamfer = 1 }, { dia = 10, to = 9 }, { quarter_round = 3, goes = "rising" }, { dia = 16, to = 20 },
  { fillet = 5 }, { radius = 2 }, { dia = 30, to = 40 }, { radius = 8, on = "edge" }, { dia = 50, to = 60 },
"""
EXERCISE_10_POINTS = [
    (10, -1), (10, -9), (16, -12), (16, -15), (26, -20), (30, -22), (30, -40), (34, -40), (50, -48),
]  # fmt: skip

INCH_SHAFT = """
  { chamfer = 0.07071 }, { dia = 0.48, to = 0.9 }, { fillet = 0.05 }, { radius = 0.08 }, { dia = 0.996, to = 1.79 },
  { fillet = 0.04 }, { chamfer = 0.03182 }, { dia = 1.3, to = 2 },
"""
INCH_POINTS = [
    (0.33858, 0), (0.48, -0.07071), (0.48, -0.85), (0.58, -0.9), (0.836, -0.9), (0.996, -0.98), (0.996, -1.75),
    (1.076, -1.79), (1.23636, -1.79), (1.3, -1.82182),
]  # fmt: skip

WAIST = "{ dia = 48, to = 8.7 }, { hollow_to = 48, to = 25.3, radius = 13 }, { dia = 48, to = 34 }"


def has_points(half: HalfSection, published: list[Point], *, unit: float, near: float) -> None:
    """Every published point, in order, with no other between them. near: half the last printed digit."""
    found = [(d / unit, z / unit) for d, z in corners(half)]
    first = min(
        range(len(found)), key=lambda k: abs(found[k][0] - published[0][0]) + abs(found[k][1] - published[0][1])
    )
    for (d, z), got in zip(published, found[first : first + len(published)], strict=True):
        assert got == (pytest.approx(d, abs=near), pytest.approx(z, abs=near)), (d, z)


@pytest.mark.parametrize(
    ("rows", "published", "unit", "near"),
    [
        (EXERCISE_1, EXERCISE_1_POINTS, "mm", 1e-9),
        (EXERCISE_10, EXERCISE_10_POINTS, "mm", 1e-9),
        (INCH_SHAFT, INCH_POINTS, "inch", 1e-5),
    ],
    ids=["exercise 1", "exercise 10", "inch shaft"],
)
def test_points_are_the_published_ones(rows: str, published: list[Point], unit: str, near: float) -> None:
    has_points(part(rows, unit=unit), published, unit=25.4 if unit == "inch" else 1.0, near=near)


# name of the arc, its centre (X diameter, Z), G03 = counter-clockwise with z to the right and x up
EXERCISE_ARCS = [
    (EXERCISE_1, "mm", [("fillet 3", (26, -29), False), ("fillet 5", (50, -53), False)]),
    (EXERCISE_10, "mm", [
        ("quarter round 3", (10, -12), True), ("fillet 5", (26, -15), False), ("radius 2", (26, -22), True),
        ("radius 8", (34, -48), True),
    ]),
    (INCH_SHAFT, "inch", [
        ("fillet 1.27", (0.58, -0.85), False), ("radius 2.032", (0.836, -0.98), True),
        ("fillet 1.016", (1.076, -1.75), False),
    ]),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "unit", "published"), EXERCISE_ARCS, ids=["exercise 1", "exercise 10", "inch shaft"])
def test_arcs_have_the_published_centres_and_senses(
    rows: str, unit: str, published: list[tuple[str, Point, bool]]
) -> None:
    half, mm = part(rows, unit=unit), 25.4 if unit == "inch" else 1.0
    for name, (d, z), ccw in published:
        arc = arc_named(half, name)
        assert arc.centre == (pytest.approx(z * mm, abs=1e-9), pytest.approx(d * mm / 2.0, abs=1e-9)), name
        assert (arc.sweep > 0.0) == ccw, name
    assert sum(isinstance(e, Arc) for e in half.outside) == len(published)


def test_fillet_and_round_of_exercise_10_use_up_the_shoulder_between_them() -> None:
    """5 + 2 = (30 - 16) / 2: no flat is left, and the arcs follow each other tangentially."""
    half = part(EXERCISE_10)
    assert "shoulder dia 16 to 30" not in [s.name for s in half.surfaces]
    fillet, edge = arc_named(half, "fillet 5"), arc_named(half, "radius 2")
    assert fillet.b == edge.a


def test_the_waist_has_the_published_bottom_and_centre() -> None:
    """Published: chord 16.6, depth 2.9945, bottom diameter 42.0110, centre X68.0110 Z-17."""
    half = part(WAIST)
    arc = arc_named(half, "hollow radius 13 from dia 48 to 48")
    assert arc.b[0] - arc.a[0] == pytest.approx(-16.6, abs=1e-9)
    assert half.smallest_dia == pytest.approx(42.0110, abs=5e-5)
    assert arc.centre == (pytest.approx(-17.0, abs=1e-9), pytest.approx(68.0110 / 2.0, abs=5e-5))
    assert arc.sweep < 0.0


def test_the_sister_waist_has_the_published_depth() -> None:
    """Published: X60, Z-6.69 to Z-23.31, depth 3.0028, bottom 53.9944."""
    half = part("{ dia = 60, to = 6.69 }, { hollow_to = 60, to = 23.31, radius = 13 }, { dia = 60, to = 30 }")
    assert half.smallest_dia == pytest.approx(53.9944, abs=5e-5)


def test_a_taper_of_30_degrees_over_15_mm_grows_by_the_published_figure() -> None:
    """Same course: 30 degrees from the axis over 15 mm changes the diameter by 2 * 15 * tan 30 = 17.3205."""
    half = part('{ dia = 10, length = 1 }, { half_angle = 30, length = 15, goes = "rising" }')
    assert 2.0 * named(half, "taper dia 10 to 27.3205").b[1] == pytest.approx(27.3205, abs=5e-5)
