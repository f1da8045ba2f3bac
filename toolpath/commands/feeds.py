"""Feeds of a text against those that the tables give its tools: a doubled feed and a wrong feed mode show here.

No metal stands elsewhere for it, so that the sweep can not see it; the edge breaks all the same, or rubs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from toolpath.motion import ArcCut, Cut, FeedMode, Program
from toolpath.proof.clock import rpm_at
from toolpath.proof.findings import Finding, finding
from toolpath.proof.tracks import FEEDS

MORE = 1.2
"""Over the greatest feed that the tables give: to be looked at,"""

GROSS = 1.8
"""and from here on refused: chip section and force grow with the feed (common practice, no source)."""

RUBS = 0.1
"""Share of the least feed, below which an edge rubs and no longer cuts (common practice, no source)."""


def feed_findings(program: Program, planned: Program) -> Iterator[Finding]:
    """The first move of each tool whose feed is far from all that the plan has for that tool; none for other tools."""
    known = _ranges(planned)
    told: set[tuple[int, str]] = set()
    for step in _fresh(program):
        if step.state.tool not in known:
            continue
        turn = _per_turn(step)
        code = _code(turn, known[step.state.tool]) if turn > 0.0 else ""
        if code and (step.state.tool, code) not in told:
            told.add((step.state.tool, code))
            yield finding(code, _text(turn, known[step.state.tool]), line=step.line, tool=step.state.tool, at=step.end)


def _ranges(planned: Program) -> Mapping[int, tuple[float, float]]:
    """Least and greatest feed of each tool, mm a turn."""
    found: dict[int, list[float]] = {}
    for step in _fresh(planned):
        if (turn := _per_turn(step)) > 0.0:
            found.setdefault(step.state.tool, []).append(turn)
    return {tool: (min(turns), max(turns)) for tool, turns in found.items()}


def _fresh(program: Program) -> Iterator[Cut | ArcCut]:
    """Moves at feed but for those straight along X or Z where the tool has been at feed already: a blade goes back to
    its floor there, in the air, much faster than it cuts."""
    been: dict[tuple[int, int, float], tuple[float, float]] = {}
    for step in program.steps:
        if not isinstance(step, FEEDS):
            continue
        along = next((k for k in (0, 1) if step.start[1 - k] == step.end[1 - k]), None)
        if along is None or isinstance(step, ArcCut):
            yield step
            continue
        key = (step.state.tool, along, step.end[1 - along])
        low, high = sorted((step.start[along], step.end[along]))
        least, most = been.get(key, (low, low))
        if key not in been or low < least or high > most:
            yield step
        been[key] = (min(low, least), max(high, most))


def _per_turn(step: Cut | ArcCut) -> float:
    """mm a turn where the move is farthest from the axis; 0 where it can not be known."""
    feed, spindle = step.state.feed, step.state.spindle
    if feed is None or spindle is None:
        return 0.0
    if feed.mode is FeedMode.PER_TURN:
        return feed.value
    turns = rpm_at(spindle, max(abs(step.start[1]), abs(step.end[1])))
    return feed.value / turns if turns else 0.0


def _code(turn: float, known: tuple[float, float]) -> str:
    least, most = known
    if turn > GROSS * most:
        return "feed-gross"
    if turn < RUBS * least:
        return "feed-rubs"
    return "feed-high" if turn > MORE * most else ""


def _text(turn: float, known: tuple[float, float]) -> str:
    least, most = known
    return (
        f"feed comes to {turn:.4g} mm a turn, and the tables give this tool {least:.4g} to {most:.4g} here; correct "
        "the F word, and see whether it is meant per turn or per minute"
    )
