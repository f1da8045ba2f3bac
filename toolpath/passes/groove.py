"""Groove with a blade: plunges from the middle out, then each wall from the top down and the floor from both sides.

A blade cuts with its end. So it never climbs a wall and is never pulled sideways off a corner: every run of the finish
goes down, and a floor is cut half from each side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from toolpath.geometry.elements import Chain, Element, Line, Point, reverse
from toolpath.geometry.envelope import Envelope
from toolpath.passes import levels
from toolpath.passes.legs import Legs, along, dwell, end_of, feed, rapid
from toolpath.passes.levels import Span

OUT = 4.0
"""Times the feed at which the blade is drawn out: it cuts nothing then, yet touches both walls of its slot."""

STEP_SHARE = 0.75
"""Greatest step from plunge to plunge, of the blade's width (ZCC-CT parting and grooving catalogue 2019)."""

TOLERANCE = 1e-6

ONE_PLACE = 1e-5
"""mm: places nearer than this are one; a hundredth of a control's last digit."""


class Grooving(Struct, frozen=True):
    """What the passes must keep to, all mm.

    keep:      envelope for the blade that leaves metal on; bare: for the bare blade
    stock:     envelope of what stands now, for the bare blade
    within:    stretch of u to be cut; path: the stretch of `bare` to be finished, left to right
    width:     of the blade
    peck:      depth of one peck; lift: how far it is drawn back between pecks
    top:       height from which everything near is clear
    clearance: distance from metal at which rapids end
    """

    keep: Envelope
    bare: Envelope
    stock: Envelope
    within: Span
    path: Chain
    width: float
    peck: float
    lift: float
    top: float
    clearance: float


def groove(job: Grooving, start: Point) -> tuple[Legs, int]:
    """Legs from `start` (clear of the work) to a point over the groove, and the number of plunges."""
    legs: Legs = ()
    here = start
    solid, floor = levels.standing(job.stock, job.keep, job.within), job.keep
    if not solid:
        # A groove with no room beside the blade for metal to be left on is plunged to size at once.
        spans = levels.standing(job.stock, job.bare, job.within)
        floors = [_floor(job.bare, s) for s in spans]
        solid = [f for f in floors if job.stock.height(u := (f[0] + f[1]) / 2.0) - job.bare.height(u) > job.lift]
        floor = job.bare
    count = 0
    for u in [u for span in solid for u in middle_out(positions(_inside(span), job.width * STEP_SHARE))]:
        cut = _plunge(job, u, floor.height(u), here)
        if cut:
            legs, here, count = legs + cut, end_of(cut), count + 1
    for run in downward_runs(job.path):
        legs += _wall(job, run, here)
        here = end_of(legs)
    return legs, count


def _floor(bare: Envelope, span: Span) -> Span:
    """The stretch of `span` where the blade stands lowest."""
    bottom = levels.lowest(bare, span)
    low = [e for e in levels.clipped(bare, span) if max(e.a[1], e.b[1]) <= bottom + TOLERANCE]
    return (low[0].a[0], low[-1].b[0]) if low else span


def _inside(span: Span) -> Span:
    """The stretch less a hair at each end: on a wall itself the height is that of the wall's top."""
    lo, hi = span
    hair = min(10.0 * TOLERANCE, (hi - lo) / 4.0)
    return (lo + hair, hi - hair)


def positions(span: Span, step: float) -> list[float]:
    """Places of the plunges over a stretch of the blade's point: evenly apart, no more than `step`, both ends held."""
    lo, hi = span
    n = max(1, math.ceil((hi - lo) / step - 1e-9)) if hi - lo > ONE_PLACE else 0
    return [lo + (hi - lo) * k / n for k in range(n + 1)] if n else [(lo + hi) / 2.0]


def middle_out(places: Sequence[float]) -> list[float]:
    """The places from the middle outwards, so that every plunge after the first has air on one side."""
    middle = (places[0] + places[-1]) / 2.0
    return sorted(places, key=lambda u: (round(abs(u - middle), 9), u))


def downward_runs(path: Chain) -> list[Chain]:
    """The path cut at its tops and in the middle of its floors, each run turned so that it goes down."""
    runs: list[tuple[bool, list[Element]]] = []
    for e, falls in _directed([half for whole in path for half in _split(whole)]):
        if runs and runs[-1][0] == falls:
            runs[-1][1].append(e)
        else:
            runs.append((falls, [e]))
    return [tuple(run) if falls else reverse(tuple(run)) for falls, run in runs]


def _directed(parts: list[Element]) -> list[tuple[Element, bool]]:
    """Each element with whether it is cut from left to right. Level ones follow their neighbours; a floor is halved."""
    slopes = [_slope(e) for e in parts]
    out: list[tuple[Element, bool]] = []
    for i, e in enumerate(parts):
        before = next((s for s in reversed(slopes[:i]) if s), 0)
        after = next((s for s in slopes[i + 1 :] if s), 0)
        if slopes[i]:
            out.append((e, slopes[i] < 0))
        elif before < 0 < after and isinstance(e, Line):
            mid = ((e.a[0] + e.b[0]) / 2.0, e.a[1])
            out += [(Line(e.a, mid), True), (Line(mid, e.b), False)]
        else:
            out.append((e, before < 0 or (before == 0 and after <= 0)))
    return out


def _split(e: Element) -> list[Element]:
    """An arc cut at its lowest and highest points, so that each part goes one way."""
    if isinstance(e, Line):
        return [e]
    t = e.parameter_of((e.centre[0], e.centre[1] + (e.radius if e.sweep < 0.0 else -e.radius)))
    return [e.part(0.0, t), e.part(t, 1.0)] if 1e-9 < t < 1.0 - 1e-9 else [e]


def _slope(e: Element) -> int:
    """Minus one, zero, one: whether the element falls to the right, is level, or rises."""
    d = e.b[1] - e.a[1]
    return 0 if abs(d) < 1e-9 else (1 if d > 0.0 else -1)


def _plunge(job: Grooving, u: float, floor: float, here: Point) -> Legs:
    surface = min(job.stock.height(u), job.top)
    if surface <= floor + TOLERANCE:
        return ()
    over = (u, job.top + job.clearance)
    down = (u, surface + job.clearance)
    legs = (*_across(here, over), *rapid(over, down))
    v = surface
    while v > floor + TOLERANCE:
        v = max(v - job.peck, floor)
        v = floor if v - floor < job.peck / 4.0 else v
        legs += feed(end_of(legs) if legs else down, (u, v))
        if v > floor + TOLERANCE:
            legs += feed((u, v), (u, v + job.lift), share=OUT)
    return (*legs, *dwell((u, floor), turns=1.0), *feed((u, floor), over, share=OUT))


def _wall(job: Grooving, run: Chain, here: Point) -> Legs:
    first, last = run[0].a, run[-1].b
    over = (first[0], job.top + job.clearance)
    near = (first[0], first[1] + job.clearance)
    return (
        *_across(here, over),
        *(rapid(over, near) if near[1] < over[1] else ()),
        *feed(near if near[1] < over[1] else over, first),
        *along(run),
        *feed(last, (last[0], job.top + job.clearance), share=OUT),
    )


def _across(here: Point, over: Point) -> Legs:
    height = max(here[1], over[1])
    up, beside = (here[0], height), (over[0], height)
    return (*rapid(here, up), *rapid(up, beside), *rapid(beside, over))
