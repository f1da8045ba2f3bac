"""What each layer looks like: one table for every painter.

Lines are told apart three times over, by dash, by weight and by colour, so that a black and white print and an eye that
does not tell red from green lose nothing. Weights are the widths and dashes the kinds of line of technical drawing
(ISO 128-2: wide line for visible outlines, long dash and dot for axes, long dash and two dots for outlines before
forming; from memory). The colours are our own: inks on paper.
"""

from __future__ import annotations

from msgspec import Struct

PAPER = "#fcfaf4"
INK = "#1d2429"
PENCIL = "#6a6a62"  # figures, rules, everything that only helps reading
METAL = "#f3ecd9"  # tint of the metal before cutting
HATCHING = "#9b978a"


class Style(Struct, frozen=True):
    """How the strokes of a layer are drawn.

    colour: on paper
    weight: width of the line on the page, mm; one of the widths that DXF knows
    dash:   lengths of ink, gap, ink, gap… on the page, mm; empty for a whole line
    aci:    a colour number of DXF near to it that shows on black and on white ground (3 : 1 at least)
    kind:   name of the dash as a DXF linetype
    """

    colour: str
    weight: float
    dash: tuple[float, ...]
    aci: int
    kind: str


STYLES: dict[str, Style] = {
    "STOCK": Style("#5b5a4e", 0.25, (5.5, 0.9, 0.9, 0.9, 0.9, 0.9), 8, "DASH-DOT-DOT"),
    "PART": Style(INK, 0.7, (), 7, "CONTINUOUS"),
    "RAPID": Style("#707b80", 0.18, (1.2, 1.6), 8, "SHORT-DASH"),
    "ROUGH": Style("#a64b00", 0.25, (), 32, "CONTINUOUS"),
    "FINISH": Style("#003f8c", 0.5, (6.5, 0.9), 150, "LONG-DASH"),
    "GROOVE": Style("#7b1f6a", 0.5, (2.4, 0.9), 223, "DASH"),
    "DRILL": Style("#00665a", 0.5, (3.6, 0.8, 0.8, 0.8), 134, "DASH-DOT"),
    "THREAD": Style("#8a0f2e", 0.6, (0.9, 0.9), 240, "DOTS"),
    "AXIS": Style("#3a3a36", 0.25, (8.0, 1.0, 0.7, 1.0), 8, "AXIS-DASH-DOT"),
    "HOLDING": Style("#3d4a52", 0.35, (), 8, "CONTINUOUS"),
    "UNCUT": Style("#b00020", 0.35, (), 1, "CONTINUOUS"),
}


def stroke(style: Style) -> dict[str, str | float]:
    """The style as SVG attributes of an open line."""
    line: dict[str, str | float] = {"fill": "none", "stroke": style.colour, "stroke_width": style.weight}
    return line | {"stroke_dasharray": " ".join(f"{d:g}" for d in style.dash)} if style.dash else line
