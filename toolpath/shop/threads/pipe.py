"""Pipe threads: parallel `G 1/4`, `G 1/4 B` (ISO 228-1), taper `1/4 NPT`, `1/4-18 NPT` (ASME B1.20.1), `R 1/4`,
`Rc 1/4` (ISO 7-1). Of a taper thread every diameter is that at a screw's small end and at a hole's mouth.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop.threads.forms import form_angle, profile
from toolpath.shop.threads.thread import Limits, Span, Standard, Thread, ThreadLimits, span
from toolpath.shop.threads.words import INCHES, MARK, inch_named, inches

PARALLEL = rf"(?i)(?:G *(?P<inches>{INCHES}){MARK}|(?P<old>{INCHES}){MARK} *BSPP?)(?: *-? *(?P<class>[AB]))?"
TAPER = (
    rf"(?i)(?:(?P<inches>{INCHES}){MARK}(?: *- *(?P<tpi>[\d.]+))? *(?P<word>NPT|BSPT)"
    rf"|(?P<front>NPT|Rc?|Rp) *(?P<behind>{INCHES}){MARK})"
)
TAPER_RATIO = 1.0 / 16.0  # on diameter
DEPTH = 0.640327  # of the Whitworth form, in P


def known() -> tuple[str, ...]:
    """Every G size."""
    return tuple(f"G {size}" for size in _table()["G"])


def known_tapers() -> tuple[str, ...]:
    """Every taper size: R and Rc, NPT."""
    iso = tuple(f"{word} {size}" for word in ("R", "Rc") for size in _table()["R"])
    return (*iso, *(f"{size} NPT" for size in _table()["NPT"]))


def read(match: re.Match[str]) -> Thread:
    """The G thread that is meant; the size is that of a pipe's bore, not the diameter."""
    size = _size(match["inches"] or match["old"], "G", "G {}")
    count, major = _table()["G"][size][:2]
    return Thread(
        designation=f"G {size}",
        standard="pipe",
        series="G",
        form="whitworth",
        diameter=major,
        pitch=round(INCH / count, 3),
        angle=form_angle("whitworth"),
        screw_class=(match["class"] or "A").upper(),
        hole_class="G",
    )


def limits(thread: Thread) -> ThreadLimits:
    """Limits by the table of ISO 228-1."""
    row = _table()["G"][thread.designation.removeprefix("G ")]
    _, major, d2, d1, wide, hole_minor, screw_major = row
    below = wide * (2.0 if thread.screw_class == "B" else 1.0)
    screw = Limits(
        span(major - screw_major, major),
        span(d2 - below, d2),
        span(d2 - below - DEPTH * thread.pitch, d1),  # the standard leaves the root's least diameter open
    )
    hole = Limits(
        span(major, d2 + wide + 0.960491 * thread.pitch),  # the sharp V at most
        span(d2, d2 + wide),
        span(d1, d1 + hole_minor),
    )
    return ThreadLimits(screw, hole, (f"limits: ISO 228-1, screw of class {thread.screw_class}",))


def read_taper(match: re.Match[str]) -> Thread:
    """The taper thread that is meant. diameter: that of the crests at the small end of a screw."""
    word, asked = (match["word"] or match["front"]).upper(), match["inches"] or match["behind"]
    if word == "RP":
        right = f"A parallel thread of nearly its size is G {asked}, a taper hole Rc {asked}"
        raise BadInput("parallel holes for taper pipe threads (Rp) are not known here", right=right)
    if word != "NPT":
        return _whitworth_taper("Rc" if word == "RC" else "R", asked)
    size = _size(match["inches"] or match["behind"], "NPT", "{} NPT")
    outside, count = _table()["NPT"][size][:2]
    if match["tpi"] and float(match["tpi"]) != count:
        raise BadInput(f"{size} NPT has no {match['tpi']} threads to the inch", right=f"It has {count:g}")
    pitch = INCH / count
    e0 = (outside - (0.05 * outside + 1.1) / count) * INCH
    return Thread(
        designation=f"{size}-{count:g} NPT",
        standard="taper pipe",
        series="NPT",
        form="taper",
        diameter=e0 + 0.8 * pitch,
        pitch=pitch,
        angle=form_angle("taper"),
        taper=TAPER_RATIO,
        gauge=_table()["NPT"][size][2] * INCH,
    )


def _whitworth_taper(word: str, asked: str) -> Thread:
    """R or Rc: in its gauge plane it is the G thread of its size."""
    size = _size(asked, "R", f"{word} {{}}")
    count, major = _table()["G"][size][:2]
    gauge = _table()["R"][size][0]
    return Thread(
        designation=f"{word} {size}",
        standard="taper pipe",
        series="R",
        form="whitworth",
        diameter=major - TAPER_RATIO * gauge,
        pitch=INCH / count,
        angle=form_angle("whitworth"),
        taper=TAPER_RATIO,
        gauge=gauge,
    )


def taper_limits(thread: Thread) -> ThreadLimits:
    """What the place of the gauge plane leaves of the diameters: at a screw's small end, at a hole's mouth.

    A gauge screwed on by hand tells a taper thread; all its diameters go up and down together.
    """
    if thread.series == "R":
        size = thread.designation.split(" ", 1)[1]
        gauge, along, in_hole, full = _table()["R"][size]
        return ThreadLimits(_gauged(thread, along, 0.0), _gauged(thread, in_hole, thread.at_mouth), (
            "ISO 7-1, its table from memory; taper 1 in 16 on diameter, 1.790 deg a side",
            "diameters of the screw are those at its small end, of the hole at its mouth",
            f"gauge length {gauge:.1f} mm, {along:g} mm more or less; full thread {full:.1f} mm",
        ))  # fmt: skip
    size = thread.designation.split("-")[0]
    by_hand, full = (length * INCH for length in _table()["NPT"][size][2:])
    turn = thread.pitch
    return ThreadLimits(_gauged(thread, turn, 0.0), _gauged(thread, turn, thread.at_mouth), (
        "ASME B1.20.1; taper 1 in 16 on diameter, 1.790 deg a side",
        "diameters of the screw are those at its small end, of the hole at its mouth",
        f"by hand {by_hand:.2f} mm ({by_hand / INCH:.4f} in), full thread {full:.2f} mm ({full / INCH:.4f} in)",
        "gauged by turns, one more or less: so much the diameters vary, all together",
    ))  # fmt: skip


def _gauged(thread: Thread, along: float, larger: float) -> Limits:
    """Diameters that are `larger` mm than at the small end, the gauge plane lying `along` mm off either way."""
    form, off = profile(thread), thread.taper * along

    def both_ways(dia: float) -> Span:
        return span(dia + larger - off, dia + larger + off)

    minor = form.minor if larger else form.root
    return Limits(both_ways(thread.diameter), both_ways(form.pitch_dia), both_ways(minor))


def _size(text: str, table: str, written: str) -> str:
    sizes = _table()[table]
    found = inch_named(text, sizes)
    if found is None:
        value = inches(text)
        near = min(sizes, key=lambda name: abs(inches(name) - value))
        raise BadInput(f"{written.format(text)} is not in the table", right=f"The nearest is {written.format(near)}")
    return found


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("pipe.toml").read_text(encoding="utf-8"))


PIPE = Standard(PARALLEL, read, limits, known)
TAPER_PIPE = Standard(TAPER, read_taper, taper_limits, known_tapers)
