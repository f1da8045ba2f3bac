"""Threads of a set-up: with a point in step with the spindle, or by hand with die and tap while the program waits."""

from __future__ import annotations

import math
from collections.abc import Iterable

from toolpath.cutting.thread_form import ThreadForm, towards_chuck
from toolpath.cutting.threading import ThreadData, plan_thread
from toolpath.errors import BadInput, CannotMake
from toolpath.geometry.frame import OUTSIDE
from toolpath.part.threads import ThreadOn
from toolpath.passes.legs import in_frame
from toolpath.passes.thread import Infeed, Threading, thread
from toolpath.plan.operations import ByHand, CutThread, Operation, Planned
from toolpath.plan.queue import Queue
from toolpath.plan.request import Request
from toolpath.plan.rest import Left
from toolpath.plan.share import SAME
from toolpath.shop.threads import limits
from toolpath.shop.tools import Tool

FLANK_RELIEF = math.radians(1.0)
"""How much steeper than its flank the point comes down, so that the trailing flank does not rub (common practice)."""

RAMP = 2.0
"""Pitches in which the point leaves the metal where there is no relief (common practice, no source)."""

STILL_THERE = 0.1
"""mm of metal left in a relief from which it is none."""

KEEP_OFF = 0.2
"""mm that the point stays from the shoulder behind a relief (common practice, no source)."""


def of_setup(request: Request) -> tuple[ThreadOn, ...]:
    """The threads that this set-up cuts: those in the hollow that looks at the tools, and on what is turned here."""
    deep = math.inf if request.turn_to is None else request.turn_to
    return tuple(
        on for on in request.part.threads if on.chain == "inside" or (on.chain == "outside" and -on.back <= deep + SAME)
    )


def refuse_without_relief(on: ThreadOn, left: Iterable[Left]) -> None:
    """CannotMake when metal is left in the relief in which the point must stop."""
    if on.relief is None or on.threaded.cut_by != "point":
        return
    far = on.relief[1]
    for region in left:
        zs = [z for e in region.outline for z in (e.a[0], e.b[0])]
        if region.thick > STILL_THERE and min(zs) < on.back and max(zs) > far:
            raise CannotMake(
                f"the relief of {on.threaded.thread.in_full} keeps {region.thick:.2f} mm of metal, for {region.why}: "
                "the point has nowhere to stop. Take a groover that gets there, or leave undercut out: it then runs "
                "out on a ramp"
            )


def threaded(request: Request, on: ThreadOn, queue: Queue) -> Planned:
    """One thread. CannotMake or BadInput with the figures when this shop can not cut it so."""
    if on.threaded.cut_by == "point":
        return _by_point(request, on, queue)
    thread_, what = on.threaded.thread, on.threaded.cut_by
    return ByHand(
        "thread", _told(request, on), (), f"{thread_.in_full} by {what}, as the job has it", f"{thread_.in_full} {what}"
    )


def cut_of(request: Request, on: ThreadOn, data: ThreadData, *, room: float) -> Threading:
    """The passes of a thread that is cut with a point. room: mm beyond the full thread in which it stops."""
    own = on.threaded.thread
    sign = -1.0 if on.inside else 1.0
    forward = request.machine.spindle_sense == "forward"
    to_chuck = towards_chuck("left" if own.left else "right", forward=forward)
    begins, ends = (on.front, on.back) if to_chuck else (on.back, on.front)
    run_out, ramped = room, False
    if not to_chuck:
        run_out = max(data.stopping.value, request.machine.clearance)
    elif on.relief is None:
        ramped = True
        ends += run_out
    clearance = min(request.machine.clearance, on.crest / 2.0)
    return Threading(
        crest=on.crest,
        depth=data.whole.value,
        half_angle=own.angle / 2.0,
        lead=own.lead,
        begins=begins,
        ends=ends,
        run_in=data.run_in.value,
        run_out=max(run_out, SAME),
        clear=on.crest + sign * clearance,
        most=data.depth.value,
        least=min(data.finest.value, data.depth.value / 2.0),
        inside=on.inside,
        starts=own.starts,
        ramped=ramped,
        springs=round(data.springs.value) if request.springs is None else request.springs,
        infeed=Infeed(request.infeed.removesuffix(" clear")),
        relief=FLANK_RELIEF if request.infeed == "flank clear" else 0.0,
    )


def _by_point(request: Request, on: ThreadOn, queue: Queue) -> Operation:
    tool, data = _tool(request, on)
    job = cut_of(request, on, data, room=_room(request, on, tool))
    if job.way > 0.0 and (on.relief is None or data.run_in.value > _room(request, on, tool)):
        has = 0.0 if on.relief is None else _room(request, on, tool)
        raise CannotMake(
            f"{on.threaded.thread.in_full} is cut away from the chuck and must come up to speed in "
            f"{data.run_in.value:.2f} mm behind it, where {has:.2f} mm are free. Widen the relief, or use a die"
        )
    legs, passes = thread(job, queue.start(tool))
    because = f"T{tool.number} for {on.threaded.thread.in_full}: {data.whole.value:.3f} mm deep, {data.whole.because}"
    return Operation(
        "thread", tool, data, because, in_frame(legs, OUTSIDE), data.depth.value, passes, CutThread(on, job)
    )


def _tool(request: Request, on: ThreadOn) -> tuple[Tool, ThreadData]:
    """The first point that can cut it, with its figures; the reasons of all when none can."""
    duty = "thread inside" if on.inside else "thread"
    told: list[str] = []
    for tool in sorted((t for t in request.rack if duty in t.does), key=lambda t: t.number):
        try:
            room = _room(request, on, tool)
            form = form_of(on)
            return tool, plan_thread(
                request.material, tool, request.machine, form, room=room, in_chuck=request.held_in == "chuck"
            )
        except (CannotMake, BadInput) as error:
            told.append(str(error))
    why = "; ".join(told) or "the rack has no point for it"
    raise CannotMake(f"{on.threaded.thread.in_full} can not be cut with a point. {why}")


def form_of(on: ThreadOn) -> ThreadForm:
    """The thread as the point cuts it, radii in mm."""
    own = on.threaded.thread
    return ThreadForm(
        crest=on.crest,
        pitch=on.pitch,
        root=on.root,
        lead=own.lead,
        half_angle=own.angle / 2.0,
        starts=own.starts,
        hand="left" if own.left else "right",
        inside=on.inside,
    )


def pitch_limits(on: ThreadOn) -> tuple[float, float]:
    """Least and greatest pitch diameter, mm; (0, 0) where the standard gives none."""
    found = limits(on.threaded.thread)
    own = found.hole if on.inside else found.screw
    return (own.pitch.least, own.pitch.greatest) if own else (0.0, 0.0)


def _room(request: Request, on: ThreadOn, tool: Tool) -> float:
    """mm along z from the end of the full thread to where the point must stand, in its relief."""
    if on.relief is None:
        return RAMP * on.threaded.thread.pitch
    sign = -1.0 if on.inside else 1.0
    chain = request.part.inside if on.inside else request.part.outside
    behind = [e for e in chain if max(e.a[0], e.b[0]) <= on.relief[1] + SAME]
    shoulder = max((sign * x for e in behind for x in (e.a[1], e.b[1])), default=sign * on.crest)
    # Where the point is at full depth, this much of it stands beside the shoulder.
    beside, wide = _beside(tool, shoulder - sign * on.root), on.back - on.relief[1]
    if wide - beside <= KEEP_OFF:
        raise CannotMake(
            f"T{tool.number} {tool.name} reaches {beside:.2f} mm towards the shoulder, and the relief is {wide:.2f} mm "
            f"wide: write undercut_width = {beside + KEEP_OFF + on.threaded.thread.pitch:.1f}, or take a slimmer point"
        )
    return wide - beside - KEEP_OFF


def _beside(tool: Tool, height: float) -> float:
    """How far a tool reaches towards the chuck within a height over its point, mm."""
    flip = -1.0 if tool.works == "inside" else 1.0
    out = 0.0
    for chain in (tool.outline, *tool.holder):
        for e in chain:
            for k in range(17):
                z, x = e.point_at(k / 16.0)
                if flip * x <= height:
                    out = max(out, -z)
    return out


def _told(request: Request, on: ThreadOn) -> str:
    """What the hand does with die or tap."""
    own, length = on.threaded.thread, abs(on.front - on.back)
    oil = f"; {request.material.coolant}" if request.material.coolant else ""
    shoulder = "; reverse the die for the last turns before the shoulder" if on.relief is None else ""
    if on.threaded.cut_by == "tap":
        how = f"tap {own.in_full} from the tailstock, taper tap first, {length:.1f} mm deep"
    else:
        how = f"die {own.in_full} in its holder against the tailstock, its tapered side first, {length:.1f} mm long"
    return (
        f"isolate the drives, chuck key out, hands clear until all stands; {how}; turn the chuck by hand, a quarter "
        f"back after every half turn to break the chip{oil}{shoulder}; back off, clean, try the mate"
    )
