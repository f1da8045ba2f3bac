"""What the words of a move in step with the spindle say: its lead along Z, and the angle it begins at."""

from __future__ import annotations

import math

from posts.axes import Axes
from posts.block import Block
from posts.dialect import ThreadWords
from posts.lexer import fault
from toolpath.motion import Point


def lead_of(block: Block, axes: Axes, end: Point, *, rules: ThreadWords) -> float:
    """mm along z in one turn. BadInput, with the column, where that is not certain."""
    code, letter = block.codes["thread"], rules.lead_letter
    word = block.words.get(letter)
    if word is None:
        right = f"State it in every such block: {letter} with the lead"
        raise fault(code.column, f"{code} has no {letter}: the lead is not stated", right)
    if word.value <= 0.0:
        raise fault(word.column, f"{word} is no lead")
    if letter != "F" and (feed := block.words.get("F")):
        raise fault(feed.column, f"{feed} stands beside a lead; a threading pass has no feed of its own")
    along, across = abs(end[0] - axes.at[0]), abs(end[1] - axes.at[1])
    if not along:
        raise fault(block.column("Z", "X"), "a threading pass that does not advance along Z")
    per_turn = axes.length(word)
    if rules.lead_along == "line":
        return per_turn * along / math.hypot(along, across)
    if across > along * (1.0 + 1e-9):
        raise fault(word.column, f"{word}: steeper than 45 degrees the lead is one along X; such threads are not read")
    return per_turn


def start_angle(block: Block, rules: ThreadWords) -> float:
    """rad from the index mark, 0 where the block states none."""
    word = block.words.get(rules.angle_letter) if rules.angle_letter else None
    if word is None:
        return 0.0
    degrees = word.value / rules.per_degree
    if not 0.0 <= degrees < 360.0:
        raise fault(word.column, f"{word} is no angle of a turn from 0 to under {360.0 * rules.per_degree:g}")
    return math.radians(degrees)
