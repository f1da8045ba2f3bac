"""Runs of moves and their broken lines."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.motion import ArcCut, Cut, Dwell, Move, Operation, Point, Rapid, State
from toolpath.proof.setting import FINE
from toolpath.proof.shapes import covered
from toolpath.proof.sweep import convex_from
from toolpath.proof.tracks import TOGETHER, arc_points, directions, run_of, runs, sweep_of

ONE, TWO = State(tool=1), State(tool=2)


def way(*points: Point, state: State = ONE, kind: type[Cut] | type[Rapid] = Cut) -> list[Move]:
    return [kind(p, q, state, i + 1) for i, (p, q) in enumerate(pairwise(points))]


def split(*steps: Move | Dwell) -> list[int]:
    """How many moves each run of the steps has."""
    return [len(r.moves) for r in runs(Operation("turn", tuple(steps)))]


def test_a_contour_is_one_run() -> None:
    assert split(*way((0, 5), (-9, 5), (-10, 6), (-10, 8), (-20, 8))) == [4]


def test_a_run_ends_where_the_tool_turns_back() -> None:
    """Else what is metal and what is air would hang on the order within the run."""
    assert split(*way((0, 5), (-9, 5), (0, 5))) == [1, 1]
    assert split(*way((0, 5), (-9, 5), (-8, 6), (-8, 9))) == [1, 2]  # out at 45 degrees turns by 135
    assert split(*way((0, 5), (-9, 5), (-9, 5), (0, 5))) == [2, 1]  # a move that goes nowhere has no direction


def test_a_run_ends_at_a_rapid_another_tool_a_dwell_or_a_gap() -> None:
    cuts = way((0, 5), (-9, 5))
    assert split(*cuts, *way((-9, 5), (-9, 9), kind=Rapid), *way((-9, 9), (-12, 9))) == [1, 1, 1]
    assert split(*cuts, *way((-9, 5), (-12, 5), state=TWO)) == [1, 1]
    assert split(*cuts, Dwell(1.0, (-9, 5), ONE), *way((-9, 5), (-12, 5))) == [1, 1]
    assert split(*cuts, *way((-9.5, 5), (-12, 5))) == [1, 1]


def test_rapids_may_turn_back() -> None:
    assert split(*way((0, 5), (0, 9), (0, 5), kind=Rapid)) == [2]


def test_steps_know_their_moves_and_lines() -> None:
    arc = ArcCut((-9.0, 5.0), (-10.0, 6.0), (-9.0, 6.0), False, ONE, 7)
    run = run_of([Cut((0.0, 5.0), (-9.0, 5.0), ONE, 6), Cut((-9.0, 5.0), (-9.0, 5.0), ONE, 6), arc])
    assert len(run.path) == len(run.owner) + 1 and run.line_of(0) == 6 and run.line_of(len(run.owner) - 1) == 7
    assert set(run.owner.tolist()) == {0, 2}  # the move that goes nowhere makes no step
    assert tuple(run.path[0]) == (0.0, 5.0) and tuple(run.path[-1]) == (-10.0, 6.0)
    assert run.box == (-10.0, 5.0, 0.0, 6.0)


places = st.tuples(st.integers(-9, 3), st.integers(-3, 9)).map(lambda p: (float(p[0]), float(p[1])))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(places, st.sampled_from([Cut, Rapid]), st.sampled_from([ONE, TWO])), min_size=1, max_size=60))
def test_ways_swept_together_cover_what_each_covers_alone(
    to: list[tuple[Point, type[Cut] | type[Rapid], State]],
) -> None:
    starts = [(0.0, 5.0), *(p for p, _, _ in to)]
    steps = tuple(kind(a, b, state) for a, (b, kind, state) in zip(starts, to, strict=False))
    blade, pin = (
        convex_from(np.array(p, dtype=float)) for p in ([(0, 0), (2, 0), (2, 5), (0, 5)], [(0, 0), (1, 0), (0, 1)])
    )
    for run in runs(Operation("turn", steps)):
        if len(run.path) > 1:
            for tool in (blade, pin, blade):
                alone = covered(tool, run.path)
                assert len(alone) == len(together := run.covered(tool)) and shapely.equals(alone, together).all()


def test_more_runs_than_are_swept_together_keep_their_order() -> None:
    zigzag = [(-float(k % 2), 5.0 + k) for k in range(2 * TOGETHER + 8)]
    steps = tuple(m for a, b in pairwise(zigzag) for m in way(a, (b[0], a[1]), a, b, kind=Cut))
    found = [m for r in runs(Operation("turn", steps)) for m in r.moves]
    assert found == list(steps) and len(steps) > 2 * TOGETHER


@settings(max_examples=100, deadline=None)
@given(st.floats(0.01, 80.0), st.floats(-3.0, 3.0), st.floats(0.01, 6.2), st.booleans())
def test_chords_stay_within_the_tolerance(radius: float, start: float, turn: float, ccw: bool) -> None:
    sweep = turn if ccw else -turn
    a, b = ((radius * math.cos(w), 5.0 + radius * math.sin(w)) for w in (start, start + sweep))
    arc = ArcCut(a, b, (0.0, 5.0), ccw, ONE)
    assert sweep_of(arc) == pytest.approx(sweep, abs=1e-6)
    points = np.concatenate([[a], arc_points(arc)])
    middles = (points[:-1] + points[1:]) / 2.0
    sag = radius - np.hypot(middles[:, 0], middles[:, 1] - 5.0)
    assert sag.min() + 1e-9 >= 0.0 and sag.max() <= FINE + 1e-9
    assert np.sum(np.hypot(*np.diff(points, axis=0).T)) == pytest.approx(radius * turn, rel=1e-3)


def test_an_arc_with_rounded_ends_goes_from_one_radius_to_the_other() -> None:
    arc = ArcCut((0.0, 5.0), (-10.001, 15.0), (-10.0, 5.0), True, ONE)
    radii = np.hypot(*(arc_points(arc) - (-10.0, 5.0)).T)
    assert radii.max() - radii.min() < 0.002 and tuple(arc_points(arc)[-1]) == (-10.001, 15.0)


def test_a_full_turn() -> None:
    turn = ArcCut((0.0, 5.0), (0.0, 5.0), (-2.0, 5.0), False, ONE)
    assert sweep_of(turn) == pytest.approx(-2.0 * math.pi) and len(run_of([turn]).path) > 100


def test_directions_at_the_ends_of_a_fillet() -> None:
    """From along the cylinder to up the wall (the drawing of an inner corner)."""
    into, leaving = directions(ArcCut((-9.0, 5.0), (-10.0, 6.0), (-9.0, 6.0), False, ONE))
    assert into == pytest.approx((-1.0, 0.0)) and leaving == pytest.approx((0.0, 1.0))
    assert directions(Cut((0.0, 0.0), (-3.0, 4.0), ONE))[0] == pytest.approx((-0.6, 0.8))
    assert directions(Cut((1.0, 1.0), (1.0, 1.0), ONE)) == ((0.0, 0.0), (0.0, 0.0))
