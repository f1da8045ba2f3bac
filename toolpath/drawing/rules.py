"""The two rules beside the plot, graduated like steel rules: z along its foot, the diameter up its left side."""

from __future__ import annotations

from toolpath.drawing.markup import number, tag, text
from toolpath.drawing.page import LEFT, PLOT_WIDTH, Page, figure_text, graduations, step_for
from toolpath.drawing.styles import INK, PENCIL

LONG, MIDDLE, SHORT = 2.6, 1.8, 1.1  # graduations, page mm
CLOSEST = 0.9  # page mm between two graduations
FIGURES_ALONG, FIGURES_ACROSS = 17.0, 8.0  # least room for a figure, page mm


def rules(page: Page) -> list[str]:
    """Frame of the plot, both rules with their figures, and the zero of the set-up."""
    return [
        tag("rect", **page.rectangle, fill="none", stroke=PENCIL, stroke_width=0.18),
        *_along(page),
        *_across(page),
        *(_zero(page) if page.frame[0] < 0.0 < page.frame[2] else []),
    ]


def _along(page: Page) -> list[str]:
    """The rule for z."""
    z0, _, z1, _ = page.frame
    step, foot = step_for(page.scale, FIGURES_ALONG), page.top + page.height
    places = [(page.at((z, 0.0))[0], long) for z, long in marks(z0, z1, step, page.scale)]
    figures = [
        text(figure_text(z, step), page.at((z, 0.0))[0], foot + 6.0, fill=PENCIL, text_anchor="middle")
        for z in graduations(z0, z1, step)
    ]
    return [
        _ticks("".join(f"M{number(x)} {number(foot)}v{number(long)}" for x, long in places)),
        *figures,
        text("\N{LEFTWARDS ARROW} to the chuck", LEFT, foot + 11.0, fill=PENCIL),
        text("z, mm from zero", LEFT + PLOT_WIDTH, foot + 11.0, fill=PENCIL, text_anchor="end"),
    ]


def _across(page: Page) -> list[str]:
    """The rule for the diameter, the same figures above and below the axis."""
    _, x0, _, x1 = page.frame
    half = page.scale / 2.0  # one millimetre of diameter is half a millimetre of height
    step = step_for(half, FIGURES_ACROSS)
    places = [(page.at((0.0, d / 2.0))[1], long) for d, long in marks(2.0 * x0, 2.0 * x1, step, half)]
    figures = [
        text(figure_text(abs(d), step), LEFT - 3.6, page.at((0.0, d / 2.0))[1] + 1.0, fill=PENCIL, text_anchor="end")
        for d in graduations(2.0 * x0, 2.0 * x1, step)
    ]
    return [
        _ticks("".join(f"M{number(LEFT)} {number(y)}h{number(-long)}" for y, long in places)),
        *figures,
        text("diameter, mm", LEFT - 1.0, page.top - 2.4, fill=PENCIL, text_anchor="end"),
    ]


def marks(low: float, high: float, step: float, scale: float) -> list[tuple[float, float]]:
    """Graduations from low to high as pairs of value and length on the page, as fine as CLOSEST lets them be."""
    parts = next((n for n in (10, 5, 2) if step * scale / n >= CLOSEST), 1)
    out = []
    for value in graduations(low, high, step / parts):
        place = round(value * parts / step) % parts
        out.append((value, LONG if place == 0 else MIDDLE if 2 * place == parts else SHORT))
    return out


def _ticks(data: str) -> str:
    return tag("path", d=data, fill="none", stroke=INK, stroke_width=0.18)


def _zero(page: Page) -> list[str]:
    """A dotted line where z is 0, a wedge at its foot."""
    x, foot = page.at((0.0, 0.0))[0], page.top + page.height
    line = f"M{number(x)} {number(page.top)}V{number(foot)}"
    return [
        tag("path", d=line, stroke=PENCIL, stroke_width=0.13, stroke_dasharray="0.4 1.2"),
        tag("path", d=f"M{number(x)} {number(foot)}l-1.6 -3h3.2z", fill=INK),
    ]
