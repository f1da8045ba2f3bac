"""Threads of a set-up: with a point in step with the spindle, or by hand with die and tap while the program waits."""

from __future__ import annotations

import math
from collections.abc import Iterable

from toolpath.cutting.full_form import crest_left
from toolpath.cutting.thread_form import ThreadForm, towards_chuck
from toolpath.cutting.threading import ThreadData, plan_thread, refuse_unfit
from toolpath.errors import BadInput, CannotMake
from toolpath.geometry.elements import Chain, Element
from toolpath.geometry.frame import OUTSIDE
from toolpath.part.threads import RAMP, ThreadOn
from toolpath.passes.legs import in_frame
from toolpath.passes.thread import Infeed, Threading, thread
from toolpath.plan.operations import ByHand, CutThread, Operation, Planned
from toolpath.plan.queue import Queue
from toolpath.plan.request import Request
from toolpath.plan.rest import Left
from toolpath.plan.share import SAME
from toolpath.shop.duties import enter_refusal
from toolpath.shop.threads import limits
from toolpath.shop.threads.preparing import blank, bore
from toolpath.shop.tools import Tool

FLANK_RELIEF = math.radians(1.0)
"""How much steeper than its flank the point comes down, so that the trailing flank does not rub (common practice)."""

STILL_THERE = 0.1
"""mm of metal left in a relief from which it is none."""

RAMP_FAR = 3.0
"""Lengths of a ramp within which it begins, with what it stands back from a shoulder."""

RAMP_STEPS = 32
"""Places on a ramp at which the tool's reach is looked at."""

KEEP_OFF = 0.2
"""mm that the point stays from the shoulder behind a relief (common practice, no source)."""


def of_setup(request: Request) -> tuple[ThreadOn, ...]:
    """The threads that this set-up cuts: those in the hollow that looks at the tools, and on what is turned here.

    CannotMake for one that this set-up would turn in part only.
    """
    near, deep = request.turn_from, math.inf if request.turn_to is None else request.turn_to
    for on in request.part.threads:
        far = on.back if on.relief is None else min(on.back, on.relief[1])
        if on.chain == "outside" and any(-on.front < cut - SAME and -far > cut + SAME for cut in (near, deep)):
            raise CannotMake(
                f"{on.threaded.thread.in_full} lies from z {on.front:.2f} to {far:.2f} mm, and this set-up turns to "
                f"{deep:.2f} mm: thread and relief are cut in one. Write turn_to so that one holding has both"
            )
    return tuple(
        on
        for on in request.part.threads
        if (on.chain == "inside" and request.first_here)
        or (on.chain == "outside" and -on.front >= near - SAME and -on.back <= deep + SAME)
    )


def refuse_without_relief(on: ThreadOn, left: Iterable[Left]) -> None:
    """CannotMake when metal is left in the relief in which the point must stop."""
    if on.relief is None or not on.threaded.in_step:
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
    _refuse_turned_about(on)
    if on.threaded.in_step:
        return _by_point(request, on, queue)
    if request.centre:
        raise CannotMake(
            f"{on.threaded.thread.in_full} is cut by a {on.threaded.cut_by}, which does not go on over a centre. Cut "
            'it in another holding, or with the point (cut_by = "point")'
        )
    _refuse_behind(request, on, 0.0, f"no {on.threaded.cut_by} gets there")
    thread_, what = on.threaded.thread, on.threaded.cut_by
    return ByHand(
        "thread", _told(request, on), (), f"{thread_.in_full} by {what}, as the job has it", f"{thread_.in_full} {what}"
    )


def cut_of(request: Request, on: ThreadOn, data: ThreadData, *, room: float, tool: Tool) -> Threading:
    """The passes of a thread that is cut with a point. room: mm beyond the full thread in which it stops.

    CannotMake when the ramp of one without relief leaves nothing of it.
    """
    own = on.threaded.thread
    forward = request.machine.spindle_sense == "forward"
    to_chuck = towards_chuck("left" if own.left else "right", forward=forward)
    begins, ends = (on.front, on.back) if to_chuck else (on.back, on.front)
    run_out, ramped = room, False
    if not to_chuck:
        run_out = max(data.stopping.value, _in_front(request, on) + request.machine.clearance)
    elif on.relief is None:
        _refuse_waiting(request, on)
        ramped = True
        ends += run_out + _stand_back(request, on, run_out, tool)
        _refuse_over_mouth(on, ends)
        if on.front - ends < own.pitch:
            raise CannotMake(
                f"{own.in_full} is {on.front - on.back:.2f} mm long, and the point needs {ends - on.back:.2f} mm of "
                "it to leave the metal on a ramp: less than a turn is left. Make it longer, or write undercut = true"
            )
    return Threading(
        crest=on.crest + on.shift(begins),
        depth=data.whole.value,
        half_angle=own.angle / 2.0,
        lead=own.lead,
        begins=begins,
        ends=ends,
        run_in=data.run_in.value,
        run_out=max(run_out, SAME),
        clear=_clear(request, on),
        most=data.depth.value,
        least=min(data.finest.value, data.depth.value / 2.0),
        inside=on.inside,
        starts=own.starts,
        taper=on.taper,
        ramped=ramped,
        springs=round(data.springs.value) if request.springs is None else request.springs,
        infeed=Infeed(request.infeed.removesuffix(" clear")),
        relief=FLANK_RELIEF if request.infeed == "flank clear" else 0.0,
    )


def _refuse_waiting(request: Request, on: ThreadOn) -> None:
    """CannotMake where the control would stop at full depth, to wait for the spindle's mark, before it ramps out."""
    by = "tap" if on.inside else "die"
    if not request.ramps:
        raise CannotMake(
            f"{on.threaded.thread.in_full} has no relief, so that the point leaves it on a ramp, and before that this "
            f'control waits for the spindle\'s mark, in the metal. Write undercut = true or cut_by = "{by}"; where the '
            "control goes on in step, say continues = true under [thread] of its dialect"
        )


def _refuse_over_mouth(on: ThreadOn, ends: float) -> None:
    """CannotMake where the mouth of a screw's mate is not open over all the turns that its ramp leaves."""
    mate, bare = on.threaded.mate, math.ceil(10.0 * (ends - on.back)) / 10.0
    if mate is not None and not on.inside and ends - on.back > mate.mouth + SAME:
        raise CannotMake(
            f"{on.threaded.thread.in_full} is full to {ends - on.back:.2f} mm before its shoulder, for the point "
            f"leaves it on a ramp, and the mate's mouth is open {mate.mouth:.2f} mm deep: it jams there. Write "
            f"undercut = true, or counterbore the mate and write mate_mouth = {bare:g}"
        )


def _clear(request: Request, on: ThreadOn) -> float:
    """Radius at which the point travels back."""
    clearance = min(request.machine.clearance, on.crest / 2.0)
    ends = (on.crest, on.crest + on.shift(on.back))
    return min(ends) - clearance if on.inside else max(ends) + clearance


def _by_point(request: Request, on: ThreadOn, queue: Queue) -> Operation:
    tool, data = _tool(request, on)
    job = cut_of(request, on, data, room=_room(request, on, tool), tool=tool)
    if job.way < 0.0:
        _refuse_behind(request, on, job.run_in, f"the point must come up to speed in {job.run_in:.2f} mm")
    if job.way > 0.0 and (on.relief is None or data.run_in.value > _room(request, on, tool)):
        has = 0.0 if on.relief is None else _room(request, on, tool)
        raise CannotMake(
            f"{on.threaded.thread.in_full} is cut away from the chuck and must come up to speed in "
            f"{data.run_in.value:.2f} mm behind it, where {has:.2f} mm are free. Widen the relief, or use a die"
        )
    legs, passes = thread(job, queue.start(tool))
    crest = crest_left(tool, form_of(on), data.whole.value) if on.crests else None
    because = f"T{tool.number} for {on.threaded.thread.in_full}: {data.whole.value:.3f} mm deep, {data.whole.because}"
    return Operation(
        "thread", tool, data, because, in_frame(legs, OUTSIDE), data.depth.value, passes, CutThread(on, job, crest)
    )


def _tool(request: Request, on: ThreadOn) -> tuple[Tool, ThreadData]:
    """The first point that can cut it, with its figures; the reasons of all when none can."""
    duty = "thread inside" if on.inside else "thread"
    told: list[str] = []
    for tool in sorted((t for t in request.rack if duty in t.does), key=lambda t: t.number):
        try:
            form = form_of(on)
            refuse_unfit(tool, request.machine, form)
            _refuse_bar(tool, on)
            room = _room(request, on, tool)
            return tool, plan_thread(
                request.material, tool, request.machine, form, room=room, in_chuck=request.held_in == "chuck"
            )
        except (CannotMake, BadInput) as error:
            told.append(str(error))
    why = "; ".join(told) or "the rack has no point for it"
    raise CannotMake(f"{on.threaded.thread.in_full} can not be cut with a point: {why}")


def _refuse_bar(tool: Tool, on: ThreadOn) -> None:
    """CannotMake for a bar that does not go into the hole as far as its thread, or not by its neck."""
    narrow = min(on.crest, on.crest + on.shift(on.back))
    told = enter_refusal(tool, round(2.0 * narrow, 3), deep=-on.back) if on.inside else ""
    if told:
        raise CannotMake(f"T{tool.number} {tool.name}: {told}")


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
        crests=on.crests,
        deepest=on.deepest,
    )


def pitch_limits(on: ThreadOn) -> tuple[float, float]:
    """Least and greatest pitch diameter at its front, mm; (0, 0) where the standard gives none."""
    found = limits(on.threaded.thread)
    own = found.hole if on.inside else found.screw
    off = 2.0 * on.pitch - own.pitch.middle if own and on.taper else 0.0
    return (own.pitch.least + off, own.pitch.greatest + off) if own else (0.0, 0.0)


def _room(request: Request, on: ThreadOn, tool: Tool) -> float:
    """mm along z from the end of the full thread to where the point must stand, in its relief or on its ramp."""
    if on.relief is None:
        return RAMP * on.threaded.thread.pitch
    sign, wide = _sign(on), on.back - on.relief[1]
    # Where the point is at full depth, this much of it stands beside what lies behind the relief.
    deep = _end(request, on, tool) + sign * on.shift(on.back)
    behind = ((e, _top(e, sign) - deep) for e in _behind(request, on, on.relief[1]))
    beside = max((_beside(tool, h) - (on.relief[1] - _near(e)) for e, h in behind), default=0.0)
    if wide - beside <= KEEP_OFF:
        raise CannotMake(
            f"T{tool.number} {tool.name} reaches {beside:.2f} mm towards the shoulder, and the relief is {wide:.2f} mm "
            f"wide: write undercut_width = {beside + KEEP_OFF + on.threaded.thread.pitch:.1f}, or take a slimmer point"
        )
    return wide - beside - KEEP_OFF


def _stand_back(request: Request, on: ThreadOn, run_out: float, tool: Tool) -> float:
    """mm by which a ramp must end before the row does, so that the tool keeps off what stands over the crest there."""
    sign = _sign(on)
    # On a taper the ramp begins where the root of a screw lies a little lower than at its end.
    begins = on.back + (0.0 if on.inside else RAMP_FAR * run_out)
    deep, out = _end(request, on, tool) + sign * on.shift(begins), sign * _clear(request, on)
    steps = [k / RAMP_STEPS for k in range(RAMP_STEPS + 1)]
    need = 0.0
    for e in _behind(request, on, on.back):
        top = _top(e, sign)
        if top > sign * (on.crest + on.shift(on.back)) + SAME:
            reach = max(_beside(tool, top - (deep + t * (out - deep))) - run_out * (1.0 - t) for t in steps)
            need = max(need, reach + KEEP_OFF - (on.back - _near(e)))
    return need


def _end(request: Request, on: ThreadOn, tool: Tool) -> float:
    """Where the point's end is at full depth, at the front of the thread, as (sign x radius)."""
    return _sign(on) * on.crest - refuse_unfit(tool, request.machine, form_of(on)).value


def _in_front(request: Request, on: ThreadOn) -> float:
    """mm from the front of a thread to where nothing stands over its root any more: its chamfer, or a pilot."""
    sign = _sign(on)
    ends = (max(e.a[0], e.b[0]) for e in _chain(request, on) if min(e.a[0], e.b[0]) >= on.front - SAME
            and _top(e, sign) > sign * on.deepest + SAME)  # fmt: skip
    return max(ends, default=on.front) - on.front


def _top(e: Element, sign: float) -> float:
    """How far an element stands into the air, as (sign x radius)."""
    return max(sign * e.a[1], sign * e.b[1])


def _near(e: Element) -> float:
    """Its z on the side of the free end."""
    return max(e.a[0], e.b[0])


def _sign(on: ThreadOn) -> float:
    """1.0 where the metal lies below the crest, -1.0 inside."""
    return -1.0 if on.inside else 1.0


def _chain(request: Request, on: ThreadOn) -> Chain:
    return request.part.inside if on.inside else request.part.outside


def _behind(request: Request, on: ThreadOn, z: float) -> Chain:
    """What of the side the thread is on lies behind z."""
    return tuple(e for e in _chain(request, on) if max(e.a[0], e.b[0]) <= z + SAME)


def _refuse_turned_about(on: ThreadOn) -> None:
    """CannotMake for a thread whose relief lies on the side that die and point come from."""
    if on.relief is not None and on.relief[1] >= on.front - SAME:
        raise CannotMake(
            f"the relief of {on.threaded.thread.in_full} lies in front of it as the work is held here, and the thread "
            "starts behind it. Cut it in the set-up in which its start looks at the tools"
        )


def _refuse_behind(request: Request, on: ThreadOn, need: float, why: str) -> None:
    """CannotMake when what lies in front of a thread, within `need` mm of it, stands over its crest."""
    sign = _sign(on)
    for e in _chain(request, on):
        z, top = min(e.a[0], e.b[0]), _top(e, sign)
        face = e.a[0] == e.b[0] and e.a[0] >= -SAME
        if z >= on.front - SAME and not face and top > sign * on.crest + SAME and (not need or z < on.front + need):
            raise CannotMake(
                f"{on.threaded.thread.in_full} begins at z {on.front:.2f} mm behind a diameter of {2.0 * abs(top):.2f} "
                f"mm at z {z:.2f}, and {why}. Let it begin at an end, or let what lies before it be no "
                f"{'smaller' if on.inside else 'larger'}"
            )


def _beside(tool: Tool, height: float) -> float:
    """How far a tool reaches towards the chuck within a height over its point, mm."""
    flip = -1.0 if tool.works == "inside" else 1.0
    out = 0.0
    for chain in (tool.outline, *tool.steps, *tool.holder):
        for e in chain:
            for k in range(17):
                z, x = e.point_at(k / 16.0)
                if flip * x <= height:
                    out = max(out, -z)
    return out


def _told(request: Request, on: ThreadOn) -> str:
    """What the hand does with die or tap."""
    own, length = on.threaded.thread, abs(on.front - on.back)
    size = bore(own) if on.inside else blank(own)
    at = "" if not own.taper else " at its mouth" if on.inside else " at its small end"
    what = f"measure first, {'hole' if on.inside else 'rod'} {size.least:.3f} to {size.greatest:.3f} mm{at}"
    metal = request.material
    advice = metal.die if on.threaded.cut_by == "die" and metal.die else metal.coolant
    oil = f"; in {metal.title}: {advice}" if advice else ""
    blocked = on.relief is None and bool(_behind(request, on, on.back))
    if on.threaded.cut_by == "tap":
        shoulder = "; a bottoming tap for the last turns" if blocked else ""
        how = f"tap {own.in_full} from the tailstock, taper tap first, {length:.1f} mm deep"
    else:
        shoulder = "; reverse the die for the last turns before the shoulder" if blocked else ""
        how = f"die {own.in_full} in its holder against the tailstock, its tapered side first, {length:.1f} mm long"
    return (
        f"isolate the drives, chuck key out, hands clear until all stands; {what}; {how}; turn the chuck by hand, a "
        f"quarter back after every half turn to break the chip{oil}{shoulder}; back off, clean, try the mate"
    )
