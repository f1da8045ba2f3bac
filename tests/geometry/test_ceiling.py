"""Room inside: floor and ceiling against worked bores, against shapely, and against the dense oracle."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import box, nose_tool, profiles, reflect
from tests.oracles.dense import enclose
from tests.oracles.graphs import lower
from toolpath.geometry.ceiling import Room, room
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Chain, Line, points_of, polyline
from toolpath.geometry.envelope import envelope
from toolpath.geometry.maximum import maximum

BAR_TOOL = nose_tool(0.4, (math.radians(5.0), math.radians(85.0)), tip=-1, long=(4.0, 4.0))


def bore(*steps: tuple[float, float]) -> Chain:
    """A hole in the inside frame from its bottom at the left, by (z, diameter) corners; v = -radius."""
    return polyline([(z, -dia / 2.0) for z, dia in steps])


def bar(front: float, back: float, *, reach: float = 30.0, begins: float = 1.0) -> Chain:
    """A bar between `front` and `back` mm behind the point, across."""
    return box(begins, reach, front, high=back - front)


def room_of(keep: Chain, outlines: tuple[Chain, ...], *, exact: bool = True) -> Room:
    """Room with the floor of all parts; exact: nothing taken off for fits."""
    parts = [cutter(o, fit_tolerance=0.0 if exact else 1e-6) for o in outlines]
    floor = envelope(keep, parts[0])
    for part in parts[1:]:
        floor = maximum(floor, envelope(keep, part), keep)
    return room(keep, floor, outlines)


def flipped(outline: Chain) -> Chain:
    return tuple(reflect(e, (1.0, -1.0)).reversed() for e in reversed(outline))


# ---------------------------------------------------------------- worked bores


def test_a_bar_in_a_plain_hole_has_the_hole_less_its_thickness() -> None:
    """A 20 mm hole and 10 mm from point to back: 10 mm are left, the point anywhere from 10 mm down to the axis."""
    r = room_of(bore((-40, 20), (0, 20)), (BAR_TOOL, bar(2.0, 10.0)))
    assert r.shut == () and r.deepest == -math.inf
    assert r.floor.height(-20.0) == pytest.approx(-10.0, abs=1e-12)
    assert r.ceiling(-20.0) == pytest.approx(0.0, abs=1e-12)
    assert r.left(-20.0) == pytest.approx(10.0, abs=1e-12)


def test_a_thick_bar_is_shut_out_and_says_where_from() -> None:
    """8 mm of bar, its back 10 mm behind the point: a 7 mm hole is shut from the point's first touch on."""
    keep = bore((-30, 7), (-10, 7), (-10, 24), (0, 24))
    r = room_of(keep, (BAR_TOOL, bar(2.0, 10.0, reach=60.0)))
    # The bar begins 1 mm behind the point, so the point may go 1 mm into the narrow part and no farther.
    assert r.shut[-1][1] == pytest.approx(-11.0, abs=2e-6) and r.deepest == r.shut[-1][1]
    assert r.left(-5.0) > 0.0 > r.left(-11.5)
    assert r.left(-11.5) == pytest.approx(7.0 - 10.0, abs=1e-9)


def test_a_neck_in_the_way_shuts_the_widening_behind_it() -> None:
    """The floor opens behind a 9 mm neck, but a 10 mm bar lies in the neck as long as the point is behind it."""
    keep = bore((-30, 16), (-20, 16), (-20, 9), (-10, 9), (-10, 16), (0, 16))
    r = room_of(keep, (BAR_TOOL, bar(2.0, 10.0)))
    assert r.deepest == pytest.approx(-11.0, abs=2e-6)
    thin = room_of(keep, (BAR_TOOL, bar(2.0, 8.5)))
    assert thin.shut == ()
    assert thin.left(-15.0) == pytest.approx(0.5, abs=1e-9)


def test_exact_fit_is_open_and_a_hair_more_is_shut() -> None:
    """Trap: 12 mm from point to back in a 12 mm hole must not flip on rounding, whatever the hole's place."""
    for z in (0.1, 1.0 / 3.0, 7.7):
        keep = bore((-20 + z, 12), (z, 12))
        assert room_of(keep, (BAR_TOOL, bar(4.0, 12.0, reach=12.0))).shut == ()
        assert room_of(keep, (BAR_TOOL, bar(4.0, 12.0 + 1e-6, reach=12.0))).shut != ()


def test_a_ridge_under_pin_and_back_at_once() -> None:
    """Each alone has 0.5 mm over the ridge, both together lack 0.5 mm: shut exactly where both are over it."""
    pin, back = box(-4.0, 0.0, 0.0, high=1.0), box(-0.5, 4.0, 3.0, high=5.0)
    keep = bore((-30, 9.0), (-10, 9.0), (-10, 7.5), (-9.0, 7.5), (-9.0, 9.0), (10, 9.0))
    r = room_of(keep, (pin, back))
    # The pin is over the ridge for -10 <= u <= -5, the back for -14 <= u <= -8.5.
    assert r.left(-9.5) == pytest.approx(9.0 - 8.0 - 1.5, abs=1e-9)
    assert (r.left(-12.0), r.left(-7.0)) == pytest.approx((0.25, 0.25))
    (shut,) = r.shut
    assert shut == pytest.approx((-10.0, -8.5), abs=2e-6)


def test_nothing_behind_the_point_leaves_no_ceiling() -> None:
    r = room_of(bore((-10, 12), (0, 12)), (BAR_TOOL,))
    assert r.ceiling(50.0) == math.inf and r.left(50.0) == math.inf


# ---------------------------------------------------------------- against oracles


@st.composite
def bores(draw: st.DrawFn) -> Chain:
    """Any profile between two level ends, laid under the axis so that it leaves holes of 1 to 12 mm."""
    keep = draw(profiles(most=6))
    first, last = keep[0].a, keep[-1].b
    keep = (Line((first[0] - 0.5, first[1]), first), *keep, Line(last, (last[0] + 0.5, last[1])))
    lower_by = -max(e.bounds()[3] for e in keep) - draw(st.floats(0.5, 6.0))
    return tuple(e.moved((0.0, lower_by)) for e in keep)


@st.composite
def bar_tools(draw: st.DrawFn) -> tuple[Chain, ...]:
    """A nose with its edges, and a bar behind it that goes out to the right."""
    nose = draw(st.sampled_from([0.0, 0.2, 0.4, 0.8]))
    right = draw(st.floats(3.0, 40.0))
    left = right + draw(st.floats(35.0, 80.0))
    edge = draw(st.floats(2.0, 5.0))
    tool = nose_tool(nose, (math.radians(right), math.radians(max(left, 60.0))), tip=-1, long=(edge, edge))
    front = draw(st.floats(0.5, 3.0))
    return tool, bar(front, front + draw(st.floats(2.0, 8.0)), reach=draw(st.floats(5.0, 30.0)), begins=1.5)


def spots(r: Room, keep: Chain, count: int) -> np.ndarray:
    return np.linspace(r.floor.lo + 1e-3, r.floor.hi - 1e-3, count)


@settings(max_examples=100, deadline=None)
@given(keep=bores(), outlines=bar_tools())
def test_floor_and_ceiling_lie_where_the_dense_oracle_has_them(keep: Chain, outlines: tuple[Chain, ...]) -> None:
    r = room_of(keep, outlines)
    us = spots(r, keep, 15)
    floor, back = enclose(keep, outlines, us), enclose(keep, [flipped(o) for o in outlines], us)
    # Beside a jump or an upright tangent kernel and oracle may stand a fit tolerance apart along u.
    shifts = np.linspace(-2e-6, 2e-6, 9)
    for i, u in enumerate(us):
        lows, backs = [r.floor.height(u + d) for d in shifts], [-r.ceiling(u + d) for d in shifts]
        assert min(lows) - 1e-6 <= floor.high[i] and floor.low[i] <= max(lows) + 1e-6
        assert min(backs) - 1e-6 <= back.high[i] and back.low[i] <= max(backs) + 1e-6
        shut = [any(lo <= u + d <= hi for lo, hi in r.shut) for d in shifts]
        if floor.low[i] + back.low[i] > 1e-5:
            assert any(shut)
        if floor.high[i] + back.high[i] < -1e-5:
            assert not all(shut)


@settings(max_examples=100, deadline=None)
@given(keep=bores(), outlines=bar_tools(), where=st.floats(0.02, 0.98))
def test_a_tool_between_floor_and_ceiling_cuts_neither_wall(
    keep: Chain, outlines: tuple[Chain, ...], where: float
) -> None:
    """Placed at the bottom, middle and top of its room it overlaps neither wall; 0.01 mm outside, it does (shapely)."""
    r = room_of(keep, outlines)
    u = r.floor.lo + where * (r.floor.hi - r.floor.lo)
    wall = np.array(points_of(keep, 1e-4))
    deep = wall[:, 1].min() - 50.0
    metal = shapely.Polygon([*wall, (wall[-1, 0], deep), (wall[0, 0], deep)]).buffer(0)
    walls = shapely.union(metal, shapely.affinity.scale(metal, 1.0, -1.0, origin=(0.0, 0.0)))
    tool = shapely.union_all([shapely.Polygon(points_of(o, 1e-4)) for o in outlines])

    def bites(v: float, aside: float = 0.0) -> float:
        return float(shapely.affinity.translate(tool, u + aside, v).intersection(walls).area)

    low, high = r.floor.height(u), r.ceiling(u)
    if low + 0.01 < high:
        for v in (low, (low + high) / 2.0, high) if math.isfinite(high) else (low,):
            assert bites(v) < 5e-3
    # Something stands in the way 0.05 mm lower or higher: a little to either side, where the tool ends on a jump.
    assert max(bites(low - 0.05, d) for d in (-1e-3, 0.0, 1e-3)) > 0.0
    if math.isfinite(high):
        assert max(bites(high + 0.05, d) for d in (-1e-3, 0.0, 1e-3)) > 0.0


@settings(max_examples=30, deadline=None)
@given(keep=bores(), outlines=bar_tools())
def test_shut_stretches_are_apart_and_ascending(keep: Chain, outlines: tuple[Chain, ...]) -> None:
    r = room_of(keep, outlines)
    ends = [x for span in r.shut for x in span]
    assert ends == sorted(ends)
    assert all(b[0] > a[1] for a, b in zip(r.shut, r.shut[1:], strict=False))
    assert r.deepest == (r.shut[-1][1] if r.shut else -math.inf)


@settings(max_examples=30, deadline=None)
@given(keep=bores(), outlines=bar_tools(), more=st.floats(0.01, 2.0))
def test_a_wider_hole_never_shuts_a_place_that_was_open(keep: Chain, outlines: tuple[Chain, ...], more: float) -> None:
    tight = room_of(keep, outlines)
    wide = room_of(tuple(e.moved((0.0, -more)) for e in keep), outlines)
    for u in spots(tight, keep, 23):
        if math.isfinite(tight.left(u)):
            assert wide.left(u) == pytest.approx(tight.left(u) + 2.0 * more, abs=1e-6)


def test_the_oracle_sees_the_back() -> None:
    """The flipped bar's lowest side is its back."""
    assert lower(flipped(bar(2.0, 10.0))).height(np.array([5.0]))[0] == -10.0
