"""What `make` says when it is done, in lines a machinist can read, and what it says when the proof refuses."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path

from toolpath.commands.mandrel import name_of
from toolpath.commands.report import why_uncut
from toolpath.commands.road import Again, Made, MadeSetup
from toolpath.cutting.polishing import told
from toolpath.geometry.elements import Point
from toolpath.part.halfsection import HalfSection
from toolpath.part.stock import Stock
from toolpath.plan import bar_length
from toolpath.plan.header import how_held
from toolpath.plan.operations import ByHand, Operation
from toolpath.plan.steps import state_of, tools_of
from toolpath.proof import load
from toolpath.proof.findings import STOP

WIDTH = 80


def summary(made: Made, files: Sequence[str], withdrawn: Sequence[str], folder: Path) -> Iterator[str]:
    """Every set-up with its tools, operations, minutes, proof and leftovers; then cautions and files."""
    job = made.inputs.job
    yield f"{job.title}: {made.inputs.material.title}, {_stock(job.bar.stock)}"
    if made.changed:
        yield "Changed with the material"
        for line in made.changed:
            yield from _wrapped(f"- {line}", 2)
        yield ""
    for setup in made.setups:
        yield from _setup(made, setup)
        yield ""
    if made.inputs.polish:
        yield "Polish"
        for line in told(made.inputs.polish):
            yield from _wrapped(f"- {line}", 2)
        yield ""
    yield "Cautions"
    for caution in dict.fromkeys((*made.inputs.cautions, *(c for setup in made.setups for c in setup.plan.cautions))):
        yield from _wrapped(f"- {caution}", 2)
    yield ""
    yield from _mandrel(made, files)
    yield from told_withdrawn(withdrawn)
    yield from _wrapped(f"Written to {folder}: {', '.join(files)}", 2)


def _mandrel(made: Made, files: Sequence[str]) -> Iterator[str]:
    """Where a set-up needs a mandrel: when to make it, or why there is no job for it."""
    name, needs = name_of(made.inputs.job), [s.plan.name for s in made.setups if s.plan.request.on]
    if needs and name in files:
        told = f"Before set-up {needs[0]} make the mandrel, from {name}, and leave it in the chuck"
        yield from _wrapped(told, 2)
    elif needs:
        told = f"No job is written for the mandrel of set-up {needs[0]}: its thread or a drill for it is not known"
        yield from _wrapped(told, 2)


def _stock(stock: Stock) -> str:
    bore = f", bore {stock.bore:g}" if stock.bore else ""
    return f"{'tube' if bore else 'bar'} {stock.dia:g}{bore} x {stock.length:g} mm"


def _setup(made: Made, setup: MadeSetup) -> Iterator[str]:
    plan, proof = setup.plan, setup.proof
    for k, line in enumerate(how_held(plan.request, plan.work)):
        yield from _wrapped(f"{'Set-up ' + plan.name if k == 0 else '':<10}{line}", 10)
    if plan.request.gripped is None:
        yield from _wrapped(f"{'':<10}{bar_length.told(plan.request, plan.work)}", 10)
    yield ""
    yield "Tools"
    for tool in tools_of(plan.operations):
        yield f"  T{tool.number}  {tool.name}"
    yield ""
    yield f"{'Operation':<12}{'tool':>4}{'cuts':>6}{'depth mm':>10}{'feed mm/rev':>13}  {'speed':<21}{'min':>6}"
    for op, timed in zip(plan.operations, proof.operations, strict=True):
        if isinstance(op, ByHand):
            yield f"{op.kind:<12} by hand  {op.using:<43.43}{timed.seconds / 60.0:>9.1f}"
            continue
        yield (
            f"{op.kind:<12}{'T' + str(op.tool.number):>4}{op.passes:>6}{op.depth:>10.2f}"
            f"{op.data.feed.value:>13.3f}  {_speed(made, op):<21}{timed.seconds / 60.0:>6.1f}"
        )
    air = 100.0 * proof.air_seconds / max(proof.air_seconds + proof.cutting_seconds, 1e-9)
    yield f"Together {proof.seconds / 60.0:.1f} min; {air:.0f} % of the feed time in air"
    yield ""
    closest = (
        f"closest rapid {proof.closest_rapid_mm:.2f} mm" if math.isfinite(proof.closest_rapid_mm) else "no rapid near"
    )
    yield f"Proof     deepest gouge {1000.0 * proof.gouge_mm:.2f} µm, {closest}"
    if proof.closest:
        near = ", ".join(f"{gap:.2f} mm to {name}" for name, gap in proof.closest)
        yield from _wrapped(f"Rapids    keep {near}: a touch-off may be out by no more", 10)
    for cut in load.told(list(zip(proof.loads, (t.kind for t in proof.operations), strict=True))):
        yield from _wrapped(f"Heaviest  {cut}", 10)
    yield from _left(setup)
    yield from _findings(setup)
    if setup.again is not None:
        yield from _wrapped(_again(made, setup, setup.again), 10)


def _again(made: Made, setup: MadeSetup, again: Again) -> str:
    """The second helping: its file, what it comes to, and how long it holds."""
    file = f"{made.inputs.job.stem}-{setup.plan.name}-again.nc"
    return (
        f"Again     {file} takes {again.thread} {again.deeper:g} mm deeper, proven after {setup.plan.name}; run it "
        "only while the part has not left its hold, before it is parted off, with zero and point as they were"
    )


def refused(made: Made, withdrawn: Sequence[str], folder: Path) -> str:
    """Why a program is not written: every finding that stops it, with its place."""
    lines: list[str] = []
    for setup in made.refused:
        head = f"the proof refuses the program of set-up {setup.plan.name}; it is not written."
        lines.append(f"{head} Report and pictures lie in {folder}")
        stops = [f for f in setup.proof.findings if f.rank == STOP]
        lines += [f"  line {f.line}: {f.text}" if f.line else f"  {f.text}" for f in stops]
    return "\n".join([*lines, *told_withdrawn(withdrawn)])


def told_withdrawn(names: Sequence[str]) -> Iterator[str]:
    """One line for programs of an earlier run that no longer hold."""
    if names:
        yield f"No longer valid, put aside: {', '.join(f'{n}.withdrawn' for n in names)}"


def _left(setup: MadeSetup) -> Iterator[str]:
    left = setup.proof.uncut
    if not left:
        yield "Uncut     nothing"
    for u in left:
        place = f"z {u.at[0]:.2f}, diameter {2.0 * u.at[1]:.2f}, on {surface_at(setup.plan.request.part, u.at)}"
        yield from _wrapped(f"Uncut     {u.thick_mm:.3f} mm at {place}: {why_uncut(u.at, setup.left)}", 10)


def surface_at(part: HalfSection, at: Point) -> str:
    """The part's surface nearest to a point (z, x), with its row where a row made it: `taper dia 20 to 12 (row 3)`."""
    chains = (*part.outside, *part.inside, *part.inside_back)
    surfaces = (*part.surfaces, *part.inside_surfaces, *part.inside_back_surfaces)
    nearest = min(range(len(chains)), key=lambda k: chains[k].distance(at))
    surface = surfaces[nearest]
    return surface.name if surface.row is None else f"{surface.name} ({surface.place('part')})"


def _findings(setup: MadeSetup) -> Iterator[str]:
    for f in setup.proof.findings:
        if f.code != "uncut":
            place = f"line {f.line}: " if f.line else ""
            yield from _wrapped(f"{f.rank.capitalize():<10}{place}{f.text}", 10)


def _speed(made: Made, op: Operation) -> str:
    spindle = state_of(op, made.inputs.machine).spindle
    if spindle is None:
        return ""
    if spindle.surface:
        return f"{spindle.surface:g} m/min <= {spindle.limit_rpm:g}"
    return f"{spindle.rpm:g} rpm"


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=" " * indent, break_on_hyphens=False)
