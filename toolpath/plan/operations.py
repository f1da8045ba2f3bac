"""The operations of a set-up as legs in (z, x), each with its tool, its figures and the reasons for both."""

from __future__ import annotations

from msgspec import Struct

from toolpath.cutting.parting import NEAR_AXIS
from toolpath.cutting.turning import CuttingData, leave_on, plan_turning
from toolpath.errors import CannotMake
from toolpath.geometry.cutter import FIT_TOLERANCE
from toolpath.geometry.elements import Chain, Line, Point, reverse
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.geometry.frame import OUTSIDE
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.geometry.silhouette import silhouette
from toolpath.passes import levels
from toolpath.passes.face import Facing, face
from toolpath.passes.finish import Finishing, finish
from toolpath.passes.groove import Grooving, groove
from toolpath.passes.legs import Legs, end_of, in_frame
from toolpath.passes.part_off import Parting, part_off
from toolpath.passes.rough import Roughing, rough
from toolpath.plan.compensated import by_control
from toolpath.plan.reach import Reach, height_over, on_contour, standing
from toolpath.plan.reach import in_frame as chain_in_frame
from toolpath.plan.request import Request
from toolpath.plan.rest import Rest, path_of, stretch
from toolpath.plan.workpiece import Workpiece
from toolpath.shop.tools import Tool

PEAK_TO_AVERAGE = 4.0
"""Height of turning marks per average roughness: f^2/(8 r) against f^2/(32 r), Mitsubishi Materials."""

LIFT = 0.5
"""mm the blade is drawn back between pecks to break the chip (common practice, no source)."""

LEAD = 0.5
"""mm of lead-in beyond the clearance, so that a finish cut meets metal at full feed (common practice, no source)."""


AIR = 1000.0
"""mm: far enough from any part to stand for nothing there."""


class Operation(Struct, frozen=True):
    """kind: face | rough | finish | groove | part off. legs: from the change point or where the operation before ended.

    depth: greatest depth of cut, mm per side; passes: how many cuts
    """

    kind: str
    tool: Tool
    data: CuttingData
    because: str
    legs: Legs
    depth: float
    passes: int


def facing(request: Request, tool: Tool, because: str, *, start: Point, stick_out: float) -> Operation:
    """Face the bar's end from outside it to past the axis."""
    data = figures(request, tool, "face", request.bar_dia, stick_out)
    job = Facing(
        front=request.face_off,
        face=0.0,
        outside=request.bar_dia / 2.0,
        past=tool.nose_radius,
        depth=data.depth.value,
        clearance=request.machine.clearance,
    )
    legs, depths = face(job, start)
    return Operation("face", tool, data, because, legs, max(depths), len(depths))


def bar_surface(request: Request, work: Workpiece) -> Chain:
    """What stands after facing, left to right: the bar, its end, and the axis in front of it."""
    r_bar = request.bar_dia / 2.0
    front = (0.0, r_bar)
    return (Line((work.contour[0].a[0], r_bar), front), Line(front, (0.0, -AIR)), Line((0.0, -AIR), (AIR, -AIR)))


def finishing(request: Request, work: Workpiece, choice: Reach, because: str, *, start: Point) -> Operation:
    """Finish the outside in one pass, from the free end to the bar."""
    tool = choice.tool
    data = figures(request, tool, "finish", request.bar_dia, work.stick_out)
    wanted = choice.elements(finished_elements(work))
    touching = [i for i, p in enumerate(choice.env.pieces) if on_contour(p, wanted)]
    if not touching:
        raise CannotMake(f"T{tool.number} {tool.name} does not touch the part anywhere: {choice.in_words()}")
    path = merged(choice.env.path[touching[0] : touching[-1] + 1], MERGE, sliver=SLIVER)
    job = _finishing(request, choice, path)
    legs: Legs = ()
    here = OUTSIDE.point(start)
    for k in range(request.finish_passes):
        # The control compensates the last of the passes only: the one that leaves the size.
        by_itself = request.compensation == "control" and k + 1 == request.finish_passes
        legs += by_control(choice, wanted, job, here) if by_itself else finish(job, here)
        here = end_of(legs)
    back = in_frame(legs, OUTSIDE.back)
    return Operation("finish", tool, data, because, back, data.depth.value, request.finish_passes)


def rest_turning(request: Request, work: Workpiece, rest: Rest, stands: Chain, *, start: Point) -> list[Operation]:
    """Rough and finish with a further tool only where others left metal. stands: what is there now, in (z, x)."""
    choice, tool = rest.reach, rest.reach.tool
    frame = choice.frame
    rough_data = figures(request, tool, "rough", request.bar_dia, work.stick_out)
    keep = leaving(choice, rough_data)
    stock = envelope(chain_in_frame(stands, frame), choice.cut)
    cut: list[tuple[Legs, tuple[float, ...]]] = []
    paths = [path_of(pieces) for span in rest.spans if (pieces := stretch(choice, span))]
    here = frame.point(start)
    for path in paths:
        job = Roughing(
            keep=keep,
            stock=stock,
            within=(path[0].a[0], path[-1].b[0]),
            top=request.bar_dia / 2.0,
            depth=rough_data.depth.value,
            clearance=request.machine.clearance,
        )
        cut.append(rough(job, here))
        here = end_of(cut[-1][0]) if cut[-1][0] else here
    roughed = tuple(leg for legs, _ in cut for leg in legs)
    depths = [d for _, ds in cut for d in ds]
    out = []
    if roughed:
        back = in_frame(roughed, frame.back)
        out.append(Operation("rough", tool, rough_data, rest.because, back, max(depths), len(depths)))
    legs: Legs = ()
    for path in paths:
        legs += finish(_finishing(request, choice, path), here)
        here = end_of(legs)
    data = figures(request, tool, "finish", request.bar_dia, work.stick_out)
    out.append(Operation("finish", tool, data, rest.because, in_frame(legs, frame.back), data.depth.value, len(paths)))
    return out


def grooving(request: Request, work: Workpiece, rest: Rest, stands: Chain, *, start: Point) -> Operation:
    """Plunge and finish with a blade where turning tools left metal. stands: what is there now, in (z, x)."""
    choice, tool = rest.reach, rest.reach.tool
    data = plan_turning(
        request.material,
        tool,
        request.machine,
        operation="groove",
        diameter_max=request.bar_dia,
        stick_out=work.stick_out,
        in_chuck=request.held_in == "chuck",
    )
    stock = envelope(stands, choice.cut)
    legs: Legs = ()
    plunges = 0
    here = start
    for span in rest.spans:
        path = path_of(stretch(choice, span))
        if not path:
            continue
        job = Grooving(
            keep=leaving(choice, data),
            bare=choice.env,
            stock=stock,
            within=(path[0].a[0], path[-1].b[0]),
            path=path,
            width=tool.width,
            peck=data.depth.value,
            lift=LIFT,
            top=request.bar_dia / 2.0,
            clearance=request.machine.clearance,
        )
        cut, n = groove(job, here)
        legs, plunges, here = legs + cut, plunges + n, end_of(cut)
    return Operation("groove", tool, data, rest.because, legs, data.depth.value, plunges)


def leaving(choice: Reach, data: CuttingData) -> Envelope:
    """The tool's envelope when it leaves metal on for the finish cut."""
    leave = (data.leave_z.value, data.leave_x.value)
    return standing(choice.tool, choice.keep, choice.frame, leave=leave)[1]


def _finishing(request: Request, choice: Reach, path: Chain) -> Finishing:
    return Finishing(
        keep=choice.env,
        path=path,
        top=request.bar_dia / 2.0,
        lead=request.machine.clearance + LEAD,
        clearance=request.machine.clearance,
        nose=choice.tool.nose_radius,
        leave=leave_on(choice.tool)[0].value,
    )


def parting(request: Request, work: Workpiece, tool: Tool, because: str, *, start: Point, stands: Chain) -> Operation:
    """Break the back corner and part the piece off, or down to its stub. stands: what is there now, in (z, x)."""
    c = request.machine.clearance
    over_slot = (work.parting_z - c, work.parting_z + 2.0 * tool.width + c)
    outside = min(2.0 * max(work.tail[0].a[1], height_over(stands, over_slot)), request.bar_dia)
    data = plan_turning(
        request.material,
        tool,
        request.machine,
        operation="part off",
        diameter_max=max(outside, request.stub + 1e-6),
        stick_out=work.stick_out,
        in_chuck=request.held_in == "chuck",
        stub=request.stub,
    )
    near = data.near_axis_feed
    job = Parting(
        z=work.parting_z,
        outside=outside / 2.0,
        corner=_corner_path(work, tool, stands, lead=c),
        floor=request.stub / 2.0 if request.stub > 0.0 else -tool.nose_radius,
        peck=data.depth.value,
        lift=LIFT,
        slow_from=NEAR_AXIS / 2.0,
        slow=near.value / data.feed.value if near else 1.0,
        clearance=c,
    )
    legs = part_off(job, start)
    return Operation("part off", tool, data, because, legs, data.depth.value, 1)


def part_elements(work: Workpiece) -> frozenset[int]:
    """Elements of the contour that are the part's surfaces, its flat front face left out: that is faced."""
    last = len(work.contour) - 1
    front = work.contour[last]
    faced = {last} if front.a[0] == front.b[0] else set()
    return frozenset(k for k, source in enumerate(work.turned) if source >= 0) - faced


def finished_elements(work: Workpiece) -> frozenset[int]:
    """The part's surfaces and the turned length behind them, up to the bar."""
    behind = min(k for k, source in enumerate(work.turned) if source >= 0)
    return part_elements(work) | frozenset(range(behind - len(work.tail), behind))


def _corner_path(work: Workpiece, tool: Tool, stands: Chain, *, lead: float) -> Chain:
    """Path of the blade's point along the back corner, from the top down, with a straight lead-in.

    Empty when the corner stays sharp, or when what stands beside it keeps the blade from it.
    """
    top, foot = work.back[-1].b, work.back[0].a
    beside = tuple(e for e in stands if e.a[0] >= top[0] - MERGE)
    keep = (Line((foot[0] - 1000.0, foot[1]), foot), *work.back, *beside)
    seen = silhouette(keep)
    _, env = standing(tool, seen.chain)
    slanting = {k for k in range(1, 1 + len(work.back)) if keep[k].a[0] != keep[k].b[0]}
    corner = frozenset(n for n, k in enumerate(seen.source) if k in slanting)
    nose = [p.path for p in env.pieces if on_contour(p, corner)]
    if not nose:
        return ()
    # The upright piece, where the blade's side stands on the back face, is the plunge that follows.
    beyond_face = work.parting_z + 4.0 * FIT_TOLERANCE
    path = reverse(levels.clipped(env, (beyond_face, max(e.b[0] for e in nose))))
    if not path:
        return ()
    d, p = path[0].tangent_at(0.0), path[0].a
    entry = (p[0] - lead * d[0], p[1] - lead * d[1])
    clear = all(env.height(p[0] - k / 16.0 * lead * d[0]) <= p[1] - k / 16.0 * lead * d[1] for k in range(1, 17))
    return (Line(entry, p), *path) if clear else path


def figures(request: Request, tool: Tool, operation: str, diameter: float, stick_out: float) -> CuttingData:
    """Speeds, feed, depth and leave-on of an operation at a diameter (mm) of the work."""
    height = request.height_um
    return plan_turning(
        request.material,
        tool,
        request.machine,
        operation=operation,
        diameter_max=diameter,
        stick_out=stick_out,
        finish_um=None if height is None else height / PEAK_TO_AVERAGE,
        in_chuck=request.held_in == "chuck",
    )
