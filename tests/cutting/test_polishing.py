"""Abrasive steps: in their order, each finer, together what is left on; where abrasives have no place."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.cutting.polishing import _table, order_of, polish, told
from toolpath.errors import CannotMake
from toolpath.shop.materials import material, names

# P grade: mean grain, um. Rudd, "Sandpaper grit comparisons".
GRAIN = {"P80": 200, "P100": 162, "P120": 125, "P150": 100, "P180": 82, "P220": 68, "P240": 60, "P320": 46, "P400": 35,
         "P500": 30, "P600": 26, "P800": 22, "P1000": 18, "P1200": 15, "P1500": 13, "P2000": 10,
         "P2500": 8}  # fmt: skip


def test_grains_as_printed() -> None:
    assert _table()["um"] == GRAIN


def test_brass_from_the_usual_turned_finish() -> None:
    """What a grade takes on the diameter lies in the ranges of common practice: P240 0.02-0.05, P400 0.01-0.02,
    P600 0.005-0.01, finer less than 0.005."""
    found = polish(material("brass"), turned=6.3, wanted=2.0)
    assert [s.grade for s in found.steps] == ["P320", "P400", "P600", "P1200"]
    ranges = {"P320": (0.02, 0.05), "P400": (0.01, 0.02), "P600": (0.005, 0.01), "P1200": (0.0, 0.005)}
    assert all(ranges[s.grade][0] <= s.takes <= ranges[s.grade][1] for s in found.steps)
    assert found.takes == pytest.approx(0.05, abs=0.02)  # 0.05 mm before metal polishing, common practice


@pytest.mark.parametrize(
    ("name", "order"), [("brass", "metal"), ("acrylic", "plastic"), ("hard-rubber", "rubber"), ("hardwood", "wood")]
)
def test_each_has_its_papers(name: str, order: str) -> None:
    assert order_of(material(name)) == order


@given(st.sampled_from([n for n in names() if n != "magnesium"]), st.floats(1.0, 30.0), st.floats(0.5, 20.0))
def test_steps_get_finer_until_it_is_enough(name: str, turned: float, wanted: float) -> None:
    try:
        found = polish(material(name), turned=turned, wanted=wanted)
    except CannotMake as error:
        assert re.search("nothing to polish|the finest paper", str(error))
        return
    heights = [turned, *(s.leaves for s in found.steps)]
    assert heights == sorted(heights, reverse=True) and len(set(heights)) == len(heights)
    assert heights[-1] <= max(wanted, 0.8 * turned) and all(h > wanted for h in heights[:-1])
    assert found.takes == pytest.approx(sum(s.takes for s in found.steps)) and 0.0 < found.takes < 0.5
    lines = told(found)
    assert len(lines) == len(found.steps) + 6 and f"{found.takes:.3f} mm" in lines[0]


def test_the_rules_of_the_bench() -> None:
    """HSE engineering FAQs, UK MCA Safety Bulletin 21, SafeWork NSW: never by hand on a CNC lathe without a board."""
    words = " ".join(told(polish(material("brass"), turned=6.3, wanted=2.0)))
    for rule in ("off the machine", "drives isolated", "tools withdrawn", "backing board", "never wrapped", "no gloves",
                 "Cover the ways", "fits and threads"):  # fmt: skip
        assert rule in words


@pytest.mark.parametrize(
    ("name", "turned", "wanted", "why"),
    [
        ("magnesium", 6.3, 2.0, "its dust burns and explodes"),
        ("brass", 2.0, 3.2, "nothing to polish them to"),
        ("brass", 6.3, 0.2, "the finest paper for free-cutting brass leaves marks of 1 µm, 0.2 are wanted"),
    ],
)
def test_refusals(name: str, turned: float, wanted: float, *, why: str) -> None:
    with pytest.raises(CannotMake, match=why):
        polish(material(name), turned=turned, wanted=wanted)
