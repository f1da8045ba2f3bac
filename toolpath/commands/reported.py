"""What an earlier set-up left, as a report says it: of `make`, or of `prove --json`."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, polyline, signed_area

BELOW = 1e-6  # mm below the axis that rounding may bring a point


class Entry(msgspec.Struct, frozen=True):
    """Of a set-up: its name, and outlines of what stood after it, [z, x] in mm."""

    name: str
    result: list[list[tuple[float, float]]]


class _Report(msgspec.Struct, frozen=True):
    setups: list[Entry]


def reported(file: Path, number: int) -> Chain:
    """The one outline that set-up `number` left, as it lay there. BadInput when the report does not say it."""
    try:
        entries = _entries(file.read_bytes())
    except msgspec.MsgspecError as error:
        what = f"this is no report ({str(error)[:1].lower()}{str(error)[1:]})"
        raise BadInput(what, file=str(file), right="Give the STEM.json that `make` writes") from None
    found = [e for e in entries if e.name == str(number)]
    if not found:
        names = ", ".join(e.name for e in entries) or "none"
        raise BadInput(f"the report has no set-up {number}, whose result is wanted; it has {names}", file=str(file))
    pieces = found[0].result
    where = f"set-up {number}, result"
    if len(pieces) != 1:
        right = "Saw it to the one piece that goes on, or make that set-up anew"
        raise BadInput(
            f"{len(pieces)} pieces are left; a set-up starts from one", file=str(file), where=where, right=right
        )
    if any(not math.isfinite(v) for p in pieces[0] for v in p) or min((p[1] for p in pieces[0]), default=0.0) < -BELOW:
        raise BadInput("the outline goes below the axis", file=str(file), where=where, right="x is a radius, >= 0")
    outline = polyline([(z, max(x, 0.0)) for z, x in pieces[0]], close=True)
    if len(outline) < 3 or signed_area(outline) == 0.0:
        raise BadInput("the outline holds no metal", file=str(file), where=where)
    return outline


def _entries(raw: bytes) -> list[Entry]:
    """The set-ups of a whole report, or the one of an entry alone."""
    try:
        return msgspec.json.decode(raw, type=_Report).setups
    except msgspec.ValidationError:
        return [msgspec.json.decode(raw, type=Entry)]
