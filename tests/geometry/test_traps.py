"""Each way in which a kernel of this kind goes wrong, by name: closed forms, and what must hold beside them.

Lengths are mm, in the approach frame (u, v) unless a test says that it draws at the lathe. Closed forms are plane
geometry, worked out beside each check. More of the same traps, over random work: `test_envelope.py`.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.geometry.strategies import Frame as Drawn
from tests.geometry.strategies import arc_from_chord, blade, mirrored, nose_tool, round_tool
from tests.geometry.test_envelope import agree, exact
from toolpath.geometry.cutter import FIT_TOLERANCE, Touch, cutter
from toolpath.geometry.elements import Arc, Chain, Line, arc_about, polyline, reverse, signed_area
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.geometry.frame import FACE, INSIDE, OUTSIDE, Frame
from toolpath.geometry.uncut import closing, uncut

RAD = math.radians
UPRIGHT = RAD(90.0)
FRAMES = {"outside": OUTSIDE, "inside": INSIDE, "face": FACE}
SIDES = [(name, hand) for name in FRAMES for hand in (False, True)]
at_every_side = pytest.mark.parametrize(("name", "hand"), SIDES)


def at_the_lathe(name: str, keep: Chain, tool: Chain, *, hand: bool) -> tuple[Frame, Chain, Chain]:
    """Work and tool drawn in (z, x) for that frame and hand, by the tests' own map; the frame that should undo it."""
    frame = FRAMES[name].mirrored() if hand else FRAMES[name]
    work, drawn = (mirrored(keep), mirrored(tool)) if hand else (keep, tool)
    work, drawn = Drawn(name).out_of(work), Drawn(name).out_of(drawn)
    return frame, reverse(work) if hand else work, drawn if signed_area(drawn) > 0.0 else reverse(drawn)


def seen(name: str, keep: Chain, tool: Chain, *, hand: bool) -> Envelope:
    """The envelope of work and tool drawn at the lathe, found in the frame they belong to."""
    frame, work, drawn = at_the_lathe(name, keep, tool, hand=hand)
    return envelope(frame.chain(work), cutter(frame.outline(drawn)))


def left_over(keep: Chain, tool: Chain) -> list[float]:
    """Areas that stay uncut, from left to right."""
    cut = cutter(tool, fit_tolerance=0.0)
    return [abs(signed_area(r.outline)) for r in uncut(envelope(keep, cut), keep, cut, least=1e-6)]


# ---------------------------------------------------------------- exact fit


@at_every_side
@pytest.mark.parametrize("wrong", [0.0, 1e-11, -1e-11, 1e-9, -1e-9])
@pytest.mark.parametrize("corners", [(0.0, 0.0), (0.2, 0.2), (1.0, 1.0)])
def test_exact_fit_of_a_blade_in_its_groove(name: str, hand: bool, wrong: float, corners: tuple[float, float]) -> None:
    """A blade of 2 in a groove of 2, 3 deep, on whichever side of the work: it reaches the floor and leaves nothing."""
    right = 6.0 + wrong
    keep = polyline([(0.0, 9.0), (4.0, 9.0), (4.0, 6.0), (right, 6.0), (right, 9.0), (12.0, 9.0)])
    env = seen(name, keep, blade(2.0, corners), hand=hand)
    assert min(env.height(4.0 + d) for d in np.linspace(-2e-6, 2e-6, 81)) == pytest.approx(6.0, abs=2e-6)
    # 0.1 aside the rim stands under the corner's round.
    r = corners[0]
    under = r - math.sqrt(r * r - (r - 0.1) ** 2) if r > 0.1 else 0.0
    assert [env.height(u) for u in (3.9, 4.1)] == pytest.approx([9.0 - under] * 2, abs=1e-5)


@pytest.mark.parametrize("fit", [0.0, FIT_TOLERANCE])
def test_exact_fit_of_a_nose_in_a_hollow_of_its_own_radius(fit: float) -> None:
    """R 1 in a half-round groove of R 1: its lowest point comes down to the floor, in one place only."""
    keep = (
        Line((-9.0, 5.0), (-1.0, 5.0)),
        arc_about((0.0, 5.0), (-1.0, 5.0), (1.0, 5.0), ccw=True),
        Line((1.0, 5.0), (9.0, 5.0)),
    )
    cut = cutter(round_tool(1.0), fit_tolerance=fit)
    env = envelope(keep, cut)
    assert env.height(0.0) == pytest.approx(4.0, abs=2e-6)
    assert env.height(0.1) == pytest.approx(5.0 - 1.0 + math.sqrt(1.0 - 0.9**2), abs=2e-3)
    assert [r.thick for r in uncut(env, keep, cut, least=1e-5)] == []


def test_exact_fit_lost_by_more_than_the_tolerance_stays_out() -> None:
    """A groove 3e-6 narrower than its blade is too narrow: the tolerance is no licence to force it."""
    right = 6.0 - 3e-6
    keep = polyline([(0.0, 9.0), (4.0, 9.0), (4.0, 6.0), (right, 6.0), (right, 9.0), (12.0, 9.0)])
    env = envelope(keep, cutter(blade(2.0, (0.0, 0.0))))
    assert min(env.height(4.0 + d) for d in np.linspace(-4e-6, 4e-6, 161)) == 9.0


# ---------------------------------------------------------------- truncated site


@pytest.mark.parametrize("hand", [False, True])
def test_truncated_site_of_a_post_comes_back_behind_lower_ones(hand: bool) -> None:
    """A post 6 high, five of 0.1 beside it: a round R 4 is on the tall one's rim wherever its circle is the higher.

    Cut off where the first low post takes over, the rim's circle would be missed between the low ones.
    """
    posts = [(0.0, 0.0), (5.0, 0.0), (5.0, 6.0), (5.2, 6.0), (5.2, 0.0)]
    posts += [p for k in range(5) for p in ((6.0 + k, 0.0), (6.0 + k, 0.1), (6.1 + k, 0.1), (6.1 + k, 0.0))]
    keep, tool = polyline([*posts, (16.0, 0.0)]), round_tool(4.0)
    if hand:
        keep = mirrored(keep)
    env = exact(keep, tool)
    sign = -1.0 if hand else 1.0
    for u in np.linspace(5.3, 9.0, 30):
        assert env.height(sign * float(u)) == pytest.approx(2.0 + math.sqrt(16.0 - (u - 5.2) ** 2), abs=1e-9)
    agree(keep, [tool], env, 1e-7)


def test_truncated_site_of_an_edge_shades_one_post_after_another() -> None:
    """An edge at 30 deg on a rim 8 high reaches 13.86 mm on; the posts of 3 under it touch nothing but the last."""
    walls = [(0.0, 8.0), (1.0, 8.0), (1.0, 0.0)]
    walls += [p for k in (3.0, 5.0, 7.0, 9.0) for p in ((k, 0.0), (k, 3.0), (k + 0.5, 3.0), (k + 0.5, 0.0))]
    keep = polyline([*walls, (30.0, 0.0)])
    tool = nose_tool(0.0, (RAD(60.0), RAD(150.0)), tip=1, long=(40.0, 40.0))
    env = exact(keep, tool)
    slope = math.tan(RAD(30.0))
    for u in (1.5, 4.0, 6.0, 8.0, 9.4):
        assert env.height(u) == pytest.approx(8.0 - (u - 1.0) * slope, abs=1e-9)
    assert 8.0 - 8.5 * slope > 3.0
    assert env.height(1.0 + 8.0 / slope + 1e-6) == pytest.approx(0.0, abs=1e-9)
    agree(keep, [tool], env, 1e-7)


# ---------------------------------------------------------------- wrong root


def test_wrong_root_of_two_circles_that_cross_twice() -> None:
    """Balls R 2 and R 1 side by side under a nose of 0.5: nose circles 2.5 and 1.5 about (2, 0) and (5, 0) cross at
    u = 25/6 above and below; only above are both on their branch."""
    keep = (arc_from_chord((0.0, 0.0), (4.0, 0.0), UPRIGHT), arc_from_chord((4.0, 0.0), (6.0, 0.0), UPRIGHT))
    env = exact(keep, round_tool(0.5))
    cross = 25.0 / 6.0
    assert [e.b[0] for e in env.path if 2.0 < e.b[0] < 6.0] == pytest.approx([cross], abs=1e-12)
    assert env.height(cross) == pytest.approx(math.sqrt(2.5**2 - (cross - 2.0) ** 2) - 0.5, abs=1e-12)


def test_wrong_root_where_a_line_meets_a_circle_twice_within_reach() -> None:
    """A ball R 3 on a taper falling at 20 deg from above its middle: the taper's line crosses the nose circle twice in
    the span of both, and only the second crossing is where the taper comes out from under the ball."""
    slope = math.tan(RAD(20.0))
    ball = arc_from_chord((-3.0, 0.0), (3.0, 0.0), UPRIGHT)
    keep = (
        Line((-8.0, 0.0), (-3.0, 0.0)),
        ball,
        Line((3.0, 0.0), (3.0, 2.5)),
        Line((3.0, 2.5), (9.0, 2.5 - 6 * slope)),
    )
    tool = round_tool(1.0)
    env = exact(keep, tool)
    agree(keep, [tool], env, 1e-7)
    # The nose centre runs on R 4 about (0, 0), then R 1 about the corner (3, 2.5), then beside the taper.
    du, dv = 3.0, 2.5
    along = (16.0 - 1.0 + du * du + dv * dv) / (2.0 * math.hypot(du, dv))
    aside = math.sqrt(16.0 - along * along)
    n = math.hypot(du, dv)
    cross = (along * du - aside * dv) / n
    assert min(abs(e.b[0] - cross) for e in env.path) <= 1e-12
    assert env.height(cross) == pytest.approx((along * dv + aside * du) / n - 1.0, abs=1e-9)


def test_wrong_root_of_a_hollow_and_a_ball() -> None:
    """A cup and a cap side by side: one on its lower branch, the other on its upper, and they meet once."""
    cup = arc_from_chord((0.0, 4.0), (6.0, 4.0), -RAD(80.0))
    cap = arc_from_chord((6.0, 4.0), (10.0, 4.0), RAD(85.0))
    keep, tool = (Line((-3.0, 4.0), (0.0, 4.0)), cup, cap, Line((10.0, 4.0), (13.0, 4.0))), round_tool(0.7)
    agree(keep, [tool], exact(keep, tool), 1e-7)


# ---------------------------------------------------------------- leave-on at a shoulder


@at_every_side
def test_leave_on_at_a_shoulder(name: str, hand: bool) -> None:
    """0.1 along and 0.2 away: the shoulder keeps its 0.1, which lifting the path by 0.2 would not give."""
    keep = polyline([(0.0, 8.0), (5.0, 8.0), (5.0, 3.0), (20.0, 3.0)])
    tool = nose_tool(0.4, (RAD(60.0), UPRIGHT), tip=-1, long=(20.0, 20.0))
    frame, work, drawn = at_the_lathe(name, keep, tool, hand=hand)
    env = envelope(frame.chain(work), cutter(frame.outline(drawn), fit_tolerance=0.0).leaving(0.1, 0.2))
    # Beside the rim the nose rolls off a quarter, to where its middle is level with what is left: 0.4 lower.
    assert [env.height(u) for u in (4.0, 5.1 - 0.4, 12.0)] == pytest.approx([8.2, 8.2, 3.2], abs=1e-9)
    (wall,) = [p.path for p in env.pieces if p.vertical]
    assert (wall.a, wall.b) == (pytest.approx((5.1, 7.8), abs=1e-6), pytest.approx((5.1, 3.2), abs=1e-9))


def test_leave_on_away_alone_leaves_nothing_on_a_shoulder() -> None:
    keep = polyline([(0.0, 8.0), (5.0, 8.0), (5.0, 3.0), (20.0, 3.0)])
    env = envelope(keep, cutter(blade(3.0, (0.0, 0.0)), fit_tolerance=0.0).leaving(0.0, 0.2))
    assert env.height(5.0 + 1e-9) == pytest.approx(3.2, abs=1e-12)
    assert env.height(5.0 - 1e-9) == pytest.approx(8.2, abs=1e-12)


def test_leave_on_of_a_round_is_drawn_apart_at_its_lowest_point() -> None:
    """A ball R 2 plus 0.3 to both sides: over a lone corner the path is two quarters with 0.6 level between."""
    keep = polyline([(0.0, 5.0), (1e-3, 5.0)])
    env = envelope(keep, cutter(round_tool(2.0), fit_tolerance=0.0).leaving(0.3, 0.1))
    assert (env.lo, env.hi) == pytest.approx((-2.3, 2.301), abs=1e-12)
    assert [env.height(u) for u in (-0.3, 0.0, 0.301)] == pytest.approx([5.1] * 3, abs=1e-12)
    assert env.height(-1.3) == pytest.approx(3.1 + math.sqrt(3.0), abs=1e-12)
    assert env.height(1.301) == pytest.approx(3.1 + math.sqrt(3.0), abs=1e-12)


# ---------------------------------------------------------------- steep edge, walls steeper than the edge


@pytest.mark.parametrize("over", [-1e-3, -1e-6, 0.0, 1e-6, 1e-3])
def test_steep_edge_beside_a_taper_of_nearly_its_own_slope(over: float) -> None:
    """A wall at 50 deg and an edge at 50 deg + `over`: flatter walls are the nose's, steeper ones only their rim's."""
    wall = RAD(50.0)
    keep = polyline([(0.0, 1.0), (5.0, 1.0), (5.0 + 4.0 / math.tan(wall), 5.0), (15.0, 5.0)])
    env = exact(keep, nose_tool(0.4, (wall + over, RAD(95.0)), tip=-1, long=(20.0, 20.0)))
    on_wall = [p for p in env.pieces if p.element == 1 and not p.corner]
    if over >= 0.0:
        assert [p.touch for p in on_wall] == [Touch.NOSE]
        assert on_wall[0].path.tangent_at(0.5) == pytest.approx((math.cos(wall), math.sin(wall)), abs=1e-9)
    else:
        assert on_wall == []
        (shaded,) = [p for p in env.pieces if p.touch is Touch.EDGE and 0.0 < p.path.a[0] < 10.0]
        assert (shaded.element, shaded.corner) == (2, True)
        assert shaded.path.length > 4.9


@pytest.mark.parametrize("edge", [20.0, 45.0, 70.0])
@pytest.mark.parametrize("wall", [75.0, 90.0])
def test_steep_edge_wall_steeper_than_it_keeps_a_triangle(edge: float, wall: float) -> None:
    """h = 3; between wall and edge lies h^2/2 (1/tan edge - 1/tan wall) of metal, thick as the foot is off the edge."""
    run = 3.0 / math.tan(RAD(wall)) if wall < 90.0 else 0.0
    keep = polyline([(0.0, 2.0), (15.0, 2.0), (15.0 + run, 5.0), (25.0, 5.0)])
    cut = cutter(nose_tool(0.0, (RAD(edge), UPRIGHT), tip=-1, long=(40.0, 40.0)), fit_tolerance=0.0)
    (shade,) = uncut(envelope(keep, cut), keep, cut)
    base = 3.0 / math.tan(RAD(edge)) - run
    assert abs(signed_area(shade.outline)) == pytest.approx(1.5 * base, abs=1e-9)
    assert shade.thick == pytest.approx(base * math.sin(RAD(edge)), abs=1e-6)
    assert (shade.touch, shade.at) == (Touch.EDGE, pytest.approx((15.0, 2.0), abs=1e-9))


def test_steep_edge_leaning_past_the_approach_counts_as_parallel() -> None:
    """80 deg behind the point, under a wall: nothing could come out that went in, so it is as good as upright."""
    keep = polyline([(0.0, 8.0), (5.0, 8.0), (5.0, 3.0), (20.0, 3.0)])
    lean, plumb = (exact(keep, nose_tool(0.4, (RAD(60.0), RAD(w)), tip=-1, long=(20.0, 20.0))) for w in (80.0, 90.0))
    for u in np.linspace(5.0 + 1e-9, 12.0, 40):
        assert lean.height(float(u)) == pytest.approx(plumb.height(float(u)), abs=1e-9)


# ---------------------------------------------------------------- end of profile


def test_end_of_profile_is_a_corner_that_the_tool_goes_round() -> None:
    """Beyond the last point the nose rolls off its corner: there is no floor below that, and no wall beside it."""
    keep = polyline([(0.0, 5.0), (10.0, 5.0)])
    env = exact(keep, round_tool(2.0))
    assert (env.lo, env.hi) == (-2.0, 12.0)
    for d in (0.5, 1.0, 1.9, 2.0):
        down = 3.0 + math.sqrt(4.0 - d * d)
        assert (env.height(10.0 + d), env.height(-d)) == pytest.approx((down, down), abs=1e-9)
    assert env.height(12.0 + 1e-9) == env.height(-2.0 - 1e-9) == -math.inf
    ends = [(p.element, p.corner) for p in env.pieces]
    assert ends == [(0, True), (0, False), (1, True)]


@pytest.mark.parametrize("up", [True, False])
def test_end_of_profile_in_a_wall_is_its_upper_end(up: bool) -> None:
    """A face at the end of the rows, going up or down: what the tool feels past it is the upper end alone."""
    top = 9.0 if up else 5.0
    keep = polyline([(0.0, 5.0), (10.0, 5.0), (10.0, 9.0 if up else 1.0)])
    env = exact(keep, round_tool(2.0))
    for d in (0.5, 1.0, 1.9):
        assert env.height(10.0 + d) == pytest.approx(top - 2.0 + math.sqrt(4.0 - d * d), abs=1e-9)
    assert env.hi == pytest.approx(12.0)
    agree(keep, [round_tool(2.0)], env, 1e-7)
    flipped = exact(mirrored(keep), round_tool(2.0))
    agree(mirrored(keep), [round_tool(2.0)], flipped, 1e-7)


def test_end_of_profile_stays_where_it_is_in_what_stands() -> None:
    """A tool wider than all of the work leaves its ends alone: what stands begins and ends where the work does."""
    keep = polyline([(0.0, 5.0), (2.0, 5.0), (2.0, 3.0), (3.0, 3.0), (3.0, 5.0), (4.0, 5.0)])
    cut = cutter(round_tool(30.0), fit_tolerance=0.0)
    stands = closing(envelope(keep, cut), keep, cut)
    assert (stands[0].a, stands[-1].b) == ((0.0, 5.0), (4.0, 5.0))
    sag = 30.0 - math.sqrt(900.0 - 0.25)
    assert min(e.point_at(0.5)[1] for e in stands) == pytest.approx(5.0 - sag, abs=1e-9)


# ---------------------------------------------------------------- near-coincident corners


@pytest.mark.parametrize("step", [(1e-9, 0.0), (0.0, 1e-9), (1e-9, 1e-9), (1e-7, -1e-8), (1e-10, 1e-7), (0.0, -1e-7)])
@pytest.mark.parametrize(
    "tool", [round_tool(0.8), nose_tool(0.0, (RAD(40.0), RAD(95.0)), tip=-1), blade(2.0, (0.2, 0.2))]
)
def test_near_coincident_corners_are_as_good_as_one(step: tuple[float, float], tool: Chain) -> None:
    """A step of next to nothing at the foot, at the rim and on a taper moves the path by no more than itself."""
    plain = [(0.0, 2.0), (5.0, 2.0), (5.0, 6.0), (9.0, 6.0), (14.0, 3.0), (20.0, 3.0)]
    for k in range(1, len(plain) - 1):
        p = plain[k]
        more = [*plain[: k + 1], (p[0] + step[0], p[1] + step[1]), *plain[k + 1 :]]
        if k == 1:  # the wall is to stay one-valued: its foot goes with its top
            more[k + 2] = (max(more[k + 1][0], plain[k + 1][0]), plain[k + 1][1])
        env = exact(polyline(more), tool)
        agree(polyline(more), [tool], env, 1e-7)
        bare = exact(polyline(plain), tool)
        for u in np.linspace(-0.5, 19.0, 79):
            if abs(u - 5.0) > 1e-3 and abs(u - 3.0) > 1e-3:
                assert env.height(float(u)) == pytest.approx(bare.height(float(u)), abs=1e-6)


def test_near_coincident_circles_have_no_crossing_worth_the_name() -> None:
    """Two arcs of one ball, their centres 1e-12 apart: one circle, whichever rounding says of where they cross."""
    w = RAD(60.0)
    a, m, b = (-4.0 * math.sin(w), 4.0 * math.cos(w)), (1e-12, 4.0), (4.0 * math.sin(w), 4.0 * math.cos(w))
    keep = (Arc(a, m, (0.0, 0.0), -w), Arc(m, b, (1e-12, 0.0), -w))
    env = exact(keep, round_tool(1.0))
    for u in np.linspace(-4.0, 4.0, 41):
        assert env.height(float(u)) == pytest.approx(math.sqrt(25.0 - u * u) - 1.0, abs=1e-9)


# ---------------------------------------------------------------- arcs smaller than the nose


@pytest.mark.parametrize(("fillet", "nose"), [(0.3, 0.8), (0.79, 0.8), (0.0, 0.8), (0.8, 0.8), (0.81, 0.8)])
def test_arcs_smaller_than_the_nose_in_a_corner(fillet: float, nose: float) -> None:
    """In the foot of a shoulder stays what the nose leaves and the fillet has not: (r^2 - f^2) (1 - pi/4)."""
    foot = ()
    if fillet:
        foot = (arc_about((5.0 + fillet, 2.0 + fillet), (5.0, 2.0 + fillet), (5.0 + fillet, 2.0), ccw=True),)
    keep = (
        *polyline([(0.0, 7.0), (5.0, 7.0), (5.0, 2.0 + fillet)]),
        *foot,
        Line((5.0 + fillet, 2.0), (15.0, 2.0)),
    )
    tool = nose_tool(nose, (RAD(50.0), UPRIGHT), tip=-1, long=(20.0, 20.0))
    stays = max(0.0, nose**2 - fillet**2) * (1.0 - math.pi / 4.0)
    assert sum(left_over(keep, tool)) == pytest.approx(stays, abs=1e-7)
    agree(keep, [tool], exact(keep, tool), 1e-7)


@pytest.mark.parametrize("edge", [1e-4, 0.05, 0.2])
def test_arcs_smaller_than_the_nose_on_an_edge(edge: float) -> None:
    """A broken edge R 0.05 under a nose of 0.8: the nose's path rounds it with both radii, and nothing stays."""
    centre = (5.0 - edge, 7.0 - edge)
    rounded = arc_about(centre, (5.0 - edge, 7.0), (5.0, 7.0 - edge), ccw=False)
    keep = (Line((0.0, 7.0), rounded.a), rounded, Line(rounded.b, (5.0, 2.0)), Line((5.0, 2.0), (15.0, 2.0)))
    env = exact(keep, round_tool(0.8))
    (turn,) = [p.path for p in env.pieces if isinstance(p.path, Arc) and p.element == 1 and not p.corner]
    assert turn.radius == pytest.approx(0.8 + edge, abs=1e-9)
    assert turn.centre == pytest.approx((centre[0], centre[1] - 0.8), abs=1e-9)
    assert turn.sweep == pytest.approx(-UPRIGHT, abs=1e-6)


# ---------------------------------------------------------------- vertical walls


@at_every_side
def test_vertical_walls_are_followed_at_the_noses_radius(name: str, hand: bool) -> None:
    """Up one wall and down the other: the centre stays R off both, and each jump names its wall."""
    keep = polyline([(0.0, 2.0), (10.0, 2.0), (10.0, 6.0), (20.0, 6.0), (20.0, 2.0), (30.0, 2.0)])
    env = seen(name, keep, round_tool(0.5), hand=hand)
    walls = [p for p in env.pieces if p.vertical]
    assert [p.path.a[0] for p in walls] == pytest.approx([9.5, 20.5], abs=2e-6)
    assert [(p.element, p.corner, p.touch) for p in walls] == [(1, False, Touch.NOSE), (3, False, Touch.NOSE)]
    # The nose leaves the wall where its middle is level with the rim: its lowest point stands R below.
    assert [sorted((p.path.a[1], p.path.b[1])) for p in walls] == [pytest.approx([2.0, 5.5], abs=2e-6)] * 2


def test_vertical_walls_between_hollow_and_round_are_tangent_all_the_way() -> None:
    """Cove R 1, wall, round R 1: for a nose of 0.4 the path is R 0.6, wall, R 1.4, without a break or a leftover."""
    keep = (
        Line((-5.0, 1.0), (0.0, 1.0)),
        arc_about((0.0, 2.0), (0.0, 1.0), (1.0, 2.0), ccw=True),
        Line((1.0, 2.0), (1.0, 5.0)),
        arc_about((2.0, 5.0), (1.0, 5.0), (2.0, 6.0), ccw=False),
        Line((2.0, 6.0), (9.0, 6.0)),
    )
    env = exact(keep, round_tool(0.4))
    assert left_over(keep, round_tool(0.4)) == []
    # Where one tangent surface passes into the next rounding may put a sliver between them.
    whole = [p.path for p in env.pieces if p.path.length > 1e-6]
    radii = [e.radius if isinstance(e, Arc) else 0.0 for e in whole]
    assert radii[1:] == pytest.approx([0.0, 0.6, 0.0, 1.4, 0.0, 0.4], abs=1e-9)
    (wall,) = [p for p in env.pieces if p.vertical]
    assert (wall.path.a, wall.path.b) == (pytest.approx((0.6, 1.6), abs=1e-9), pytest.approx((0.6, 4.6), abs=1e-9))


# ---------------------------------------------------------------- several valleys


def test_several_valleys_each_as_if_it_were_alone() -> None:
    """Square, V and half-round valleys with 6 mm of cylinder between: one's leftovers do not know of the others."""
    valleys: list[Chain] = [
        polyline([(0.0, 8.0), (0.0, 5.0), (5.0, 5.0), (5.0, 8.0)]),
        polyline([(0.0, 8.0), (3.0, 4.0), (6.0, 8.0)]),
        (arc_about((3.0, 8.0), (0.0, 8.0), (6.0, 8.0), ccw=True),),
    ]
    tool = nose_tool(0.4, (RAD(45.0), RAD(135.0)), tip=0, long=(30.0, 30.0))
    alone: list[float] = []
    run: list = [Line((-6.0, 8.0), (0.0, 8.0))]
    for v in valleys:
        end = v[-1].b
        alone += left_over((Line((-6.0, 8.0), (0.0, 8.0)), *v, Line(end, (end[0] + 6.0, 8.0))), tool)
        at = run[-1].b[0]
        run += [e.moved((at, 0.0)) for e in v]
        run.append(Line(run[-1].b, (run[-1].b[0] + 6.0, 8.0)))
    keep: Chain = tuple(run)
    assert len(alone) == 3
    assert left_over(keep, tool) == pytest.approx(alone, abs=1e-9)
    agree(keep, [tool], exact(keep, tool), 1e-7)
    # In the square one both edges ride on the rims: where they meet is 2.5 deep, and the nose ends before that.
    env = exact(keep, tool)
    lowest = env.height(2.5)
    reach = 0.4 * (math.sqrt(2.0) - 1.0)  # how far the nose's lowest point stands above where its edges would meet
    assert lowest == pytest.approx(8.0 - 2.5 + reach, abs=1e-9)
