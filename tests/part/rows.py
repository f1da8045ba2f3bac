"""Half-sections from rows as a job file holds them, for the tests of this room."""

from __future__ import annotations

import math
import tomllib

import pytest

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Element, Point
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.words import face_rows, inside_rows, outside_rows


def part(text: str, *, inside: str = "", face: str = "", break_edges: float = 0.0, unit: str = "mm") -> HalfSection:
    """text, inside, face: the rows alone, as TOML inline tables."""
    table = tomllib.loads(f"outside = [\n{text}\n]\ninside = [{inside}]\nface = [{face}]")
    return build(
        outside_rows(table, unit=unit),
        inside=inside_rows(table, unit=unit),
        face=face_rows(table, unit=unit),
        break_edges=break_edges,
    )


def refusal(text: str, *, inside: str = "", face: str = "", break_edges: float = 0.0) -> str:
    """The message with which the rows are refused."""
    with pytest.raises(BadInput) as e:
        part(text, inside=inside, face=face, break_edges=break_edges)
    return str(e.value)


def named(half: HalfSection, name: str) -> Element:
    """The one element of that name."""
    found = [e for e, s in zip(half.outside, half.surfaces, strict=True) if s.name == name]
    assert len(found) == 1, [s.name for s in half.surfaces]
    return found[0]


def arc_named(half: HalfSection, name: str) -> Arc:
    e = named(half, name)
    assert isinstance(e, Arc)
    return e


def corners(half: HalfSection) -> list[Point]:
    """Every joint as (diameter, z), as a drawing and a program give it."""
    return [(2.0 * x, z) for z, x in [half.outside[0].a, *(e.b for e in half.outside)]]


def cylinder(dia: float, length: float) -> float:
    return math.pi * dia**2 / 4.0 * length


def cone(d0: float, d1: float, length: float) -> float:
    """Frustum: pi h (r² + r s + s²) / 3."""
    return math.pi * length / 12.0 * (d0 * d0 + d0 * d1 + d1 * d1)


def cap(radius: float, height: float) -> float:
    """Spherical cap: pi h² (3 r - h) / 3."""
    return math.pi * height**2 * (3.0 * radius - height) / 3.0
