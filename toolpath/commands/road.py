"""The road from a job to a proven program: plan, write, read the text back, prove it. No file is touched here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from msgspec import Struct

from posts.compensation import Noses
from posts.dialect import Dialect, load_dialect
from posts.reader import read
from posts.writer import Text, write
from toolpath.commands.inputs import Inputs, hold, read_inputs
from toolpath.errors import BadInput, CannotMake
from toolpath.motion import Program
from toolpath.part.halfsection import HalfSection
from toolpath.plan.plan import Plan, plan
from toolpath.plan.request import Request
from toolpath.proof.prove import Proof, prove
from toolpath.proof.setting import Setting
from toolpath.reading import placed
from toolpath.shop.tools import Tool


class Made(Struct, frozen=True):
    """Everything that one run found out. read_back: the program as its own text says it."""

    inputs: Inputs
    plan: Plan
    dialect: Dialect
    text: Text
    read_back: Program
    proof: Proof


def make(
    path: Path, *, sizes: Mapping[str, str], material: str | None, post: str | None, stop_before_tools: bool
) -> Made:
    """The job at `path`, made. HalfsectionError when it is bad or can not be made; a failed proof is returned."""
    inputs = read_inputs(path, sizes=sizes, material_name=material)
    dialect = dialect_of(inputs.job.machine, inputs.machine.dialect, post)
    with placed(inputs.job.file):
        hold(inputs)  # refused here, where its key in the job is known
        try:
            refuse_uncuttable(inputs.part)
            planned = plan(request(inputs, stop_before_tools=stop_before_tools))
        except CannotMake as error:
            raise CannotMake(f"{inputs.job.file}: {error}") from None
    text = write(planned.program, dialect)
    read_back = read(text.text, dialect, file=f"{inputs.job.stem}-1.nc", noses=noses(inputs.tools))
    return Made(inputs, planned, dialect, text, read_back, prove(read_back, setting(inputs, planned)))


def refuse_uncuttable(part: HalfSection) -> None:
    """CannotMake for surfaces that a job can describe and check, and no operation cuts yet."""
    if part.inside or part.inside_back:
        raise CannotMake("inside surfaces can not be cut yet: only the outside is turned")
    if any(s.of == "face" for s in part.surfaces):
        raise CannotMake("grooves in an end face can not be cut yet: only the outside is turned")


def dialect_of(machine: Path, own: str, post: str | None) -> Dialect:
    """The dialect that `--post` names, else the machine's own; BadInput says which of the two is wrong."""
    if post is not None:
        try:
            return load_dialect(post)
        except BadInput as error:
            raise error.at(where="" if error.file else "--post") from None
    with placed(machine):
        try:
            return load_dialect(own)
        except BadInput as error:
            raise error.at(where="" if error.file else "dialect") from None


def noses(tools: Iterable[Tool]) -> Noses:
    """What the control's tool table holds of the tools that have a nose: its radius and where the tip lies."""
    return {t.number: (t.nose_radius, t.tip) for t in tools if t.point == "nose" and t.nose_radius > 0.0}


def request(inputs: Inputs, *, stop_before_tools: bool = False) -> Request:
    """What the plan is asked for, from what was read."""
    job = inputs.job
    return Request(
        title=job.title,
        part=inputs.part,
        stock=job.bar.stock,
        held_in=job.holding.kind,
        stick_out=job.holding.stick_out,
        parted=job.parting.off,
        stub=job.parting.stub,
        height_um=job.finish_um,
        compensation=job.compensation,
        pattern=job.pattern,
        finish_passes=job.finish_passes,
        machine=inputs.machine,
        rack=inputs.tools,
        material=inputs.material,
        digest=job.digest,
        stop_before_tools=stop_before_tools,
    )


def setting(inputs: Inputs, planned: Plan) -> Setting:
    """What the program is proven against: outlines, tools and machine; nothing of how it was planned."""
    work = planned.work
    return Setting(
        stock=work.stock,
        part=(inputs.part.outline,),
        goal=planned.goal,
        hold=work.hold.outlines,
        tools={t.number: t for t in inputs.tools},
        machine=inputs.machine,
        last_digit=inputs.machine.resolution,
        hold_max_rpm=inputs.machine.chuck_max_rpm if inputs.job.holding.kind == "chuck" else inputs.machine.max_rpm,
    )
