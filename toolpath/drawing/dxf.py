"""The scene as a DXF drawing (R2000): eleven layers of lines and arcs, lettering, no date and fixed ids.

Drawing X is the lathe's z, drawing Y the radius, both in millimetres ($INSUNITS 4). The file's frame, its tables and
its lettering come from ezdxf; the strokes are put into its ENTITIES section as text (`entities.py`), because ten
thousand of them as objects take seconds.
"""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from toolpath.drawing.entities import APPLICATION, stroke_text
from toolpath.drawing.page import page_for
from toolpath.drawing.scene import Bounds, Scene
from toolpath.drawing.styles import STYLES
from toolpath.geometry.elements import Point

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

LONGEST_TEXT = 250  # characters; older readers hold 255
_ENTITIES = "  0\nSECTION\n  2\nENTITIES\n"
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
        _letter(space, scene, page.frame, letters)
        _show(doc, scene.bounds() or page.frame, page.frame)
        strokes = "".join(stroke_text(scene, space.layout_key, doc.entitydb.handles.next))
        text = io.StringIO()
        doc.write(text)
        return doc.encode(text.getvalue().replace(_ENTITIES, _ENTITIES + strokes, 1))


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
    """Labels on their layers; on layer 0 the title above, a numbered ring at each mark, their texts in a list below."""
    z0, x0, _, x1 = frame
    for layer in scene.layers:
        for label in layer.labels:
            _write(space, label.text, label.at, height, layer=layer.name)
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


def _write(space: Modelspace, text: str, at: Point, height: float, *, layer: str) -> None:
    if safe := one_line(text):
        space.add_text(safe, height=height, dxfattribs={"layer": layer, "insert": (*at, 0.0)})


def one_line(text: str) -> str:
    r"""A text as a DXF TEXT may hold it: one line, at most LONGEST_TEXT characters, nothing read as a code.

    A caret is followed by a blank, which the reader drops (a caret and a letter are a control character). Two percent
    signs, and a backslash before U+ or M+, open a code and are set apart by a blank, which stays. Letters beyond the
    16 bits of `\U+XXXX` and control characters become the replacement character.
    """
    text = " ".join(text.split())
    text = "".join("\N{REPLACEMENT CHARACTER}" if _unwritable(c) else c for c in text)
    text = text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "\N{HORIZONTAL ELLIPSIS}"
    return re.sub(r"%(?=%)|\\(?=[UuMm]\+)", r"\g<0> ", text.replace("^", "^ "))


def _unwritable(letter: str) -> bool:
    return ord(letter) > 0xFFFF or unicodedata.category(letter) in ("Cc", "Cs", "Cn")
