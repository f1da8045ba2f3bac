"""How long the bar must be sawn, and what its far end does: does it go through the spindle, will it whip behind it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from toolpath.cutting.spinning import WHIP_SHARE, whip_rpm
from toolpath.errors import CannotMake
from toolpath.plan.operations import Operation, Planned
from toolpath.plan.request import Request
from toolpath.plan.share import SAME
from toolpath.plan.steps import state_of
from toolpath.plan.workpiece import Workpiece
from toolpath.shop.holding import SPINDLE_DEPTH


def saw_length(work: Workpiece) -> float:
    """Least length of the bar: what stands out of the hold, and what it must grip; whole half millimetres."""
    return math.ceil(2.0 * (work.stick_out + work.hold.least_grip) - 1e-9) / 2.0


def told(request: Request, work: Workpiece) -> str:
    """The length to saw with all that it is made of, one sentence; of one that was sawn before what is left."""
    front, length, spare = request.stock.front, request.part.length, request.spare
    behind = work.stick_out - front - length - spare
    if request.number > 1:  # sawn long ago
        needed = max(saw_length(work), front + length)
        return f"{request.stock.length:g} mm of the bar are left by now; at least {needed:g} mm are needed"
    if not work.blade and behind < 0.0:  # held on the part itself: the job's bar is the piece
        rest = request.stock.length - front - length
        other = f" + {rest:g} on the other end" if rest > SAME else ""
        return f"Saw the bar to {request.stock.length:g} mm: part {length:g} + face-off {front:g}{other}"
    more = f" + {spare:g} for facing the other end" if spare else ""
    what = "blade and clearance" if work.blade else "clearance"
    return (
        f"Saw at least {saw_length(work):g} mm: part {length:g} + face-off {front:g}{more} + {what} {behind:g} "
        f"+ grip {work.hold.least_grip:g}"
    )


def cautions(request: Request, work: Workpiece) -> tuple[str, ...]:
    """What is not known of the bar's far end."""
    if request.gripped or not _in_spindle(request, work) or request.machine.spindle_bore:
        return ()
    far = request.stock.length - work.stick_out
    return (
        f"{far:g} mm of the bar lie behind the nose of the hold: see that a bar of {request.stock.dia:g} mm goes "
        "so far into the spindle (spindle_bore in the machine file).",
    )


def refuse_far_end(request: Request, work: Workpiece, planned: Sequence[Planned]) -> None:
    """CannotMake when the bar does not go into the spindle, or would whip behind it at the speeds that are planned."""
    machine, stock = request.machine, request.stock
    if request.gripped or not _in_spindle(request, work):
        return
    far = stock.length - work.stick_out
    if machine.spindle_bore and stock.dia > machine.spindle_bore:
        raise CannotMake(
            f"{far:g} mm of the bar would lie behind the nose of the hold, and its {stock.dia:g} mm do not go into the "
            f"spindle's bore of {machine.spindle_bore:g} mm. Saw it to {saw_length(work):g} mm"
        )
    behind, top = far - machine.spindle_length, _fastest(request, planned)
    if behind <= 0.0 or top <= 0.0:
        return
    stuff = request.material
    most = WHIP_SHARE * whip_rpm(
        stock.dia, bore=stock.bore, behind=behind, modulus=stuff.modulus, density=stuff.density
    )
    if top > most:
        longest = math.floor(behind * math.sqrt(most / top))
        raise CannotMake(
            f"{behind:g} mm of the bar stand out behind the spindle and would whip: at {top:g} rpm no more than "
            f"{longest:g} mm may (half the critical speed). Saw the bar shorter by {math.ceil(behind - longest):g} mm, "
            "or guide its far end in a tube and say so with a greater spindle_length"
        )


def _in_spindle(request: Request, work: Workpiece) -> bool:
    """Whether the bar reaches farther back than the hold does."""
    deep = work.nose_z - min(e.bounds()[0] for chain in work.hold.outlines for e in chain)
    drawn = SPINDLE_DEPTH if work.hold.kind == "collet" else 0.0
    return request.stock.length - work.stick_out > deep - drawn


def _fastest(request: Request, planned: Sequence[Planned]) -> float:
    """Greatest speed that a control may turn, 1/min."""
    spindles = [state_of(op, request.machine).spindle for op in planned if isinstance(op, Operation)]
    return max((s.limit_rpm or s.rpm for s in spindles if s), default=0.0)
