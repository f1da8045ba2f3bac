"""Full-form inserts against the thread they are asked for: pitch, angle, crest and root must be its own."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.cutting.full_form import crest_left, refuse_other_form
from toolpath.cutting.thread_form import ThreadForm, tool_depth
from toolpath.errors import CannotMake
from toolpath.shop.tools import FullForm, Tool

HALF = math.radians(30.0)
# M10x1-6g: crests 9.794 to 9.974, pitch line 9.268, root of the nut 8.917, least root 8.596 (ISO 965-1, ISO 68-1).
FORM = ThreadForm(5.037, 4.634, 4.4587, 1.0, HALF, crests=(4.897, 4.987), deepest=4.298)


@pytest.fixture
def insert(drawer: dict[int, Tool]) -> Tool:
    """Root radius H/6, height 0.613435 P (ISO 68-1)."""
    return replace(drawer[9], nose_radius=0.144338, width=0.0, full=FullForm(1.0, 0.613435))


def whole(tool: Tool, form: ThreadForm) -> float:
    return tool_depth(form, flat=tool.width, radius=tool.nose_radius).value


def test_an_insert_of_the_thread_passes_and_leaves_its_crest_three_eighths_of_h_over_the_pitch_line(
    insert: Tool,
) -> None:
    """3/8 H = 0.324760 P: 9.268 + 0.6495 = 9.9175, within 9.794 to 9.974."""
    refuse_other_form(insert, FORM, whole(insert, FORM))
    assert 2.0 * crest_left(insert, FORM, whole(insert, FORM)) == pytest.approx(9.268 + 2.0 * 0.324760, abs=1e-4)


@given(st.floats(-0.03, 0.03), st.floats(0.03, 0.3))
def test_how_much_stock_is_on_changes_nothing_of_the_crest(off: float, stock: float) -> None:
    tool = FullForm(1.0, 0.613435)
    form = replace(FORM, pitch=FORM.pitch + off, crest=FORM.crests[1] + stock if FORM.crests else 0.0)
    deep = tool_depth(form, flat=0.0, radius=0.144338).value
    left = form.crest - (deep - tool.crest)
    assert left == pytest.approx(form.pitch + 0.324760, abs=1e-5)


def test_a_point_leaves_crests_as_they_are(drawer: dict[int, Tool]) -> None:
    assert crest_left(drawer[9], FORM, 0.7) == FORM.crest


REFUSED = [
    ({"full": None}, {}, "leaves crests as they are turned, and a full-form insert is asked for"),
    ({}, {"crests": None}, 'cuts crests too and wants stock left on: write cut_by = "full form"'),
    ({}, {"lead": 1.25}, "has the full form of a pitch of 1 mm, the thread has 1.25"),
    ({"full": FullForm(1.0, 0.70)}, {}, "leaves crests of dia 10.091 when the pitch diameter is "
     "right, and they lie between 9.794 and 9.974"),
    ({"full": FullForm(1.0, 0.53)}, {}, "leaves crests of dia 9.751"),
    ({"nose_radius": 0.02, "full": FullForm(1.0, 0.737772)}, {}, "comes to dia 8.442 at the root, and "
     "a sound thread goes to 8.596"),
]  # fmt: skip


@pytest.mark.parametrize(("tool", "form", "said"), REFUSED)
def test_another_one_is_refused_with_figures(
    insert: Tool, tool: dict[str, object], form: dict[str, object], said: str
) -> None:
    other, asked = replace(insert, **tool), replace(FORM, **form)
    with pytest.raises(CannotMake) as error:
        refuse_other_form(other, asked, whole(other, asked))
    assert said in str(error.value)


def test_19_to_the_inch_is_a_pitch_of_1_337(insert: Tool) -> None:
    form = replace(FORM, lead=25.4 / 19.0, crests=(0.0, 9.0), deepest=0.0)
    refuse_other_form(replace(insert, full=FullForm(1.337, 0.8)), form, 0.9)
