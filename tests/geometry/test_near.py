"""The quick look that says which elements may come against a part of the tool: it may leave nothing out that does."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import box, cutters, nose_tool, profiles, round_tool
from toolpath.geometry.cutter import Cutter, cutter
from toolpath.geometry.elements import Arc, Chain, Line, polyline
from toolpath.geometry.envelope import Envelope, envelope, highest
from toolpath.geometry.maximum import lifted, maximum
from toolpath.geometry.near import RUN, _bound, near

RAD = math.radians
NOSE = cutter(nose_tool(0.4, (RAD(60.0), RAD(95.0)), tip=-1, long=(30.0, 30.0)), fit_tolerance=0.0)

NEEDLE = cutter(polyline([(0.0, 0.0), (0.0, 40.0)], close=True))


def shank(left: float, right: float, over: float) -> Cutter:
    return cutter(box(left, right, over, high=over + 40.0), fit_tolerance=0.0, holder=True)


def wave(count: int) -> Chain:
    """Tapers along a wave of 3 mm over 90 mm, then a collar 12 mm higher."""
    along = [(90.0 * k / count, 10.0 + 1.5 * math.sin(8.0 * math.pi * k / count)) for k in range(count + 1)]
    return polyline([*along, (90.0, 25.0), (100.0, 25.0)])


def test_far_from_the_work_no_element_is_near() -> None:
    keep = wave(2000)
    assert near(keep, shank(-6.0, 6.0, 20.0), envelope(keep, NEEDLE)) == []


def test_only_what_stands_beside_the_collar_is_near_its_shank() -> None:
    """8 over the tip the shank is clear of the wave and not of the collar: only a run or two at the end may count."""
    keep = wave(2000)
    found = near(keep, shank(-6.0, 6.0, 8.0), envelope(keep, NEEDLE))
    assert found[-1] == len(keep) - 1 and 2 <= len(found) <= 2 * RUN
    assert found == sorted(set(found))


def test_a_shank_as_low_as_the_tip_is_near_everywhere() -> None:
    keep = wave(300)
    assert near(keep, shank(1.0, 6.0, 0.0), envelope(keep, NEEDLE)) == list(range(len(keep)))


def test_an_arc_counts_with_its_summit_and_not_with_its_ends() -> None:
    """A half round of R 5 between two levels: its ends lie 4 under the shank, its summit 1 over it."""
    keep = (
        Line((0.0, 0.0), (20.0, 0.0)),
        Arc((20.0, 0.0), (30.0, 0.0), (25.0, 0.0), -math.pi),
        Line((30.0, 0.0), (50.0, 0.0)),
    )
    env = envelope(keep, NEEDLE)
    assert 1 in near(keep, shank(3.0, 6.0, 4.0), env, run=1)


def test_a_round_of_the_tool_is_bounded_from_outside() -> None:
    """A half round hung 0.01 under the tip: its lowest point, between two of its tangents, forbids."""
    keep = polyline([(0.0, 0.0), (40.0, 0.0)])
    env = envelope(keep, NEEDLE)
    for swing in np.linspace(0.0, 0.5, 11):
        a, b = RAD(200.0) + swing, RAD(340.0) - swing
        ends = [(10.0 + 5.0 * math.cos(w), 4.99 + 5.0 * math.sin(w)) for w in (a, b)]
        round_ = cutter((Arc(*ends, (10.0, 4.99), b - a), Line(ends[1], ends[0])), fit_tolerance=0.0, holder=True)
        assert near(keep, round_, env) == [0]
        assert lifted(env, highest(keep, round_, [0]), keep) is not env


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(("beyond", "reached"), [(-1e-3, [0, 1]), (1e-3, [])])
def test_a_wall_counts_as_soon_as_the_shank_reaches_it(side: float, beyond: float, reached: list[int]) -> None:
    """The tip stands over a level from 0 to 1, its shank begins 11 beside it: a wall 11 off comes in its way."""
    env = envelope(polyline([(0.0, 0.0), (1.0, 0.0)]), NEEDLE)
    at = (12.0 if side > 0.0 else -11.0) + side * beyond
    ends = sorted([(at, 0.0), (at, 50.0), (at + side * 8.0, 50.0)], key=lambda p: (p[0], side * p[1]))
    assert near(polyline(ends), shank(*sorted((side * 5.0, side * 11.0)), 4.0), env, run=1) == reached


@given(
    keep=profiles(most=8, steps=False),
    tool=cutters(),
    held=cutters(),
    at=st.tuples(st.floats(-8.0, 8.0), st.floats(-2.0, 8.0)),
    run=st.integers(1, 3),
)
@settings(max_examples=80, deadline=None)
def test_nothing_that_lifts_the_tool_is_left_out(
    keep: Chain, tool: Chain, held: Chain, at: tuple[float, float], run: int
) -> None:
    """The maximum with what is near is the maximum with all."""
    env = envelope(keep, cutter(tool))
    carrier = cutter(tuple(e.moved(at) for e in held), holder=True)
    found = near(keep, carrier, env, run=run)
    ours = lifted(env, highest(keep, carrier, found), keep)
    same(ours, maximum(env, envelope(keep, carrier), keep))


def same(ours: Envelope, theirs: Envelope) -> None:
    assert (ours.lo, ours.hi) == pytest.approx((theirs.lo, theirs.hi), abs=1e-9)
    ends = np.array([*ours.starts, *theirs.starts, ours.hi])
    spots = np.linspace(ours.lo, ours.hi, 120)[1:-1]
    for u in (u for u in spots if np.abs(ends - u).min() > 1e-6):
        assert ours.height(u) == pytest.approx(theirs.height(u), abs=1e-8)


def test_curves_of_elements_far_apart_leave_a_gap_that_lifts_nothing() -> None:
    """Two collars 60 mm apart and a shank 12 wide: over each it lifts the tool, between them the nose goes on."""
    keep = polyline([(0.0, 20.0), (5.0, 20.0), (5.0, 2.0), (65.0, 2.0), (65.0, 20.0), (70.0, 20.0)])
    carrier, env = shank(-6.0, 6.0, 4.0), envelope(keep, NOSE)
    curves = highest(keep, carrier, [0, 4])
    assert any(q.u0 > p.u1 + 40.0 for p, q in pairwise(curves))
    ours = lifted(env, curves, keep)
    same(ours, maximum(env, envelope(keep, carrier), keep))
    assert ours.height(35.0) == pytest.approx(2.0) and ours.height(10.0) == pytest.approx(16.0)


def test_nothing_near_is_the_envelope_itself() -> None:
    keep = wave(40)
    env = envelope(keep, NOSE)
    assert highest(keep, NOSE, []) == [] and lifted(env, [], keep) is env


def test_away_from_what_lifts_it_an_envelope_keeps_its_pieces() -> None:
    """One collar lifts the tool; the pieces, steps and all, that lie away from it are the ones there were."""
    keep = polyline(
        [(0.0, 9.0), (3.0, 9.0), (3.0, 2.0), (40.0, 2.0), (40.0, 20.0), (45.0, 20.0), (45.0, 1.0), (99.0, 1.0)]
    )
    env = envelope(keep, NOSE)
    ours = lifted(env, highest(keep, shank(-6.0, 6.0, 4.0), [4]), keep)
    kept = [p for p in env.pieces if p.path.b[0] < 33.0 or p.path.a[0] > 52.0]
    assert kept and all(any(p is q for q in ours.pieces) for p in kept)
    assert all(math.dist(p.path.b, q.path.a) == 0.0 for p, q in pairwise(ours.pieces))
    assert ours.starts == tuple(p.path.a[0] for p in ours.pieces)
    assert [ours.height(u) for u in (20.0, 34.5, 50.5, 60.0)] == pytest.approx([2.0, 16.0, 16.0, 1.0])


@pytest.mark.parametrize("radius", [0.2, 1.5, 6.0])
def test_the_bound_of_a_round_lies_over_it_and_not_far(radius: float) -> None:
    """Tangents stand for the arc: nowhere under it, and over it by no more than 4 % of its radius (1/cos 15 deg)."""
    cut = cutter(round_tool(radius), fit_tolerance=0.0)
    u, v = np.array(list(_bound(cut))).T
    assert (np.diff(u) > 0.0).all()
    along = np.linspace(-radius, radius, 401)
    # The cap is the tool's lower half turned over: a half round that ends where the point that moves stands.
    cap = cut.start[1] + np.sqrt(np.maximum(radius**2 - along**2, 0.0))
    over = np.interp(along + cut.start[0] + radius, u, v) - cap
    assert over.min() >= -1e-9 and over.max() <= 0.3 * radius
    assert over[100:301].max() <= 0.04 * radius
