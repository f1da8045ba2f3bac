"""`halfsection make JOB`: turn a job into proven programs, drawings and a report."""

from __future__ import annotations

from pathlib import Path

import click

from toolpath.commands.options import job_argument, material_option, sizes_option


@click.command("make", help="Turn a job into proven programs, drawings and a report.")
@job_argument
@click.option(
    "-o",
    "--output",
    "folder",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Folder for the results; by default one named after the job, here.",
)
@sizes_option
@click.option("--post", metavar="DIALECT", help="Another dialect than the machine's: a name or a file.")
@material_option
@click.option(
    "--stop-before-each-tool", "stop_before_tools", is_flag=True, help="Stop before the first cut of every tool."
)
@click.option("-q", "--quiet", is_flag=True, help="Say nothing but what went wrong.")
def make(
    path: Path,
    folder: Path | None,
    sizes: dict[str, str],
    post: str | None,
    material: str | None,
    stop_before_tools: bool,
    quiet: bool,
) -> None:
    from toolpath.commands.outputs import write_all
    from toolpath.commands.results import programs_of, results
    from toolpath.commands.road import make as run
    from toolpath.commands.summary import refused, summary
    from toolpath.errors import ProofRefused

    made = run(path, sizes=sizes, material=material, post=post, stop_before_tools=stop_before_tools)
    stem = made.inputs.job.stem
    into = folder if folder is not None else Path(stem)
    files = results(made)
    withdrawn = write_all(into, files, withdraw=programs_of(into, stem))
    if made.proof.refused:
        raise ProofRefused(refused(made, withdrawn, into))
    if not quiet:
        for line in summary(made, sorted(files), withdrawn, into):
            click.echo(line)
