"""`halfsection make JOB`: turn a job into proven programs, drawings and a report."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from toolpath.commands.options import job_argument, material_option, sizes_option

if TYPE_CHECKING:
    from toolpath.commands.road import Made

HELP = """Turn a job into proven programs, drawings and a report.

JOB is a job file, as samples/plumb-bob-body.toml; the machine and the rack that it names are found from where it lies.
Written are STEM-1.nc (the program), STEM-1.dxf, STEM-1.svg and STEM.json (the report), STEM being the job file's name
without its ending; what is to be known before cutting is printed. A program that fails its proof is not written.

\b
Examples:
  halfsection make bob.toml
  halfsection make bob.toml --set body=22 -o trial
  halfsection make bob.toml --material "mild steel" --stop-before-each-tool

Exit codes: 0 done, 1 the job or another input is bad, 2 the command was called wrongly, 3 the proof refuses the
program, 130 interrupted.
"""


def _folder(ctx: click.Context, option: click.Parameter, given: str | None) -> Path | None:
    """The folder of `-o`; an empty name would be this one, and is more likely a variable that was not set."""
    if given is None:
        return None
    if not given.strip():
        raise click.BadParameter("the folder has no name; '.' is the folder you are in.")
    return Path(given)


@click.command("make", help=HELP, short_help="Turn a job into proven programs, drawings and a report.")
@job_argument
@click.option(
    "-o",
    "--output",
    "folder",
    metavar="DIR",
    callback=_folder,
    help="Folder for the results, made if it is not there. By default ./STEM, named after the job.",
)
@sizes_option
@click.option(
    "--post",
    metavar="DIALECT",
    help="The control's dialect, instead of the machine file's: a name as g95, or a file as my.toml.",
)
@material_option
@click.option(
    "--stop-before-each-tool",
    "stop_before_tools",
    is_flag=True,
    help="Stop (M00) before every tool's first cut, also where the machine changes tools by itself.",
)
@click.option(
    "--dry",
    is_flag=True,
    help="Write the programs to be run with the spindle stopped and nothing in the chuck, standing off along Z.",
)
@click.option(
    "--one-program-per-tool",
    "per_tool",
    is_flag=True,
    help="Write, besides the program of each set-up, the same as one program for each tool: STEM-1-tool-1.nc, ...",
)
@click.option(
    "--again",
    metavar="[THREAD=]DEPTH",
    help="A thread came out tight: write a second helping as well, extra passes that go so much deeper: --again 0.03, "
    "--again M10x1=0.03.",
)
@click.option("-q", "--quiet", is_flag=True, help="Print nothing but what went wrong.")
def make(
    path: Path,
    folder: Path | None,
    sizes: dict[str, str],
    post: str | None,
    material: str | None,
    stop_before_tools: bool,
    dry: bool,
    per_tool: bool,
    again: str | None,
    quiet: bool,
) -> None:
    from toolpath.commands.outputs import write_all
    from toolpath.commands.results import programs_of, results
    from toolpath.commands.summary import refused, summary
    from toolpath.errors import ProofRefused

    if dry and again is not None:
        raise click.UsageError("--again is for a thread that was cut; a dry run cuts none.")
    made = _made(path, sizes=sizes, material=material, post=post, stop_before_tools=stop_before_tools, dry=dry)
    if again is not None:
        from toolpath.commands.again import helped

        made = helped(made, again)
    if per_tool:
        from toolpath.commands.by_tool import by_tool

        made = by_tool(made, dry=dry)
    stem = made.inputs.job.stem
    into = folder if folder is not None else Path(stem)
    files = results(made, into)
    withdrawn = write_all(into, files, withdraw=programs_of(into, stem))
    if made.refused:
        raise ProofRefused(refused(made, withdrawn, into))
    if not quiet:
        for line in summary(made, sorted(files), withdrawn, into):
            click.echo(line)


def _made(
    path: Path, *, sizes: dict[str, str], material: str | None, post: str | None, stop_before_tools: bool, dry: bool
) -> Made:
    """The job, made; in another material with what that changes, or what is no longer possible."""
    from toolpath.commands.road import make as run

    if material is None:
        return run(path, sizes=sizes, material=None, post=post, stop_before_tools=stop_before_tools, dry=dry)
    from msgspec.structs import replace

    from toolpath.commands.changes import changes, no_longer, own
    from toolpath.errors import BadInput, CannotMake

    try:
        made = run(path, sizes=sizes, material=material, post=post, stop_before_tools=stop_before_tools, dry=dry)
    except (BadInput, CannotMake) as error:
        raise no_longer(error, path, sizes=sizes, material=material) from None
    return replace(made, changed=changes(own(path, sizes=sizes, post=post), made))
