"""Nose compensation as a control makes it: contour in, moves of the imaginary tip out.

A contour is what is programmed between the word for left or right and the word for off. The way in is its first move,
straight, longer than the nose radius, and in one line with the first surface as the nose sees it: on other ways in
controls differ in where the nose ends, and the surface would hang on which control reads the text. The way out is the
first move after the word for off, straight and longer than the nose radius; the tip itself ends where it leads.

Errors as in NISTIR 6556 and its interpreter's list: on when already on, a change of unit, tool or offset while on, an
arc not larger than the nose, a corner the nose does not fit. What is stricter here (rapids along the contour, an end of
the program while on) is refused because the text then says too little (common practice, no source).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from posts.block import Block
from posts.lexer import fault
from posts.offsets import TANGENT, AtElement, offset, side_of, turned
from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Element, Line, Point, arc_about
from toolpath.motion import ArcCut, Compensation, Cut, Move, Rapid, Side, State, Step, ThreadCut

Noses = Mapping[int, tuple[float, tuple[int, int]]]
"""Tool number to (nose radius in mm, tip as signs (z, x) from the nose centre): the control's tool table."""

_WHILE_ON = {
    "compensation_left": "compensation is on already",
    "compensation_right": "compensation is on already",
    "inch": "the unit may not change while compensation is on",
    "millimetre": "the unit may not be set while compensation is on",
    "diameter": "the meaning of X may not be set while compensation is on",
    "radius": "the meaning of X may not be set while compensation is on",
    "thread": "a thread is not cut while compensation is on",
    "thread_cycle": "a thread is not cut while compensation is on",
    "home": "the tool may not go home while compensation is on",
    "tool_change": "the tool may not change while compensation is on",
    "offset": "the offset may not be called while compensation is on",
    "offset_off": "the offset may not be taken off while compensation is on",
    "first_zero": "the zero may not be set while compensation is on",
    "end": "the program ends while compensation is on",
    "end_short": "the program ends while compensation is on",
}


def check_words(block: Block) -> None:
    """BadInput, with the column, for what may not stand in a block while compensation is on."""
    if block.cycle:
        code = block.codes[block.cycle]
        raise fault(code.column, f"{code}: no cycle is run while compensation is on", "Take compensation off first")
    for meaning, code in block.codes.items():
        if meaning in _WHILE_ON:
            raise fault(code.column, f"{code}: {_WHILE_ON[meaning]}", "Take compensation off first")
    if word := block.words.get("T"):
        raise fault(word.column, f"{word}: the tool may not change while compensation is on")


def compensation_of(block: Block, tool: int, noses: Noses | None) -> Compensation:
    """What the block switches on for the tool in place; BadInput when nothing says what its nose is."""
    side = Side.LEFT if "compensation_left" in block.codes else Side.RIGHT
    word = block.codes[f"compensation_{side}"]
    if noses is None:
        right = "Read the text together with the tools, or program the path of the tip"
        raise fault(word.column, f"{word}: nose radius compensation needs the tool table, which is not at hand", right)
    if tool not in noses or noses[tool][0] <= 0.0:
        raise fault(word.column, f"{word}: T{tool} has no nose radius to compensate for")
    radius, tip = noses[tool]
    return Compensation(side, radius, tip)


def resolved(steps: Sequence[Step], *, file: str = "") -> list[tuple[Step, ...]]:
    """For each step what it comes to: the moves of the imaginary tip, none compensated. BadInput with file and line."""
    out: list[tuple[Step, ...]] = []
    left: _Left | None = None
    try:
        for compensation, group in itertools.groupby(steps, key=lambda s: s.state.compensation):
            run = list(group)
            if compensation is not None:
                made, left = _contour(run, compensation)
                out += made
            else:
                out += _way_out(run, left) if left else [(step,) for step in run]
                left = None
    except _AtStep as error:
        where = "" if file else f"line {error.step.line}"
        raise BadInput(error.what, where=where, right=error.right, file=file, line=error.step.line) from None
    return out


class _Left(Struct, frozen=True):
    """Where a contour was left: its programmed end, where the tip stands, and the nose radius."""

    programmed: Point
    tip: Point
    radius: float


class _AtStep(BadInput):
    """An error of that step."""

    def __init__(self, step: Step, what: str, right: str = "") -> None:
        super().__init__(what, right=right)
        self.step = step


def _contour(run: list[Step], compensation: Compensation) -> tuple[list[tuple[Step, ...]], _Left | None]:
    """The steps of one contour, the way in first, and where it is left; nowhere when nothing moves."""
    moves = [s for s in run if isinstance(s, Move) and not _still(s)]
    places = _tip_moves(moves, compensation) if moves else {}
    at = moves[0].start if moves else None
    out: list[tuple[Step, ...]] = []
    for step in run:
        made = places.get(id(step), ())
        if not isinstance(step, Move):
            made = (replace(step, at=at or step.at, state=_bare(step.state)),)
        elif made and isinstance(made[-1], Move):
            at = made[-1].end
        out.append(made)
    return out, _Left(moves[-1].end, at, compensation.nose_radius) if moves and at else None


def _still(move: Move) -> bool:
    """A move that leads nowhere; an arc that does is a full turn."""
    return move.start == move.end and not isinstance(move, ArcCut)


def _tip_moves(moves: list[Move], compensation: Compensation) -> dict[int, tuple[Step, ...]]:
    """The tip's moves for each move of the contour, by its identity."""
    r, side = compensation.nose_radius, 1.0 if compensation.side is Side.RIGHT else -1.0
    tip = (r * compensation.tip[0], r * compensation.tip[1])
    entry, *along = moves
    if isinstance(entry, ArcCut | ThreadCut):
        raise _AtStep(entry, f"compensation comes on in {_called(entry)}", "Let the way in be a straight move")
    if not along:
        raise _AtStep(entry, "no move follows the way in before compensation is off")
    contour = tuple(_element(m) for m in along)
    try:
        moved = offset(contour, r, side=side)
    except AtElement as error:
        raise _AtStep(along[error.index], error.what, error.right) from None
    first = _perpendicular(contour[0], r, side)
    _check_entry(entry, first, tip, contour[0].tangent_at(0.0), r)
    start = _plus(moved[0].path.a, tip)
    out: dict[int, tuple[Step, ...]] = {id(entry): (replace(entry, end=start, state=_bare(entry.state)),)}
    for move, m in zip(along, moved, strict=True):
        path = [m.corner, m.path] if m.corner else [m.path]
        out[id(move)] = tuple(_move(e, move, tip) for e in path)
    return out


def _perpendicular(e: Element, radius: float, side: float) -> Point:
    n = side_of(e.tangent_at(0.0), side)
    return (e.a[0] + radius * n[0], e.a[1] + radius * n[1])


def _check_entry(entry: Rapid | Cut, first: Point, tip: Point, direction: Point, radius: float) -> None:
    """The way in: long enough from the tip and from the nose centre, and straight on into the first surface."""
    centre = (entry.start[0] - tip[0], entry.start[1] - tip[1])
    shortest = min(math.dist(entry.start, entry.end), math.dist(centre, first))
    if shortest <= radius:
        what = f"the way in is {shortest:.3f} mm long, no more than the nose radius of {radius:g} mm"
        raise _AtStep(entry, what, "Begin it farther out")
    turn = turned((first[0] - centre[0], first[1] - centre[1]), direction)
    if abs(turn) > TANGENT:
        what = f"the nose would turn by {math.degrees(abs(turn)):.2f} degrees from the way in to the first surface"
        z, x = first[0] - radius * direction[0] + tip[0], first[1] - radius * direction[1] + tip[1]
        right = (
            "Controls differ in where the nose then ends; begin on the line that leads the nose on along the surface, "
            f"beyond Z{z:.3f} X{2.0 * x:.3f} (diameter, mm)"
        )
        raise _AtStep(entry, what, right)


def _element(move: Move) -> Element:
    if isinstance(move, Rapid):
        right = "State G01 before it"
        raise _AtStep(move, "a rapid stands along a contour that the control compensates", right)
    if isinstance(move, ThreadCut):
        raise _AtStep(move, "a thread is cut in a contour that the control compensates")
    if isinstance(move, Cut):
        return Line(move.start, move.end)
    if move.start == move.end:
        raise _AtStep(move, "a full turn stands in a contour that the control compensates", "Split the arc")
    return arc_about(move.centre, move.start, move.end, ccw=move.ccw)


def _move(e: Element, move: Move, tip: Point) -> Step:
    a, b, state = _plus(e.a, tip), _plus(e.b, tip), _bare(move.state)
    if isinstance(e, Arc):
        return ArcCut(a, b, _plus(e.centre, tip), e.sweep > 0.0, state, move.line)
    return Cut(a, b, state, move.line)


def _way_out(run: list[Step], left: _Left) -> list[tuple[Step, ...]]:
    """Steps after a contour: the first move leads from where the tip was left to where it is programmed."""
    out: list[tuple[Step, ...]] = []
    for k, step in enumerate(run):
        if not isinstance(step, Move):
            out.append((replace(step, at=left.tip),))
            continue
        if isinstance(step, ArcCut | ThreadCut):
            raise _AtStep(step, f"compensation goes off in {_called(step)}", "Let the way out be a straight move")
        shortest = min(math.dist(left.programmed, step.end), math.dist(left.tip, step.end))
        if shortest <= left.radius:
            what = f"the way out is {shortest:.3f} mm long, no more than the nose radius of {left.radius:g} mm"
            raise _AtStep(step, what, "Let it end farther out")
        return [*out, (replace(step, start=left.tip),), *((s,) for s in run[k + 1 :])]
    return out


def _called(move: ArcCut | ThreadCut) -> str:
    return "an arc" if isinstance(move, ArcCut) else "a threading pass"


def _bare(state: State) -> State:
    return replace(state, compensation=None)


def _plus(p: Point, q: Point) -> Point:
    return (p[0] + q[0], p[1] + q[1])
