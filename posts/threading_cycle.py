"""All passes of a thread from one cycle, as the control runs them.

Depths go by `depth k = first * k ** (1 / degression)`: with a degression of 2 by constant area, which is the rule of
the turning-centre forms (common practice, held by the course's M25 x 2); no step is less than `least`, the last rough
pass leaves `allowance`, and `repeats` passes at full depth follow. The point comes down one flank: a pass at depth d
begins d tan(flank) nearer to the work than the cycle does (from memory; with a flank of 0 it begins where the cycle
does). After each pass it leaves across, at a run-out of 45 degrees where there is one, and goes back to where it began.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from toolpath.motion import Point, Rapid, State, Step, ThreadCut

MOST_PASSES = 500
"""More than these is a slip of the pen (common practice, no source)."""


class ThreadingCycle(Struct, frozen=True):
    """Lengths in mm, x a radius.

    start:      where the cycle begins and every pass returns to
    end:        (z, x) of the deepest pass's end; taper: its start less its end along x
    height:     from the crest to there, > 0; first: depth of the first pass; least: of a step
    allowance:  left by the last rough pass; repeats: passes at full depth after it
    flank:      rad down which the point comes
    run_out:    along z, on which the point leaves the metal at 45 degrees
    shifts_end: the end of a pass shifts with its start
    """

    start: Point
    end: Point
    height: float
    first: float
    lead: float
    least: float = 0.0
    allowance: float = 0.0
    repeats: int = 0
    taper: float = 0.0
    flank: float = 0.0
    run_out: float = 0.0
    degression: float = 2.0
    shifts_end: bool = False
    angle: float = 0.0

    @property
    def way(self) -> float:
        """Sense of z in which it cuts."""
        return math.copysign(1.0, self.end[0] - self.start[0])

    @property
    def out(self) -> float:
        """Sense of x that leads away from the metal."""
        return math.copysign(1.0, self.start[1] - self.end[1])


def depths(cycle: ThreadingCycle) -> list[float]:
    """Depth after every pass, mm. ValueError where they are more than anybody means."""
    rough = cycle.height - cycle.allowance
    out: list[float] = []
    while not out or out[-1] < rough - 1e-9:
        if len(out) >= MOST_PASSES:
            raise ValueError(f"the cycle takes more than {MOST_PASSES} passes")
        deep = cycle.first * float(len(out) + 1) ** (1.0 / cycle.degression)
        least = out[-1] + cycle.least if out else 0.0
        out.append(min(max(deep, least), rough))
    return [*out, *([cycle.height] * cycle.repeats)]


def expanded(cycle: ThreadingCycle, *, state: State, line: int) -> Iterator[Step]:
    """The moves, from its start and back to it. ValueError as `depths`."""
    state = replace(state, feed=None)
    start, way, out = cycle.start, cycle.way, cycle.out
    here = start
    for depth in depths(cycle):
        ahead = way * depth * math.tan(cycle.flank)
        up = out * (cycle.height - depth)
        begin = (start[0] + ahead, cycle.end[1] + cycle.taper + up)
        end = (cycle.end[0] + (ahead if cycle.shifts_end else 0.0), cycle.end[1] + up)
        if here[0] != begin[0]:
            yield Rapid(here, (begin[0], start[1]), state, line)
        yield Rapid((begin[0], start[1]), begin, state, line)
        yield from _along(cycle, begin, end, state=state, line=line)
        yield Rapid((end[0], _exit(cycle, end)[1]), (end[0], start[1]), state, line)
        here = (begin[0], start[1])
        yield Rapid((end[0], start[1]), here, state, line)
    if here != start:
        yield Rapid(here, start, state, line)


def _exit(cycle: ThreadingCycle, end: Point) -> Point:
    """Where a pass that is to end over `end` leaves the step with the spindle."""
    rise = min(cycle.run_out, abs(cycle.start[1] - end[1]))
    return (end[0], end[1] + cycle.out * rise)


def _along(cycle: ThreadingCycle, begin: Point, end: Point, *, state: State, line: int) -> Iterator[Step]:
    last = _exit(cycle, end)
    rise = abs(last[1] - end[1])
    if not rise:
        yield ThreadCut(begin, end, cycle.lead, state, line, cycle.angle)
        return
    share = 1.0 - rise / abs(end[0] - begin[0])
    foot = (end[0] - cycle.way * rise, begin[1] + share * (end[1] - begin[1]))
    yield ThreadCut(begin, foot, cycle.lead, state, line, cycle.angle)
    yield ThreadCut(foot, (end[0], foot[1] + cycle.out * rise), cycle.lead, state, line, cycle.angle)
