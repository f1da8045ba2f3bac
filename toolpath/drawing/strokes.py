"""Chains as SVG path data: lines as L, arcs as A, never flattened."""

from __future__ import annotations

import math
from collections.abc import Iterable

from toolpath.drawing.markup import number
from toolpath.drawing.page import Page
from toolpath.drawing.scene import closed
from toolpath.geometry.elements import Arc, Chain, Line, Point

# An A command finds its own centre from the ends, badly so near a half turn; arcs are written in parts of no more.
LARGEST_PART = 2.0 * math.pi / 3.0
FLAT = 5e-4  # rise, page mm, below which an arc can not be told from its chord


def path(strokes: Iterable[Chain], page: Page) -> str:
    """Path data of strokes, "" when there are none.

    Page y runs down, so what turns counter-clockwise at the lathe has sweep flag 0 (SVG 1.1, 8.3.8: 1 is the direction
    of increasing angles, which with y down is clockwise to the eye).
    """
    return "".join(piece for stroke in strokes for piece in _pieces(stroke, page))


def _pieces(stroke: Chain, page: Page) -> list[str]:
    out = ["M", _pair(page.at(stroke[0].a))]
    end = stroke[0].a
    for e in stroke:
        if e.a != end:  # neighbours may differ by a rounding step; the pen stays down
            out += ["L", _pair(page.at(e.a))]
        end = e.b
        if isinstance(e, Arc) and _rise(e) * page.scale > FLAT:
            out += _arc(e, page)
        else:
            out += ["L", _pair(page.at(e.b))]
    return [*out, "Z"] if closed(stroke) else out


def _rise(arc: Arc) -> float:
    """Height of the arc over its chord, mm; for more than a half turn at least the radius."""
    return arc.radius * (1.0 - math.cos(min(abs(arc.sweep), math.pi) / 2.0))


def _arc(arc: Arc, page: Page) -> list[str]:
    parts = math.ceil(abs(arc.sweep) / LARGEST_PART)
    r = number(arc.radius * page.scale)
    flag = "0" if arc.sweep > 0.0 else "1"
    return [f"A{r} {r} 0 0 {flag} {_pair(page.at(arc.point_at(k / parts)))}" for k in range(1, parts + 1)]


def _pair(p: Point) -> str:
    return f"{number(p[0])} {number(p[1])}"


def arrow_heads(strokes: Iterable[Chain], page: Page, *, size: float, least: float) -> str:
    """Path data of arrow heads, `size` page mm long, each in the middle of its stroke's longest element.

    Elements shorter than `least` page mm carry none.
    """
    longest = (max(stroke, key=lambda e: e.length) for stroke in strokes)
    return "".join(_arrow_head(e, page, size) for e in longest if math.dist(page.at(e.a), page.at(e.b)) >= least)


def _arrow_head(e: Arc | Line, page: Page, size: float) -> str:
    tip, ahead = page.at(e.point_at(0.5)), e.tangent_at(0.5)
    u = (size * ahead[0], -size * ahead[1])  # page y runs down
    back = (tip[0] - u[0], tip[1] - u[1])
    left, right = (back[0] + 0.3 * u[1], back[1] - 0.3 * u[0]), (back[0] - 0.3 * u[1], back[1] + 0.3 * u[0])
    return f"M{_pair(left)}L{_pair(tip)}L{_pair(right)}Z"
