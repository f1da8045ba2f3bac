"""The trial assemblies of a job: the set-up in which a trimmed size is tried, and where its spare comes off."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from toolpath.geometry.elements import Chain, points_of
from toolpath.job.job import Job
from toolpath.part.halfsection import HalfSection
from toolpath.plan.both_ends import both_ends
from toolpath.plan.request import Trial
from toolpath.plan.stretches import turned_from_end

SAME = 1e-6
"""mm under which two stations are one."""

CHORD = 0.002
"""mm that arcs are chorded by when one section is laid into another (a check of ours, no source)."""

OVER = 0.01
"""mm that a section may stand out of another and count as inside it: chords and rounding, no more (no source)."""


def trials_of(job: Job, part: HalfSection, drawn: Callable[[str, float], HalfSection]) -> tuple[Trial, ...]:
    """A trial for every size that still has its spare. drawn: the part with that size set to that many mm"""
    return tuple(
        _trial(Trial(t.size, t.cut, t.spare, _mate(job)), job, part, without=drawn(t.size, t.drawn))
        for t in job.trims
        if t.spare
    )


def _mate(job: Job) -> str:
    names = [f"'{c.name}'" for c in job.components]
    return " and ".join(names) if names else "its mate"


def _trial(trial: Trial, job: Job, part: HalfSection, *, without: HalfSection) -> Trial:
    """The trial with its place. without: the part without the spare"""
    at, looks_back = _first_moved(part, without)
    number = _number(job, part, at, looks_back=looks_back)
    last_bar = sum(h.bar for h in job.holdings)
    loose = job.parting.off and number == last_bar and at >= part.length - SAME
    turned = job.holdings[number - 1].end == "back"
    reach = turned_from_end(part, job.holdings, number) if len(job.holdings) > 1 else part.length
    off = _off(
        *((part.turned_round(), without.turned_round()) if turned else (part, without)), trial.spare, reach=reach
    )
    return replace(trial, number=number, loose=loose, off=off)


def _first_moved(part: HalfSection, without: HalfSection) -> tuple[float, bool]:
    """How far from the front face the first surface ends that the spare moves, mm, and whether the wall there looks
    back; the back face where the spare moves nothing outside."""
    pairs = zip(part.outside, without.outside, strict=False)
    k = next((k for k, (a, b) in enumerate(pairs) if abs(a.b[0] - b.b[0]) > SAME), len(part.outside) - 1)
    here, after = part.outside[k], part.outside[k + 1 : k + 2]
    return -here.b[0], not after or after[0].b[1] < here.b[1]


def _number(job: Job, part: HalfSection, at: float, *, looks_back: bool) -> int:
    """The set-up that cuts the last of a length between the front face and a wall `at` mm behind it."""
    cut = both_ends(part, job.holdings)
    if cut is None:
        return 1
    face = next((k for k, h in enumerate(job.holdings, start=1) if h.end == "front"), 1)
    there = [(a, k) for k, (a, b) in enumerate(cut.spans, start=1) if a - SAME <= at <= b + SAME]
    # A wall on a border is cut from the side that it looks at.
    return max(face, (max(there) if looks_back else min(there))[1]) if there else face


def _off(part: HalfSection, without: HalfSection, spare: float, *, reach: float) -> str:
    """At which end metal has to come off, and none put on, to turn one part into the other, as the set-up sees both.

    reach: mm from its free end that it turns; nothing may have to come off beyond
    """
    if _comes_off(without.outline, part.outline, shift=-spare, reach=reach):
        return "front"
    return "back" if _comes_off(without.outline, part.outline, shift=0.0, reach=reach) else ""


def _comes_off(small: Chain, large: Chain, *, shift: float, reach: float) -> bool:
    """Whether a section, moved along z by `shift`, lies in another, and all of the rest within reach of the tools."""
    import shapely

    moved = tuple(e.moved((shift, 0.0)) for e in small)
    inner, outer = (shapely.make_valid(shapely.Polygon(points_of(c, CHORD))) for c in (moved, large))
    rest = shapely.difference(outer, inner.buffer(OVER))
    within = rest.is_empty or rest.bounds[0] >= shift - reach - OVER
    return bool(within and shapely.difference(inner, outer.buffer(OVER)).is_empty)
