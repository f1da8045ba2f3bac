"""Readers that know nothing of the painters: SVG path data by the published arithmetic, DXF through ezdxf."""

from __future__ import annotations

import math
import re
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
from ezdxf.document import Drawing

from toolpath.drawing.entities import APPLICATION
from toolpath.geometry.elements import Arc, Chain, Line, Point

SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = r"-?\d+(?:\.\d+)?"
_COMMAND = re.compile(rf"([MLAZ])((?:\s*{_NUMBER})*)")


def parse(markup: str) -> ElementTree.Element:
    """The root of the document; raises on anything that is not XML."""
    return ElementTree.fromstring(markup)


def by_id(root: ElementTree.Element, name: str) -> ElementTree.Element:
    return next(e for e in root.iter() if e.get("id") == name)


def texts(root: ElementTree.Element) -> list[str]:
    return [e.text or "" for e in root.iter(f"{SVG}text")]


def samples(data: str, per_piece: int = 9) -> list[list[Point]]:
    """Points along each subpath of path data made of absolute M, L, A and Z."""
    assert _COMMAND.sub("", data).strip() == "", f"unknown command in {data}"
    out: list[list[Point]] = []
    for letter, figures in _COMMAND.findall(data):
        v = [float(f) for f in re.findall(_NUMBER, figures)]
        if letter == "M":
            out.append([(v[0], v[1])])
        elif letter == "L":
            a, b = out[-1][-1], (v[0], v[1])
            out[-1] += [
                (a[0] + k / per_piece * (b[0] - a[0]), a[1] + k / per_piece * (b[1] - a[1]))
                for k in range(1, per_piece)
            ]
            out[-1].append(b)
        elif letter == "A":
            assert v[0] == v[1] and v[2] == 0.0 and {v[3], v[4]} <= {0.0, 1.0}
            out[-1] += arc_samples(out[-1][-1], (v[5], v[6]), v[0], large=v[3] == 1.0, sweep=v[4] == 1.0, n=per_piece)
        else:
            out[-1].append(out[-1][0])
    return out


def arc_samples(a: Point, b: Point, r: float, *, large: bool, sweep: bool, n: int) -> list[Point]:
    """Points after `a` on an A command, end points to centre by SVG 1.1 (Second Edition), appendix F.6.5 and F.6.6."""
    x, y = (a[0] - b[0]) / 2.0, (a[1] - b[1]) / 2.0  # F.6.5.1, no rotation
    r = max(r, math.hypot(x, y))  # F.6.6.2 and 3: a radius too small is scaled up
    root = math.sqrt(max(0.0, (r * r - x * x - y * y) / (x * x + y * y)))  # F.6.5.2
    root = root if large != sweep else -root
    cx, cy = root * y, -root * x
    mx, my = cx + (a[0] + b[0]) / 2.0, cy + (a[1] + b[1]) / 2.0  # F.6.5.3
    start = math.atan2(y - cy, x - cx)  # F.6.5.5
    turn = math.remainder(math.atan2(-y - cy, -x - cx) - start, 2.0 * math.pi)  # F.6.5.6
    if sweep and turn < 0.0:
        turn += 2.0 * math.pi
    if not sweep and turn > 0.0:
        turn -= 2.0 * math.pi
    inner = [start + turn * k / n for k in range(1, n)]
    return [(mx + r * math.cos(w), my + r * math.sin(w)) for w in inner] + [b]


def read_dxf(data: bytes, folder: Path) -> Drawing:
    """The drawing as ezdxf reads it from disk."""
    file = folder / "read.dxf"
    file.write_bytes(data)
    return ezdxf.readfile(file)


def chain_on(doc: Drawing, layer: str) -> Chain:
    """The elements of a layer, arcs by centre and our extended data."""
    out: list[Line | Arc] = []
    for e in doc.modelspace().query(f'*[layer=="{layer}"]'):
        if e.dxftype() == "LINE":
            out.append(Line(tuple(e.dxf.start)[:2], tuple(e.dxf.end)[:2]))
        elif e.dxftype() == "ARC":
            kept = e.get_xdata(APPLICATION)
            a, b = (tuple(t.value)[:2] for t in kept if t.code == 1011)
            (sweep,) = (t.value for t in kept if t.code == 1040)
            out.append(Arc(a, b, tuple(e.dxf.center)[:2], sweep))
    return tuple(out)
