"""What a tool leaves, against closed forms and against brute force over positions; what stands when it is through."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings

from tests.geometry.strategies import blade, box, cutters, nose_tool, profiles, round_tool, scaled
from tests.oracles.graphs import surface
from tests.oracles.reach import gaps, positions, swept
from toolpath.geometry.cutter import Touch, cutter
from toolpath.geometry.elements import Chain, Line, arc_about, points_of, polyline, signed_area
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.geometry.maximum import maximum
from toolpath.geometry.uncut import Uncut, closing, uncut

UPRIGHT = math.radians(90.0)


def left_by(tool: Chain, keep: Chain, *, least: float = 1e-4) -> list[Uncut]:
    cut = cutter(tool, fit_tolerance=0.0)
    return uncut(envelope(keep, cut), keep, cut, least=least)


def area(regions: list[Uncut]) -> float:
    return sum(abs(signed_area(r.outline)) for r in regions)


# ---------------------------------------------------------------- closed forms


@pytest.mark.parametrize("r", [0.2, 0.4, 0.8, 3.0])
def test_a_square_shoulder_keeps_the_round_of_the_nose(r: float) -> None:
    """r^2 (1 - pi/4) of area, r (sqrt 2 - 1) thick in the corner, and the nose is to blame."""
    keep = polyline([(-20.0, 9.0), (-10.0, 9.0), (-10.0, 4.0), (0.0, 4.0)])
    (corner,) = left_by(nose_tool(r, (math.radians(30.0), UPRIGHT), tip=-1), keep)
    assert abs(signed_area(corner.outline)) == pytest.approx(r * r * (1.0 - math.pi / 4.0), abs=1e-9)
    assert corner.thick == pytest.approx(r * (math.sqrt(2.0) - 1.0), abs=1e-6)
    assert corner.at == pytest.approx((-10.0, 4.0), abs=1e-9)
    assert corner.touch is Touch.NOSE
    assert corner.span == (1, 2)


def test_a_wall_in_the_shadow_of_the_trailing_edge() -> None:
    """A neck 3 deep and 8 long; a sharp point whose trailing edge stands at 32 deg leaves 3^2 / (2 tan 32)."""
    keep = polyline([(-30.0, 10.0), (-20.0, 10.0), (-20.0, 7.0), (-12.0, 7.0), (-12.0, 10.0), (0.0, 10.0)])
    (shade,) = left_by(nose_tool(0.0, (math.radians(32.0), UPRIGHT), tip=-1, long=(40.0, 40.0)), keep)
    assert abs(signed_area(shade.outline)) == pytest.approx(4.5 / math.tan(math.radians(32.0)), abs=1e-9)
    assert shade.thick == pytest.approx(3.0 * math.cos(math.radians(32.0)), abs=1e-6)
    assert shade.at == pytest.approx((-12.0, 7.0), abs=1e-9)
    assert shade.touch is Touch.EDGE


def test_a_hollow_tighter_than_the_nose() -> None:
    """A half-round groove of R 1 under a nose of 2: the circular segments between them stay."""
    keep = (
        Line((-10.0, 5.0), (-1.0, 5.0)),
        arc_about((0.0, 5.0), (-1.0, 5.0), (1.0, 5.0), ccw=True),
        Line((1.0, 5.0), (10.0, 5.0)),
    )
    (hollow,) = left_by(round_tool(2.0), keep)
    reach = 2.0 - math.sqrt(3.0)
    segment = 4.0 * (math.pi / 6.0) - math.sqrt(3.0)
    assert abs(signed_area(hollow.outline)) == pytest.approx(math.pi / 2.0 - segment, abs=1e-9)
    assert hollow.thick == pytest.approx(1.0 - reach, abs=1e-6)
    assert left_by(round_tool(1.0), keep) == [] and left_by(round_tool(0.4), keep) == []


def test_a_slot_narrower_than_the_blade_stays_whole() -> None:
    slot = polyline([(-9.0, 8.0), (-2.0, 8.0), (-2.0, 5.0), (0.0, 5.0), (0.0, 8.0), (9.0, 8.0)])
    (stays,) = left_by(blade(3.0, (0.0, 0.0)), slot)
    assert abs(signed_area(stays.outline)) == pytest.approx(6.0, abs=1e-6)
    assert stays.thick == pytest.approx(3.0, abs=1e-6)
    assert stays.touch is Touch.FLAT
    fits = cutter(blade(2.0, (0.0, 0.0)))  # as wide as the slot: goes in by its fit tolerance
    assert uncut(envelope(slot, fits), slot, fits) == []


def test_what_the_least_thickness_leaves_out() -> None:
    keep = polyline([(-20.0, 9.0), (-10.0, 9.0), (-10.0, 4.0), (0.0, 4.0)])
    tool = nose_tool(0.2, (math.radians(30.0), UPRIGHT), tip=-1)
    assert len(left_by(tool, keep, least=0.08)) == 1
    assert left_by(tool, keep, least=0.09) == []


def test_a_holder_is_told_from_the_edge() -> None:
    """The shank stands back 4 mm over a step of 8: from there down the wall is out of reach, because of what holds."""
    keep = polyline([(-30.0, 12.0), (-20.0, 12.0), (-20.0, 4.0), (0.0, 4.0)])
    slim = nose_tool(0.2, (math.radians(60.0), UPRIGHT), tip=-1, long=(30.0, 30.0))
    cut = cutter(slim, fit_tolerance=0.0)
    shank = cutter(box(-6.0, 6.0, 4.0, high=30.0), fit_tolerance=0.0, holder=True)
    env = maximum(envelope(keep, cut), envelope(keep, shank), keep)
    regions = uncut(env, keep, cut)
    assert {r.touch for r in regions} == {Touch.HOLDER}
    # The point stays 6 mm off the wall below a height of 4 mm under its top: a block of 6 x 4 stays, but for the nose.
    assert area(regions) == pytest.approx(24.0, abs=0.1)


# ---------------------------------------------------------------- any work, any tool


def closed(keep: Chain, tool: Chain) -> tuple[Envelope, Chain]:
    cut = cutter(tool, fit_tolerance=0.0)
    env = envelope(keep, cut)
    return env, closing(env, keep, cut)


@given(keep=profiles(most=5, steps=False), tool=cutters())
@settings(max_examples=40, deadline=None)
def test_what_stands_is_the_work_with_every_leftover_on_it(keep: Chain, tool: Chain) -> None:
    """Ends stay; under the closing lies the work's own area and that of all leftovers."""
    _, stands = closed(keep, tool)
    assert (stands[0].a, stands[-1].b) == (keep[0].a, keep[-1].b)
    assert all(math.dist(p.b, q.a) <= 1e-6 for p, q in pairwise(stands))
    under = signed_area(_down(keep)) - signed_area(_down(stands))
    assert under == pytest.approx(area(left_by(tool, keep, least=0.0)), abs=1e-5 * max(1.0, keep[-1].b[0]))


def _down(chain: Chain) -> Chain:
    """Closed below at a depth under everything, clockwise."""
    a, b = chain[0].a, chain[-1].b
    return (*chain, *polyline([b, (b[0], -99.0), (a[0], -99.0), a]))


@given(keep=profiles(most=5, steps=False), tool=cutters())
@settings(max_examples=30, deadline=None)
def test_what_stands_is_what_brute_force_leaves(keep: Chain, tool: Chain) -> None:
    """Height by height against the tool standing on E at thousands of places; those can only leave more."""
    _, stands = closed(keep, tool)
    last = keep[-1].b[0]
    # Away from walls, where a height says little about a distance.
    vertices = np.array([p[0] for e in (*keep, *stands) for p in (e.a, e.b)])
    xs = np.linspace(0.0, last, 60)[1:-1]
    xs = np.array([x for x in xs if np.abs(vertices - x).min() > 2e-3])
    if not len(xs):
        return
    us = positions(keep, [tool], 1200)
    truth = swept(keep, [tool], xs, us).closing
    assert (surface(stands, xs) <= truth + 1e-6).all(), "the closing stands above where the tool has been"
    # Between two places of the grid the tool leaves what the work rises by there.
    grid = (us[-1] - us[0]) / 1199.0
    low, high = surface(stands, xs - 1e-3), surface(stands, xs + 1e-3)
    slack = np.abs(high - low) * (1.0 + grid / 1e-3) + 0.02
    assert (np.minimum(low, high) >= truth - slack).all()


@given(keep=profiles(most=5, steps=False), tool=cutters())
@settings(max_examples=30, deadline=None)
def test_touched_points_are_touched_and_left_ones_are_not(keep: Chain, tool: Chain) -> None:
    """Points of the work outside all leftovers are met by the tool; the thickest point of a leftover is not."""
    assume(not _spiked(keep))
    keep = (*keep, Line(keep[-1].b, (keep[-1].b[0] + 2.0, keep[-1].b[1])))
    regions = left_by(tool, keep, least=1e-3)
    us = positions(keep, [tool], 2000)
    deep = [r for r in regions if r.thick > 0.05 and not _tool_may_stand_behind(r, keep)]
    if deep:
        found = gaps(keep, [tool], [r.at for r in deep], us)
        assert (found >= np.array([0.5 * r.thick for r in deep]) - 1e-3).all()
    spots = [e.point_at(t) for e in keep for t in (0.3, 0.7)]
    outside = [p for p in spots if 0.05 < p[0] < keep[-1].b[0] - 0.05 and _clear_of(p, regions)]
    if outside:
        assert gaps(keep, [tool], outside, us).max() <= 2e-2 + keep[-1].b[0] / 300.0


def _spiked(keep: Chain) -> bool:
    """Whether a wall without thickness stands on the work: its two sides are one place."""
    return any(e.a[0] == e.b[0] and f.a[0] == f.b[0] for e, f in pairwise(keep))


def _tool_may_stand_behind(r: Uncut, keep: Chain) -> bool:
    """Whether the work is thinner there than what is left on it: the gap would be measured through the metal.

    Beyond the ends of `keep` there is none, and the tool may stand there as low as it likes.
    """
    others = [e.distance(r.at) for k, e in enumerate(keep) if not r.span[0] <= k <= r.span[1]]
    return min(*others, r.at[0] - keep[0].a[0], keep[-1].b[0] - r.at[0]) < r.thick


def _clear_of(p: tuple[float, float], regions: list[Uncut]) -> bool:
    return all(min(e.distance(p) for e in r.outline) > 1e-2 for r in regions)


@given(keep=profiles(most=5, steps=False), tool=cutters())
@settings(max_examples=30, deadline=None)
def test_ten_times_the_size_leaves_a_hundred_times_the_area(keep: Chain, tool: Chain) -> None:
    plain, large = area(left_by(tool, keep)), area(left_by(scaled(tool, 10.0), scaled(keep, 10.0), least=1e-3))
    assert large == pytest.approx(100.0 * plain, rel=1e-6, abs=1e-5)


@given(keep=profiles(most=5, steps=False), tool=cutters())
@settings(max_examples=30, deadline=None)
def test_the_outline_of_a_leftover_is_closed(keep: Chain, tool: Chain) -> None:
    for r in left_by(tool, keep):
        ring = (*r.outline, r.outline[0])
        assert all(math.dist(p.b, q.a) <= 1e-6 for p, q in pairwise(ring))
        assert min(math.dist(r.at, p) for p in points_of(r.outline, 1e-3)) <= 0.5 * r.thick + 0.2
