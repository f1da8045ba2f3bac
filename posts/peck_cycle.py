"""Drilling in pecks as the control runs it.

Chips cleared (NISTIR 6556, G83; back-off from memory): feed a peck, out to R by rapid, back to a little before the
floor, and on. Chips broken (the course's G74 along Z; in the language that grew out of the report G73): back a little
by rapid and on. The last peck ends at Z whatever is left; then out to where the cycle began.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from toolpath.motion import Cut, Point, Rapid, State, Step

MOST_PECKS = 1000
"""More than these is a slip of the pen (common practice, no source)."""


class Pecking(Struct, frozen=True):
    """Lengths in mm. start: where it begins and ends; bottom: z; back: before the floor, or of the little way back."""

    start: Point
    bottom: float
    peck: float
    back: float
    clears: bool


def floors(cycle: Pecking) -> list[float]:
    """z of every floor, the last one the bottom. ValueError where they are more than anybody means."""
    deep = cycle.start[0] - cycle.bottom
    count = int(deep / cycle.peck)
    if count > MOST_PECKS:
        raise ValueError(f"the cycle takes more than {MOST_PECKS} pecks")
    made = [cycle.start[0] - cycle.peck * k for k in range(1, count + 1)]
    return [z for z in made if z > cycle.bottom + 1e-9] + [cycle.bottom]


def expanded(cycle: Pecking, *, state: State, line: int) -> Iterator[Step]:
    """The moves, from its start and back to it."""
    z, x = cycle.start
    here = z
    for floor in floors(cycle):
        yield Cut((here, x), (floor, x), state, line)
        if floor == cycle.bottom:
            yield Rapid((floor, x), cycle.start, state, line)
            return
        again = min(floor + cycle.back, z)
        if cycle.clears:
            yield Rapid((floor, x), cycle.start, state, line)
            yield Rapid(cycle.start, (again, x), state, line)
        else:
            yield Rapid((floor, x), (again, x), state, line)
        here = again
