"""A program text as a list of moves, by the plainest possible interpreter: one pass, a few modal values, no checks.

It reads what the four built-in dialects write and knows nothing of the project's own reader, so that the two can be
held against each other. Words by EIA RS-274 and DIN 66025; what differs between the dialects stands in `LANGUAGES`.
Points are (z, x), mm, x a radius.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

Point = tuple[float, float]

WORD = re.compile(r"([A-Z])\s*([-+]?(?:\d+\.?\d*|\.\d+))")
COMMENT = re.compile(r"\(([^)]*)\)")
STARTS = re.compile(r"starts at X(-?[\d.]+) Z(-?[\d.]+) (mm|in)", re.IGNORECASE)
HEADING = re.compile(r"--- (\d+) ", re.IGNORECASE)
IN_POST = re.compile(r"now in the post: T(\d+)", re.IGNORECASE)


@dataclass(frozen=True)
class Language:
    """inch, metric: words of the units. per_minute, per_turn: of the feed modes. thread: the threading word.

    radius: X words are radii. lead_along: the lead is counted along the way, else along the longer axis.
    """

    inch: float = 20.0
    metric: float = 21.0
    per_minute: float = 94.0
    per_turn: float = 95.0
    thread: float = 33.0
    radius: bool = False
    lead_along: bool = False


LANGUAGES = {
    "g95": Language(lead_along=True),
    "g99": Language(per_minute=98.0, per_turn=99.0, thread=32.0),
    "plain94": Language(radius=True),
    "iso6983": Language(inch=70.0, metric=71.0),
}


@dataclass(frozen=True)
class Act:
    """One thing the machine does. kind: `rapid` | `feed` | `arc` | `thread` | `stop` | `end`.

    sense: +1 forward, -1 reverse, 0 standing still. per_turn: mm a turn, or None where feed is per minute or thread.
    centre, ccw: of an arc. lead: mm along z in a turn, of a thread. section: number of its heading.
    """

    kind: str
    line: int
    start: Point
    end: Point
    tool: int
    sense: int
    feed: float = 0.0
    turning: bool = False
    centre: Point = (0.0, 0.0)
    ccw: bool = False
    lead: float = 0.0
    section: int = 0


@dataclass
class _Modes:
    at: Point
    motion: float = -1.0
    unit: float = 1.0
    double: bool = True
    incremental: bool = False
    turning: bool = False
    feed: float = 0.0
    lead: float = 0.0
    sense: int = 0
    tool: int = 0
    section: int = 0


def listing(text: str, dialect: str) -> list[Act]:
    """What the text makes the machine do, to its end."""
    language = LANGUAGES[dialect]
    modes = _Modes(_begins(text, language), double=not language.radius)
    acts: list[Act] = []
    for number, raw in enumerate(text.splitlines(), start=1):
        comments = COMMENT.findall(raw)
        block = COMMENT.sub("", raw).strip()
        if found := IN_POST.search(" ".join(comments)):
            modes.tool = int(found[1])
        if found := HEADING.search(" ".join(comments)):
            modes.section = int(found[1])
        act = _block(block, number, modes, language) if block and block != "%" else None
        if act:
            acts.append(act)
            if act.kind == "end":
                return acts
    return acts


def _begins(text: str, language: Language) -> Point:
    found = STARTS.search(text)
    assert found, "the text does not say where it starts"
    unit = 25.4 if found[3].lower() == "in" else 1.0
    return float(found[2]) * unit, float(found[1]) * unit / (1.0 if language.radius else 2.0)


def _block(block: str, number: int, modes: _Modes, language: Language) -> Act | None:
    words = [(letter, float(value)) for letter, value in WORD.findall(block)]
    codes = {value for letter, value in words if letter == "G"}
    ends = {value for letter, value in words if letter == "M"}
    values = dict(words)
    dwells = 4.0 in codes
    _set(codes, ends, values, modes=modes, language=language)
    if "F" in values and not dwells:
        if language.thread in codes or modes.motion == language.thread:
            modes.lead = values["F"] * modes.unit
        else:
            modes.feed = values["F"] * modes.unit
    if 0.0 in ends or 1.0 in ends:
        return _act("stop", number, modes, end=modes.at)
    if ends & {2.0, 30.0}:
        return _act("end", number, modes, end=modes.at)
    if dwells or not {"X", "Z"} & values.keys():
        return None
    return _move(values, number, modes, language)


def _set(codes: set[float], ends: set[float], values: dict[str, float], *, modes: _Modes, language: Language) -> None:
    for code in codes:
        if code in (0.0, 1.0, 2.0, 3.0, language.thread):
            modes.motion = code
        elif code == 80.0:
            modes.motion = -1.0
        elif code in (language.inch, language.metric):
            modes.unit = 25.4 if code == language.inch else 1.0
        elif code in (language.per_minute, language.per_turn):
            modes.turning = code == language.per_turn
        elif code in (7.0, 8.0) and not language.radius:
            modes.double = code == 7.0
        elif code in (90.0, 91.0):
            modes.incremental = code == 91.0
    for code, sense in ((3.0, 1), (4.0, -1), (5.0, 0)):
        if code in ends:
            modes.sense = sense
    if "T" in values:
        called = int(values["T"])
        modes.tool = called // 100 if called >= 100 else called


def _move(values: dict[str, float], number: int, modes: _Modes, language: Language) -> Act | None:
    across = modes.unit * (0.5 if modes.double else 1.0)
    z0, x0 = modes.at
    z1 = values["Z"] * modes.unit + (z0 if modes.incremental else 0.0) if "Z" in values else z0
    x1 = values["X"] * across + (x0 if modes.incremental else 0.0) if "X" in values else x0
    if modes.motion < 0.0:
        return None
    if modes.motion == language.thread:
        act = _thread(values, number, modes, end=(z1, x1), language=language)
    elif modes.motion in (2.0, 3.0):
        centre = (z0 + values.get("K", 0.0) * modes.unit, x0 + values.get("I", 0.0) * modes.unit)
        act = replace(_act("arc", number, modes, end=(z1, x1)), centre=centre, ccw=modes.motion == 3.0)
    else:
        act = _act("rapid" if modes.motion == 0.0 else "feed", number, modes, end=(z1, x1))
    modes.at = (z1, x1)
    return act


def _thread(values: dict[str, float], number: int, modes: _Modes, *, end: Point, language: Language) -> Act:
    if "K" in values:
        modes.lead = values["K"] * modes.unit
    dz, dx = end[0] - modes.at[0], end[1] - modes.at[1]
    along_z = abs(dz) / math.hypot(dz, dx) if language.lead_along and (dz or dx) else 1.0
    return replace(_act("thread", number, modes, end=end), lead=modes.lead * along_z)


def _act(kind: str, number: int, modes: _Modes, *, end: Point) -> Act:
    return Act(kind, number, modes.at, end, modes.tool, modes.sense, modes.feed, modes.turning,
               section=modes.section)  # fmt: skip
