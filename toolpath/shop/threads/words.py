"""How sizes and counts are written in designations, shared by the standards."""

from __future__ import annotations

from collections.abc import Iterable

from toolpath.errors import BadInput
from toolpath.quantity.units import INCH

NUMBER = r"\d+(?:[.,]\d+)?|[.,]\d+"
INCHES = r"(?:\d+[ -]+)?\d+ */ *\d+|\d+(?:[.,]\d+)?|[.,]\d+"  # 1 1/4, 1-1/4, 5/16, 0.3125
BY = r" *[x\u00d7*] *"  # the sign of multiplication counts as an x
MARK = r' *(?:"|″|in\.?|inch)?'  # inch sign behind a size
LARGEST = 500.0  # mm; a thread beyond is a slip of the pen on a bench lathe


def number(text: str) -> float:
    """A plain figure, with point or comma."""
    return float(text.replace(",", "."))


def inches(text: str) -> float:
    """Inches as written: `1 1/4`, `1-1/4`, `5/16`, `0.3125`; BadInput for a fraction over nothing."""
    whole, _, fraction = text.replace("-", " ").strip().rpartition(" ") if "/" in text else (text, "", "0/1")
    if "/" not in fraction:
        whole, fraction = "", text
    over, _, under = fraction.partition("/")
    if not float(under):
        raise BadInput(f"'{text}' is divided by nothing")
    return (number(whole) if whole.strip() else 0.0) + float(over) / float(under)


def inch_named(text: str, sizes: Iterable[str]) -> str | None:
    """The name in `sizes` (`5/16`) that is as large as these inches; None when there is none."""
    value = inches(text)
    return next((name for name in sizes if abs(inches(name) - value) < 1e-4), None)


def in_range(diameter: float, pitch: float, *, text: str) -> None:
    """BadInput unless both can be a thread at all, in mm."""
    if not 0.0 < diameter <= LARGEST:
        raise BadInput(f"a thread of {diameter:g} mm can not be meant in '{text}'", right=f"Up to {LARGEST:g} mm")
    if not 0.0 < pitch <= diameter / 2.0:
        raise BadInput(f"a pitch of {pitch:g} mm can not be cut on {diameter:g} mm in '{text}'")


def tpi(pitch: float) -> float:
    """Threads to the inch of a pitch in mm."""
    return INCH / pitch
