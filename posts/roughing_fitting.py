"""Level passes of a whole operation, as one roughing cycle down to the contour that they leave.

Every pass goes along its level and then climbs what it must miss; so the contour is the deepest pass, on from where it
ends the one before it, and so on. The cycle's levels are as far apart as the farthest of the plan's. Taken are passes
outside that begin in front of the work and fit to one contour without a hollow; all else stays as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from posts.contour_cycle import Roughing, odd_end, odd_next
from posts.dialect import Dialect
from posts.numbers import Grid
from toolpath.motion import ArcCut, Cut, Move, Operation, Point, Rapid, State, Step

Run = list[Cut | ArcCut]


class Rough(Struct, frozen=True):
    """before: the plan's steps until the cycle begins, the way to it included; cycle; after: from its end on."""

    before: tuple[Step, ...]
    cycle: Roughing
    state: State
    after: tuple[Step, ...]


def roughing_of(operation: Operation, dialect: Dialect, grid: Grid) -> Rough | None:
    """The operation as a cycle of the dialect; None where it is none, or where it has none."""
    words, steps = dialect.words, operation.steps
    written = "rough" in dialect.cycles.write and "roughing" in words and dialect.lines.numbered != "none"
    cuts = [k for k, s in enumerate(steps) if isinstance(s, Cut | ArcCut)]
    if not written or operation.clear is None or operation.clear <= 0.0 or not cuts:
        return None
    first, last = cuts[0], cuts[-1]
    runs = _runs(steps[first : last + 1])
    if runs is None or len(runs) < 2:
        return None
    state = runs[0][0].state
    front = max(run[0].start[0] for run in runs)
    contour = _contour(runs, front, operation.clear, grid)
    if contour is None or state.compensation or not all(m.state == state for run in runs for m in run):
        return None
    levels = [operation.clear, *(run[0].start[1] for run in runs)]
    depth = max(a - b for a, b in pairwise(levels))
    lift = max(grid.step, *(abs(run[-1].end[1] - run[-1].start[1]) for run in runs[:1]))
    cycle = Roughing((front, operation.clear), contour, depth, lift)
    if min(a - b for a, b in pairwise(levels)) <= 0.0 or odd_end(cycle):
        return None
    before = _way_to(steps[:first], cycle.start, state)
    after = _way_from(cycle.start, runs[-1][-1].end, steps[last + 1 :], state)
    return Rough(before, cycle, state, after) if before else None


def _runs(steps: Sequence[Step]) -> list[Run] | None:
    """The passes: moves at feed without a rapid between; None where anything else stands among them."""
    out: list[Run] = [[]]
    for step in steps:
        if isinstance(step, Rapid):
            out += [[]] if out[-1] else []
        elif isinstance(step, Cut | ArcCut):
            out[-1].append(step)
        else:
            return None
    sound = all(len(run) > 1 and isinstance(run[0], Cut) and run[0].start[1] == run[0].end[1] for run in out)
    return out if sound else None


def _contour(runs: list[Run], front: float, clear: float, grid: Grid) -> tuple[Move, ...] | None:
    """The moves of the contour, the first one across from where the cycle begins; None where the passes fit to none."""
    deepest = runs[-1]
    low = deepest[0].start[1]
    chain: list[Move] = [replace(deepest[0], start=(front, low)), *deepest[1:-1]]
    for run in reversed(runs[:-1]):
        end, flat = grid.digits(chain[-1].end), grid.digits(run[0].end)
        if abs(end[1] - flat[1]) > 1 or flat[0] > end[0] + 1:
            return None
        joint: Point = (chain[-1].end[0], run[0].end[1])
        if end[1] != flat[1]:
            return None
        chain += [replace(run[0], start=joint), *run[1:-1]]
    state = deepest[0].state
    kept = [m for m in chain if grid.digits(m.start) != grid.digits(m.end)]
    if any(odd_next(m, out=1.0, way=-1.0) for m in kept) or max(m.end[1] for m in kept) > clear:
        return None
    return (Rapid((front, clear), (front, low), state), *kept)


def _way_to(steps: Sequence[Step], start: Point, state: State) -> tuple[Step, ...]:
    """The steps before the first cut, without rapids that come nearer than the cycle begins; along Z, then across."""
    kept = [s for s in steps if not isinstance(s, Rapid) or s.end[1] >= start[1]]
    rapids = [s for s in steps if isinstance(s, Rapid)]
    if not rapids or any(not isinstance(s, Rapid) for s in steps[steps.index(rapids[0]) :]):
        return ()
    here = next((s.end for s in reversed(kept) if isinstance(s, Rapid)), rapids[0].start)
    if here[1] < start[1]:
        return ()
    return (*kept, *_rapids([here, (start[0], here[1]), start], state))


def _way_from(start: Point, left: Point, steps: Sequence[Step], state: State) -> tuple[Step, ...]:
    """From where the cycle ends to where the plan's rapids would have led, and what follows them."""
    count = next((k for k, s in enumerate(steps) if not isinstance(s, Rapid)), len(steps))
    goal = next((s.end for s in reversed(steps[:count]) if isinstance(s, Rapid)), left)
    high = max(start[1], goal[1])
    return (*_rapids([start, (start[0], high), (goal[0], high), goal], state), *steps[count:])


def _rapids(places: list[Point], state: State) -> list[Step]:
    return [Rapid(a, b, state) for a, b in pairwise(places) if a != b]
