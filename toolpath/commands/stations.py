"""The stations of a part as `check` prints them: surface by surface, and the walls between outside and inside."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from toolpath.commands.inputs import Inputs
from toolpath.commands.thin import told
from toolpath.geometry.elements import Chain
from toolpath.part.halfsection import Surface
from toolpath.part.walls import stations

WIDTH = 80
MM_PER_UNIT = {"mm": 1.0, "inch": 25.4}
DIGITS = {"mm": 3, "inch": 4}  # a micrometre, a tenth of a thou: what a bench micrometer reads


def surfaces(inputs: Inputs) -> Iterator[str]:
    """One line a surface: where it begins and ends, from the front face; its diameters there; what it is.

    The outside with the grooves in its faces first, from front to back, then each hollow from its mouth inwards.
    """
    part = inputs.part
    yield f"Stations from the front face, {inputs.job.unit}"
    yield f"{'from':>9} {'to':>9} {'dia':>9} {'to dia':>9}  surface"
    yield from _lines(inputs, part.outside, part.surfaces)
    for name, chain, of in (
        ("Inside, from the front", part.inside, part.inside_surfaces),
        ("Inside, from the back", part.inside_back, part.inside_back_surfaces),
    ):
        if chain:
            yield name
            yield from _lines(inputs, chain, of)


def walls(inputs: Inputs) -> Iterator[str]:
    """Station, outside, inside, wall; then the least wall in any direction, and what is allowed. Nothing if solid."""
    part, wall, least = inputs.part, inputs.wall, inputs.least_wall
    if wall is None:
        return
    yield ""
    hollow = [s for s in stations(part) if s.inside_dia > 0.0]
    if hollow:
        root = ", of a thread at its root" if part.threads else ""
        yield f"Walls, {inputs.job.unit}, across the axis{root}"
        yield f"{'station':>9} {'outside':>9} {'inside':>9} {'wall':>9}"
    for s in hollow:
        figures = (-s.z, s.outside_dia, s.inside_dia, s.wall)
        yield " ".join(f"{figure(inputs, value):>9}" for value in figures)
    yield from _wrapped(f"Least wall, in any direction: {told(wall)}")
    yield from _wrapped(f"Allowed: {long(inputs, least.thick)} ({least.why})")


def _lines(inputs: Inputs, chain: Chain, of: tuple[Surface, ...]) -> Iterator[str]:
    for element, surface in zip(chain, of, strict=True):
        (z0, x0), (z1, x1) = element.a, element.b
        figures = " ".join(f"{figure(inputs, value):>9}" for value in (-z0, -z1, 2.0 * x0, 2.0 * x1))
        yield f"{figures}  {surface.name}{_limits(inputs, surface)}"


def _limits(inputs: Inputs, surface: Surface) -> str:
    """The limits of a diameter that has some; its stations show the middle, which is what is cut."""
    if surface.dia is None or not surface.dia.toleranced:
        return ""
    lower, upper = (figure(inputs, value) for value in (surface.dia.lower, surface.dia.upper))
    return f", {lower} to {upper}"


def figure(inputs: Inputs, mm: float) -> str:
    """A length for a column, in the job's unit."""
    unit = inputs.job.unit
    digits = DIGITS[unit]
    return f"{round(mm / MM_PER_UNIT[unit], digits) + 0.0:.{digits}f}"  # + 0.0: never "-0.000"


def long(inputs: Inputs, mm: float) -> str:
    """A length in a sentence, in the job's unit and with it."""
    unit = inputs.job.unit
    return f"{mm / MM_PER_UNIT[unit]:.{DIGITS[unit] + 3}g} {'in' if unit == 'inch' else unit}"


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent="  ", break_on_hyphens=False)
