"""`halfsection prove PROGRAM.nc --job JOB.toml`: prove a program text that is there already, whoever wrote it."""

from __future__ import annotations

from pathlib import Path

import click

from toolpath.commands.options import material_option, sizes_option

HELP = """Prove a program text, also one edited by hand; write nothing.

PROGRAM is the text as the control will read it. JOB and the set-up say what it can not: bar, part, hold, machine and
tools. Every move is swept over what stands; printed are the operations as the text has them, deepest gouge, what stays
uncut, closest rapid, minutes, and all that was found: what stops the program, what needs a look, notes.

A later set-up starts from what those before leave: their programs, STEM-1.nc and so on (STEM being the job file's name
without its ending), are read and proven too, from beside PROGRAM or from the folder of --earlier; or --stock gives the
report that says it.

\b
Examples:
  halfsection prove bob/bob-1.nc --job bob.toml
  halfsection prove edited.nc --job cap.toml --setup 2 --earlier cap
  halfsection prove edited.nc --job cap.toml --setup 2 --stock cap/cap.json
  halfsection prove bob/bob-1.nc --job bob.toml --json

Exit codes: 0 proven, 1 the text can not be read or an input is bad, 2 the command was called wrongly, 3 refused,
130 interrupted.
"""


@click.command("prove", help=HELP, short_help="Prove a program text, also one edited by hand; write nothing.")
@click.argument("program", metavar="PROGRAM", type=click.Path(path_type=Path))
@click.option("--job", metavar="JOB", required=True, type=click.Path(path_type=Path), help="The job it is for.")
@click.option("--setup", "number", metavar="N", type=click.IntRange(min=1), default=1, help="Its set-up; 1 otherwise.")
@click.option(
    "--earlier",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Where the programs of earlier set-ups lie; beside PROGRAM otherwise.",
)
@click.option(
    "--stock",
    metavar="REPORT",
    type=click.Path(path_type=Path),
    help="A report, STEM.json of make, that says what the set-up before left, instead of its program.",
)
@sizes_option
@click.option("--post", metavar="DIALECT", help="The dialect of the text, instead of the machine file's.")
@material_option
@click.option("--json", "as_json", is_flag=True, help="Print the set-up's entry of the report as JSON.")
@click.option("-q", "--quiet", is_flag=True, help="Print nothing but what went wrong.")
def prove(
    program: Path,
    job: Path,
    number: int,
    earlier: Path | None,
    stock: Path | None,
    sizes: dict[str, str],
    post: str | None,
    material: str | None,
    as_json: bool,
    quiet: bool,
) -> None:
    from toolpath.commands.proving import Asked, prove_text
    from toolpath.commands.verdict import refused, verdict
    from toolpath.errors import ProofRefused

    if stock and earlier:
        raise click.UsageError("--stock says what the set-up before left, and so does --earlier; give one of them.")
    asked = Asked(program, number, earlier or program.parent, stock, quiet)
    proven = prove_text(asked, job, sizes=sizes, material=material, post=post)
    if as_json:
        from toolpath.commands.report import proven_text

        click.echo(proven_text(proven.made, compensated=proven.given.compensated, program=program.name))
    elif not quiet:
        for line in verdict(proven):
            click.echo(line)
    if proven.setup.proof.refused:
        raise ProofRefused(refused(proven, all_of_them=quiet and not as_json))
