"""State-complete moves: what the planner hands to the writer and the reader hands to the proof.

Every step carries the whole state of the control at that step, so that a step can be understood, timed and
proven alone. Points are `(z, x)` in millimetres, `x` a radius, and name the point the program moves (the
imaginary tip of a turning tool, the named corner of a blade). Arc sense is that of the plane with z to the
right and x up: counter-clockwise is G03 (derivation: ISO 841 right-handed axes).
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct, field

Point = tuple[float, float]


class FeedMode(StrEnum):
    PER_TURN = "per turn"
    PER_MINUTE = "per minute"


class Sense(StrEnum):
    """Spindle sense. `FORWARD` is M03, the way a right-hand drill cuts; `REVERSE` is M04."""

    FORWARD = "forward"
    REVERSE = "reverse"


class Feed(Struct, frozen=True):
    """value: mm per turn or mm per minute, > 0."""

    mode: FeedMode
    value: float


class Spindle(Struct, frozen=True):
    """A turning spindle. Exactly one of `rpm` and `surface` (m/min, constant surface speed) is given.

    limit_rpm: the greatest speed constant surface speed may reach; 0 means that no limit is stated.
    """

    sense: Sense
    rpm: float = 0.0
    surface: float = 0.0
    limit_rpm: float = 0.0


class Side(StrEnum):
    """Where the tool is, looking the way it goes in the plane with z to the right and x up. `RIGHT` is G42."""

    LEFT = "left"
    RIGHT = "right"


class Compensation(Struct, frozen=True):
    """The control moves the tool aside by its nose: places are those of the contour, not of the imaginary tip.

    nose_radius: mm, > 0
    tip:         signs (z, x) from the nose centre to the imaginary tip
    """

    side: Side
    nose_radius: float
    tip: tuple[int, int]


class State(Struct, frozen=True):
    """The control's state while a step runs. `spindle` None: standing still. `feed` None: none stated yet.

    compensation: only in programs to be written; what is read back has the places of the tip and None here
    """

    tool: int = 0
    offset: int = 0
    spindle: Spindle | None = None
    feed: Feed | None = None
    coolant: bool = False
    operation: str = ""
    compensation: Compensation | None = None


class Rapid(Struct, frozen=True):
    """Straight traverse. Controls do not promise a straight rapid; plans move one axis at a time near metal."""

    start: Point
    end: Point
    state: State
    line: int = 0


class Cut(Struct, frozen=True):
    """Straight move at feed."""

    start: Point
    end: Point
    state: State
    line: int = 0


class ArcCut(Struct, frozen=True):
    """Circular move at feed about `centre`; `ccw` True is G03. Start equal to end is a full turn."""

    start: Point
    end: Point
    centre: Point
    ccw: bool
    state: State
    line: int = 0


class ThreadCut(Struct, frozen=True):
    """Straight move in step with the spindle, begun at its index mark; its state needs no feed.

    lead:  mm along z in one turn of the spindle, > 0, whatever x does on the way
    angle: rad from the index mark at which the move begins; 0 unless a control takes one
    """

    start: Point
    end: Point
    lead: float
    state: State
    line: int = 0
    angle: float = 0.0


class Dwell(Struct, frozen=True):
    seconds: float
    at: Point
    state: State
    line: int = 0


class Stop(Struct, frozen=True):
    """The program waits for a person (M00, or M01 when optional). `text` is what the person must do.

    skip: its block begins with `/`, so that the switch for block skip leaves it out
    """

    text: str
    at: Point
    state: State
    optional: bool = False
    line: int = 0
    skip: bool = False

    @property
    def sure(self) -> bool:
        """No switch leaves it out."""
        return not self.optional and not self.skip


class SpindleChange(Struct, frozen=True):
    """The spindle starts, changes or stops; `state` is what holds afterwards."""

    at: Point
    state: State
    line: int = 0


class ToolCall(Struct, frozen=True):
    """Tool and offset become active; `state` is what holds afterwards. `text` describes the tool."""

    at: Point
    state: State
    text: str = ""
    line: int = 0


class End(Struct, frozen=True):
    at: Point
    state: State
    line: int = 0


Move = Rapid | Cut | ArcCut | ThreadCut
Step = Rapid | Cut | ArcCut | ThreadCut | Dwell | Stop | SpindleChange | ToolCall | End


class Operation(Struct, frozen=True):
    """Steps that belong together under one heading. `kind` is the operation's name as the report gives it.

    clear: radius at which everything is clear of what stands when level passes outside begin, for a control that makes
           such passes by itself; None where they are not
    """

    kind: str
    steps: tuple[Step, ...]
    note: str = ""
    clear: float | None = None


class Program(Struct, frozen=True):
    """A whole program for one set-up.

    title:      one line
    header:     comment lines that stand before the first block, in order
    operations: in the order they run; together they go from the start to `End`
    inch:       True when the text is to be, or was, in inches; the values here are millimetres all the same
    x_diameter: True when X words are diameters in the text
    home:       where the point of the first tool stands before the first move, as the header states it
    """

    title: str
    header: tuple[str, ...]
    operations: tuple[Operation, ...]
    inch: bool = False
    x_diameter: bool = True
    home: Point | None = None
    needs: frozenset[str] = field(default_factory=frozenset)

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps of all operations, in order."""
        return tuple(s for op in self.operations for s in op.steps)
