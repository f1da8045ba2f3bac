"""`halfsection thread DESIGNATION`: limits, drills, diameters and measurement of a thread, in both units."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from toolpath.shop.drills import DrillSet

HELP = """Look up a thread: limits, drills, what to turn and measure.

DESIGNATION is written as on a drawing: M10x1-6g, M20x4(P2), '5/16-24 UNF-2A', '#10-32', '1/4 BSW', '1/4 BSF',
'1/4-40 ME', '2 BA', 'G 1/4', '1/4 NPT', 'Tr 12x3', with LH behind it for a left hand; or any diameter, pitch and angle
between the flanks: '12 x 1.25 60deg'. Printed are the limits of screw and hole, depth and flats, the drills before the
tap, the diameters before die and point, relief, chamfers, and the measure over three wires, all in both units.

\b
Examples:
  halfsection thread M10x1
  halfsection thread 5/16-24 UNF-2A
  halfsection thread '#10-32'       the quotes keep the shell from taking # for itself
  halfsection thread M6 --rack samples/racks/drawer.toml --wire 0.6

Exit codes: 0 done, 1 the thread, the rack or the wire is bad, 2 the command was called wrongly.
"""


@click.command("thread", help=HELP, short_help="Look up a thread: limits, drills, what to turn and measure.")
@click.argument("words", metavar="DESIGNATION", nargs=-1, required=True)
@click.option("--rack", "rack", metavar="FILE", type=click.Path(path_type=Path), help="Only the drills of this rack.")
@click.option("--wire", "wire", metavar="SIZE", help="Measure over wires of this diameter, instead of the best.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def thread(words: tuple[str, ...], rack: Path | None, wire: str | None, as_json: bool) -> None:
    from toolpath.commands.thread_answer import answer
    from toolpath.quantity import length
    from toolpath.shop.threads import read_thread

    meant = read_thread(" ".join(words))
    size = None if wire is None else length(wire, unit="mm", positive=True)
    found = answer(meant, _sets(rack), wire=size)
    if as_json:
        click.echo(json.dumps(found, indent=2, ensure_ascii=False))
        return
    from toolpath.commands.thread_page import page

    for line in page(found):
        click.echo(line)


def _sets(rack: Path | None) -> tuple[DrillSet, ...]:
    from toolpath.commands.drill import owned
    from toolpath.shop import drills

    return owned(rack) if rack else drills.every_set()
