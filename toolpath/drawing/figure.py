"""The scene as an SVG figure: a drawing on paper, to look at, to print, to measure with a rule.

The part stands in section, hatched, above the axis of the spindle and faintly mirrored below it; a steel rule runs
along z, another up the diameter. Sizes of lines and letters belong to the page and not to the part. Nothing but
presentation attributes is used, so that the figure can stand inside a page without touching it.
"""

from __future__ import annotations

from collections.abc import Iterable

from toolpath.drawing.legend import balloons, findings, legend
from toolpath.drawing.lettering import wrapped
from toolpath.drawing.markup import number, safe, tag, text
from toolpath.drawing.page import LEFT, PLOT_WIDTH, RIGHT, WIDTH, Page, page_for, scale_text
from toolpath.drawing.rules import rules
from toolpath.drawing.scene import Layer, Scene, closed, off_axis
from toolpath.drawing.strokes import arrow_heads, path
from toolpath.drawing.styles import HATCHING, INK, METAL, PAPER, PENCIL, STYLES, stroke
from toolpath.geometry.elements import Chain, Point

TITLE, LARGE, SMALL = 5.6, 3.6, 2.8  # letters, mm
AREAS = ("STOCK", "HOLDING", "PART", "UNCUT")  # from the ground up
PATHS = ("AXIS", "RAPID", "ROUGH", "DRILL", "GROOVE", "THREAD", "FINISH")
CUTS = frozenset(PATHS) - {"RAPID", "AXIS"}
RIMMED = frozenset(
    {"DRILL", "FINISH", "GROOVE", "THREAD"}
)  # run along an outline or the axis: a rim of paper sets them off
NO_TITLE = "Half-section"
BOLD = 1.16  # how much wider bold letters are
HEAD = 46.0  # page mm beside the title that hold the scale


def svg(scene: Scene, *, name: str = "halfsection") -> str:
    """The whole SVG document as text. `name` begins every id, so that several figures can share one page.

    Arcs are A commands; coordinates are page millimetres with four decimals. The same scene gives the same text.
    """
    title = wrapped(scene.title, BOLD * TITLE, PLOT_WIDTH - HEAD, lines=3) or [NO_TITLE]
    under = 9.0 + 7.0 * len(title)
    page = page_for(scene, under + (9.0 if scene.marks else 4.0))
    used = [layer for layer in scene.layers if layer.strokes]
    key, bottom = legend(used, page.top + page.height + 17.0, name)
    notes, bottom = findings(scene.marks, bottom)
    body = [
        _patterns(name, page),
        tag("rect", width=WIDTH, height=bottom, fill=PAPER),
        *_heading(title, page),
        tag("g", *_plot(scene, page, name), clip_path=f"url(#{name}-frame)", stroke_linejoin="round"),
        *rules(page),
        *balloons(scene.marks, page, under + 3.6),
        *key,
        *notes,
    ]
    return tag(
        "svg",
        tag("title", safe(scene.title) or NO_TITLE, id=f"{name}-title"),
        tag("desc", safe(described(scene)), id=f"{name}-desc"),
        tag("g", "\n".join(body), font_family="sans-serif", font_size=SMALL, fill=INK),
        xmlns="http://www.w3.org/2000/svg",
        width=f"{number(WIDTH)}mm",
        height=f"{number(bottom)}mm",
        viewBox=f"0 0 {number(WIDTH)} {number(bottom)}",
        role="img",
        aria_labelledby=f"{name}-title {name}-desc",
    )


def described(scene: Scene) -> str:
    """What the figure shows, in words, for who can not see it."""
    parts = ["Half-section of a turned part, the axis of the spindle horizontal, the chuck on the left."]
    if box := scene.bounds(("PART",)) or scene.bounds(("STOCK",)):
        z0, _, z1, x1 = box
        parts.append(f"It lies from z {z0:.3f} mm to z {z1:.3f} mm; its greatest diameter is {2.0 * x1:.3f} mm.")
    shown = [f"{layer.words} ({len(layer.strokes)})" for layer in scene.layers if layer.strokes]
    parts.append(f"Shown are: {'; '.join(shown)}." if shown else "Nothing is drawn yet.")
    parts += [f"Finding {k}: {mark.text}" for k, mark in enumerate(scene.marks, 1)]
    return " ".join(parts)


def _patterns(name: str, page: Page) -> str:
    """The frame that clips the plot, and the hatchings."""
    return tag(
        "defs",
        tag("clipPath", tag("rect", **page.rectangle), id=f"{name}-frame"),
        _hatch(f"{name}-PART", 2.4, 45, HATCHING, 0.13),
        _hatch(f"{name}-HOLDING", 1.5, -45, HATCHING, 0.15),
        _hatch(f"{name}-UNCUT", 0.9, 90, STYLES["UNCUT"].colour, 0.3),
    )


def _hatch(name: str, apart: float, angle: int, colour: str, weight: float) -> str:
    """Lines `apart` mm apart; they run along the edge of their tile, so half of the width shows."""
    line = tag("path", d=f"M0 0H{number(apart)}", stroke=colour, stroke_width=2.0 * weight)
    size = {"width": apart, "height": apart}
    return tag("pattern", line, id=name, **size, patternUnits="userSpaceOnUse", patternTransform=f"rotate({angle})")


def _heading(title: list[str], page: Page) -> list[str]:
    right = WIDTH - RIGHT
    return [
        *(text(line, LEFT, 12.0 + 7.0 * k, font_size=TITLE, font_weight="600") for k, line in enumerate(title)),
        text(f"scale {scale_text(page.scale)}", right, 12.0, font_size=LARGE, text_anchor="end"),
        text("when printed at full size", right, 16.5, fill=PENCIL, text_anchor="end"),
    ]


def _plot(scene: Scene, page: Page, name: str) -> list[str]:
    """Everything inside the frame, from the ground up."""
    return [
        *_half_below(scene, page, name),
        *(line for layer in map(scene.__getitem__, AREAS) for line in _area(layer, page, name)),
        *(line for layer in map(scene.__getitem__, PATHS) for line in _paths(layer, page)),
        *_labels(scene.layers, page),
    ]


def _half_below(scene: Scene, page: Page, name: str) -> list[str]:
    """Outlines of metal, hold and part once more, faint, mirrored in the axis."""
    lines = [
        tag("path", d=data, fill="none", stroke=STYLES[key].colour, stroke_width=0.25)
        for key in ("STOCK", "HOLDING", "PART")
        if (data := _edges(scene[key].strokes, page))
    ]
    mirror = f"matrix(1 0 0 -1 0 {number(2.0 * page.at((0.0, 0.0))[1])})"
    return [tag("g", *lines, id=f"{name}-below", transform=mirror, opacity=0.32)] if lines else []


def _area(layer: Layer, page: Page, name: str) -> list[str]:
    """Outlines filled and hatched; strokes without an inside as lines."""
    lines = []
    if inside := path(filter(closed, layer.strokes), page):
        lines.append(tag("path", d=inside, fill=METAL if layer.name == "STOCK" else PAPER))
        lines += [tag("path", d=inside, fill=f"url(#{name}-{layer.name})")] if layer.name != "STOCK" else []
    if edges := _edges(layer.strokes, page):
        lines.append(tag("path", d=edges, **stroke(STYLES[layer.name])))
    return lines


def _edges(strokes: Iterable[Chain], page: Page) -> str:
    """What a section shows as lines: the part of each outline that lies on the axis is none of them."""
    return path((run for s in strokes for run in off_axis(s)), page)


def _paths(layer: Layer, page: Page) -> list[str]:
    """Strokes of one layer as one path, and an arrow head on each cut that is long enough to carry one."""
    data = path(layer.strokes, page)
    if not data:
        return []
    style, lines = STYLES[layer.name], []
    if layer.name in RIMMED:
        lines.append(tag("path", d=data, fill="none", stroke=PAPER, stroke_width=style.weight + 0.5))
    lines.append(tag("path", d=data, **stroke(style)))
    if layer.name in CUTS and (heads := arrow_heads(layer.strokes, page, size=1.8, least=9.0)):
        lines.append(tag("path", d=heads, fill=style.colour))
    return lines


def _labels(layers: Iterable[Layer], page: Page) -> list[str]:
    """Lettering at its points, with a rim of paper, so that lines below do not run through it."""
    rim: dict[str, str | float] = {"stroke": PAPER, "stroke_width": 0.8, "paint_order": "stroke"}
    return [
        tag("text", safe(label.text), **_place(label.at, page), fill=STYLES[layer.name].colour, **rim)
        for layer in layers
        for label in layer.labels
    ]


def _place(at: Point, page: Page) -> dict[str, str | float]:
    x, y = page.at(at)
    return {"x": x, "y": y}
