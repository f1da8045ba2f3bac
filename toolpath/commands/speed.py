"""`halfsection speed MATERIAL`: speed, feed and depth for a material, each figure with the bound that decided it."""

from __future__ import annotations

import json
from pathlib import Path

import click

HELP = """Look up speed, feed and depth for a material.

MATERIAL is its name or a trade name: brass, 'mild steel', CZ121, 6082, POM. Printed are surface speed, spindle speed at
the diameter, feed and depth of each operation, and for every figure the bound that decided it with its source; then
what is known of the material: edge, coolant, heat, chips, walls, cautions. Plain tools are taken, which the page names.

\b
Examples:
  halfsection speed brass
  halfsection speed 'mild steel' --dia 12 --tool HSS
  halfsection speed POM --operation finish --machine samples/machines/bench.toml
  halfsection speed 6082 --dia '1/2 in' --operation 'part off'

Exit codes: 0 done, 1 the material, the machine or the tool will not do, 2 the command was called wrongly.
"""


def _operation(ctx: click.Context, option: click.Parameter, given: str | None) -> str | None:
    """The operation as it is called inside; `part-off` will do for `part off`."""
    from toolpath.commands.speed_answer import OPERATIONS
    from toolpath.quantity import nearest

    if given is None:
        return None
    said = " ".join(given.lower().replace("-", " ").replace("_", " ").split())
    if said not in OPERATIONS:
        raise click.BadParameter(f"there is no operation '{given}'. {nearest(said, OPERATIONS)}")
    return said


@click.command("speed", help=HELP, short_help="Look up speed, feed and depth for a material.")
@click.argument("words", metavar="MATERIAL", nargs=-1, required=True)
@click.option(
    "--dia", "dia", metavar="SIZE", default="20 mm", help="Diameter of the work, or of the drill; 20 mm otherwise."
)
@click.option("--tool", "tool", metavar="NAME", help="HSS or carbide; otherwise carbide where it is fit, else HSS.")
@click.option(
    "--operation",
    metavar="NAME",
    callback=_operation,
    help="One of rough, finish, face, groove, 'part off', drill, ream, thread; all of them otherwise.",
)
@click.option("--machine", "machine", metavar="FILE", type=click.Path(path_type=Path), help="The lathe's machine file.")
@click.option("--materials", "own", metavar="FILE", type=click.Path(path_type=Path), help="Your own materials file.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def speed(
    words: tuple[str, ...],
    dia: str,
    tool: str | None,
    operation: str | None,
    machine: Path | None,
    own: Path | None,
    as_json: bool,
) -> None:
    from toolpath.commands.speed_answer import OPERATIONS, answer, asked
    from toolpath.quantity import length

    wanted = asked(" ".join(words), machine, tool=tool, own=own)
    size = length(dia, unit="mm", positive=True)
    found = answer(wanted, dia=size, operations=(operation,) if operation else OPERATIONS)
    if as_json:
        click.echo(json.dumps(found, indent=2, ensure_ascii=False))
        return
    from toolpath.commands.speed_page import page

    for line in page(found):
        click.echo(line)
