"""How far a long run is: one line on a terminal's standard error, from the second second on, gone at the end."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

PATIENCE = 1.0  # s in silence
PAUSE = 0.2  # s between two figures

Told = Callable[[int], None]
"""Called with how many more steps are done."""


@contextmanager
def progress(what: str, total: int, *, quiet: bool = False) -> Iterator[Told]:
    """Tells how much of `total` steps is done, where a person sees it: never into a file or a pipe."""
    if quiet or not total or not sys.stderr.isatty():
        yield lambda more: None
        return
    began = last = time.monotonic()
    done, shown = 0, False

    def told(more: int) -> None:
        nonlocal done, last, shown
        done += more
        now = time.monotonic()
        if now - began > PATIENCE and now - last > PAUSE:
            last, shown = now, True
            print(f"\r{what}: {100 * min(done, total) // total} %", end="", file=sys.stderr, flush=True)

    try:
        yield told
    finally:
        if shown:
            print("\r" + " " * (len(what) + 8) + "\r", end="", file=sys.stderr, flush=True)
