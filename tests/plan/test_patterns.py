"""How the bulk is roughed: along z, along x or the contour, as asked or the quickest, and always proven."""

from __future__ import annotations

import re
from functools import cache

import pytest

from tests.plan.workshop import Piece, made, part, request
from toolpath.errors import CannotMake
from toolpath.part.halfsection import HalfSection
from toolpath.passes.legs import Pace
from toolpath.plan.plan import plan

FORGIVEN = 1e-4 + 0.0005
"""mm of gouge: 0.1 µm and half of the control's last digit of 0.001 mm."""

NEAR = 0.02
"""mm between what the plan says is left and what the proof finds."""


def disc() -> HalfSection:
    """A thin disc of 24 with a spigot of 8 in front of it: a lot of metal off its face, little along z."""
    return part({"dia": 8, "length": 2}, {"dia": 24, "length": 3})


def spool() -> HalfSection:
    """Two flanges: one wall looks at the chuck."""
    return part({"dia": 20, "length": 5}, {"dia": 12, "length": 10}, {"dia": 20, "length": 5})


@cache
def roughed(pattern: str | None) -> Piece:
    return made(request(disc(), pattern=pattern))


def straight(piece: Piece, axis: int) -> float:
    """mm of feed in the rough operation that go along one axis alone: 0 is z, 1 is x."""
    lines = [leg.path for leg in piece.planned("rough").legs if leg.pace is Pace.FEED]
    return sum(abs(e.b[axis] - e.a[axis]) for e in lines if abs(e.b[1 - axis] - e.a[1 - axis]) < 1e-6)


@pytest.mark.parametrize("pattern", [None, "along z", "along x", "contour"])
def test_every_pattern_is_proven_and_leaves_what_the_plan_says(pattern: str | None) -> None:
    piece = roughed(pattern)
    assert piece.stops == []
    assert piece.proof.gouge_mm <= FORGIVEN
    assert piece.proof.uncut_mm <= piece.left + NEAR


def test_asked_patterns_go_the_way_they_are_named() -> None:
    """Along x the cuts run across, from outside to the spigot of 8; along z they run the 2 mm of the spigot."""
    across, lengthways = roughed("along x"), roughed("along z")
    assert straight(across, 1) > straight(across, 0)
    assert straight(across, 1) > straight(lengthways, 1)


@pytest.mark.parametrize("pattern", ["along z", "along x", "contour"])
def test_because_says_the_pattern_and_that_it_was_asked_for(pattern: str) -> None:
    because = roughed(pattern).planned("rough").because
    assert re.search(rf"Roughed {pattern}, \d+\.\d min of feed; as asked$", because), because


def test_the_quickest_tells_the_minutes_of_the_other_way() -> None:
    because = roughed(None).planned("rough").because
    found = re.search(r"Roughed along ([xz]), (\d+\.\d) min of feed; along ([xz]) would take (\d+\.\d) min$", because)
    assert found, because
    assert {found[1], found[3]} == {"x", "z"}
    assert float(found[2]) <= float(found[4])


def test_the_quickest_is_the_one_that_the_proof_finds_quicker() -> None:
    def rough_seconds(pattern: str | None) -> float:
        piece = roughed(pattern)
        kinds = [op.kind for op in piece.plan.operations]
        return piece.proof.operations[kinds.index("rough")].seconds

    ways = {pattern: rough_seconds(pattern) for pattern in ("along z", "along x")}
    assert rough_seconds(None) == pytest.approx(min(ways.values()), rel=0.05)


def test_along_x_is_refused_where_a_surface_looks_at_the_chuck() -> None:
    with pytest.raises(CannotMake, match="look at the chuck") as told:
        plan(request(spool(), pattern="along x"))
    assert '"along z" or "contour"' in str(told.value), "it says what would do instead"


def test_along_x_is_no_choice_there_either() -> None:
    piece = made(request(spool()))
    assert "along x" not in piece.planned("rough").because
    assert piece.stops == []


def test_a_spool_is_roughed_along_its_contour() -> None:
    piece = made(request(spool(), pattern="contour"))
    assert piece.stops == []
    assert piece.proof.gouge_mm <= FORGIVEN
    assert piece.proof.uncut_mm <= piece.left + NEAR


@pytest.mark.parametrize("pattern", ["along z", "along x", "contour"])
def test_no_pass_is_planned_deeper_than_the_figures_allow(pattern: str) -> None:
    op = roughed(pattern).planned("rough")
    assert 0.0 < op.depth <= op.data.depth.value + 1e-6
    assert op.passes >= 2
