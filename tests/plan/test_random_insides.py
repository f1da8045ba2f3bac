"""Any job with holes: its programs are proven and leave what the plans said, or it is refused with a plain reason.

Jobs are drawn by number, so that a failure is told by its number alone.
"""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest

from tests.plan.bench import FORGIVEN, faults, made, rack_without
from toolpath.errors import BadInput, CannotMake

CHORDS = 6e-5
"""mm that the proof's own broken lines may be off."""

JOBS = 24
BATCH = 6

PAST = (15, 47, 94, 251, 254, 324)
"""Jobs that once broke a promise: an outside that the first holding had turned altogether; the step that a reamer's
lead leaves in a blind hole; what roughing leaves at the end of a bore that goes on past the parting slot."""


def job(number: int) -> dict[str, Any]:
    """Job of that number, as `made` takes it."""
    rng = random.Random(number)
    length = rng.choice([8.0, 12.0, 18.0, 26.0])
    outer = rng.choice([16.0, 20.0, 24.0])
    tube = rng.random() < 0.4
    bore = rng.choice([6.0, 9.5, 11.5]) if tube else 0.0
    inside = _inside(rng, length=length, outer=outer, bore=bore)
    outside: list[dict[str, object]] = [{"dia": outer, "to": length}]
    if rng.random() < 0.4:
        step = length * rng.uniform(0.3, 0.7)
        outside = [{"dia": outer - 2.0, "to": step}, {"dia": outer, "to": length}]
    one = {"in": rng.choice(["collet", "chuck"])}
    two = rng.random() < 0.4
    gone = [n for n in (1, 3, 7, 8, 11) if rng.random() < 0.15]
    return {
        "bar": {"dia": outer + 1.0, "length": 110, **({"bore": bore} if tube else {})},
        "outside": outside,
        "inside": inside,
        "holdings": [one, {"in": "collet"}] if two else [one],
        "material": rng.choice(["brass", "mild steel", "aluminium", "acetal"]),
        "break_edges": rng.choice([0.0, 0.2, 0.4]),
        "thin": "warn",
        "parting": {"stub": rng.choice([0.0, 1.0, 2.0])} if rng.random() < 0.8 or two else {"off": False},
        "rack": rack_without(*gone),
    }


def _inside(rng: random.Random, *, length: float, outer: float, bore: float) -> list[dict[str, object]]:
    """A stepped hollow from the mouth inwards, blind or right through."""
    most = outer - 4.0
    dia = rng.choice([d for d in (8.0, 10.0, 12.0, 14.0, 16.0, 18.0) if d <= most and d >= bore] or [most])
    rows: list[dict[str, object]] = []
    if rng.random() < 0.2:
        rows.append({"chamfer": 0.5})
    if rng.random() < 0.35:
        hole = rng.choice([3.0, 5.0, 6.0, 8.0, 6.3])
        made_ = rng.choice(["drilled", "reamed"])
        through = bool(bore) or rng.random() < 0.5
        end: dict[str, object] = {"through": True} if through else {"deep": length * rng.uniform(0.3, 0.7)}
        return [*rows, {"hole": hole, "made": made_, **end}]
    at = rng.uniform(0.25, 0.5) * length
    rows.append({"dia": dia, "to": at})
    if rng.random() < 0.3 and dia + 2.0 <= most:
        rows += [{"neck": dia + 2.0, "length": 2.0}, {"dia": dia, "length": 1.5}]
        at += 3.5
    if rng.random() < 0.4:
        dia -= rng.choice([1.0, 2.0])
        at += rng.choice([1.0, 3.0])
        rows.append({"taper_to": dia, "to": at})
    if rng.random() < 0.3:
        rows.append({"dia": dia, "length": 1.0})
        at += 1.0
    if bore or rng.random() < 0.4:
        dia = max(dia - rng.choice([0.0, 2.0]), bore)
        return [*rows, {"dia": dia, "to": length}]
    floor = rng.choice(["flat", "flat", "flat", "round", "drilled"])
    rows.append({"hole": dia, "deep": min(at + rng.uniform(1.0, 4.0), length), "floor": floor, "made": "bored"})
    if floor == "flat" and rng.random() < 0.4:
        rows += [{"hole": 4.0, "through": True, "made": "drilled"}]
    return rows


def broken(number: int) -> tuple[str, list[str]]:
    """("made" or "refused", what job `number` breaks of the promises)."""
    try:
        done = made(**job(number))
    except (BadInput, CannotMake) as refused:
        told = str(refused)
        return "refused", [] if len(told) > 20 and "Error" not in told else [told]
    return "made", faults(done, gouge=FORGIVEN + CHORDS)


@pytest.mark.parametrize("first", range(0, JOBS, BATCH))
def test_any_job_is_proven_or_refused(first: int) -> None:
    told: Counter[str] = Counter()
    for number in range(first, first + BATCH):
        what, wrong = broken(number)
        told[what] += 1
        assert not wrong, f"job {number}: {wrong}"
    assert told["made"] >= 1, f"none of these jobs can be made: {told}"


@pytest.mark.parametrize("number", PAST)
def test_past_failures(number: int) -> None:
    assert broken(number)[1] == []
