"""The number a control gives to the way a tool's imaginary tip lies from its nose centre.

Controls number the nine ways in tables that contradict each other: what one calls 2, a boring bar, is a right-hand
outside tool on another. So a tool carries only signs, and the number stands in the dialect, under `[tips]`.
"""

from __future__ import annotations

from posts.dialect import Dialect
from toolpath.errors import CannotMake

Tip = tuple[int, int]
"""Signs (z, x) from the nose centre to the imaginary tip; a right-hand outside tool is (-1, -1)."""


def tip_number(tip: Tip, dialect: Dialect) -> int:
    """The orientation number of this tip on this control; CannotMake when its dialect does not number tips."""
    way = way_of(tip)
    if way not in dialect.tips:
        raise CannotMake(
            f"the dialect {dialect.name!r} has no number for a tip that lies towards {way}: "
            "give the control's own table under [tips]"
        )
    return dialect.tips[way]


def way_of(tip: Tip) -> str:
    """The signs as a dialect's table has them: (-1, 1) is `-z +x`, (0, 0) is `centre`."""
    words = [f"{'-' if sign < 0 else '+'}{axis}" for sign, axis in zip(tip, "zx", strict=True) if sign]
    return " ".join(words) or "centre"
