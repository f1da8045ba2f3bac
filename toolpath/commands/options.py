"""Arguments and options that several commands share, each with one meaning everywhere."""

from __future__ import annotations

from pathlib import Path

import click


def _sizes(ctx: click.Context, option: click.Parameter, given: tuple[str, ...]) -> dict[str, str]:
    """NAME=VALUE pairs as a mapping; the names are judged where the job is read."""
    sizes: dict[str, str] = {}
    for pair in given:
        name, equals, value = (part.strip() for part in pair.partition("="))
        if not (name and equals and value):
            raise click.BadParameter(f"'{pair}' is not NAME=VALUE, as in --set wall=2 or --set wall='1/16 in'.")
        if name in sizes:
            raise click.BadParameter(f"'{name}' is set twice.")
        sizes[name] = value
    return sizes


job_argument = click.argument("path", metavar="JOB", type=click.Path(path_type=Path))
sizes_option = click.option(
    "--set",
    "sizes",
    metavar="NAME=VALUE",
    multiple=True,
    callback=_sizes,
    help="Another value for one of the job's [sizes], for this run: --set wall=2, --set wall='1/16 in'. "
    "May be given several times.",
)
material_option = click.option(
    "--material",
    metavar="NAME",
    help="What the bar is of, instead of the job's material: brass, 'mild steel'. "
    "A name that is not known lists them all.",
)
