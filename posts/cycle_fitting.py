"""Runs of moves that one of the dialect's cycles stands for, found before they are written.

A thread: a pass is across from the way back, along in step, across to the way back, along it. A hole: down a peck, out
and in again, or a little back, until the bottom. Where the control's rule makes other passes than the plan has, a cycle
stands for them only when it makes as many, ends at the same depth and cuts no deeper in one than the plan does; the
proof then judges its moves. The cycle may begin a little farther out on the way that the passes go back by.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from posts.dialect import Dialect
from posts.numbers import Grid
from posts.threading_cycle import ThreadingCycle, depths
from posts.threading_words import ANGLES
from toolpath.motion import Cut, Point, Rapid, State, Step, ThreadCut

DEEPER = 0.005
"""mm by which rounding may make a pass deeper than the plan has it."""

STEEPER = 1.3
"""Degrees by which the flank of a cycle may be steeper than the plan comes down by: its relief, and rounding."""


class Pass(Struct, frozen=True):
    """One pass of a thread. start: on the way back, where it begins; cut: in step; end: where the way back leads."""

    start: Point
    cut: ThreadCut
    end: Point


class WholeThread(Struct, frozen=True):
    """All passes in one: the cycle, and where the plan stands when it begins and ends."""

    cycle: ThreadingCycle
    start: Point
    end: Point
    state: State


class Pecks(Struct, frozen=True):
    """A hole: from `start` to z = `bottom`, `peck` mm at a time; back: a little, 0.0 for out of the hole."""

    start: Point
    bottom: float
    peck: float
    back: float
    state: State


Item = Step | Pass | WholeThread | Pecks


def items(steps: Sequence[Step], dialect: Dialect, grid: Grid) -> Iterator[Item]:
    """The steps, runs of them replaced by what a cycle of the dialect stands for."""
    write = dialect.cycles.write
    k = 0
    while k < len(steps):
        passes = passes_from(steps, k, grid) if "thread" in write or "thread pass" in write else []
        if passes:
            yield from _threads(passes, dialect, grid)
            k += 4 * len(passes)
            continue
        if "peck" in write and (found := pecks_from(steps, k, grid)) and _has_word(found[0], dialect):
            yield found[0]
            k += found[1]
            continue
        yield steps[k]
        k += 1


def _has_word(pecks: Pecks, dialect: Dialect) -> bool:
    word, back = ("chip_break", pecks.back) if pecks.back else ("peck", dialect.cycles.peck_back)
    return word in dialect.words and back < pecks.peck


# -- threads ---------------------------------------------------------------------------------------------------------


def passes_from(steps: Sequence[Step], first: int, grid: Grid) -> list[Pass]:
    """The passes that follow one another from that step on."""
    out: list[Pass] = []
    while found := _pass(steps[first + 4 * len(out) : first + 4 * len(out) + 4], grid):
        if out and grid.digits(out[-1].end) != grid.digits(found.start):
            break
        out.append(found)
    return out


def _pass(steps: Sequence[Step], grid: Grid) -> Pass | None:
    match steps:
        case [Rapid() as into, ThreadCut() as cut, Rapid() as off, Rapid() as back]:
            a, b, c, d, e = (grid.digits(p) for p in (into.start, cut.start, cut.end, off.end, back.end))
            across = a[0] == b[0] and a[1] != b[1] and c[0] == d[0] and a[1] == d[1] == e[1] and b[0] != c[0]
            joined = grid.digits(into.end) == b and grid.digits(off.start) == c and grid.digits(back.start) == d
            if across and joined and not cut.angle and d[0] != e[0]:
                return Pass(into.start, cut, back.end)
    return None


def _threads(passes: list[Pass], dialect: Dialect, grid: Grid) -> Iterator[Item]:
    write = dialect.cycles.write
    whole = whole_thread(passes, dialect, grid) if "thread" in write and "threading" in dialect.words else None
    if whole:
        yield whole
    elif "thread pass" in write and "thread_cycle" in dialect.words:
        yield from passes
    else:
        for one in passes:
            yield from _plain(one)


def _plain(one: Pass) -> Iterator[Step]:
    cut, state = one.cut, one.cut.state
    up = (cut.end[0], one.start[1])
    yield Rapid(one.start, cut.start, state)
    yield cut
    yield Rapid(cut.end, up, state)
    yield Rapid(up, one.end, state)


def whole_thread(passes: list[Pass], dialect: Dialect, grid: Grid) -> WholeThread | None:
    """The cycle for all of them; None where the control's rule makes other passes."""
    last = passes[-1]
    tapers = {grid.digits((0.0, p.cut.start[1] - p.cut.end[1]))[1] for p in passes}
    if len(tapers) > 1 or len({(grid.digits(p.cut.end)[0], p.cut.lead, p.start[1]) for p in passes}) > 1:
        return None
    if tapers != {0} and dialect.cycles.threading == "drive line":
        return None
    out = math.copysign(1.0, last.start[1] - last.cut.end[1])
    left = [out * (p.cut.end[1] - last.cut.end[1]) for p in passes]  # to go after each pass
    whole = [k for k, r in enumerate(left) if r < grid.step / 4.0]
    cuts = whole[0] + 1
    if cuts < 2 or whole != list(range(whole[0], len(passes))) or any(b >= a for a, b in pairwise(left[:cuts])):
        return None
    slope = _slope(passes, left, grid)
    # Two passes tell where the crest lies: their depths are as 1 to the square root of 2, or less apart.
    first = (left[0] - left[1]) / (math.sqrt(2.0) - 1.0)
    if slope is None or out * (last.start[1] - last.cut.end[1]) <= first + left[0] + DEEPER:
        return None
    form = _counted if dialect.cycles.threading != "drive line" else _driven
    cycle = form(passes, left[:cuts], first=first, slope=slope, dialect=dialect, grid=grid)
    if cycle is None or not _as_planned(cycle, [first + left[0] - r for r in left]):
        return None
    return WholeThread(cycle, passes[0].start, last.end, last.cut.state)


def _slope(passes: list[Pass], left: list[float], grid: Grid) -> float | None:
    """How far the passes begin back from the last one for what they leave to it; None where that is not even."""
    last = passes[-1].start[0]
    way = math.copysign(1.0, passes[-1].cut.end[0] - last)
    slope = way * (last - passes[0].start[0]) / left[0]
    even = all(abs(way * (last - p.start[0]) - slope * r) <= 1.5 * grid.step for p, r in zip(passes, left, strict=True))
    return max(slope, 0.0) if even and slope > -grid.step else None


def _as_planned(cycle: ThreadingCycle, planned: list[float]) -> bool:
    made = depths(cycle)
    deepest = max(b - a for a, b in pairwise([0.0, *planned]))
    return len(made) == len(planned) and all(b - a <= deepest + DEEPER for a, b in pairwise([0.0, *made]))


def _counted(
    passes: list[Pass], left: list[float], *, first: float, slope: float, dialect: Dialect, grid: Grid
) -> ThreadingCycle | None:
    """One block or two: heights and depths in last digits; steps by constant area, none less than the least."""
    one, cut = dialect.cycles.threading == "one block", passes[-1].cut
    springs = len(passes) - len(left)
    degrees = math.degrees(math.atan(slope))
    angle = next((a for a in ANGLES if -0.1 <= a / 2.0 - degrees <= STEEPER), None)
    if angle is None or (one and springs):
        return None
    count = grid.step
    deep = math.ceil(first / count) * count
    height = round(left[0] / count) * count + deep
    steps = [a - b for a, b in pairwise(left[:-1])] or [deep]
    flank = math.radians(angle / 2.0)
    way = math.copysign(1.0, cut.end[0] - cut.start[0])
    return ThreadingCycle(
        start=(cut.start[0] - way * height * math.tan(flank), passes[-1].start[1]),
        end=cut.end,
        height=height,
        first=deep,
        lead=cut.lead,
        least=0.0 if one else max(math.floor(min(steps) / count + 1e-6), 1) * count,
        allowance=0.0 if one else left[-2],
        repeats=0 if one else 1 + springs,
        taper=cut.start[1] - cut.end[1],
        flank=flank,
    )


def _driven(
    passes: list[Pass], left: list[float], *, first: float, slope: float, dialect: Dialect, grid: Grid
) -> ThreadingCycle | None:
    """From the drive line: as many passes as the plan has, by the degression that makes so many of them."""
    del dialect
    digit = grid.step / 10.0
    first = round(first / digit) * digit
    cut, height = passes[-1].cut, left[0] + first
    degression = math.log(len(left)) / math.log(height / first)
    # Rounded down, never so far that the depth is reached a pass early or late.
    degression = math.floor(degression * 1000.0 - 0.5) / 1000.0
    if degression < 1.0:
        return None
    way = math.copysign(1.0, cut.end[0] - cut.start[0])
    ahead = way * height * slope
    return ThreadingCycle(
        start=(cut.start[0] - ahead, passes[-1].start[1]),
        end=(cut.end[0] - ahead, cut.end[1]),
        height=height,
        first=first,
        lead=cut.lead,
        repeats=len(passes) - len(left),
        flank=math.atan(slope),
        degression=degression,
        shifts_end=True,
    )


# -- holes -----------------------------------------------------------------------------------------------------------


def pecks_from(steps: Sequence[Step], first: int, grid: Grid) -> tuple[Pecks, int] | None:
    """The hole that is drilled from that step on, in two pecks or more, and how many steps that takes."""
    down = steps[first]
    if not isinstance(down, Cut):
        return None
    start, x = down.start, grid.digits(down.start)[1]
    run: list[Cut] = [down]
    backs: list[float] = []
    chain: list[Rapid | Cut]
    k = first + 1
    while True:
        match steps[k : k + 3]:
            case [Rapid() as up, Rapid() as again, Cut() as next_] if grid.digits(up.end) == grid.digits(start):
                chain, back, taken = [run[-1], up, again, next_], 0.0, 3
            case [Rapid() as up, Cut() as next_, *_]:
                chain, back, taken = [run[-1], up, next_], up.end[0] - up.start[0], 2
            case _:
                break
        if not _straight_on(chain, x, grid) or next_.state != down.state:
            break
        run.append(next_)
        backs.append(back)
        k += taken
    last = steps[k] if k < len(steps) else None
    depth = [a.end[0] - b.end[0] for a, b in pairwise(run)]
    if not depth or not isinstance(last, Rapid) or not _straight_on((run[-1], last), x, grid):
        return None
    if max(map(abs, (*(d - depth[0] for d in depth), *(b - backs[0] for b in backs)))) > 1.5 * grid.step:
        return None
    if min(depth) <= 0.0 or grid.digits(last.end) != grid.digits(start):
        return None
    peck = math.floor(min(depth) / grid.step + 1e-6) * grid.step
    return Pecks(start, run[-1].end[0], peck, backs[0], down.state), k + 1 - first


def _straight_on(moves: Sequence[Rapid | Cut], x: int, grid: Grid) -> bool:
    """Whether the moves run on along Z at that printed x."""
    places = [grid.digits(p) for m in moves for p in (m.start, m.end)]
    return all(p[1] == x for p in places) and all(a == b for a, b in zip(places[1::2], places[2::2], strict=False))


def plain(dialect: Dialect) -> Dialect:
    """The dialect as it writes every move by itself."""
    return replace(dialect, cycles=replace(dialect.cycles, write=()))
