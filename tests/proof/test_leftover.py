"""What stands and should not: only where it is thicker than the tolerance, however thin films of rounding join it."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.proof.measure import Surface, region
from toolpath.proof.removal import leftover
from toolpath.proof.setting import FINE

from tests.proof.bench import box  # isort: skip

LEAST = 6e-4
GOAL = region((box(-30.0, 0.0, 8.0),))
FILM = shapely.box(-30.0, 8.0, 0.0, 8.0003)


def regions(*left: shapely.Geometry) -> list[tuple[shapely.Geometry, float]]:
    stands = shapely.union_all([GOAL, *left])
    (worst, _), found = leftover(stands, GOAL, Surface.of(GOAL), least=LEAST)
    assert all(size <= worst + 1e-9 for _, (size, _) in found)
    return [(piece, size) for piece, (size, _) in found]


def test_a_film_thinner_than_the_tolerance_is_none() -> None:
    assert regions(FILM) == []


def test_a_corner_is_told_without_the_film_that_runs_on_from_it() -> None:
    ((piece, size),) = regions(FILM, shapely.box(-14.0, 8.0, -13.9, 8.05))
    z0, x0, z1, x1 = shapely.bounds(piece)
    assert size == pytest.approx(0.05)
    assert (z0, x0, z1, x1) == pytest.approx((-14.0, 8.0 + LEAST, -13.9, 8.05), abs=1e-9)


def test_two_corners_that_a_film_joins_are_two_the_thicker_first() -> None:
    found = regions(FILM, shapely.box(-14.0, 8.0, -13.9, 8.05), shapely.box(-3.0, 8.0, -2.9, 8.02))
    assert [round(size, 6) for _, size in found] == [0.05, 0.02]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 14), st.floats(1e-4, 0.5)), min_size=1, max_size=6, unique_by=lambda h: h[0]))
def test_every_heap_above_the_tolerance_is_one_region_as_high_as_it_is(heaps: list[tuple[int, float]]) -> None:
    """Heaps 1 mm wide, 2 mm apart, on a film."""
    found = regions(FILM, *(shapely.box(-2.0 * k - 1.5, 8.0, -2.0 * k - 0.5, 8.0 + high) for k, high in heaps))
    sure = sorted((high for _, high in heaps if high > LEAST + 3.0 * FINE), reverse=True)
    unsure = [high for _, high in heaps if LEAST < high <= LEAST + 3.0 * FINE]
    assert len(sure) <= len(found) <= len(sure) + len(unsure)
    assert [size for _, size in found[: len(sure)]] == pytest.approx(sure, rel=2e-3, abs=1.1e-4)
