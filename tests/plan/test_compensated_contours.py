"""Two roads to where the tip goes along a contour: the control's, as the reader works it out move by move from the
written text, and the kernel's, the envelope of a bare nose over the same contour. They share lines and arcs alone.
"""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from posts.reader import read
from posts.writer import write
from tests.plan.workshop import words
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, arc_about, reverse
from toolpath.geometry.envelope import envelope
from toolpath.motion import (
    ArcCut,
    Compensation,
    Cut,
    Dwell,
    End,
    Feed,
    FeedMode,
    Move,
    Operation,
    Program,
    Rapid,
    Sense,
    Side,
    Spindle,
    SpindleChange,
    State,
    Step,
    ToolCall,
)

DIGITS = 2.5e-3
"""mm: places in the text lie up to half a last digit (0.001 mm) off on each axis; at an inner corner of up to 120
degrees, where two shifted neighbours cross, up to twice that, and as much again in the shape of an arc."""

TIPS = {(-1, -1): "outside", (0, -1): "neutral"}


def nose(r: float, tip: Point) -> Chain:
    """A whole disc, relative to the imaginary tip."""
    z, x = -r * tip[0], -r * tip[1]
    return (
        arc_about((z, x), (z + r, x), (z - r, x), ccw=True),
        arc_about((z, x), (z - r, x), (z + r, x), ccw=True),
    )


@st.composite
def contours(draw: st.DrawFn, r: float) -> Chain:
    """Left to right: lines of up to 60 degrees, each long enough for the nose, some corners rounded by tangent arcs."""
    n = draw(st.integers(2, 7))
    slopes = [math.radians(draw(st.integers(-60, 60))) for _ in range(n)]
    at: Point = (-60.0, 40.0)
    points = [at]
    for w in slopes:
        length = r * draw(st.floats(4.5, 9.0)) + draw(st.floats(2.0, 6.0))
        at = (at[0] + length * math.cos(w), at[1] + length * math.sin(w))
        points.append(at)
    out: list[Element] = []
    here = points[0]
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        turn = math.remainder(math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0]), math.tau)
        along = draw(st.floats(0.1, 0.45)) * min(math.dist(a, b), math.dist(b, c))
        radius = along / math.tan(abs(turn) / 2.0) if abs(turn) > 0.1 else 0.0
        if not draw(st.booleans()) or not (r + 0.05 < radius < 500.0 or (turn < 0.0 and 0.05 < radius < 500.0)):
            out.append(Line(here, b))
            here = b
            continue
        p, q = _towards(b, a, along), _towards(b, c, along)
        side = math.copysign(radius, turn)
        n_p = ((p[1] - b[1]) / along * side, -(p[0] - b[0]) / along * side)
        out += [Line(here, p), arc_about((p[0] + n_p[0], p[1] + n_p[1]), p, q, ccw=turn > 0.0)]
        here = q
    return (*out, Line(here, points[-1]))


def _towards(a: Point, b: Point, distance: float) -> Point:
    n = math.dist(a, b)
    return (a[0] + distance * (b[0] - a[0]) / n, a[1] + distance * (b[1] - a[1]) / n)


def program_of(contour: Chain, meant: Compensation) -> Program:
    """The contour as a finish pass, in the order of travel, with straight ways in and out."""
    spindle = Spindle(Sense.FORWARD, rpm=800.0)
    bare = State(1, 1, spindle, Feed(FeedMode.PER_TURN, 0.1), operation="finish")
    aside = State(1, 1, spindle, Feed(FeedMode.PER_TURN, 0.1), operation="finish", compensation=meant)
    r, (tz, tx) = meant.nose_radius, meant.tip
    (dz, dx), p = contour[0].tangent_at(0.0), contour[0].a
    s = 1.0 if meant.side is Side.RIGHT else -1.0
    centre = (p[0] + r * s * dx - (4.0 * r + 2.0) * dz, p[1] - r * s * dz - (4.0 * r + 2.0) * dx)
    begin = (centre[0] + r * tz, centre[1] + r * tx)
    end = contour[-1].b
    out = (end[0], end[1] + 4.0 * r + 2.0)
    steps: list[Step] = [
        ToolCall(begin, State(1, 1, operation="finish")),
        SpindleChange(begin, bare),
        Dwell(1.0, begin, bare),
        Cut(begin, p, aside),
    ]
    for e in contour:
        steps.append(Cut(e.a, e.b, aside) if isinstance(e, Line) else ArcCut(e.a, e.b, e.centre, e.sweep > 0.0, aside))
    steps += [Cut(end, out, bare), End(out, State(1, 1, operation="finish"))]
    return Program("Contour", (), (Operation("finish", tuple(steps)),), home=begin)


def tip_path(program: Program, meant: Compensation) -> Chain:
    """What the text comes to along the contour: without the rapids, the way in and the way out."""
    text = write(program, words()).text
    assert ("G42" if meant.side is Side.RIGHT else "G41") in text
    back = read(text, words(), noses={1: (meant.nose_radius, meant.tip)})
    moves = [s for s in back.steps if isinstance(s, Move) and not isinstance(s, Rapid)][1:-1]
    assert all(m.state.compensation is None for m in moves)
    for m, n in itertools.pairwise(moves):
        assert m.end == n.start
    return tuple(
        arc_about(m.centre, m.start, m.end, ccw=m.ccw) if isinstance(m, ArcCut) else Line(m.start, m.end) for m in moves
    )


def farthest(a: Chain, b: Chain) -> float:
    """Greatest distance of a point of `a` from `b`, sampled."""
    samples = [e.point_at(k / 12.0) for e in a for k in range(13)]
    return max(min(e.distance(p) for e in b) for p in samples)


@given(data=st.data(), r=st.sampled_from([0.2, 0.4, 0.8, 1.5]), tip=st.sampled_from(sorted(TIPS)))
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large], deadline=None)
def test_the_control_goes_where_the_kernel_says_the_nose_may_stand(
    data: st.DataObject, r: float, tip: tuple[int, int]
) -> None:
    profile = data.draw(contours(r))
    env = envelope(profile, cutter(nose(r, tip), fit_tolerance=0.0))
    got = reverse(tip_path(program_of(reverse(profile), Compensation(Side.RIGHT, r, tip)), _right(r, tip)))
    lo, hi = got[0].a[0], got[-1].b[0]
    allowed = tuple(e for p in env.pieces for e in _inside(p.path, lo, hi))
    assert farthest(got, allowed) < DIGITS
    assert farthest(allowed, got) < DIGITS


@given(data=st.data(), r=st.sampled_from([0.4, 0.8]))
@settings(max_examples=20, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large], deadline=None)
def test_a_contour_away_from_the_chuck_is_followed_on_the_left(data: st.DataObject, r: float) -> None:
    profile = data.draw(contours(r))
    meant = Compensation(Side.LEFT, r, (1, -1))
    env = envelope(profile, cutter(nose(r, (1, -1)), fit_tolerance=0.0))
    got = tip_path(program_of(profile, meant), meant)
    lo, hi = got[0].a[0], got[-1].b[0]
    allowed = tuple(e for p in env.pieces for e in _inside(p.path, lo, hi))
    assert farthest(got, allowed) < DIGITS
    assert farthest(allowed, got) < DIGITS


def _right(r: float, tip: tuple[int, int]) -> Compensation:
    return Compensation(Side.RIGHT, r, tip)


def _inside(e: Element, lo: float, hi: float) -> Chain:
    """The stretch of a left-to-right element between two places."""
    if e.b[0] <= lo or e.a[0] >= hi:
        return ()
    if e.a[0] >= lo and e.b[0] <= hi:
        return (e,)
    if isinstance(e, Line):
        w = e.b[0] - e.a[0]
        return (e.part(max(0.0, (lo - e.a[0]) / w), min(1.0, (hi - e.a[0]) / w)),)
    at = [_at(e, u) for u in (max(lo, e.a[0]), min(hi, e.b[0]))]
    return (arc_about(e.centre, at[0], at[1], ccw=e.sweep > 0.0),)


def _at(e: Arc, u: float) -> Point:
    if u in (e.a[0], e.b[0]):
        return e.a if u == e.a[0] else e.b
    h = math.sqrt(e.radius**2 - (u - e.centre[0]) ** 2)
    return (u, e.centre[1] + (h if e.sweep < 0.0 else -h))


def test_the_wrong_side_is_seen() -> None:
    """The comparison can fail: left for right puts the tip two radii off."""
    profile: Chain = (Line((-20.0, 12.0), (-5.0, 12.0)), Line((-5.0, 12.0), (0.0, 10.0)))
    right = Compensation(Side.RIGHT, 0.4, (0, -1))
    left = Compensation(Side.LEFT, 0.4, (0, -1))
    env = envelope(profile, cutter(nose(0.4, (0, -1)), fit_tolerance=0.0))
    assert farthest(tip_path(program_of(reverse(profile), right), right), env.path) < DIGITS
    assert farthest(tip_path(program_of(reverse(profile), left), left), env.path) == pytest.approx(0.8, abs=0.1)
