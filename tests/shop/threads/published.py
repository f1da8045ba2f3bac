"""Published tables beside these tests, and how a limit compares with a printed figure."""

from __future__ import annotations

import csv
from pathlib import Path

from toolpath.quantity.units import INCH
from toolpath.shop.threads import Thread, limits

HERE = Path(__file__).parent
COLUMNS = {
    "d_max": ("screw", "major", "greatest"),
    "d_min": ("screw", "major", "least"),
    "d2_max": ("screw", "pitch", "greatest"),
    "d2_min": ("screw", "pitch", "least"),
    "d1_max": ("screw", "minor", "greatest"),
    "d1_min": ("screw", "minor", "least"),
    "D2_min": ("hole", "pitch", "least"),
    "D2_max": ("hole", "pitch", "greatest"),
    "D1_min": ("hole", "minor", "least"),
    "D1_max": ("hole", "minor", "greatest"),
}


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a table beside this file, comments left out (a `#10-32` is none)."""
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("# ")))


def as_printed(thread: Thread, column: str, printed: str, *, inches: bool) -> str:
    """The thread's own limit with as many digits as are printed."""
    found: object = limits(thread)
    for name in COLUMNS[column]:
        found = getattr(found, name)
    assert isinstance(found, float)
    return f"{found / (INCH if inches else 1.0):.{len(printed.partition('.')[2])}f}"
