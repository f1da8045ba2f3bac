"""The oracles agree with one another, with shapely's buffer, with closed forms and with published tip coordinates.

Published coordinates: `program-language.md`, section d (vocational-school course slides and a forum example, each
recomputed there), copied here beside each check: X is a diameter, so x = X / 2; points are (z, x).
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import (
    Frame,
    arc_from_chord,
    blade,
    box,
    cutters,
    fits,
    frames,
    mirrored,
    nose_tool,
    profiles,
    round_tool,
    scaled,
    tools,
)
from tests.oracles.dense import dense_envelope, enclose
from tests.oracles.graphs import lower, surface
from tests.oracles.hulls import union_envelope, upper_boundary
from tests.oracles.reach import gaps, positions, swept
from tests.oracles.slope import depth, misfit
from toolpath.geometry.elements import Arc, Chain, Element, Line, points_of, polyline
from toolpath.geometry.elements import gaps as open_joints

R = 0.8
TIP = (-1, -1)
BARE = round_tool(R, tip=TIP[0])  # right-hand outside tool: nose centre at (+r, +r) from the imaginary tip
U = np.array


def e_at(keep: Chain, u: float, tool: Chain = BARE) -> float:
    return float(dense_envelope(keep, [tool], U([u]))[0])


def same(keep: Chain, tool: tuple[Chain, ...], us: np.ndarray, claimed: np.ndarray, tolerance: float) -> None:
    off = misfit(keep, tool, us, claimed, tolerance=tolerance)
    k = int(np.argmax(np.abs(off)))
    assert not off.any(), f"off by {off[k]} at u = {us[k]!r}"


# ---------------------------------------------------------------- published tip coordinates


TAPERS = [  # r, angle of the taper from z in degrees, dz to a cylinder, dx (radius) to a face; table of section d
    (0.8, 45, 0.4686, 0.4686), (0.8, 30, 0.5856, 0.3381), (0.8, 15, 0.6947, 0.1861), (0.8, 5, 0.7651, 0.0669),
    (0.4, 30, 0.2928, 0.1691), (0.4, 10, 0.3650, 0.0644),
]  # fmt: skip


@pytest.mark.parametrize(("r", "degrees", "dz", "dx"), TAPERS)
def test_the_tip_is_shifted_on_a_taper_as_published(r: float, degrees: float, dz: float, dx: float) -> None:
    """From a face at z = 0, x = 10 a taper rises towards the chuck to a cylinder of x = 15; it runs on into the air."""
    slope = math.tan(math.radians(degrees))
    end = -5.0 / slope
    keep = polyline([(end - 20.0, 15.0 + 20.0 * slope), (2.0, 10.0 - 2.0 * slope)])
    tool = round_tool(r, tip=-1)
    assert e_at(keep, 0.0, tool) == pytest.approx(10.0 - dx, abs=6e-5)
    assert e_at(keep, end - dz, tool) == pytest.approx(15.0, abs=6e-5)
    kept = polyline([(end - 20.0, 15.0), (end, 15.0), (2.0, 10.0 - 2.0 * slope)])
    assert 15.0 - (R * slope) < e_at(kept, end - dz, tool) < 15.0  # a rolled corner stays below the published one
    assert e_at(kept, end - dz - r, tool) == 15.0
    assert e_at(kept, end - dz + r, tool) == pytest.approx(15.0 - r * slope, abs=6e-5)


def test_e9_taper_from_face_to_cylinder() -> None:
    """E9: 45 deg, edge X30 Z-5: tip X19.0627 Z0 to X30 Z-5.4686. 30 deg, edge X30 Z-8.6603: X19.3238 Z0, Z-9.2459."""
    for end, dip, first, last in ((-5.0, -2.0, 19.0627, -5.4686), (-8.6603, -2.0 / math.sqrt(3.0), 19.3238, -9.2459)):
        keep = polyline([(2.0 * end, 20.0), (2.0, 10.0 + dip)])  # the taper, running on at both ends
        assert 2.0 * e_at(keep, 0.0) == pytest.approx(first, abs=1e-4)
        assert e_at(keep, last) == pytest.approx(15.0, abs=1e-4)


def test_e10_convex_arc() -> None:
    """E10: R5 from X30 Z0 to X40 Z-5: the tip runs X28.4 Z0 to X40 Z-5.8, G03 I0 K-5.8 (radius 5.8)."""
    keep = (Line((-20.0, 20.0), (-5.0, 20.0)), Arc((-5.0, 20.0), (0.0, 15.0), (-5.0, 15.0), -math.pi / 2.0))
    for z in (0.0, -0.3, -1.0, -2.5, -5.0, -5.8):
        assert e_at(keep, z) == pytest.approx(28.4 / 2.0 + math.sqrt(5.8**2 - (z + 5.8) ** 2), abs=1e-7)


def test_e10_concave_arc() -> None:
    """E10: R3 from X20 Z-29 to X26 Z-32: the tip runs X20 Z-29.8 to X24.4 Z-32, radius 2.2."""
    keep = (
        Line((-32.0, 17.0), (-32.0, 13.0)),
        Arc((-32.0, 13.0), (-29.0, 10.0), (-29.0, 13.0), math.pi / 2.0),
        Line((-29.0, 10.0), (-5.0, 10.0)),
    )
    for z in (-31.999, -31.5, -31.0, -30.0, -29.8):
        assert e_at(keep, z) == pytest.approx(12.2 - math.sqrt(2.2**2 - (z + 29.8) ** 2), abs=1e-7)
    assert e_at(keep, -29.0) == pytest.approx(10.0, abs=1e-12)


def test_e11_course_part() -> None:
    """E11: part X30 Z0, X50 Z-10, X70 Z-10, R5 to X80 Z-15; tip X29.0627 Z0, X49.0627 Z-10, X68.4 Z-10, X80 Z-15.8."""
    keep = (
        Line((-30.0, 40.0), (-15.0, 40.0)),
        Arc((-15.0, 40.0), (-10.0, 35.0), (-15.0, 35.0), -math.pi / 2.0),
        *polyline([(-10.0, 35.0), (-10.0, 25.0), (2.0, 13.0)]),
    )
    inner = e_at(keep, -10.0 + 1e-7)
    assert 2.0 * e_at(keep, 0.0) == pytest.approx(29.0627, abs=1e-4)
    assert 2.0 * inner == pytest.approx(49.0627, abs=1e-4)
    assert 2.0 * e_at(keep, -10.0 - 1e-12) == pytest.approx(68.4, abs=1e-4)
    for z in (-11.0, -13.0, -15.0, -15.8):  # G03 to X80 Z-15.8, I0 K-5.8
        assert e_at(keep, z) == pytest.approx(34.2 + math.sqrt(5.8**2 - (z + 15.8) ** 2), abs=1e-7)


# ---------------------------------------------------------------- closed forms


def test_a_flat_is_met_by_the_lowest_point_and_a_step_by_a_corner_arc() -> None:
    keep = polyline([(0.0, 5.0), (10.0, 5.0)])
    tool = round_tool(2.0)
    assert e_at(keep, 4.0, tool) == 5.0
    assert e_at(keep, 11.0, tool) == pytest.approx(5.0 - 2.0 + math.sqrt(3.0), abs=1e-12)
    assert e_at(keep, 12.0 + 1e-9, tool) == -math.inf
    assert e_at(keep, -2.0 - 1e-9, tool) == -math.inf


def test_an_edge_leaning_past_the_wall_counts_as_parallel() -> None:
    keep = polyline([(0.0, 8.0), (5.0, 8.0), (5.0, 3.0), (20.0, 3.0)])
    tool = nose_tool(0.0, (math.radians(60.0), math.radians(80.0)), tip=0, long=(8.0, 8.0))
    assert e_at(keep, 5.1, tool) == pytest.approx(3.0)
    t = lower(nose_tool(0.5, (math.radians(60.0), math.radians(95.0)), tip=-1))
    assert t.left == pytest.approx(-12.0 * math.sin(math.radians(5.0)) + 0.5 - 0.5 * math.cos(math.radians(5.0)))


def test_a_trailing_edge_shades_a_wall() -> None:
    """Sharp point, right edge at 30 deg, wall 2 high to its right: the edge meets the wall's top first."""
    keep = polyline([(0.0, 1.0), (10.0, 1.0), (10.0, 3.0), (15.0, 3.0)])
    tool = nose_tool(0.0, (math.radians(30.0), math.radians(90.0)), tip=-1)
    stand = 10.0 - 2.0 / math.tan(math.radians(30.0))
    assert e_at(keep, stand, tool) == pytest.approx(1.0)
    assert e_at(keep, stand + 1.0, tool) == pytest.approx(1.0 + math.tan(math.radians(30.0)))


def test_a_holder_limits_where_the_edge_would_not() -> None:
    keep = polyline([(0.0, 10.0), (5.0, 10.0), (5.0, 2.0), (20.0, 2.0)])
    slim = nose_tool(0.0, (math.radians(80.0), math.radians(95.0)), tip=0, long=(30.0, 30.0))
    assert e_at(keep, 8.0, slim) == pytest.approx(2.0)
    both = dense_envelope(keep, [slim, box(-6.0, 6.0, 4.0)], U([8.0, 11.5]))
    assert both == pytest.approx([6.0, 2.0])  # 10 - 4 while the box overlaps the shoulder, the point alone after it


def test_a_cup_tighter_than_the_nose_is_bridged() -> None:
    """Half circle R1 between flats at 5, nose r 2: the nose rests on both rims, 2 - sqrt(3) below them."""
    keep = (
        Line((0.0, 5.0), (5.0, 5.0)),
        Arc((5.0, 5.0), (7.0, 5.0), (6.0, 5.0), math.pi),
        Line((7.0, 5.0), (12.0, 5.0)),
    )
    assert e_at(keep, 6.0, round_tool(2.0)) == pytest.approx(5.0 - (2.0 - math.sqrt(3.0)), abs=1e-9)
    assert e_at(keep, 6.0, round_tool(1.0)) == pytest.approx(4.0, abs=1e-9)  # exact fit
    assert e_at(keep, 6.0, round_tool(0.5)) == pytest.approx(4.0, abs=1e-9)


@given(r=st.floats(0.05, 2.0), big=st.floats(2.5, 9.0), where=st.floats(-0.9, 0.9))
@settings(max_examples=60, deadline=None)
def test_cap_grows_and_cup_shrinks_by_the_nose(r: float, big: float, where: float) -> None:
    tool = round_tool(r)
    cap = (Arc((-big, 0.0), (big, 0.0), (0.0, 0.0), -math.pi),)
    cup = (Arc((-big, 0.0), (big, 0.0), (0.0, 0.0), math.pi),)
    u = where * (big + r)
    assert e_at(cap, u, tool) == pytest.approx(math.sqrt((big + r) ** 2 - u * u) - r, abs=1e-7)
    u = where * (big - r)
    assert e_at(cup, u, tool) == pytest.approx(-math.sqrt((big - r) ** 2 - u * u) - r, abs=1e-7)


@given(keep=profiles(), at=st.floats(0.01, 0.99))
@settings(max_examples=60, deadline=None)
def test_a_needle_feels_the_surface_itself(keep: Chain, at: float) -> None:
    u = U([at * keep[-1].b[0]])
    needle = nose_tool(0.0, (math.pi / 2.0 - 1e-9, math.pi / 2.0 + 1e-9), tip=0, long=(1e3, 1e3))
    same(keep, (needle,), u, surface(keep, u), 3e-6)


# ---------------------------------------------------------------- against one another and against shapely


@given(keep=profiles(), tool=tools())
@settings(max_examples=80, deadline=None)
def test_dense_bounds_meet_and_the_hulls_agree(keep: Chain, tool: tuple[Chain, ...]) -> None:
    us = positions(keep, tool, 50)
    e = enclose(keep, tool, us)
    assert (e.low <= e.high).all()
    same(keep, tool, us, e.high, 3e-9)
    # Beside a jump the band ends: there a broken line's error along a steep arc is no longer one along its normal.
    with np.errstate(invalid="ignore"):
        even = np.abs(dense_envelope(keep, tool, us + 3e-3) - dense_envelope(keep, tool, us - 3e-3)) < 0.2
    same(keep, tool, us[even], union_envelope(keep, tool, us[even], 1e-3), 2.1e-3)


@given(keep=profiles(most=4), tool=cutters())
@settings(max_examples=10, deadline=None)
def test_the_hulls_close_in_on_the_dense_envelope(keep: Chain, tool: Chain) -> None:
    us = positions(keep, [tool], 40)
    same(keep, (tool,), us, union_envelope(keep, [tool], us, 2e-5), 4.2e-5)


@given(keep=profiles(most=6), r=st.floats(0.05, 2.5), tip=st.sampled_from([-1, 0, 1]))
@settings(max_examples=25, deadline=None)
def test_the_bare_nose_is_shapelys_buffer(keep: Chain, r: float, tip: int) -> None:
    """Union of the round buffers of every chord; its upper boundary, moved from the nose centre to the reference.

    Chord by chord because GEOS simplifies a longer line before buffering it (see the next test).
    """
    tool, us = round_tool(r, tip=tip), positions(keep, [round_tool(r, tip=tip)], 50)
    top = upper_boundary(chords_buffered(keep, r, 2e-4), us - tip * r) - r
    seen = np.isfinite(top)
    assert seen[5:-5].all()
    same(keep, (tool,), us[seen], top[seen], 9e-4)


def chords_buffered(keep: Chain, r: float, tolerance: float) -> shapely.Geometry:
    """Keep grown by r, within 2 * tolerance: its chords and a buffer's both stay inside the true shape."""
    pts = np.array(points_of(keep, tolerance))
    chords = shapely.linestrings(np.stack([pts[:-1], pts[1:]], axis=1))
    return shapely.union_all(shapely.buffer(chords, r, quad_segs=math.ceil(math.sqrt(r / tolerance)) + 4))


def test_a_bump_beside_a_flat_by_three_roads() -> None:
    """The nose of 1 stands on the flat beside a bump of R 0.125; one buffer of the whole line lies 0.09 too high."""
    keep = (arc_from_chord((0.0, 0.0), (0.25, 0.0), math.pi / 2.0), Line((0.25, 0.0), (2.25, 0.0)))
    u = U([0.648])
    assert dense_envelope(keep, [round_tool(1.0)], u)[0] == pytest.approx(0.0, abs=1e-12)
    assert union_envelope(keep, [round_tool(1.0)], u)[0] == pytest.approx(0.0, abs=1e-12)
    assert upper_boundary(chords_buffered(keep, 1.0, 1e-4), u)[0] == pytest.approx(1.0, abs=1e-12)


@given(keep=profiles(), tool=tools(), step=st.floats(0.05, 5.0))
@settings(max_examples=30, deadline=None)
def test_the_first_step_does_not_matter(keep: Chain, tool: tuple[Chain, ...], step: float) -> None:
    us = positions(keep, tool, 20)
    same(keep, tool, us, dense_envelope(keep, tool, us, step), 3e-9)


@given(keep=profiles(), tool=tools(), k=st.sampled_from([0.1, 10.0, 25.4]))
@settings(max_examples=30, deadline=None)
def test_mirror_and_scale(keep: Chain, tool: tuple[Chain, ...], k: float) -> None:
    us = positions(keep, tool, 20)
    e = dense_envelope(keep, tool, us)
    same(mirrored(keep), tuple(mirrored(o) for o in tool), -us, e, 1e-8)
    same(scaled(keep, k), tuple(scaled(o, k) for o in tool), k * us, k * e, 1e-8 * max(1.0, k))


@given(frame=frames, keep=profiles(), tool=cutters())
@settings(max_examples=20, deadline=None)
def test_a_frame_is_a_reflection_and_its_own_inverse(frame: Frame, keep: Chain, tool: Chain) -> None:
    there = frame.into(keep)
    assert frame.out_of(there) == keep
    us = positions(keep, [tool], 10)
    again = [frame.out_of(frame.into(tool))]
    assert (dense_envelope(frame.out_of(there), again, us) == dense_envelope(keep, [tool], us)).all()


def test_inside_and_face_closed_forms() -> None:
    """A bore of x = 6 with a cove R3 (z, x) met by a boring tool from the axis; a face with a taper from +z."""
    cove = Arc((-13.0, 3.0), (-10.0, 6.0), (-10.0, 3.0), -math.pi / 2.0)
    bore = (Line((-20.0, 3.0), (-13.0, 3.0)), cove, Line((-10.0, 6.0), (0.0, 6.0)))
    inside = Frame("inside").into(bore)
    # tip orientation (-1, +1): nose centre at (+r, -r) from the tip; in the frame it is the same bare nose
    for z in (-12.0, -11.0, -10.0):
        x = 3.0 + R + math.sqrt((3.0 - R) ** 2 - (z + 10.0 + R) ** 2) if z < -10.0 - R else 6.0
        assert -e_at(inside, z) == pytest.approx(x, abs=1e-7)
    face = Frame("face").into((Line((-5.0, 12.0), (0.0, 7.0)), Line((0.0, 7.0), (0.0, 0.0))))
    right = tuple(reversed([e.reversed() for e in face]))
    assert right[0].a == (0.0, 0.0)
    assert e_at(right, 3.0) == pytest.approx(0.0)
    # taper 45 deg met by the nose: the tip runs r (sqrt(2) - 1) above the taper's offset, less its own radius
    assert e_at(right, 9.0, round_tool(R)) == pytest.approx(-2.0 + R * math.sqrt(2.0) - R, abs=1e-9)


# ---------------------------------------------------------------- reach


def test_an_inner_corner_keeps_what_the_nose_leaves() -> None:
    """Square corner, nose r: r^2 (1 - pi / 4) stays, and touch ends r from the corner on both sides."""
    keep = polyline([(0.0, 9.0), (5.0, 9.0), (5.0, 4.0), (15.0, 4.0)])
    tool = nose_tool(R, (math.radians(30.0), math.radians(90.0)), tip=-1)
    us = positions(keep, [tool], 4001)
    xs = np.concatenate([np.linspace(5.0 + 2e-7, 5.0 + R, 2001), np.linspace(5.81, 14.0, 200)])
    assert swept(keep, [tool], xs, us).area == pytest.approx(R * R * (1.0 - math.pi / 4.0), abs=1e-4)
    spots = [(5.0, 4.0), (5.0 + R + 0.01, 4.0), (5.0, 4.81), (5.3, 4.0)]
    near, on_flat, on_wall, in_corner = gaps(keep, [tool], spots, us)
    assert near == pytest.approx(R * (math.sqrt(2.0) - 1.0), abs=1e-5)
    assert max(on_flat, on_wall) < 1e-4
    assert in_corner == pytest.approx(math.hypot(R - 0.3, R) - R, abs=1e-4)


def test_a_shaded_wall_keeps_a_triangle() -> None:
    """Sharp point with a 30 deg edge against a wall 2 high: half of 2 x 2 / tan 30 stays."""
    keep = polyline([(0.0, 1.0), (10.0, 1.0), (10.0, 3.0), (15.0, 3.0)])
    tool = nose_tool(0.0, (math.radians(30.0), math.radians(90.0)), tip=-1)
    us = np.linspace(4.0, 12.0, 8001)
    xs = np.linspace(6.0, 10.0 - 1e-9, 1001)
    assert swept(keep, [tool], xs, us).area == pytest.approx(2.0 / math.tan(math.radians(30.0)), abs=2e-3)
    foot = 10.0 - 2.0 / math.tan(math.radians(30.0))
    touched = gaps(keep, [tool], [(foot - 0.01, 1.0), (foot + 0.5, 1.0), (10.0, 3.0), (12.0, 3.0)], us)
    assert touched[[0, 2, 3]] == pytest.approx(0.0, abs=1e-3)
    assert touched[1] == pytest.approx(0.25, abs=1e-3)  # half a millimetre along, edge rising 30 deg: 0.5 sin 30


@given(keep=profiles(most=5), tool=cutters())
@settings(max_examples=25, deadline=None)
def test_nothing_that_stands_on_the_envelope_gouges(keep: Chain, tool: Chain) -> None:
    us = positions(keep, [tool], 60)
    e = enclose(keep, [tool], us)
    assert depth(keep, [tool], us, e.high) <= 1e-8
    xs = np.linspace(0.0, keep[-1].b[0], 80)
    swept_here = swept(keep, [tool], xs, us)
    assert (swept_here.closing >= swept_here.surface - 1e-8).all()


# ---------------------------------------------------------------- the checks bite


def test_misfit_and_depth_see_what_is_wrong() -> None:
    keep = polyline([(0.0, 5.0), (10.0, 5.0), (20.0, 15.0)])
    us = np.linspace(1.0, 12.0, 30)
    e = dense_envelope(keep, [BARE], us)
    assert not misfit(keep, [BARE], us, e, tolerance=1e-6).any()
    assert (misfit(keep, [BARE], us, e + 4e-6, tolerance=1e-6) > 0.0).all()
    assert (misfit(keep, [BARE], us, e - 4e-6, tolerance=1e-6) < 0.0).all()
    assert depth(keep, [BARE], us, e - 0.1, step=0.01) == pytest.approx(0.1, abs=1e-4)
    assert misfit(keep, [BARE], U([-50.0]), U([1.0]), tolerance=1e-6)[0] == math.inf


# ---------------------------------------------------------------- the strategies


@given(profiles())
@settings(max_examples=100, deadline=None)
def test_profiles_are_joined_and_travel_to_the_right(keep: Chain) -> None:
    assert not list(open_joints(keep, 0.0))
    for e in keep:
        us = [e.point_at(k / 16)[0] for k in range(17)]
        assert all(p <= q + 1e-12 for p, q in pairwise(us))
        if isinstance(e, Arc):
            assert math.dist(e.b, e.centre) == pytest.approx(e.radius, rel=1e-9)
            assert math.dist(e.part(0.0, 1.0 - 1e-9).b, e.b) < 1e-6


@given(cutters())
@settings(max_examples=100, deadline=None)
def test_cutters_are_closed_convex_and_stand_on_zero(tool: Chain) -> None:
    ring = (*tool, tool[0])
    assert not list(open_joints(ring, 1e-9))
    t = lower(tool)
    s = np.linspace(t.left, t.right, 64)
    v = t.height(s)
    assert np.isfinite(v).all()
    assert v.min() >= -1e-12
    assert t.height(t.support(np.zeros(1)))[0] == pytest.approx(0.0, abs=1e-12)
    assert (v[1:-1] <= (v[:-2] + v[2:]) / 2.0 + 1e-9).all()


@given(fits())
@settings(max_examples=30, deadline=None)
def test_a_blade_just_fits_its_groove(case: tuple[Chain, Chain, float]) -> None:
    keep, tool, left = case
    floor = keep[2].a[1]
    e = enclose(keep, [tool], U([left - 1e-4, left + 1e-4, left]))
    assert (e.low[:2] == pytest.approx(12.0, abs=1e-2)) or tool[1].length > 0.0
    assert floor - 1e-12 <= e.low[2]


def test_blade_and_arc_builders() -> None:
    e: Element = arc_from_chord((0.0, 0.0), (2.0, 0.0), math.pi / 2.0)
    assert isinstance(e, Arc)
    assert e.point_at(0.5) == pytest.approx((1.0, 1.0))
    assert arc_from_chord((0.0, 0.0), (2.0, 0.0), -math.pi / 2.0).point_at(0.5) == pytest.approx((1.0, -1.0))
    full = blade(2.0, (1.0, 1.0))
    assert lower(full).height(U([0.0, 1.0, 2.0])) == pytest.approx([1.0, 0.0, 1.0])
