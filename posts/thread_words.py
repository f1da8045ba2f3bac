"""The words of a move in step with the spindle: its lead as the control takes it, and the angle it begins at."""

from __future__ import annotations

import math

from posts.dialect import ThreadWords
from posts.numbers import Digits, Grid, fixed, sound
from toolpath.errors import BadInput, CannotMake
from toolpath.motion import ThreadCut


def lead_word(step: ThreadCut, start: Digits, end: Digits, *, grid: Grid, rules: ThreadWords) -> str:
    """The lead as a word, for the move as printed. CannotMake where the control can not say it, or its digits let the
    thread drift from its lead, over the length of the move, by more than half the last digit of Z."""
    if not sound(step.lead, "a lead") > 0.0:
        raise BadInput("a thread without a lead is none")
    (z0, x0), (z1, x1) = grid.point(start), grid.point(end)
    along, across = abs(z1 - z0), abs(x1 - x0)
    if not along:
        raise CannotMake("a thread that does not advance along Z is none that this program cuts")
    per_turn = step.lead
    if rules.lead_along == "line":
        per_turn *= math.hypot(along, across) / along
    elif across > along:
        raise CannotMake("a thread steeper than 45 degrees has its lead along X on this control")
    decimals = grid.numbers.lead
    digits = round(per_turn / grid.unit * 10**decimals)
    said = digits / 10**decimals * grid.unit
    drift = abs(said - per_turn) / per_turn * along
    if drift > grid.step / 2.0:
        raise CannotMake(
            f"a lead of {step.lead:g} mm, in {decimals} digits, is off by {drift:.4f} mm over {along:g} mm; "
            f"{grid.step / 2.0:g} mm are borne"
        )
    return rules.lead_letter + fixed(digits, decimals)


def angle_word(step: ThreadCut, rules: ThreadWords) -> str:
    """The start angle as a whole number of the control's units; empty for none."""
    angle = math.degrees(step.angle) % 360.0
    if not angle:
        return ""
    if not rules.angle_letter:
        raise CannotMake("this control starts every thread at the index mark; shift the start along Z instead")
    return f"{rules.angle_letter}{round(angle * rules.per_degree) % round(360.0 * rules.per_degree)}"
