"""What `prove` says: the operations as the text has them, the figures, every finding with its place, the verdict."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from toolpath.commands.proving import Proven
from toolpath.motion import Cut, Operation
from toolpath.proof import load
from toolpath.proof.findings import LOOK, NOTE, STOP, Finding
from toolpath.proof.prove import Proof, Timed

WIDTH = 80
HEADS = {STOP: "Stops the program", LOOK: "Needs a look", NOTE: "Note"}


def verdict(proven: Proven) -> Iterator[str]:
    """All of it, in lines of at most 80 columns."""
    setup, job = proven.setup, proven.made.inputs.job
    yield from _wrapped(f"{proven.given.file.name}: set-up {setup.plan.name} of {len(job.holdings)}, {job.title}", 2)
    yield ""
    yield f"{'Operation':<34}{'lines':>13}{'tool':>6}{'min':>9}"
    for op, timed in zip(setup.read_back.operations, setup.proof.operations, strict=True):
        if op.steps:
            yield _operation(op, timed)
    yield ""
    yield from _figures(setup.proof)
    yield ""
    yield from _findings(setup.proof)


def _operation(op: Operation, timed: Timed) -> str:
    tool = next((f"T{s.state.tool}" for s in op.steps if isinstance(s, Cut)), "")
    return f"{op.kind:<34.34}{_span(op):>13}{tool:>6}{timed.seconds / 60.0:>9.1f}"


def _span(op: Operation) -> str:
    first, last = op.steps[0].line, op.steps[-1].line
    return str(first) if first == last else f"{first}-{last}"


def _figures(proof: Proof) -> Iterator[str]:
    fed = proof.cutting_seconds + proof.air_seconds
    share = f", {100.0 * proof.air_seconds / fed:.0f} % of the feed in air" if fed else ""
    yield f"Time            {proof.seconds / 60.0:.1f} min{share}"
    yield f"Deepest gouge   {proof.gouge_mm:.4f} mm into the finished part"
    yield f"Most uncut      {proof.uncut_mm:.4f} mm outside what must stand"
    if math.isfinite(proof.closest_rapid_mm):
        yield f"Closest rapid   {proof.closest_rapid_mm:.3f} mm: a touch-off may be out by no more"
        yield from (f"{'':16}{gap:.3f} mm from {name}" for name, gap in proof.closest)
    else:
        yield "Closest rapid   none comes near"
    for cut in load.told(list(zip(proof.loads, (t.kind for t in proof.operations), strict=True))):
        yield from _wrapped(f"Heaviest cut    {cut}", 16)


def _findings(proof: Proof) -> Iterator[str]:
    counts = {rank: sum(f.rank == rank for f in proof.findings) for rank in HEADS}
    for rank, head in HEADS.items():
        if counts[rank]:
            yield f"{head}: {counts[rank]}"
            for f in proof.findings:
                if f.rank == rank:
                    yield from _finding(f)
            yield ""
    yield "Refused: do not run this text" if proof.refused else "Proven: nothing here stops the program"


def _finding(f: Finding) -> Iterator[str]:
    line = f"line {f.line}" if f.line else "whole program"
    tool = f", T{f.tool}" if f.tool else ""
    place = f", z {f.at[0]:.3f} diameter {2.0 * f.at[1]:.3f}" if f.at else ""
    size = f", {f.size_mm:.3f} mm" if f.size_mm else ""
    yield from _wrapped(f"  {line}{tool}{place}{size} [{f.code}]", 4)
    yield from _wrapped(f"    {f.text}", 4)


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=" " * indent, break_on_hyphens=False)


def refused(proven: Proven, *, all_of_them: bool) -> str:
    """One line of refusal; all_of_them: with what stops the program, where nothing else was printed."""
    stops = [f for f in proven.setup.proof.findings if f.rank == STOP]
    head = f"{proven.given.file}: the proof refuses this program: {stops[0].text}"
    if all_of_them:
        head = f"{proven.given.file}: the proof refuses this program."
        return "\n".join([head, *(f"  line {f.line}: {f.text}" if f.line else f"  {f.text}" for f in stops)])
    return head if len(stops) == 1 else f"{head} (and {len(stops) - 1} more)"
