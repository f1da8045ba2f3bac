"""Good programs of the samples in every dialect, broken on purpose: which faults do harm, and which are found.

Harm is judged by `tests.oracles.replay` alone. Found is what a person would see of `halfsection prove`: the text can
not be read, or the proof refuses it.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest.mock import patch

from msgspec.structs import replace

from posts.dialect import Dialect
from tests.oracles import replay
from tests.proof.faults import faults
from toolpath.commands import proving
from toolpath.commands.given import read_given
from toolpath.commands.inputs import Inputs
from toolpath.commands.road import Made, MadeSetup, make, noses
from toolpath.errors import HalfsectionError
from toolpath.plan.operations import ByHand
from toolpath.plan.plan import Plan
from toolpath.plan.steps import tools_of
from toolpath.proof.findings import STOP
from toolpath.proof.prove import Uncut

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
DIALECTS = ("g95", "g99", "iso6983", "plain94")
SHOP_DIALECTS = ("g95", "plain94")  # a nose and a bar are the same whatever the words


@dataclass(frozen=True)
class Case:
    """A good program: its job's file, set-up and dialect, and all that it is proven against."""

    job: Path
    number: int
    inputs: Inputs
    dialect: Dialect
    setup: MadeSetup

    @property
    def name(self) -> str:
        return f"{self.job.stem}-{self.number} {self.dialect.name}"

    @property
    def text(self) -> str:
        return self.setup.text.text


@dataclass
class Count:
    """Numbers by kind: seeded, harmful, harmful and found, harmless and refused; missed: harmful, not found, named."""

    seeded: dict[str, int] = field(default_factory=dict)
    harmful: dict[str, int] = field(default_factory=dict)
    caught: dict[str, int] = field(default_factory=dict)
    refused: dict[str, int] = field(default_factory=dict)
    missed: list[str] = field(default_factory=list)

    def add(self, name: str, kind: str, *, harm: list[str], why: str) -> None:
        """harm, why: for what the oracle holds it to be spoiled, and for what the proof refuses it; empty for none."""
        for table, counts in (
            (self.seeded, True),
            (self.harmful, bool(harm)),
            (self.caught, bool(harm and why)),
            (self.refused, bool(why and not harm)),
        ):
            table[kind] = table.get(kind, 0) + counts
        if harm and not why:
            self.missed.append(f"{name}: {harm[0]}")


def shelf(folder: Path) -> Path:
    """A copy of the samples whose machine also stands for a control that sets units by G70 and G71."""
    shutil.copytree(SAMPLES, folder, dirs_exist_ok=True)
    machine = folder / "machines" / "bench.toml"
    machine.write_text(machine.read_text(encoding="utf-8") + "\nunits_by_g70_g71 = true\n", encoding="utf-8")
    return folder


def cases(folder: Path, jobs: list[str], dialects: tuple[str, ...] = DIALECTS) -> Iterator[Case]:
    """Every set-up of those jobs in those dialects that can say it."""
    for job in jobs:
        for post in dialects:
            file = folder / f"{job}.toml"
            try:
                made = make(file, sizes={}, material=None, post=post, stop_before_tools=False)
            except HalfsectionError:
                continue  # a thread where the control has no word for one
            for k, setup in enumerate(made.setups, start=1):
                yield Case(file, k, made.inputs, made.dialect, setup)


def bench_of(case: Case) -> replay.Bench:
    """The case as the oracle sees it."""
    plan, inputs = case.setup.plan, case.inputs
    return replay.bench(
        case.dialect.name,
        stock=case.setup.stock,
        part=(plan.request.part.outline,),
        hold=plan.work.hold.outlines,
        tools=(*inputs.tools, *tools_of(plan.operations)),
        sense=1 if inputs.machine.spindle_sense == "forward" else -1,
        hands={k: op.removes for k, op in enumerate(plan.operations, start=1) if isinstance(op, ByHand) and op.removes},
    )


_ALLOWED: dict[str, tuple[Uncut, ...]] = {}
_really = proving._allowed


def _allowed(planned: Plan, *rest: Any) -> tuple[Uncut, ...]:
    """What the planned program leaves, found once for all texts that are held against one plan."""
    key = f"{planned.request.digest} {planned.name} {rest[-1].name}"
    if key not in _ALLOWED:
        _ALLOWED[key] = _really(planned, *rest)
    return _ALLOWED[key]


def found(case: Case, text: str, folder: Path) -> str:
    """Why `prove` refuses the text in this case's set-up, or nothing."""
    file = folder / "edited.nc"
    file.write_text(text, encoding="ascii")
    try:
        given = read_given(file, case.dialect, noses(case.inputs.tools))
        with patch.object(proving, "_allowed", _allowed):
            done = proving._prove_one(
                given, case.setup.plan, case.setup.stock, inputs=case.inputs, dialect=case.dialect, quiet=True
            )
    except HalfsectionError as error:
        return f"read: {error}"
    return ", ".join(sorted({f.code for f in done.proof.findings if f.rank == STOP}))


def run(case: Case, count: Count, folder: Path, *, each: int, seed: int, shop: bool = True) -> None:
    """Seeds faults into one case and counts them. shop: those of rack and bar too, each a job made anew"""
    on = bench_of(case)
    good = replay.replay(case.text, on)
    assert not good.touched, f"{case.name}: {good.touched}"
    for fault in faults(case.text, each=each, seed=seed):
        why = found(case, fault.text, folder)
        # What a control makes of a text that can not be read is not known, so that it counts as harmful.
        readable = not why.startswith("read: ")
        harm = replay.harms(good, replay.replay(fault.text, on), on) if readable else ["it can not be read"]
        where = f"line {fault.line}: {fault.was!r} -> {fault.now!r}"
        count.add(f"{case.name}: {fault.kind}, {where}", fault.kind, harm=harm, why=why)
    for kind, where, other in _in_the_shop(case, folder) if shop else ():
        harm = replay.harms(good, replay.replay(case.text, bench_of(other)), on)
        count.add(f"{case.name}: {kind}, {where}", kind, harm=harm, why=found(other, case.text, folder))


RACK_FAULTS = (
    (r'(insert +=.*)02"', r'\g<1>04"'),
    (r'(insert +=.*)04"', r'\g<1>08"'),
    (r'(insert +=.*)04"', r'\g<1>02"'),
    (r"(nose_radius +=) 0\.2", r"\1 0.4"),
    (r"(corner +=) 0\.1", r"\1 0.2"),
)
JOB_FAULTS = ((r"^(dia +=) (\d+)$", 1.0), (r"^(face_off +=) ([\d.]+)", 1.0))


def _in_the_shop(case: Case, folder: Path) -> Iterator[tuple[str, str, Case]]:
    """The same text where the rack has other noses, or where the bar is 1 mm larger or stands out 1 mm more."""
    rack = (case.job.parent / "racks" / "drawer.toml").read_text(encoding="utf-8")
    job = case.job.read_text(encoding="utf-8")
    for before, after in RACK_FAULTS if case.dialect.name in SHOP_DIALECTS else ():
        if (other := _made(case, folder / "other", job=job, rack=re.sub(before, after, rack))) is not None:
            setup = replace(case.setup, plan=other.setups[case.number - 1].plan)
            yield "a wrong nose radius", f"{before} -> {after}", _with(case, other, setup)
    for pattern, more in JOB_FAULTS if case.number == 1 and case.dialect.name in SHOP_DIALECTS else ():
        larger = re.sub(pattern, lambda m, by=more: f"{m[1]} {float(m[2]) + by}", job, flags=re.MULTILINE)
        if larger != job and (other := _made(case, folder / "other", job=larger, rack=rack)) is not None:
            yield "stock 1 mm larger", pattern, _with(case, other, other.setups[0])


def _with(case: Case, other: Made, setup: MadeSetup) -> Case:
    return Case(case.job, case.number, other.inputs, case.dialect, setup)


def _made(case: Case, folder: Path, *, job: str, rack: str) -> Made | None:
    """The job made with those files; None where it can not be, so that no text is proven in it."""
    shutil.copytree(case.job.parent, folder, dirs_exist_ok=True)
    (folder / "racks" / "drawer.toml").write_text(rack, encoding="utf-8")
    (folder / case.job.name).write_text(job, encoding="utf-8")
    try:
        made = make(folder / case.job.name, sizes={}, material=None, post=case.dialect.name, stop_before_tools=False)
    except HalfsectionError:
        return None
    return made if len(made.setups) >= case.number else None
