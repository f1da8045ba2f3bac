"""What a control does when it comes to a cycle: what it still waits for, what it then moves, what holds afterwards.

Afterwards neither a motion nor, where F was a lead, a feed is in force: controls differ in both, so that they must be
stated again.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from posts import contour_cycle, peck_cycle, threading_cycle
from posts.block import Block, whole
from posts.lexer import LONGEST_BLOCK_NUMBER, Word, fault
from posts.threading_words import First, counted, first_of, from_drive_line, one_block, positive, second_of
from toolpath.errors import BadInput
from toolpath.motion import FeedMode, Move, Point, Rapid, Step

if TYPE_CHECKING:
    from posts.control import Control

IN_CONTOUR = frozenset({"rapid", "line", "arc_clockwise", "arc_counter"})
MOST_NUMBER = 10**LONGEST_BLOCK_NUMBER - 1
SAME = 1e-9  # mm
MOST_STEPS = 1_000_000
"""After so many steps no further cycle is run: a short text must not fill the memory (common practice, no source)."""


class Contour(Struct):
    """A contour whose blocks are being read. draft: a control that runs them aside; depth and lift of the roughing."""

    first: int
    last: int
    code: Word
    start: Point
    aside: Point
    depth: float
    lift: float
    draft: Control
    blocks: list[Block] = field(default_factory=list)


class Cycles(Struct):
    """expected: the cycle whose second block must come next, with what its first said; contours: those that were read,
    by the numbers of their first and last block."""

    expected: tuple[str, Word, object] | None = None
    contour: Contour | None = None
    contours: dict[tuple[int, int], list[Block]] = field(default_factory=dict)

    def expect(self, block: Block) -> None:
        """BadInput where a cycle of two blocks breaks off after its first."""
        if self.expected and block.cycle != self.expected[0]:
            raise fault(1, f"{self.expected[1]} has two blocks, and its second one must stand here")

    def run(self, control: Control, block: Block) -> None:
        """Moves the control through the block's cycle, or notes its first block. BadInput for one that is not sound."""
        code = block.codes[block.cycle]
        expected, self.expected = self.expected, None
        if len(control.steps) > MOST_STEPS:
            raise fault(code.column, f"the cycles of the text stand for more than {MOST_STEPS} moves")
        if control.leaving:
            raise fault(code.column, "a cycle begins before a move has led out of the compensated contour")
        try:
            if block.cycle == "threading":
                self._thread(control, block, expected)
            elif block.cycle == "roughing":
                self._rough(control, block, expected)
            elif block.cycle == "finishing":
                self._finish(control, block)
            else:
                self._peck(control, block, expected)
        except BadInput:
            raise  # it knows its column
        except ValueError as error:
            raise fault(code.column, str(error)) from None

    # -- threads ---------------------------------------------------------------------------------------------------

    def _thread(self, control: Control, block: Block, expected: tuple[str, Word, object] | None) -> None:
        axes, dialect, code = control.axes, control.grammar.dialect, block.codes["threading"]
        form = dialect.cycles.threading
        if form == "two blocks" and expected is None:
            _only(block, "PQR", code)
            self.expected = (block.cycle, code, first_of(block, axes, dialect))
            return
        control.check_thread(code.column)
        if form != "drive line" and control.feed_mode is not FeedMode.PER_TURN:
            raise fault(code.column, "F is a lead in feed per turn only, which is not in force")
        end = (
            axes.target(block, dialect.numbers(inch=axes.scale > 1.0))
            if form != "drive line"
            else _along(control, block)
        )
        if form == "two blocks" and expected and isinstance(expected[2], First):
            cycle = second_of(block, end, axes, dialect=dialect, first=expected[2])
        elif form == "one block":
            cycle = one_block(block, end, axes)
        else:
            cycle = from_drive_line(block, end, axes)
            control.feed_mode = None
        _emit(control, threading_cycle.expanded(cycle, state=control.state, line=control.line))
        control.state = replace(control.state, feed=None)

    # -- holes -----------------------------------------------------------------------------------------------------

    def _peck(self, control: Control, block: Block, expected: tuple[str, Word, object] | None) -> None:
        axes, rules, code = control.axes, control.grammar.dialect.cycles, block.codes[block.cycle]
        if rules.pecking == "two blocks" and expected is None:
            _only(block, "R", code)
            self.expected = (block.cycle, code, positive(_word(block, "R", "how far it goes back"), axes))
            return
        if "F" in block.words:
            control.set_feed(block.words["F"])
        control.check_feed(code.column)
        if "Z" not in block.words and "W" not in block.words:
            raise fault(code.column, f"the block of {code} has no Z: where the hole ends is not stated")
        start, back = axes.at, rules.peck_back
        peck = _word(block, "Q", "how deep a peck goes")
        if rules.pecking == "two blocks" and expected:
            back = expected[2] if isinstance(expected[2], float) else back
            deep = counted(peck, axes, control.grammar.dialect)
        else:
            _level(control, block, code)
            deep = positive(peck, axes)
        bottom = axes.target(block, control.grammar.dialect.numbers(inch=axes.scale > 1.0))
        if bottom[1] != start[1]:
            raise fault(block.column("X"), "the hole lies beside where the tool stands; go there before it")
        if bottom[0] >= start[0]:
            raise fault(block.column("Z", "W"), "the hole ends no deeper than the cycle begins")
        if back >= deep:
            raise fault(peck.column, f"{peck}: a peck is no deeper than the {back:g} mm it goes back")
        cycle = peck_cycle.Pecking(start, bottom[0], deep, back, block.cycle == "peck")
        _emit(control, peck_cycle.expanded(cycle, state=control.state, line=control.line))

    # -- contours --------------------------------------------------------------------------------------------------

    def _rough(self, control: Control, block: Block, expected: tuple[str, Word, object] | None) -> None:
        axes, code = control.axes, block.codes[block.cycle]
        if expected is None:
            _only(block, "UR", code)
            depth = positive(_word(block, "U", "the depth of a pass"), axes)
            self.expected = (block.cycle, code, (depth, positive(_word(block, "R", "how far it lifts off"), axes)))
            return
        if "F" in block.words:
            control.set_feed(block.words["F"])
        control.check_feed(code.column)
        first, last = _numbers(block)
        across = axes.length(_word(block, "U", "what is left across")) / (2.0 if axes.diameter else 1.0)
        along = axes.length(_word(block, "W", "what is left along"))
        depth, lift = expected[2] if isinstance(expected[2], tuple) else (0.0, 0.0)
        draft = copy.copy(control)
        draft.axes, draft.steps, draft.cycles = copy.copy(axes), [], Cycles()
        draft.axes.stated = set(axes.stated)
        self.contour = Contour(first, last, code, axes.at, (along, across), depth, lift, draft)

    def take(self, control: Control, block: Block) -> None:
        """A block of the contour; after its last one the roughing is done."""
        if not (contour := self.contour):
            return
        if not contour.blocks and block.number != contour.first:
            raise fault(1, f"the contour of {contour.code} begins with block N{contour.first}, which must stand here")
        for meaning, code in block.codes.items():
            if meaning not in IN_CONTOUR:
                raise fault(code.column, f"{code} stands in the contour of a cycle; only moves do")
        for word in block.words.values():
            if word.letter in "ST":
                raise fault(word.column, f"{word} stands in the contour of a cycle; only moves do")
        draft = contour.draft
        draft.line = control.line
        before = len(draft.steps)
        draft.run(block)
        contour.blocks.append(block)
        moves = tuple(s for s in draft.steps if isinstance(s, Move))
        if len(draft.steps) == before + 1:
            self._look(contour, moves[-1], first=before == 0, way=moves[-1].end[0] - contour.start[0])
        if block.number == contour.last:
            self.contour = None
            self.contours[contour.first, contour.last] = contour.blocks
            self._cut_down_to(control, contour, moves)

    def _look(self, contour: Contour, move: Move, *, first: bool, way: float) -> None:
        if first:
            why = contour_cycle.odd_first(move)
        else:
            out = contour.start[1] - contour.draft.steps[0].end[1]  # type: ignore[union-attr]
            why = contour_cycle.odd_next(move, out=1.0 if out > 0.0 else -1.0, way=(way > 0.0) - (way < 0.0))
        if why:
            raise fault(1, why)

    def _cut_down_to(self, control: Control, contour: Contour, moves: tuple[Move, ...]) -> None:
        if not moves:
            raise fault(1, "the contour has no moves")
        cycle = contour_cycle.Roughing(contour.start, moves, contour.depth, contour.lift, contour.aside)
        if why := contour_cycle.odd_end(cycle):
            raise fault(1, why)
        if cycle.out * contour.aside[1] < 0.0:
            side = "outside it is above 0" if cycle.out > 0.0 else "in a bore it is below 0"
            raise fault(1, f"the allowance of {contour.code} across would be taken off the part; {side}")
        try:
            steps = list(contour_cycle.expanded(cycle, state=control.state, line=control.line))
        except ValueError as error:
            raise fault(1, str(error)) from None
        control.steps += steps
        control.motion = ""

    def _finish(self, control: Control, block: Block) -> None:
        code, start = block.codes[block.cycle], control.axes.at
        control.check_place(code.column)
        first, last = _numbers(block)
        if (blocks := self.contours.get((first, last))) is None:
            raise fault(code.column, f"no contour from N{first} to N{last} stands before {code}")
        control.motion = ""
        for one in blocks:
            control.run(one)
        across = (control.axes.at[0], start[1])
        for a, b in ((control.axes.at, across), (across, start)):
            if a != b:
                control.emit(Rapid(a, b, control.state, control.line))
        control.axes.at = start
        control.state = replace(control.state, feed=None)


def _emit(control: Control, steps: Iterable[Step] | Iterator[Step]) -> None:
    for step in steps:
        control.emit(step)


def _only(block: Block, letters: str, code: Word) -> None:
    for letter, word in block.words.items():
        if letter not in letters:
            right = f"It has {', '.join(letters)}; the second one follows it"
            raise fault(word.column, f"{word} does not stand in the first block of {code}", right)


def _word(block: Block, letter: str, what: str) -> Word:
    if not (found := block.words.get(letter)):
        code = block.codes[block.cycle]
        raise fault(code.column, f"the block of {code} has no {letter}: {what} is not stated")
    return found


def _numbers(block: Block) -> tuple[int, int]:
    """The numbers of a contour's first and last block."""
    first, last = (
        _word(block, letter, f"the {what} block of the contour") for letter, what in (("P", "first"), ("Q", "last"))
    )
    a, b = whole(first, most=MOST_NUMBER), whole(last, most=MOST_NUMBER)
    if a == b:
        raise fault(last.column, "a contour begins and ends with different blocks")
    return a, b


def _along(control: Control, block: Block) -> Point:
    """Where the Z of a block leads, when its other letters are no places."""
    only = Block({k: w for k, w in block.words.items() if k == "Z"})
    return control.axes.target(only, control.grammar.dialect.numbers(inch=control.axes.scale > 1.0))


def _level(control: Control, block: Block, code: Word) -> None:
    """The hole runs across the plane, and the cycle begins at its R, so that it returns there for sure."""
    if control.plane != "xy":
        plane = control.grammar.dialect.words.get("plane_xy", "G17")
        right = f"State {plane} before it, and the plane of Z and X after it"
        raise fault(code.column, f"{code} drills along Z only in the plane of X and Y", right)
    level = _word(block, "R", "where it comes out to")
    if abs(control.axes.length(level) - control.axes.at[0]) > SAME or control.axes.absolute is False:
        what = f"{level} is not where the tool stands: whether {code} returns there or to R is not stated"
        raise fault(level.column, what, "Go to R before it")
