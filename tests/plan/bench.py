"""A job as a person writes it, made down the whole road: its file, every set-up's text, and each one's proof."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import shapely

from tests.plan.workshop import SAMPLES
from toolpath.commands.road import Made, MadeSetup, make
from toolpath.geometry.elements import Chain, points_of
from toolpath.proof.findings import STOP

FORGIVEN = 1e-4 + 0.0005
"""mm of gouge: 0.1 µm and half of the control's last digit of 0.001 mm."""

NEAR = 0.02
"""mm between what the plan says is left and what the proof finds."""

PLACED = 0.002
"""mm between what a set-up leaves and what the next one starts from (the report's own promise)."""

Row = Mapping[str, object]


@cache
def machine_text() -> str:
    return (SAMPLES / "machines" / "bench.toml").read_text(encoding="utf-8")


@cache
def rack_text() -> str:
    return (SAMPLES / "racks" / "drawer.toml").read_text(encoding="utf-8")


def rack_without(*numbers: int) -> str:
    """The drawer without those numbered tools."""
    blocks = re.split(r"(?m)^(?=\[\[)", rack_text())
    gone = tuple(re.compile(rf"(?m)^number += {n}$") for n in numbers)
    return "".join(b for b in blocks if not any(g.search(b) for g in gone))


def job_text(
    *,
    outside: Sequence[Row],
    inside: Sequence[Row] = (),
    face: Sequence[Row] = (),
    bar: Row | None = None,
    holdings: Sequence[Row] = (),
    **tables: object,
) -> str:
    """A job file. tables: more keys and tables, as `parting={"off": False}`."""
    keys = {"title": "Trial piece", "machine": "machine.toml", "tools": "rack.toml", "material": "brass"}
    keys = {**keys, "break_edges": 0.2, **{k: v for k, v in tables.items() if not isinstance(v, Mapping)}}
    lines = [f"{k} = {toml(v)}" for k, v in keys.items()]
    lines += ["[bar]", *(f"{k} = {toml(v)}" for k, v in (bar or {"dia": 25, "length": 90}).items())]
    lines += ["[part]", f"outside = {toml(list(outside))}"]
    lines += [f"{name} = {toml(list(rows))}" for name, rows in (("inside", inside), ("face", face)) if rows]
    for holding in holdings:
        lines += ["[[holding]]", *(f"{k} = {toml(v)}" for k, v in holding.items())]
    for name, table in tables.items():
        if isinstance(table, Mapping):
            lines += [f"[{name}]", *(f"{k} = {toml(v)}" for k, v in table.items())]
    return "\n".join(lines) + "\n"


def toml(value: object) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{k} = {toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, Sequence):
        return "[ " + ", ".join(toml(v) for v in value) + " ]"
    return repr(value)


def made(*, machine: str = "", rack: str = "", **job: Any) -> Made:
    """The job of `job_text`, made. machine, rack: text of the files instead of the samples'."""
    with TemporaryDirectory() as folder:
        at = Path(folder)
        (at / "machine.toml").write_text(machine or machine_text(), encoding="utf-8")
        (at / "rack.toml").write_text(rack or rack_text(), encoding="utf-8")
        (at / "trial.toml").write_text(job_text(**job), encoding="utf-8")
        return make(at / "trial.toml", sizes={}, material=None, post=None, stop_before_tools=False)


def kinds(setup: MadeSetup) -> list[str]:
    return [op.kind for op in setup.plan.operations]


def left(setup: MadeSetup) -> float:
    """Thickest that the plans up to this one say they leave, mm."""
    return max((r.thick for r in setup.left), default=0.0)


def faults(done: Made, *, gouge: float = FORGIVEN, near: float = NEAR) -> list[str]:
    """What a made job breaks of the promises, in words."""
    out = []
    for k, s in enumerate(done.setups, start=1):
        out += [f"{k}: {f.code} in line {f.line}: {f.text}" for f in s.proof.findings if f.rank == STOP]
        if s.proof.gouge_mm > gouge:
            out.append(f"{k}: gouge of {1000.0 * s.proof.gouge_mm:.2f} µm")
        if s.proof.uncut_mm > left(s) + near:
            out.append(f"{k}: {s.proof.uncut_mm:.3f} mm uncut, the plan says {left(s):.3f}")
    if not done.refused and len(done.setups) != len(done.inputs.job.holdings):
        out.append(f"{len(done.setups)} set-ups of {len(done.inputs.job.holdings)}")
    for before, after in zip(done.setups, done.setups[1:], strict=False):
        apart = between(before, after)
        if apart > PLACED:
            out.append(f"the stock of the next set-up is {1000.0 * apart:.1f} µm off what was left")
    return out


def area(outline: Chain | Sequence[tuple[float, float]]) -> shapely.Polygon:
    """An outline, exact or flattened, as a flattened area."""
    if outline and hasattr(outline[0], "bounds"):
        return shapely.Polygon(points_of(outline, 1e-4))  # type: ignore[arg-type]
    return shapely.Polygon(outline)


def between(before: MadeSetup, after: MadeSetup) -> float:
    """Distance between what a set-up left and what the next starts from, turned round by hand here, mm."""
    pieces = [p.outline for p in before.proof.parted] or list(before.proof.result)
    length = before.plan.request.part.length
    turned = before.plan.request.turned_round != after.plan.request.turned_round
    placed = [area([(-length - z, x) if turned else (z, x) for z, x in p]) for p in pieces]
    stock = shapely.union_all([area(o) for o in after.stock])
    return float(shapely.hausdorff_distance(shapely.union_all(placed).boundary, stock.boundary))


def standing(setup: MadeSetup) -> shapely.Geometry:
    """The finished piece of a set-up as the proof saw it: what came off, else what stands."""
    pieces = [p.outline for p in setup.proof.parted] or list(setup.proof.result)
    return shapely.union_all([area(p) for p in pieces])
