"""A program text that was handed in: read, cut into sections, its stops matched to the plan, its header judged.

What a person does at a stop stands in no word that a control reads. It is taken from the plan of the set-up and put to
the stop whose heading names it; in a text without headings, to the stop that comes at the same place among its like.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import takewhile
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from posts.comments import ascii_of
from posts.compensation import Noses
from posts.dialect import Dialect, code_of
from posts.lexer import tokens_of
from posts.reader import read
from toolpath.errors import BadInput
from toolpath.motion import ArcCut, Operation, Program, Step, Stop, ThreadCut, ToolCall
from toolpath.plan.header import DIGEST
from toolpath.plan.operations import ByHand, Planned
from toolpath.plan.plan import Plan
from toolpath.plan.steps import by_hand_kind
from toolpath.proof.findings import Finding, finding
from toolpath.proof.setting import FINE, Hand
from toolpath.proof.tracks import FEEDS, MOVES, sweep_of
from toolpath.shop.tools import Tool

LARGEST = 16_000_000
"""Bytes of the largest text that is read: a million blocks, which no set-up of a bench lathe has."""

MOST_CHORDS = 4_000_000
"""Chords into which the arcs of a text are broken at most: the proof sweeps some ten thousand a second."""

_SETUP = re.compile(r"Set-up (\d{1,4}) of \d{1,4}\b")
_TOOL = re.compile(r"\(T(\d{1,6}): ")
_HEADING = re.compile(r"\s*\(\s*---\s*\d{1,6}\s+\S.*?(?:\s+T(\d{1,6}))?\s*\)\s*")
_HEX = re.compile(r"[0-9a-f]{64}")
NOT_THERE = -1


class Given(Struct, frozen=True):
    """file: as it was named. text: as it will run. program: as it says. compensated: the control is to compensate"""

    file: Path
    text: str
    program: Program
    compensated: bool


def read_given(file: Path, dialect: Dialect, noses: Noses) -> Given:
    """The program in a file. BadInput, with line and column, for what a strict control would refuse."""
    with file.open("rb") as stream:
        raw = stream.read(LARGEST + 1)  # however much there is
    if len(raw) > LARGEST:
        line, column = raw.count(b"\n") + 1, len(raw) - raw.rfind(b"\n") - 1
        what = f"the text goes on here, and at most {LARGEST} bytes are read"
        raise BadInput(what, where=f"column {column}", file=str(file), line=line, right="Split the program")
    text = raw.decode("latin-1")  # every byte is a character, so that one that is not ASCII is told with its column
    if not text.strip():
        raise BadInput("the program is empty", file=str(file), right="Write it anew with `halfsection make`")
    program = read(text, dialect, file=str(file), noses=noses)
    if (chords := sum(_chords(s) for s in program.steps if isinstance(s, ArcCut))) > MOST_CHORDS:
        raise BadInput(
            f"the arcs of the text are so long that the proof would sweep {chords:.2g} chords",
            file=str(file),
            right=f"At most {MOST_CHORDS:.2g} are swept: correct the arcs that are far larger than the work",
        )
    return Given(file, text, replace(program, operations=_named(program.operations)), _compensated(text, dialect))


def _chords(move: ArcCut) -> float:
    """About as many chords as keep FINE to the arc."""
    return 1.0 + abs(sweep_of(move)) * math.sqrt(math.dist(move.start, move.centre) / (8.0 * FINE))


def _compensated(text: str, dialect: Dialect) -> bool:
    """Whether a word for nose compensation stands in the text."""
    wanted = [dialect.words[m] for m in ("compensation_left", "compensation_right") if m in dialect.words]
    codes, marks = {code_of(w) for w in wanted}, {w.lstrip("GgMm0") for w in wanted}
    suspects = (line.removesuffix("\r") for line in text.split("\n") if any(m in line for m in marks))
    return any(
        code_of(str(word)) in codes
        for line in suspects
        for word in tokens_of(line, dialect.lines).words
        if word.letter in "GM"
    )


def _named(operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """Sections without a heading, called by their lines."""
    return tuple(op if op.kind or not op.steps else replace(op, kind=_lines_of(op.steps)) for op in operations)


def _lines_of(steps: Sequence[Step]) -> str:
    return f"lines {steps[0].line}-{steps[-1].line}"


def with_hands(program: Program, planned: Sequence[Planned], like: Program) -> tuple[Program, tuple[Hand, ...]]:
    """The program, in sections of which each has at most one stop by hand, and what is done at each.

    planned: the operations of the plan; like: the program it came to. What finds no stop has operation NOT_THERE.
    """
    wanted = [(k, op) for k, op in enumerate(planned) if isinstance(op, ByHand) and not op.optional]
    if any(not op.kind.startswith("lines ") for op in program.operations):
        return program, tuple(_by_heading(program, [op for _, op in wanted]))
    cut = replace(program, operations=_cut_at_stops(program))
    there = {place: k for k, place in _stops(cut)}
    places = dict(_stops(like))
    hands = tuple(Hand(there.get(places.get(k, ""), NOT_THERE), op.does, op.removes, op.holds) for k, op in wanted)
    return cut, hands


def _by_heading(program: Program, wanted: Sequence[ByHand]) -> Iterator[Hand]:
    """Each with the section of its name; of several of one name the first goes with the first."""
    free = list(enumerate(op.kind for op in program.operations))
    for op in wanted:
        found = next(((k, kind) for k, kind in free if kind == by_hand_kind(op)), None)
        if found:
            free.remove(found)
        yield Hand(found[0] if found else NOT_THERE, op.does, op.removes, op.holds)


def _cut_at_stops(program: Program) -> tuple[Operation, ...]:
    """The steps in sections that end with a stop each."""
    out: list[list[Step]] = [[]]
    for step in program.steps:
        out[-1].append(step)
        if isinstance(step, Stop) and step.sure:
            out.append([])
    return tuple(Operation(_lines_of(steps), tuple(steps)) for steps in out if steps)


def _stops(program: Program) -> Iterator[tuple[int, str]]:
    """For each stop the index of its section and its place: whether a tool call follows, and the how many-th of those.

    A stop for a change of tool is followed by the call of it, before anything moves or stops again. One between a call
    and the first turn of the spindle is that of the first move, which not every text has.
    """
    counts = {"call": 0, "work": 0, "shown": 0}
    called = False
    steps = [(k, step) for k, op in enumerate(program.operations) for step in op.steps]
    for i, (k, step) in enumerate(steps):
        called = isinstance(step, ToolCall) or (called and step.state.spindle is None)
        if isinstance(step, Stop) and step.sure:
            follows = next((s for _, s in steps[i + 1 :] if isinstance(s, (*MOVES, Stop, ToolCall))), None)
            sort = "call" if isinstance(follows, ToolCall) else "shown" if called else "work"
            yield k, f"{sort} {counts[sort]}"
            counts[sort] += 1


def header_findings(given: Given, tools: Sequence[Tool], planned: Plan) -> Iterator[Finding]:
    """What the text says of itself that is not so: another job, another set-up, another hold or bar, other tools.

    planned: the set-up it is proven in. A text that says nothing of itself is taken as it is.
    """
    head = list(_comments_before_blocks(given.text))
    number, digest = planned.request.number, planned.request.digest
    for line, comment in head:
        if (said := _SETUP.match(comment)) and int(said.group(1)) != number:
            text = (
                f"the header says that this is the program of set-up {said.group(1)}, and it is proven in set-up "
                f"{number}; give --setup {said.group(1)}, or correct the header"
            )
            yield finding("another-setup", text, line=line)
        if _HEX.fullmatch(comment) and DIGEST in (c for _, c in head) and comment != digest:
            text = (
                "the header has the digest of another job, or of this one before it or a --set was changed; make the "
                "program anew, or see that everything below is what you want"
            )
            yield finding("another-job", text, line=line)
    yield from _put_in_otherwise(head, planned)
    yield from _tool_findings(given, head, tools)
    yield from _called_otherwise(given)


def _put_in_otherwise(head: Sequence[tuple[int, str]], planned: Plan) -> Iterator[Finding]:
    """A header that tells the hand to put in another bar, or to hold it otherwise, than what is proven."""
    own = next((k for k, comment in head if (m := _SETUP.match(comment)) and int(m[1]) == planned.request.number), 0)
    said = _squeezed("".join(comment for _, comment in head))
    begun = {comment.split(" ")[0] for _, comment in head}
    top = takewhile(lambda line: not line.startswith("X words"), planned.program.header)
    lines = (line for line in top if line.split(" ")[0] in begun)  # what the header leaves out, it does not deny
    for line in lines:
        if own and line not in (DIGEST, planned.request.digest) and _squeezed(ascii_of(line)) not in said:
            text = (
                f"what is proven is this: {line}. The header says otherwise, and the hand does what it reads there; "
                "make the program anew, or write this into the header"
            )
            yield finding("put-in-otherwise", text, line=own)


def _squeezed(text: str) -> str:
    """Without blanks: long comments are broken, at hyphens too."""
    return "".join(text.split())


def _tool_findings(given: Given, head: Sequence[tuple[int, str]], tools: Sequence[Tool]) -> Iterator[Finding]:
    """Tools that the header describes otherwise than the rack does."""
    names = {t.number: t.name for t in tools}
    said = _squeezed("".join(comment for _, comment in head))
    told = {int(m.group(1)): line for line, comment in head if (m := _TOOL.match(f"({comment}"))}
    called = {s.state.tool for s in given.program.steps if isinstance(s, ToolCall)}
    wrong = [
        n for n in sorted(told) if n in called and "".join(f"T{n}:{ascii_of(names.get(n, '?'))},".split()) not in said
    ]
    for n in wrong:
        text = f"the header describes T{n} otherwise than the rack, where it is {names.get(n, 'missing')}; "
        yield finding("another-tool", text + "it is proven with the rack's: fit that one", line=told[n], tool=n)
    if wrong and len(wrong) == len([n for n in told if n in called]):
        text = "no tool of the header is the rack's of that number; name the rack it was made for in the job"
        yield finding("another-rack", text, line=told[wrong[0]])


def _called_otherwise(given: Given) -> Iterator[Finding]:
    """Sections whose heading names another tool than the one that cuts there: the hand fits what it reads."""
    headings = [
        (number, int(found.group(1) or 0))
        for number, raw in enumerate(given.text.split("\n"), start=1)
        if (found := _HEADING.fullmatch(raw))
    ]
    lines = [line for line, _ in headings]
    seen: set[int] = set()
    for step in given.program.steps:
        k = bisect_left(lines, step.line) - 1
        if (
            isinstance(step, (*FEEDS, ThreadCut))
            and k >= 0
            and k not in seen
            and headings[k][1] not in (0, step.state.tool)
        ):
            seen.add(k)
            text = (
                f"the heading in line {lines[k]} says T{headings[k][1]}, and T{step.state.tool} cuts; write the same "
                "tool into heading, stop and call"
            )
            yield finding("called-otherwise", text, line=step.line, tool=step.state.tool)


def _comments_before_blocks(text: str) -> Iterator[tuple[int, str]]:
    """(line, comment) of the lines at the top that hold nothing else."""
    for number, raw in enumerate(text.split("\n"), start=1):
        line = raw.strip()
        if line.startswith("(") and line.endswith(")"):
            yield number, line[1:-1].strip()
        elif line not in ("", "%"):
            return
