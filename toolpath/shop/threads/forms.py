"""The form of a thread: from parts of the pitch (forms.toml) to millimetres."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.shop.threads.thread import Profile, Thread

FREE = "free"  # the form of an angle that no standard has: flats of P/8 at crest and root


def form_angle(form: str) -> float:
    """Angle between the flanks of a named form, rad."""
    return math.radians(_table()[form]["angle"])


def form_of(angle: float) -> str:
    """The standard form with this flank angle (rad), else `FREE`; a taper's form is not meant."""
    named = {
        round(row["angle"], 6): name for name, row in reversed(_table().items()) if name not in ("taper", "unified")
    }
    return named.get(round(math.degrees(angle), 6), FREE)


class Insert(Struct, frozen=True):
    """Of a full-form insert, in parts of the pitch: from the pitch line to the crest, and the end it has by the
    standard, a flat or a radius, both 0 where none is known."""

    over: float
    flat: float
    radius: float


def insert_form(angle: float, *, inside: bool) -> Insert:
    """Full form of the standard with this flank angle (rad). A hole's root has the flat of its screw's crest."""
    form = form_of(angle)
    row = _table()[form] if form != FREE else _free(angle)
    over = (row["minor"] - row["pitch"] if inside else row["pitch"]) / 2.0
    if form not in ("iso", "whitworth"):
        return Insert(over, 0.0, 0.0)
    if inside and form == "iso":
        return Insert(over, row["crest_flat"], 0.0)
    return Insert(over, 0.0, row["root_radius"])


def profile(thread: Thread) -> Profile:
    """The thread's basic form, mm."""
    row = _table()[thread.form] if thread.form != FREE else _free(thread.angle)
    deeper = _clearance(thread)

    def drop(key: str) -> float:
        return thread.diameter - float(row[key]) * thread.pitch

    def part(key: str) -> float:
        return float(row.get(key, 0.0)) * thread.pitch

    narrower = 2.0 * deeper * math.tan(thread.angle / 2.0)  # both flanks over the clearance's depth
    return Profile(
        pitch_dia=drop("pitch"),
        minor=drop("minor"),
        root=drop("root") - 2.0 * deeper,
        hole_major=thread.diameter + 2.0 * deeper,
        crest_flat=part("crest_flat"),
        root_flat=max(part("root_flat") - narrower, 0.0),
        crest_radius=part("crest_radius"),
        root_radius=part("root_radius"),
    )


def _clearance(thread: Thread) -> float:
    """How much deeper than the basic form the roots lie, mm of radius: trapezoidal threads alone."""
    if thread.form != "trapezoidal":
        return 0.0
    from toolpath.shop.threads.trapezoidal import clearance

    return clearance(thread.pitch)


def _free(angle: float) -> dict[str, float]:
    """Crest and root cut off an eighth of the sharp V each, by analogy with the crest of ISO 68-1."""
    sharp = 0.5 / math.tan(angle / 2.0)  # height of the V in pitches
    return {"pitch": 0.75 * sharp, "minor": 1.25 * sharp, "root": 1.5 * sharp, "crest_flat": 0.125, "root_flat": 0.125}


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("forms.toml").read_text(encoding="utf-8"))
