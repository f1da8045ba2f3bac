"""BA threads: `2 BA`, `0BA`, `BA 4` (BS 93), sized by the formulas of the series, which its table follows."""

from __future__ import annotations

import re

from toolpath.errors import BadInput
from toolpath.shop.threads.forms import form_angle
from toolpath.shop.threads.thread import Limits, Span, Standard, Thread, ThreadLimits, span

LARGEST_NUMBER = 16
PATTERN = r"(?i)(?:no\.? *|#)?(?P<number>\d+) *BA|BA *(?:no\.? *|#)?(?P<behind>\d+)"


def known() -> tuple[str, ...]:
    """0 BA to 16 BA."""
    return tuple(f"{n} BA" for n in range(LARGEST_NUMBER + 1))


def read(match: re.Match[str]) -> Thread:
    """The thread of that number; BadInput beyond the table."""
    n = int(match["number"] or match["behind"])
    if n > LARGEST_NUMBER:
        raise BadInput(f"there is no {n} BA here", right=f"Known are 0 BA to {LARGEST_NUMBER} BA, the thinnest")
    return Thread(
        designation=f"{n} BA",
        standard="BA",
        series="BA",
        form="ba",
        diameter=_two_figures(6.0 * 0.9 ** (1.2 * n)),
        pitch=_two_figures(0.9**n),
        angle=form_angle("ba"),
        screw_class="normal",
        hole_class="normal",
    )


def limits(thread: Thread) -> ThreadLimits:
    """Limits by the formulas of BS 93, mm: normal class, from memory; numbers above 10 are a little wider."""
    d, p = thread.diameter, thread.pitch
    wide = 0.20 if int(thread.designation.split()[0]) <= 10 else 0.25
    below = 0.025  # allowance of the normal class
    d2, d1 = d - 0.6 * p, d - 1.2 * p
    screw = Limits(
        _rounded(d - below - wide * p, d - below),
        _rounded(d2 - below - 0.10 * p - 0.025, d2 - below),
        _rounded(d1 - below - 0.20 * p - 0.05, d1 - below),
    )
    hole = Limits(
        _rounded(d, d + 0.12 * p + 0.03 + 0.2682 * p),  # twice the height of the V above the round root, 0.1341 P
        _rounded(d2, d2 + 0.12 * p + 0.03),
        _rounded(d1, d1 + 0.375 * p),
    )
    said = "limits: BS 93, normal class, by its formulas, these entered from memory"
    return ThreadLimits(screw, hole, (said, "diameters without tolerance agree with published tables"))


def _rounded(least: float, greatest: float) -> Span:
    return span(round(least, 3), round(greatest, 3))


def _two_figures(value: float) -> float:
    return float(f"{value:.2g}")


BA = Standard(PATTERN, read, limits, known)
