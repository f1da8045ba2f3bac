"""A workshop for these tests: the sample lathe and drawer, a part from its rows, and the whole road to its proof."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from posts.dialect import Dialect, load_dialect
from posts.reader import read
from posts.writer import Text, write
from toolpath.motion import ArcCut, Cut, Dwell, Move, Operation, Program, Rapid, SpindleChange, State, Step, ToolCall
from toolpath.motion import Stop as Wait
from toolpath.part.fitting import fits
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.stock import tube
from toolpath.part.words import outside_rows
from toolpath.plan.plan import Plan, plan
from toolpath.plan.request import Request
from toolpath.proof.findings import STOP
from toolpath.proof.prove import Proof, prove
from toolpath.proof.setting import Setting
from toolpath.shop.machine import Machine, load_machine
from toolpath.shop.materials import material
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

SAMPLES = Path(__file__).parents[2] / "samples"

__all__ = ["ArcCut", "Cut", "Dwell", "Rapid", "SpindleChange", "ToolCall", "Wait"]


@cache
def lathe() -> Machine:
    return load_machine(SAMPLES / "machines" / "bench.toml")


@cache
def drawer() -> tuple[Tool, ...]:
    """1 CCMT 0.4, 2 DCGT 0.2, 3 VCMT 0.2, 4 blade 2 wide, 5 left hand, 6 round 3."""
    return load_rack(SAMPLES / "racks" / "drawer.toml")


@cache
def words() -> Dialect:
    return load_dialect("g95")


def part(*rows: Mapping[str, object], break_edges: float = 0.0, bar: float = 0.0, length: float = 0.0) -> HalfSection:
    """The half-section of rows as a job file has them; bar, length: refuse what is larger than that bar, mm."""
    made = build(outside_rows({"outside": list(rows)}, unit="mm", names={}), break_edges=break_edges)
    if bar:
        fits(made, tube(bar, bore=0.0, length=length, front=0.0))
    return made


def request(
    made: HalfSection,
    *,
    dia: float = 25.0,
    bore: float = 0.0,
    length: float = 140.0,
    face_off: float = 1.0,
    **changes: Any,
) -> Request:
    """A bar of 25 x 140 brass in a collet, 1 mm to face, parted off to a stub of 1 mm."""
    plain = Request(
        title="Trial piece",
        part=made,
        stock=tube(dia, bore=bore, length=length, front=face_off),
        held_in="collet",
        stick_out=None,
        parted=True,
        stub=1.0,
        height_um=None,
        machine=lathe(),
        rack=drawer(),
        material=material("brass"),
    )
    return replace(plain, **changes)


def rack(*numbers: int) -> tuple[Tool, ...]:
    """Those tools of the drawer."""
    return tuple(t for t in drawer() if t.number in numbers)


@dataclass(frozen=True)
class Piece:
    """All that is known after the whole road: what was asked, planned, written, read back and proven."""

    asked: Request
    plan: Plan
    text: Text
    program: Program
    proof: Proof

    @property
    def stops(self) -> list[str]:
        return [f"{f.code} in line {f.line}: {f.text}" for f in self.proof.findings if f.rank == STOP]

    @property
    def left(self) -> float:
        """Thickest that the plan says it leaves, mm."""
        return max((r.thick for r in self.plan.left), default=0.0)

    def operation(self, kind: str) -> Operation:
        """The operation as it was read back from the text."""
        kinds = [op.kind for op in self.plan.operations]
        return self.program.operations[kinds.index(kind)]

    def planned(self, kind: str) -> Any:
        (found,) = [op for op in self.plan.operations if op.kind == kind]
        return found


def setting(asked: Request, planned: Plan) -> Setting:
    work = planned.work
    return Setting(
        stock=work.stock,
        part=(asked.part.outline,),
        goal=planned.goal,
        hold=work.hold.outlines,
        tools={t.number: t for t in asked.rack},
        machine=asked.machine,
        material=asked.material,
        last_digit=asked.machine.resolution,
        hold_max_rpm=asked.machine.chuck_max_rpm if asked.held_in == "chuck" else asked.machine.max_rpm,
    )


def made(asked: Request) -> Piece:
    """Plan, text, text read back, proof."""
    return run(asked, plan(asked))


def run(asked: Request, planned: Plan) -> Piece:
    """A plan as text, read back and proven."""
    text = write(planned.program, words())
    back = read(text.text, words(), noses={t.number: (t.nose_radius, t.tip) for t in asked.rack if t.point == "nose"})
    return Piece(asked, planned, text, back, prove(back, setting(asked, planned)))


def moves(operation: Operation) -> list[Move]:
    return [s for s in operation.steps if isinstance(s, Rapid | Cut | ArcCut)]


def cuts(operation: Operation) -> list[Cut | ArcCut]:
    return [s for s in operation.steps if isinstance(s, Cut | ArcCut)]


def state_of(step: Step) -> State:
    return step.state


def numbers(tools: Sequence[Tool]) -> list[int]:
    return [t.number for t in tools]
