"""Random good jobs, and what stops their programs: nothing may. Which rows, tools and frames they had is counted.

Three sorts take turns: outsides of any shape (`tests/plan/test_random_jobs.py`), stepped hollows in one or two set-ups
(`test_random_insides.py`), and here threads, tapped or cut with a point, inside and outside, and grooves in the face.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tests.plan import bench, test_random_insides, test_random_jobs, workshop
from toolpath.errors import HalfsectionError
from toolpath.plan.plan import Plan, plan
from toolpath.plan.steps import tools_of
from toolpath.proof.findings import STOP
from toolpath.proof.prove import Proof

SIZES = ("M6", "M8", "M8x1", "M10", "M10x1", "M12x1.5", "M14x1.5", "M16x1.5")


@dataclass
class Told:
    """made, refused: jobs. seen: how many made jobs had each kind of row, tool, frame. stops: false alarms, named."""

    made: int = 0
    refused: int = 0
    seen: Counter[str] = field(default_factory=Counter)
    looks: Counter[str] = field(default_factory=Counter)
    stops: list[str] = field(default_factory=list)


def run(number: int, told: Told) -> None:
    """Job of that number, made and proven down the whole road; one that can not be made counts as refused."""
    try:
        rows, proven = [_outside, _inside, _threaded][number % 3](number // 3)
    except HalfsectionError:
        told.refused += 1
        return
    told.made += 1
    kinds = {f"row {_kind(r)}" for r in rows}
    for planned, proof in proven:
        kinds |= {f"tool {t.kind}, {t.works}" for t in tools_of(planned.operations)}
        kinds |= {f"operation {t.kind}" for t in proof.operations if t.kind}
        told.looks.update(f.code for f in proof.findings if f.rank != STOP)
        told.stops += [f"job {number}: {f.code}, line {f.line}: {f.text}" for f in proof.findings if f.rank == STOP]
    told.seen.update(kinds)


Proven = Sequence[tuple[Plan, Proof]]
Rows = Sequence[Mapping[str, object]]


def _outside(number: int) -> tuple[Rows, Proven]:
    asked = test_random_jobs.job(number)
    piece = workshop.run(asked, plan(asked))
    return test_random_jobs.rows(random.Random(number)), [(piece.plan, piece.proof)]


def _inside(number: int) -> tuple[Rows, Proven]:
    return _made(test_random_insides.job(number))


def _threaded(number: int) -> tuple[Rows, Proven]:
    return _made(threaded(number))


def _made(job: dict[str, Any]) -> tuple[Rows, Proven]:
    done = bench.made(**job)
    rows = [*job["outside"], *({"inside": True, **r} for r in job.get("inside", ())), *job.get("face", ())]
    return rows, [(s.plan, s.proof) for s in done.setups]


def threaded(number: int) -> dict[str, Any]:
    """Job with a thread outside, one inside, or a groove in the face."""
    rng = random.Random(f"threaded {number}")
    size, long = rng.choice(SIZES), rng.choice([8.0, 10.0, 14.0])
    outer = float(size[1:].split("x")[0]) + rng.choice([2.0, 4.0, 6.0])
    cut_by = rng.choice(["point", "point", "die"])
    job: dict[str, Any] = {
        "bar": {"dia": outer + 1.0, "length": 90},
        "outside": [{"dia": outer, "to": long + 10.0}],
        "holdings": [{"in": rng.choice(["collet", "chuck"])}],
        "material": rng.choice(["brass", "mild steel", "aluminium"]),
        "thin": "warn",
    }
    sort = rng.choice(["outside", "outside", "inside", "face"])
    if sort == "outside":
        thread = {"thread": f"{size}-6g", "to": long, "undercut": True, "cut_by": cut_by}
        job["outside"] = [{"chamfer": 1.0}, thread, *job["outside"]]
    elif sort == "inside":
        wide = {"bar": {"dia": outer + 7.0, "length": 90}, "outside": [{"dia": outer + 6.0, "to": long + 10.0}]}
        job |= wide
        job["inside"] = [{"thread": f"{size}-6H", "to": long, "cut_by": "point"}]
    else:
        job["face"] = [{"groove": outer - 2.0, "inner_dia": max(outer - 8.0, 2.0), "deep": rng.choice([1.0, 2.0])}]
    return job


def _kind(row: Mapping[str, object]) -> str:
    names = ("thread", "hole", "neck", "groove", "dome_to", "taper_to", "bulge_to", "hollow_to", "radius", "chamfer")
    name = next((n for n in names if n in row and not (n == "radius" and len(row) > 1)), "dia")
    return f"{name}, inside" if row.get("inside") else name


def summary(told: Told) -> Iterator[str]:
    """Frequencies, and every false alarm."""
    yield f"{told.made} made and proven, {told.refused} refused with a reason, {len(told.stops)} false alarms"
    for name, count in sorted(told.seen.items()):
        yield f"  {name:40}{count:6d}"
    yield f"  advice: {dict(told.looks)}"
    yield from told.stops
