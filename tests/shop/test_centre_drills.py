"""Centre drills against the published centre holes of ISO 6411 and the geometry of their cone."""

from __future__ import annotations

import math

import pytest

from toolpath.errors import BadInput
from toolpath.shop.centre_drills import centre_drill
from toolpath.shop.hole_forms import centre

# A page of ISO 6411 centre holes: pilot, mouth, least depth of pilot and cone together, mm.
ISO_6411 = [
    (1.0, 2.12, 1.9), (1.6, 3.35, 2.9), (2.0, 4.25, 3.7), (2.5, 5.3, 4.6), (3.15, 6.7, 5.9), (4.0, 8.5, 7.4),
    (6.3, 13.2, 11.5), (10.0, 21.2, 18.4),
]  # fmt: skip


@pytest.mark.parametrize(("pilot", "mouth", "least"), ISO_6411)
def test_the_standard_mouth_is_as_deep_as_published(pilot: float, mouth: float, least: float) -> None:
    """Pilots are as long as ISO 866 makes them (from memory): the hole is at least as deep, by less than a pilot."""
    drill = centre(centre_drill(f"A{pilot:g}"))
    assert drill.hole is not None
    assert drill.hole.pilot[0] == pilot
    assert mouth <= drill.hole.mouth
    depth = drill.hole.depth_for_mouth(mouth)
    assert least <= depth < least + pilot
    assert math.isclose(depth - drill.hole.pilot[1], (mouth - pilot) / 2.0 * math.sqrt(3.0))  # 60 degree cone
    guarded = centre_drill(f"B{pilot:g}")
    assert guarded.guard[0] == mouth
    assert guarded.body > mouth


def test_sizes_as_people_write_them() -> None:
    assert centre_drill("a2") == centre_drill("A2x5") == centre_drill("A 2")
    assert centre_drill("A2").body == 5.0
    assert centre_drill("#3").pilot == pytest.approx(7 / 64 * 25.4, abs=1e-4)  # product data: 7/64 x 1/4 in
    assert centre_drill("#3").body == pytest.approx(25.4 / 4)
    assert centre_drill("BS5A").body == pytest.approx(12.7)  # product data: 7/32 x 1/2 in
    assert math.degrees(centre_drill("A2").cone) == pytest.approx(60)


@pytest.mark.parametrize(
    ("size", "what"),
    [
        ("A3", "there is no centre drill 'A3'. Did you mean 'A3.15'?"),
        ("A2x8", "there is no centre drill 'A2x8'. Did you mean 'A2'?"),
        ("R2", "the curved seat of type R is not known. Types A and B are"),
        ("quite wrong", "there is no centre drill"),
    ],
)
def test_sizes_that_there_are_not(size: str, what: str) -> None:
    with pytest.raises(BadInput) as caught:
        centre_drill(size)
    assert what in str(caught.value)
