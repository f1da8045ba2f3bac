"""Trapezoidal threads: `Tr 12x3`, `Tr 20x8(P4) LH`, `Tr 16x4-7e` (ISO 2901 to 2903)."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from toolpath.errors import BadInput
from toolpath.shop.threads.forms import form_angle, profile
from toolpath.shop.threads.metric import lead_of
from toolpath.shop.threads.thread import Limits, Standard, Thread, ThreadLimits, span
from toolpath.shop.threads.words import BY, NUMBER, number

PATTERN = (
    rf"(?i)Tr *(?P<dia>{NUMBER})(?:{BY}(?:(?P<pitch>{NUMBER})(?: *\( *P *(?P<of>{NUMBER}) *\))?"
    rf"|Ph *(?P<lead>{NUMBER}) *P *(?P<of_lead>{NUMBER})))?(?:[ -]+(?P<classes>\d[A-Z](?:/\d[A-Z])?))?"
)
CLASSES = ("7e", "7H")


def known() -> tuple[str, ...]:
    """Every size of the table, as it is designated."""
    return tuple(f"Tr {dia}x{pitch:g}" for dia, row in _table()["pitches"].items() for pitch in row)


def read(match: re.Match[str]) -> Thread:
    """The thread that is meant; BadInput with the nearest one where there is none."""
    table = _table()["pitches"]
    dia = f"{number(match['dia']):g}"
    if dia not in table:
        near = min(table, key=lambda d: abs(float(d) - float(dia)))
        raise BadInput(f"Tr {dia} is not in the table", right=f"The nearest is Tr {near}x{table[near][0]:g}")
    pitch, starts = lead_of(match)
    pitch = pitch or float(table[dia][0])
    if pitch not in table[dia]:
        ours = ", ".join(f"{p:g}" for p in table[dia])
        raise BadInput(f"Tr {dia} has no pitch of {pitch:g} mm", right=f"It has {ours}")
    for word in match["classes"].split("/") if match["classes"] else []:
        if word not in CLASSES:
            raise BadInput(f"the limits of {word} are not known here", right="Known are 7e for screws, 7H for holes")
    named = f"Tr {dia}x{pitch * starts:g}"
    return Thread(
        designation=f"{named}(P{pitch:g})" if starts > 1 else named,
        standard="trapezoidal",
        series="Tr",
        form="trapezoidal",
        diameter=float(dia),
        pitch=pitch,
        starts=starts,
        angle=form_angle("trapezoidal"),
        screw_class=CLASSES[0],
        hole_class=CLASSES[1],
    )


def clearance(pitch: float) -> float:
    """How much deeper than the basic form the roots of screw and hole lie, mm of radius."""
    return float(next(row["gap"] for row in _table()["clearance"] if pitch <= row["upto"]))


def limits(thread: Thread) -> ThreadLimits:
    """Limits 7e and 7H; the screw's root takes a quarter more than the pitch diameter's tolerance."""
    row = _table()["tolerances"][f"{thread.pitch:g}"]
    band = next(b for b in _table()["bands"] if thread.diameter <= b["upto"])
    t2, hole_t2 = (t / 1000.0 for t in band["pitches"][f"{thread.pitch:g}"])
    e, t, hole_t = (row[key] / 1000.0 for key in ("e", "Td", "TD1"))
    form = profile(thread)
    d, d2 = thread.diameter, form.pitch_dia
    screw = Limits(
        span(d - t, d),
        span(d2 - e - t2, d2 - e),
        span(form.root - e - 1.25 * t2, form.root),
    )
    hole = Limits(
        span(form.hole_major, form.hole_major + hole_t2),
        span(d2, d2 + hole_t2),
        span(form.minor, form.minor + hole_t),
    )
    said = ["limits 7e and 7H: ISO 2903, its tables entered from memory"]
    if thread.starts > 1:
        said.append("limits are those of one start of this pitch; several want a little more, see the standard")
    return ThreadLimits(screw, hole, tuple(said))


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("trapezoidal.toml").read_text(encoding="utf-8"))


TRAPEZOIDAL = Standard(PATTERN, read, limits, known)
