"""The road from a job to a proven program: plan, write, read the text back, prove it. No file is touched here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from posts.compensation import Noses
from posts.cycle_fitting import plain
from posts.dialect import Dialect, load_dialect
from posts.reader import read
from posts.writer import Text, write
from toolpath.commands.inputs import Inputs, hold, read_inputs
from toolpath.cutting.polishing import told as polish_told
from toolpath.errors import BadInput, CannotMake
from toolpath.geometry.elements import Chain, polyline
from toolpath.motion import Program
from toolpath.plan.dry import dry_run
from toolpath.plan.gang import on_slide
from toolpath.plan.operations import ByHand, CutThread, Operation
from toolpath.plan.plan import Plan, plan
from toolpath.plan.request import Request
from toolpath.plan.rest import Left
from toolpath.plan.setups import lying_next, next_stock, request_of
from toolpath.plan.steps import tools_of
from toolpath.plan.threading import pitch_limits
from toolpath.proof.prove import Proof, prove
from toolpath.proof.setting import Hand, Setting
from toolpath.proof.thread_zones import ThreadZone
from toolpath.reading import placed
from toolpath.shop.holding import Holding
from toolpath.shop.machine import Machine
from toolpath.shop.tools import Tool


class Again(Struct, frozen=True):
    """A second helping for a tight thread of a set-up: its name, mm of depth more, its text and the proof of both."""

    thread: str
    deeper: float
    text: Text
    proof: Proof


class Part(Struct, frozen=True):
    """One of several programs that together are that of a set-up: its text, its tool, its operations from 1."""

    text: Text
    tool: int
    operations: tuple[int, int]


class MadeSetup(Struct, frozen=True):
    """One set-up: its plan, what stood before, the text written, the program as that text says it, and the proof.

    left: what no tool takes here, and what none took in the set-ups before, as it lies in this one
    again: extra passes for a thread of it, where they are asked for
    parts: the same program as one a tool, where they are asked for
    """

    plan: Plan
    stock: tuple[Chain, ...]
    text: Text
    read_back: Program
    proof: Proof
    left: tuple[Left, ...]
    again: Again | None = None
    parts: tuple[Part, ...] = ()


class Made(Struct, frozen=True):
    """Everything that one run found out. setups: in order; after one that the proof refuses there are no more.

    changed: what is otherwise than in the job's own material, one line each
    """

    inputs: Inputs
    dialect: Dialect
    setups: tuple[MadeSetup, ...]
    changed: tuple[str, ...] = ()

    @property
    def refused(self) -> tuple[MadeSetup, ...]:
        """The set-ups whose program failed its proof."""
        return tuple(s for s in self.setups if s.proof.refused)


def make(
    path: Path,
    *,
    sizes: Mapping[str, str],
    material: str | None,
    post: str | None,
    stop_before_tools: bool,
    dry: bool = False,
) -> Made:
    """The job at `path`, made. HalfsectionError when it is bad or can not be made; a failed proof is returned.

    dry: the texts are those of dry runs; the proof is that of the programs themselves
    """
    inputs = read_inputs(path, sizes=sizes, material_name=material)
    dialect = dialect_of(inputs, post)
    inputs = replace(inputs, machine=suited(inputs.machine, dialect))
    done: list[MadeSetup] = []
    with placed(inputs.job.file):
        hold(inputs)  # refused here, where its key in the job is known
        try:
            for setup in _setups(inputs, dialect, stop_before_tools=stop_before_tools):
                done.append(_dry(setup, inputs, dialect) if dry else setup)
        except CannotMake as error:
            name = f"set-up {len(done) + 1}: " if len(inputs.job.holdings) > 1 else ""
            raise CannotMake(f"{inputs.job.file}: {name}{error}") from None
    return Made(inputs, dialect, tuple(done))


def _dry(setup: MadeSetup, inputs: Inputs, dialect: Dialect) -> MadeSetup:
    """The set-up with the text of its dry run, which must read back as well."""
    tools = tools_of(setup.plan.operations)
    dry = dry_run(setup.plan.program, inputs.machine, nose_z=setup.plan.work.nose_z, tools=tools)
    text = write(dry, dialect)
    read(text.text, dialect, file=f"dry run of set-up {setup.plan.name}", noses=noses(inputs.tools))
    return replace(setup, text=text)


def _setups(inputs: Inputs, dialect: Dialect, *, stop_before_tools: bool) -> Iterator[MadeSetup]:
    """Set-up by set-up: the plan of each starts from what the plan before leaves, its proof from what was proven."""
    base, holdings = request(inputs, stop_before_tools=stop_before_tools, dialect=dialect), inputs.job.holdings
    stock, proven = base.stock, base.stock.outlines
    earlier: tuple[Left, ...] = ()
    for number in range(1, len(holdings) + 1):
        planned = plan(request_of(base, holdings, number, stock))
        made = _said(planned, inputs, dialect, stock=proven, file=f"{inputs.job.stem}-{number}.nc")
        if made.proof.refused and dialect.cycles.write:  # a cycle's own moves do not hold: every move by itself
            made = _said(planned, inputs, plain(dialect), stock=proven, file=f"{inputs.job.stem}-{number}.nc")
        proof = made.proof
        yield replace(made, left=(*planned.left, *earlier))
        if proof.refused or number == len(holdings):
            return
        stock = next_stock(planned, holdings)
        proven = (lying_next(kept(proof, planned), planned, holdings),)
        earlier = handed_on(planned, holdings, earlier)


def _said(planned: Plan, inputs: Inputs, dialect: Dialect, *, stock: tuple[Chain, ...], file: str) -> MadeSetup:
    """A plan as text, read back and proven."""
    text = write(planned.program, dialect)
    read_back = read(text.text, dialect, file=file, noses=noses(inputs.tools))
    proof = prove(read_back, setting(inputs, planned, stock))
    return MadeSetup(planned, stock, text, read_back, proof, planned.left)


def handed_on(planned: Plan, holdings: tuple[Holding, ...], earlier: tuple[Left, ...]) -> tuple[Left, ...]:
    """What no tool took up to and in this set-up, as it lies in the next. earlier: of those before, as it lies here"""
    ours = (replace(one, why=f"set-up {planned.name} left it: {one.why}") for one in planned.left)
    return tuple(replace(one, outline=lying_next(one.outline, planned, holdings)) for one in (*ours, *earlier))


def kept(proof: Proof, planned: Plan) -> Chain:
    """The outline of the piece that goes on to the next set-up: what came off, or all that stands.

    CannotMake when neither is one piece.
    """
    pieces = [p.outline for p in proof.parted] if planned.work.blade or planned.request.sawn else list(proof.result)
    if len(pieces) != 1:
        raise CannotMake(f"{len(pieces)} pieces are left for the next set-up; it starts from one")
    return polyline(list(pieces[0]), close=True)


def dialect_of(inputs: Inputs, post: str | None) -> Dialect:
    """The dialect that `--post` names, else the machine's own; BadInput says which of the two is wrong."""
    machine = inputs.job.machine
    if post is not None:
        try:
            dialect = load_dialect(post)
        except BadInput as error:
            raise error.at(where="" if error.file else "--post") from None
    else:
        with placed(machine):
            try:
                dialect = load_dialect(inputs.machine.dialect)
            except BadInput as error:
                raise error.at(where="" if error.file else "dialect") from None
    if dialect.unit_cycles and not inputs.machine.units_by_g70_g71:
        with placed(machine):
            raise BadInput(
                f"the dialect {dialect.name} sets units by {' and '.join(dialect.unit_cycles)}, contour cycles on many "
                "turning controls, and the machine file does not say that this control's units are these",
                where="units_by_g70_g71",
                right="Look into the control's handbook; where G70 is inches and G71 millimetres, write "
                "units_by_g70_g71 = true",
            )
    return dialect


def noses(tools: Iterable[Tool]) -> Noses:
    """What the control's tool table holds of the tools that have a nose: its radius and where the tip lies."""
    return {t.number: (t.nose_radius, t.tip) for t in tools if t.point == "nose" and t.nose_radius > 0.0}


def suited(machine: Machine, dialect: Dialect) -> Machine:
    """The machine as its control lets it run: without what no word says and, for surface speed, limits."""
    if machine.coolant and not {"coolant_on", "coolant_off"} <= dialect.words.keys():
        told = f"coolant = false: the dialect {dialect.name} has no words for it"
        machine = replace(machine, coolant=False, defaults_used=(*machine.defaults_used, told))
    if not machine.constant_surface_speed or dialect.surface_speed:
        return machine
    told = f"constant_surface_speed = false: the dialect {dialect.name} can not say it together with its limit"
    return replace(machine, constant_surface_speed=False, defaults_used=(*machine.defaults_used, told))


def request(inputs: Inputs, *, stop_before_tools: bool = False, dialect: Dialect | None = None) -> Request:
    """What the plan is asked for, from what was read."""
    job = inputs.job
    with placed(job.machine):
        tools = on_slide([t for t in inputs.tools if t.works != "hole"], inputs.machine)
    return Request(
        title=job.title,
        part=inputs.as_turned,
        polish=() if inputs.polish is None else polish_told(inputs.polish),
        stock=job.bar.stock,
        held_in=job.holdings[0].kind,
        stick_out=job.holdings[0].stick_out,
        parted=job.parting.off,
        stub=job.parting.stub,
        height_um=job.finish_um,
        compensation=job.compensation,
        pattern=job.pattern,
        infeed=job.infeed,
        springs=job.springs,
        finish_passes=job.finish_passes,
        one_way=job.one_way,
        measure=job.measure,
        machine=inputs.machine,
        rack=tools,
        drawer=inputs.drawer,
        material=inputs.material,
        digest=job.digest,
        stop_before_tools=stop_before_tools,
        trials=inputs.trials,
        x_diameter=dialect is None or dialect.fixed_x != "radius",
        offsets=dialect is None or dialect.tool.offsets != "none",
        work_offset=dialect is not None and dialect.tool.offsets == "work offset and tool table",
        ramps=dialect is None or "thread" not in dialect.words or dialect.thread.continues,
    )


def zone(cut: CutThread) -> ThreadZone:
    """Where a thread is to be cut, and what its pitch diameter must come to.

    A thread that is tight stands that much too high, so a second helping must bring it as much below its limits.
    """
    on, job = cut.on, cut.job
    sign = 1.0 if job.inside else -1.0
    helping = sign * 2.0 * (job.depth - job.begun if job.begun else 0.0)
    least, greatest = pitch_limits(on)
    low, high = sorted((job.begins, job.ends))
    runs = (job.run_out, job.run_in) if job.way < 0.0 else (job.run_in, job.run_out)
    crest = job.crest + job.taper * (high - job.begins)
    return ThreadZone(
        z=(low, high),
        crest=crest,
        root=crest + sign * job.depth,
        taper=job.taper,
        cut_crest=cut.crest,
        lead=job.lead,
        hand="left" if on.threaded.thread.left else "right",
        starts=job.starts,
        inside=job.inside,
        run_out=runs,
        half_angle=job.half_angle,
        pitch_dia=(least + helping, greatest + helping) if greatest else (0.0, 0.0),
    )


def setting(
    inputs: Inputs, planned: Plan, stock: tuple[Chain, ...], *, by_hand: tuple[Hand, ...] | None = None
) -> Setting:
    """What the program is proven against: outlines, tools and machine; nothing of how it was planned.

    by_hand: what is done at the stops of another text than the plan's
    """
    work = planned.work
    if by_hand is None:
        hands = ((k, op) for k, op in enumerate(planned.operations) if isinstance(op, ByHand) and not op.optional)
        by_hand = tuple(Hand(k, op.does, op.removes, op.holds) for k, op in hands)
    return Setting(
        stock=stock,
        part=(planned.request.part.outline,),
        goal=planned.goal,
        hold=work.hold.outlines,
        on_thread=work.hold.on_thread,
        tools={t.number: t for t in (*inputs.tools, *tools_of(planned.operations))},
        machine=inputs.machine,
        threads=tuple(zone(op.cuts) for op in planned.operations if isinstance(op, Operation) and op.cuts),
        by_hand=by_hand,
        material=inputs.material,
        last_digit=inputs.machine.resolution,
        least_wall=inputs.least_wall.thick,
        thin_stops=inputs.job.thin == "refuse",
        hold_max_rpm=inputs.machine.chuck_max_rpm if planned.request.in_chuck else inputs.machine.max_rpm,
    )
