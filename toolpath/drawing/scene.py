"""The scene: what there is to see of one set-up, in layers of exact lines and arcs.

Points are `(z, x)` in millimetres, `x` a radius, as everywhere inside. A *stroke* is a chain; one that ends where it
starts is an outline and has an inside. A *label* is a short text at a point; a *mark* is a numbered finding.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Chain, Line, Point

Bounds = tuple[float, float, float, float]  # least z, least x, greatest z, greatest x

# Layer name -> the legend's words. The order is that of the DXF layer table and of the legend.
WORDS: Mapping[str, str] = MappingProxyType(
    {
        "STOCK": "metal before cutting",
        "PART": "finished part",
        "RAPID": "rapid, clear of the metal",
        "ROUGH": "roughing cut",
        "FINISH": "finishing cut",
        "GROOVE": "grooving, parting off",
        "DRILL": "drilling",
        "THREAD": "threading",
        "AXIS": "axis of the spindle",
        "HOLDING": "jaws, collet, centre",
        "UNCUT": "metal left standing",
    }
)
LAYERS = tuple(WORDS)
AXIS_BEYOND = 0.03  # of the drawing's size, how far a centre line goes past it on either side


class Label(Struct, frozen=True):
    """A short text that stands at a point."""

    at: Point
    text: str


class Mark(Struct, frozen=True):
    """A finding: where it is and what it says. Marks are numbered from 1 in the order given."""

    at: Point
    text: str


class Layer(Struct, frozen=True):
    """Strokes and labels of one kind. `words` is what the legend calls them."""

    name: str
    words: str
    strokes: tuple[Chain, ...] = ()
    labels: tuple[Label, ...] = ()


class Scene(Struct, frozen=True):
    """A titled stack of all eleven layers in their fixed order, empty ones included, and the marks on top."""

    title: str
    layers: tuple[Layer, ...]
    marks: tuple[Mark, ...] = ()

    def __getitem__(self, name: str) -> Layer:
        """The layer of that name."""
        return self.layers[LAYERS.index(name)]

    def bounds(self, names: Iterable[str] = LAYERS) -> Bounds | None:
        """Smallest box around the strokes of the named layers, arcs by their bulge; None when there is no stroke."""
        return around(e.bounds() for name in names for stroke in self[name].strokes for e in stroke)


def scene(
    title: str,
    strokes: Mapping[str, Iterable[Chain]],
    *,
    labels: Mapping[str, Iterable[Label]] = MappingProxyType({}),
    marks: Iterable[Mark] = (),
) -> Scene:
    """A scene from strokes by layer name; layers not named are empty, chains without an element are left out.

    The axis of the spindle is added, a little longer than part, metal and hold, unless AXIS has strokes of its own.
    Raises BadInput for a layer that does not exist and for a coordinate that is not a finite number.
    """
    for name in (*strokes, *labels):
        if name not in WORDS:
            raise BadInput(f"there is no layer {name!r} in a drawing", right=f"The layers are {', '.join(LAYERS)}")
    layers = tuple(
        Layer(name, words, tuple(s for s in strokes.get(name, ()) if s), tuple(labels.get(name, ())))
        for name, words in WORDS.items()
    )
    made = Scene(title, layers, tuple(marks))
    for layer in layers:
        _must_be_finite(layer)
    for mark in made.marks:
        if not all(map(math.isfinite, mark.at)):
            raise BadInput(f"the mark {mark.text!r} stands at {mark.at}, which is no point")
    return _with_axis(made)


def _with_axis(made: Scene) -> Scene:
    box = made.bounds(("STOCK", "PART", "HOLDING")) or made.bounds()
    if made["AXIS"].strokes or box is None:
        return made
    beyond = AXIS_BEYOND * (max(box[2] - box[0], box[3]) or 1.0)
    line = (Line((box[0] - beyond, 0.0), (box[2] + beyond, 0.0)),)
    return replace(made, layers=tuple(replace(v, strokes=(line,)) if v.name == "AXIS" else v for v in made.layers))


def _must_be_finite(layer: Layer) -> None:
    elements = [e for stroke in layer.strokes for e in stroke]
    ends = [c for e in elements for c in (*e.a, *e.b)]
    ends += [c for e in elements if isinstance(e, Arc) for c in (*e.centre, e.sweep)]
    ends += [c for label in layer.labels for c in label.at]
    if not all(map(math.isfinite, ends)):
        raise BadInput(f"the {layer.name} layer of the drawing holds a coordinate that is not a finite number")


def closed(stroke: Chain) -> bool:
    """True when the stroke ends where it starts, and so has an inside.

    A part in a thousand million of its size counts as the same point: outlines are summed in floating point.
    """
    size = max(map(abs, (*stroke[0].a, *stroke[-1].b)))
    return math.dist(stroke[0].a, stroke[-1].b) <= 1e-9 * max(size, 1.0)


def off_axis(stroke: Chain) -> tuple[Chain, ...]:
    """The runs of a stroke that do not lie on the axis: what a half-section shows as edges.

    The axis counts as wide as a thousand-millionth of the stroke's end points.
    """
    near = 1e-9 * max(1.0, *(abs(c) for e in stroke for c in (*e.a, *e.b)))
    runs: list[list[Line | Arc]] = [[]]
    for e in stroke:
        if isinstance(e, Line) and abs(e.a[1]) <= near and abs(e.b[1]) <= near:
            runs.append([])
        else:
            runs[-1].append(e)
    return tuple(tuple(run) for run in runs if run)


def around(boxes: Iterable[Bounds]) -> Bounds | None:
    """Smallest box that holds all of the boxes; None when there are none."""
    columns = tuple(zip(*boxes, strict=True))
    return (min(columns[0]), min(columns[1]), max(columns[2]), max(columns[3])) if columns else None
