"""Drills before a tap, out of those that are owned, with how much of the thread they leave.

Two scales of percent are in use, and a figure means nothing without its own:

    of the basic height    100 (D - drill) / (1.0825 P), 5/8 H: all of the thread that a hole can have
    of the chart           100 (D - drill) / (1.299 P), 3/4 H: that of most shop charts, five sixths of the other

These are the figures for 60 degrees; other forms have their own height, and for those the second scale is not used.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from msgspec import Struct

from toolpath.shop.drills import SAME, Drill, DrillSet
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.preparing import bore
from toolpath.shop.threads.thread import Thread

CHART_HEIGHT = 1.5 * 0.8660254  # of P on diameter, 3/4 H twice
USUAL = 90.0  # percent of the basic height, 75 of the chart: the drills of the published inch chart, size by size


class TapDrill(Struct, frozen=True):
    """A drill and what it leaves. basic, chart: percent on the two scales, chart None unless of 60 degrees.

    within: whether the drill lies in the limits of the hole's minor diameter
    """

    drill: Drill
    basic: float
    chart: float | None
    within: bool


def engagement(thread: Thread, dia: float) -> tuple[float, float | None]:
    """(percent of the basic height, percent of the chart's or None) that a hole of `dia` mm leaves."""
    height = thread.diameter - profile(thread).minor
    sixty = math.isclose(thread.angle, math.radians(60.0), abs_tol=1e-9)
    bare = thread.diameter - dia
    return 100.0 * bare / height, 100.0 * bare / (CHART_HEIGHT * thread.pitch) if sixty else None


def tap_drills(thread: Thread, owned: Iterable[DrillSet]) -> tuple[TapDrill, ...]:
    """Every owned drill within the limits of the hole, thinnest first; empty when there is none.

    A size that two sets have stands once, with the first set's name.
    """
    room = bore(thread)
    found: dict[float, Drill] = {}
    for one in (d for owner in owned for d in owner.drills):
        if room.least - SAME <= one.dia <= room.greatest + SAME:
            found.setdefault(round(one.dia, 4), one)
    return tuple(rated(thread, found[dia]) for dia in sorted(found))


def usual_drill(thread: Thread) -> float:
    """The diameter that leaves the usual engagement, mm; no drill need have it."""
    return thread.diameter - USUAL / 100.0 * (thread.diameter - profile(thread).minor)


def best(thread: Thread, drills: Iterable[TapDrill]) -> TapDrill | None:
    """The one nearest to the usual engagement; None of none. Of two as near the thicker, which is kinder to the tap."""
    return min(drills, key=lambda d: (round(abs(d.basic - USUAL), 6), -d.drill.dia), default=None)


def rated(thread: Thread, drill: Drill) -> TapDrill:
    """A drill with its engagement."""
    room = bore(thread)
    basic, chart = engagement(thread, drill.dia)
    return TapDrill(drill, basic, chart, room.least - SAME <= drill.dia <= room.greatest + SAME)
