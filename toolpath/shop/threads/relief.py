"""Relief (undercut) at the end of a thread, run-out and distance of a shoulder, by the standard's table (relief.toml).

The table goes by the pitches of ISO metric threads. A pitch between two rows takes the straight line between them:
common practice for inch threads; `said` tells.
"""

from __future__ import annotations

import tomllib
from bisect import bisect_left
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.quantity.iso286 import LARGEST_SIZE, deviations
from toolpath.shop.threads.thread import Span, Thread, span

ROW = 1e-6  # mm: a pitch this close to a row is that row's
SMALL = 3.0  # mm: up to this thread diameter a groove has h12, above h13


class Relief(Struct, frozen=True):
    """A groove. width: least and greatest; dia: its limits; radius: at its foot; mm. said: where it comes from."""

    width: Span
    dia: Span
    radius: float
    said: str


class Ends(Struct, frozen=True):
    """Without relief: run_out of the last turns, normal and short; shoulder: nearest that the partner may come, mm."""

    run_out: float
    short_run_out: float
    shoulder: float
    short_shoulder: float


def relief(thread: Thread) -> Relief:
    """Groove behind a screw's thread; CannotMake where the table has none."""
    rows = {float(p): row for p, row in _table()["outside"].items()}
    least, greatest = min(rows), max(rows)
    _refuse(thread, least, greatest)
    first, second, share = _between(list(rows), thread.pitch)
    narrow, wide, below, radius = (
        round(a + share * (b - a), 3) for a, b in zip(rows[first], rows[second], strict=True)
    )
    dia = round(thread.diameter - below, 3)
    low, high = deviations(min(dia, LARGEST_SIZE), "h", 12 if thread.diameter <= SMALL else 13)
    said = "GB/T 3" + (f" at {first:g} and {second:g}" if share else "")
    return Relief(span(narrow, wide), span(dia + low, dia + high), radius, said)


def inside_relief(thread: Thread) -> Relief:
    """Groove behind a hole's thread; CannotMake where the table has none. width: short to normal."""
    row = _table()["inside"]
    _refuse(thread, row["from"], row["over"][-1][0])
    over = next(more for upto, more in row["over"] if thread.pitch <= upto + ROW)
    dia = round(thread.diameter + over, 3)
    low, high = deviations(min(dia, LARGEST_SIZE), "H", 13)
    width = span(round(row["short"] * thread.pitch, 3), round(row["normal"] * thread.pitch, 3))
    return Relief(width, span(dia + low, dia + high), round(row["radius"] * thread.pitch, 3), "GB/T 3")


def ends(thread: Thread) -> Ends:
    """Run-out and shoulder of a screw without relief, by the rules of the same page: parts of the pitch."""
    run_out, shoulder = _table()["run_out"], _table()["shoulder"]
    p = thread.pitch
    return Ends(run_out["normal"] * p, run_out["short"] * p, shoulder["normal"] * p, shoulder["short"] * p)


def _refuse(thread: Thread, least: float, greatest: float) -> None:
    if thread.form == "trapezoidal" or thread.taper:
        raise CannotMake(f"no table of reliefs holds {thread.designation}; give width and diameter")
    if not least - ROW <= thread.pitch <= greatest + ROW:
        raise CannotMake(
            f"the table of reliefs goes from a pitch of {least:g} to {greatest:g} mm; {thread.designation} has "
            f"{thread.pitch:.4g} mm, so give width and diameter"
        )


def _between(pitches: list[float], pitch: float) -> tuple[float, float, float]:
    """(row below, row above, share of the way); both the same and 0 on a row."""
    for row in pitches:
        if abs(row - pitch) < ROW:
            return row, row, 0.0
    place = bisect_left(pitches, pitch)
    low, high = pitches[place - 1], pitches[place]
    return low, high, (pitch - low) / (high - low)


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("relief.toml").read_text(encoding="utf-8"))
