"""Strokes as DXF entities: a line is a LINE, an arc an ARC, written straight as the text of the file.

A DXF ARC always runs counter-clockwise (DXF reference, ARC), so a clockwise arc is written with its ends swapped. What
that loses, direction and the last digit of the ends, is kept beside each arc as extended data of the application
HALFSECTION: two points that move with the entity (group 1011), start and end, and the signed sweep in radians (1040).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from toolpath.drawing.scene import Scene
from toolpath.geometry.elements import Arc, Line, Point

APPLICATION = "HALFSECTION"
# An arc that turns less has a rise of r * s^2 / 8 = 4e-12 mm at r = 100 m: a line; as an ARC its two angles would look
# equal to a reader, and that is a full circle.
LEAST_SWEEP = 1.8e-8


def stroke_text(scene: Scene, owner: str, next_handle: Callable[[], str]) -> Iterator[str]:
    """Tags of all strokes, one piece of text an entity. Figures are written so that they read back exactly.

    owner: handle of the model space; next_handle: gives handles that nothing else in the file has. Elements without
    length are left out; an arc that turns by next to nothing is a line.
    """
    for layer in scene.layers:
        for stroke in layer.strokes:
            for e in stroke:
                if isinstance(e, Arc) and abs(e.sweep) >= LEAST_SWEEP and e.radius > 0.0:
                    yield _head("ARC", next_handle(), owner, layer.name) + _arc(e)
                elif e.a != e.b:
                    yield _head("LINE", next_handle(), owner, layer.name) + _line(e)


def _head(kind: str, handle: str, owner: str, layer: str) -> str:
    return f"  0\n{kind}\n  5\n{handle}\n330\n{owner}\n100\nAcDbEntity\n  8\n{layer}\n"


def _line(e: Line | Arc) -> str:
    return f"100\nAcDbLine\n{_point(10, e.a)}{_point(11, e.b)}"


def _arc(e: Arc) -> str:
    centre = centre_between(e)
    first, last = (e.a, e.b) if e.sweep > 0.0 else (e.b, e.a)
    circle = f"100\nAcDbCircle\n{_point(10, centre)} 40\n{_figure(math.dist(centre, e.a))}\n"
    angles = f"100\nAcDbArc\n 50\n{_degrees(centre, first)}\n 51\n{_degrees(centre, last)}\n"
    kept = f"1001\n{APPLICATION}\n{_point(1011, e.a)}{_point(1011, e.b)}1040\n{_figure(e.sweep)}\n"
    return circle + angles + kept


def _point(group: int, p: Point) -> str:
    """A point of the drawing's plane; its three coordinates are ten groups apart."""
    return f"{group:3}\n{_figure(p[0])}\n{group + 10:3}\n{_figure(p[1])}\n{group + 20:3}\n0.0\n"


def _figure(value: float) -> str:
    """The shortest text that reads back as the same number; a float of numpy would write its type along."""
    return repr(float(value))


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
