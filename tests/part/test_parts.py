"""Three parts of the plumb-bob maker's bench, from rows to volume, as they would be turned.

Volumes are those of the solids the part is made of, added up by hand from the formulas in any handbook: cylinder,
frustum of a cone, spherical cap; and for rounds and hollows Pappus' rule, area times the way of its centroid.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from tests.part.rows import cap, cone, cylinder, named, part
from toolpath.errors import BadInput
from toolpath.geometry.corners import turn
from toolpath.geometry.elements import Arc
from toolpath.part.fitting import fits
from toolpath.part.halfsection import HalfSection
from toolpath.part.stock import bar

# A bob is turned with its point as the free end, so that the long taper falls away
# from the chuck, the work stays thick where it is held, and the cap end is parted off last. The point itself is a small
# dome, for a needle point would not survive its first drop. 25 mm brass bar.
BOB = """
  { dome_to = 3, radius = 2 },
  { taper_to = 24, to = 60 },
  { radius = 4 },
  { dia = 24, to = 82 },
  { chamfer = 1 },
  { hollow_to = 10, radius = 9, length = 8.5, from_dia = 16 },
  { dia = "10 h9", length = 9 },
"""

# The arbor that carries bobs between centres for polishing: seats, fillets at their feet, chamfers for the nuts.
ARBOR = """
  { chamfer = 1 },
  { dia = "8 h7", to = 18 },
  { fillet = 0.5 },
  { chamfer = 0.5 },
  { dia = "12 h7", to = 40 },
  { fillet = 1 },
  { radius = 1.5 },
  { dia = 18, to = 48 },
  { chamfer = 1 },
  { fillet = 1 },
  { dia = "12 h7", to = 70 },
  { neck = 10.5, length = 2, foot_radius = 0.4 },
  { dia = 12, to = 84 },
  { chamfer = 1.5, angle = 30 },
"""

# The knob of the drawer the bobs live in: a bulging face, a rounded rim, a hollow down to the stem, a flaring foot.
KNOB = """
  { dome_to = 26, radius = 30 },
  { radius = 2 },
  { dia = 26, length = 5 },
  { radius = 1, on = "edge" },
  { from_dia = 22, hollow_to = 12, length = 9, radius = 12 },
  { radius = 1.5 },
  { bulge_to = 16, length = 6, radius = 8 },
"""


def sound(half: HalfSection) -> None:
    """One unbroken chain from axis to axis about its metal, a surface for each element."""
    assert half.outside[0].a == (0.0, 0.0) and half.outside[-1].b == (-half.length, 0.0)
    assert all(math.dist(e.b, f.a) <= 1e-9 for e, f in pairwise(half.outline))
    assert len(half.surfaces) == len(half.outside)


def test_plumb_bob_body() -> None:
    half = part(BOB, break_edges=0.2)
    sound(half)
    assert half.length == pytest.approx(82.0 + 8.5 + 9.0)
    assert half.largest_dia == pytest.approx(24.0)
    fits(half, bar(25.0, length=110.0, front=0.0))
    body, taper = named(half, "dia 24"), named(half, "taper dia 3 to 24")
    edge = named(half, "radius 4")
    assert turn(taper, edge) == pytest.approx(0.0, abs=1e-9) and turn(edge, body) == pytest.approx(0.0, abs=1e-9)
    assert half.surfaces[-3].dia is not None and half.surfaces[-3].dia.text == "10 h9"
    assert [s.name for s in half.surfaces].count(
        "broken edge 0.2"
    ) == 2  # rim of the hollow's shoulder aside: the stem's


def test_volume_of_the_bob_with_sharp_corners() -> None:
    half = part(
        "{ dome_to = 3, radius = 2 }, { taper_to = 24, to = 60 }, { dia = 24, to = 82 }, { dia = 10, length = 9 }"
    )
    tip = 2.0 - math.sqrt(4.0 - 1.5**2)
    expected = cap(2.0, tip) + cone(3.0, 24.0, 60.0 - tip) + cylinder(24.0, 22.0) + cylinder(10.0, 9.0)
    assert half.volume() == pytest.approx(expected, rel=1e-12)


def test_stepped_arbor() -> None:
    half = part(ARBOR, break_edges=0.2)
    sound(half)
    fits(half, bar(18.0, length=90.0, front=0.0))
    for e, s in zip(half.outside, half.surfaces, strict=True):
        assert isinstance(e, Arc) == s.name.startswith(("fillet", "radius")), s
    broken = [s.name for s in half.surfaces if s.name.startswith("broken")]
    assert broken == [
        "broken edge 0.1152",
        "broken edge 0.1167",
    ]  # the neck's two rims, a third of what its feet leave of the walls
    # 1.5 along the axis at 30 degrees: 1.5 tan 30 = 0.8660 off the radius
    assert named(half, "chamfer 1.5 x 30°").b == pytest.approx((-84.0, 6.0 - 0.866025), abs=1e-6)


def fillet_volume(radius: float, dia: float) -> float:
    """Metal in a fillet between a cylinder of that diameter and a square shoulder: the square less the quarter disc,
    each area turned about the axis by Pappus; the quarter disc's centroid lies 4 r / 3 pi from its centre."""
    inner, square, quarter = dia / 2.0, radius**2, math.pi * radius**2 / 4.0
    moment = square * (inner + radius / 2.0) - quarter * (inner + radius - 4.0 * radius / (3.0 * math.pi))
    return 2.0 * math.pi * moment


def chamfer_volume(size: float, dia: float) -> float:
    """Metal that a 45 degree chamfer takes off an edge: its triangle's centroid lies a third of the size inside."""
    return 2.0 * math.pi * size**2 / 2.0 * (dia / 2.0 - size / 3.0)


def edge_round_volume(radius: float, dia: float) -> float:
    """Metal that a round takes off a square edge."""
    outer, square, quarter = dia / 2.0, radius**2, math.pi * radius**2 / 4.0
    moment = square * (outer - radius / 2.0) - quarter * (outer - radius + 4.0 * radius / (3.0 * math.pi))
    return 2.0 * math.pi * moment


def test_volume_of_the_arbor_s_front_half() -> None:
    half = part("""
      { chamfer = 1 }, { dia = 8, to = 18 }, { fillet = 0.5 }, { chamfer = 0.5 }, { dia = 12, to = 40 }, { fillet = 1 },
      { radius = 1.5 }, { dia = 18, to = 48 }, { chamfer = 1 },
    """)
    expected = cylinder(8.0, 18.0) + cylinder(12.0, 22.0) + cylinder(18.0, 8.0)
    expected += fillet_volume(0.5, 8.0) + fillet_volume(1.0, 12.0)
    expected -= (
        chamfer_volume(1.0, 8.0) + chamfer_volume(0.5, 12.0) + chamfer_volume(1.0, 18.0) + edge_round_volume(1.5, 18.0)
    )
    assert half.volume() == pytest.approx(expected, rel=1e-12)


def test_drawer_knob() -> None:
    half = part(KNOB, break_edges=0.3)
    sound(half)
    rim = named(half, "radius 2")
    dome, body = named(half, "dome radius 30"), named(half, "dia 26")
    assert turn(dome, rim) == pytest.approx(0.0, abs=1e-8) and turn(rim, body) == pytest.approx(0.0, abs=1e-8)
    foot = named(half, "radius 1.5")  # a fillet between two arcs
    k = half.outside.index(foot)
    assert isinstance(half.outside[k - 1], Arc) and isinstance(half.outside[k + 1], Arc)
    assert isinstance(foot, Arc) and foot.sweep < 0.0


def test_a_part_larger_or_longer_than_its_bar_is_refused_naming_the_row() -> None:
    half = part(BOB)
    with pytest.raises(BadInput) as e:
        fits(half, bar(20.0, length=120.0, front=0.0))
    assert str(e.value) == "part.outside[1]: taper dia 3 to 24 comes to dia 23.8776, and the bar is dia 20"
    with pytest.raises(BadInput) as e:
        fits(half, bar(25.0, length=95.0, front=0.0))
    assert str(e.value) == "part.outside[6]: dia 9.982 (10 h9) ends 99.5 mm from the front face, and the bar has 95 mm"
    fits(half, bar(24.0, length=99.5, front=0.0))


def test_a_front_face_larger_than_the_bar_is_told_of_its_row() -> None:
    """The face and the edge broken beside it come first along the outside, but no row of theirs can be changed."""
    half = part("{ dia = 30, to = 5 }, { dia = 10, to = 9 }", break_edges=0.2)
    with pytest.raises(BadInput) as e:
        fits(half, bar(20.0, length=50.0, front=0.0))
    assert str(e.value) == "part.outside[0]: dia 30 comes to dia 30, and the bar is dia 20"
