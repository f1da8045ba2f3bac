"""`make --again`: a second helping for a tight thread, written and proven with the program that it follows."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from posts.reader import read
from posts.writer import write
from toolpath.commands.road import Again, Made, MadeSetup, noses, setting, zone
from toolpath.errors import BadInput, ProofRefused
from toolpath.motion import End, Program
from toolpath.motion import Operation as Section
from toolpath.plan.again import Helping, second_helping
from toolpath.plan.operations import CutThread, Operation
from toolpath.plan.steps import tool_of
from toolpath.proof.findings import STOP
from toolpath.proof.prove import Proof, prove
from toolpath.quantity import length

OPTION = "--again"


class Asked(Struct, frozen=True):
    """name: of the thread as the job writes it, or its row, or empty where there is but one; deeper: mm of depth."""

    name: str
    deeper: float


class Cut(Struct, frozen=True):
    """A thread that an operation of a set-up cuts with a point, by the operation's index."""

    setup: MadeSetup
    index: int
    cuts: CutThread

    @property
    def names(self) -> tuple[str, str]:
        """Its designation and its row."""
        on, part = self.cuts.on, self.setup.plan.request.part
        surfaces = part.surfaces if on.chain == "outside" else part.inside_surfaces
        return on.threaded.thread.in_full, surfaces[on.element].place("part")


def asked(text: str, unit: str) -> Asked:
    """What the option says: `0.03`, `M10x1=0.03` or `part.outside[0]=0.03`, in the job's unit. BadInput else."""
    name, sign, depth = text.rpartition("=")
    if sign and not name.strip():
        right = "Write M10x1=0.03, or the depth alone"
        raise BadInput(f"no thread stands before the = in {text!r}", where=OPTION, right=right)
    try:
        return Asked(name.strip(), length(depth.strip(), unit=unit, positive=True))
    except BadInput as error:
        raise error.at(where=OPTION) from None


def helped(made: Made, text: str) -> Made:
    """The run with the second helping that is asked for. BadInput where it is not clear for which thread.

    CannotMake or ProofRefused, with the reason, where there can be none.
    """
    if made.refused:
        return made
    wanted = asked(text, made.inputs.job.unit)
    cuts = [
        Cut(setup, k, op.cuts)
        for setup in made.setups
        for k, op in enumerate(setup.plan.operations)
        if isinstance(op, Operation) and op.cuts is not None
    ]
    found = [cut for cut in cuts if not wanted.name or _plain(wanted.name) in map(_plain, cut.names)]
    if len(found) != 1:
        raise _unclear(wanted.name, cuts, found)
    (cut,) = found
    done = replace(cut.setup, again=_again(made, cut, wanted.deeper))
    return replace(made, setups=tuple(done if s is cut.setup else s for s in made.setups))


def _plain(name: str) -> str:
    return name.replace(" ", "").lower()


def _unclear(name: str, cuts: list[Cut], found: list[Cut]) -> BadInput:
    """Why no thread, or no single one, is meant, and which there are."""
    if not cuts:
        return BadInput("no thread of this job is cut with a point", where=OPTION, right="Leave it out")
    known = ", ".join(" or ".join(cut.names) for cut in cuts)
    if not found:
        return BadInput(f"no thread '{name}' is cut with a point", where=OPTION, right=f"There is {known}")
    what = f"{len(found)} threads{f' {name}' if name else ''} are cut with a point"
    return BadInput(what, where=OPTION, right=f"Name one, as {OPTION} '{found[0].names[1]}=0.03': {known}")


def _again(made: Made, cut: Cut, deeper: float) -> Again:
    helping = second_helping(cut.setup.plan, cut.index, cut.cuts, deeper)
    text = write(helping.program, made.dialect)
    file = f"{made.inputs.job.stem}-{cut.setup.plan.name}-again.nc"
    after = read(text.text, made.dialect, file=file, noses=noses(made.inputs.tools))
    proof = _proven(made, cut, helping, after)
    if proof.refused:
        stops = [f"  line {f.line}: {f.text}" for f in proof.findings if f.rank == STOP]
        raise ProofRefused("\n".join([f"the proof refuses {file}; nothing is written", *stops]))
    return Again(cut.names[0], deeper, text, proof)


def _proven(made: Made, cut: Cut, helping: Helping, after: Program) -> Proof:
    """The proof of the set-up's text with the second helping run in it, once the thread is cut and its point is back:
    the passes of both must fall together, and nothing else may be touched."""
    setup = cut.setup
    at, first = _point_is_back(setup, cut.index), setup.read_back.operations
    head, tail = (first[:at], first[at:]) if at < len(first) else (_without_end(first), ())
    extra = _without_end(after.operations) if tail else after.operations
    joined = replace(setup.read_back, operations=(*head, *extra, *tail))
    own = setting(made.inputs, setup.plan, setup.stock)
    threads = [op.cuts for op in setup.plan.operations if isinstance(op, Operation) and op.cuts]
    zones = tuple(zone(helping.cuts if one is cut.cuts else one) for one in threads)
    hands = tuple(replace(h, operation=h.operation + (len(extra) if h.operation >= at else 0)) for h in own.by_hand)
    return prove(joined, replace(own, threads=zones, by_hand=hands))


def _point_is_back(setup: MadeSetup, index: int) -> int:
    """The first operation after this one at whose start another tool is in the post, at the change point."""
    planned = setup.plan.operations
    own = tool_of(planned[index])
    return next((k for k in range(index + 1, len(planned)) if tool_of(planned[k]) is not own), len(planned))


def _without_end(operations: tuple[Section, ...]) -> tuple[Section, ...]:
    return tuple(replace(op, steps=tuple(s for s in op.steps if not isinstance(s, End))) for op in operations)
