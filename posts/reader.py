"""A strict reader: program text to state-complete moves, or one error with line and column.

Written against the published rules of the language (NISTIR 6556 and the public turning additions), never against the
writer, so that it can judge hand-written text and the writer alike. Nothing is assumed: a word whose meaning hangs on
a mode that was not stated is an error.
"""

from __future__ import annotations

import math

from msgspec import Struct, field
from msgspec.structs import replace

from posts.block import Block, Grammar, block_of, whole
from posts.compensation import Noses, resolved
from posts.control import Control, known_from
from posts.dialect import Dialect
from posts.headings import kind_of, start_of, tool_in_post
from posts.lexer import Tokens, fault, tokens_of
from toolpath.errors import BadInput
from toolpath.motion import Move, Operation, Point, Program, Step, Stop


class _Section(Struct):
    """kind of a heading, index of its first step, comments under it; opened: its first block was read."""

    kind: str
    first: int
    opened: bool = False
    note: list[str] = field(default_factory=list)


class _Reading(Struct):
    """What is known besides the control: comments on their way to a meaning."""

    control: Control
    header: list[str] = field(default_factory=list)
    sections: list[_Section] = field(default_factory=lambda: [_Section("", 0, opened=True)])
    pending: list[str] = field(default_factory=list)
    home: Point | None = None
    began: bool = False
    percents: int = 0
    numbered: bool = False


def read(
    text: str, dialect: Dialect, *, file: str = "", block_skip: bool = False, noses: Noses | None = None
) -> Program:
    """The program that the text says, in millimetres, x a radius, each step with its line.

    file:       the name to put into messages
    block_skip: True leaves out blocks that begin with `/`, as a control does whose switch is on
    noses:      nose radius (mm) and tip (signs z, x from the nose centre) by tool number, as in the control's table;
                without it text with nose compensation is refused. Moves read are those of the imaginary tip, always
    Operations are the sections under headings `(--- 1 face T1)`; text without headings is one operation without a
    kind. Where the first tool stands is `Program.home` if the text states it; else a first rapid starts where it ends.
    BadInput, with line and column, for anything a strict control would refuse or could take in two ways.
    """
    grammar = Grammar.of(dialect)
    reading = _Reading(Control.of(grammar, noses))
    number = 0
    try:
        for number, raw in enumerate(text.split("\n"), start=1):
            reading.control.line = number
            _line(reading, raw.removesuffix("\r"), grammar=grammar, block_skip=block_skip)
        if not reading.control.ended:
            raise fault(1, "the program has no end", "Close it with M30 or M02")
        if reading.percents == 1:
            raise fault(1, "the program begins with '%' but none ends it", "Put a line '%' after its last block")
    except BadInput as error:
        where = error.where if file else f"line {number}, {error.where}"
        raise BadInput(error.what, where=where, right=error.right, file=file, line=number) from None
    return _program(reading, file)


def _line(reading: _Reading, raw: str, *, grammar: Grammar, block_skip: bool) -> None:
    tokens = tokens_of(raw, grammar.dialect.lines)
    if tokens.blank:
        return
    if tokens.percent:
        _percent(reading)
    elif reading.control.ended:
        raise fault(1, "text stands after the end of the program")
    elif tokens.words:
        block = block_of(tokens, grammar)
        if "O" in block.words:
            _program_number(reading, tokens, block)
            return
        reading.began = True
        if not (block_skip and tokens.skip):
            reading.control.text = _spoken(reading, tokens)
            reading.control.skip = tokens.skip
            reading.control.run(block)
        reading.pending.clear()
    elif tokens.comment is not None:
        _comment(reading, tokens.comment)


def _percent(reading: _Reading) -> None:
    """`%` may stand as the first line that is not blank, and then must stand again after the end."""
    first = not (reading.began or reading.numbered or reading.header or reading.home or len(reading.sections) > 1)
    if reading.percents == 0 and first and not reading.control.ended:
        reading.percents = 1
    elif reading.percents == 1 and reading.control.ended:
        reading.percents = 2
    else:
        raise fault(1, "'%' stands where no program begins or ends")


def _program_number(reading: _Reading, tokens: Tokens, block: Block) -> None:
    """O and a number may stand, once and by itself, before all blocks; text beside it is the first of the header."""
    word = block.words["O"]
    if len(tokens.words) > 1 or tokens.skip:
        raise fault(word.column, f"{word}: the program's number stands alone in its line")
    if reading.began or reading.numbered:
        raise fault(word.column, f"{word}: the program's number stands once, before its first block")
    if not whole(word, most=9999):
        raise fault(word.column, f"{word} is no program number", "Give one from 1 to 9999")
    reading.numbered = True
    if tokens.comment is not None:
        _comment(reading, tokens.comment)


def _comment(reading: _Reading, comment: str) -> None:
    control = reading.control
    if (kind := kind_of(comment)) is not None:
        kind = kind.lower() if control.grammar.dialect.lines.capitals else kind
        reading.began = True
        reading.sections.append(_Section(kind, len(control.steps)))
        reading.pending.clear()
        control.state = replace(control.state, operation=kind)
    elif reading.began and (tool := _fitted(control, comment)) is not None:
        control.text = _spoken(reading, Tokens())
        control.fit_tool(tool)
        reading.pending.clear()
    elif reading.began:
        reading.pending.append(comment)
    elif home := start_of(comment):
        reading.home = control.home = control.axes.at = home
        control.axes.stated.update("XZ")
    else:
        reading.header.append(comment)


def _fitted(control: Control, comment: str) -> int | None:
    """The tool that a comment says a person has fitted, on a control that has no word for it; it must stand still."""
    tool = None if control.grammar.dialect.tool.call else tool_in_post(comment)
    if tool is not None and not (control.steps and isinstance(control.steps[-1], Stop)):
        what = f"T{tool} is said to be in the post, but no stop before it lets anybody fit it"
        raise fault(1, what, f"Stop the spindle and the program ({control.grammar.dialect.words['stop']}) before it")
    return tool


def _spoken(reading: _Reading, tokens: Tokens) -> str:
    """The comments that belong to a block: those on lines of their own right above it, and its own.

    Those right under a heading belong to the section.
    """
    section = reading.sections[-1]
    if not section.opened:
        section.opened = True
        section.note, reading.pending = reading.pending, []
    return _joined([*reading.pending, tokens.comment or ""])


def _joined(comments: list[str]) -> str:
    return " ".join(" ".join(comments).split())


def _program(reading: _Reading, file: str) -> Program:
    control = reading.control
    steps = resolved(_placed(control.steps), file=file)
    starts = [s.first for s in reading.sections] + [len(steps)]
    operations = tuple(
        Operation(section.kind, tuple(s for group in steps[first:last] for s in group), _joined(section.note))
        for section, first, last in zip(reading.sections, starts, starts[1:], strict=False)
        if section.kind or last > first
    )
    return Program(
        title=reading.header[0].strip() if reading.header else "",
        header=tuple(reading.header[1:]),
        operations=operations,
        inch=control.inch,
        x_diameter=control.axes.diameter is not False,
        home=reading.home,
    )


def _placed(steps: list[Step]) -> list[Step]:
    """The steps with the places before the first stated one filled in, as if the point had stood there already."""
    known = known_from(steps)

    def filled(p: Point) -> Point:
        return (known[0] if math.isnan(p[0]) else p[0], known[1] if math.isnan(p[1]) else p[1])

    def placed(step: Step) -> Step:
        if isinstance(step, Move):
            open_ = math.isnan(sum(step.start) + sum(step.end))
            return replace(step, start=filled(step.start), end=filled(step.end)) if open_ else step
        return replace(step, at=filled(step.at)) if math.isnan(sum(step.at)) else step

    return [placed(step) for step in steps]
