"""Scale, frame and rules of the page."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drawing.demo import PART
from toolpath.drawing.page import (
    PLOT_HEIGHT,
    PLOT_WIDTH,
    figure_text,
    graduations,
    page_for,
    round_scale,
    scale_text,
    step_for,
)
from toolpath.drawing.rules import CLOSEST, LONG, MIDDLE, SHORT, marks
from toolpath.drawing.scene import Mark, scene
from toolpath.geometry.elements import Line, polyline

# ISO 5455, preferred scales (from memory): 2, 5, 10, 20, 50 to 1, full size, and 1 to 2, 5, 10, 20, 50.
PREFERRED = [2.0, 5.0, 10.0, 20.0, 50.0, 1.0, 1 / 2.0, 1 / 5.0, 1 / 10.0, 1 / 20.0, 1 / 50.0]


@pytest.mark.parametrize("scale", PREFERRED)
def test_preferred_scales_are_among_the_round_ones(scale):
    assert round_scale(scale) == pytest.approx(scale, rel=1e-12)


@settings(deadline=None)
@given(st.floats(1e-5, 1e5))
def test_round_scale_is_the_next_below(most):
    scale = round_scale(most)
    assert most / 1.67 < scale <= most * (1.0 + 1e-9)
    big = max(scale, 1.0 / scale)
    assert round(2.0 * big / 10.0 ** math.floor(math.log10(big * (1.0 + 1e-9))), 6) in (2, 3, 4, 5, 6, 8, 10, 12, 16)


@pytest.mark.parametrize(
    ("scale", "words"), [(4.0, "4 : 1"), (1.0, "1 : 1"), (0.4, "1 : 2.5"), (1500.0, "1500 : 1"), (1 / 3.0, "1 : 3")]
)
def test_scale_in_words(scale, words):
    assert scale_text(scale) == words


@settings(deadline=None)
@given(st.floats(1e-3, 1e4), st.floats(2.0, 30.0))
def test_steps_leave_room_for_a_figure(scale, gap):
    step = step_for(scale, gap)
    assert gap * (1.0 - 1e-9) <= step * scale <= 2.5 * gap * (1.0 + 1e-9)
    assert round(step / 10.0 ** math.floor(math.log10(step) + 1e-9), 9) in (1.0, 2.0, 5.0)


def test_graduations_are_multiples():
    assert graduations(-1.0, 0.5, 0.5) == [-1.0, -0.5, 0.0, 0.5]
    assert graduations(-0.99, 0.49, 0.5) == [-0.5, 0.0]


@pytest.mark.parametrize(
    ("value", "step", "words"),
    [
        (-20.0, 5.0, "\N{MINUS SIGN}20"),
        (0.0, 5.0, "0"),
        (-0.0, 0.1, "0.0"),
        (0.30000000000000004, 0.1, "0.3"),
        (-1e-17, 0.05, "0.00"),
    ],
)
def test_figures_of_a_rule(value, step, words):
    assert figure_text(value, step) == words


def test_a_rule_is_graduated_long_middle_short():
    lengths = [long for _, long in marks(0.0, 10.0, 10.0, 2.0)]
    assert lengths == [LONG, SHORT, SHORT, SHORT, SHORT, MIDDLE, SHORT, SHORT, SHORT, SHORT, LONG]


@settings(deadline=None)
@given(st.floats(0.01, 100.0), st.floats(-100.0, 100.0))
def test_graduations_never_run_together(scale, low):
    step = step_for(scale, 8.0)
    values = [v for v, _ in marks(low, low + 12.0 * step, step, scale)]
    assert all((b - a) * scale >= CLOSEST * (1.0 - 1e-6) for a, b in pairwise(values))


def test_frame_always_fills_the_plots_width():
    for s in (scene("", {}), scene("", {"PART": [PART]}), scene("", {"RAPID": [(Line((0.0, 0.0), (900.0, 300.0)),)]})):
        page = page_for(s, 0.0)
        assert (page.frame[2] - page.frame[0]) * page.scale == pytest.approx(PLOT_WIDTH)
        assert PLOT_HEIGHT[0] - 1e-9 <= page.height <= PLOT_HEIGHT[1] + 1e-9


def test_a_slender_part_lies_in_the_middle_of_a_low_plot():
    needle = polyline([(-300.0, 0.0), (0.0, 0.0), (0.0, 1.0), (-300.0, 1.0)], close=True)
    page = page_for(scene("", {"PART": [needle]}), 0.0)
    assert page.height == pytest.approx(PLOT_HEIGHT[0])
    assert page.at((0.0, 0.0))[1] == pytest.approx(PLOT_HEIGHT[0] / 2.0, abs=1.0)


def test_cuts_past_the_centre_are_in_the_frame():
    deep = scene("", {"PART": [PART], "FINISH": [(Line((0.0, 12.0), (0.0, -9.0)),)]})
    assert page_for(deep, 0.0).frame[1] < -9.0


def test_marks_beside_the_part_are_in_the_frame():
    s = scene("", {"PART": [PART]}, marks=[Mark((30.0, 14.0), "here")])
    z0, x0, z1, x1 = page_for(s, 0.0).frame
    assert z0 < 30.0 < z1 and x0 < 14.0 < x1
