"""Roots of lines and circles in closed form, and where one site passes under the next; the higher of two envelopes."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.geometry.strategies import box, nose_tool, round_tool
from toolpath.geometry.crossing import crossing, roots
from toolpath.geometry.cutter import Touch, cutter
from toolpath.geometry.elements import Arc, Line, polyline
from toolpath.geometry.envelope import envelope
from toolpath.geometry.maximum import curves, maximum
from toolpath.geometry.sites import Curve, Site, sites, value

some = st.floats(-3.0, 3.0)


def line(a: tuple[float, float], b: tuple[float, float], touch: Touch = Touch.NOSE) -> Curve:
    return Curve(a[0], b[0], 0, a[1], (b[1] - a[1]) / (b[0] - a[0]), 0.0, touch, 0, False, a[1], b[1])


def circle(centre: tuple[float, float], radius: float, *, sense: int = 1) -> Curve:
    """A whole upper (+1) or lower (-1) half."""
    u, v = centre
    return Curve(u - radius, u + radius, sense, u, v, radius, Touch.NOSE, 0, False, v, v)


def site(*curves: Curve) -> Site:
    return Site(curves[0].u0, curves[-1].u1, curves)


# ---------------------------------------------------------------- roots


def test_a_line_meets_a_circle_where_pythagoras_has_it() -> None:
    """v = u / 2 from (0, 0) and the circle R 5 about (0, 0): u = +-5 * 2 / sqrt(5)."""
    found = roots(line((-9.0, -4.5), (9.0, 4.5)), circle((0.0, 0.0), 5.0))
    assert found == pytest.approx((-2.0 * math.sqrt(5.0), 2.0 * math.sqrt(5.0)), abs=1e-12)


def test_a_steep_line_beside_the_centre() -> None:
    """v = 3 u + 1 and R 2 about (1, 2): 10 u^2 - 8 u - 2 = 0, so u = -0.2 and u = 1."""
    found = roots(circle((1.0, 2.0), 2.0), line((0.0, 1.0), (2.0, 7.0)))
    assert found == pytest.approx((-0.2, 1.0), abs=1e-12)


def test_two_circles_meet_twice() -> None:
    """R 5 about (0, 0) and R 5 about (6, 8) meet on the line between (3, 4) -+ 0 (tangent outside), R 13 about (14, 0)
    and R 15 about (0, 0) at u = 9 twice (the 13-14-15 triangle, height 12)."""
    assert roots(circle((0.0, 0.0), 5.0), circle((6.0, 8.0), 5.0)) == pytest.approx((3.0, 3.0), abs=1e-7)
    assert roots(circle((0.0, 0.0), 15.0), circle((14.0, 0.0), 13.0)) == pytest.approx((9.0, 9.0), abs=1e-12)
    # Turned by 90 degrees they lie 24 apart in u.
    assert roots(circle((0.0, 0.0), 15.0), circle((0.0, 14.0), 13.0)) == pytest.approx((-12.0, 12.0), abs=1e-12)
    assert roots(circle((0.0, 14.0), 13.0), circle((0.0, 0.0), 15.0)) == pytest.approx((-12.0, 12.0), abs=1e-12)


def test_what_does_not_meet_has_no_root() -> None:
    assert roots(line((0.0, 6.0), (9.0, 6.0)), circle((0.0, 0.0), 5.0)) == ()
    assert roots(circle((0.0, 0.0), 1.0), circle((9.0, 0.0), 1.0)) == ()
    assert roots(circle((0.0, 0.0), 1.0), circle((0.0, 0.0), 1.0)) == ()
    assert roots(line((0.0, 0.0), (1.0, 1.0)), line((3.0, 0.0), (4.0, 1.0))) == ()


@given(some, some, some, some, some)
@settings(max_examples=60, deadline=None)
def test_roots_lie_on_both(a: float, m: float, at: float, n: float, c: float) -> None:
    """Whatever two curves: at every root both have one height, on the upper or the lower half of a circle."""
    first, second = line((at, a), (at + 1.0, a + m)), line((c, n), (c + 2.0, n + 1.0))
    ball, other = circle((c, a), 2.0), circle((at, n), 1.5)
    for p, q in ((first, second), (first, ball), (ball, second), (ball, other)):
        for u in roots(p, q):
            if abs(u) < 1e4:
                assert min(abs(x - y) for x in both(p, u) for y in both(q, u)) <= 1e-6


def both(k: Curve, u: float) -> list[float]:
    """Both heights of a circle at u, the one of a line."""
    if k.sense == 0:
        return [k.a + k.b * (u - k.u0)]
    h = math.sqrt(max(k.c**2 - (u - k.a) ** 2, 0.0))
    return [k.b + h, k.b - h]


# ---------------------------------------------------------------- sites


def test_a_site_that_starts_above_is_on_top_from_there() -> None:
    low, high = site(line((0.0, 0.0), (10.0, -10.0))), site(line((2.0, 5.0), (12.0, 5.0)))
    assert crossing(low, high, 10.0) == 2.0


def test_a_site_that_stays_below_comes_after_the_other_ends() -> None:
    high, low = site(line((0.0, 5.0), (10.0, 5.0))), site(line((2.0, 0.0), (12.0, 1.0)))
    assert crossing(high, low, 10.0) == 10.0
    assert crossing(site(line((0.0, 5.0), (1.0, 5.0))), low, 10.0) == 2.0


def test_sites_of_several_curves_cross_on_the_right_pair() -> None:
    """Down 0 to -8 in two steps against a rise from -9: they cross on the second of the one, the first of the other."""
    falls = site(line((0.0, 0.0), (4.0, -2.0)), line((4.0, -2.0), (8.0, -8.0)))
    rises = site(line((1.0, -9.0), (7.0, -3.0)), line((7.0, -3.0), (9.0, -3.0)))
    # -2 - 1.5 (u - 4) = -10 + u  at  u = 14 / 2.5
    assert crossing(falls, rises, 10.0) == pytest.approx(5.6, abs=1e-12)


@pytest.mark.parametrize("scale", [1.0, 1000.0])
def test_one_line_twice_goes_to_the_nose(scale: float) -> None:
    """Two stretches of one line: the nose has it, from its first point if it comes second, to its last if first."""
    a, b, c, d = ((k * scale, k * scale) for k in (0.0, 3.0, 1.0, 4.0))
    assert crossing(site(line(a, b, Touch.EDGE)), site(line(c, d)), scale) == c[0]
    assert crossing(site(line(a, b)), site(line(c, d, Touch.EDGE)), scale) == b[0]
    assert crossing(site(line(a, b, Touch.EDGE)), site(line(c, d, Touch.FLAT)), scale) == b[0]


def test_tangent_curves_cross_by_halving() -> None:
    """A line that touches a circle: roots lost to rounding, but the place is found."""
    ball, level = circle((0.0, 0.0), 5.0), line((-2.0, 5.0), (9.0, 5.0))
    assert abs(crossing(site(ball), site(level), 10.0)) <= 2.0
    u = crossing(site(line((-9.0, 5.0), (3.0, 5.0))), site(line((-1.0, 4.0), (9.0, 9.0))), 10.0)
    assert u == pytest.approx(1.0, abs=1e-12)


# ---------------------------------------------------------------- the higher of two


def test_the_higher_of_a_taper_and_a_ball() -> None:
    """Nose over a rising taper of 1:2, a shank over its far end: they change places where the taper meets the flat."""
    keep = polyline([(0.0, 0.0), (20.0, 10.0)])
    needle = cutter(polyline([(0.0, 0.0), (0.0, 40.0)], close=True))
    shank = cutter(box(2.0, 6.0, 3.0, high=30.0), fit_tolerance=0.0, holder=True)
    both_of = maximum(envelope(keep, needle), envelope(keep, shank), keep)
    # The shank's right corner rides on the taper 6 ahead and 3 up: E = (u + 6) / 2 - 3 = u / 2: level with the needle.
    assert [both_of.height(u) for u in (2.0, 8.0, 13.9)] == pytest.approx([1.0, 4.0, 6.95], abs=1e-12)
    # Its flat on the last corner, (20, 10): E = 10 - 3 = 7 from u = 14 to 18, against u / 2 of the needle there.
    assert [both_of.height(u) for u in (14.0, 15.0, 19.0)] == pytest.approx([7.0, 7.5, 9.5], abs=1e-12)


def test_the_higher_changes_hands_twice_on_one_pair_of_curves() -> None:
    """A nose of R 5 on a lone point, a shank of 4 wide that stands 1 up: its level line cuts the round twice."""
    keep = polyline([(0.0, 0.0), (1e-6, 0.0)])
    e = envelope(keep, cutter(round_tool(5.0), fit_tolerance=0.0))
    f = envelope(keep, cutter(box(-9.0, 9.0, 1.0), fit_tolerance=0.0, holder=True))
    top = maximum(e, f, keep)
    cut = 3.0  # on R 5 about (0, -5) at height -1: sqrt(25 - 16)
    assert [p.touch for p in top.pieces if p.path.length > 1e-3] == [Touch.HOLDER, Touch.NOSE, Touch.NOSE, Touch.HOLDER]
    assert top.pieces[0].path.b[0] == pytest.approx(-cut, abs=1e-9)
    assert top.pieces[-1].path.a[0] == pytest.approx(cut + 1e-6, abs=1e-9)
    assert (top.lo, top.hi) == (e.lo, e.hi)


def test_curves_of_an_envelope_are_its_pieces_without_the_jumps() -> None:
    keep = (
        *polyline([(0.0, 2.0), (5.0, 2.0), (5.0, 6.0), (8.0, 6.0)]),
        Arc((8.0, 6.0), (12.0, 6.0), (10.0, 6.0), math.pi),
        Line((12.0, 6.0), (20.0, 2.0)),
    )
    env = envelope(keep, cutter(nose_tool(0.4, (math.pi / 2.0, 2.0), tip=1), fit_tolerance=0.0))
    level = [p for p in env.pieces if not p.vertical]
    found = curves(env)
    assert len(found) == len(level) < len(env.pieces)
    for p, k in zip(level, found, strict=True):
        assert (k.touch, k.element, k.corner) == (p.touch, p.element, p.corner)
        for t in (0.0, 0.3, 0.6, 1.0):
            u, v = p.path.point_at(t)
            assert value(k, u) == pytest.approx(v, abs=1e-9)


@given(lean=st.floats(-1.2, 1.0), turn=st.floats(-0.6, 0.6), short=st.floats(1e-3, 5.0))
def test_where_the_walk_begins_changes_nothing(lean: float, turn: float, short: float) -> None:
    """Two lines that meet at any angle under a nose: from its own first curve or from the left end, one crossing."""
    a, b = (0.0, 0.0), (short * math.cos(lean), short * math.sin(lean))
    heading = min(max(lean + turn, -1.4), 1.4)
    keep = (Line(a, b), Line(b, (b[0] + 3.0 * math.cos(heading), b[1] + 3.0 * math.sin(heading))))
    cut = cutter(nose_tool(0.4, (math.radians(60.0), math.radians(95.0)), tip=-1, long=(9.0, 9.0)), fit_tolerance=0.0)
    first, second = sites(keep, cut, flat_tolerance=1e-9)
    assert first.own > 0 and not first.curves[first.own].corner and first.curves[first.own - 1].corner
    whole = crossing(replace(first, own=0), second, 10.0)
    found = crossing(first, second, 10.0)
    if abs(found - whole) > 1e-9:  # both lie on one round between the two: the height there is the same
        assert value_at(first, found) == pytest.approx(value_at(second, found), abs=1e-9)
        assert value_at(first, whole) == pytest.approx(value_at(second, whole), abs=1e-9)


def value_at(s: Site, u: float) -> float:
    return next(value(k, u) for k in s.curves if k.u0 <= u <= k.u1)
