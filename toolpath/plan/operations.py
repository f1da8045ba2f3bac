"""The operations of a set-up as legs in (z, x), each with its tool, its figures and the reasons for both."""

from __future__ import annotations

from msgspec import Struct

from toolpath.cutting import chips
from toolpath.cutting.drilling import HoleData
from toolpath.cutting.parting import NEAR_AXIS
from toolpath.cutting.threading import ThreadData
from toolpath.cutting.turning import CuttingData, plan_turning
from toolpath.geometry.cutter import FIT_TOLERANCE
from toolpath.geometry.elements import Chain, Line, Point, reverse
from toolpath.geometry.minimum import between, height_over
from toolpath.geometry.silhouette import silhouette
from toolpath.part.stock import Stock
from toolpath.part.threads import ThreadOn
from toolpath.passes import levels
from toolpath.passes.chips import Breaks
from toolpath.passes.face import Facing, face
from toolpath.passes.legs import Legs
from toolpath.passes.part_off import Parting, part_off
from toolpath.passes.thread import Threading
from toolpath.plan.reach import on_contour, standing
from toolpath.plan.request import Request
from toolpath.plan.side import AIR
from toolpath.plan.workpiece import Workpiece
from toolpath.shop.holding import way
from toolpath.shop.outlines import box
from toolpath.shop.tools import Tool

INTO_HOLE = 0.5
"""mm that a parting blade goes on into a hole once its corners are through (common practice, no source)."""

PEAK_TO_AVERAGE = 4.0
"""Height of turning marks per average roughness: f^2/(8 r) against f^2/(32 r), Mitsubishi Materials."""

LIFT = 0.5
"""mm the blade is drawn back between pecks to break the chip (common practice, no source)."""


class CutThread(Struct, frozen=True):
    """A thread that a point cuts: what of the part it is, its passes; crest: radius of those that an insert cuts."""

    on: ThreadOn
    job: Threading
    crest: float | None = None


class Operation(Struct, frozen=True):
    """kind: face | rough | finish | groove | part off. legs: from the change point or where the operation before ended.

    depth: greatest depth of cut, mm per side; passes: how many cuts; cuts: the thread, where it cuts one
    clear: radius from which all is clear of what stands, where it is roughed outside in levels
    """

    kind: str
    tool: Tool
    data: CuttingData | HoleData | ThreadData
    because: str
    legs: Legs
    depth: float
    passes: int
    cuts: CutThread | None = None
    clear: float | None = None


class ByHand(Struct, frozen=True):
    """What the person does while the program waits, the spindle off and the tool at the change point.

    does:    the instruction, one sentence or a few; removes: closed outlines (z, x) of what it takes away
    using:   the tool in the hand; optional: a switch of the control leaves it out
    holds:   closed outlines of what holds the work from then on; None: as before
    """

    kind: str
    does: str
    removes: tuple[Chain, ...] = ()
    because: str = ""
    using: str = ""
    holds: tuple[Chain, ...] | None = None
    optional: bool = False


Planned = Operation | ByHand


def facing(request: Request, work: Workpiece, tool: Tool, because: str, *, start: Point) -> Operation:
    """Face the bar's end from outside it to past the axis."""
    stock = request.stock
    outside = height_over(stock.skyline, (0.0, stock.front))
    data = figures(request, work, tool, operation="face", diameter=2.0 * outside)
    job = Facing(
        front=stock.front,
        face=0.0,
        outside=outside,
        past=tool.nose_radius - max(_hole_at_front(stock) - request.machine.clearance, 0.0),
        depth=data.depth.value,
        clearance=request.machine.clearance,
    )
    legs, depths = face(job, start)
    return Operation("face", tool, data, because, legs, max(depths), len(depths))


def break_off(request: Request, work: Workpiece, tool: Tool) -> ByHand:
    """The stub of a piece that goes on to another set-up, taken off by hand; its pip is faced there."""
    top = request.stub / 2.0 + tool.nose_radius
    stub = box(work.parting_z, 0.0, work.back[0].a[0], top)
    does = (
        f"stop the spindle and isolate the drives, then saw or twist the piece off its stub of {request.stub:g} mm; "
        "dress the pip until the face is flat"
    )
    return ByHand("break off", does, (stub,), "a piece that falls is marked, and the next set-up faces this end")


def _hole_at_front(stock: Stock) -> float:
    """Radius of the hole in the stock's front end, mm, 0 where it is solid."""
    return stock.inside[-1].b[1] if stock.inside else 0.0


def parting(
    request: Request, work: Workpiece, tool: Tool, because: str, *, start: Point, stands: Chain, hole: float = 0.0
) -> Operation:
    """Break the back corner and part the piece off, down to its stub or into its hole.

    stands: the outside that is there now, in (z, x); hole: radius of the hole at the slot, mm, 0 where there is none
    """
    c = request.machine.clearance
    over_slot = (work.parting_z - c, work.parting_z + 2.0 * tool.width + c)
    last = work.tail[0].a[1] if work.tail else 0.0  # nothing is turned here: the bar as it stands
    outside = min(2.0 * max(last, height_over(stands, over_slot)), request.stock.dia)
    data = plan_turning(
        request.material,
        tool,
        request.machine,
        operation="part off",
        diameter_max=max(outside, request.stub + 1e-6),
        diameter_min=2.0 * max(hole - tool.nose_radius - INTO_HOLE, 0.0),
        stick_out=work.stick_out,
        in_chuck=request.in_chuck,
        stub=None if hole > 0.0 else request.stub,
    )
    near = data.near_axis_feed
    floor = request.stub / 2.0 if request.stub > 0.0 else -tool.nose_radius
    if hole > 0.0:
        floor = hole - tool.nose_radius - INTO_HOLE
    job = Parting(
        z=work.parting_z,
        outside=outside / 2.0,
        corner=_corner_path(work, tool, stands, lead=c),
        floor=floor,
        peck=data.depth.value,
        lift=LIFT,
        slow_from=max(NEAR_AXIS / 2.0, hole + INTO_HOLE),
        slow=near.value / data.feed.value if near else 1.0,
        clearance=c,
    )
    legs = part_off(job, start)
    return Operation("part off", tool, data, because, legs, data.depth.value, 1)


def _corner_path(work: Workpiece, tool: Tool, stands: Chain, *, lead: float) -> Chain:
    """Path of the blade's point along the back corner, from the top down, with a straight lead-in.

    Empty when the corner stays sharp, or when what stands beside it keeps the blade from it.
    """
    top, foot = work.back[-1].b, work.back[0].a
    boxes = [e.bounds() for chain in (tool.outline, *tool.holder) for e in chain]
    wide = max(b[2] for b in boxes) - min(b[0] for b in boxes) + 2.0 * lead + top[1] - foot[1]
    # Farther off than blade and holder are wide nothing touches them. Below the axis nothing stands: the air in front
    # of the part is no pit that the blade's holder could be caught in.
    beside = tuple(e for e in between(stands, top[0], min(AIR, top[0] + wide)) if max(e.a[1], e.b[1]) > 0.0)
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


def breaks_of(request: Request, data: CuttingData) -> Breaks | None:
    """How a roughing cut is broken; None where its chips break by themselves."""
    if data.breaks is None:
        return None
    every = data.breaks.value * data.feed.value
    return Breaks(every, 0.0, chips.BACK) if request.material.rubbed else Breaks(every, chips.STAND)


def figures(request: Request, work: Workpiece, tool: Tool, *, operation: str, diameter: float) -> CuttingData:
    """Speeds, feed, depth and leave-on of an operation at a diameter (mm) of the work."""
    height, gives = request.height_um, work.gives
    bends = {"rough": gives.roughed if tool.works == "outside" else gives.finished, "finish": gives.finished}
    return plan_turning(
        request.material,
        tool,
        request.machine,
        operation=operation,
        diameter_max=diameter,
        stick_out=work.stick_out if request.support == "free" else 0.0,
        finish_um=None if height is None else height / PEAK_TO_AVERAGE,
        in_chuck=request.in_chuck,
        work_dia=diameter if tool.works == "outside" else request.stock.dia,
        bends=bends.get(operation),
        run_out=way(request.held_in).run_out,
    )
