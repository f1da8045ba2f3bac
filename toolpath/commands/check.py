"""`halfsection check JOB`: read a job and all that it names, judge it, and say what was understood. Writes nothing."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

import click

from toolpath.commands.figures_told import cutting_figures
from toolpath.commands.fits import components, trims
from toolpath.commands.inputs import Inputs, hold, read_inputs, refuse_short_bar
from toolpath.commands.options import job_argument, material_option, sizes_option
from toolpath.commands.stations import WIDTH, long, surfaces, walls
from toolpath.commands.threads_told import threads
from toolpath.shop.drills import SINGLE

HELP = """Read and judge a job; write nothing.

JOB is a job file, as samples/plumb-bob-body.toml. Printed are the stations of the part with diameters and limits, its
walls, its threads, what it holds and with which play, volume and weight, the tools of the rack, every default that was
used with the reason for it, speed, feed and depth with each tool and the bound that decided them, and cautions.

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
    yield f"  {inputs.material.title}, bar {long(inputs, job.bar.dia)} x {long(inputs, job.bar.length)}"
    yield f"  {gripping.name}, {inputs.machine.name}"
    yield ""
    yield from surfaces(inputs)
    yield from walls(inputs)
    yield from threads(inputs)
    yield from components(inputs)
    yield from trims(inputs)
    yield ""
    yield from _measures(inputs)
    yield ""
    yield from _tools(inputs)
    yield from _defaults(inputs)
    yield ""
    yield from cutting_figures(inputs)
    cautions = (*inputs.cautions, *inputs.material.cautions, *gripping.cautions)
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


def _measures(inputs: Inputs) -> Iterator[str]:
    part, expected = inputs.part, inputs.job.expected
    volume = part.volume()
    stated = f" ({expected.volume:.1f} expected)" if expected else ""
    grams = volume / 1000.0 * inputs.material.density
    yield f"Length {long(inputs, part.length)}, largest diameter {long(inputs, part.largest_dia)}"
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


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=" " * indent, drop_whitespace=True, break_on_hyphens=False)
