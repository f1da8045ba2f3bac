"""A threading cycle as it is read, in the three forms there are, checked as a strict control would.

Two blocks (the course and training pages): P mmrraa, Q least step, R allowance; then X root, Z end, R taper, P height,
Q first depth, F lead. mm: passes at full depth, rr: run-out in tenths of a lead, aa: angle of the thread; P and Q count
last digits and have no point. One block (public control manuals): X, Z, K height, D first depth, I taper, F lead,
A angle. From the drive line (the public turning documentation of the language that grew out of NISTIR 6556): P lead, Z
end, I crest from the line the tool stands on, J first depth, K whole depth (all three on diameter where X is one),
R degression, Q angle of the flank, H passes at full depth; E and L, for tapers at the ends, are not read.
"""

from __future__ import annotations

import math

from msgspec import Struct

from posts.axes import Axes
from posts.block import Block, whole
from posts.dialect import Dialect
from posts.lexer import Word, fault
from posts.threading_cycle import ThreadingCycle
from toolpath.motion import Point

ANGLES = (0, 29, 30, 55, 60, 80)
"""Degrees that two blocks can say (common practice, no source)."""


class First(Struct, frozen=True):
    """What the first of two blocks says. angle: degrees of the thread; run_out: in leads."""

    repeats: int
    run_out: float
    angle: int
    least: float
    allowance: float


def first_of(block: Block, axes: Axes, dialect: Dialect) -> First:
    """The first of two blocks."""
    p = _word(block, "P", "how it finishes, runs out and comes down")
    number = whole(p, most=999999)
    if "." in p.digits or len(p.digits) != 6:
        raise fault(p.column, f"{p} has not six digits", "Two each: passes at full depth, run-out, angle")
    angle = number % 100
    if angle not in ANGLES:
        raise fault(p.column, f"{p}: {angle} is no angle of a thread", f"One of {', '.join(map(str, ANGLES))}")
    if not number // 10000:
        raise fault(p.column, f"{p}: no pass at full depth", "Begin with 01 or more")
    least = counted(_word(block, "Q", "the least step"), axes, dialect)
    allowance = axes.length(_word(block, "R", "what the last passes take"))
    if allowance < 0.0:
        raise fault(block.words["R"].column, f"{block.words['R']} is negative")
    return First(number // 10000, number // 100 % 100 / 10.0, angle, least, allowance)


def second_of(block: Block, end: Point, axes: Axes, *, dialect: Dialect, first: First) -> ThreadingCycle:
    """The second of two blocks, whose X and Z lead to `end`."""
    _need_place(block)
    lead = positive(_word(block, "F", "the lead"), axes)
    cycle = ThreadingCycle(
        start=axes.at,
        end=end,
        height=counted(_word(block, "P", "the height of the thread"), axes, dialect),
        first=counted(_word(block, "Q", "the first depth"), axes, dialect),
        lead=lead,
        least=first.least,
        allowance=first.allowance,
        repeats=first.repeats,
        taper=axes.length(block.words["R"]) if "R" in block.words else 0.0,
        flank=math.radians(first.angle / 2.0),
        run_out=first.run_out * lead,
    )
    return _sound(cycle, block)


def one_block(block: Block, end: Point, axes: Axes) -> ThreadingCycle:
    """All in one block, whose X and Z lead to `end`."""
    _need_place(block)
    angle = _word(block, "A", "the angle of the thread").value
    if not 0.0 <= angle <= 120.0:
        raise fault(block.words["A"].column, f"{block.words['A']} is no angle of a thread")
    cycle = ThreadingCycle(
        start=axes.at,
        end=end,
        height=positive(_word(block, "K", "the height of the thread"), axes),
        first=positive(_word(block, "D", "the first depth"), axes),
        lead=positive(_word(block, "F", "the lead"), axes),
        taper=axes.length(block.words["I"]) if "I" in block.words else 0.0,
        flank=math.radians(angle / 2.0),
    )
    return _sound(cycle, block)


def from_drive_line(block: Block, end: Point, axes: Axes) -> ThreadingCycle:
    """From where the tool stands, to Z."""
    if "Z" not in block.words:
        raise fault(block.codes["threading"].column, "the threading cycle has no Z: where its passes end is not stated")
    for letter in "EL":
        if (word := block.words.get(letter)) and word.value:
            raise fault(word.column, f"{word}: tapers at the ends of a thread are not read")
    across = 0.5 if axes.diameter else 1.0
    crest = axes.length(_word(block, "I", "where the crest lies")) * across
    if not crest:
        raise fault(block.words["I"].column, "I says neither outside (negative) nor inside")
    height = positive(_word(block, "K", "the whole depth"), axes) * across
    degression = block.words["R"].value if "R" in block.words else 1.0
    if not 1.0 <= degression <= 10.0:
        raise fault(block.words["R"].column, f"{block.words['R']} is no degression from 1")
    flank = block.words["Q"].value if "Q" in block.words else 0.0
    if not 0.0 <= flank < 60.0:
        raise fault(block.words["Q"].column, f"{block.words['Q']} is no angle of a flank, in degrees")
    (z, x) = axes.at
    cycle = ThreadingCycle(
        start=(z, x),
        end=(end[0], x + crest + math.copysign(height, crest)),
        height=height,
        first=positive(_word(block, "J", "the first depth"), axes) * across,
        lead=positive(_word(block, "P", "the lead"), axes),
        repeats=whole(block.words["H"], most=99) if "H" in block.words else 0,
        flank=math.radians(flank),
        degression=degression,
        shifts_end=True,
    )
    return _sound(cycle, block)


def counted(word: Word, axes: Axes, dialect: Dialect) -> float:
    """mm of a word that counts last digits; BadInput unless it is whole, without a point, above 0."""
    count = whole(word, most=9_999_999)
    if "." in word.digits:
        raise fault(word.column, f"{word} has a point, and counts last digits")
    if not count:
        raise fault(word.column, f"{word} is nothing")
    axes.refuse_unitless(word)
    return float(count * axes.scale / 10 ** dialect.numbers(inch=axes.scale > 1.0).position)


def positive(word: Word, axes: Axes) -> float:
    """mm of a word that must be above 0."""
    value = axes.length(word)
    if value <= 0.0:
        raise fault(word.column, f"{word} is not above 0")
    return value


def _word(block: Block, letter: str, what: str) -> Word:
    code = block.codes[block.cycle]
    if not (found := block.words.get(letter)):
        raise fault(code.column, f"the block of {code} has no {letter}: {what} is not stated")
    return found


def _need_place(block: Block) -> None:
    code = block.codes["threading"]
    for place, step, what in (("X", "U", "how deep"), ("Z", "W", "where")):
        if place not in block.words and step not in block.words:
            raise fault(code.column, f"the threading cycle has no {place}: {what} its passes end is not stated")


def _sound(cycle: ThreadingCycle, block: Block) -> ThreadingCycle:
    """The cycle; BadInput where its figures do not fit together."""
    column = block.codes["threading"].column
    if cycle.end[0] == cycle.start[0]:
        raise fault(column, "a threading pass that does not advance along Z")
    if cycle.first > cycle.height + 1e-9 or cycle.allowance >= cycle.height:
        raise fault(column, "the first pass or what the last ones take is deeper than the thread")
    crest = cycle.end[1] + cycle.out * cycle.height
    if (cycle.start[1] - max(crest, crest + cycle.taper, key=lambda x: cycle.out * x)) * cycle.out <= 0.0:
        raise fault(column, "the cycle begins in the metal: its passes would go back below the crest")
    if abs(cycle.taper) > abs(cycle.end[0] - cycle.start[0]):
        raise fault(column, "steeper than 45 degrees the lead is one along X; such threads are not read")
    if cycle.run_out >= abs(cycle.end[0] - cycle.start[0]):
        raise fault(column, "the run-out is longer than the pass")
    return cycle
