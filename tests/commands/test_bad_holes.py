"""Holes, holds and walls that can not be, on the whole road: one message that names both offenders and by how much."""

from __future__ import annotations

from typing import Any

import pytest

from tests.plan.bench import made
from toolpath.errors import BadInput, CannotMake

COLLET = {"in": "collet"}
BUSH: list[dict[str, Any]] = [{"dia": 12, "to": 20}]
STEPPED: list[dict[str, Any]] = [{"dia": 12, "to": 10}, {"dia": 18, "to": 22}, {"dia": 10, "to": 30}]

REFUSED: dict[str, tuple[dict[str, Any], tuple[str, ...]]] = {
    "holes that miss each other": (
        {
            "outside": BUSH,
            "inside": [{"hole": 6, "through": True}, {"hole": 4, "deep": 6, "from": "back"}],
            "holdings": [COLLET, COLLET],
        },
        ("part.inside[0]: a hole of dia 6", "the hollow from the other end, which is dia 4", "2 mm too narrow"),
    ),
    "holes that overlap": (
        {
            "outside": BUSH,
            "inside": [{"hole": 6, "deep": 12}, {"hole": 4, "deep": 9, "from": "back"}],
            "holdings": [COLLET, COLLET],
        },
        # Points of 118 degrees count: 9 + 2 / tan 59 and 12 + 3 / tan 59 in 20 mm.
        ("comes 10.2017 mm deep", "from the other end 13.8026 mm", "they overlap by 4.0043 mm"),
    ),
    "a hole deeper than the drill's flutes": (
        {"outside": [{"dia": 20, "to": 44}], "inside": [{"hole": 2.5, "deep": 40}], "bar": {"dia": 22, "length": 110}},
        # 2.5 mm of its 30 mm of flutes stay outside; the point is 2.5 / 2 / tan 59 long.
        ("drill 2.5 mm", "has 30 mm of flutes", "can not go 40.7511 mm deep", "13.3 mm too deep"),
    ),
    "a bore that no bar enters": (
        {"outside": [{"dia": 16, "to": 20}], "inside": [{"dia": 4.6, "to": 20}], "bar": {"dia": 18, "length": 90}},
        ("the hole of 3.99 mm", "T8: a bar of 4 mm can not enter a 3.9878 mm hole", "1.01 mm too small"),
    ),
    "a bar too short for its bore": (
        {"outside": [{"dia": 16, "to": 20}], "inside": [{"dia": 8, "to": 20}], "bar": {"dia": 18, "length": 90}},
        ("T8: it stands out 16 mm", "can not go 22.50 mm deep"),
    ),
    "a grip on air": (
        {
            "outside": STEPPED,
            "bar": {"dia": 20, "length": 90},
            "holdings": [COLLET, {**COLLET, "grip": "part", "held": [31, 36]}],
        },
        ("set-up 2: from z 1.00 to 6.00 mm there is no one cylinder to hold", "the work has: 12 from z -29.80"),
    ),
    "a step that the first set-up has turned away": (
        {
            "outside": [{"dia": 18, "to": 22}, {"dia": 10, "to": 30}],
            "bar": {"dia": 20, "length": 90},
            "holdings": [COLLET, {**COLLET, "grip": "part", "held": [24, 29]}],
        },
        ("set-up 2: the work can not be held from z -6.00 to -1.00 mm", "the tools come to z -10.20 mm"),
    ),
    "a wall that is less than none under a thread": (
        {
            "outside": [{"thread": "M10x1-6g", "to": 12, "no_start": True}, {"dia": 14, "to": 20}],
            "inside": [{"hole": 9, "through": True}],
        },
        ("M10x1 goes 0.644 mm deep", "the wall to", "is 0.3929 mm thick", "nothing is left under its root"),
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_one_message_names_both_and_by_how_much(name: str) -> None:
    job, words = REFUSED[name]
    with pytest.raises((BadInput, CannotMake)) as told:
        made(**{"bar": {"dia": 16, "length": 80}, "holdings": [COLLET], **job})
    assert all(w in str(told.value) for w in words), str(told.value)
