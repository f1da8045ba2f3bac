"""`halfsection check JOB`: read a job and all that it names, judge it, and say what was understood. Writes nothing."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

import click

from toolpath.commands.inputs import Inputs, hold, read_inputs, refuse_short_bar
from toolpath.commands.options import job_argument, material_option, sizes_option
from toolpath.part.halfsection import Surface
from toolpath.shop.drills import SINGLE

WIDTH = 80
MM_PER_UNIT = {"mm": 1.0, "inch": 25.4}
DIGITS = {"mm": 3, "inch": 4}  # a micrometre, a tenth of a thou: what a bench micrometer reads


HELP = """Read and judge a job; write nothing.

JOB is a job file, as samples/plumb-bob-body.toml. Printed are the stations of the part with diameters and limits, its
volume and weight, the tools of the rack, every default that was used with the reason for it, and cautions.

\b
Examples:
  halfsection check bob.toml
  halfsection check bob.toml --set body=22 --set neck="5/8 in"

Exit codes: 0 the job is sound, 1 it or a file it names is bad, 2 the command was called wrongly.
"""


@click.command("check", help=HELP, short_help="Read and judge a job; write nothing.")
@job_argument
@sizes_option
@material_option
def check(path: Path, sizes: dict[str, str], material: str | None) -> None:
    inputs = read_inputs(path, sizes=sizes, material_name=material)
    for line in told(inputs):
        click.echo(line)


def told(inputs: Inputs) -> Iterator[str]:
    """What was understood, as lines: stations, tools, defaults, cautions."""
    job = inputs.job
    gripping = hold(inputs)
    refuse_short_bar(inputs, gripping)
    yield job.title
    yield f"  {inputs.material.title}, bar {_long(inputs, job.bar.dia)} x {_long(inputs, job.bar.length)}"
    yield f"  {gripping.name}, {inputs.machine.name}"
    yield ""
    yield from _stations(inputs)
    yield ""
    yield from _measures(inputs)
    yield ""
    yield from _tools(inputs)
    yield from _defaults(inputs)
    cautions = (*inputs.material.cautions, *gripping.cautions)
    if cautions:
        yield ""
        yield "Cautions"
        for caution in cautions:
            yield from _wrapped(f"  {caution}", 4)


def _tools(inputs: Inputs) -> Iterator[str]:
    """The rack: what a program can call, what is held in the tailstock, and the drills box by box."""
    yield "Tools"
    drawer = inputs.drawer
    numbered = [(tool.number, tool.name) for tool in drawer.tools]
    numbered += [(holder.number, f"{holder.name}, drills up to {holder.largest:g} mm") for holder in drawer.holders]
    for number, name in sorted(numbered):
        yield from _wrapped(f"{number:3}  {name}", 7)
    for tool in drawer.by_hand:
        yield from _wrapped(f"{'':5}{tool.name}, in the tailstock", 7)
    if drawer.sets:
        boxes = (", ".join(d.name for d in s.drills) if s.name == SINGLE else s.name for s in drawer.sets)
        yield from _wrapped(f"     drills: {'; '.join(boxes)}", 7)


def _stations(inputs: Inputs) -> Iterator[str]:
    """One line a surface: where it begins and ends, from the front face; its diameters there; what it is."""
    job = inputs.job
    yield f"Stations from the front face, {job.unit}"
    yield f"{'from':>9} {'to':>9} {'dia':>9} {'to dia':>9}  surface"
    for element, surface in zip(inputs.part.outside, inputs.part.surfaces, strict=True):
        (z0, x0), (z1, x1) = element.a, element.b
        figures = " ".join(f"{_figure(inputs, value):>9}" for value in (-z0, -z1, 2.0 * x0, 2.0 * x1))
        yield f"{figures}  {surface.name}{_limits(inputs, surface)}"


def _limits(inputs: Inputs, surface: Surface) -> str:
    """The limits of a diameter that has some; its stations show the middle, which is what is cut."""
    if surface.dia is None or not surface.dia.toleranced:
        return ""
    lower, upper = (_figure(inputs, value) for value in (surface.dia.lower, surface.dia.upper))
    return f", {lower} to {upper}"


def _measures(inputs: Inputs) -> Iterator[str]:
    part, expected = inputs.part, inputs.job.expected
    volume = part.volume()
    stated = f" ({expected.volume:.1f} expected)" if expected else ""
    grams = volume / 1000.0 * inputs.material.density
    yield f"Length {_long(inputs, part.length)}, largest diameter {_long(inputs, part.largest_dia)}"
    yield f"Volume {volume:.1f} mm³{stated}, {grams:.1f} g"


def _defaults(inputs: Inputs) -> Iterator[str]:
    """Everything that was taken for granted, file by file; nothing for a file that says all."""
    job = inputs.job
    of_job = [f"{used.key} = {used.value}: {used.why}" for used in job.defaults]
    of_rack = [f"tool {tool.number}: {what}" for tool in inputs.tools for what in tool.assumed]
    of_rack += [f"{tool.name}: {', '.join(tool.assumed)}" for tool in inputs.drawer.by_hand if tool.assumed]
    for file, lines in ((job.file, of_job), (job.machine, inputs.machine.defaults_used), (job.tools, of_rack)):
        if lines:
            yield ""
            yield f"Defaults used, not said in {file.name}"
            for line in lines:
                yield from _wrapped(f"  {line}", 6)


def _figure(inputs: Inputs, mm: float) -> str:
    unit = inputs.job.unit
    digits = DIGITS[unit]
    return f"{round(mm / MM_PER_UNIT[unit], digits) + 0.0:.{digits}f}"  # + 0.0: never "-0.000"


def _long(inputs: Inputs, mm: float) -> str:
    unit = inputs.job.unit
    return f"{mm / MM_PER_UNIT[unit]:.{DIGITS[unit] + 3}g} {'in' if unit == 'inch' else unit}"


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=" " * indent, drop_whitespace=True, break_on_hyphens=False)
