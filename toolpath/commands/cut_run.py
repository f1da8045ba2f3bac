"""What every `cut` does: find the shop, write the job, make it, print the program, and remember the shop."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct

from toolpath.commands import last_shop
from toolpath.commands.cut_rows import Bar, Piece
from toolpath.errors import BadInput, CannotMake
from toolpath.job.draft import Draft, text_of

if TYPE_CHECKING:
    from toolpath.commands.road import Made

GRIPPED = 60.0
"""mm of bar beyond the piece where nothing is said: clearance, grip and some more (common practice, no source)."""


class Asked(Struct, frozen=True, kw_only=True):
    """One call: the operation, its own words, and what every operation takes; None where nothing was given."""

    operation: str
    typed: Mapping[str, object]
    bar_dia: str | None
    bar_length: str | None
    bore: str | None
    material: str | None
    machine: Path | None
    tools: Path | None
    hold: str | None
    units: str | None
    post: str | None
    folder: Path | None
    into: Path | None
    quiet: bool

    @property
    def stem(self) -> str:
        return f"cut-{self.operation}"


def run(asked: Asked, piece_of: Callable[[Bar], Piece]) -> None:
    """Cut it, or add it to a job. HalfsectionError with what is wrong, in the words of the command."""
    with _in_words(asked):
        if asked.into is not None:
            _add(asked, asked.into, piece_of)
        else:
            _make(asked, piece_of)


def _make(asked: Asked, piece_of: Callable[[Bar], Piece]) -> None:
    from toolpath.commands.outputs import write_all
    from toolpath.commands.results import programs_of, results
    from toolpath.commands.road import make
    from toolpath.commands.summary import refused, summary
    from toolpath.errors import ProofRefused

    shop, assumed = shop_of(asked)
    bar = Bar(shop["dia"], shop["units"], Path(shop["tools"]), asked.bore)
    draft, more = drafted(asked, shop, bar, piece_of(bar))
    into = asked.folder or Path(asked.stem)
    with _beside(into) as there:
        text = text_of(draft, there)
        job = there / f"{asked.stem}.toml"
        job.write_text(text, encoding="utf-8")
        made = make(job, sizes={}, material=None, post=asked.post, stop_before_tools=False)
        _refuse_uncut(made)
        files = {**results(made, into), job.name: text.encode()}
    withdrawn = write_all(into, files, withdraw=programs_of(into, asked.stem))
    if made.refused:
        raise ProofRefused(refused(made, withdrawn, into))
    last_shop.keep(shop)
    if not asked.quiet:
        click.echo("Assumed", err=True)
        for line in (*assumed, *more):
            click.echo(f"  {line}", err=True)
        for line in summary(made, sorted(files), withdrawn, into):
            click.echo(line, err=True)
    for setup in made.setups:
        click.echo(setup.text.text, nl=False)


UNCUT = 0.2
"""mm left over what was asked for, from which the one operation was not done; a nose in a corner leaves less."""


def _refuse_uncut(made: Made) -> None:
    """CannotMake where no tool of the rack gets to what is to be cut: there is nothing else to make."""
    worst = max((left for setup in made.setups for left in setup.left), key=lambda left: left.thick, default=None)
    if worst is not None and worst.thick >= UNCUT:
        raise CannotMake(
            f"{made.inputs.job.file}: {worst.thick:.2f} mm would be left, for {worst.why}: the rack has no tool for it"
        )


def shop_of(asked: Asked) -> tuple[dict[str, str], list[str]]:
    """(machine, rack, material, units, bar diameter and hold, by key; which of them were assumed, in words).

    BadInput for what was never said.
    """
    before = last_shop.last()
    given = {
        "machine": asked.machine and str(asked.machine.resolve()),
        "tools": asked.tools and str(asked.tools.resolve()),
        "material": asked.material,
        "units": asked.units,
        "dia": asked.bar_dia,
        "in": asked.hold,
    }
    shop, assumed = {}, []
    for key, value in given.items():
        if value:
            shop[key] = value
        elif key in before:
            shop[key] = before[key]
            shown = Path(before[key]).name if key in ("machine", "tools") else before[key]
            assumed.append(f"{NAMES[key]} {shown}, as the last time")
        elif key in OTHERWISE:
            shop[key], why = OTHERWISE[key]
            assumed.append(f"{NAMES[key]} {shop[key]}: {why}")
        else:
            raise BadInput(
                f"the {NAMES[key]} is not known: nothing was cut before", right=f"Name it with {OPTIONS[key]}"
            )
    return shop, assumed


NAMES = {
    "machine": "machine",
    "tools": "rack",
    "material": "material",
    "units": "bare numbers in",
    "dia": "bar of diameter",
    "in": "held in",
}
OPTIONS = {"machine": "--machine FILE", "tools": "--tools FILE", "material": "--material NAME", "dia": "--bar DIA"}
OTHERWISE = {"units": ("mm", "as in a job"), "in": ("chuck", "what clears a chuck clears a collet")}


def drafted(asked: Asked, shop: Mapping[str, str], bar: Bar, piece: Piece) -> tuple[Draft, list[str]]:
    """(the job, what was assumed of the bar)."""
    from toolpath.quantity import size

    more = []
    if asked.bar_length is None:
        long = sum(size(row["length"], unit=bar.units).value for row in piece.outside if "length" in row)
        length = f"{5.0 * round((long + GRIPPED) / 5.0 + 0.5):g} mm"
        more.append(f"bar {length} long")
    else:
        length = asked.bar_length
    if piece.face_off == "0":
        more.append("the end of the bar is faced already, and is Z0")
    keys = {"dia": bar.dia, **({"bore": bar.bore} if bar.bore else {}), "length": length, "face_off": piece.face_off}
    words = " ".join(str(v) for v in asked.typed.values() if v not in (None, False))
    return Draft(
        said=f"halfsection cut {asked.operation} {words}",
        title=piece.title,
        machine=Path(shop["machine"]),
        tools=Path(shop["tools"]),
        material=shop["material"],
        units=shop["units"],
        bar=keys,
        holding={"in": shop["in"]},
        outside=piece.outside,
        inside=piece.inside,
        parted=piece.parted,
    ), more


def _add(asked: Asked, job: Path, piece_of: Callable[[Bar], Piece]) -> None:
    from toolpath.job.appending import appended
    from toolpath.job.read import read_job

    read = read_job(job)
    bar = Bar(f"{read.bar.stock.grip.dia:g} mm", read.unit, read.tools, None)
    piece = piece_of(bar)
    rows, place = (piece.inside, "inside") if piece.inside else (piece.rows, "outside")
    if not rows:
        raise BadInput(
            f"'{asked.operation}' is no row of a part", right="[bar] face_off and [parting] of the job say as much"
        )
    where = appended(job, place, rows)
    click.echo(f"{job}:{where}: added to part.{place}")


@contextmanager
def _beside(folder: Path) -> Iterator[Path]:
    """A folder beside this one, so that paths in a file go from there as from here; gone afterwards."""
    parent = folder.resolve().parent
    while not parent.is_dir():
        parent = parent.parent
    there = Path(tempfile.mkdtemp(prefix=".halfsection-", dir=parent))
    try:
        yield there
    finally:
        shutil.rmtree(there, ignore_errors=True)


@contextmanager
def _in_words(asked: Asked) -> Iterator[None]:
    """Errors tell the command and not the file that it wrote for itself."""
    name = f"cut {asked.operation}"
    try:
        yield
    except BadInput as error:
        if asked.into is not None or not _own(error.file):
            raise
        raise BadInput(error.what, where=_place(error.where), right=error.right, file=name) from None
    except CannotMake as error:
        head, _, rest = str(error).partition(": ")
        raise CannotMake(f"{name}: {rest}" if _own(head) else str(error)) from None


def _own(file: str) -> bool:
    return not file or ".halfsection-" in file


def _place(where: str) -> str:
    """A place in the file as the command knows it."""
    return {"bar.dia": "--bar", "bar.length": "--bar-length", "bar.bore": "--bore", "holding[0].in": "--in"}.get(
        where, "" if where.startswith(("part.", "bar.", "holding")) or not where else f"--{where.lstrip('-')}"
    )
