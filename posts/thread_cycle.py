"""The single-pass thread cycle as its control runs it: in, along in step with the spindle, out, back.

`G92 X Z R F` (training pages, the course): a rapid across to X, a pass to Z with the lead F, a rapid across
to where the cycle began, a rapid back along Z. R is a taper, from end to start, on radius: negative where the thread
grows towards the chuck. Blocks that follow need only the new X; the rest holds until another motion is stated. How far
before Z the control begins to run out is a parameter of the machine: the pass is taken to its end, so that nothing the
control cuts is left out.
"""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from posts.block import Block
from posts.lexer import fault
from toolpath.motion import Point, Rapid, State, Step, ThreadCut


class Box(Struct, frozen=True):
    """z: where the passes end, mm; lead: mm a turn; taper: start less end of a pass, mm on radius."""

    z: float
    lead: float
    taper: float = 0.0


def box_of(block: Block, end: Point, lead: float | None, *, taper: float | None, before: Box | None) -> Box:
    """What holds for the block's pass; BadInput, with the column, where the cycle's first block leaves it open."""
    code = block.codes.get("thread_cycle")
    if code:
        before = None  # the code begins a cycle of its own
    along = "Z" in block.words or "W" in block.words
    if before is None and not along:
        raise fault(code.column if code else 1, "the thread cycle has no Z: where its passes end is not stated")
    if before is None and lead is None:
        raise fault(code.column if code else 1, "the thread cycle has no F: the lead is not stated")
    z = end[0] if along or before is None else before.z
    if taper is None:
        taper = before.taper if before else 0.0
    return Box(z, lead if lead is not None else before.lead if before else 0.0, taper)


def passes(box: Box, start: Point, x: float, *, state: State, line: int) -> tuple[Step, ...]:
    """One pass that ends at x (a radius), begun and ended at `start`."""
    (z0, x0), state = start, replace(state, feed=None)
    first = (z0, x + box.taper)
    return (
        Rapid(start, first, state, line),
        ThreadCut(first, (box.z, x), box.lead, state, line),
        Rapid((box.z, x), (box.z, x0), state, line),
        Rapid((box.z, x0), start, state, line),
    )
