"""Collets and chucks, and what all ways of holding have in common: outlines, least grip, how true they run.

Outlines are the upper half, in (z, x), closed and counter-clockwise; the nose face is the end that looks at the
tools, at `nose_z`. A bar whose front end stands at z_front and sticks out by s has its nose face at z_front - s.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain
from toolpath.quantity import nearest
from toolpath.shop.outlines import box

SPINDLE_DEPTH = 20.0  # mm of spindle nose drawn behind what holds the bar
GRIP_PER_DIAMETER = 1.0  # least grip in bar diameters, common practice
LEAST_GRIP = 8.0  # mm, common practice
THIN_TUBE = 0.1  # wall per diameter; jaws press a thinner tube out of round, common practice, no source
UNSUPPORTED = 3.0  # bar diameters that may stand out without a centre; Woodstock M1099 lathe manual


class Holding(Struct, frozen=True):
    """One way of holding the work, as the job has it.

    kind:      a word of `ways`, "collet" or "chuck" say
    end:       the end of the part that looks at the tools, "front" or "back"
    stick_out: of the bar, mm from the nose of the hold; None: as needed
    held:      stretch of the part that is gripped, distances from its front face; None: what is best
    turn_to:   distance from the end that looks at the tools to which the outside is turned; None: what looks that way
    zero:      how z = 0 is found: "measured" over the length, "stop", or "mandrel face"
    on:        the thread that a mandrel takes, as it was written, "M10x1"; "" for all other kinds
    thread:    diameter of that thread, mm
    centre:    "running" where the free end is held in the tailstock's centre, else ""
    plug:      a plug stands in the tube where it is gripped
    steady:    where a steady stands, from the front face, mm; None: nowhere
    bar:       it grips the bar that the part is cut from; else what has been made of it
    """

    kind: str
    end: str
    stick_out: float | None = None
    held: tuple[float, float] | None = None
    turn_to: float | None = None
    zero: str = "measured"
    on: str = ""
    thread: float = 0.0
    centre: str = ""
    plug: bool = False
    steady: float | None = None
    bar: bool = True

    @property
    def centred(self) -> bool:
        """Whether the end that looks at the tools runs in a centre."""
        return bool(self.centre) or self.kind == "centres"


class Way(Struct, frozen=True):
    """How a kind of hold works, as the table has it; see there."""

    kind: str
    name: str
    run_out: float
    jaws: bool
    fast: bool
    made: bool
    cautions: tuple[str, ...]


class Hold(Struct, frozen=True):
    """kind:     one of `ways`
    name:       `ER32 collet`, `100 mm three-jaw chuck`
    outlines:   closed chains, upper half
    least_grip: length of bar that must be held, mm
    run_out:    total reading to reckon with, mm
    cautions:   for the sheet
    on_thread:  the hand of the work's own thread where it is held by that: "right" or "left", else ""
    """

    kind: str
    name: str
    outlines: tuple[Chain, ...]
    least_grip: float
    run_out: float
    cautions: tuple[str, ...] = ()
    on_thread: str = ""

    @property
    def fast(self) -> bool:
        """Whether it turns as fast as the spindle may; all others stand no more than the chuck."""
        return way(self.kind).fast

    @property
    def jaws(self) -> bool:
        """Whether hard jaws press on the work."""
        return way(self.kind).jaws


def ways() -> tuple[str, ...]:
    """The kinds of hold, in the words of the job."""
    return tuple(table()["way"])


@cache
def way(kind: str) -> Way:
    """What is known of a kind; BadInput with the nearest for one that is none."""
    row = table()["way"].get(kind)
    if row is None:
        raise BadInput(f"'{kind}' is no way of holding", right=nearest(kind, ways()))
    says = {word: bool(row.get(word, False)) for word in ("jaws", "fast", "made")}
    return Way(kind, row["name"], float(row["run_out"]["value"]), **says, cautions=tuple(row["cautions"]))


def collet(bar: float, *, nose_z: float, size: str = "") -> Hold:
    """A collet holder on a bar of diameter `bar`; the smallest that takes it unless `size` names one."""
    rows = table()["collet"]
    if size and size not in rows:
        raise BadInput(f"'{size}' is no collet size", right=nearest(size, rows))
    for name in [size] if size else rows:
        least, most = rows[name]["takes"]
        if least <= bar <= most:
            row = rows[name]
            back = nose_z - row["nut_length"] - SPINDLE_DEPTH  # nut and spindle nose behind it, one plain body
            return hold_of("collet", f"{name} collet", (box(back, bar / 2.0, nose_z, row["nut"] / 2.0),), bar)
    least, most = rows[size or list(rows)[-1]]["takes"]
    which = f"{size} collets take" if size else "the largest takes"
    raise BadInput(f"no collet for a bar of {bar:g} mm: {which} {least:g} to {most:g} mm", right="Use the chuck")


def chuck(
    bar: float, *, nose_z: float, body: float = 100.0, bore: float = 0.0, kind: str = "chuck", times: float = 1.0
) -> Hold:
    """A chuck of body diameter `body`, its jaws' ends at `nose_z`. Jaws are drawn as what they sweep.

    bore: of the bar when it is a tube, mm; a thin one makes a caution. kind: which chuck, of `ways`.
    times: how much larger than hard ones the front of its jaws is
    """
    rows = {float(k): v for k, v in table()["chuck"].items()}
    row = next((rows[d] for d in sorted(rows) if d >= body), None)
    if row is None:
        raise BadInput(f"a chuck of {body:g} mm is not known here", right=nearest(f"{body:g}", table()["chuck"]))
    least, most = row["takes"]
    if not least <= bar <= most:
        raise BadInput(f"a {body:g} mm chuck holds bars of {least:g} to {most:g} mm, not of {bar:g} mm")
    r, outer = bar / 2.0, body / 2.0
    depth, height = row["step"]
    shoulder, face = nose_z - times * depth, nose_z - row["jaws"] - (times - 1.0) * depth
    front = box(shoulder, r, nose_z, min(r + times * height, max(outer, r + height)))
    rest = box(face, r, shoulder, outer)
    outlines = (front, rest, box(face - row["body"], r, face, outer))
    return hold_of(kind, f"{body:g} mm {way(kind).name}", outlines, bar, more=thin_tube(bar, bore))


def thin_tube(bar: float, bore: float) -> tuple[str, ...]:
    """What to do about a tube that three jaws would press out of round; nothing about a solid or a stout one."""
    wall = (bar - bore) / 2.0
    if bore <= 0.0 or wall >= THIN_TUBE * bar * (1.0 - 1e-9):
        return ()
    return (
        f"The jaws would crush the tube: its wall is {wall:g} mm, less than {THIN_TUBE * bar:g} mm, a tenth of its "
        "diameter. Push a close-fitting plug into the end that they grip.",
    )


def hold_of(kind: str, name: str, outlines: tuple[Chain, ...], bar: float, *, more: tuple[str, ...] = ()) -> Hold:
    """A hold of that kind on a diameter of the work, mm, with what its kind says of it. more: cautions besides"""
    known = way(kind)
    return Hold(kind, name, outlines, least_grip(bar), known.run_out, (*known.cautions, *(more if known.jaws else ())))


def least_grip(bar: float) -> float:
    """Length of a bar of that diameter that must be held, mm."""
    return max(LEAST_GRIP, GRIP_PER_DIAMETER * bar)


def refuse_no_grip(dia: float, length: float) -> None:
    """BadInput when the cylinder at the stock's back end, mm, is too short to be held however far it goes in."""
    if length < least_grip(dia):
        raise BadInput(
            f"the cylinder at the back end, of {dia:g} mm, is {length:g} mm long",
            right=f"To be held it needs at least {least_grip(dia):g} mm (common practice)",
        )


def refuse_too_long(bar: float, *, length: float, stick_out: float, hold: Hold, gone: float = 0.0) -> None:
    """BadInput when less bar than `hold.least_grip` is left inside. gone: mm of it that were faced off before"""
    if length - stick_out < hold.least_grip:
        raise BadInput(
            f"{length:g} mm of bar sticking out {stick_out:g} mm leaves {length - stick_out:g} mm to hold",
            right=f"The {hold.name} must grip at least {hold.least_grip:g} mm of a {bar:g} mm bar (common practice): "
            f"take a bar of {stick_out + hold.least_grip + gone:g} mm or more",
        )


@cache
def table() -> dict[str, Any]:
    """The data file."""
    with Path(__file__).with_name("holding.toml").open("rb") as file:
        return tomllib.load(file)
