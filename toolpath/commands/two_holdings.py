"""A part cut in two holdings: walls that run-out makes too thin, steps, what must be concentric."""

from __future__ import annotations

import math

from toolpath.commands import thin
from toolpath.commands.thin import Allowed
from toolpath.errors import BadInput
from toolpath.job.job import Job
from toolpath.part.figures import mm, plain
from toolpath.part.halfsection import HalfSection
from toolpath.plan.both_ends import BothEnds, both_ends
from toolpath.shop.holding import way


def judged(job: Job, part: HalfSection, least: Allowed) -> tuple[str, ...]:
    """Cautions about what two holdings do to the part.

    BadInput when that makes a wall too thin and the job refuses it, or parts rows that must be cut together.
    """
    cut = both_ends(part, job.holdings)
    if cut is None:
        _refuse_unknown(job, part)
        return ()
    _refuse_parted(job, cut)
    if cut.off <= 0.0:
        return ()
    return (*_wall(job, cut, least), *_step(job, cut))


def _wall(job: Job, cut: BothEnds, least: Allowed) -> tuple[str, ...]:
    wall = cut.wall
    if wall is None or wall.thick - cut.off >= least.thick - thin.SAME:
        return ()
    left = math.floor(1e3 * (wall.thick - cut.off)) / 1e3
    text = (
        f"the wall is {thin.told(wall)}; its two sides are cut in two holdings, and half the run-out of the second, "
        f"{_name(job)}, {mm(cut.off)}, comes off it: {mm(left)} is left, the least is {mm(least.thick)} ({least.why})"
    )
    if job.thin == "warn":
        return (f"{text[0].upper()}{text[1:]}.",)
    raise BadInput(
        text,
        where=wall.between[0].place("part"),
        right=f'Cut both sides in one holding, hold it truer, or write least_wall = "{left:g} mm" or thin = "warn"',
    )


def _step(job: Job, cut: BothEnds) -> tuple[str, ...]:
    if cut.meeting is None:
        return ()
    return (
        f"The holes from both ends meet at z {plain(cut.meeting[0])}: expect a step of up to {mm(cut.off)} there, half "
        f"the run-out of the second holding, {_name(job)}.",
    )


def _refuse_parted(job: Job, cut: BothEnds) -> None:
    """BadInput when rows that must be cut together are not cut in one holding, or do not exist."""
    found: list[tuple[str, int]] = []
    for k, place in enumerate(job.together):
        number = cut.named(place)
        if number is None:
            raise _no_row(place, k)
        found.append((place, number))
    parted = next(((p, n) for p, n in found if n != found[0][1]), None)
    if parted is not None:
        (one, first), (other, second) = found[0], parted
        raise BadInput(
            f"{one} is cut in holding {first} and {other} in holding {second}: they would be off each other by up to "
            f"{mm(cut.off)}, half the run-out of the {_name(job)}",
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
    for k, place in enumerate(job.together):
        if f"part.{place}" not in places:
            raise _no_row(place, k)


def _no_row(place: str, k: int) -> BadInput:
    return BadInput(
        f"'{place}' is no row that makes a surface",
        where=f"together[{k}]",
        right="Name rows by list and number, counted from 0, as outside[2] or inside[0]",
    )


def _name(job: Job) -> str:
    return way(job.holdings[1].kind).name
