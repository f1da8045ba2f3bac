"""Random sound programs: sections with tools, spindles, feeds and moves, each step with its whole state."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hypothesis import strategies as st

from posts.dialect import Dialect
from tests.posts.common import G95
from toolpath.motion import (
    ArcCut,
    Cut,
    Dwell,
    End,
    Feed,
    FeedMode,
    Operation,
    Point,
    Program,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    State,
    Step,
    Stop,
    ThreadCut,
    ToolCall,
)

places = st.tuples(st.floats(-200.0, 50.0), st.floats(-5.0, 60.0))
senses = st.sampled_from(Sense)
spindles = st.one_of(
    st.builds(Spindle, senses, rpm=st.integers(30, 6000).map(float)),
    st.builds(Spindle, senses, surface=st.integers(20, 300).map(float), limit_rpm=st.integers(100, 4000).map(float)),
)
feeds = st.one_of(
    st.builds(Feed, st.just(FeedMode.PER_TURN), st.integers(1, 500).map(lambda n: n / 1000.0)),
    st.builds(Feed, st.just(FeedMode.PER_MINUTE), st.integers(10, 9000).map(lambda n: n / 10.0)),
)
# Words as they come back: single spaces, no brackets, nothing that looks like a heading.
_texts = st.lists(st.from_regex(r"[A-Za-z0-9.,+*]{1,30}", fullmatch=True), max_size=12).map(" ".join)
kinds = st.sampled_from(["face", "rough", "finish", "part off", "drill", "bore"])


@dataclass
class Pen:
    """Writes steps one after another; holds where the point is, what state holds, and what the control can say."""

    dialect: Dialect
    at: Point
    state: State
    steps: list[Step]

    def move(self, draw: st.DrawFn) -> None:
        feed = draw(feeds_of(self.dialect))
        cutting = _with(self.state, feed=feed)
        kind = draw(st.sampled_from(["rapid", "cut", "arc", "arc", "thread"]))
        if kind == "thread" and not self.may_thread():
            kind = "rapid"
        if kind == "rapid":
            end = draw(places)
            self.steps.append(Rapid(self.at, end, self.state))
        elif kind == "cut":
            end, self.state = draw(places), cutting
            self.steps.append(Cut(self.at, end, self.state))
        elif kind == "thread":
            # So short that a lead in inches, to its last digit, does not drift.
            along = draw(st.floats(0.5, 30.0))
            x = self.at[1] + draw(st.floats(-0.9, 0.9)) * along
            end = (self.at[0] + along * draw(st.sampled_from([-1, 1])), x if self.dialect != G95 else draw(places)[1])
            self.state = _with(self.state, feed=None)
            self.steps.append(ThreadCut(self.at, end, draw(st.integers(35, 600)) / 100.0, self.state))
        else:
            self.state = cutting
            radius = draw(st.floats(0.05, 80.0))
            angle, sweep = draw(st.floats(0.0, 6.28)), draw(st.floats(-5.9, 5.9).filter(lambda w: abs(w) > 0.05))
            centre = (self.at[0] - radius * math.cos(angle), self.at[1] - radius * math.sin(angle))
            end = (centre[0] + radius * math.cos(angle + sweep), centre[1] + radius * math.sin(angle + sweep))
            self.steps.append(ArcCut(self.at, end, centre, sweep > 0.0, self.state))
        self.at = end

    def may_thread(self) -> bool:
        """Whether the control has threads, the spindle a fixed speed, and a second pass right after one would go on."""
        if "thread" not in self.dialect.words or not (self.state.spindle and self.state.spindle.rpm):
            return False
        return self.dialect.thread.continues or not (self.steps and isinstance(self.steps[-1], ThreadCut))


def texts(dialect: Dialect) -> st.SearchStrategy[str]:
    return _texts.map(str.upper) if dialect.lines.capitals else _texts


def feeds_of(dialect: Dialect) -> st.SearchStrategy[Feed]:
    """Feeds; where a feed per turn becomes one per minute, not less than its last digit."""
    return feeds if "per_turn" in dialect.words else feeds.filter(lambda f: f.value >= 0.01)


def spindles_of(dialect: Dialect) -> st.SearchStrategy[Spindle]:
    return spindles if dialect.surface_speed else spindles.filter(lambda s: not s.surface)


def _with(state: State, **changes: object) -> State:
    from msgspec.structs import replace

    return replace(state, **changes)  # type: ignore[arg-type]


@st.composite
def programs(draw: st.DrawFn, dialect: Dialect = G95) -> Program:
    """Programs of what this dialect can say."""
    home = (50.0, 60.0)
    pen = Pen(dialect, home, State(), [])
    words, no_offsets = texts(dialect), dialect.tool.offsets == "none"
    optional = st.booleans() if "optional_stop" in dialect.words else st.just(False)
    operations = []
    for number in range(draw(st.integers(1, 3))):
        kind = draw(kinds)
        pen.state, pen.steps = _with(pen.state, operation=kind), []
        if number == 0 or draw(st.booleans()):
            # T0101 again says nothing new where T calls by itself.
            same = pen.state.tool if dialect.tool.offset_digits else 0
            tool = draw(st.integers(1, 12).filter(lambda t, same=same: t != same))
            pen.state = _with(pen.state, spindle=None)
            pen.steps.append(SpindleChange(pen.at, pen.state))
            pen.steps.append(Stop(draw(words), pen.at, pen.state, draw(optional)))
            pen.state = _with(pen.state, tool=tool, offset=0 if no_offsets else draw(st.integers(1, 12)))
            pen.steps.append(ToolCall(pen.at, pen.state, draw(words)))
        turned, pen.state = pen.state.spindle, _with(pen.state, spindle=draw(spindles_of(dialect)))
        pen.steps.append(SpindleChange(pen.at, pen.state))
        if pen.state.spindle != turned:  # else the text has no step that still holds the coolant of before
            pen.state = _with(pen.state, coolant=draw(st.booleans()))
        pen.steps.append(Dwell(draw(st.integers(1, 500)) / 100.0, pen.at, pen.state))
        for _ in range(draw(st.integers(1, 8))):
            pen.move(draw)
        operations.append(Operation(kind, tuple(pen.steps), draw(words)))
    last = operations[-1]
    end = End(pen.at, _with(pen.state, spindle=None, coolant=False))
    operations[-1] = Operation(last.kind, (*last.steps, end), last.note)
    title, bar = ("A PART", "BAR 40 MM") if dialect.lines.capitals else ("A part", "bar 40 mm")
    diameter = {"diameter": True, "radius": False}.get(dialect.fixed_x)
    across = draw(st.booleans()) if diameter is None else diameter
    return Program(title, (bar,), tuple(operations), draw(st.booleans()), across, home)
