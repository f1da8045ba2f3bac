"""Nose compensation as the reader makes it: published contours in, published places of the tip out; what is refused.

COURSE: a national vocational school's public CNC turning course (compensation part; exercise 1, slide 69). FORUM: a
machinists' forum thread on manual nose compensation, 2005. Places of the tip were worked out from them by the shift
formulas dz = r (1 - tan(theta/2)) at a cylinder, dx = r (1 - tan((90 - theta)/2)) at a face, checked by construction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from posts.compensation import Noses
from posts.reader import read
from tests.posts.common import G95, INCH_MODES, MODES, TURNING, moves_of
from toolpath.errors import BadInput
from toolpath.motion import ArcCut, Cut, Dwell, Move, Program, Rapid

OUTSIDE: Noses = {1: (0.8, (-1, -1))}
AWAY: Noses = {1: (0.8, (1, -1))}  # a left-hand tool, that feeds away from the chuck


def compensated(*blocks: str, noses: Noses | None = OUTSIDE, modes: str = MODES) -> Program:
    return read("\n".join([modes, TURNING, *blocks, "M30", ""]), G95, noses=noses)


def places(program: Program, unit: float = 1.0) -> list[tuple[float, float]]:
    """Where the moves lead, (diameter, z), to four places as the sources have them."""
    return [(round(2.0 * m.end[1] / unit, 4), round(m.end[0] / unit, 4)) for m in moves_of(program)]


# X30 Z0, X50 Z-10, X70 Z-10, G03 X80 Z-15 R5 with r 0.8. The way in lies on the taper carried on to the front.
COURSE_PART = (
    *("G00 X19.0627 Z5", "G42 G01 X26 Z2", "X50 Z-10", "X70", "G03 X80 Z-15 I0 K-5", "G01 Z-25"),
    "G40 X90 Z-20",
)


def test_the_course_part_comes_out_as_published() -> None:
    moves = moves_of(compensated(*COURSE_PART))
    ends = places(compensated(*COURSE_PART))
    assert ends[2:5] == [(49.0627, -10.0), (68.4, -10.0), (80.0, -15.8)]
    arc = moves[4]
    assert isinstance(arc, ArcCut) and arc.ccw
    assert (arc.centre[0] - arc.start[0], arc.centre[1] - arc.start[1]) == pytest.approx((-5.8, 0.0), abs=1e-6)
    # The first published place, X29.0627 Z0, is where the taper's way passes the face.
    a, b = moves[2].start, moves[2].end
    assert 2.0 * (a[1] + (0.0 - a[0]) / (b[0] - a[0]) * (b[1] - a[1])) == pytest.approx(29.0627, abs=1e-4)


def test_the_way_out_leads_from_the_tip_to_the_place_that_is_programmed() -> None:
    *_, last, out = moves_of(compensated(*COURSE_PART))
    assert last.end == pytest.approx((-25.8, 40.0))
    assert (out.start, out.end) == (last.end, (-20.0, 45.0))
    assert all(m.state.compensation is None for m in moves_of(compensated(*COURSE_PART)))


# From a taper of theta degrees off Z to a cylinder: r, theta, dz as published (the table of shifts).
SHIFTS = [
    *((0.8, 45, 0.4686), (0.8, 30, 0.5856), (0.8, 15, 0.6947), (0.8, 5, 0.7651)),
    *((0.4, 30, 0.2928), (0.4, 10, 0.365)),
]


@pytest.mark.parametrize("r, theta, dz", SHIFTS)
def test_a_taper_meets_a_cylinder_shifted_along_the_axis_as_published(r: float, theta: float, dz: float) -> None:
    t = math.tan(math.radians(theta))
    # The tip's way along the taper is shifted by dz along the axis, so the way in is the taper so shifted.
    start = (10.0 - dz, 2.0 * (15.0 - 10.0 * t))
    program = compensated(
        f"G00 X{start[1]:.4f} Z{start[0]:.4f}",
        f"G42 G01 X{2 * (15.0 - 2.0 * t):.6f} Z2",
        "X30 Z0",
        "Z-10",
        "G40 X40 Z-5",
        noses={1: (r, (-1, -1))},
    )
    arc, cylinder = moves_of(program)[3:5]
    assert isinstance(arc, ArcCut), "an outer corner is rounded by an arc about it"
    assert cylinder.start == pytest.approx((-r, 15.0), abs=1e-6)
    taper = moves_of(program)[2]
    (az, ax), (bz, bx) = taper.start, taper.end
    assert az + (15.0 - ax) / (bx - ax) * (bz - az) == pytest.approx(-dz, abs=6e-5)


def test_round_shoulders_keep_their_centre_and_change_their_radius_as_published() -> None:
    """Convex R5 X30 Z0 to X40 Z-5: tip X28.4 Z0 to X40 Z-5.8; COURSE R3 X20 Z-29 to X26 Z-32: tip Z-29.8, X24.4."""
    ball = compensated("G00 X2 Z0", "G42 G01 X10", "X30", "G03 X40 Z-5 R5", "G01 Z-9", "G40 X50 Z-5")
    assert places(ball)[2:4] == [(28.4, 0.0), (40.0, -5.8)]
    foot = compensated("G00 X20 Z5", "G42 G01 Z2", "Z-29", "G02 X26 Z-32 R3", "G01 X34", "G40 X44 Z-27")
    assert places(foot)[2:4] == [(20.0, -29.8), (24.4, -32.0)]
    arc = moves_of(foot)[3]
    assert isinstance(arc, ArcCut) and not arc.ccw
    assert math.dist(arc.start, arc.centre) == pytest.approx(2.2)


def test_an_arc_that_ends_in_a_slight_taper_in_inches_as_published() -> None:
    """FORUM: arc X2.3408 Z0 to X2.4643 Z-.0566, R .062, r .031: tip X2.2788 Z0 to X2.4641 Z-.0849, radius .093."""
    program = compensated(
        *("G00 X2 Z0", "G42 G01 X2.2", "X2.3408", "G03 X2.4643 Z-.0566 R.062", "G01 X2.4993 Z-.2566", "G40 X2.7 Z0"),
        noses={1: (0.031 * 25.4, (-1, -1))},
        modes=INCH_MODES,
    )
    start, end = places(program, 25.4)[2:4]
    assert (*start, *end) == pytest.approx((2.2788, 0.0, 2.4641, -0.0849), abs=1.5e-4)
    arc = moves_of(program)[3]
    assert isinstance(arc, ArcCut)
    assert math.dist(arc.start, arc.centre) / 25.4 == pytest.approx(0.093, abs=1e-4)


def test_left_is_right_in_the_mirror() -> None:
    """One reflection of the plane swaps left and right, and the sense of arcs (public control manuals)."""
    right = moves_of(compensated(*COURSE_PART))
    swap = {"G42": "G41", "G03": "G02"}
    blocks = []
    for block in COURSE_PART:
        words = []
        for word in block.split():
            if word[0] in "ZK" and word[1:].strip("0") not in ("", "-"):
                words.append(word[0] + (word[2:] if word[1] == "-" else "-" + word[1:]))
            else:
                words.append(swap.get(word, word))
        blocks.append(" ".join(words))
    left = moves_of(compensated(*blocks, noses=AWAY))
    assert len(left) == len(right)
    for a, b in zip(left, right, strict=True):
        assert a.end == pytest.approx((-b.end[0], b.end[1]), abs=1e-9)


def test_outside_a_groove_of_steps_the_tip_goes_about_outer_corners_and_into_inner_ones() -> None:
    program = compensated("G00 X20 Z5", "G42 G01 Z2", "Z-10", "X30", "Z-20", "G40 X40 Z-15")
    inner, up, corner, along = moves_of(program)[2:6]
    assert inner.end == pytest.approx((-10.0, 10.0)), "square to the shoulder the tip is the corner"
    assert up.end == pytest.approx((-10.0, 14.2))
    assert isinstance(corner, ArcCut) and corner.end == pytest.approx((-10.8, 15.0))
    assert isinstance(along, Cut)
    assert all(a.end == b.start for a, b in zip(moves_of(program), moves_of(program)[1:], strict=False))


def test_what_stands_between_the_moves_stays_where_the_tip_is() -> None:
    steps = compensated("G00 X20 Z5", "G42 G01 Z2", "Z-10", "G04 P0.5", "X30", "G40 X40 Z-5", "G04 P1").steps
    inside, after = [s for s in steps if isinstance(s, Dwell)]
    assert inside.at == pytest.approx((-10.0, 10.0))
    assert inside.state.compensation is None
    assert after.at == (-5.0, 20.0)


def test_the_lines_and_the_feeds_of_the_text_stay() -> None:
    moves = moves_of(compensated("G00 X20 Z5", "G42 G01 Z2", "Z-10 F0.05", "X30 F0.2", "G40 X40 Z-5"))
    assert [m.line for m in moves] == [6, 7, 8, 9, 10]
    assert [round(m.state.feed.value, 3) for m in moves if m.state.feed] == [0.1, 0.1, 0.05, 0.2, 0.2]


def test_a_rapid_may_lead_in_and_out() -> None:
    first, *_, last = moves_of(compensated("G00 X20 Z5", "G42 X20 Z2", "G01 Z-10", "G40 G00 X40 Z-5"))[1:]
    assert isinstance(first, Rapid) and isinstance(last, Rapid)
    assert first.end == pytest.approx((1.2, 10.0))


def test_on_and_off_without_a_move_says_nothing() -> None:
    program = compensated("G00 X20 Z5", "G42", "G40", "G01 X30")
    assert places(program) == [(20.0, 5.0), (30.0, 5.0)]


def test_at_an_inner_corner_the_nose_touches_both_neighbours() -> None:
    """Line and ball, ball and ball: from the centre of the nose to each is one nose radius, by definition."""
    r = 0.8
    line_ball = moves_of(
        compensated("G00 X20 Z5", "G42 G01 Z2", "Z-10", "G03 X40 Z-20 I0 K-10", "G01 Z-30", "G40 X50 Z-9")
    )
    z, x = line_ball[2].end[0] + r, line_ball[2].end[1] + r
    assert x == pytest.approx(10.0 + r), "against the cylinder"
    assert math.dist((z, x), (-20.0, 10.0)) == pytest.approx(10.0 + r), "against the ball"
    assert z > -10.0
    balls = moves_of(
        compensated(
            *("G00 X20 Z0", "G42 G01 X30", "X40", "G03 X50 Z-5 R5", "G03 X47.0711 Z-8.5355 I-5 K0"),
            *("G03 X50 Z-12.0711 I-3.5355 K-3.5356", "G01 Z-20", "G40 X60 Z-9"),
        )
    )
    centre = (balls[4].end[0] + r, balls[4].end[1] + r)
    assert math.dist(centre, (-5.0, 20.0)) == pytest.approx(5.0 + r, abs=1e-4)
    assert math.dist(centre, (-12.0711, 20.0)) == pytest.approx(5.0 + r, abs=1e-4)
    assert centre[1] > 20.0


def test_after_a_way_out_another_contour_may_follow() -> None:
    once = ("G00 X20 Z5", "G42 G01 Z2", "Z-10", "G40 X40 Z-5")
    first, second = moves_of(compensated(*once)), moves_of(compensated(*once, *once))
    assert [m.end for m in second] == [m.end for m in first] * 2


def test_waiting_between_the_word_for_off_and_the_way_out_is_done_where_the_tip_is() -> None:
    (dwell,) = [s for s in compensated(*IN, "Z-10", "G40", "G04 P1", "G01 X40 Z-5").steps if isinstance(s, Dwell)]
    assert dwell.at == pytest.approx((-10.8, 10.0))


def test_an_odd_tip_does_not_make_the_way_in_longer() -> None:
    """With the tip on the other side the nose centre is nearer to the contour than the programmed places are."""
    with pytest.raises(BadInput, match=r"the way in is 0\.700"):
        compensated("G00 X20 Z3.5", "G42 G01 Z2", "Z-9", "G40 X40", noses={1: (0.8, (1, -1))})


def test_without_the_plane_it_is_refused() -> None:
    with pytest.raises(BadInput, match="before the plane"):
        compensated(*IN, "Z-9", "G40 X40", modes="G21 G90 G7 G40")


@dataclass(frozen=True)
class Fault:
    """blocks from line 6 on, the line that is to blame and words of the message."""

    blocks: tuple[str, ...]
    line: int
    says: str


IN = ("G00 X20 Z5", "G42 G01 Z2")
# NISTIR 6556 and the error list of its interpreter.
NIST = {
    "already on": Fault((*IN, "Z-5", "G42 Z-9"), 9, "on already"),
    "left while right": Fault((*IN, "Z-5", "G41 Z-9"), 9, "on already"),
    "unit while on": Fault((*IN, "Z-5", "G20"), 9, "unit may not"),
    "same unit while on": Fault((*IN, "Z-5", "G21 Z-9"), 9, "unit may not"),
    "offset while on": Fault((*IN, "Z-5", "G43 H2"), 9, "offset may not"),
    "offset off while on": Fault((*IN, "Z-5", "G49"), 9, "offset may not"),
    "zero while on": Fault((*IN, "Z-5", "G54"), 9, "zero may not"),
    "tool while on": Fault((*IN, "Z-5", "T2"), 9, "tool may not"),
    "tool change while on": Fault((*IN, "Z-5", "M06"), 9, "tool may not"),
    "hollow as large as the nose": Fault((*IN, "Z-10", "G02 X21.6 Z-10.8 R0.8", "G01 X30", "G40 X40 Z0"), 9, "hollow"),
    "hollow less than the nose": Fault((*IN, "Z-10", "G02 X21 Z-10.5 R0.5", "G01 X30", "G40 X40 Z0"), 9, "hollow"),
    "groove narrower than the nose": Fault(
        (*IN, "Z-10", "X12", "Z-11", "X20", "Z-15", "G40 X40 Z0"), 10, "does not get down"
    ),
    "way in as long as the radius": Fault(("G00 X20 Z2.8", "G42 G01 Z2", "Z-9", "G40 X40"), 7, "way in is 0.800"),
    "way in shorter than the radius": Fault(("G00 X20 Z2.5", "G42 G01 Z2", "Z-9", "G40 X40"), 7, "no more than the"),
    "way out shorter than the radius": Fault((*IN, "Z-9", "G40 X21"), 9, "way out is 0.500"),
    "way out from the tip shorter": Fault((*IN, "Z-9", "G40 Z-10.3"), 9, "way out is 0.500"),
    "arc between inner corners": Fault(
        (*IN, "Z-10", "X12 Z-11", "G03 X11.8 Z-11.1 R0.3", "G01 X20 Z-11.3", "G40 X40"), 10, "does not get down"
    ),
    "on in an arc": Fault(("G00 X20 Z5", "G42 G03 X20 Z0 R3", "G01 Z-9", "G40 X40"), 7, "on in an arc"),
    "off in an arc": Fault((*IN, "Z-9", "G40 G02 X30 Z-14 R5"), 9, "off in an arc"),
}
# Stricter than the published language: what controls could take in two ways (common practice, no source).
TWO_WAYS = {
    "way in not along the first surface": Fault(("G00 X30 Z5", "G42 G01 X20 Z2", "Z-9", "G40 X40"), 7, "X20.000"),
    "rapid along the contour": Fault((*IN, "G00 Z-9", "G40 G01 X40"), 8, "rapid"),
    "full turn": Fault((*IN, "Z-5", "G02 X20 Z-5 I5 K0", "G01 Z-9", "G40 X40"), 9, "full turn"),
    "back on itself": Fault((*IN, "Z-9", "Z-2", "G40 X40"), 9, "turns back"),
    "end while on": Fault((*IN, "Z-9", "M30"), 9, "ends while"),
    "on again before a way out": Fault((*IN, "Z-9", "G40", "G42 Z-12"), 10, "no move leads out"),
    "nothing after the way in": Fault((*IN, "G40 X40"), 7, "no move follows"),
    "before a place is stated": Fault(("G42", "G00 X20 Z5"), 6, "is not stated"),
    "tool without a nose": Fault(("T2 M06", "G43 H2 M03", *IN), 9, "no nose radius"),
    "sharp tool": Fault(("T3 M06", "G43 H3 M03", *IN), 9, "no nose radius"),
}


@pytest.mark.parametrize("fault", [*NIST.values(), *TWO_WAYS.values()], ids=[*NIST, *TWO_WAYS])
def test_refused_with_line_and_reason(fault: Fault) -> None:
    with pytest.raises(BadInput) as caught:
        compensated(*fault.blocks, noses={1: (0.8, (-1, -1)), 3: (0.0, (-1, -1))})
    assert caught.value.line == fault.line
    assert f"line {fault.line}" in caught.value.where
    assert fault.says in f"{caught.value.what} {caught.value.right}"


def test_without_the_tools_compensated_text_is_refused() -> None:
    with pytest.raises(BadInput, match="needs the tool table"):
        compensated(*COURSE_PART, noses=None)


def test_the_file_stands_in_the_message() -> None:
    text = "\n".join([MODES, TURNING, *IN, "Z-9", "G40 X21", "M30", ""])
    with pytest.raises(BadInput, match=r"^arbor\.nc:9: the way out"):
        read(text, G95, file="arbor.nc", noses=OUTSIDE)


def test_the_refused_way_in_says_where_to_begin_and_there_it_is_taken() -> None:
    taper = ("X50 Z-10", "G40 X60 Z-5")
    with pytest.raises(BadInput) as caught:
        compensated("G00 X20 Z5", "G42 G01 X26 Z2", *taper)
    z, x = (float(word[1:]) for word in caught.value.right.split("beyond ")[1].split(" (")[0].split())
    # Twice as far out again on the same line, 45 degrees.
    program = compensated(f"G00 X{x - 4.0:.3f} Z{z + 2.0:.3f}", "G42 G01 X26 Z2", *taper)
    assert all(isinstance(m, Move) for m in moves_of(program))
