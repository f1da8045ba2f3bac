"""Volumes and lengths against the formulas of solid geometry, and against a fine slicing."""

from __future__ import annotations

import math

import pytest

from tests.part.rows import cap, cone, cylinder, part
from toolpath.geometry.elements import Arc, Line, arc_about
from toolpath.part.solid import volume

# Source of every expected value: the volume formulas of cylinder, frustum, sphere, spherical cap and torus in any
# mathematical table; the pieces are put together by hand.
SOLIDS = [
    ("{ dia = 12, to = 20 }", cylinder(12, 20)),
    ("{ from_dia = 0, taper_to = 10, to = 15 }", cone(0, 10, 15)),
    ("{ from_dia = 6, taper_to = 10, to = 15 }", cone(6, 10, 15)),
    (
        "{ dia = 12, to = 20 }, { dia = 30, to = 25 }, { dia = 8, to = 60 }",
        cylinder(12, 20) + cylinder(30, 5) + cylinder(8, 35),
    ),
    ("{ ball = 20, down_to = 0 }", 4 / 3 * math.pi * 10**3),
    ("{ dome_to = 20, radius = 10 }", 2 / 3 * math.pi * 10**3),
    ("{ dome_to = 24, radius = 13 }, { dia = 24, length = 10 }", cap(13, 8) + cylinder(24, 10)),
    ("{ ball = 20, down_to = 12 }", 4 / 3 * math.pi * 10**3 - cap(10, 2)),
    ("{ dia = 24, length = 10 }, { dome_to = 0, radius = 13 }", cap(13, 8) + cylinder(24, 10)),
    # a half round groove and a half round bead: the half disc turned about the axis,
    # Pappus with the half disc's centroid 4 r / 3 pi from its chord
    (
        "{ dia = 40, to = 10 }, { hollow_to = 40, length = 10, radius = 5 }, { dia = 40, to = 30 }",
        cylinder(40, 30) - 2 * math.pi * (20 - 20 / (3 * math.pi)) * math.pi * 25 / 2,
    ),
    (
        "{ dia = 40, to = 10 }, { bulge_to = 40, length = 10, radius = 5 }, { dia = 40, to = 30 }",
        cylinder(40, 30) + 2 * math.pi * (20 + 20 / (3 * math.pi)) * math.pi * 25 / 2,
    ),
]


@pytest.mark.parametrize(("rows", "expected"), SOLIDS)
def test_volume_of_known_solids(rows: str, expected: float) -> None:
    assert part(rows).volume() == pytest.approx(expected, rel=1e-12)


def test_volume_of_a_ring_about_the_axis() -> None:
    """Torus 2 pi² R r²: a full circle as two halves, clear of the axis; a hollow one counts negative."""
    halves = (
        arc_about((0.0, 30.0), (4.0, 30.0), (-4.0, 30.0), ccw=True),
        arc_about((0.0, 30.0), (-4.0, 30.0), (4.0, 30.0), ccw=True),
    )
    torus = 2.0 * math.pi**2 * 30.0 * 4.0**2
    assert volume(halves) == pytest.approx(torus, rel=1e-12)
    assert volume(tuple(e.reversed() for e in reversed(halves))) == pytest.approx(-torus, rel=1e-12)


@pytest.mark.parametrize("radius", [6.1, 30.0, 1e3, 1e5, 1e7])
def test_a_bulge_agrees_with_a_fine_slicing_however_flat(radius: float) -> None:
    """Simpson's rule over the arc's own height, pi x² dz: an independent road to the same figure."""
    a, b = (0.0, 10.0), (-12.0, 10.0)
    middle = math.sqrt(radius**2 - 36.0)
    arc = Arc(a, b, (-6.0, 10.0 - middle), 2.0 * math.asin(6.0 / radius))
    outline = (arc, Line(b, (-12.0, 0.0)), Line((-12.0, 0.0), (0.0, 0.0)), Line((0.0, 0.0), a))
    # z = -6 + 6 cos w keeps the integrand smooth where the arc ends steep; the bow is written so that nothing cancels.
    n, total = 4000, 0.0
    for k in range(n + 1):
        s = math.cos(math.pi * k / n) * 6.0
        bow = (36.0 - s * s) / (math.sqrt(radius**2 - s * s) + middle)
        weight = 1.0 if k in (0, n) else 4.0 if k % 2 else 2.0
        total += weight * (10.0 + bow) ** 2 * 6.0 * math.sin(math.pi * k / n)
    sliced = math.pi * total * math.pi / n / 3.0
    assert volume(outline) == pytest.approx(sliced, rel=1e-9)


def test_largest_diameter_of_a_bulge_is_at_its_crown() -> None:
    assert part("{ dia = 40, to = 10 }, { bulge_to = 40, length = 10, radius = 5 }").largest_dia == pytest.approx(50.0)
    assert part(
        "{ dia = 40, to = 10 }, { neck = 31, length = 4 }, { dia = 40, to = 30 }"
    ).smallest_dia == pytest.approx(31.0)
