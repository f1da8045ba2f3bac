"""Approach frames: what is drawn at the lathe comes to stand as the tool sees it, and goes back unchanged."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import cutters, profiles
from toolpath.geometry.elements import Arc, Chain, Line, signed_area
from toolpath.geometry.frame import FACE, INSIDE, OUTSIDE, Frame

ALL = [f for plain in (OUTSIDE, INSIDE, FACE) for f in (plain, plain.mirrored())]


def test_points_as_the_design_has_them() -> None:
    """Outside (z, x), inside (z, -x), face (x, z)."""
    assert OUTSIDE.point((-3.0, 5.0)) == (-3.0, 5.0)
    assert INSIDE.point((-3.0, 5.0)) == (-3.0, -5.0)
    assert FACE.point((-3.0, 5.0)) == (5.0, -3.0)
    assert OUTSIDE.mirrored().point((-3.0, 5.0)) == (3.0, 5.0)
    assert FACE.mirrored().point((-3.0, 5.0)) == (-5.0, -3.0)


def test_a_convex_round_stays_convex_but_turns_its_sense_in_a_mirror() -> None:
    """The quarter from the face to a cylinder, travelled towards the chuck: G03 outside (program-language, c6)."""
    quarter = Arc((0.0, 15.0), (-5.0, 20.0), (-5.0, 15.0), math.pi / 2.0)
    assert OUTSIDE.element(quarter) == quarter
    bored = INSIDE.element(quarter)
    assert isinstance(bored, Arc) and bored.sweep == -math.pi / 2.0
    assert bored.point_at(0.5) == pytest.approx(INSIDE.point(quarter.point_at(0.5)))


@pytest.mark.parametrize("frame", ALL, ids=lambda f: f.name)
@given(keep=profiles(most=5))
@settings(max_examples=15, deadline=None)
def test_there_and_back_is_the_same_bytes(frame: Frame, keep: Chain) -> None:
    assert frame.back.chain(frame.chain(keep)) == keep
    assert frame.chain(frame.back.chain(keep)) == keep


@pytest.mark.parametrize("frame", ALL, ids=lambda f: f.name)
@given(keep=profiles(most=5), at=st.floats(0.0, 1.0))
@settings(max_examples=15, deadline=None)
def test_every_point_of_an_element_goes_where_a_point_goes(frame: Frame, keep: Chain, at: float) -> None:
    for e in keep:
        assert frame.element(e).point_at(at) == pytest.approx(frame.point(e.point_at(at)), abs=1e-9)
        assert frame.element(e).length == pytest.approx(e.length, abs=1e-12)


@pytest.mark.parametrize("frame", ALL, ids=lambda f: f.name)
@given(tool=cutters())
@settings(max_examples=15, deadline=None)
def test_an_outline_stays_counter_clockwise(frame: Frame, tool: Chain) -> None:
    assert signed_area(frame.outline(tool)) == pytest.approx(signed_area(tool), rel=1e-12)


def test_mirrored_twice_is_plain_and_flips_are_told() -> None:
    for frame in (OUTSIDE, INSIDE, FACE):
        twice = frame.mirrored().mirrored()
        assert (twice.a, twice.b, twice.c, twice.d) == (frame.a, frame.b, frame.c, frame.d)
        assert frame.mirrored().flips is not frame.flips
    assert [f.flips for f in (OUTSIDE, INSIDE, FACE)] == [False, True, True]


def test_a_line_is_a_line() -> None:
    assert FACE.element(Line((0.0, 1.0), (-2.0, 3.0))) == Line((1.0, 0.0), (3.0, -2.0))
