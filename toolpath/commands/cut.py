"""`halfsection cut OPERATION`: one operation, straight from the command line, through the same road as a whole job."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

HELP = """Cut one operation, straight from the command line.

The bar is in the lathe already; say what it is, and what is to be done at its end. Sizes are written as in a job:
12, '1/2 in', '14 h7'. Machine, rack, material, bar and hold are those of the last time where they are not given.
The program is printed; it is also written, with pictures, report and the job it was made from, into ./cut-OPERATION.

\b
Examples:
  halfsection cut turn 12 30 --bar 16 --material brass --machine bench.toml --tools drawer.toml
  halfsection cut face 1
  halfsection cut taper 9 40 --ratio 1:20
  halfsection cut taper --standard 'Morse 1' --bar 16
  halfsection cut drill 5 12
  halfsection cut thread M10x1 9 --by die
  halfsection cut groove 10 2 --at 15 --into bob.toml

Exit codes: 0 done, 1 this can not be cut, 2 the command was called wrongly, 3 the proof refuses the program,
130 interrupted.
"""


class _Operations(click.Group):
    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0] not in self.commands and not args[0].startswith("-"):
            from toolpath.quantity import nearest

            ctx.fail(f"There is no operation '{args[0]}'. {nearest(args[0], list(self.commands))}")
        return super().resolve_command(ctx, args)


@click.group("cut", cls=_Operations, help=HELP, short_help="Cut one operation, straight from the command line.")
def cut() -> None:
    pass


PATH = click.Path(path_type=Path)
SHOP = {
    "bar_dia": click.option("--bar", "bar_dia", metavar="DIA", help="Diameter of the bar; as the last time otherwise."),
    "bar_length": click.option("--bar-length", metavar="LENGTH", help="How long the bar is; as is needed otherwise."),
    "bore": click.option("--bore", metavar="DIA", help="The bar is a tube, with this bore."),
    "material": click.option("--material", metavar="NAME", help="What the bar is of."),
    "machine": click.option("--machine", metavar="FILE", type=PATH, help="The machine file."),
    "tools": click.option("--tools", metavar="FILE", type=PATH, help="The rack file."),
    "hold": click.option("--in", "hold", metavar="HOLD", help="chuck, collet, four-jaw, 'soft jaws', 'split bush'."),
    "units": click.option("--units", type=click.Choice(["mm", "inch"]), help="Of bare numbers; mm otherwise."),
    "post": click.option("--post", metavar="DIALECT", help="Another dialect than the machine's."),
    "folder": click.option("-o", "--output", "folder", metavar="DIR", type=PATH, help="Not into ./cut-OPERATION."),
    "into": click.option("--into", metavar="JOB", type=PATH, help="Add it to the end of this job's rows instead."),
    "quiet": click.option("-q", "--quiet", is_flag=True, help="Print the program and nothing else."),
}
"""What every operation takes, by the name under which `cut_run.Asked` has it."""

Option = Callable[[Any], Any]


def _operation(name: str, *own: Option, rows: str, help: str, judged: Callable[..., None] | None = None) -> None:
    """A subcommand whose own words go to the function `rows` of `cut_rows`.

    judged: raises click.UsageError for words that do not go together
    """

    def called(**given: Any) -> None:
        from toolpath.commands import cut_rows
        from toolpath.commands.cut_run import Asked, run

        shop = {key: given.pop(key) for key in SHOP}
        if judged is not None:
            judged(**given)
        run(Asked(operation=name, typed=given, **shop), lambda bar: getattr(cut_rows, rows)(bar, **given))

    function: Any = called
    for option in (*reversed(SHOP.values()), *reversed(own)):
        function = option(function)
    cut.command(name, help=help)(function)


def _taper_judged(dia: str | None, length: str | None, standard: str | None, **slope: str | None) -> None:
    if standard is not None and (dia is not None or any(slope.values())):
        raise click.UsageError("a standard taper has its own sizes: give --standard alone.")
    if standard is None and (dia is None or length is None):
        raise click.UsageError("a taper takes FROM and LENGTH, or --standard NAME.")


AT = click.option("--at", metavar="LENGTH", required=True, help="From the bar's end to its front edge.")
ANGLE = click.option("--angle", metavar="ANGLE", help="From the axis; 45 degrees otherwise.")

_operation("face", click.argument("off", default="1"), rows="face", help="Take OFF (1 mm) off the end.")
_operation(
    "turn", click.argument("dia"), click.argument("length"), rows="turn", help="Turn to diameter DIA over LENGTH."
)
_operation(
    "taper",
    click.argument("dia", metavar="[FROM]", required=False),
    click.argument("length", required=False),
    click.option("--to", metavar="DIA", help="Diameter of its other end."),
    click.option("--half-angle", metavar="ANGLE", help="From the axis: what the compound slide is set to."),
    click.option("--included-angle", metavar="ANGLE", help="Between its two sides."),
    click.option("--ratio", metavar="1:N", help="Diameter to length, 1:20; or '0.6 in/ft'."),
    click.option("--standard", metavar="NAME", help="'Morse 1', 'Jarno 3', 'metric 4': FROM and LENGTH are its own."),
    rows="taper",
    help="Turn a taper, its end of diameter FROM in front, over LENGTH.",
    judged=_taper_judged,
)
_operation("chamfer", click.argument("size"), ANGLE, rows="chamfer", help="Chamfer the edge by SIZE along the axis.")
_operation("round", click.argument("radius"), rows="round_edge", help="Round the edge with RADIUS.")
_operation(
    "dome", click.argument("radius"), rows="dome", help="Turn the end to a dome of RADIUS, out to the bar's diameter."
)
_operation(
    "ball", click.argument("dia"), click.argument("neck"), rows="ball", help="Turn a ball of DIA on a neck of NECK."
)
_operation(
    "hollow",
    click.argument("radius"),
    click.argument("width"),
    AT,
    rows="hollow",
    help="Turn a hollow of RADIUS, WIDTH wide.",
)
_operation(
    "groove",
    click.argument("floor"),
    click.argument("width"),
    AT,
    rows="groove",
    help="Groove down to FLOOR, WIDTH wide.",
)
_operation("part", click.argument("length"), rows="part_off", help="Part off a piece of LENGTH.")
_operation(
    "drill", click.argument("dia"), click.argument("deep"), rows="drill", help="Drill DIA, DEEP to where it is full."
)
_operation("ream", click.argument("dia"), click.argument("deep"), rows="ream", help="Drill and ream DIA, DEEP.")
_operation(
    "bore", click.argument("dia"), click.argument("deep"), rows="bore", help="Bore to DIA with a flat floor, DEEP."
)
_operation(
    "thread",
    click.argument("designation"),
    click.argument("length"),
    click.option("--inside", is_flag=True, help="In a hole, which is drilled first."),
    click.option("--undercut", is_flag=True, help="With a relief behind it, as its standard has it."),
    click.option("--by", type=click.Choice(["point", "die", "tap"]), help="What cuts it."),
    rows="thread",
    help="Cut the thread DESIGNATION, as on a drawing, over LENGTH.",
)
