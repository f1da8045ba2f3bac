"""What must hold for any rows: one chain, exact arcs, rounds tangent, named corners kept."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from toolpath.errors import BadInput
from toolpath.geometry.corners import turn
from toolpath.geometry.elements import Arc, Line, points_of, signed_area
from toolpath.part.edges import BREAK_FROM
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.profile import profile
from toolpath.part.rows import Chamfer, CornerRow, Curve, Cylinder, Neck, Quarter, Round, Row, Sharp, SurfaceRow, Taper
from toolpath.quantity import Size

tenths = st.integers(1, 300).map(lambda n: n / 10.0)
dias = st.integers(60, 400).map(lambda n: n / 10.0)
lengths = st.integers(20, 200).map(lambda n: n / 10.0)
any_rows = settings(max_examples=100, deadline=None)


def size(dia: float) -> Size:
    return Size(dia, dia, dia, f"{dia:g}")


def curve(bulging: bool, ends: tuple[float, float], length: float, share: float) -> Curve:
    """An arc that can be drawn: its radius is its half chord and more."""
    half = math.hypot(length, (ends[1] - ends[0]) / 2.0) / 2.0
    return Curve(bulging=bulging, start=ends[0], end=ends[1], length=length, radius=half * (1.0 + 5.0 * share))


surfaces = st.one_of(
    st.builds(lambda d, n: Cylinder(dia=size(d), length=n), dias, lengths),
    st.builds(lambda d, e, n: Taper(start=d, end=e + 0.05, length=n), dias, dias, lengths),
    st.builds(curve, st.booleans(), st.tuples(dias, dias), lengths, st.floats(0.05, 1.0)),
    st.builds(
        lambda b, d, r: Quarter(bulging=b, radius=r, rising=True, start=d), st.booleans(), dias, st.floats(0.3, 4.0)
    ),
)
corner_rows = st.one_of(
    st.builds(lambda r, on: Round(radius=r / 5.0, on=on), tenths, st.sampled_from(["", "edge", "foot"])),
    st.builds(lambda c: Chamfer(size=c / 10.0), tenths),
    st.builds(lambda c, a: Chamfer(size=c / 20.0, angle=a), tenths, st.floats(0.2, 1.2)),
    st.just(Sharp()),
)
all_rows = st.lists(st.one_of(surfaces, surfaces, corner_rows), min_size=1, max_size=9)


def built(rows: list[Row], break_edges: float) -> HalfSection | None:
    """The half-section, or None where the rows are refused by name."""
    try:
        half = build(rows, break_edges=break_edges)
    except BadInput as e:
        assert str(e).startswith("part.outside"), str(e)
        event("refused")
        return None
    event("built")
    return half


@any_rows
@given(all_rows, st.sampled_from([0.0, 0.2, 1.0]))
def test_any_rows_make_one_sound_chain_or_are_refused(rows: list[Row], break_edges: float) -> None:
    half = built(rows, break_edges)
    if half is None:
        return
    assert half.outside[0].a == (0.0, 0.0) and half.outside[-1].b[1] == 0.0
    for e, f in pairwise(half.outline):
        assert math.dist(e.b, f.a) <= 1e-9
    for e in half.outside:
        assert e.length > 0.0
        if isinstance(e, Arc):
            assert abs(math.dist(e.a, e.centre) - math.dist(e.b, e.centre)) <= 1e-9 * max(1.0, e.radius)
    outline = Polygon(points_of(half.outline, 1e-4))
    assert outline.is_valid
    assert signed_area(half.outline) == pytest.approx(outline.area, rel=1e-3) and half.volume() > 0.0


@any_rows
@given(all_rows)
def test_every_element_knows_its_row_and_its_name(rows: list[Row]) -> None:
    half = built(rows, 0.3)
    if half is None:
        return
    assert len(half.surfaces) == len(half.outside)
    for e, s in zip(half.outside, half.surfaces, strict=True):
        assert s.name
        row = None if s.row is None else rows[s.row]
        if isinstance(row, Round):
            assert isinstance(e, Arc) and e.radius == pytest.approx(row.radius, abs=1e-7)
        elif isinstance(row, Chamfer):
            assert isinstance(e, Line)
        elif isinstance(row, Cylinder):
            assert s.dia is row.dia or s.name.startswith("shoulder")
        elif row is None:
            assert s.name in ("front face", "back face") or s.name.startswith("broken edge")


@any_rows
@given(all_rows)
def test_rounds_are_tangent_to_what_stands_beside_them(rows: list[Row]) -> None:
    half = built(rows, 0.0)
    if half is None:
        return
    corners = sum(isinstance(r, Chamfer | Round) for r in rows)
    if len(half.outside) < len(profile(rows, where="").pieces) + corners:
        return  # a surface used up to its last hair: the round meets the next corner, not its own neighbour
    for (e, s), (f, r) in pairwise(zip(half.outside, half.surfaces, strict=True)):
        rounds = [k for k in (s.row, r.row) if k is not None and isinstance(rows[k], Round)]
        assert not rounds or abs(turn(e, f)) <= 1e-4, (s.name, r.name)


@any_rows
@given(all_rows)
def test_broken_edges_remove_no_named_corner_and_leave_none_standing(rows: list[Row]) -> None:
    plain, broken = built(rows, 0.0), built(rows, 0.2)
    assert (plain is None) == (broken is None)  # breaking edges never makes a part impossible
    if plain is None or broken is None:
        return
    named = [s.row for s in plain.surfaces if s.row is not None and isinstance(rows[s.row], CornerRow)]
    assert named == [s.row for s in broken.surfaces if s.row is not None and isinstance(rows[s.row], CornerRow)]
    assert broken.volume() <= plain.volume() + 1e-9
    for (e, s), (f, r) in pairwise(zip(broken.outside, broken.surfaces, strict=True)):
        stands = turn(e, f) > BREAK_FROM + 1e-9
        by_chamfer = any("edge" in x.name or "chamfer" in x.name for x in (s, r))
        tiny = min(e.length, f.length) / 3.0 < 0.2
        assert not stands or by_chamfer or tiny or any(isinstance(x, Sharp) for x in rows), (s.name, r.name)


@any_rows
@given(st.lists(surfaces, min_size=1, max_size=6))
def test_sharp_surfaces_turned_round_are_the_same_solid(rows: list[SurfaceRow]) -> None:
    half = built(list(rows), 0.2)
    if half is None:
        return
    other = half.turned_round()
    assert other.volume() == pytest.approx(half.volume(), rel=1e-9)
    assert other.surface_length == pytest.approx(half.surface_length, rel=1e-9)
    assert (other.largest_dia, other.smallest_dia) == (
        pytest.approx(half.largest_dia),
        pytest.approx(half.smallest_dia),
    )
    assert all(math.dist(e.b, f.a) <= 1e-9 for e, f in pairwise(other.outline))


@any_rows
@given(dias, lengths, st.integers(1, 200), st.integers(1, 40), st.floats(0.0, 0.7))
def test_a_neck_between_cylinders_keeps_its_mouth(dia: float, length: float, deep: int, foot: int, lean: float) -> None:
    floor = max(dia - deep / 10.0, 1.0)
    neck = Neck(dia=size(floor), length=length, front_wall=lean, back_wall=lean, foot_radius=foot / 40.0)
    half = built([Cylinder(dia=size(dia), length=5.0), neck, Cylinder(dia=size(dia), length=5.0)], 0.0)
    if half is None:
        return
    assert half.length == pytest.approx(10.0 + length)
    assert half.smallest_dia == pytest.approx(floor)
    assert half.outside[2].a == pytest.approx((-5.0, dia / 2.0))
    arcs = [e for e in half.outside if isinstance(e, Arc)]
    assert len(arcs) == 2 and all(e.radius == pytest.approx(foot / 40.0) and e.sweep < 0.0 for e in arcs)
