"""Standard tapers by name, and the ways a taper is written: 1:20, inches in the foot, angles."""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.quantity import nearest
from toolpath.reading import decode, load

FILE = Path(__file__).with_name("tapers.toml")
INCH = 25.4
FOOT = 12.0


class Taper(Struct, frozen=True, kw_only=True):
    """names: the first is the usual one; large: diameter of the large end, mm; length: from end to end, mm

    rate: length in which the diameter grows by as much as 1; source: where the figures are from
    """

    names: tuple[str, ...]
    large: float
    rate: float
    length: float
    source: str

    @property
    def small(self) -> float:
        """Diameter of the small end, mm."""
        return self.large - self.length / self.rate


class _File(Struct, frozen=True, forbid_unknown_fields=True):
    taper: tuple[Taper, ...]


def known() -> tuple[Taper, ...]:
    """Every standard taper, those that follow a rule last."""
    return (*decode(load(FILE), _File, file=FILE.name).taper, *(jarno(n) for n in range(2, 21)))


def jarno(number: int) -> Taper:
    """Jarno taper: number/8 in at the large end, number/10 in at the small one, number/2 in long: 0.6 in/ft."""
    return Taper(
        names=(f"Jarno {number}",),
        large=number / 8.0 * INCH,
        rate=20.0,
        length=number / 2.0 * INCH,
        source="the rule by which the series is made; common practice, no source",
    )


@cache
def _by_name() -> dict[str, Taper]:
    return {name.lower().replace(" ", ""): taper for taper in known() for name in taper.names}


def standard(name: str) -> Taper:
    """The taper of that name; BadInput with the nearest one."""
    found = _by_name().get(name.lower().replace(" ", "").replace("no.", ""))
    if found is None:
        names = [n for taper in known() for n in taper.names]
        series = ", ".join(dict.fromkeys(n.rpartition(" ")[0] for n in names if " " in n))
        right = f"{nearest(name, names)} Known here are, each with its number: {series}".strip()
        raise BadInput(f"there is no standard taper '{name}'", right=right)
    return found


def half_angle_of_ratio(text: str) -> float:
    """Of `1:20` (diameter to length) or `0.6 in/ft`, rad; BadInput for what is neither."""
    one = re.fullmatch(r"\s*([\d.]+)\s*(?::|in)\s*([\d.]+)\s*", text)
    foot = re.fullmatch(r"\s*([\d.]+)\s*(?:in|\")\s*/\s*ft\s*", text)
    try:
        if one:
            rise = float(one[1]) / float(one[2])
        elif foot:
            rise = float(foot[1]) / FOOT
        else:
            raise ValueError
    except (ValueError, ZeroDivisionError):
        raise BadInput(f"'{text}' is no taper", right="Write 1:20, diameter to length, or 0.6 in/ft") from None
    if not 0.0 < rise < 10.0:
        raise BadInput(f"'{text}' is no taper that can be turned", right="Write 1:20, diameter to length, or 0.6 in/ft")
    return math.atan(rise / 2.0)
