"""The cutting figures of a job's material with the tools of its rack, as lines: each with the bound that decided it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from toolpath.commands.inputs import Inputs, least_out
from toolpath.commands.stations import WIDTH
from toolpath.cutting.figures import Figure
from toolpath.cutting.turning import CuttingData, plan_turning
from toolpath.errors import HalfsectionError
from toolpath.shop.holding import way
from toolpath.shop.tools import Tool

KINDS = {"turn": ("rough", "finish"), "bore": ("rough", "finish"), "groove": ("groove",), "part off": ("part off",)}
"""Operations by what a tool is meant for."""


def cutting_figures(inputs: Inputs) -> Iterator[str]:
    """A table at the bar's diameter whose figures have letters, then the bound behind each letter.

    A tool that will not do says why instead.
    """
    dia, bounds = inputs.job.bar.stock.dia, dict[str, str]()
    yield f"Figures in {inputs.material.title} at diameter {dia:g}, the bound of each by its letter"
    yield f"{'':14}{'m/min':>9}{'rpm':>10}{'mm a turn':>13}{'mm deep':>11}"
    for tool in inputs.tools:
        for operation in dict.fromkeys(o for duty, ops in KINDS.items() if duty in tool.does for o in ops):
            yield from _row(inputs, tool, operation, dia=dia, bounds=bounds)
    for bound, letter in bounds.items():
        yield from _wrapped(f"  {letter}  {bound}", 5)


def _row(inputs: Inputs, tool: Tool, operation: str, *, dia: float, bounds: dict[str, str]) -> Iterator[str]:
    """bounds: letters by bound, to which new ones are added"""
    name = f"  T{tool.number} {operation}"
    try:
        d = _data(inputs, tool, operation, dia=dia)
    except HalfsectionError as error:
        yield from _wrapped(f"{name:<16}refused: {str(error).removeprefix(f'T{tool.number} {tool.name} ')}", 16)
        return

    def cell(figure: Figure, digits: int) -> str:
        return f"{figure.value:.{digits}f} {bounds.setdefault(figure.because, _letter(len(bounds))):<2}"

    cells = f"{cell(d.surface, 0):>10}{cell(d.rpm, 0):>10}{cell(d.feed, 3):>13}{cell(d.depth, 2):>11}"
    yield f"{name:<14}{cells}".rstrip()


def _letter(n: int) -> str:
    return f"{chr(ord('a') + n // 26 - 1) if n >= 26 else ''}{chr(ord('a') + n % 26)}"


def _data(inputs: Inputs, tool: Tool, operation: str, *, dia: float) -> CuttingData:
    job = inputs.job
    out = least_out(inputs)
    return plan_turning(
        inputs.material,
        tool,
        inputs.machine,
        operation=operation,
        diameter_max=dia,
        diameter_min=0.0 if operation == "part off" else dia / 2.0,
        stick_out=0.0 if any(h.centred for h in job.holdings) else out,
        finish_um=None if job.finish_um is None else job.finish_um / 4.0,
        run_out=way(job.holding.kind).run_out,
        in_chuck=not way(job.holding.kind).fast,
        stub=job.parting.stub if operation == "part off" else None,
    )


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=" " * indent, drop_whitespace=True, break_on_hyphens=False)
