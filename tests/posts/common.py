"""What the tests of texts share: a preamble that states every mode, and the reading of a short fragment."""

from __future__ import annotations

from posts.dialect import load_dialect
from posts.reader import read
from toolpath.motion import ArcCut, Move, Program

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
