"""A second helping for a tight thread: a program of extra passes alone, at the same speed and from the same start.

The passes of a thread fall together only while the work stays in its hold, the zero stays where it is and the point
stays as it was set: then the control begins each of them at the same place of the same turn.
"""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.frame import OUTSIDE
from toolpath.motion import Program
from toolpath.passes.legs import in_frame
from toolpath.passes.thread import thread
from toolpath.plan.first_move import faced
from toolpath.plan.header import DIGEST, cautions
from toolpath.plan.operations import CutThread, Operation
from toolpath.plan.plan import Plan
from toolpath.plan.steps import operations as as_steps
from toolpath.plan.threading import pitch_limits
from toolpath.plan.touch import touch_off

HELPING = "SECOND HELPING:"  # how its header begins


class Helping(Struct, frozen=True):
    """cuts: the thread as it is then; again: the extra passes; program: they alone."""

    cuts: CutThread
    again: Operation
    program: Program


def second_helping(plan: Plan, index: int, cuts: CutThread, deeper: float) -> Helping:
    """Passes that take a thread deeper, and those that clean both flanks.

    index: of the operation that cuts the thread `cuts` first; deeper: mm of depth, > 0
    CannotMake where so much is no matter of a tight thread, or the point is too short for it.
    """
    first, name = plan.operations[index], cuts.on.threaded.thread.in_full
    if not isinstance(first, Operation) or first.cuts is not cuts:
        raise ValueError(f"operation {index} does not cut {name}")
    if not plan.request.offsets:
        raise CannotMake(
            f"every tool sets its zero anew on this control, and {name} would begin elsewhere a second time"
        )
    _refuse_too_deep(first, cuts, deeper)
    job = cuts.job
    more = replace(
        job,
        begun=job.depth,
        depth=job.depth + deeper,
        most=min(job.most, deeper),
        least=min(job.least, deeper / 2.0),
    )
    lower = deeper if job.inside else -deeper
    deeper_cut = CutThread(cuts.on, more, None if cuts.crest is None else cuts.crest + lower)
    legs, passes = thread(more, plan.change_point)
    because = f"{name} was tight: {deeper:g} mm deeper, at the same speed and from the same start"
    again = replace(
        first,
        because=because,
        legs=in_frame(legs, OUTSIDE),
        depth=min(more.most, deeper),
        passes=passes,
        cuts=deeper_cut,
    )
    return Helping(deeper_cut, again, _program(plan, again, deeper, name))


def _refuse_too_deep(first: Operation, cuts: CutThread, deeper: float) -> None:
    """CannotMake beyond what the limits of the pitch diameter are apart: no point is set so far off."""
    name = cuts.on.threaded.thread.in_full
    least, greatest = pitch_limits(cuts.on)
    most = (greatest - least) / 2.0
    if most and deeper > most:
        raise CannotMake(
            f"{deeper:g} mm more of depth for {name}: its pitch diameter may vary by {greatest - least:.3f} mm, so "
            f"that {most:.3f} mm of depth at the most are a matter of a tight thread. Measure it over wires, and look "
            "at the point, its height and the zero first"
        )
    whole = cuts.job.depth + deeper
    if whole > first.tool.max_depth:
        raise CannotMake(
            f"T{first.tool.number} {first.tool.name} goes {first.tool.max_depth:g} mm deep, and {name} would take "
            f"{whole:.3f}"
        )


def _program(plan: Plan, again: Operation, deeper: float, name: str) -> Program:
    """The program as a whole; it faces nothing and sets no zero."""
    request, tool = plan.request, again.tool
    lines = (
        f"{HELPING} {name} of set-up {request.number}, {deeper:g} mm of depth more",
        f"Valid only while the part has not left the {plan.work.hold.name} since set-up {request.number} cut the "
        "thread, is not parted off, the zero has not been set anew, and the point has not been out or set anew. Else "
        "its passes fall beside the groove: do not run it.",
        f"Set-up {request.number} of {request.count}, held in: {plan.work.hold.name}",
        *((DIGEST, request.digest) if request.digest else ()),
        f"X words are {'diameters' if request.x_diameter else 'radii'}",
        f"T{tool.number}: {tool.name}, as set-up {request.number} used it; {touch_off(tool)}",
        *(f"CAUTION: {c}" for c in cautions(replace(request, parted=False), plan.work, [again])),
    )
    return replace(
        plan.program,
        title=f"{request.title}: {name} again",
        header=lines,
        operations=as_steps([again], faced(request), change_point=plan.change_point),
    )
