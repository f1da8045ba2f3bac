"""A bought component that the part holds: its measured steps, and where they lie in the part.

Steps run from the end that goes in last (and may stick out) to the end that goes in first. The *body* is what comes
before the first step down to something thinner; where it ends it comes to rest, `seat` mm from the face it is put in
from. A step that is thinner than one farther in is a waist: its hole passes what went in before it, and guides nothing.
Depths count from that face, inwards; millimetres.
"""

from __future__ import annotations

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.part.figures import mm, plain

FITS = ("free", "close", "press", "glue gap")
MADE = ("drilled", "reamed", "bored")
SAME = 1e-9  # mm


class Limits(Struct, frozen=True):
    """Smallest and largest of a diameter, mm."""

    smallest: float
    largest: float

    @property
    def width(self) -> float:
        return self.largest - self.smallest

    @property
    def middle(self) -> float:
        return (self.smallest + self.largest) / 2.0

    def __str__(self) -> str:
        return f"{self.smallest:.3f} to {self.largest:.3f} mm"


class Step(Struct, frozen=True):
    """One measured step. fit: what this step alone wants, empty where the component says it."""

    dia: float
    length: float
    fit: str = ""


class Component(Struct, frozen=True, kw_only=True):
    """What is bought, as measured.

    within:    by how much each measure may be wrong, either way
    fit:       of the body, in `FITS`; what is thinner and lies beyond is cleared free
    from_back: put in from the back face; else from the front face
    seat:      where the body's inner end comes to rest; with `through` where it lies, held by nothing but its fit
    through:   its innermost hole goes right through
    made:      how the body's hole is to be made, in `MADE`; empty: as its fit wants
    """

    name: str
    steps: tuple[Step, ...]
    within: float
    fit: str
    seat: float
    from_back: bool = False
    through: bool = False
    made: str = ""

    @property
    def body(self) -> float:
        """Length of its body."""
        return sum(s.length for s in self.steps[: self.spans[0].last + 1])

    @property
    def sticks_out(self) -> float:
        """How far it stands out of the face; less than 0 where its outer end lies below it."""
        return self.body - self.seat

    @property
    def reach(self) -> float:
        """Depth of its inner end."""
        return sum(s.length for s in self.steps) - self.sticks_out

    @property
    def spans(self) -> tuple[Span, ...]:
        """The holes that it needs, from the face inwards: each as thick as the thickest step that passes it."""
        passing = [max(s.dia for s in self.steps[k:]) for k in range(len(self.steps))]
        found: list[Span] = []
        for k, dia in enumerate(passing):
            if found and abs(found[-1].dia - dia) <= SAME:
                found[-1] = Span(dia, found[-1].first, k, found[-1].fit)
            else:
                found.append(Span(dia, k, k, self._fit(dia, k, body=not found)))
        return tuple(found)

    def _fit(self, dia: float, k: int, *, body: bool) -> str:
        """What the step that fills the hole wants."""
        own = next(s.fit for s in self.steps[k:] if abs(s.dia - dia) <= SAME)
        return own or (self.fit if body else "free")

    def depths(self, k: int) -> tuple[float, float]:
        """From and to which depth step k lies; less than 0 outside the face."""
        begins = sum(s.length for s in self.steps[:k]) - self.sticks_out
        return begins, begins + self.steps[k].length

    def limits(self, dia: float) -> Limits:
        """Of a measured diameter."""
        return Limits(dia - self.within, dia + self.within)

    def called(self, span: Span) -> str:
        """A span in words: `'point', step 2 (2.9 mm)`."""
        k = next(k for k in range(span.first, len(self.steps)) if abs(self.steps[k].dia - span.dia) <= SAME)
        return f"'{self.name}', step {k + 1} ({mm(span.dia)})"


class Span(Struct, frozen=True):
    """Steps `first` to `last` that one hole of a component takes in; dia: the thickest that goes through there."""

    dia: float
    first: int
    last: int
    fit: str


def seated(steps: tuple[Step, ...], *, seat: float | None, sticks_out: float | None, within: float) -> float:
    """The seat, from whichever of the two was written; BadInput where neither was or they say different things."""
    trial = Component(name="", steps=steps, within=within, fit="free", seat=0.0)
    if seat is None and sticks_out is None:
        raise BadInput(
            "nothing says where it lies", right="Write seat (where its body comes to rest, from its face) or sticks_out"
        )
    if seat is None:
        seat = trial.body - (sticks_out or 0.0)
        if seat <= 0.0:
            raise BadInput(
                f"its body is {mm(trial.body)} long and {mm(sticks_out or 0.0)} stick out: nothing of it is in the part"
            )
    if sticks_out is not None and abs(trial.body - seat - sticks_out) > within + SAME:
        raise BadInput(
            f"its body is {mm(trial.body)} long and rests at {mm(seat)}, so that {plain(trial.body - seat)} mm stick "
            f"out, not {mm(sticks_out)}",
            right="Write seat or sticks_out",
        )
    return seat
