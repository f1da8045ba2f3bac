"""What must hold for any inside rows: a sound outline, Pappus, the same part from both ends, a true wall."""

from __future__ import annotations

import math

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiLineString, Polygon

from tests.part.test_properties import curve, dias, size
from toolpath.errors import BadInput
from toolpath.geometry.elements import points_of, signed_area
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.rows import (
    Chamfer,
    Cylinder,
    Dome,
    FaceGroove,
    Hole,
    Inside,
    Neck,
    Quarter,
    Round,
    Row,
    Sharp,
    Taper,
)
from toolpath.part.walls import least_wall

bores = st.integers(10, 220).map(lambda n: n / 10.0)
depths = st.integers(5, 100).map(lambda n: n / 10.0)
CHORD = 1e-4  # mm between arcs and the chords that stand for them


def neck(length: float, lean: float, foot: float) -> Neck:
    return Neck(dia=size(30.0), length=length, front_wall=lean, back_wall=lean, foot_radius=foot)


surfaces = st.one_of(
    st.builds(lambda d, n: Cylinder(dia=size(d), length=n), bores, depths),
    st.builds(lambda d, e, n: Taper(start=d, end=e + 0.05, length=n), bores, bores, depths),
    st.builds(curve, st.booleans(), st.tuples(bores, bores), depths, st.floats(0.05, 1.0)),
    st.builds(
        lambda b, d, r, up: Quarter(bulging=b, radius=r, rising=up, start=d),
        st.booleans(), bores, st.floats(0.3, 4.0), st.booleans(),
    ),
    st.builds(lambda d, r: Dome(start=d, end=0.0, radius=d / 2.0 + r), bores, st.floats(0.0, 5.0)),
    st.builds(neck, depths, st.floats(0.0, 0.5), st.floats(0.05, 0.4)),
)  # fmt: skip
corner_rows = st.one_of(
    st.builds(lambda r, on: Round(radius=r, on=on), st.floats(0.1, 2.0), st.sampled_from(["", "edge", "foot"])),
    st.builds(lambda c: Chamfer(size=c), st.floats(0.1, 2.0)),
    st.just(Sharp()),
)


@st.composite
def holes(draw: st.DrawFn, *, through: bool) -> Hole:
    floor = draw(st.sampled_from(["flat", "drilled", "round"]))
    made = "drilled" if floor == "drilled" else "bored"
    deep = None if through else draw(st.integers(20, 300)) / 10.0
    return Hole(dia=size(draw(bores)), deep=deep, floor=floor, made=made, point_angle=draw(st.floats(1.0, 2.6)))


@st.composite
def insides(draw: st.DrawFn) -> list[Inside]:
    """Rows of one end or of both, at most one of them going through; some have corners, some end in a hole."""
    through = draw(st.sampled_from(["", "front", "back"]))
    out: list[Inside] = []
    for end in draw(st.sampled_from([("front",), ("back",), ("front", "back")])):
        rows: list[Row] = list(draw(st.lists(st.one_of(surfaces, surfaces, corner_rows), max_size=3)))
        if end == through or not rows or draw(st.booleans()):
            rows.append(draw(holes(through=end == through)))
        out += [Inside(row, end == "back") for row in rows]
    return out


@st.composite
def grooves(draw: st.DrawFn) -> FaceGroove:
    inner, width = draw(dias), draw(depths)
    return FaceGroove(
        outer_dia=size(inner + 2.0 * width), inner_dia=size(inner), deep=draw(depths),
        inner_wall=draw(st.floats(0.0, 0.5)), foot_radius=draw(st.sampled_from([None, 0.2])),
        from_back=draw(st.booleans()),
    )  # fmt: skip


outsides = st.lists(st.builds(lambda d, n: Cylinder(dia=size(d), length=n), dias, depths), min_size=1, max_size=3)
edges = st.sampled_from([0.0, 0.2, 1.0])
any_part = settings(max_examples=60, deadline=None)


def built(outside: list[Cylinder], inside: list[Inside], face: list[FaceGroove], edge: float) -> HalfSection | None:
    """The half-section, or None where rows are refused by name."""
    rows = [Cylinder(dia=size(r.dia.value + 6.0), length=(r.length or 0.0) + 4.0) for r in outside]
    try:
        half = build(rows, inside=inside, face=face, break_edges=edge)
    except BadInput as e:
        assert e.where.startswith(("part.inside[", "part.face[", "part.outside")), str(e)
        event("refused")
        return None
    event("built")
    return half


def line(chain: object) -> LineString:
    return LineString(points_of(chain, CHORD))  # type: ignore[arg-type]


@any_part
@given(outsides, insides(), st.lists(grooves(), max_size=1), edges)
def test_any_part_is_one_sound_outline_or_is_refused(
    outside: list[Cylinder], inside: list[Inside], face: list[FaceGroove], edge: float
) -> None:
    half = built(outside, inside, face, edge)
    if half is None:
        return
    points = points_of(half.outline, CHORD)
    assert math.dist(points[0], points[-1]) <= 1e-9
    shape = Polygon(points)
    assert shape.is_valid and shape.exterior.is_ccw
    slack = CHORD * shape.exterior.length
    assert signed_area(half.outline) == pytest.approx(shape.area, abs=slack)
    # Pappus on the chorded copy: 2 pi times area times the distance of its centroid from the axis.
    chorded = 2.0 * math.pi * shape.area * shape.centroid.y
    assert half.volume() == pytest.approx(chorded, abs=2.0 * math.pi * slack * half.largest_dia / 2.0)


@any_part
@given(outsides, insides(), st.lists(grooves(), max_size=1), edges)
def test_chains_join_and_every_element_has_its_surface(
    outside: list[Cylinder], inside: list[Inside], face: list[FaceGroove], edge: float
) -> None:
    half = built(outside, inside, face, edge)
    if half is None:
        return
    for chain, surfaces, end in (
        (half.inside, half.inside_surfaces, half.outside[0].a),
        (half.inside_back, half.inside_back_surfaces, half.outside[-1].b),
    ):
        assert len(chain) == len(surfaces)
        if not chain:
            continue
        assert chain[0].a == end
        last = chain[-1].b
        other = half.inside_back if chain is half.inside else half.inside
        far = half.outside[-1].b if chain is half.inside else half.outside[0].a
        assert last[1] <= 1e-9 or last == (other[-1].b if other else far)
        for s in surfaces:
            assert s.of == "inside" and s.made in ("bored", "drilled", "reamed")
            row = None if s.row is None else inside[s.row].row
            if isinstance(row, Hole):
                assert s.made == row.made or s.name.startswith("inside shoulder")


@any_part
@given(outsides, insides(), st.lists(grooves(), max_size=1), edges)
def test_turned_round_is_the_same_metal_and_twice_is_nothing(
    outside: list[Cylinder], inside: list[Inside], face: list[FaceGroove], edge: float
) -> None:
    half = built(outside, inside, face, edge)
    if half is None:
        return
    once, twice = half.turned_round(), half.turned_round().turned_round()
    assert once.volume() == pytest.approx(half.volume(), rel=1e-9)
    assert (once.inside_surfaces, once.inside_back_surfaces) == (half.inside_back_surfaces, half.inside_surfaces)
    assert twice.surfaces == half.surfaces
    for a, b in ((twice.outside, half.outside), (twice.inside, half.inside), (twice.inside_back, half.inside_back)):
        assert len(a) == len(b)
        assert all(
            math.dist(e.point_at(t), f.point_at(t)) < 1e-9 for e, f in zip(a, b, strict=True) for t in (0, 0.5, 1)
        )


@any_part
@given(outsides, insides())
def test_the_least_wall_is_shapely_s_distance(outside: list[Cylinder], inside: list[Inside]) -> None:
    half = built(outside, inside, [], 0.0)
    if half is None:
        return
    wall = least_wall(half)
    assert wall is not None
    opened = {"front face": half.outside[0].a[1] > 0.0, "back face": half.outside[-1].b[1] > 0.0}
    around = [e for e, s in zip(half.outside, half.surfaces, strict=True) if not opened.get(s.name, False)]
    outer = MultiLineString([points_of((e,), CHORD) for e in around])
    hollow = [c for c in (half.inside, half.inside_back) if c]
    apart = min(line(c).distance(outer) for c in hollow)
    if len(hollow) == 2 and half.inside[-1].b != half.inside_back[-1].b:
        apart = min(apart, line(half.inside).distance(line(half.inside_back)))
    if apart > 2e-4:  # a mouth as wide as its face meets the outside, which is no wall
        assert wall.thick == pytest.approx(apart, abs=2.0 * CHORD)
    assert math.dist(wall.inside, wall.outside) == pytest.approx(wall.thick, abs=1e-9)
