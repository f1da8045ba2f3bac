"""The scene as a DXF drawing (R2000): lines as LINE, arcs as ARC, one layer for each layer, no date and fixed ids.

Drawing X is the lathe's z, drawing Y the radius, both in millimetres ($INSUNITS 4). A DXF ARC always runs
counter-clockwise (DXF reference, ARC), so a clockwise arc is written with its ends swapped. What that loses, direction
and the last digit of the ends, is kept beside each arc as extended data of the application HALFSECTION: two points that
move with the entity (group 1011), start and end, and the signed sweep in radians (group 1040).
"""

from __future__ import annotations

import io
import math
import re
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from toolpath.drawing.page import page_for
from toolpath.drawing.scene import Bounds, Layer, Scene
from toolpath.drawing.styles import STYLES
from toolpath.geometry.elements import Arc, Point

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

APPLICATION = "HALFSECTION"
LONGEST_TEXT = 250  # characters; older readers hold 255
# An arc that turns less has a rise of r * s^2 / 8 = 4e-12 mm at r = 100 m: a line; as an ARC its two angles would look
# equal to a reader, and that is a full circle.
LEAST_SWEEP = 1.8e-8
LETTERING = 3.5  # height of letters on the page, mm


def write_dxf(scene: Scene) -> bytes:
    """The bytes of the DXF file; the same scene gives the same bytes in every process."""
    from ezdxf.filemanagement import new

    page = page_for(scene, 0.0)
    letters = LETTERING / page.scale
    with _fixed_ids():
        doc = new("R2000", units=4)
        _set_up(doc, scene, 1.0 / page.scale)
        space = doc.modelspace()
        for layer in scene.layers:
            _draw(space, layer, letters)
        _letter(space, scene, page.frame, letters)
        _show(doc, scene.bounds() or page.frame, page.frame)
        text = io.StringIO()
        doc.write(text)
        return doc.encode(text.getvalue())


@contextmanager
def _fixed_ids() -> Iterator[None]:
    """ezdxf stamps dates and random ids into every file unless it is told not to; its setting is put back after."""
    from ezdxf import options  # type: ignore[attr-defined]  # its documented place, though not exported by name

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _set_up(doc: Drawing, scene: Scene, unit: float) -> None:
    """Header, linetypes and layers. unit: millimetres of the lathe for one on the page."""
    doc.header["$LTSCALE"] = float(f"{unit:.6g}")
    doc.header["$LWDISPLAY"] = 1
    doc.appids.new(APPLICATION)
    doc.styles.get("Standard").dxf.font = "arial.ttf"  # the usual stroke font has no letters beyond Latin ones
    for style in STYLES.values():
        if style.dash and style.kind not in doc.linetypes:
            pattern = [sum(style.dash), *(d if k % 2 == 0 else -d for k, d in enumerate(style.dash))]
            doc.linetypes.add(style.kind, pattern, description=style.kind.lower())
    for layer in scene.layers:
        style = STYLES[layer.name]
        weight = round(style.weight * 100.0)
        doc.layers.add(layer.name, color=style.aci, linetype=style.kind, lineweight=weight)


def _letter(space: Modelspace, scene: Scene, frame: Bounds, height: float) -> None:
    """Title over the drawing, a numbered ring at each mark, the marks' texts in a list below; all on layer 0."""
    z0, x0, _, x1 = frame
    _write(space, scene.title, (z0, x1 + 2.0 * height), height, layer="0")
    for k, mark in enumerate(scene.marks, 1):
        space.add_circle(mark.at, 0.5 * height, dxfattribs={"layer": "0"})
        _write(space, str(k), (mark.at[0] + 0.6 * height, mark.at[1] + 0.6 * height), height, layer="0")
        _write(space, f"{k}  {mark.text}", (z0, x0 - 2.0 * k * height), height, layer="0")


def _show(doc: Drawing, extent: Bounds, frame: Bounds) -> None:
    """What a viewer opens with: the frame of the figure."""
    space = doc.modelspace()
    space.dxf.extmin, space.dxf.extmax = (*extent[:2], 0.0), (*extent[2:], 0.0)
    z0, x0, z1, x1 = frame
    doc.set_modelspace_vport(1.3 * max(x1 - x0, (z1 - z0) / 2.0), ((z0 + z1) / 2.0, (x0 + x1) / 2.0))


def _draw(space: Modelspace, layer: Layer, height: float) -> None:
    on = {"layer": layer.name}
    for stroke in layer.strokes:
        for e in stroke:
            if isinstance(e, Arc) and abs(e.sweep) >= LEAST_SWEEP and e.radius > 0.0:
                _draw_arc(space, e, on)
            elif e.a != e.b:
                space.add_line(e.a, e.b, dxfattribs=on)
    for label in layer.labels:
        _write(space, label.text, label.at, height, layer=layer.name)


def _draw_arc(space: Modelspace, arc: Arc, on: dict[str, str]) -> None:
    centre = centre_between(arc)
    first, last = (arc.a, arc.b) if arc.sweep > 0.0 else (arc.b, arc.a)
    radius = math.dist(centre, arc.a)
    entity = space.add_arc(centre, radius, _degrees(centre, first), _degrees(centre, last), dxfattribs=on)
    entity.set_xdata(APPLICATION, [(1011, (*arc.a, 0.0)), (1011, (*arc.b, 0.0)), (1040, arc.sweep)])


def centre_between(arc: Arc) -> Point:
    """Centre of the circle through both ends of the arc, nearest to the stated centre.

    An arc read back from a program has ends that differ in radius by the rounding of the text. Its ends are what the
    control reaches, so the centre gives way, along the chord. Ends that agree leave the centre as it is; so does an
    arc of more than a half turn, where a short chord would throw the centre far.
    """
    off = math.dist(arc.centre, arc.b) - math.dist(arc.centre, arc.a)
    chord = math.dist(arc.a, arc.b)
    if abs(off) <= 1e-10 * max(1.0, arc.radius) or abs(arc.sweep) > math.pi or chord == 0.0:
        return arc.centre
    u = ((arc.b[0] - arc.a[0]) / chord, (arc.b[1] - arc.a[1]) / chord)
    along = sum((arc.centre[k] - (arc.a[k] + arc.b[k]) / 2.0) * u[k] for k in (0, 1))
    return (arc.centre[0] - along * u[0], arc.centre[1] - along * u[1])


def _degrees(centre: Point, p: Point) -> float:
    return math.degrees(math.atan2(p[1] - centre[1], p[0] - centre[0])) % 360.0


def _write(space: Modelspace, text: str, at: Point, height: float, *, layer: str) -> None:
    if safe := one_line(text):
        space.add_text(safe, height=height, dxfattribs={"layer": layer, "insert": (*at, 0.0)})


def one_line(text: str) -> str:
    r"""A text as a DXF TEXT may hold it: one line, at most LONGEST_TEXT characters, nothing read as a code.

    A caret is followed by a blank (a caret and a letter are a control character), two percent signs are set apart (they
    open a code), a backslash before U+ or M+ is itself written as a code. Letters beyond the 16 bits of `\U+XXXX` and
    control characters become the replacement character or a blank.
    """
    text = " ".join(text.split())
    text = "".join("\N{REPLACEMENT CHARACTER}" if _unwritable(c) else c for c in text)
    text = text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "\N{HORIZONTAL ELLIPSIS}"
    text = re.sub("%(?=%)", "% ", text.replace("^", "^ "))
    return re.sub(r"\\(?=[UuMm]\+)", r"\\U+005C", text)


def _unwritable(letter: str) -> bool:
    return ord(letter) > 0xFFFF or unicodedata.category(letter) in ("Cc", "Cs", "Cn")
