"""Progress is for a person at a terminal who waits: after a second, on standard error, and gone afterwards."""

from __future__ import annotations

import io
import sys

import pytest

from toolpath.commands import progress as module
from toolpath.commands.progress import progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The seconds that the clock shows; a test moves it."""
    now = [0.0]
    monkeypatch.setattr(module.time, "monotonic", lambda: now[0])
    return now


def run(clock: list[float], stream: io.StringIO, monkeypatch: pytest.MonkeyPatch, *, quiet: bool = False) -> str:
    """What is seen of 10 steps of 20 moves, 0.25 s each."""
    monkeypatch.setattr(sys, "stderr", stream)
    with progress("proving bob-1.nc", 200, quiet=quiet) as told:
        for _ in range(10):
            clock[0] += 0.25
            told(20)
    return stream.getvalue()


def test_it_is_silent_for_a_second_and_then_tells_the_share(
    clock: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = run(clock, Terminal(), monkeypatch).split("\r")
    assert seen[:3] == ["", "proving bob-1.nc: 50 %", "proving bob-1.nc: 60 %"]
    assert seen[-3:-1] == ["proving bob-1.nc: 100 %", " " * 24] and seen[-1] == ""


def test_it_is_silent_where_nobody_looks(clock: list[float], monkeypatch: pytest.MonkeyPatch) -> None:
    assert run(clock, io.StringIO(), monkeypatch) == ""
    assert run(clock, Terminal(), monkeypatch, quiet=True) == ""


def test_a_short_run_says_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", stream := Terminal())
    with progress("proving", 3) as told:
        told(3)
    assert stream.getvalue() == ""
