"""Which play a fit wants, what a hole comes out at, and the hole to be picked for a component.

Play is hole less component, mm on diameter; less than 0 it is pressed in. A hole is judged by its *likely* limits: what
a drill cuts over, a reamer is ground for or a bar is taken to hold, less what the material then closes in by, plus
what is done to it afterwards. Its smallest must leave the largest component the least play, its largest the smallest
component no more than the most. The figures with their sources: `fits.toml`.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.errors import BadInput, CannotMake
from toolpath.part.afterwards import Afterwards, after
from toolpath.part.component import Limits
from toolpath.part.figures import mm
from toolpath.quantity import iso286
from toolpath.shop.drawer import Drawer
from toolpath.shop.drills import Drill
from toolpath.shop.duties import enter_refusal
from toolpath.shop.hole_rules import drill_before_reamer, oversize, oversize_known_to
from toolpath.shop.hole_tools import point_length
from toolpath.shop.materials import Material

SAME = 1e-6  # mm: rounding
BORE_DIGITS = 2  # of a mm: finer no bore is asked for, if the fit allows
MEASURING = ((0.02, "a calliper"), (0.005, "a micrometer"))  # mm either way; common practice, no source
PLAIN_DRILL = ("free", "glue gap")  # the fits that a plain drill may make


class Band(Struct, frozen=True):
    """Least and most play of a fit, mm on diameter, and who says so."""

    least: float
    most: float
    source: str


class Means(Struct, frozen=True):
    """What a hole can be made with, the material it is made in, and what is done to it afterwards."""

    drawer: Drawer
    material: Material
    after: tuple[Afterwards, ...] = ()


class Made(Struct, frozen=True):
    """A hole that was picked: its nominal diameter, what makes it, and its likely limits when all is done.

    how: "drilled", "reamed" or "bored"; tool: in words; cut: its limits as it is cut; point: of the drill, rad
    """

    how: str
    dia: float
    tool: str
    cut: Limits
    limits: Limits
    point: float = 0.0


def band(fit: str, dia: float) -> Band:
    """The play that a fit wants at a diameter; BadInput beyond the tables."""
    row = _table()[fit]
    if "play" in row:
        least, most = row["play"]
        return Band(least, most, row["source"])
    if fit == "free":
        most = next((play for upto, play in row["most"] if dia <= upto), None)
        if most is None:
            raise BadInput(f"no free fit of {mm(dia)} is known", right=f"Up to {row['most'][-1][0]:g} mm it is")
        return Band(-iso286.deviations(dia, row["least"], 9)[1], most, row["source"])
    lower, upper = iso286.deviations(dia, *row["nearest"])
    if row.get("tight"):
        return Band(-upper, 0.0, row["source"])
    width = iso286.deviations(dia, "H", row["hole"])[1]
    return Band(-upper, width - lower, row["source"])


def wanted(body: Limits, play: Band) -> Limits:
    """The limits that a hole must keep to; its smallest is above its largest where no hole can."""
    return Limits(body.largest + play.least, body.smallest + play.most)


def likely(how: str, dia: float, *, means: Means, limits: tuple[float, float] | None = None) -> tuple[Limits, Limits]:
    """(as cut, when all is done) of a hole of nominal `dia`. limits: those that are stated for it."""
    if how in ("drilled", "counterbored"):
        over = oversize(dia)
        cut = Limits(dia + over.least, dia + over.greatest)
    elif limits is not None:
        cut = Limits(*limits)
    else:
        half = bored_width(dia) / 2.0
        cut = Limits(dia - half, dia + half)
    least, most = means.material.closes_in
    return cut, after(Limits(cut.smallest - most * dia, cut.largest - least * dia), means.after)


def bored_width(dia: float) -> float:
    """Between the limits that a boring bar is taken to hold, mm on diameter."""
    return iso286.deviations(dia, "H", _table()["bored"]["grade"])[1]


def room() -> float:
    """mm that a hole is deeper than what it clears."""
    return float(_table()["room"]["end"])


def least_rest() -> float:
    """mm on the radius that a step must have to rest on."""
    return float(_table()["rest"]["least"])


def pick(body: Limits, fit: str, means: Means, *, deep: float, made: str = "", called: str = "it") -> Made:
    """The hole for a component of these limits: a drill of the drawer where one does, else reamed, else bored.

    deep: to where its full diameter goes, mm; made: how, where that is asked for; called: the component, in messages.
    Errors: BadInput where no hole at all can be sure of the fit; CannotMake where this shop has nothing that makes it.
    """
    play = band(fit, body.middle)
    hole = wanted(body, play)
    _refuse_unsure(body, fit, play, called)
    if made == "drilled" and fit not in PLAIN_DRILL:
        raise BadInput(
            f"a {fit} fit is not drilled: a drill of {mm(body.middle)} cuts {_over(body.middle)} over",
            right=f"Ream or bore it: {_would_do(hole, means)}",
        )
    roads = {"drilled": _drill, "reamed": _reamer, "bored": _bore}
    if fit not in PLAIN_DRILL:
        del roads["drilled"]
    reasons = []
    for how, road in roads.items():
        if made in ("", how):
            found = road(hole, means, deep)
            if isinstance(found, Made):
                return found
            reasons.append(found)
    raise CannotMake(
        f"a {fit} fit on {called}, {body}, wants a hole of {hole}. {' '.join(reasons)} "
        f"What would do: {_would_do(hole, means)}"
    )


def _refuse_unsure(body: Limits, fit: str, play: Band, called: str) -> None:
    """Measured so loosely that the smallest hole that is sure to pass is larger than the largest that is not sloppy."""
    hole = wanted(body, play)
    finest = iso286.deviations(body.middle, "H", 7)[1]
    if hole.width >= finest - SAME:
        return
    enough = (play.most - play.least - finest) / 2.0
    with_what = next((f" ({tool} does)" for within, tool in MEASURING if within <= enough), "")
    raise BadInput(
        f"measured within {mm(body.width / 2.0)}, {called} may be {body}; a {fit} fit takes {play.least:.3f} to "
        f"{play.most:.3f} mm of play, and a reamed hole itself varies by {finest:.3f} mm: no hole is sure to do",
        right=f"Measure it within {mm(int(1e3 * enough + SAME) / 1e3)}{with_what} and say so in measured_within",
    )


def _drill(hole: Limits, means: Means, deep: float) -> Made | str:
    """The thinnest drill that is sure to do and long enough, else why not.

    One that is itself as thick as the hole must be goes before one that only comes to it by cutting over.
    """
    drills: list[Drill] = [d for d in means.drawer.drills if d.dia <= oversize_known_to()]
    tried = [(d, *likely("drilled", d.dia, means=means)) for d in drills]
    if not tried:
        return "The rack has no drills."
    fitting = [(d, cut, done) for d, cut, done in tried if within(done, hole)]
    fitting.sort(key=lambda f: f[0].dia < hole.smallest - SAME)
    long = [f for f in fitting if deep + point_length(f[0].dia, f[0].point) <= f[0].flute - f[0].dia + SAME]
    if long:
        drill, cut, done = long[0]
        return Made("drilled", drill.dia, f"drill {drill.name}", cut, done, drill.point)
    if fitting:
        drill = fitting[0][0]
        return f"Drill {drill.name} would do, but its flutes of {mm(drill.flute)} do not go {mm(deep)} deep."
    drill, _, done = min(tried, key=lambda t: abs(t[2].middle - hole.middle))
    return f"The nearest drill, {drill.name}, comes out at {done}: {misses(done, hole)}."


def _reamer(hole: Limits, means: Means, deep: float) -> Made | str:
    """The thinnest reamer that is sure to do, with a drill to go before it, else why not."""
    found = [(t.name, t.hole) for t in means.drawer.by_hand if t.kind == "reamer" and t.hole]
    reamers = sorted(found, key=lambda r: r[1].diameter)
    if not reamers:
        return "The rack has no reamer."
    tried = [(n, r, *likely("reamed", r.diameter, means=means, limits=r.limits)) for n, r in reamers]
    for name, reamer, cut, done in tried:
        if within(done, hole):
            if deep + reamer.lead > reamer.deepest + SAME:
                return f"The {name} would do, but does not go {mm(deep)} deep."
            try:
                before = drill_before_reamer(reamer.diameter, means.drawer.sets)
            except CannotMake as error:
                return f"The {name} would do, but {error}."
            return Made("reamed", reamer.diameter, f"{name} after drill {before.name}", cut, done, before.point)
    name, _, _, done = min(tried, key=lambda t: abs(t[3].middle - hole.middle))
    return f"The nearest, {name}, comes out at {done}: {misses(done, hole)}."


def _bore(hole: Limits, means: Means, deep: float) -> Made | str:
    """A bore in the middle of what is wanted, where a bar gets in and holds it, else why not."""
    dia = _bore_dia(hole, means)
    cut, done = likely("bored", dia, means=means)
    if not within(done, hole):
        return f"A bore of {dia:.3f} mm comes out at {done}, within {cut.width:.3f} mm as cut: {misses(done, hole)}."
    bars = [t for t in means.drawer.tools if "bore" in t.does]
    if not bars:
        return "The rack has no boring bar."
    refusals = [enter_refusal(t, dia, deep=deep) for t in bars]
    for bar, refused in zip(bars, refusals, strict=True):
        if not refused:
            return Made("bored", dia, f"bar T{bar.number}", cut, done)
    return f"No bar bores {dia:.3f} mm: {'; '.join(dict.fromkeys(refusals))}."


def _bore_dia(hole: Limits, means: Means) -> float:
    """What is to be bored so that the middle of the limits comes to that of the hole; a round figure if one does."""
    exact = 2.0 * hole.middle - likely("bored", hole.middle, means=means)[1].middle
    rounded = round(exact, BORE_DIGITS)
    return rounded if within(likely("bored", rounded, means=means)[1], hole) else round(exact, 3)


def within(done: Limits, hole: Limits) -> bool:
    """Whether a hole of these likely limits is sure to keep to those."""
    return hole.smallest - SAME <= done.smallest and done.largest <= hole.largest + SAME


def misses(done: Limits, hole: Limits) -> str:
    """By how much it does not."""
    small, large = hole.smallest - done.smallest, done.largest - hole.largest
    told = [f"{small:.3f} mm too small at its smallest"] if small > SAME else []
    told += [f"{large:.3f} mm too large at its largest"] if large > SAME else []
    return " and ".join(told)


def _over(dia: float) -> str:
    over = oversize(min(dia, oversize_known_to()))
    return f"{over.least:.3f} to {over.greatest:.3f} mm"


def _would_do(hole: Limits, means: Means) -> str:
    """The reamer, and the bar, that make such a hole."""
    dia = _bore_dia(hole, means)
    told = []
    done = likely("reamed", hole.smallest, means=means, limits=_h7(hole.smallest))[1]
    low = 2.0 * hole.smallest - done.smallest
    if hole.width >= done.width - SAME:
        widest = likely("reamed", hole.largest, means=means, limits=_h7(hole.largest))[
            1
        ].width  # of a next band of sizes
        told.append(f"a reamer H7 of {low:.3f} to {low + max(0.0, hole.width - widest):.3f} mm")
    if within(likely("bored", dia, means=means)[1], hole):
        told.append(f"a bar that goes into a hole of {dia:g} mm")
    return " or ".join(told) or "a component measured more finely"


def _h7(dia: float) -> tuple[float, float]:
    lower, upper = iso286.deviations(dia, "H", 7)
    return dia + lower, dia + upper


@cache
def _table() -> dict[str, Any]:
    with Path(__file__).with_name("fits.toml").open("rb") as file:
        return tomllib.load(file)
