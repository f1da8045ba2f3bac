"""The wall of what stands: by hand where it is easy, against a search over points where it is not, and its finding."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.geometry.elements import polyline
from toolpath.motion import Operation
from toolpath.proof.prove import Proof
from toolpath.proof.walls import RIM, Wall, least_wall, thin

from tests.proof.bench import box, codes, proven  # isort: skip
from tests.proof.drilled import BOTTOM, drilled  # isort: skip

LEAST = 0.6


def thick(*points: tuple[float, float], least: float = LEAST) -> float | None:
    wall = least_wall(shapely.Polygon(points), least=least)
    if wall is None:
        return None
    assert math.dist(*wall.ends) == pytest.approx(wall.thick, abs=1e-12)
    return wall.thick


def test_what_is_solid_has_no_wall() -> None:
    assert thick((-30, 0), (0, 0), (0, 10), (-30, 10)) is None
    assert thick((-30, 0), (0, 0), (-5, 10), (-30, 10)) is None
    assert thick((-30, 0), (0, 0), (0, 4), (-9, 4), (-9, 10), (-30, 10)) is None


def test_of_a_tube_it_is_the_difference_of_the_radii() -> None:
    assert thick((-30, 8.5), (0, 8.5), (0, 10), (-30, 10)) == pytest.approx(1.5)


def test_the_broken_edges_of_a_rim_are_no_wall() -> None:
    """Edges of 0.4 mm leave 0.1 mm of the rim of a wall of 0.9 mm."""
    rim = ((0, 9.5), (0, 9.6), (-0.4, 10), (-30, 10), (-30, 9.1), (-0.4, 9.1))
    assert thick(*rim) == pytest.approx(0.9)
    assert thick(*((-30.0 - z, x) for z, x in rim)) == pytest.approx(0.9)  # the other way round


def test_a_small_least_wall_still_leaves_the_rim_its_edges() -> None:
    rim = ((0, 9.5), (0, 9.6), (-0.4, 10), (-30, 10), (-30, 9.1), (-0.4, 9.1))
    assert thick(*rim, least=0.2) == pytest.approx(0.9)


def test_an_edge_longer_than_a_rim_is_one() -> None:
    """A chamfer of 5 mm in a wall of 5.1, where the rim ends, LEAST behind the face, square to the bore."""
    assert thick((0, 5), (0, 5.1), (-5, 10.1), (-30, 10.1), (-30, 5)) == pytest.approx(0.1 + LEAST)


def test_the_floor_before_a_slope_is_measured_square_to_it() -> None:
    """The corner of a bore, (-10, 4), before a back that slopes through (-12, 4) at 45 degrees."""
    assert thick((0, 4), (0, 10), (-6, 10), (-16, 0), (-10, 0), (-10, 4)) == pytest.approx(
        2.0 * math.cos(math.pi / 4.0)
    )


def test_between_two_holes_stands_a_web() -> None:
    """From the front to 12, from the back to 13 mm."""
    both = ((0, 4), (0, 10), (-25.7, 10), (-25.7, 5), (-12.7, 5), (-12.7, 0), (-12, 0), (-12, 4))
    assert thick(*both) == pytest.approx(0.7)


def test_a_groove_in_the_face_has_walls() -> None:
    """Groove of diameters 10 to 19 in a bar of 20, its floor 3 mm behind the face."""
    assert thick((-30, 0), (0, 0), (0, 5), (-3, 5), (-3, 9.5), (0, 9.5), (0, 10), (-30, 10)) == pytest.approx(0.5)


radii = st.floats(0.5, 9.0)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(radii, st.floats(1.0, 9.0)), min_size=2, max_size=6), radii, st.floats(3.0, 20.0))
def test_of_any_bored_body_it_is_the_least_distance_of_points(
    steps: list[tuple[float, float]], bore: float, deep: float
) -> None:
    """Outside a broken line of radii above the bore, searched at points 0.02 mm apart."""
    z = -np.cumsum([0.0, *(length for _, length in steps[1:])])
    outside = [(float(a), bore + x) for a, (x, _) in zip(z, steps, strict=True)]
    back = float(z[-1]) - 25.0
    outside += [(back, outside[-1][1]), (back, 0.0)]
    hollow = [(-deep, 0.0), (-deep, bore), (0.0, bore)]
    wall = least_wall(shapely.Polygon([*outside, *hollow]), least=LEAST)
    lines = [shapely.LineString(p).segmentize(0.02) for p in (outside[:-1], hollow)]
    a, b = (c[(c[:, 0] <= -LEAST) & (c[:, 0] >= back + LEAST)] for c in map(shapely.get_coordinates, lines))
    far = float(np.min(np.hypot(*(a[:, None] - b[None]).transpose(2, 0, 1))))
    assert wall is not None and wall.thick == pytest.approx(far, abs=0.03)


def bored(least: float, dia: float = 7.0) -> Proof:
    """The drilled bar when its outside was turned down to a diameter little over the hole before."""
    part = polyline([(-60, dia / 2), (-60, 0), (BOTTOM, 0), (-20, 3), (0, 3), (0, dia / 2)], close=True)
    hold, stock = (box(-60.0, -42.0, 25.0, x0=dia / 2.0),), (box(-60.0, 0.0, dia / 2.0),)
    return drilled(stock=stock, goal=(part,), part=(part,), hold=hold, least_wall=least)


def test_a_wall_that_a_drill_leaves_too_thin_is_found_with_its_line_and_what_to_do() -> None:
    """A 6 mm hole in 7 mm of diameter: 0.5 mm."""
    proof = bored(0.6)
    (found,) = [f for f in proof.findings if f.code == "thin-wall"]
    assert (found.rank, found.line) == ("look", 5) and found.size_mm == pytest.approx(0.5, abs=1e-4)
    assert found.text.startswith("after drill a wall of 0.500 mm stands from z -")
    assert found.text.endswith("; the least is 0.600 mm: take light cuts there, or put in a plug")
    assert found.at is not None and BOTTOM <= found.at[0] <= -RIM


def test_where_thin_walls_are_refused_one_on_the_way_stops_the_program() -> None:
    walls = [Wall(0.4, ((-5.0, 3.0), (-5.0, 3.4)))]
    (found,) = thin(walls, [Operation("drill", ())], least=0.6, stops=True)
    assert (found.code, found.rank, found.size_mm) == ("wall-too-thin", "stop", 0.4)
    (told,) = thin(walls, [Operation("drill", ())], least=0.6)
    assert (told.code, told.rank) == ("thin-wall", "look") and told.text == found.text


@pytest.mark.parametrize("least", [0.0, 0.49])
def test_a_wall_that_is_thick_enough_or_not_watched_is_no_finding(least: float) -> None:
    assert "thin-wall" not in codes(bored(least))


def test_of_several_moments_the_thinnest_is_told_and_the_first_of_equals() -> None:
    walls = [None, *(Wall(t, ((-5.0, 3.0), (-5.0, 3.0 + t))) for t in (0.9, 0.5, 0.4, 0.4))]
    operations = [Operation(kind, ()) for kind in ("face", "drill", "rough", "bore", "part off")]
    (found,) = thin(walls, operations, least=0.6)
    assert found.text.startswith("after bore a wall of 0.400 mm stands from z -5.000, diameter 6.000 to z -5.000")
    assert not list(thin(walls, operations, least=0.4))


def test_the_walls_of_every_moment_are_kept() -> None:
    assert [w and round(w.thick, 3) for w in bored(0.6).walls] == [0.5]
    assert [w.thick if w else w for w in proven(least_wall=0.5).walls] == [None] * len(proven().states)
