"""The scene: fixed layers, exact boxes, an axis of its own, and no coordinate that is none."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drawing.demo import COLLET, OUTSIDE, PART, demo
from toolpath.drawing.scene import LAYERS, Label, Mark, around, closed, off_axis, scene
from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Line, polyline


def test_layers_are_fixed_whatever_is_drawn():
    order = ["STOCK", "PART", "RAPID", "ROUGH", "FINISH", "GROOVE", "DRILL", "THREAD", "AXIS", "HOLDING", "UNCUT"]
    assert list(LAYERS) == order
    for s in (scene("", {}), scene("", {"UNCUT": [PART], "STOCK": [PART]}), demo()):
        assert [layer.name for layer in s.layers] == order


def test_a_scene_is_a_value():
    assert demo() == demo() and hash(demo()) == hash(demo())
    with pytest.raises(AttributeError, match="immutable"):
        demo().title = "other"


def test_box_takes_the_bulge_of_an_arc():
    dome = (Arc((0.0, -3.0), (0.0, 3.0), (0.0, 0.0), math.pi),)
    assert scene("", {"FINISH": [dome]}).bounds(("FINISH",)) == pytest.approx((0.0, -3.0, 3.0, 3.0))


def test_box_of_nothing_is_none():
    assert scene("", {}).bounds() is None
    assert demo().bounds(()) is None
    assert around([]) is None


def test_axis_is_added_along_part_metal_and_hold():
    (axis,) = demo()["AXIS"].strokes
    assert axis == (Line((-70.0 - 0.03 * 71.0, 0.0), (1.0 + 0.03 * 71.0, 0.0)),)


def test_an_axis_given_is_the_axis():
    mine = (Line((-10.0, 0.0), (10.0, 0.0)),)
    assert scene("", {"PART": [PART], "AXIS": [mine]})["AXIS"].strokes == (mine,)


def test_axis_of_a_drawing_without_metal_follows_the_paths():
    assert scene("", {"ROUGH": [(Line((0.0, 5.0), (-20.0, 5.0)),)]})["AXIS"].strokes[0][0].a[0] < -20.0
    assert scene("", {})["AXIS"].strokes == ()


def test_chains_without_an_element_are_left_out():
    assert scene("", {"ROUGH": [(), PART, ()]})["ROUGH"].strokes == (PART,)


def test_an_unknown_layer_is_refused_by_name():
    with pytest.raises(BadInput, match="no layer 'BORE'"):
        scene("", {"BORE": [PART]})
    with pytest.raises(BadInput, match="STOCK, PART, RAPID"):
        scene("", {}, labels={"part": [Label((0.0, 0.0), "x")]})


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_coordinates_must_be_numbers(bad):
    good = (0.0, 1.0)
    for chain in (
        (Line((bad, 0.0), good),),
        (Line(good, (0.0, bad)),),
        (Arc(good, (1.0, 0.0), (0.0, bad), -1.5),),
        (Arc(good, (1.0, 0.0), (0.0, 0.0), bad),),
    ):
        with pytest.raises(BadInput, match="ROUGH layer"):
            scene("", {"ROUGH": [chain]})
    with pytest.raises(BadInput, match="'gouge'"):
        scene("", {}, marks=[Mark((bad, 0.0), "gouge")])
    with pytest.raises(BadInput, match="FINISH layer"):
        scene("", {}, labels={"FINISH": [Label((0.0, bad), "x")]})


def test_outlines_and_open_paths():
    assert closed(PART) and closed(COLLET)
    assert not closed(OUTSIDE) and not closed((Line((0.0, 0.0), (1e-3, 0.0)),))
    assert closed(polyline([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (1e-12, 1e-12)]))


def test_a_section_has_no_edge_along_the_axis():
    assert off_axis(PART) == (OUTSIDE,)
    assert off_axis(COLLET) == (COLLET,)
    assert off_axis((Line((0.0, 0.0), (-5.0, 0.0)),)) == ()


def test_a_bored_part_keeps_its_whole_outline():
    ring = polyline([(0.0, 2.0), (0.0, 6.0), (-8.0, 6.0), (-8.0, 2.0)], close=True)
    assert off_axis(ring) == (ring,)


def test_a_groove_to_the_axis_parts_the_edges_in_two_runs():
    points = [(0.0, 0.0), (0.0, 5.0), (-4.0, 5.0), (-4.0, 0.0), (-5.0, 0.0), (-5.0, 5.0), (-9.0, 5.0), (-9.0, 0.0)]
    assert [len(run) for run in off_axis(polyline(points, close=True))] == [3, 3]


@settings(deadline=None)
@given(st.lists(st.tuples(*[st.floats(-1e3, 1e3)] * 4), min_size=1))
def test_box_around_boxes_holds_each(boxes):
    z0, x0, z1, x1 = around(boxes)
    assert all(z0 <= b[0] and x0 <= b[1] and z1 >= b[2] and x1 >= b[3] for b in boxes)
    assert (z0, x1) == (min(b[0] for b in boxes), max(b[3] for b in boxes))
