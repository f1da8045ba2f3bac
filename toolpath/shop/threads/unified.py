"""Unified inch threads: `1/4-20`, `5/16-24 UNF-2A`, `#10-32`, `3/8 UNF`, `1-14 UNS`, `3/4-12 UN` (ASME B1.1)."""

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
from toolpath.shop.threads.words import INCHES, MARK, inches, tpi

SERIES = ("UNC", "UNF", "UNEF")
CONSTANT = (4, 6, 8, 12, 16, 20, 28, 32)  # tpi of the constant-pitch series UN
LARGEST_NUMBER, LARGEST = 12, 4.0  # numbered sizes; inches
PATTERN = (
    rf"(?i)(?:(?:#|no\.? *)(?P<number>\d+)|(?P<inches>{INCHES}){MARK})"
    r"(?:(?: *- *| +)(?P<tpi>\d+)(?: *tpi)?)?"
    r"(?: *-? *(?P<series>UNC|UNF|UNEF|UNS|UNR[CF]|UNREF|UNJ[CF]?|UN|NC|NF))?"
    r"(?:[ -]+(?P<classes>\d[AB](?:/\d[AB])?))?"
)


def known() -> tuple[str, ...]:
    """Every thread of the series UNC, UNF and UNEF, as it is designated."""
    return tuple(f"{size}-{count} {series}" for series in SERIES for size, count in _table()[series].items())


def read(match: re.Match[str]) -> Thread:
    """The thread that is meant; BadInput with the nearest one where there is none."""
    size = _size(match)
    count = int(match["tpi"] or 0)
    series = _series(match["series"])
    if series in SERIES or not series:
        series, size, count = _listed(size, count, series, bare=match["number"] is None)
    elif not count:
        raise BadInput(f"'{match[0]}' lacks its threads to the inch", right=f"Write {size}-12 {series}")
    elif series == "UN" and count not in CONSTANT:
        raise BadInput(f"UN has no {count} threads to the inch", right=f"It has {CONSTANT}; any other is UNS")
    screw, hole = _classes(match["classes"])
    if not 0.0 < dia(size) <= LARGEST or count * dia(size) < 3.0:
        raise BadInput(f"'{match[0]}' is no thread", right=f"Sizes go up to {LARGEST:g} in, a pitch to a third of it")
    return Thread(
        designation=f"{size}-{count} {series}",
        standard="Unified",
        series=series,
        form="unified",
        diameter=dia(size) * INCH,
        pitch=INCH / count,
        angle=form_angle("unified"),
        screw_class=screw,
        hole_class=hole,
    )


def dia(size: str) -> float:
    """Basic major diameter of a size as it is named, inches: numbered ones are 0.060 + 0.013 N."""
    return round(0.060 + 0.013 * int(size[1:]), 4) if size.startswith("#") else inches(size)


def _size(match: re.Match[str]) -> str:
    """`#10`, or a fraction as the tables have it, or the inches as written."""
    if match["number"] is not None:
        if int(match["number"]) > LARGEST_NUMBER:
            raise BadInput(f"there is no size #{match['number']}", right="Numbers go to #12; then comes 1/4")
        return f"#{int(match['number'])}"
    value = inches(match["inches"])
    named = {dia(size): size for series in SERIES for size in _table()[series]}
    near = min(named, key=lambda d: abs(d - value))
    return named[near] if abs(near - value) < 1e-4 else match["inches"].replace("-", " ").strip()


def _series(text: str | None) -> str:
    series = (text or "").upper()
    if series.startswith("UNJ"):
        raise BadInput("the UNJ form, with its controlled root, is not known here", right="Known: UNC UNF UNEF UNS UN")
    return {"NC": "UNC", "NF": "UNF", "UNRC": "UNC", "UNRF": "UNF", "UNREF": "UNEF"}.get(series, series)


def _listed(size: str, count: int, series: str, *, bare: bool) -> tuple[str, str, int]:
    """(series, size, tpi) of the tables. A bare `10-32` is the number where no inch size has that pitch."""
    sizes = [size]
    if count and bare and size.isdigit() and int(size) <= LARGEST_NUMBER:
        sizes.append(f"#{size}")
    looked = [series] if series else list(SERIES)
    for name in sizes:
        for key in looked:
            found = _table()[key].get(name)
            if found and (count == found or (series and not count)):
                return key, name, int(found)
    raise _no_such(sizes, count, series)


def _no_such(sizes: list[str], count: int, series: str) -> BadInput:
    said = f"{sizes[0]}-{count}" if count else sizes[0]
    here = [(key, name, _table()[key][name]) for name in sizes for key in SERIES if name in _table()[key]]
    any_other = f"; any other: '{said} UNS'" if count else ""
    if here:
        key, name, close = min(here, key=lambda entry: (entry[0] != series, abs(entry[2] - count)))
        ours = ", ".join(f"{n}-{c} {k}" for k, n, c in here)
        what = f"{said} {series}".strip() if count or series else f"'{said}' lacks its pitch: it"
        ending = "is no Unified thread of the series" if count or series else "may be several threads"
        return BadInput(f"{what} {ending}", right=f"The nearest is {name}-{close} {key}; known: {ours}{any_other}")
    value = dia(sizes[0])
    pairs = {(key, name): dia(name) for key in ([series] if series else SERIES) for name in _table()[key]}
    key, name = min(pairs, key=lambda pair: (abs(pairs[pair] - value), abs(_table()[pair[0]][pair[1]] - count)))
    right = f"The nearest is {name}-{_table()[key][name]} {key}{any_other}"
    return BadInput(f"{said} is no size of the Unified series", right=right)


def _classes(text: str | None) -> tuple[str, str]:
    screw, hole = "2A", "2B"
    for word in (text or "").upper().split("/") if text else []:
        if word not in _table()["classes"]:
            raise BadInput(f"'{word}' is no class of a Unified thread", right="Screws are 1A 2A 3A, holes 1B 2B 3B")
        screw, hole = (word, hole) if word.endswith("A") else (screw, word)
    return screw, hole


def limits(thread: Thread) -> ThreadLimits:
    """Limits of both by the formulas of ASME B1.1, rounded as its tables are."""
    return ThreadLimits(_screw(thread), _hole(thread), (
        f"limits {thread.screw_class} and {thread.hole_class}: ASME B1.1 by its formulas, as printed in its tables",
    ))  # fmt: skip


def _screw(thread: Thread) -> Limits:
    d, p = thread.diameter / INCH, thread.pitch / INCH
    row = _table()["classes"][thread.screw_class]
    printed = _table()["printed"].get(thread.screw_class, {}).get(thread.designation, {})
    base = _pitch_tolerance(thread)
    below = printed.get("allowance", _rounded(row["allowance"] * base, 4))
    d2 = _rounded(d - 0.64951905 * p, 4)
    wide = printed.get("pitch", _rounded(row["pitch"] * base, 4))
    major = span(d - below - _rounded(row["crest"] * p ** (2 / 3), 4), d - below)
    pitch = span(d2 - below - wide, d2 - below)
    # Root: the basic minor diameter at most, a flat of P/8 at least (reproduces the printed ones of ASME B1.1-2019).
    minor = span(_rounded(pitch.least - 0.64951905 * p, 4), _rounded(major.greatest - 1.08253175 * p, 4))
    return _in_mm(major, pitch, minor)


def _hole(thread: Thread) -> Limits:
    d, p = thread.diameter / INCH, thread.pitch / INCH
    row = _table()["classes"][thread.hole_class]
    digits = 3 if d >= 0.138 - 1e-9 else 4  # inches; from #6 on the minor diameter is printed to 0.001
    d2 = _rounded(d - 0.64951905 * p, 4)
    pitch = span(d2, d2 + _rounded(row["pitch"] * _pitch_tolerance(thread), 4))
    d1 = d - 1.08253175 * p
    minor = span(_rounded(d1, digits), _rounded(d1 + _minor_tolerance(thread), digits))
    return _in_mm(span(d, pitch.greatest + 0.793857 * p), pitch, minor)  # 11/12 H: from memory


def _pitch_tolerance(thread: Thread) -> float:
    """That of class 2A, inches, to six decimals as the standard has it.

    Length of engagement: the diameter for UNC, UNF and UN of 4, 6, 8 tpi, else 9 P.
    """
    d, p = thread.diameter / INCH, thread.pitch / INCH
    whole = thread.series in ("UNC", "UNF") or (thread.series == "UN" and round(tpi(thread.pitch)) in (4, 6, 8))
    engaged = d if whole else 9.0 * p
    return round(float(0.0015 * d ** (1 / 3) + 0.0015 * math.sqrt(engaged) + 0.015 * p ** (2 / 3)), 6)


def _minor_tolerance(thread: Thread) -> float:
    """Of the hole's minor diameter, inches."""
    d, p = thread.diameter / INCH, thread.pitch / INCH
    count = round(1.0 / p)
    small = min(float(0.05 * p ** (2 / 3)) + 0.03 * p / d - 0.002, 0.394 * p)
    if thread.hole_class == "3B":
        return max(small, 0.23 * p - 1.5 * p * p if count >= 13 else 0.12 * p)
    coarse = 0.25 * p - 0.4 * p * p if count >= 4 else 0.15 * p
    return coarse if d >= 0.25 else max(small, coarse)


def _rounded(value: float, digits: int) -> float:
    """Half up, as printed tables are; the nudge keeps a half that floats put just below it."""
    scale = float(f"1e{digits}")
    return math.floor(value * scale + 0.5 + 1e-7) / scale


def _in_mm(*spans: Any) -> Limits:
    return Limits(*(span(s.least * INCH, s.greatest * INCH) for s in spans))


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("unified.toml").read_text(encoding="utf-8"))


UNIFIED = Standard(PATTERN, read, limits, known)
