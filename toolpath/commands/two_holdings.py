"""A part cut in several holdings: walls that run-out makes too thin, steps, what must be concentric, the first end."""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec.structs import replace

from toolpath.commands import thin
from toolpath.commands.thin import Allowed
from toolpath.errors import BadInput
from toolpath.job.job import Job
from toolpath.part.figures import mm, plain
from toolpath.part.halfsection import HalfSection
from toolpath.plan.both_ends import Cuts, both_ends
from toolpath.shop.holding import Holding, way

SAME = 1e-9


def judged(job: Job, part: HalfSection, least: Allowed) -> tuple[str, ...]:
    """Cautions about what the holdings do to the part.

    BadInput when that makes a wall too thin and the job refuses it, or parts rows that must be cut together.
    """
    cut = both_ends(part, job.holdings)
    if cut is None:
        _refuse_unknown(job, part)
        return ()
    _refuse_parted(job, cut)
    if cut.off <= 0.0:
        return ()
    return (*_wall(job, cut, least), *_step(cut))


def first_end(job: Job, part: HalfSection) -> tuple[Job, tuple[str, ...]]:
    """The job with the ends in the order that lets what must be concentric be cut in one holding, and why it is so.

    As it stands where the job says the ends itself, where nothing must be concentric, or where no order does it.
    """
    if not job.together or job.ends_said or len(job.holdings) != 2:
        return job, ()
    as_is = both_ends(part, job.holdings)
    torn = as_is and _torn(job, as_is)
    if not as_is or not torn:
        return job, ()
    for holdings in _orders(part, job.holdings):
        other = both_ends(part, holdings)
        if other and not _torn(job, other):
            (one, _), (two, _) = torn
            first = holdings[0]
            turned = "" if first.turn_to is None else f", and turned to {first.turn_to:g} mm from there"
            why = (
                f"The {first.end} end comes first{turned}: so {one} and {two}, which must run true to each other, are "
                f"cut in one holding. Else they would be off by up to {mm(as_is.apart(1, 2))}."
            )
            return replace(job, holdings=holdings), (why,)
    return job, ()


def _orders(part: HalfSection, holdings: tuple[Holding, ...]) -> Iterator[tuple[Holding, ...]]:
    """Other ways to share the part between two holdings, the nearest to the usual first: from the other end, then all
    of the outside in the first."""
    one, two = holdings
    swapped = (replace(one, end=two.end), replace(two, end=one.end))
    yield swapped
    for pair in (holdings, swapped):
        yield (replace(pair[0], turn_to=part.length), pair[1])


def _wall(job: Job, cut: Cuts, least: Allowed) -> tuple[str, ...]:
    found = cut.wall
    if found is None or found[0].thick - found[1] >= least.thick - thin.SAME:
        return ()
    wall, off = found
    left = math.floor(1e3 * (wall.thick - off)) / 1e3
    text = (
        f"the wall is {thin.told(wall)}; its two sides are cut in two holdings, and {_half(cut)}, "
        f"{mm(off)}, comes off it: {mm(left)} is left, the least is {mm(least.thick)} ({least.why})"
    )
    if job.thin == "warn":
        return (f"{text[0].upper()}{text[1:]}.",)
    raise BadInput(
        text,
        where=wall.between[0].place("part"),
        right=f'Cut both sides in one holding, hold it truer, or write least_wall = "{left:g} mm" or thin = "warn"',
    )


def _step(cut: Cuts) -> tuple[str, ...]:
    if cut.meeting is None or cut.step <= 0.0:
        return ()
    return (
        f"The holes from both ends meet at z {plain(cut.meeting[0])}: expect a step of up to {mm(cut.step)} there, "
        f"{_half(cut)}.",
    )


def _half(cut: Cuts) -> str:
    """Of what the figure is made."""
    names = [way(h.kind).name for h in cut.holdings[1:]]
    if len(names) == 1:
        return f"half the run-out of the second holding, {names[0]}"
    return f"half the run-outs of the holdings after the first, {', '.join(names)}"


def _torn(job: Job, cut: Cuts) -> tuple[tuple[str, int], tuple[str, int]] | None:
    """Two rows of one group that must be cut together and are not, with their holdings; None where all are.

    BadInput for a row that makes no surface.
    """
    for group in job.together:
        found: list[tuple[str, int]] = []
        for place in group:
            number = cut.named(place)
            if number is None:
                raise _no_row(place, job)
            found.append((place, number))
        other = next((f for f in found if cut.apart(f[1], found[0][1]) > job.true_within + SAME), None)
        if other is not None:
            return found[0], other
    return None


def _refuse_parted(job: Job, cut: Cuts) -> None:
    """BadInput when rows that must be cut together are not cut in one holding, or do not exist."""
    torn = _torn(job, cut)
    if torn is not None:
        (one, first), (other, second) = torn
        raise BadInput(
            f"{one} is cut in holding {first} and {other} in holding {second}: they would be off each other by up to "
            f"{mm(cut.apart(first, second))}, {_half(cut)}",
            where="together",
            right="Write turn_to so that one holding cuts both, or let the hole come from the other end",
        )


def _refuse_unknown(job: Job, part: HalfSection) -> None:
    """BadInput when a row that must be cut together with others does not exist."""
    places = {
        s.place("part")
        for s in (*part.surfaces, *part.inside_surfaces, *part.inside_back_surfaces)
        if s.row is not None
    }
    for group in job.together:
        for place in group:
            if f"part.{place}" not in places:
                raise _no_row(place, job)


def _no_row(place: str, job: Job) -> BadInput:
    k = next(k for k, group in enumerate(job.together) if place in group)
    at = f"together[{job.together[0].index(place)}]" if len(job.together) == 1 else f"together[{k}]"
    return BadInput(
        f"'{place}' is no row that makes a surface",
        where=at,
        right="Name rows by list and number, counted from 0, as outside[2] or inside[0]",
    )
