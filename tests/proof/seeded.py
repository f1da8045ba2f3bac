"""Good programs of the samples in every dialect, broken on purpose: which faults do harm, and which are found.

Harm is judged by `tests.oracles.replay` alone. Found is what a person would see of `halfsection prove`: the text can
not be read, or the proof refuses it.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest.mock import patch

from posts.dialect import Dialect
from tests.oracles import replay
from tests.proof.faults import Fault, faults
from toolpath.commands import proving
from toolpath.commands.given import read_given
from toolpath.commands.inputs import Inputs
from toolpath.commands.road import MadeSetup, make, noses
from toolpath.errors import HalfsectionError
from toolpath.plan.operations import ByHand
from toolpath.plan.steps import tools_of
from toolpath.plan.plan import Plan
from toolpath.proof.findings import STOP
from toolpath.proof.prove import Uncut

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
DIALECTS = ("g95", "g99", "iso6983", "plain94")


@dataclass(frozen=True)
class Case:
    """A good program: its job's file, set-up and dialect, and all that it is proven against."""

    job: Path
    number: int
    inputs: Inputs
    dialect: Dialect
    setup: MadeSetup
    before: tuple[str, ...]

    @property
    def name(self) -> str:
        return f"{self.job.stem}-{self.number} {self.dialect.name}"

    @property
    def text(self) -> str:
        return self.setup.text.text


@dataclass
class Count:
    """Numbers by kind: seeded, harmful, harmful and found, harmless but found; missed and needless: named."""

    seeded: dict[str, int] = field(default_factory=dict)
    harmful: dict[str, int] = field(default_factory=dict)
    caught: dict[str, int] = field(default_factory=dict)
    refused: dict[str, int] = field(default_factory=dict)
    missed: list[str] = field(default_factory=list)

    def add(self, kind: str, *, harmful: bool, found: bool) -> None:
        for table, counts in (
            (self.seeded, True),
            (self.harmful, harmful),
            (self.caught, harmful and found),
            (self.refused, found and not harmful),
        ):
            table[kind] = table.get(kind, 0) + counts


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
            before: tuple[str, ...] = ()
            for k, setup in enumerate(made.setups, start=1):
                yield Case(file, k, made.inputs, made.dialect, setup, before)
                before = (*before, setup.text.text)


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
    key = f"{planned.request.title} {planned.name} {rest[-1].name}"
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


def run(case: Case, count: Count, folder: Path, *, each: int, seed: int) -> None:
    """Seeds faults into one case and counts them."""
    on = bench_of(case)
    good = replay.replay(case.text, on)
    assert not good.touched, f"{case.name}: {good.touched}"
    for fault in faults(case.text, each=each, seed=seed):
        why = found(case, fault.text, folder)
        harm = _harm(good, fault, on, readable=not why.startswith("read: "))
        count.add(fault.kind, harmful=bool(harm), found=bool(why))
        if harm and not why:
            count.missed.append(f"{case.name}: {fault.kind}, line {fault.line}: {fault.was!r} -> {fault.now!r}: {harm[0]}")


def _harm(good: replay.Outcome, fault: Fault, on: replay.Bench, *, readable: bool) -> list[str]:
    """What an unreadable text does is not known: a control may refuse it or run it, so that it counts as harmful."""
    return replay.harms(good, replay.replay(fault.text, on), on) if readable else ["it can not be read"]

