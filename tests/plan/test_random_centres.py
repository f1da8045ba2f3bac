"""Parts drawn by number, in centres: their programs are proven and leave what the plans said, or it is told why not.

The numbers are such that end in a cylinder long enough for the dog or the collet, but for those that do not.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.plan.bench import faults, toml
from tests.plan.holdings import BETWEEN_CENTRES, PULLED_INTO_A_CENTRE
from tests.plan.test_centres import made
from tests.plan.test_random_jobs import rows
from toolpath.errors import HalfsectionError


def job(number: int, *, between: bool) -> str:
    """Rows between two cylinders of 14 mm, which a dog or a collet holds."""
    rng = random.Random(number)
    ends = [{"dia": rng.uniform(8.0, 20.0), "length": 14.0} for _ in range(2)]
    drawn = [ends[0], *(r for r in rows(rng) if "dome_to" not in r), ends[1]]
    long = sum(float(str(r.get("length", 0.0))) for r in drawn)
    outside = toml([{k: round(v, 3) if isinstance(v, float) else v for k, v in r.items()} for r in drawn])
    to = f"turn_to = {rng.uniform(5.0, long - 15.0):.3f}"
    in_one = PULLED_INTO_A_CENTRE.replace('centre = "running"', f'centre = "running"\n{to}')
    holds = BETWEEN_CENTRES.replace("turn_to = 90", to) if between else in_one
    return f"""\
break_edges = 0.2
thin = "warn"
[bar]
dia = 25
length = {long + (2.0 if between else 80.0):.3f}
[part]
outside = {outside}
inside = [ {{ centre = "A2" }}, {{ centre = "A2", from = "back" }} ]
[parting]
off = {str(not between).lower()}
{holds}"""


@pytest.mark.parametrize("number", [100, 102, 109, 112])
def test_between_centres(tmp_path: Path, number: int) -> None:
    assert faults(made(tmp_path, job(number, between=True))) == []


@pytest.mark.parametrize("number", [109, 110, 112])
def test_chuck_and_centre(tmp_path: Path, number: int) -> None:
    assert faults(made(tmp_path, job(number, between=False))) == []


@pytest.mark.parametrize("number", [101, 110])
def test_refused_with_a_plain_reason(tmp_path: Path, number: int) -> None:
    with pytest.raises(HalfsectionError, match=r"pin\.toml: set-up 4: the driving dog (takes|stands on)"):
        made(tmp_path, job(number, between=True))
