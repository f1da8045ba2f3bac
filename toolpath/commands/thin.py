"""Walls that are too thin: what is allowed, where the thinnest one is, and what is done about it."""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.job.job import Job
from toolpath.part.figures import mm, plain
from toolpath.part.halfsection import Surface
from toolpath.part.walls import Wall
from toolpath.shop.materials import Material

SAME = 1e-6  # mm: a wall as thick as it must be is no thin one


class Allowed(Struct, frozen=True):
    """The thinnest wall that the part may have, mm, and who says so."""

    thick: float
    why: str


def allowed(job: Job, material: Material) -> Allowed:
    """The job's own least wall, else that of its material."""
    if job.least_wall is not None:
        return Allowed(job.least_wall, f"least_wall in {job.file.name}")
    return Allowed(material.least_wall, f"{material.title}: {material.sources['least_wall']}")


def judged(job: Job, wall: Wall | None, least: Allowed) -> tuple[str, ...]:
    """Cautions about the thinnest wall; BadInput, at its row inside, when it is too thin and the job refuses that."""
    if wall is None or wall.thick >= least.thick - SAME:
        return ()
    text = f"the wall is {told(wall)}; the least is {mm(least.thick)} ({least.why})"
    if job.thin == "warn":
        return (f"{text[0].upper()}{text[1:]}.",)
    lacking, so_thin = mm(least.thick - wall.thick), mm(math.floor(1e3 * wall.thick) / 1e3)
    raise BadInput(
        text,
        where=wall.between[0].place("part"),
        right=f'Make it {lacking} thicker; if it shall be so thin, write least_wall = "{so_thin}" or thin = "warn"',
    )


def told(wall: Wall) -> str:
    """How thick, from where to where, and between which surfaces; z from the front face as in the program."""
    (a, b), (p, q) = wall.between, (wall.inside, wall.outside)
    return f"{mm(wall.thick)} thick, from {_place(a, p)} to {_place(b, q)}"


def _place(surface: Surface, at: tuple[float, float]) -> str:
    return f"z {plain(at[0])}, dia {plain(2.0 * at[1])} on {surface.name} ({surface.place('part')})"
