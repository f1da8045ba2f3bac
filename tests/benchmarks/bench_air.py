"""Feed time of roughing spent in air, as the proof sees it, and that of textbook passes over the same work.

    python tests/benchmarks/bench_air.py

The textbook: levels of one constant depth from the bar's diameter down; each level cut over the full length of every
stretch that lies under it, entered at feed from above the bar where it is not open at the front; left at 45 degrees by
one clearance. Same tool, same figures, same leave-on, same proof.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from toolpath.commands.inputs import read_inputs
from toolpath.commands.road import request, setting
from toolpath.geometry.frame import OUTSIDE
from toolpath.motion import Cut, Program, Rapid, Step
from toolpath.passes import levels
from toolpath.passes.legs import Legs, Pace, feed, in_frame, length, rapid
from toolpath.plan.operations import Operation
from toolpath.plan.plan import Plan, plan
from toolpath.plan.reach import standing
from toolpath.plan.request import Request
from toolpath.plan.setups import request_of
from toolpath.plan.steps import operations
from toolpath.proof import clock
from toolpath.proof.prove import prove
from toolpath.proof.setting import Setting

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


def textbook(asked: Request, planned: Plan, op: Operation) -> Legs:
    """Passes of constant depth from the bar's diameter, each over its full length."""
    contour = planned.work.outside.closed(op.tool.nose_radius)
    _, keep = standing(op.tool, contour, leave=(op.data.leave_z.value, op.data.leave_x.value))
    c, top = asked.machine.clearance, asked.stock.dia / 2.0
    within = (planned.work.nose_z, c)
    bottom = max(levels.lowest(keep, within), 0.0)
    legs: Legs = ()
    here = planned.change_point
    for k in range(1, math.ceil((top - bottom) / op.data.depth.value) + 1):
        level = max(top - k * op.data.depth.value, bottom)
        for lo, hi in reversed(levels.below(keep, level, within, 1e-7)):
            legs += _pass((lo, hi), level, top + c, open_front=hi >= within[1], c=c, here=here)
            here = legs[-1].path.b
    return in_frame(legs, OUTSIDE.back)


def _pass(
    span: levels.Span, level: float, over: float, *, open_front: bool, c: float, here: tuple[float, float]
) -> Legs:
    lo, hi = span
    up = max(over, here[1])
    down = rapid if open_front else feed
    return (
        *rapid(here, (here[0], up)),
        *rapid((here[0], up), (hi, up)),
        *rapid((hi, up), (hi, over)),
        *down((hi, over), (hi, level)),
        *feed((hi, level), (lo, level)),
        *feed((lo, level), (lo + c, level + c)),
    )


class Seen(NamedTuple):
    """Of roughing: share of the feed time in air, the same beyond approach and exit, minutes of feed; rapids and their
    length, and all of the path, mm."""

    air: float
    beyond: float
    minutes: float
    rapids: int
    rapid_mm: float
    path_mm: float


def seen(planned: Plan, against: Setting, asked: Request, ops: list[Operation]) -> Seen:
    """What the proof sees of the last of the operations."""
    steps = operations(ops, asked, change_point=planned.change_point)
    program = Program("", (), steps, home=planned.change_point)
    timed = prove(program, against).operations[-1]
    stated = _stated(steps[-1].steps, clock.seconds(program, asked.machine)[-1], asked.machine.clearance)
    feeding = timed.air + timed.cutting
    links = [leg for leg in ops[-1].legs if leg.pace is Pace.RAPID]
    idle = length(links, Pace.RAPID)
    return Seen(
        air=timed.air / feeding,
        beyond=max(0.0, timed.air - stated) / feeding,
        minutes=feeding / 60.0,
        rapids=len(links),
        rapid_mm=idle,
        path_mm=idle + length(ops[-1].legs, Pace.FEED),
    )


def _stated(steps: Sequence[Step], seconds: Sequence[float], clearance: float) -> float:
    """Seconds of approaches and exits: one clearance of a move after a rapid, and that at 45 degrees of one before."""
    total = 0.0
    for k, (step, took) in enumerate(zip(steps, seconds, strict=True)):
        if not isinstance(step, Cut):
            continue
        length = math.dist(step.start, step.end)
        if k and isinstance(steps[k - 1], Rapid):
            total += took * min(1.0, clearance / length)
        elif k + 1 < len(steps) and isinstance(steps[k + 1], Rapid):
            total += took * min(1.0, math.sqrt(2.0) * clearance / length)
    return total


def main() -> None:
    print(
        f"{'job':<18} {'air':>7} {'beyond approach, exit':>22} {'min':>6} {'rapids':>7} {'mm':>7} {'path mm':>8}"
        "   bar for the second: <= 5 %, want 2 %"
    )
    for job in sorted(SAMPLES.glob("*.toml")):
        inputs = read_inputs(job, sizes={})
        base = request(inputs)
        asked = request_of(base, inputs.job.holdings, 1, base.stock)
        planned = plan(asked)
        against = setting(inputs, planned, base.stock.outlines)
        first = next(i for i, op in enumerate(planned.operations) if op.kind == "rough")
        ours = list(planned.operations[: first + 1])
        theirs = [*ours[:-1], replace(ours[-1], legs=textbook(asked, planned, ours[-1]))]
        own, book = (seen(planned, against, asked, ops) for ops in (ours, theirs))
        for name, got in ((job.stem, own), ("   as the textbook", book)):
            print(
                f"{name:<18} {100 * got.air:>6.1f}% {100 * got.beyond:>21.1f}% {got.minutes:>6.2f} "
                f"{got.rapids:>7} {got.rapid_mm:>7.0f} {got.path_mm:>8.0f}"
            )
        print(f"{'   ratio':<18} {own.air / book.air:>7.2f} {'':>22} {own.minutes / book.minutes:>6.2f} "
              f"{own.rapids / book.rapids:>7.2f} {own.rapid_mm / book.rapid_mm:>7.2f} "
              f"{own.path_mm / book.path_mm:>8.2f}")  # fmt: skip


if __name__ == "__main__":
    main()
