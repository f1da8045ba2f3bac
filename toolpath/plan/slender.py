"""Long thin work: told, refused where nothing holds it straight, else turned section by section from its free end.

A section is roughed and finished while the bar behind it still stands thick; only then comes the next, towards the
chuck. So what bends under the tool is never more than the section in hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from msgspec.structs import replace

from toolpath.cutting.bending import what_helps
from toolpath.cutting.turning import CuttingData
from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain
from toolpath.geometry.minimum import lower
from toolpath.plan import turning
from toolpath.plan.operations import Operation, Planned
from toolpath.plan.queue import Queue
from toolpath.plan.reach import Reach, reach
from toolpath.plan.request import Request
from toolpath.plan.rest import Rest, after
from toolpath.plan.share import turned_to
from toolpath.plan.side import Side
from toolpath.plan.workpiece import Workpiece, how_it_gives, workpiece

SLENDER, NEEDLE = 4.0, 10.0
"""Times its thickness from which a free end is called slender, and beyond which it is refused (common practice)."""

IN_CENTRES = 20.0
"""Times its thickness that work in a centre may be long without a travelling steady (common practice, no source)."""

SECTION = 2.0
"""Times its thickness that a section of slender work is long at the most (common practice, no source)."""

TO_A_STEP = 0.35
"""Part of a section by which its end is moved so that it falls on a step of the part, where no mark shows."""

TOLD = 0.01
"""mm on the diameter left thick by work that gives way, from which it is told: half of what a calliper shows."""


def slenderness(outside: Chain) -> tuple[float, float]:
    """(length, diameter) in mm of the free end that is longest for its thickness: nothing on that length is thicker."""
    worst, thick = (0.0, 1.0), 0.0
    for e in outside:
        thick = max(thick, 2.0 * max(e.a[1], e.b[1]))
        long = -min(e.a[0], e.b[0])
        if thick > 0.0 and long / thick > worst[0] / worst[1]:
            worst = (long, thick)
    return worst


def refuse_slender(request: Request) -> None:
    """CannotMake for a free end so long and thin that it bends away from any tool."""
    if request.support != "free":
        _refuse_needle(request)
        return
    long, thick = slenderness(request.part.outside)
    if long > NEEDLE * thick:
        raise CannotMake(
            f"{long:.1f} mm of the part's free end are no thicker than {thick:g} mm, {long / thick:.0f} times: it "
            f"bends away from the tool. Without a centre at most {NEEDLE:g} times are turned here"
        )


def _refuse_needle(request: Request) -> None:
    """CannotMake for work so long and thin that it whips and bends even in a centre."""
    long, thick = request.part.length, max(request.part.smallest_dia, 1.0)
    if long > IN_CENTRES * thick:
        raise CannotMake(
            f"the part is {long:g} mm long and {thick:g} mm at its thinnest, {long / thick:.0f} times: even in a "
            f"centre it bends away from the tool; at most {IN_CENTRES:g} times are turned here"
        )


def cautions(request: Request) -> list[str]:
    """What is told of a slender free end."""
    long, thick = slenderness(_in_hand(request))
    if long <= SLENDER * thick or request.support != "free":
        return []
    return [
        f"{long:.1f} mm of the free end are no thicker than {thick:g} mm: it bends away from the tool and comes out "
        "thick at its end. It is turned section by section, the free end finished first, the bar left thick behind: "
        "measure each section before the next, and let [finish] passes = 2 go over it again.",
    ]


def left_thick(request: Request, planned: Iterable[Planned]) -> list[str]:
    """What is told where a finish cut leaves so much on the diameter that it shows."""
    finished = (op.data for op in planned if isinstance(op, Operation) and isinstance(op.data, CuttingData))
    thick = max((d.thick for d in finished if d.thick), key=lambda t: t.value, default=None)
    if thick is None or thick.value < TOLD:
        return []
    helps = what_helps(free=request.support == "free")
    return [f"A finish cut leaves {thick.value:.3f} mm on the diameter: {thick.because}. {helps}."]


def sections(request: Request) -> tuple[float, ...]:
    """Distances (mm) from the front face to which slender work is turned, one after the other; () for stout work."""
    rows = _in_hand(request)
    long, thick = slenderness(rows)
    if long <= SLENDER * thick or request.support != "free":
        return ()
    n = math.ceil(long / (SECTION * thick))
    each, steps = long / n, sorted({-e.a[0] for e in rows if e.a[0] > -long})
    out: list[float] = []
    for k in range(1, n):
        near = min(steps, key=lambda s: abs(s - k * each))
        out.append(near if abs(near - k * each) <= TO_A_STEP * each else k * each)
    return (*out, long)


def by_sections(request: Request, work: Workpiece, queue: Queue, choice: Reach, *, because: str) -> None:
    """Rough and finish the outside in sections from the free end, all with the finishing tool."""
    stands, before = work.outside.stands, 0.0
    ends = sections(request)
    whole = -min(e.b[0] for e in work.rows)
    if whole - ends[-1] <= request.machine.clearance:
        ends = ends[:-1]
    for k, end in enumerate((*ends, math.inf), start=1):
        part = _up_to(request, work, end) if end < whole else work
        side = part.outside if end < whole else replace(part.outside, wanted=part.outside.finished)
        here = reach(choice.tool, replace(side, stands=stands), stands=stands)
        span = (-end if end < whole else _last(side), -before)
        place = f"section {k} of {len(ends) + 1}, from {before:.3g} to {min(end, whole):.3g} mm"
        words = f"{because}. Slender, so finished from its free end, the bar left thick behind: {place}"
        rest = Rest(here, (span,), words)
        given = how_it_gives(request, side.contour, nose_z=part.nose_z, cut=span)
        part = replace(part, gives=given)
        for op in turning.rest_turning(request, part, rest, stands, start=queue.start(choice.tool)):
            queue.add(op)
        stands, before = lower(stands, after(here, (span,), stands)), end


def _up_to(request: Request, work: Workpiece, end: float) -> Workpiece:
    """The work as if only so much of it were turned: behind that the bar stands."""
    less = replace(request, turn_to=end, runs_on=False)
    if request.gripped is None:
        less = replace(less, stick_out=work.stick_out)
    return workpiece(less, None, largest_nose=0.0)


def _last(side: Side) -> float:
    """Least z that is turned, mm."""
    return min(side.contour[k].bounds()[0] for k in side.finished)


def _in_hand(request: Request) -> Chain:
    """The outside that this set-up turns, from its front."""
    outside = request.part.outside
    return outside if request.turn_to is None else turned_to(outside, request.turn_to)
