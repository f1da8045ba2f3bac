"""Machine minutes of every sample against a textbook plan and against what the machine could do at the very best.

    python tests/benchmarks/bench_minutes.py

Ratios of one clock, that of the proof. Work by hand and its stops are left out everywhere, tool changes are in
everywhere. Nothing is asserted.

textbook    the same operations with the same tools and surface speeds, but with fixed figures for the material and one
            spindle speed an operation, that of the greatest diameter. Depth and feed are the middles of the ranges
            that are common practice on a bench lathe of this power (steel 0.4 to 0.8 mm a side, softer metals 1.0 to
            1.5; roughing 0.05 to 0.20 mm a turn, finishing 0.03 to 0.10, but no more than a finish that is asked for
            bears), the depth no more than the motor pulls; a blade at 0.05 (War Department lathe manual). Roughing
            goes in levels from the bar's diameter, each over its full length
bound       metal taken by cuts / the best rate the motor allows (P x 0.75 / (1.4 kc), kc at this machine's roughing
            feed) + the time at feed of finish and facing cuts, of blades and threading points + tool changes
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from bench_air import textbook

from toolpath.commands.road import Made, MadeSetup, make
from toolpath.cutting import bench
from toolpath.cutting.figures import Figure
from toolpath.cutting.formulas import cutting_power, specific_force
from toolpath.cutting.turning import CuttingData
from toolpath.motion import ArcCut, Cut, Program, Rapid, ThreadCut
from toolpath.plan.operations import Operation
from toolpath.plan.plan import Plan
from toolpath.plan.request import Request
from toolpath.plan.steps import operations
from toolpath.proof import clock

DEPTH = {"steel": 0.6, "soft": 1.25}
ROUGH, FINISH, BLADE = 0.125, 0.065, 0.05
FINISHED = ("finish", "face", "part off", "groove", "thread")
SAMPLES = Path(__file__).resolve().parents[2] / "samples"


def seconds(planned: Plan, ops: list[Operation], asked: Request) -> list[float]:
    """Of every operation, its tool change with it."""
    steps = operations(ops, asked, change_point=planned.change_point)
    program = Program("", (), steps, home=planned.change_point)
    return [math.fsum(times) for times in clock.seconds(program, asked.machine)]


def by_the_book(planned: Plan, op: Operation) -> Operation:
    """The operation with fixed figures."""
    if not isinstance(op.data, CuttingData):
        return op
    if op.kind in ("part off", "groove"):
        return replace(op, data=replace(op.data, feed=Figure(BLADE, "textbook"), near_axis_feed=None))
    rough = op.kind == "rough"
    # A surface that is asked for is asked of the textbook too.
    most = ROUGH if rough else FINISH if planned.request.height_um is None else min(FINISH, op.data.feed.value)
    op = replace(op, data=replace(op.data, feed=Figure(most, "textbook")))
    if op.kind == "face":
        return op
    if rough and op.tool.works == "outside" and planned.work.outside.wanted:
        op = replace(op, data=replace(op.data, depth=Figure(pulled(planned, op.data), "textbook")))
        return replace(op, legs=textbook(planned.request, planned, op))
    return op


def pulled(planned: Plan, data: CuttingData) -> float:
    """The textbook's depth, mm, or what of it this motor pulls: a plan that stalls is none."""
    metal, machine = planned.request.material, planned.request.machine
    kc = bench.FORCE_MARGIN * specific_force(metal.kc11, metal.mc, feed=ROUGH)
    a_mm = cutting_power(data.surface.value, depth=1.0, feed=ROUGH, specific=kc, efficiency=bench.MOTOR_SHARE)
    return min(DEPTH[metal.group], machine.power_w / a_mm)


def lower_bound(setup: MadeSetup, ops: list[Operation]) -> float:
    """Seconds, as the head of this file says."""
    asked = setup.plan.request
    machine, metal = asked.machine, asked.material
    kc = bench.FORCE_MARGIN * specific_force(metal.kc11, metal.mc, feed=bench.ROUGH_FEED[machine.rigidity])
    rate = 1000.0 * machine.power_w * bench.MOTOR_SHARE / kc  # mm3 a second
    steps = operations(ops, asked, change_point=setup.plan.change_point)
    program = Program("", (), steps, home=setup.plan.change_point)
    finished = changes = 0.0
    feeds = (Cut, ArcCut, ThreadCut)
    for op, timed, motions in zip(ops, clock.seconds(program, machine), steps, strict=True):
        pairs = list(zip(timed, motions.steps, strict=True))
        changes += math.fsum(t for t, s in pairs if not isinstance(s, (*feeds, Rapid)))
        finished += math.fsum(t for t, s in pairs if isinstance(s, feeds) and op.kind in FINISHED)
    by_hand = math.fsum(_area_turned(h.removes) for h in setup.proof.by_hand)
    return (setup.proof.removed_mm3 - by_hand) / rate + finished + changes


def _area_turned(outlines: object) -> float:
    """mm3 of closed outlines [(z, x), ...] turned about the axis, by Pappus."""
    total = 0.0
    for outline in outlines:  # type: ignore[attr-defined]
        points = [(p[0], p[1]) for p in outline]
        for (z0, x0), (z1, x1) in zip(points, [*points[1:], points[0]], strict=True):
            total += math.pi * (z1 - z0) * (x0 * x0 + x0 * x1 + x1 * x1) / 3.0
    return abs(total)


def measured(made: Made) -> tuple[float, float, float]:
    """Seconds of all set-ups: ours, by the textbook, the bound."""
    ours = book = bound = 0.0
    for setup in made.setups:
        planned = setup.plan
        ops = [op for op in planned.operations if isinstance(op, Operation)]
        own = seconds(planned, ops, planned.request)
        ours += math.fsum(own)
        fixed = replace(planned.request, machine=replace(planned.request.machine, constant_surface_speed=False))
        book += math.fsum(seconds(planned, [by_the_book(planned, op) for op in ops], fixed))
        bound += lower_bound(setup, ops)
    return ours, book, bound


def main() -> None:
    heads = f"{'job':<18} {'min':>6} {'textbook':>9} {'bound':>6}"
    print(f"{heads} {'/ textbook':>11} {'/ bound':>8}   bars: < 0.8, < 1.4")
    ratios = []
    for job in sorted(SAMPLES.glob("*.toml")):
        made = make(job, sizes={}, material=None, post=None, stop_before_tools=False)
        ours, book, bound = measured(made)
        ratios.append((ours / book, ours / bound))
        times = f"{job.stem:<18} {ours / 60:>6.2f} {book / 60:>9.2f} {bound / 60:>6.2f}"
        print(f"{times} {ours / book:>11.2f} {ours / bound:>8.2f}", flush=True)
    for name, k in (("to the textbook", 0), ("to the bound", 1)):
        values = sorted(r[k] for r in ratios)
        print(f"median {name}: {values[len(values) // 2]:.2f}, worst {values[-1]:.2f}")


if __name__ == "__main__":
    main()
