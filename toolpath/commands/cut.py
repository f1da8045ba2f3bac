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
SHOP = (
    click.option("--bar", "dia", metavar="DIA", help="Diameter of the bar; that of the last time otherwise."),
    click.option("--bar-length", metavar="LENGTH", help="How long the bar is; as long as is needed otherwise."),
    click.option("--bore", metavar="DIA", help="The bar is a tube, with this bore."),
    click.option("--material", metavar="NAME", help="What the bar is of."),
    click.option("--machine", metavar="FILE", type=PATH, help="The machine file."),
    click.option("--tools", metavar="FILE", type=PATH, help="The rack file."),
    click.option("--in", "hold", metavar="HOLD", help="chuck, collet, four-jaw, 'soft jaws', 'split bush'."),
    click.option("--units", type=click.Choice(["mm", "inch"]), help="Of bare numbers; mm otherwise."),
    click.option("--post", metavar="DIALECT", help="Another dialect than the machine's."),
    click.option("-o", "--output", "folder", metavar="DIR", type=PATH, help="Another folder than ./cut-OPERATION."),
    click.option("--into", metavar="JOB", type=PATH, help="Add it to the end of this job's rows instead of cutting."),
    click.option("-q", "--quiet", is_flag=True, help="Print the program and nothing else."),
)


def _operation(name: str, *own: Callable[[Any], Any], help: str) -> Callable[[Callable[..., Any]], click.Command]:
    """A subcommand whose function makes the piece of its own arguments; what all have in common is done here."""

    def wrap(made: Callable[..., Any]) -> click.Command:
        def called(**given: Any) -> None:
            from toolpath.commands.cut_run import Asked, run

            shop = {key: given.pop(key) for key in SHOP_KEYS}
            run(Asked(operation=name, typed=given, **shop), lambda bar: made(bar, **given))

        function: Any = called
        for option in (*reversed(SHOP), *reversed(own)):
            function = option(function)
        command: click.Command = cut.command(name, help=help)(function)
        return command

    return wrap


SHOP_KEYS = (
    "dia",
    "bar_length",
    "bore",
    "material",
    "machine",
    "tools",
    "hold",
    "units",
    "post",
    "folder",
    "into",
    "quiet",
)
AT = click.option("--at", metavar="LENGTH", required=True, help="From the bar's end to its front edge.")
BY = click.option("--by", type=click.Choice(["point", "die", "tap"]), help="What cuts it.")
WORD = {"required": True}


@_operation("face", click.argument("off", default="1"), help="Take OFF (1 mm) off the end.")
def face(bar: Any, off: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.face(bar, off)


@_operation("turn", click.argument("to"), click.argument("length"), help="Turn to diameter TO over LENGTH.")
def turn(bar: Any, to: str, length: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.turn(bar, to, length)


@_operation(
    "taper",
    click.argument("from_", metavar="[FROM]", required=False),
    click.argument("length", required=False),
    click.option("--to", metavar="DIA", help="Diameter of its other end."),
    click.option("--half-angle", metavar="ANGLE", help="From the axis: what the compound slide is set to."),
    click.option("--included-angle", metavar="ANGLE", help="Between its two sides."),
    click.option("--ratio", metavar="1:N", help="Diameter to length, 1:20; or '0.6 in/ft'."),
    click.option("--standard", metavar="NAME", help="'Morse 1', 'Jarno 3', 'metric 4': FROM and LENGTH are its own."),
    help="Turn a taper, its end of diameter FROM in front, over LENGTH.",
)
def taper(bar: Any, from_: str | None, length: str | None, standard: str | None, **slope: str | None) -> Any:
    from toolpath.commands import cut_rows

    if standard is not None:
        if from_ is not None or any(slope.values()):
            raise click.UsageError("a standard taper has its own sizes: give --standard alone.")
        return cut_rows.standard_taper(bar, standard)
    if from_ is None or length is None:
        raise click.UsageError("a taper takes FROM and LENGTH, or --standard NAME.")
    return cut_rows.taper(bar, from_, length, cut_rows.Slope(**slope))


@_operation("chamfer", click.argument("size"), click.option("--angle", metavar="ANGLE", help="From the axis; 45."),
            help="Chamfer the edge by SIZE along the axis.")  # fmt: skip
def chamfer(bar: Any, size: str, angle: str | None) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.chamfer(bar, size, angle)


@_operation("round", click.argument("radius"), help="Round the edge with RADIUS.")
def round_(bar: Any, radius: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.round_edge(bar, radius)


@_operation("dome", click.argument("radius"), help="Turn the end to a dome of RADIUS, out to the bar's diameter.")
def dome(bar: Any, radius: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.dome(bar, radius)


@_operation("ball", click.argument("size"), click.argument("neck"), help="Turn a ball of SIZE on a neck of NECK.")
def ball(bar: Any, size: str, neck: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.ball(bar, size, neck)


@_operation(
    "hollow", click.argument("radius"), click.argument("width"), AT, help="Turn a hollow of RADIUS, WIDTH wide."
)
def hollow(bar: Any, radius: str, width: str, at: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.hollow(bar, radius, width, at)


@_operation("groove", click.argument("to"), click.argument("width"), AT, help="Groove down to diameter TO, WIDTH wide.")
def groove(bar: Any, to: str, width: str, at: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.groove(bar, to, width, at)


@_operation("part", click.argument("length"), help="Part off a piece of LENGTH.")
def part(bar: Any, length: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.part_off(bar, length)


@_operation("drill", click.argument("hole"), click.argument("deep"),
            help="Drill HOLE, DEEP to where its full diameter ends.")  # fmt: skip
def drill(bar: Any, hole: str, deep: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.drill(bar, hole, deep)


@_operation("ream", click.argument("hole"), click.argument("deep"), help="Drill and ream HOLE, DEEP.")
def ream(bar: Any, hole: str, deep: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.ream(bar, hole, deep)


@_operation("bore", click.argument("to"), click.argument("deep"), help="Bore to diameter TO with a flat floor, DEEP.")
def bore(bar: Any, to: str, deep: str) -> Any:
    from toolpath.commands import cut_rows

    return cut_rows.bore(bar, to, deep)


@_operation(
    "thread",
    click.argument("designation"),
    click.argument("length"),
    click.option("--inside", is_flag=True, help="In a hole, which is drilled first."),
    click.option("--undercut", is_flag=True, help="With a relief behind it, as its standard has it."),
    BY,
    help="Cut the thread DESIGNATION, as on a drawing, over LENGTH.",
)
def thread(bar: Any, designation: str, length: str, inside: bool, undercut: bool, by: str | None) -> Any:
    from toolpath.commands import cut_rows

    cutting = cut_rows.Cutting(by, undercut)
    return (cut_rows.inside_thread if inside else cut_rows.thread)(bar, designation, length, cutting)
