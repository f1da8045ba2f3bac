"""What the proof has to say about a program: coded, ranked, placed, with what to do."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from toolpath.motion import Point

STOP, LOOK, NOTE = "stop", "look", "note"
RANKS = {  # code -> rank
    "gouge": STOP,
    "goal-lost": STOP,
    "rapid-contact": STOP,
    "hold-contact": STOP,
    "holder-contact": STOP,
    "past-axis": STOP,
    "spindle-off": STOP,
    "wrong-sense": STOP,
    "unscrews": STOP,
    "no-feed": STOP,
    "no-speed-limit": STOP,
    "surface-speed": STOP,
    "too-fast": STOP,
    "belt-step": STOP,
    "speed-not-set": STOP,
    "after-parting": STOP,
    "parted-on-centre": STOP,
    "no-end": STOP,
    "after-end": STOP,
    "travel": STOP,
    "unknown-tool": STOP,
    "jump": STOP,
    "spindle-on": STOP,
    "off-axis": STOP,
    "too-deep": STOP,
    "surface-on-axis": STOP,
    "no-hand-stop": STOP,
    "no-change-stop": STOP,
    "stop-while-running": STOP,
    "not-parked": STOP,
    "no-seat": STOP,
    "no-encoder": STOP,
    "thread-speed": STOP,
    "thread-too-fast": STOP,
    "thread-astray": STOP,
    "thread-lead": STOP,
    "thread-slants": STOP,
    "thread-hand": STOP,
    "thread-start": STOP,
    "thread-contact": STOP,
    "thread-run-in": STOP,
    "thread-run-out": STOP,
    "thread-missing": STOP,
    "thread-short": STOP,
    "thread-depth": STOP,
    "pitch-diameter": STOP,
    "thread-crest": STOP,
    "thread-starts": STOP,
    "thread-flank": STOP,
    "short-stock": STOP,
    "not-made": STOP,
    "another-setup": STOP,
    "another-rack": STOP,
    "put-in-otherwise": STOP,
    "called-otherwise": STOP,
    "wrong-offset": STOP,
    "feed-gross": STOP,
    "feed-rubs": STOP,
    "overload": STOP,
    "slips": STOP,
    "bends-away": STOP,
    "heavy-cut": LOOK,
    "may-slip": LOOK,
    "bends": LOOK,
    "long-dwell": LOOK,
    "coolant-on": LOOK,
    "feed-high": LOOK,
    "another-job": LOOK,
    "another-tool": LOOK,
    "bent-rapid": LOOK,
    "feed-too-fast": LOOK,
    "too-slow": LOOK,
    "spindle-not-up": LOOK,
    "loose-piece": LOOK,
    "uncut": LOOK,
    "wall-too-thin": STOP,
    "thin-wall": LOOK,
    "overhang": NOTE,
    "stands-out": NOTE,
    "parted": NOTE,
    "x-turns": NOTE,
}
_ORDER = {STOP: 0, LOOK: 1, NOTE: 2}


class Finding(Struct, frozen=True):
    """code, rank: see `RANKS`. line: of the program text, 0 for the whole of it. tool: number, 0 for none.

    at: (z, x), mm, or None. size_mm: how much, 0 where no length says it. text: what is wrong and what to do.
    """

    code: str
    rank: str
    line: int
    tool: int
    at: Point | None
    size_mm: float
    text: str


def finding(
    code: str, text: str, *, line: int = 0, tool: int = 0, at: Point | None = None, size: float = 0.0
) -> Finding:
    """A finding of a known code, with its rank."""
    return Finding(code, RANKS[code], line, tool, at, size, text)


def ranked(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The worst first, then by line."""
    return tuple(sorted(findings, key=lambda f: (_ORDER[f.rank], f.line, f.code, f.tool)))
