"""What the tests of texts share: a preamble that states every mode, and the reading of a short fragment."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from posts.dialect import Dialect, load_dialect
from posts.reader import read
from toolpath.geometry.elements import Point
from toolpath.motion import ArcCut, Cut, Move, Program, Rapid, Step, ThreadCut

G95 = load_dialect("g95")
MODES = "G18 G21 G90 G7 G40"
INCH_MODES = "G18 G20 G90 G7 G40"
TURNING = "T1 M06\nG43 H1\nG97 S800 M03\nG95 F0.1"


def read_blocks(*blocks: str, modes: str = MODES) -> Program:
    """The program of these blocks after modes, tool, spindle and feed, closed by M30."""
    return read("\n".join([modes, TURNING, *blocks, "M30", ""]), G95)


def moves_of(program: Program) -> list[Move]:
    return [step for step in program.steps if isinstance(step, Move)]


def as_drawn(program: Program, *, inch: bool = False) -> list[tuple[float, float]]:
    """End points of the moves as a drawing gives them, (diameter, z), in mm or inch, to six places."""
    unit = 25.4 if inch else 1.0
    return [(round(2.0 * m.end[1] / unit, 6), round(m.end[0] / unit, 6)) for m in moves_of(program)]


def centres_as_drawn(program: Program, *, inch: bool = False) -> list[tuple[float, float]]:
    """Centres of the arcs, (diameter, z), in mm or inch, to six places."""
    unit = 25.4 if inch else 1.0
    return [
        (round(2.0 * m.centre[1] / unit, 6), round(m.centre[0] / unit, 6))
        for m in moves_of(program)
        if isinstance(m, ArcCut)
    ]


def sections_alone(text: str, whole: Program, dialect: Dialect) -> Iterator[tuple[list[Point], list[Point]]]:
    """For each section: where its cuts end when it is read alone, its tool in the post already, and in the whole."""
    lines = text.splitlines()
    starts = [k for k, line in enumerate(lines) if line.startswith("(--- ")]
    assert len(starts) == len(whole.operations)
    for operation, first, last in zip(whole.operations, starts, [*starts[1:], len(lines)], strict=True):
        part = [line for line in lines[first:last] if not line.endswith("M30") and line != "%"]
        tool = operation.steps[-1].state.tool
        before = [line.format(tool=tool, offset=tool) for line in dialect.tool.call] if tool else []
        alone = moves_of(read("\n".join([*before, *part, "M30"]), dialect))
        yield _ends_of_cuts(alone), _ends_of_cuts(operation.steps)


def _ends_of_cuts(steps: Iterable[Step]) -> list[Point]:
    return [m.end for m in steps if isinstance(m, Cut | ThreadCut)]


def goes_by_one_axis_and_home(program: Program) -> bool:
    """Whether no rapid moves two axes at once, and the last move ends where the program began."""
    rapids = [m for m in moves_of(program) if isinstance(m, Rapid)]
    one = all(m.start[0] == m.end[0] or m.start[1] == m.end[1] for m in rapids)
    return one and program.home is not None and math.dist(moves_of(program)[-1].end, program.home) < 1e-3
