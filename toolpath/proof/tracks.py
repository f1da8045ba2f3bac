"""A program as runs of like moves: rapids to be tried for contact, cuts to be taken off the stock."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby

import numpy as np
from msgspec import Struct, field

from toolpath.geometry.elements import TURN, Arc, Point, arc_about
from toolpath.motion import ArcCut, Cut, Move, Operation, Rapid, ThreadCut
from toolpath.proof.flatten import Array, Box, Geometry, Indices
from toolpath.proof.setting import FINE
from toolpath.proof.shapes import covered, covered_one_by_one
from toolpath.proof.sweep import SAME_POINT, SHORTEST_RING, Convex, box_round

LONGEST_RUN = 4096  # moves: bounds what is held at once
TOGETHER = 256  # runs at most whose short ways are swept together
Feeding = Cut | ArcCut
FEEDS = (Cut, ArcCut)
MOVES = (Rapid, Cut, ArcCut, ThreadCut)
CUTS = (Cut, ArcCut, ThreadCut)


class Sweeps(Struct):
    """What outlines of a tool cover along several ways. An outline that is first asked about one short way is swept
    along all short ones at once: a short way costs little more than the asking.

    swept: by identity of the outline, with the outline itself, for an identity lives no longer than its owner.
    """

    paths: list[Array] = field(default_factory=list)
    swept: dict[int, tuple[Convex, dict[int, Geometry]]] = field(default_factory=dict)

    def covered(self, which: int, tool: Convex) -> Geometry:
        """Array of polygons that the tool covers along a way, folded at the axis."""
        if len(self.paths[which]) > SHORTEST_RING:
            return covered(tool, self.paths[which])
        if id(tool) not in self.swept:
            short = [i for i, p in enumerate(self.paths) if 2 <= len(p) <= SHORTEST_RING]
            pieces = covered_one_by_one(tool, [self.paths[i] for i in short])
            self.swept[id(tool)] = (tool, dict(zip(short, pieces, strict=True)))
        return self.swept[id(tool)][1][which]


class Run(Struct, frozen=True):
    """Moves that follow each other with one tool, all rapid, all at feed or all in step with the spindle (`threads`);
    cuts never turn back on themselves.

    path:  the way as a broken line (k + 1, 2), at most FINE from it; steps that go nowhere are left out, k may be 0
    box:   round the path
    owner: (k,), for each step of the path the index of the move it is of
    sweeps, which: where what a tool covers on the path is found
    """

    rapid: bool
    tool: int
    moves: tuple[Move, ...]
    path: Array
    owner: Indices
    box: Box
    sweeps: Sweeps
    which: int
    threads: bool = False

    def covered(self, tool: Convex) -> Geometry:
        """Array of polygons that the tool covers on a path of at least one step, folded at the axis."""
        return self.sweeps.covered(self.which, tool)

    def of_step(self, tool: Convex, step: int) -> Geometry:
        """The same of one step of the path."""
        if len(self.path) <= SHORTEST_RING and len(pieces := self.covered(tool)) == len(self.owner):
            return pieces[step : step + 1]
        return covered(tool, self.path[step : step + 2])

    def line_of(self, step: int) -> int:
        """Program line of a step of the path."""
        return self.moves[int(self.owner[step])].line


def run_of(moves: list[Move], sweeps: Sweeps | None = None) -> Run:
    """The run of moves that follow each other, its way swept together with those in `sweeps`."""
    if not any(isinstance(m, ArcCut) for m in moves):
        path, owners = np.array([moves[0].start, *(m.end for m in moves)]), np.arange(len(moves))
    else:
        path, owners = _broken(moves)
    steps = np.abs(path[1:] - path[:-1]).max(axis=1)
    if not (keep := steps > SAME_POINT).all():
        path, owners = path[np.concatenate([[True], keep])], owners[keep]
    sweeps = sweeps or Sweeps()
    sweeps.paths.append(path)
    return Run(
        rapid=isinstance(moves[0], Rapid),
        tool=moves[0].state.tool,
        moves=tuple(moves),
        path=path,
        owner=owners,
        box=box_round(path),
        sweeps=sweeps,
        which=len(sweeps.paths) - 1,
        threads=isinstance(moves[0], ThreadCut),
    )


def _broken(moves: list[Move]) -> tuple[Array, Indices]:
    """Path and owners of moves among which there are arcs."""
    points, owner = [np.array([moves[0].start])], []
    for arcs, group in groupby(enumerate(moves), key=lambda im: isinstance(im[1], ArcCut)):
        several = list(group)
        if arcs:
            points += (ways := [arc_points(m) for _, m in several if isinstance(m, ArcCut)])
            owner += [np.full(len(w), i) for w, (i, _) in zip(ways, several, strict=True)]
        else:
            points.append(np.array([m.end for _, m in several]))
            owner.append(np.array([i for i, _ in several]))
    return np.concatenate(points), np.concatenate(owner)


def sweep_of(move: ArcCut) -> float:
    """Signed angle of an arc move, rad, counter-clockwise positive; a full turn when it ends where it starts."""
    if math.dist(move.start, move.end) <= SAME_POINT:
        return TURN if move.ccw else -TURN
    return arc_about(move.centre, move.start, move.end, ccw=move.ccw).sweep


def arc_points(move: ArcCut) -> Array:
    """Points (k, 2) after the start of the move, at most FINE between way and chord, ending where the move ends.

    Start and end may lie on slightly different radii, for both are rounded: the radius changes evenly on the way.
    """
    sweep = sweep_of(move)
    arc = Arc(move.start, move.end, move.centre, sweep)
    last = math.dist(move.end, move.centre)
    step = 2.0 * math.acos(max(0.0, 1.0 - FINE / max(arc.radius, last, FINE)))
    share = np.arange(1, max(1, math.ceil(abs(sweep) / step)) + 1)
    share = share / share[-1]
    angle, radius = arc.start_angle + sweep * share, arc.radius + (last - arc.radius) * share
    points = np.stack([move.centre[0] + radius * np.cos(angle), move.centre[1] + radius * np.sin(angle)], axis=1)
    points[-1] = move.end
    return points


def directions(move: Move) -> tuple[Point, Point]:
    """Unit directions of travel at start and end; (0, 0) for a move that goes nowhere."""
    if isinstance(move, ArcCut):
        arc = Arc(move.start, move.end, move.centre, sweep_of(move))
        return arc.tangent_at(0.0), _turned(move.centre, move.end, ccw=move.ccw)
    dz, dx = move.end[0] - move.start[0], move.end[1] - move.start[1]
    n = math.hypot(dz, dx) or 1.0
    return (dz / n, dx / n), (dz / n, dx / n)


def _turned(centre: Point, p: Point, *, ccw: bool) -> Point:
    n = math.dist(centre, p) or 1.0
    side = 1.0 if ccw else -1.0
    return (-side * (p[1] - centre[1]) / n, side * (p[0] - centre[0]) / n)


def runs(operation: Operation) -> Iterator[Run]:
    """The operation's moves in order. A cut that turns back by more than a right angle begins a new run, so that what
    a run takes off does not hang on the order of its moves."""
    waiting: list[list[Move]] = []
    for moves in _stretches(operation):
        waiting.append(moves)
        if len(waiting) == TOGETHER or len(moves) > TOGETHER:
            yield from _together(waiting)
            waiting = []
    yield from _together(waiting)


def _together(stretches: list[list[Move]]) -> list[Run]:
    """Runs of which those of one tool are swept together, rapids and cuts apart: other outlines are asked of them."""
    sweeps: dict[tuple[int, bool], Sweeps] = {}
    return [
        run_of(moves, sweeps.setdefault((moves[0].state.tool, isinstance(moves[0], Rapid)), Sweeps()))
        for moves in stretches
    ]


def _stretches(operation: Operation) -> Iterator[list[Move]]:
    """The moves of each run."""
    kept: list[Move] = []
    for step in operation.steps:
        move = step if isinstance(step, MOVES) else None
        if kept and (move is None or _breaks(kept, move)):
            yield kept
            kept = []
        if move is not None:
            kept.append(move)
    if kept:
        yield kept


def _breaks(kept: list[Move], move: Move) -> bool:
    """Whether a move can not go on the run that ends with `kept`."""
    last = kept[-1]
    if (
        isinstance(move, Rapid) != isinstance(last, Rapid)
        or isinstance(move, ThreadCut) != isinstance(last, ThreadCut)
        or move.state.tool != last.state.tool
        or len(kept) >= LONGEST_RUN
        or (move.start != last.end and math.dist(move.start, last.end) > SAME_POINT)
    ):
        return True
    if isinstance(move, Rapid):
        return False
    last = next((m for m in reversed(kept) if m.start != m.end or isinstance(m, ArcCut)), move)
    (_, out), (into, _) = directions(last), directions(move)
    return out[0] * into[0] + out[1] * into[1] < -1e-9
