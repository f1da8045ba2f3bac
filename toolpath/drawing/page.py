"""How a scene lies on the page: frame, scale and rulers.

The page is 297 mm wide (ISO 216 A4 across). The drawing's scale is a round one, the same both ways, so that a print at
full size can be measured with a rule and an arc stays round. The frame shows the part and its cuts; metal, hold and
rapids that go on far outside it (a long bar, a change point) are cut off at the frame.
"""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.drawing.scene import LAYERS, Bounds, Scene, around
from toolpath.geometry.elements import Point

WIDTH = 297.0
LEFT, RIGHT = 24.0, 13.0  # page margins beside the plot, mm; the left one holds the diameters
PLOT_WIDTH = WIDTH - LEFT - RIGHT
PLOT_HEIGHT = (48.0, 122.0)  # least and greatest
_ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
_CONTEXT = ("STOCK", "HOLDING")
_FOCUS = tuple(n for n in LAYERS if n not in (*_CONTEXT, "RAPID", "AXIS"))
_REACH = 0.35  # how far context may widen the frame, in sizes of what is in focus
_BORDER = 0.05  # clear space around, in sizes of the frame
_MIRRORED = 0.3  # least share of the upper half that is shown below the axis


class Page(Struct, frozen=True):
    """Frame of the plot in the lathe's millimetres and its place on the page.

    frame: least z, least x, greatest z, greatest x, mm
    scale: page millimetres for one of the lathe's
    top:   page millimetres from the page's top edge to the plot's
    """

    frame: Bounds
    scale: float
    top: float

    @property
    def height(self) -> float:
        """Height of the plot on the page, mm."""
        return (self.frame[3] - self.frame[1]) * self.scale

    @property
    def rectangle(self) -> dict[str, float]:
        """The plot on the page: x, y, width, height, mm."""
        return {"x": LEFT, "y": self.top, "width": PLOT_WIDTH, "height": self.height}

    def at(self, p: Point) -> Point:
        """Page position, mm right and down from the upper left corner, of the lathe's point (z, x)."""
        return (LEFT + (p[0] - self.frame[0]) * self.scale, self.top + (self.frame[3] - p[1]) * self.scale)


def page_for(scene: Scene, top: float) -> Page:
    """The page for a scene, its plot starting `top` mm down."""
    z0, x0, z1, x1 = _frame(scene)
    above = x1 * (1.0 + _BORDER)
    below = max(-x0 + _BORDER * x1, _MIRRORED * above)
    border = _BORDER * max(z1 - z0, x1)
    scale = round_scale(min(PLOT_WIDTH / (z1 - z0 + 2.0 * border), PLOT_HEIGHT[1] / (above + below)))
    spare = PLOT_WIDTH / scale - (z1 - z0)
    # The lower half is shown as far as the page has room for it; a thin part stands in the middle of a low plot.
    below = max(below, min(above, PLOT_HEIGHT[1] / scale - above))
    low = max(0.0, PLOT_HEIGHT[0] / scale - above - below) / 2.0
    return Page((z0 - spare / 2.0, -below - low, z1 + spare / 2.0, above + low), scale, top)


def _frame(scene: Scene) -> Bounds:
    """Box around what matters, never without a width or a height; x reaches at least down to the axis."""
    focus = scene.bounds(_FOCUS)
    marks = around((*m.at, *m.at) for m in scene.marks)
    focus = around(b for b in (focus, marks) if b) if focus else scene.bounds() or marks or (-10.0, 0.0, 0.0, 5.0)
    assert focus is not None
    reach = _REACH * max(focus[2] - focus[0], focus[3])
    context = scene.bounds(_CONTEXT) or focus
    z0, z1 = max(context[0], focus[0] - reach), min(context[2], focus[2] + reach)
    z0, z1, x1 = min(z0, focus[0]), max(z1, focus[2]), max(focus[3], min(context[3], focus[3] + reach))
    size = max(z1 - z0, x1, -focus[1]) or 1.0
    if z1 - z0 < 0.1 * size:
        z0, z1 = (z0 + z1 - 0.1 * size) / 2.0, (z0 + z1 + 0.1 * size) / 2.0
    return (z0, min(0.0, focus[1]), z1, max(x1, 1e-3 * size))


def round_scale(most: float) -> float:
    """The greatest round scale that is not above `most`: 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten to one,
    or one to such a figure."""
    if most >= 1.0:
        power = 10.0 ** math.floor(math.log10(most))
        return max(r * power for r in _ROUND if r * power <= most * (1.0 + 1e-9))
    power = 10.0 ** math.floor(math.log10(1.0 / most))
    return 1.0 / min(r * power for r in _ROUND if r * power * most >= 1.0 - 1e-9)


def scale_text(scale: float) -> str:
    """As on a drawing: `5 : 1`, `1 : 2.5` (ISO 5455 writes enlargements and reductions so; from memory)."""
    return f"{scale:.6g} : 1" if scale >= 1.0 else f"1 : {1.0 / scale:.6g}"


def step_for(scale: float, gap: float) -> float:
    """The least of 1, 2, 5 times a power of ten, mm, that is at least `gap` page millimetres long."""
    least = gap / scale
    power = 10.0 ** math.floor(math.log10(least))
    return next(m * power for m in (1.0, 2.0, 5.0, 10.0) if m * power >= least * (1.0 - 1e-9))


def graduations(low: float, high: float, step: float) -> list[float]:
    """Multiples of `step` from `low` to `high`, mm."""
    return [k * step for k in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)]


def figure_text(value: float, step: float) -> str:
    """A ruler's figure with no more decimals than its step has; a true minus sign."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    text = f"{value:.{decimals}f}"
    return ("\N{MINUS SIGN}" + text[1:] if text.startswith("-") else text) if float(text) else f"{0:.{decimals}f}"
