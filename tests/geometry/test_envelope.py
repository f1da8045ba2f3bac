"""The kernel against the slow oracles, and what must be true of any profile and any tool.

Heights are compared as curves, in normal distance (see tests/oracles/slope.py): beside a wall v alone says nothing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import Frame as Turned
from tests.geometry.strategies import (
    arc_from_chord,
    blade,
    blades,
    box,
    cutters,
    fits,
    halved,
    mirrored,
    nose_tool,
    profiles,
    round_tool,
    scaled,
    tools,
    turned,
    widened,
)
from tests.oracles.dense import dense_envelope
from tests.oracles.graphs import lower, surface
from tests.oracles.hulls import union_envelope
from tests.oracles.reach import positions, swept
from tests.oracles.slope import apart, depth, misfit, surface_distance
from toolpath.geometry.cutter import EDGE_CLEARANCE, FIT_TOLERANCE, Touch, cutter
from toolpath.geometry.elements import Arc, Chain, Line, Point, polyline, signed_area
from toolpath.geometry.envelope import Envelope, envelope, size_of
from toolpath.geometry.frame import FACE, INSIDE, OUTSIDE, Frame
from toolpath.geometry.maximum import maximum
from toolpath.geometry.silhouette import silhouette
from toolpath.geometry.uncut import contact, uncut

EXACT = 1e-7  # mm, normal distance; ten times finer than the micrometre asked for, the oracle's own error is 1e-9


def exact(keep: Chain, tool: Chain) -> Envelope:
    """The envelope without the fit tolerance, so that nothing but rounding parts it from the oracle."""
    return envelope(keep, cutter(tool, fit_tolerance=0.0))


def path_points(path: Chain) -> tuple[np.ndarray, np.ndarray]:
    pts = np.array([e.point_at(k) for e in path for k in (0.0, 1e-3, 0.1, 0.5, 0.9, 1.0 - 1e-3, 1.0)])
    return pts[:, 0], pts[:, 1]


def agree(keep: Chain, tool: Sequence[Chain], env: Envelope, tolerance: float) -> None:
    """Every point of the path lies on the oracle's curve, the path has no gap, and spans all that the oracle spans."""
    us, vs = path_points(env.path)
    off = misfit(keep, tool, us, vs, tolerance=tolerance)
    k = int(np.argmax(np.abs(off)))
    assert not off.any(), f"path off by {off[k]} at u = {us[k]!r}"
    assert all(e.b == f.a for e, f in zip(env.path, env.path[1:], strict=False))
    us = positions(keep, tool, 40)
    us = us[(us > env.lo) & (us < env.hi)]
    off = misfit(keep, tool, us, np.array([env.height(float(u)) for u in us]), tolerance=tolerance)
    k = int(np.argmax(np.abs(off)))
    assert not off.any(), f"height off by {off[k]} at u = {us[k]!r}"
    t = lower(tool[0])
    assert env.lo == pytest.approx(keep[0].a[0] - t.right, abs=tolerance)
    assert env.hi == pytest.approx(keep[-1].b[0] - t.left, abs=tolerance)


# ---------------------------------------------------------------- against the oracles


@given(keep=profiles(), tool=cutters())
@settings(max_examples=150, deadline=None)
def test_any_profile_and_convex_tool_as_the_dense_oracle(keep: Chain, tool: Chain) -> None:
    agree(keep, [tool], exact(keep, tool), EXACT)


@given(keep=profiles(), tool=cutters())
@settings(max_examples=40, deadline=None)
def test_the_fit_tolerance_costs_no_more_than_itself(keep: Chain, tool: Chain) -> None:
    """Never above the exact envelope, and a half width and a radius less: at most 3 of it into the work."""
    env = envelope(keep, cutter(tool))
    us, vs = path_points(env.path)
    assert (misfit(keep, [tool], us, vs, tolerance=EXACT) <= 0.0).all()
    assert depth(keep, [tool], us, vs) <= 3.0 * FIT_TOLERANCE


@given(keep=profiles(most=6), tool=cutters())
@settings(max_examples=25, deadline=None)
def test_as_the_union_of_hulls(keep: Chain, tool: Chain) -> None:
    env = exact(keep, tool)
    us = positions(keep, [tool], 40)
    us = us[(us > env.lo) & (us < env.hi)]
    claimed = union_envelope(keep, [tool], us, 1e-4)
    assert not misfit(keep, [tool], us, claimed, tolerance=2.5e-4).any()
    steps = np.linspace(-2.5e-4, 2.5e-4, 51)  # finely, or a cusp lies between them
    mine = np.array([[env.height(float(u + d)) for d in steps] for u in us])
    assert (claimed <= mine.max(axis=1) + 2.5e-4).all()
    assert (claimed >= mine.min(axis=1) - 2.5e-4).all()


@given(keep=profiles(), tool=tools())
@settings(max_examples=80, deadline=None)
def test_a_holder_is_the_maximum(keep: Chain, tool: tuple[Chain, ...]) -> None:
    env = exact(keep, tool[0])
    lo, hi = env.lo, env.hi
    for holder in tool[1:]:
        env = maximum(env, envelope(keep, cutter(holder, fit_tolerance=0.0, holder=True)), keep)
    assert (env.lo, env.hi) == pytest.approx((lo, hi), abs=1e-12)
    us = positions(keep, tool, 40)
    us = us[(us > lo + 1e-6) & (us < hi - 1e-6)]
    claimed = np.array([env.height(float(u)) for u in us])
    assert not misfit(keep, tool, us, claimed, tolerance=EXACT).any()
    pu, pv = path_points(env.path)
    inner = (pu > lo + 1e-6) & (pu < hi - 1e-6)
    assert not misfit(keep, tool, pu[inner], pv[inner], tolerance=EXACT).any()


@given(keep=profiles(), tool=tools())
@settings(max_examples=60, deadline=None)
def test_nothing_is_gouged(keep: Chain, tool: tuple[Chain, ...]) -> None:
    env = exact(keep, tool[0])
    for holder in tool[1:]:
        env = maximum(env, envelope(keep, cutter(holder, fit_tolerance=0.0, holder=True)), keep)
    us, vs = path_points(env.path)
    inner = (us > env.lo + 1e-6) & (us < env.hi - 1e-6)
    assert depth(keep, tool, us[inner], vs[inner], step=0.1) <= 1e-6


@pytest.mark.parametrize(("frame", "name"), [(OUTSIDE, "outside"), (INSIDE, "inside"), (FACE, "face")])
@given(keep=profiles(most=5), tool=cutters(), hand=st.booleans())
@settings(max_examples=15, deadline=None)
def test_frames_are_reflections(frame: Frame, name: str, keep: Chain, tool: Chain, hand: bool) -> None:
    """A part and tool drawn at the lathe, (z, x), come into (u, v) as they were meant, whichever way they feed."""
    lathe = Turned(name)
    drawn, drawn_tool = lathe.out_of(keep), lathe.out_of(tool)
    if signed_area(drawn_tool) < 0.0:
        drawn_tool = tuple(e.reversed() for e in reversed(drawn_tool))
    frame = frame.mirrored() if hand else frame
    work, seen = frame.chain(drawn), frame.outline(drawn_tool)
    if hand:
        work = tuple(e.reversed() for e in reversed(work))
        keep, tool = mirrored(keep), mirrored(tool)
    assert work == keep
    assert signed_area(seen) > 0.0
    agree(keep, [tool], exact(work, seen), EXACT)
    assert frame.back.chain(frame.chain(drawn)) == drawn


@given(keep=profiles(), tool=cutters(), angle=st.floats(-0.7, 0.7))
@settings(max_examples=60, deadline=None)
def test_overhangs_are_hidden_not_lost(keep: Chain, tool: Chain, angle: float) -> None:
    """A leaning profile: what the silhouette shows gives the same E as all of it; the rest is returned."""
    leaning = turned(keep, angle)
    seen = silhouette(leaning)
    us = positions(leaning, [tool], 40)
    env = exact(seen.chain, tool)
    us = us[(us > env.lo) & (us < env.hi)]
    assert not misfit(leaning, [tool], us, np.array([env.height(float(u)) for u in us]), tolerance=EXACT).any()
    assert all(e.b[0] >= e.a[0] for e in seen.chain)
    assert len(seen.source) == len(seen.chain)
    for e in seen.hidden:
        u, v = e.point_at(0.5)
        assert v <= surface(seen.chain, np.array([u - 1e-9, u, u + 1e-9])).max() + 1e-9
    shown = sum(e.length for e, k in zip(seen.chain, seen.source, strict=True) if k >= 0)
    assert shown + sum(e.length for e in seen.hidden) == pytest.approx(sum(e.length for e in leaning), abs=1e-6)


# ---------------------------------------------------------------- what must hold for any input


@given(keep=profiles(), tool=cutters(), k=st.sampled_from([0.1, 10.0]))
@settings(max_examples=60, deadline=None)
def test_ten_times_the_size_is_ten_times_the_path(keep: Chain, tool: Chain, k: float) -> None:
    big = exact(scaled(keep, k), scaled(tool, k))
    assert apart(big.path, scaled(exact(keep, tool).path, k)) <= 1e-9 * size_of(scaled(keep, k)) + 1e-9


def walled(path: Chain) -> Chain:
    """The path and what bounds it: past either end nothing is forbidden, so there the bound is upright."""
    (u0, v0), (u1, v1) = path[0].a, path[-1].b
    return (Line((u0, -99.0), (u0, v0)), *path, Line((u1, v1), (u1, -99.0)))


@given(keep=profiles(), tool=cutters())
@example(
    keep=(
        *polyline([(0.0, 2.0), (1.000001, 2.0), (1.000001, 2.00000001)]),
        Arc((1.000001, 2.00000001), (2.000001, 2.00000001), (1.500001, 2.00000001), -math.pi),
        Line((2.000001, 2.00000001), (2.000001, 2.00000002)),
    ),
    tool=round_tool(1.0, tip=-1),
)  # where an arc stands upright at the path's end, one rounding step in u is worth 6e-8 in v
@settings(max_examples=60, deadline=None)
def test_mirrored_input_gives_mirrored_output(keep: Chain, tool: Chain) -> None:
    there, here = exact(mirrored(keep), mirrored(tool)).path, mirrored(exact(keep, tool).path)
    assert (there[0].a[0], there[-1].b[0]) == pytest.approx((here[0].a[0], here[-1].b[0]), abs=1e-9)
    assert apart(walled(there), walled(here)) <= 1e-9 * max(10.0, size_of(keep))


@given(keep=profiles(), tool=cutters(), index=st.integers(0, 20), at=st.floats(0.02, 0.98))
@settings(max_examples=100, deadline=None)
def test_a_vertex_more_changes_nothing(keep: Chain, tool: Chain, index: int, at: float) -> None:
    more = halved(keep, index, at)
    assert apart(exact(more, tool).path, exact(keep, tool).path) <= 1e-9 * max(10.0, size_of(keep))


@given(keep=profiles())
@settings(max_examples=100, deadline=None)
def test_no_nose_and_no_width_draws_the_part_itself(keep: Chain) -> None:
    """Every point of the path is on the part and every point of the part on the path."""
    (u0, v0), (u1, v1) = keep[0].a, keep[-1].b
    keep = (Line((u0 - 1.0, v0), (u0, v0)), *keep, Line((u1, v1), (u1 + 1.0, v1)))
    assume(not slit(keep))
    env = exact(keep, polyline([(0.0, 0.0), (0.0, 9.0)], close=True))
    far = 1e-9 * max(10.0, size_of(keep))
    assert max(min(f.distance(p) for f in env.path) for p in spots(keep)) <= far
    assert max(min(f.distance(p) for f in keep) for p in spots(env.path)) <= far


def slit(keep: Chain) -> bool:
    """Whether a slot or a spike without width is in it: its two sides are one place, and no tool goes between them."""
    return any(e.a[0] == e.b[0] == f.b[0] for e, f in itertools.pairwise(keep))


def spots(chain: Chain) -> list[Point]:
    return [e.point_at(k / 8) for e in chain for k in range(9)]


@given(keep=profiles(), tool=cutters())
@settings(max_examples=80, deadline=None)
def test_every_piece_names_what_touches(keep: Chain, tool: Chain) -> None:
    """At its middle each piece's element is met by the tool, and by the part of the tool that it names."""
    cut = cutter(tool, fit_tolerance=0.0)
    for p in envelope(keep, cut).pieces:
        if p.path.length <= EXACT:
            continue  # rounding decides between neighbours
        u, v = p.path.point_at(0.5)
        where = np.array(_corner(keep, p.element) if p.corner else _nearest(keep, p.element, tool, (u, v)))
        gap = surface_distance(lower(tool), np.array([where[0] - u]), np.array([where[1] - v]))[0]
        assert gap <= 1e-6, f"{p} stands {gap} off"


def _corner(keep: Chain, k: int) -> Point:
    return keep[k].a if k < len(keep) else keep[-1].b


def _nearest(keep: Chain, k: int, tool: Chain, at: Point) -> Point:
    """The point of element k nearest to the tool's surface, by dense trial and closing in."""
    t, e = lower(tool), keep[k]
    lo, hi = 0.0, 1.0
    for _ in range(12):
        ks = np.linspace(lo, hi, 33)
        q = np.array([e.point_at(float(x)) for x in ks])
        i = int(np.argmin(surface_distance(t, q[:, 0] - at[0], q[:, 1] - at[1])))
        lo, hi = ks[max(i - 1, 0)], ks[min(i + 1, 32)]
    return e.point_at(float(lo + hi) / 2.0) if 0 < i < 32 else (float(q[i][0]), float(q[i][1]))


@given(keep=profiles(most=6), tool=cutters())
@settings(max_examples=40, deadline=None)
def test_contacts_lie_on_the_work_and_on_the_tool(keep: Chain, tool: Chain) -> None:
    cut = cutter(tool, fit_tolerance=0.0)
    t = lower(tool)
    for p in envelope(keep, cut).pieces:
        for at, at_end in ((p.path.a, False), (p.path.b, True)):
            q, k = contact(p, keep, cut, at_end=at_end)
            assert min(e.distance(q) for e in keep) <= 1e-6
            gap = surface_distance(t, np.array([q[0] - at[0]]), np.array([q[1] - at[1]]))[0]
            assert gap <= 1e-6, f"{p} touches {q} ({k}) {gap} off"


@given(keep=profiles(most=5), tool=cutters())
@settings(max_examples=25, deadline=None)
def test_what_is_left_is_the_closing(keep: Chain, tool: Chain) -> None:
    """Area of all uncut regions against brute force over positions, which never finds less than the truth."""
    cut = cutter(tool, fit_tolerance=0.0)
    regions = uncut(envelope(keep, cut), keep, cut, least=1e-4)
    us = positions(keep, [tool], 3000)
    last = keep[-1].b[0]
    vertices = np.array([p[0] + d for e in keep for p in (e.a, e.b) for d in (-1e-6, 1e-6)])
    xs = np.unique(np.concatenate([np.linspace(0.0, last, 1500), vertices]))
    xs = xs[(xs > 0.0) & (xs < last)]
    truth = swept(keep, [tool], xs, us).area
    found = sum(abs(signed_area(r.outline)) for r in regions)
    ups = sum(abs(e.b[1] - e.a[1]) for e in keep)
    slack = 0.02 + 1e-2 * truth + 2.0 * (last / 1500.0) * ups
    assert found == pytest.approx(truth, abs=slack)


# ---------------------------------------------------------------- the tool


@given(keep=profiles(), tool=cutters(), along=st.floats(0.01, 0.6), away=st.floats(0.0, 0.6))
@settings(max_examples=60, deadline=None)
def test_leave_on_is_part_of_the_tool(keep: Chain, tool: Chain, along: float, away: float) -> None:
    thick = tuple(e.moved((0.0, -away)) for e in widened(tool, along))
    env = envelope(keep, cutter(tool, fit_tolerance=0.0).leaving(along, away))
    agree(keep, [thick], env, EXACT)


@given(keep=profiles(), tool=cutters(), degrees=st.floats(0.01, 5.0) | st.just(0.0))
@settings(max_examples=40, deadline=None)
def test_edge_clearance_only_takes_away(keep: Chain, tool: Chain, degrees: float) -> None:
    plain, clear = (
        exact(keep, tool),
        envelope(keep, cutter(tool, edge_clearance=math.radians(degrees), fit_tolerance=0.0)),
    )
    us, vs = path_points(clear.path)
    inner = (us > plain.lo) & (us < plain.hi)
    above = misfit(keep, [tool], us[inner], vs[inner], tolerance=EXACT)
    assert (above >= 0.0).all()


def test_a_clear_edge_meets_the_wall_sooner() -> None:
    keep = polyline([(0.0, 1.0), (10.0, 1.0), (10.0, 3.0), (15.0, 3.0)])
    tool = nose_tool(0.0, (math.radians(30.0), math.radians(90.0)), tip=-1, long=(40.0, 40.0))
    env = envelope(keep, cutter(tool, edge_clearance=EDGE_CLEARANCE, fit_tolerance=0.0))
    stand = 10.0 - 2.0 / math.tan(math.radians(28.0))
    assert env.height(stand) == pytest.approx(1.0, abs=1e-9)
    assert env.height(stand + 1.0) == pytest.approx(1.0 + math.tan(math.radians(28.0)), abs=1e-9)
    assert {p.touch for p in env.pieces if stand + 0.1 < p.path.point_at(0.5)[0] < 9.0} == {Touch.EDGE}


# ---------------------------------------------------------------- the traps, one by one


@given(fits(), st.sampled_from([0.0, 1e-11, -1e-11, 1e-9, -1e-9]))
@settings(max_examples=80, deadline=None)
def test_a_blade_as_wide_as_its_groove_goes_in(case: tuple[Chain, Chain, float], wrong: float) -> None:
    keep, tool, left = case
    (a, b), (c, d) = keep[2].a, keep[2].b
    keep = polyline([*(e.a for e in keep[:3]), (c + wrong, d), (c + wrong, 12.0), keep[-1].b])
    env = envelope(keep, cutter(tool))
    lowest = min(env.height(left + d) for d in np.linspace(-3e-6, 3e-6, 61))
    assert lowest == pytest.approx(b, abs=2e-6), f"{a} {c}"


def test_two_circles_cross_twice_but_two_sites_once() -> None:
    """Bumps R2 and R1 side by side; their nose circles also cross far below, where neither site is on its branch."""
    keep = (
        arc_from_chord((0.0, 0.0), (4.0, 0.0), math.pi / 2.0),
        arc_from_chord((4.0, 0.0), (6.0, 0.0), math.pi / 2.0),
    )
    env = exact(keep, round_tool(0.5))
    # centres (2, 0) and (5, 0), radii 2.5 and 1.5: (u - 2)^2 - (u - 5)^2 = 4
    cross = (4.0 + 25.0 - 4.0) / 6.0
    joints = [e.b[0] for e in env.path if 2.0 < e.b[0] < 6.0]
    assert joints == pytest.approx([cross], abs=1e-12)
    assert env.height(cross) == pytest.approx(math.sqrt(2.5**2 - (cross - 2.0) ** 2) - 0.5, abs=1e-12)


def test_a_tall_post_is_felt_beyond_all_that_stands_beside_it() -> None:
    """Its site reaches a whole tool's width; pieces of it appear again behind lower posts."""
    posts = [(0.0, 0.0), (5.0, 0.0), (5.0, 6.0), (5.2, 6.0), (5.2, 0.0)]
    posts += [p for k in range(5) for p in ((6.0 + k, 0.0), (6.0 + k, 0.1), (6.1 + k, 0.1), (6.1 + k, 0.0))]
    keep = polyline([*posts, (16.0, 0.0)])
    tool = round_tool(4.0)
    env = exact(keep, tool)
    agree(keep, [tool], env, EXACT)
    assert env.height(9.0) == pytest.approx(6.0 - 4.0 + math.sqrt(16.0 - 3.8**2), abs=1e-9)


def test_leaving_metal_leaves_it_on_a_shoulder() -> None:
    """0.1 along and 0.2 away: the shoulder at u = 5 keeps its 0.1, which lifting the path by 0.2 would not give."""
    keep = polyline([(0.0, 8.0), (5.0, 8.0), (5.0, 3.0), (20.0, 3.0)])
    tool = nose_tool(0.0, (math.radians(60.0), math.radians(90.0)), tip=0)
    env = envelope(keep, cutter(tool, fit_tolerance=0.0).leaving(0.1, 0.2))
    assert env.height(5.1 - 1e-6) == pytest.approx(8.2)
    assert env.height(5.1 + 1e-6) == pytest.approx(3.2)


def test_an_edge_leaning_past_the_wall_counts_as_parallel() -> None:
    keep = polyline([(0.0, 8.0), (5.0, 8.0), (5.0, 3.0), (20.0, 3.0)])
    lean = nose_tool(0.4, (math.radians(60.0), math.radians(80.0)), tip=-1, long=(20.0, 20.0))
    env = exact(keep, lean)
    agree(keep, [lean], env, EXACT)
    assert env.height(5.0 + 1e-9) == pytest.approx(3.0)


def test_the_profiles_ends_are_corners() -> None:
    keep = polyline([(0.0, 5.0), (10.0, 5.0)])
    env = exact(keep, round_tool(2.0))
    assert (env.lo, env.hi) == (-2.0, 12.0)
    assert env.height(11.0) == pytest.approx(3.0 + math.sqrt(3.0), abs=1e-12)
    assert env.height(12.0) == pytest.approx(3.0, abs=1e-12)
    assert env.height(12.0 + 1e-9) == env.height(-2.0 - 1e-9) == -math.inf


def test_ties_go_to_the_nose() -> None:
    """A taper exactly parallel to the leading edge: the nose reaches along it, and is the witness."""
    edge = math.radians(45.0)
    keep = polyline([(0.0, 1.0), (5.0, 1.0), (10.0, 6.0), (12.0, 6.0)])
    env = exact(keep, nose_tool(0.4, (edge, math.radians(95.0)), tip=-1))
    on_taper = [p for p in env.pieces if p.element == 1 and not p.corner]
    assert on_taper
    assert all(p.touch is Touch.NOSE for p in on_taper)


def test_a_tool_without_a_lower_side_is_refused() -> None:
    with pytest.raises(ValueError, match="no tool"):
        cutter(())


@given(blades(), st.floats(0.2, 6.0))
@settings(max_examples=30, deadline=None)
def test_a_blade_lies_flat_on_a_flat(tool: Chain, height: float) -> None:
    env = exact(polyline([(0.0, height), (20.0, height)]), tool)
    assert env.height(7.0) == pytest.approx(height, abs=1e-12)
    flats = [p for p in env.pieces if not p.corner]
    assert all(p.path.a[1] == pytest.approx(height) and p.path.b[1] == pytest.approx(height) for p in flats)


# ---------------------------------------------------------------- past failures: exact inputs


def test_a_half_round_hollow_runs_below_its_centre() -> None:
    """The nose's path in a hollow of just half a turn came out with its sense turned, above the centre."""
    keep = (Arc((0.0, 0.0), (4.5, 0.0), (2.25, 0.0), math.pi),)
    tool = round_tool(2.0, tip=-1)
    env = exact(keep, tool)
    agree(keep, [tool], env, EXACT)
    assert env.height(0.25) == pytest.approx(-2.25, abs=1e-9)


def test_a_wall_of_two_lines_is_one_wall() -> None:
    """A vertex halfway up a shoulder: more was reported left in its foot than the corner radius leaves."""
    tool, area = round_tool(0.1), 0.01 * (1.0 - math.pi / 4.0)
    for wall in ([(1.0, 0.0), (1.0, 1.0)], [(1.0, 0.0), (1.0, 0.5), (1.0, 1.0)]):
        keep = polyline([(-1.0, 0.0), *wall, (2.0, 1.0)])
        cut = cutter(tool, fit_tolerance=0.0)
        regions = uncut(envelope(keep, cut), keep, cut)
        assert [abs(signed_area(r.outline)) for r in regions] == pytest.approx([area], abs=1e-9)


def test_an_edge_turned_level_by_its_clearance_stays_where_it_is() -> None:
    """An edge 1 deg off level enters 2 deg flatter, so level: it lies to the right of the point, not astride it."""
    keep = polyline([(0.0, 0.0), (5.0, 0.0), (5.0, 3.0)])
    tool = nose_tool(0.0, (math.radians(1.0), math.radians(70.0)), tip=0, long=(8.0, 8.0))
    env = envelope(keep, cutter(tool, edge_clearance=EDGE_CLEARANCE, fit_tolerance=0.0))
    assert env.lo == pytest.approx(-8.0, abs=1e-2)
    assert env.height(2.0) == pytest.approx(3.0, abs=1e-9)


def test_holders_in_closed_form() -> None:
    keep = polyline([(0.0, 10.0), (5.0, 10.0), (5.0, 2.0), (20.0, 2.0)])
    slim = nose_tool(0.0, (math.radians(80.0), math.radians(95.0)), tip=0, long=(30.0, 30.0))
    e, f = exact(keep, slim), envelope(keep, cutter(box(-6.0, 6.0, 4.0), fit_tolerance=0.0, holder=True))
    both = maximum(e, f, keep)
    assert both.height(8.0) == pytest.approx(6.0)
    assert both.height(11.5) == pytest.approx(2.0)
    assert dense_envelope(keep, [slim, box(-6.0, 6.0, 4.0)], np.array([8.0, 11.5])) == pytest.approx([6.0, 2.0])
    high = envelope(keep, cutter(box(-6.0, 6.0, 30.0), fit_tolerance=0.0, holder=True))
    assert maximum(e, high, keep) is e


def test_rounding_lifts_nothing() -> None:
    """The same slopes with a vertex in each: what differs by rounding alone is no higher, whichever comes first."""
    points = [(float(k), 10.0 + math.sin(k)) for k in range(40)]
    whole, tool = polyline(points), nose_tool(0.4, (math.radians(60.0), math.radians(80.0)), tip=0, long=(8.0, 8.0))
    parts = whole
    for k in reversed(range(len(whole))):
        parts = halved(parts, k, 0.37)
    e, f = exact(whole, tool), exact(parts, tool)
    assert e.path != f.path
    assert maximum(e, f, whole) is e and maximum(f, e, parts) is f


def test_a_sharp_blade_in_closed_form() -> None:
    keep = polyline([(0.0, 9.0), (4.0, 9.0), (4.0, 5.0), (8.0, 5.0), (8.0, 9.0), (12.0, 9.0)])
    env = exact(keep, blade(3.0, (0.0, 0.0)))
    corners = [(-3.0, 9.0), (4.0, 9.0), (4.0, 5.0), (5.0, 5.0), (5.0, 9.0), (12.0, 9.0)]
    assert apart(env.path, polyline(corners)) <= 1e-12
    floor = [p for p in env.pieces if p.path.a[1] == p.path.b[1] == 5.0]
    assert [(p.element, p.corner) for p in floor] == [(2, False)]
    assert [env.height(u) for u in (4.0, 5.0)] == pytest.approx([9.0, 9.0])  # at a jump the higher value: no gouge
    assert env.height(4.0 + 1e-9) == pytest.approx(5.0)
