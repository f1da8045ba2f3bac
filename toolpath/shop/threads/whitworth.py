"""Threads of Whitworth form: `1/4" BSW`, `1/4 BSF`, `1/4 x 40 ME`, `3/8 BSB` (BS 84)."""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop.threads.forms import form_angle
from toolpath.shop.threads.thread import Limits, Standard, Thread, ThreadLimits, span
from toolpath.shop.threads.words import BY, INCHES, MARK, inch_named, inches, tpi

SERIES = ("BSW", "BSF", "ME", "BSB")
WORDS = {"BSW": "BSW", "BSF": "BSF", "ME": "ME", "BSB": "BSB", "WHIT": "BSW", "WHITWORTH": "BSW", "W": "BSW",
         "BRASS": "BSB"}  # fmt: skip
_WORD = r"BSW|BSF|BSB|ME|Whit(?:worth)?\.?|W|brass"
PATTERN = (
    rf"(?i)(?:(?P<before>{_WORD}) *)?(?P<inches>{INCHES}){MARK}(?:(?:{BY}| *- *| +)(?P<tpi>\d+)(?: *tpi)?)?"
    rf"(?(before)| *(?P<after>{_WORD}))"
)


def known() -> tuple[str, ...]:
    """Every thread of the tables, as it is designated."""
    return tuple(
        _named(size, count, series) for series in SERIES for size in _table()[series] for count in counts(size, series)
    )


def counts(size: str, series: str) -> list[int]:
    """Threads to the inch that a size has in a series, the usual one first."""
    found = _table()[series].get(size, [])
    return found if isinstance(found, list) else [found]


def read(match: re.Match[str]) -> Thread:
    """The thread that is meant; BadInput with the nearest one where there is none."""
    series = WORDS[(match["before"] or match["after"]).rstrip(".").upper()]
    sizes = _table()[series]
    size = inch_named(match["inches"], sizes)
    count = int(match["tpi"] or 0)
    if size is None:
        value = inches(match["inches"])
        near = min(sizes, key=lambda name: abs(inches(name) - value))
        right = f"The nearest is {_named(near, counts(near, series)[0], series)}"
        raise BadInput(f"{match['inches']} is no size of {series}", right=right)
    has = counts(size, series)
    if count and count not in has:
        ours = " or ".join(map(str, has))
        others = [s for s in SERIES if count in counts(size, s)]
        hint = f"; {count} is {_named(size, count, others[0])}" if others else ""
        right = f"It has {ours}{hint}; any other: '{size} in x {count} tpi 55deg'"
        raise BadInput(f"{size} {series} has no {count} threads to the inch", right=right)
    if not count and len(has) > 1:
        ours = " or ".join(_named(size, c, series) for c in has)
        raise BadInput(f"{size} {series} comes with more than one pitch", right=f"Write {ours}")
    return Thread(
        designation=_named(size, count or has[0], series),
        standard="Whitworth",
        series=series,
        form="whitworth",
        diameter=inches(size) * INCH,
        pitch=INCH / (count or has[0]),
        angle=form_angle("whitworth"),
        screw_class="medium",
        hole_class="medium",
    )


def limits(thread: Thread) -> ThreadLimits:
    """Limits of the medium class of BS 84 by its formulas, to 0.0001 in."""
    rule = _table()["tolerance"]
    d, p = thread.diameter / INCH, thread.pitch / INCH
    t = rule["a"] * d ** (1 / 3) + rule["b"] * math.sqrt(d) + rule["c"] * math.sqrt(p)
    d2, d1 = d - 0.640327 * p, d - 1.280654 * p
    hole_rule = next(row for row in rule["hole_minor"] if round(tpi(thread.pitch)) >= row["from"])

    def mm(least: float, greatest: float) -> Any:
        return span(round(least, 4) * INCH, round(greatest, 4) * INCH)

    screw = Limits(
        mm(d - t - rule["major"] * math.sqrt(p), d),
        mm(d2 - t, d2),
        mm(d1 - t - rule["minor"] * math.sqrt(p), d1),
    )
    hole = Limits(
        mm(d, d + t + 2 * 0.160082 * p),  # not above the sharp V of a hole at its greatest pitch diameter
        mm(d2, d2 + t),
        mm(d1, d1 + hole_rule["part"] * p + hole_rule["more"]),
    )
    return ThreadLimits(screw, hole, (
        "limits: BS 84, medium class, by its formulas, these entered from memory",
        "diameters without tolerance agree with published tables",
    ))  # fmt: skip


def _named(size: str, count: int, series: str) -> str:
    return f"{size}-{count} {series}"


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("whitworth.toml").read_text(encoding="utf-8"))


WHITWORTH = Standard(PATTERN, read, limits, known)
