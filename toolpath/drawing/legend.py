"""What stands around the plot: the legend, the numbered marks and what they say."""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.drawing.lettering import wrapped
from toolpath.drawing.markup import number, tag, text
from toolpath.drawing.page import LEFT, PLOT_WIDTH, Page
from toolpath.drawing.scene import Layer, Mark
from toolpath.drawing.styles import INK, METAL, PAPER, PENCIL, STYLES, stroke

COLUMNS, ROW, SAMPLE = 4, 6.2, 20.0  # of the legend; page mm
LETTERS = 3.0
FILLED = frozenset({"STOCK", "PART", "HOLDING", "UNCUT"})
BALLOON = 2.3  # radius, page mm
APART = 2.0 * BALLOON + 0.8


def legend(layers: Sequence[Layer], top: float, name: str) -> tuple[list[str], float]:
    """Samples of the layers with their words, and where the page goes on below. `name` begins the hatchings' ids."""
    out = []
    for k, layer in enumerate(layers):
        x, y = LEFT + (k % COLUMNS) * PLOT_WIDTH / COLUMNS, top + (k // COLUMNS) * ROW + ROW / 2.0
        out.append(_sample(layer.name, x, y, name))
        out.append(text(layer.words, x + SAMPLE + 2.5, y + 1.0, font_size=LETTERS))
    bottom = top + -(-len(layers) // COLUMNS) * ROW + 3.0
    out.append(text("Paths show the point that the program moves.", LEFT, bottom + 1.5, fill=PENCIL))
    return out, bottom + 6.5


def _sample(layer: str, x: float, y: float, name: str) -> str:
    line = stroke(STYLES[layer])
    if layer in FILLED:
        fill = METAL if layer == "STOCK" else f"url(#{name}-{layer})"
        return tag("rect", x=x, y=y - 1.7, width=SAMPLE, height=3.4, **line | {"fill": fill})
    return tag("path", d=f"M{number(x)} {number(y)}h{number(SAMPLE)}", **line)


def balloons(marks: Sequence[Mark], page: Page, y: float) -> list[str]:
    """Numbered circles in a row over the plot, each with a thin line to its place (the frame, if outside)."""
    right, foot = LEFT + PLOT_WIDTH, page.top + page.height
    out = []
    for x, k in spread([page.at(mark.at)[0] for mark in marks]):
        px, py = page.at(marks[k].at)
        px, py = min(max(px, LEFT), right), min(max(py, page.top), foot)
        lead = f"M{number(x)} {number(y)}L{number(px)} {number(py)}"
        out += [
            tag("path", d=lead, stroke=PENCIL, stroke_width=0.15),
            tag("circle", cx=px, cy=py, r=0.7, fill=INK),
            tag("circle", cx=x, cy=y, r=BALLOON, fill=PAPER, stroke=INK, stroke_width=0.35),
            text(str(k + 1), x, y + 1.0, text_anchor="middle"),
        ]
    return out


def spread(wanted: Sequence[float]) -> list[tuple[float, int]]:
    """Places along the row for circles wanted at these page x, from left to right, with their indices.

    Each stands as near to its wish as its neighbours let it; what the row has no room for is left out, last first.
    """
    order = sorted(range(min(len(wanted), int(PLOT_WIDTH // APART))), key=lambda k: (wanted[k], k))
    out: list[float] = []
    for n, k in enumerate(order):
        most = LEFT + PLOT_WIDTH - BALLOON - APART * (len(order) - 1 - n)
        least = out[-1] + APART if out else LEFT + BALLOON
        out.append(max(least, min(wanted[k], most)))
    return list(zip(out, order, strict=True))


def findings(marks: Sequence[Mark], top: float) -> tuple[list[str], float]:
    """The marks' texts as a numbered list, and the page's lower edge."""
    out, y = [], top
    for k, mark in enumerate(marks, 1):
        out.append(text(str(k), LEFT + 5.5, y + 3.2, text_anchor="end", font_weight="600"))
        for line in wrapped(mark.text, LETTERS, PLOT_WIDTH - 8.0, lines=3) or [""]:
            out.append(text(line, LEFT + 8.0, y + 3.2, font_size=LETTERS))
            y += 4.4
        y += 1.0
    return out, y + 5.0
