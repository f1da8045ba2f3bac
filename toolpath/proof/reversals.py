"""Where a finish pass turns round along X in the metal: the slide's lost motion shows there as a step."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from toolpath.motion import ArcCut, Operation, Point
from toolpath.proof.findings import Finding, finding
from toolpath.proof.setting import Setting
from toolpath.proof.tracks import FEEDS, Feeding

LEAST = 0.01  # mm of X: a way back by less is no turning round, for it is less than any screw's lost motion
IN_METAL = 0.5  # share of a move: leads touch metal at one end only


def turns(operation: Operation, in_metal: Mapping[int, float], setting: Setting) -> Iterator[Finding]:
    """A finding for each place where a finish pass turns round, with the step's size. in_metal: by move identity"""
    lost = setting.machine.backlash_x
    if operation.kind != "finish" or not lost:
        return
    told: set[tuple[float, float]] = set()
    stretch: list[Feeding] = []
    for step in (*operation.steps, None):
        if isinstance(step, FEEDS) and in_metal.get(id(step), 0.0) >= IN_METAL:
            stretch.append(step)
            continue
        for move, (z, x) in turned(stretch):
            if (place := (round(z, 2), round(x, 2))) not in told:  # a second pass goes the same way
                told.add(place)
                text = (
                    f"X turns round at z {z:.2f}, diameter {2.0 * x:.2f}: with {lost:g} mm of backlash a witness step "
                    f"of up to {lost:g} mm, {2.0 * lost:g} on the diameter, stands there. Let the control make up for "
                    "it, or cut both halves in one direction of X: one_way = true under [finish]"
                )
                yield finding("x-turns", text, line=move.line, tool=move.state.tool, at=(z, x), size=lost)
        stretch = []


def turned(moves: list[Feeding]) -> Iterator[tuple[Feeding, Point]]:
    """(the move that turns round, where) for moves that follow one another."""
    way, far, by = 0.0, math.nan, (math.nan, math.nan)
    mover: Feeding | None = None
    for move in moves:
        for p in _monotone(move):
            if mover is None:
                far, by, mover = move.start[1], move.start, move
            over = p[1] - far
            if way * over >= 0.0 and (way or abs(over) > LEAST):
                way, far, by, mover = way or math.copysign(1.0, over), p[1], p, move
            elif way and abs(over) > LEAST:
                yield mover, by
                way, far, by, mover = -way, p[1], p, move


def _monotone(move: Feeding) -> list[Point]:
    """Ends of the stretches of a move along which X goes one way."""
    if not isinstance(move, ArcCut):
        return [move.end]
    (cz, cx), radius = move.centre, math.dist(move.centre, move.start)
    sign = 1.0 if move.ccw else -1.0

    def turned_by(p: Point) -> float:
        a, b = (math.atan2(q[1] - cx, q[0] - cz) for q in (move.start, p))
        return (sign * (b - a)) % math.tau

    whole = turned_by(move.end) or math.tau
    tops = sorted((turned_by(q), q) for q in ((cz, cx + radius), (cz, cx - radius)))
    return [*(q for w, q in tops if 1e-9 < w < whole - 1e-9), move.end]
