"""Twist drills and the sets they are sold in: what each is called, how thick it is, how deep its flutes go.

A set is written in the words of its box: `metric 0.5`, `metric 0.1 1 to 6`, `number 1-60`, `letter`, `fractional 1/64
to 1/2`; a drill as it is stamped: `7.8`, `#29`, `F`, `5/16`. A bare fraction is inches, any other bare figure mm.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.quantity import length, nearest
from toolpath.quantity.units import INCH

SAME = 5e-4  # mm: closer than this two diameters print the same and are called the same
FAMILIES = ("metric", "number", "letter", "fractional")
SINGLE = "single drills"
STEP_EPS = 1e-6  # mm: rounding of multiples of a step

# Patterns are texts, compiled (and kept by `re`) when the first drill is read. Capitals do not matter.
_FRACTION = r"(\d+ +)?\d+ */ *\d+"
_INCHES = r"(?i)(?:in|inch|thou|\")\W*$"
_NUMBER = r"(?i)(?:#|no\.?|number) *(\d+)"
_LETTER = r"(?i)(?:letter +)?([a-z])"
_RANGE = r"(?i)(?:from +)?([^\s-]+)(?: +to +| *- *)([^\s-]+)$"
_RIGHT = "Write a drill as 7.8, '#29', F or 5/16"


class Drill(Struct, frozen=True):
    """One drill. dia: mm; set: its family in `FAMILIES`; point: included angle, rad; flute: mm, point included."""

    name: str
    dia: float
    set: str
    point: float
    flute: float


class DrillSet(Struct, frozen=True):
    """Drills that lie together, thinnest first."""

    name: str
    drills: tuple[Drill, ...]


class Near(Struct, frozen=True):
    """What a set has about a diameter: the drill of just that size, the next thinner, the next thicker; or None."""

    set: str
    exact: Drill | None
    below: Drill | None
    above: Drill | None

    @property
    def all(self) -> tuple[Drill, ...]:
        """Those that there are, thinnest first."""
        return tuple(d for d in (self.below, self.exact, self.above) if d is not None)


def nearest_drills(dia: float, owned: Iterable[DrillSet]) -> tuple[Near, ...]:
    """One answer a set, in their order. dia in mm; within `SAME` a drill is exact."""
    return tuple(
        Near(
            owner.name,
            min((d for d in owner.drills if abs(d.dia - dia) < SAME), key=lambda d: abs(d.dia - dia), default=None),
            max((d for d in owner.drills if d.dia <= dia - SAME), key=lambda d: d.dia, default=None),
            min((d for d in owner.drills if d.dia >= dia + SAME), key=lambda d: d.dia, default=None),
        )
        for owner in owned
    )


def every_set() -> tuple[DrillSet, ...]:
    """All sizes of all families."""
    return tuple(DrillSet(family, family_drills(family)) for family in FAMILIES)


@cache
def family_drills(family: str) -> tuple[Drill, ...]:
    """All drills of a family, thinnest first."""
    table = _table()
    if family == "metric":
        runs = (_multiples(run["from"], run["to"], by=run["by"]) for run in table["metric"]["sizes"])
        return tuple(_drill(f"{mm:g}", mm, family) for mm in sorted({mm for run in runs for mm in run}))
    if family == "fractional":
        parts = range(1, table["fractional"]["largest"] + 1)
        return tuple(_drill(_reduced(n, 64), n / 64 * INCH, family) for n in parts)
    listed = enumerate(table[family])
    named = ((f"#{i + 1}" if family == "number" else chr(ord("A") + i), inches) for i, inches in listed)
    return tuple(sorted((_drill(name, inches * INCH, family) for name, inches in named), key=lambda d: d.dia))


def drill_set(text: str, *, first: object = None, last: object = None) -> DrillSet:
    """The set that these words name, from `first` to `last` where they are given; BadInput for none."""
    family, _, rest = text.replace(",", " ").strip().partition(" ")
    family = family.lower()
    if family not in FAMILIES:
        raise BadInput(f"'{text}' names no set of drills", right=nearest(family, FAMILIES))
    found = re.search(_RANGE, rest)
    step = rest[: found.start()].strip() if found else rest.strip()
    if found and (first is not None or last is not None):
        raise BadInput(f"'{text}' has its ends already", right="Leave `from` and `to` out")
    ends = found.groups() if found else (first, last)
    low, high = (None if end is None else _end(end, family) for end in ends)
    drills = family_drills(family) if not step else _box(step, family, text=text, whole=low is None and high is None)
    both = [dia for dia in (low, high) if dia is not None]
    if len(both) == 2:
        low, high = min(both), max(both)
    elif family == "number":  # they count from thick to thin
        low, high = high, low
    kept = tuple(d for d in drills if (low or 0.0) - SAME < d.dia < (high or math.inf) + SAME)
    if not kept:
        right = f"Known are {drills[0].name} to {drills[-1].name}"
        raise BadInput(f"no {family} drill lies between these ends", right=right)
    return DrillSet(_called(family, step, kept), kept)


def drill_named(text: str) -> Drill:
    """The drill that is stamped so; BadInput with the nearest there is, for none."""
    text = text.strip()
    if found := re.fullmatch(_NUMBER, text):
        return _stamped(f"#{int(found.group(1)[:9])}", "number")
    if found := re.fullmatch(_LETTER, text):
        return _stamped(found.group(1).upper(), "letter")
    dia = diameter(text)
    inches = re.fullmatch(_FRACTION, text) or re.search(
        _INCHES, text
    )  # 12.7 mm is a stocked size, 1/2 in another drill
    first, second = ("fractional", "metric") if inches else ("metric", "fractional")
    known = [d for family in (first, second, "number", "letter") for d in family_drills(family)]
    drill = min(known, key=lambda d: abs(d.dia - dia))
    if abs(drill.dia - dia) < SAME:
        return drill
    number = f"; a number drill is written '#{text}'" if re.fullmatch("[1-9]|[1-7][0-9]|80", text) else ""
    right = f"The nearest is {drill.name}, {drill.dia:.3f} mm{number}"
    raise BadInput(f"no drill of '{text}' is known", right=right)


def diameter(text: str) -> float:
    """The diameter, mm, of a drill by its name or of any size as it is written; BadInput."""
    if re.fullmatch(_NUMBER, text) or re.fullmatch(_LETTER, text):
        return drill_named(text).dia
    if not any(c.isdigit() for c in text):
        raise BadInput(f"'{text}' is neither a drill nor a length", right=_RIGHT)
    try:
        return length(text, unit="inch" if re.fullmatch(_FRACTION, text) else "mm", positive=True)
    except BadInput as error:
        raise BadInput(error.what, right=_RIGHT) from None


def jobber_flute(dia: float) -> float:
    """Length of the flutes of a jobber drill, mm (DIN 338, from memory); BadInput for a diameter the table has not."""
    ladder = _table()["jobber"]["flute"]
    for upto, flute in ladder:
        if dia <= upto:
            return float(flute)
    raise BadInput(f"no jobber drill is {dia:g} mm thick", right=f"Up to {ladder[-1][0]:g} mm are known")


def point_angles() -> tuple[float, float, float]:
    """(usual, least, greatest) included angle of a drill's point, degrees."""
    point = _table()["point"]
    return point["usual"], point["least"], point["most"]


def _stamped(name: str, family: str) -> Drill:
    drills = {d.name: d for d in family_drills(family)}
    if name not in drills:
        ends = "#1 to #80" if family == "number" else "A to Z"
        raise BadInput(f"there is no drill {name}", right=f"Known are {ends}")
    return drills[name]


def _end(end: object, family: str) -> float:
    """One end of a set, mm: `60` is a number, not a length, where numbers are meant."""
    text = str(end).strip()
    if family in ("number", "letter"):
        return _stamped(f"#{text.lstrip('#')}" if family == "number" else text.upper(), family).dia
    return length(text, unit="inch" if family == "fractional" else "mm", positive=True)


def _box(step: str, family: str, *, text: str, whole: bool) -> tuple[Drill, ...]:
    """Metric drills by this step; all that there are where the ends are said, else those of the usual box."""
    boxes = _table()["metric"]["box"]
    try:
        by = f"{float(step.removesuffix('mm')):g}"
    except ValueError:
        by = ""
    if family != "metric" or by not in boxes:
        steps = ", ".join(f"metric {by}" for by in boxes)
        raise BadInput(f"'{text}' names no set of drills", right=f"Steps go with metric: {steps}")
    last = family_drills("metric")[-1].dia
    run = boxes[by] if whole else {"from": float(by), "to": last}
    return tuple(_drill(f"{mm:g}", mm, family) for mm in _multiples(run["from"], run["to"], by=float(by)))


def _called(family: str, step: str, drills: tuple[Drill, ...]) -> str:
    first, last = drills[0].name, drills[-1].name
    if family == "number":
        first, last = last[1:], first[1:]
    return f"{family} {step}, {first} to {last}" if step else f"{family} {first} to {last}"


def _reduced(over: int, under: int) -> str:
    common = math.gcd(over, under)
    return f"{over // common}/{under // common}"


def _multiples(first: float, last: float, *, by: float) -> list[float]:
    return [round(first + i * by, 6) for i in range(math.floor((last - first + STEP_EPS) / by) + 1)]


def _drill(name: str, dia: float, family: str) -> Drill:
    return Drill(name, round(dia, 9), family, math.radians(point_angles()[0]), jobber_flute(dia))


@cache
def _table() -> dict[str, Any]:
    with Path(__file__).with_name("drills.toml").open("rb") as file:
        return tomllib.load(file)
