"""Any work and tool from outside, inside and the face, both hands: drawn at the lathe, cut in the frame, judged there.

The tests' own map draws work and tool in (z, x); the kernel's frame takes them in and its path back out; the oracles
judge what came out where it was drawn. So a frame that turned the work one way and the path another would be found.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import Frame as Drawn
from tests.geometry.strategies import halved, mirrored, nose_tool, profiles, scaled, tools
from tests.geometry.test_envelope import path_points, slit
from tests.geometry.test_traps import SIDES, at_the_lathe
from tests.oracles.slope import apart, depth
from tests.oracles.touch import short_of_touch
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Chain, Element, Line, Point, arc_about, polyline, reverse, signed_area
from toolpath.geometry.envelope import Envelope, envelope, size_of
from toolpath.geometry.maximum import maximum
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.geometry.uncut import closing, uncut

sides = st.sampled_from(SIDES)

LEDGE = polyline([(0.0, 2.001), (0.0, 1.001), (2.0, 1.001)])
BROAD = (
    (
        Line((0.0, 15.0), (0.0, 0.1)),
        arc_about((0.1, 0.1), (0.0, 0.1), (0.1, 0.0), ccw=True),
        *polyline([(0.1, 0.0), (1.0, 0.0), (1.0, 15.0), (0.0, 15.0)]),
    ),
    polyline([(0.0, 1.0), (2.0, 1.0), (2.0, 11.0), (0.0, 11.0)], close=True),
)
"""Past failure of the brute force: a holder wider than the work reached round the end of the profile."""


def held(keep: Chain, tool: tuple[Chain, ...]) -> Envelope:
    """The envelope of a tool with what carries it, without the fit tolerance."""
    env = envelope(keep, cutter(tool[0], fit_tolerance=0.0))
    for holder in tool[1:]:
        env = maximum(env, envelope(keep, cutter(holder, fit_tolerance=0.0, holder=True)), keep)
    return env


def cut_at_the_lathe(side: tuple[str, bool], keep: Chain, tool: tuple[Chain, ...]) -> tuple[Chain, Chain]:
    """(path, what stands) in (z, x), of work and tool drawn there."""
    name, hand = side
    frame, work, _ = at_the_lathe(name, keep, tool[0], hand=hand)
    parts = tuple(frame.outline(at_the_lathe(name, keep, t, hand=hand)[2]) for t in tool)
    inside = frame.chain(work)
    env = held(inside, parts)
    stands = closing(env, inside, cutter(parts[0], fit_tolerance=0.0))
    return frame.back.chain(env.path), frame.back.chain(stands)


def as_drawn(side: tuple[str, bool], chain: Chain) -> Chain:
    """A chain in (z, x) as it lies in (u, v), by the tests' own map, left to right."""
    name, hand = side
    out = Drawn(name).into(chain)
    return mirrored(reverse(out)) if hand else out


@given(side=sides, keep=profiles(most=7), tool=tools())
@settings(max_examples=60, deadline=None)
def test_nothing_is_gouged_from_any_side(side: tuple[str, bool], keep: Chain, tool: tuple[Chain, ...]) -> None:
    path, _ = cut_at_the_lathe(side, keep, tool)
    us, vs = path_points(as_drawn(side, path))
    inner = (us > us.min() + 1e-6) & (us < us.max() - 1e-6)
    assert depth(keep, tool, us[inner], vs[inner], step=0.1) <= 1e-6


@given(side=sides, keep=profiles(most=5, steps=False), tool=tools())
@example(side=("outside", False), keep=LEDGE, tool=BROAD)
@settings(max_examples=25, deadline=None)
def test_what_can_be_touched_is_touched_from_any_side(
    side: tuple[str, bool], keep: Chain, tool: tuple[Chain, ...]
) -> None:
    """A point of the work that the tool can be laid against without gouging has no metal left before it.

    More exactly: what is left there is no thicker than the tool has to stay away, found by brute force over contacts.
    """
    assume(not slit(keep))
    _, stands = cut_at_the_lathe(side, keep, tool)
    left = as_drawn(side, stands)
    # A wall at the end of the profile has air behind it, where the brute force would lay the tool's back against it.
    ends = (keep[0].a[0], keep[-1].b[0])
    walls = {e for e in keep if e.a[0] == e.b[0] and e.a[0] in ends}
    points = [e.point_at(t) for e in keep for t in (0.02, 0.4, 0.98) if e.length > 1e-3 and e not in walls]
    assume(points)
    short = short_of_touch(keep, tool, points)
    for p, away in zip(points, short, strict=True):
        assert min(e.distance(p) for e in left) <= away + 2e-6, p


@given(keep=profiles(most=6), tool=tools(), at=st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_the_whole_is_the_higher_of_its_parts(keep: Chain, tool: tuple[Chain, ...], at: int) -> None:
    """What must be missed of two stretches of work is what must be missed of either."""
    at = at % len(keep)
    assume(at > 0 and any(e.b[0] > e.a[0] for e in keep[:at]) and any(e.b[0] > e.a[0] for e in keep[at:]))
    whole, first, second = (held(k, tool[:1]) for k in (keep, keep[:at], keep[at:]))
    jumps = [p.path.a[0] for e in (whole, first, second) for p in e.pieces if p.vertical or p.path.length < 1e-6]
    jumps += [first.hi, second.lo, first.lo, second.hi]
    for u in np.linspace(whole.lo, whole.hi, 60)[1:-1]:
        if min(abs(u - j) for j in jumps) < 1e-3:
            continue
        # A shift of 1e-9 along u is worth the slope of the path in v.
        near = [max(first.height(u + d), second.height(u + d)) for d in (-1e-9, 0.0, 1e-9)]
        assert min(near) - 1e-9 <= whole.height(float(u)) <= max(near) + 1e-9


# ---------------------------------------------------------------- what is left, and the moves that come of it


def left_by(keep: Chain, tool: Chain, *, least: float = 1e-3) -> list[tuple[float, float]]:
    """(area, thickness) of every leftover from left to right."""
    cut = cutter(tool, fit_tolerance=0.0)
    found = uncut(envelope(keep, cut), keep, cut, least=least)
    return [(abs(signed_area(r.outline)), r.thick) for r in found if r.thick > 2.0 * least]


@given(keep=profiles(most=5, steps=False), tool=tools())
@settings(max_examples=30, deadline=None)
def test_mirrored_work_leaves_the_same_in_the_mirror(keep: Chain, tool: tuple[Chain, ...]) -> None:
    assume(not slit(keep))
    here, there = left_by(keep, tool[0]), left_by(mirrored(keep), mirrored(tool[0]))
    assert sum(a for a, _ in there) == pytest.approx(sum(a for a, _ in here), abs=2e-3)
    assert max((t for _, t in there), default=0.0) == pytest.approx(max((t for _, t in here), default=0.0), abs=2e-3)


@given(keep=profiles(steps=False), tool=tools(), index=st.integers(0, 20), at=st.floats(0.1, 0.9))
@settings(max_examples=60, deadline=None)
def test_a_vertex_more_changes_nothing_after_merging(
    keep: Chain, tool: tuple[Chain, ...], index: int, at: float
) -> None:
    here, there = (
        merged(held(k, tool[:1]).path, 1e-9 * max(1.0, size_of(keep))) for k in (keep, halved(keep, index, at))
    )
    assert apart(here, there) <= 1e-9 * max(10.0, size_of(keep))


@pytest.mark.parametrize("index", range(6))
def test_a_vertex_more_gives_as_many_moves(index: int) -> None:
    """In a cylinder, a taper, a cove, a wall, a dome: what the control is told is the same."""
    keep = (
        *polyline([(0.0, 3.0), (6.0, 3.0), (12.0, 5.0)]),
        arc_about((12.0, 7.0), (12.0, 5.0), (14.0, 7.0), ccw=True),
        Line((14.0, 7.0), (14.0, 9.0)),
        arc_about((16.0, 9.0), (14.0, 9.0), (16.0, 11.0), ccw=False),
        Line((16.0, 11.0), (22.0, 11.0)),
    )
    tool = nose_tool(0.4, (math.radians(93.0), math.radians(128.0)), tip=1, long=(20.0, 20.0))
    plain, more = (merged(held(k, (tool,)).path, MERGE, sliver=SLIVER) for k in (keep, halved(keep, index, 0.37)))
    assert [type(e) for e in more] == [type(e) for e in plain]
    assert apart(plain, more) <= 1e-7


@given(side=sides, keep=profiles(most=5), tool=tools(), k=st.sampled_from([0.1, 10.0]))
@settings(max_examples=30, deadline=None)
def test_ten_times_the_size_is_ten_times_the_path_from_any_side(
    side: tuple[str, bool], keep: Chain, tool: tuple[Chain, ...], k: float
) -> None:
    path, _ = cut_at_the_lathe(side, keep, tool)
    big, _ = cut_at_the_lathe(side, scaled(keep, k), tuple(scaled(t, k) for t in tool))
    whole = [e for e in path if e.length > 1e-6]
    near = 1e-8 * size_of(scaled(keep, k)) + 1e-8
    assert all(min(f.distance(q) for f in big) <= near for e in scaled(tuple(whole), k) for q in middle(e))
    assert all(p.b == q.a for p, q in pairwise(big))


def middle(e: Element) -> list[Point]:
    return [e.point_at(t) for t in (0.25, 0.5, 0.75)]
