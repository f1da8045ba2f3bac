"""The program of a set-up once more, cut up into one program a tool: each whole in itself, proven as they follow.

For a control that holds few lines, or a person who wants to look and measure between tools with nothing waiting.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from posts.cycle_fitting import plain
from posts.dialect import Dialect
from posts.reader import read
from posts.writer import write
from toolpath.commands.road import Made, MadeSetup, Part, noses, setting
from toolpath.motion import End, Operation, Program
from toolpath.plan.dry import dry_run
from toolpath.plan.first_move import faced
from toolpath.plan.operations import ByHand, Planned
from toolpath.plan.plan import Plan
from toolpath.plan.steps import operations as as_steps
from toolpath.plan.steps import tools_of
from toolpath.proof.prove import prove

ALONE = "ONE TOOL ALONE:"  # how the header of a part begins


def by_tool(made: Made, *, dry: bool) -> Made:
    """The same with the parts of every set-up. A set-up whose parts do not hold is refused with their proof.

    dry: the texts are those of dry runs; the proof is that of the programs themselves
    """
    return replace(made, setups=tuple(_parted(made, s, dry=dry) if not s.proof.refused else s for s in made.setups))


def _parted(made: Made, setup: MadeSetup, *, dry: bool) -> MadeSetup:
    found = _written(made, setup, made.dialect, dry=dry)
    if found.proof.refused and made.dialect.cycles.write:
        found = _written(made, setup, plain(made.dialect), dry=dry)
    return found


def _written(made: Made, setup: MadeSetup, dialect: Dialect, *, dry: bool) -> MadeSetup:
    plan, machine = setup.plan, made.inputs.machine
    spans = runs(plan.operations)
    programs = [_program(plan, spans, k) for k in range(len(spans))]
    said = noses(made.inputs.tools)
    texts = [write(p, dialect) for p in programs]
    again = [read(t.text, dialect, file=f"part {k} of set-up {plan.name}", noses=said) for k, t in enumerate(texts, 1)]
    proof = prove(replace(setup.read_back, operations=joined(again)), setting(made.inputs, plan, setup.stock))
    if proof.refused:
        return replace(setup, proof=proof)
    if dry:
        tools = tools_of(plan.operations)
        texts = [write(dry_run(p, machine, nose_z=plan.work.nose_z, tools=tools), dialect) for p in programs]
    parts = (
        Part(t, tools_of(plan.operations[a:b])[0].number, (a + 1, b)) for t, (a, b) in zip(texts, spans, strict=True)
    )
    return replace(setup, parts=tuple(parts))


def runs(planned: Sequence[Planned]) -> list[tuple[int, int]]:
    """First operation and the one behind the last of each tool's turn. What a hand does goes with the tool before it,
    and with the first tool where there is none."""
    starts, tool = [0], 0
    for k, op in enumerate(planned):
        if isinstance(op, ByHand):
            continue
        if tool and op.tool.number != tool:
            starts.append(k)
        tool = op.tool.number
    return list(zip(starts, [*starts[1:], len(planned)], strict=True))


def _program(plan: Plan, spans: Sequence[tuple[int, int]], k: int) -> Program:
    a, b = spans[k]
    mine, before = plan.operations[a:b], plan.operations[:a]
    request = faced(plan.request) if any(op.kind == "face" for op in before) else plan.request
    note = (
        f"{ALONE} T{tools_of(mine)[0].number}, part {k + 1} of {len(spans)} of set-up {plan.name}. The parts run in "
        "their order, the work held and the zero set as for the first"
    )
    return replace(
        plan.program,
        header=(note, *plan.program.header),
        operations=as_steps(mine, request, change_point=plan.change_point),
    )


def joined(parts: Sequence[Program]) -> tuple[Operation, ...]:
    """The operations of programs that run one after the other, with the end of the last alone."""
    out = [op for part in parts for op in part.operations]
    return (*(replace(op, steps=tuple(s for s in op.steps if not isinstance(s, End))) for op in out[:-1]), *out[-1:])
