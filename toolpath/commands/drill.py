"""`halfsection drill SIZE`: the drills nearest to a size, set by set, in both units."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import click

from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop import drills
from toolpath.shop.drills import SAME, Drill, Near

HELP = """Look up the drills nearest to a size.

SIZE is a diameter or a drill by its name: 7.0 mm, 5/16 in, 0.201 in, '#29', 'no 29', F. A bare fraction is inches, any
other bare figure millimetres. Printed are, for each set of drills, the one of just that size and the next thinner and
thicker, in both units, with the difference to SIZE. With --rack only the sets of that rack are looked through.

\b
Examples:
  halfsection drill 7.0 mm
  halfsection drill 5/16 in
  halfsection drill '#29'       the quotes keep the shell from taking # for itself
  halfsection drill F --rack samples/racks/drawer.toml

Exit codes: 0 done, 1 the size or the rack is bad, 2 the command was called wrongly.
"""


@click.command("drill", help=HELP, short_help="Look up the drills nearest to a size.")
@click.argument("words", metavar="SIZE", nargs=-1, required=True)
@click.option("--rack", "rack", metavar="FILE", type=click.Path(path_type=Path), help="Only the drills of this rack.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def drill(words: tuple[str, ...], rack: Path | None, as_json: bool) -> None:
    text = " ".join(words).strip()
    sets = owned(rack) if rack else drills.every_set()
    dia = drills.diameter(text)
    _refuse_beyond(text, dia, [d for s in sets for d in s.drills])
    answers = drills.nearest_drills(dia, sets)
    if as_json:
        click.echo(json.dumps(as_data(text, dia, answers), indent=2, ensure_ascii=False))
        return
    for line in told(text, dia, answers):
        click.echo(line)


def told(text: str, dia: float, answers: tuple[Near, ...]) -> Iterator[str]:
    """The answer as lines of at most 80 columns."""
    yield f"{text}: {dia:.3f} mm, {dia / INCH:.4f} in"
    yield ""
    yield f"{'':34}{'drill':>6}{'mm':>9}{'in':>9}  {'off by mm':>11}{'in':>9}"
    for near in answers:
        name = near.set
        for what, found in (("below", near.below), ("exact", near.exact), ("above", near.above)):
            if found is None and what == "exact":
                continue
            yield f"{name:28}{what:6}{_row(found, dia)}".rstrip()
            name = ""
    closest = min((d for near in answers for d in near.all), key=lambda d: abs(d.dia - dia))
    exact = [d for near in answers if (d := near.exact)]
    yield ""
    if exact:
        yield f"Just this size: {', '.join(f'{d.set} {d.name}' for d in exact)}"
    else:
        yield f"No drill is just this size; the nearest is {closest.set} {closest.name}"


def as_data(text: str, dia: float, answers: tuple[Near, ...]) -> dict[str, object]:
    """The answer as plain data: `exact`, `below` and `above` are null where there is none."""

    def entry(found: Drill | None) -> dict[str, object] | None:
        if found is None:
            return None
        return {"drill": found.name, "set": found.set, **_units(found.dia), "differs": _units(found.dia - dia)}

    sets = [{"set": n.set} | {k: entry(getattr(n, k)) for k in ("below", "exact", "above")} for n in answers]
    return {"size": text, **_units(dia), "sets": sets}


def _row(found: Drill | None, dia: float) -> str:
    if found is None:
        return f"{'none':>6}"
    differs = 0.0 if abs(found.dia - dia) < SAME else found.dia - dia
    mm, inch = (f"{differs:+.3f}", f"{differs / INCH:+.4f}") if differs else ("0.000", "0.0000")
    return f"{found.name:>6}{found.dia:9.3f}{found.dia / INCH:9.4f}  {mm:>11}{inch:>9}"


def _units(mm: float) -> dict[str, float]:
    return {"mm": round(mm, 4) + 0.0, "in": round(mm / INCH, 6) + 0.0}


def owned(rack: Path) -> tuple[drills.DrillSet, ...]:
    """The sets of drills of a rack; BadInput when it names none."""
    from toolpath.shop.rack import load_drawer

    sets = load_drawer(rack).sets
    if not sets:
        right = 'Add a [[drills]] table with set = "metric 0.5", or drills = ["7.8", "#29"]'
        raise BadInput("no drills are named in this rack", where="drills", file=str(rack), right=right)
    return sets


def _refuse_beyond(text: str, dia: float, known: list[Drill]) -> None:
    """A size that no drill is near to is a slip of the pen, or a number drill written without its sign."""
    least, most = (choose(known, key=lambda d: d.dia) for choose in (min, max))
    if least.dia / 2.0 <= dia <= most.dia * 2.0:
        return
    end, what = (most, "thickest") if dia > most.dia else (least, "thinnest")
    hint = f"; a number drill is written '#{text}'" if text.isdigit() and 1 <= int(text) <= 80 else ""
    right = f"The {what} is {end.set} {end.name}, {end.dia:.3f} mm{hint}"
    raise BadInput(f"no drill is near to {text}, {dia:.4g} mm", right=right)
