"""Why metal stays: told in every set-up, also in the one after that which left it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.commands.conftest import Call
from toolpath.commands.report import FORESEEN, why_uncut
from toolpath.geometry.elements import Chain, polyline
from toolpath.plan.rest import Left

POINT = """\
title = "Point"
machine = "machines/bench.toml"
tools = "racks/drawer.toml"
material = "brass"
[bar]
dia = 25
length = 90
[[holding]]
in = "collet"
[[holding]]
in = "collet"
[part]
outside = [
  { chamfer = 0.5 },
  { dia = 16, to = 14 },
  { dia = 24, to = 22 },
  { taper_to = 14, to = 34 },
]
"""


@pytest.fixture
def made(bench: Path, call: Call) -> tuple[list[dict[str, Any]], str]:
    """The set-ups of a point that is turned round, and what was printed, its lines joined."""
    (bench / "point.toml").write_text(POINT, encoding="utf-8")
    code, out, err = call("make", "point.toml")
    assert (code, err) == (0, "")
    report = json.loads((bench / "point" / "point.json").read_text(encoding="utf-8"))
    return report["setups"], " ".join(out.split())


def test_what_the_first_holding_left_is_told_with_its_reason_in_the_second(
    made: tuple[list[dict[str, Any]], str],
) -> None:
    setups, out = made
    why = "the nose is larger than the hollow"
    assert [[u["why"] for u in s["uncut"]] for s in setups] == [[why], [f"set-up 1 left it: {why}"]]
    assert f"on dia 16 (part.outside[1]): set-up 1 left it: {why}" in out and "did not foresee" not in out


def test_only_the_corner_is_drawn_not_the_film_of_rounding_beside_it(made: tuple[list[dict[str, Any]], str]) -> None:
    """A nose of 0.2 mm leaves the corner before the shoulder at 14 mm: no farther than its radius, on either way."""
    for setup, shoulder in zip(made[0], (-14.0, -20.0), strict=True):
        (left,) = setup["uncut"]
        z, x = zip(*left["outline"], strict=True)
        assert max(abs(a - shoulder) for a in z) <= 0.2 and max(x) <= 8.2
        assert left["thick_mm"] == pytest.approx(0.2 * (1.0 - 0.5**0.5), abs=1e-3)


def square(z: float, x: float) -> Chain:
    return polyline([(z, x), (z + 1.0, x), (z + 1.0, x + 1.0), (z, x + 1.0)], close=True)


def test_the_nearest_place_that_a_plan_named_gives_the_reason() -> None:
    left = (Left(square(-5.0, 9.0), 0.1, "outside"), Left(square(-5.0, 3.0), 0.1, "inside"))
    assert why_uncut((-4.5, 3.5), left) == "inside"
    assert why_uncut((-4.5, 9.5), left) == "outside"
    assert why_uncut((-4.5, 9.9), (Left(square(-5.0, 10.2), 0.1, "above"), *left)) == "outside"
    assert why_uncut((-5.0 - 0.9 * FORESEEN, 4.2), left) == "inside"
    for at in ((-4.5, 6.5), (-5.0 - 1.1 * FORESEEN, 3.5), (-4.0 + FORESEEN, 4.0 + FORESEEN)):
        assert why_uncut(at, left).startswith("the plan did not foresee this"), at
