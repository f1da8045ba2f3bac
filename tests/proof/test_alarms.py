"""A few random good jobs of each sort: no finding stops them. `count_alarms.py` beside it makes a thousand."""

from __future__ import annotations

import pytest

from tests.proof.alarms import Told, run


@pytest.mark.parametrize("sort", [0, 1, 2])
def test_good_jobs_are_not_stopped(sort: int) -> None:
    told = Told()
    for number in range(sort, sort + 30, 3):
        run(number, told)
    assert told.made >= 4 and not told.stops
    assert sum(told.seen.values()) > 5 * told.made
