"""The road of a program text that is there already: read, and proven in its set-up. No file is written here.

The plan of the job gives what the text can not say: stock, part, hold, tools, and what is done by hand. Its own moves
are looked at only where the text leaves metal: what they leave as well, no tool of the rack takes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from posts.dialect import Dialect
from posts.reader import read
from posts.writer import Text, write
from toolpath.commands.by_tool import ALONE
from toolpath.commands.feeds import feed_findings
from toolpath.commands.given import Given, header_findings, read_given, with_hands
from toolpath.commands.inputs import Inputs, hold, read_inputs
from toolpath.commands.progress import progress
from toolpath.commands.reported import reported
from toolpath.commands.road import Made, MadeSetup, dialect_of, handed_on, kept, noses, request, setting, suited
from toolpath.errors import BadInput, CannotMake, ProofRefused
from toolpath.geometry.elements import Chain
from toolpath.plan.again import HELPING
from toolpath.plan.dry import DRY
from toolpath.plan.plan import Plan, plan
from toolpath.plan.rest import Left
from toolpath.plan.setups import lying_next, next_stock, request_of
from toolpath.plan.steps import tools_of
from toolpath.proof.findings import STOP, Finding, finding, ranked
from toolpath.proof.prove import Uncut, prove
from toolpath.reading import placed
from toolpath.shop.holding import Holding

if TYPE_CHECKING:
    import shapely

THIN = 0.01
"""mm: what stands on that is no thicker makes no other part (common practice, no source)."""

EVEN = 0.02
"""mm by which metal that stays may stand elsewhere than after the planned program."""


class Asked(Struct, frozen=True):
    """program: the text. number: its set-up, from 1. earlier: folder of the programs of those before, `STEM-1.nc` and
    so on. stock: a report that says what the set-up before left, instead. quiet: no progress"""

    program: Path
    number: int
    earlier: Path
    stock: Path | None = None
    quiet: bool = False


MARKED = {
    HELPING: (
        "this is a second helping, extra passes for a thread that another program cut, and is proven with that one",
        "make JOB --again DEPTH writes it anew and proves both together",
    ),
    DRY: (
        "this is a dry run, which cuts nothing: the spindle is stopped and all of it stands farther out",
        "Prove the program itself, which make JOB writes without --dry",
    ),
    ALONE: (
        "this is the part of one tool alone, and is proven with the parts before and after it",
        "make JOB --one-program-per-tool writes all of them anew and proves them as they follow one another",
    ),
}
"""How headers begin of what is proven elsewhere: what it is, and where."""


class Proven(Struct, frozen=True):
    """made: with one set-up, its text and program the given ones. given: as it was read."""

    made: Made
    given: Given

    @property
    def setup(self) -> MadeSetup:
        return self.made.setups[0]


def prove_text(
    asked: Asked, job: Path, *, sizes: Mapping[str, str], material: str | None = None, post: str | None = None
) -> Proven:
    """The text, proven in its set-up of the job; a failed proof is returned. HalfsectionError for a bad job, a text
    that can not be read, or an earlier set-up that is not there or does not hold."""
    inputs = read_inputs(job, sizes=sizes, material_name=material)
    dialect = dialect_of(inputs, post)
    inputs = replace(inputs, machine=suited(inputs.machine, dialect))
    _refuse_number(asked, inputs)
    given = read_given(asked.program, dialect, noses(inputs.tools))
    _refuse_marked(asked, given)
    with placed(inputs.job.file):
        hold(inputs)
    plans = _plans(inputs, asked.number, dialect)
    stock = _stock_before(asked, inputs, dialect, plans=plans)
    earlier: tuple[Left, ...] = ()
    for before in plans[:-1]:
        earlier = handed_on(before, inputs.job.holdings, earlier)
    done = _prove_one(given, plans[-1], stock, inputs=inputs, dialect=dialect, quiet=asked.quiet, earlier=earlier)
    return Proven(Made(inputs, dialect, (done,)), given)


def _refuse_marked(asked: Asked, given: Given) -> None:
    """BadInput for what is no whole program of a set-up, as its header says: it is proven where it is made."""
    for mark, (what, right) in MARKED.items():
        if mark in given.text:
            raise BadInput(what, file=str(asked.program), right=right)


def _refuse_number(asked: Asked, inputs: Inputs) -> None:
    count = len(inputs.job.holdings)
    if asked.number > count:
        there = "has one set-up" if count == 1 else f"has {count} set-ups"
        raise BadInput(f"there is no set-up {asked.number}", where="--setup", right=f"{inputs.job.file} {there}")
    if asked.number == 1 and asked.stock:
        raise BadInput(
            "set-up 1 starts from the bar of the job, not from a report", where="--stock", right="Leave it out"
        )


def _plans(inputs: Inputs, number: int, dialect: Dialect) -> list[Plan]:
    """The plans of the set-ups up to `number`, for where the work lies in each."""
    base, holdings = request(inputs, dialect=dialect), inputs.job.holdings
    stock, plans = base.stock, []
    try:
        for k in range(1, number + 1):
            with placed(inputs.job.file):
                plans.append(plan(request_of(base, holdings, k, stock)))
            if k < number:
                stock = next_stock(plans[-1], holdings)
    except CannotMake as error:
        raise CannotMake(f"{inputs.job.file}: set-up {len(plans) + 1}: {error}") from None
    return plans


def _stock_before(asked: Asked, inputs: Inputs, dialect: Dialect, *, plans: Sequence[Plan]) -> tuple[Chain, ...]:
    """What stands before the set-up, as it lies there: the bar, what a report says, or what earlier texts leave."""
    holdings: tuple[Holding, ...] = inputs.job.holdings
    if asked.stock:
        return (lying_next(reported(asked.stock, asked.number - 1), plans[-2], holdings),)
    stock = plans[0].request.stock.outlines
    files = [asked.earlier / f"{inputs.job.stem}-{k}.nc" for k in range(1, asked.number)]
    for k, file in enumerate(files, start=1):
        if not file.is_file():
            raise BadInput(
                f"the program of set-up {k} is not there, and what it leaves is the stock of set-up {k + 1}",
                file=str(file),
                right="Put it there, name its folder with --earlier, or give the report of `make` with --stock",
            )
        given = read_given(file, dialect, noses(inputs.tools))
        done = _prove_one(given, plans[k - 1], stock, inputs=inputs, dialect=dialect, quiet=asked.quiet)
        stock = (lying_next(_left(done, file), plans[k - 1], holdings),)
    return stock


def _left(done: MadeSetup, file: Path) -> Chain:
    """The piece that an earlier text leaves; its proof must hold, or nobody knows what it leaves."""
    if done.proof.refused:
        stops = [f"  line {f.line}: {f.text}" for f in done.proof.findings if f.rank == STOP]
        head = f"{file}: the proof refuses this earlier program; set it right first."
        raise ProofRefused("\n".join([head, *stops]))
    try:
        return kept(done.proof, done.plan)
    except CannotMake as error:
        raise CannotMake(f"{file}: {error}") from None


def _prove_one(
    given: Given,
    planned: Plan,
    stock: tuple[Chain, ...],
    *,
    inputs: Inputs,
    dialect: Dialect,
    quiet: bool,
    earlier: tuple[Left, ...] = (),
) -> MadeSetup:
    """A text, proven in the set-up of that plan. earlier: what no tool took in those before, as it lies here"""
    program, hands = with_hands(given.program, planned.operations, planned.program)
    against = setting(inputs, planned, stock, by_hand=hands)
    with progress(f"proving {given.file.name}", len(program.steps), quiet=quiet) as told:
        proof = prove(program, against, told=told)
    tools = {t.number: t for t in (*inputs.tools, *tools_of(planned.operations))}
    said = header_findings(given, list(tools.values()), planned)
    left = (*planned.left, *earlier)
    missing = not_made(proof.uncut, _allowed(planned, stock, inputs, dialect)) if proof.uncut else ()
    found = (*proof.findings, *said, *feed_findings(program, planned.program), *missing)
    proof = replace(proof, findings=ranked(found))
    return MadeSetup(planned, stock, Text(given.text, ()), program, proof, left)


def not_made(uncut: Sequence[Uncut], allowed: Sequence[Uncut]) -> Iterator[Finding]:
    """Metal that stands and must not, where a tool of the rack would have taken it: the text does not make the part.

    uncut: what the text leaves; allowed: what the planned program leaves as well
    """
    import shapely

    known = shapely.union_all([_area(one) for one in allowed]).buffer(EVEN)
    for u in uncut:
        if not shapely.difference(_area(u), known).buffer(-THIN / 2.0).is_empty:
            text = (
                f"{u.thick_mm:.3f} mm stands where a tool of the rack would have cut; put the missing cut back, or put "
                "right the figure that was changed"
            )
            yield finding("not-made", text, at=u.at, size=u.thick_mm)


def _area(uncut: Uncut) -> shapely.Geometry:
    import shapely

    return shapely.make_valid(shapely.Polygon(uncut.outline))


def _allowed(planned: Plan, stock: tuple[Chain, ...], inputs: Inputs, dialect: Dialect) -> tuple[Uncut, ...]:
    """What the planned program leaves of the same stock, proven from its text as `make` does."""
    program = read(write(planned.program, dialect).text, dialect, noses=noses(inputs.tools))
    return prove(program, setting(inputs, planned, stock)).uncut
