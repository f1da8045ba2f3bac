"""The floor that closes a bored hole on the axis, tapered or rounded: how near to the axis a bar gets, and its passes.

A bar that cuts near the axis reaches over it, and its back comes against the floor and the wall on the other side. So
it stops where that would begin; what it leaves in the middle is as the drill left it, and told.
"""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import replace

from toolpath.cutting.turning import CuttingData
from toolpath.errors import CannotMake
from toolpath.geometry.ceiling import back
from toolpath.geometry.corners import crossings
from toolpath.geometry.elements import Chain, Line, Point, polyline
from toolpath.geometry.envelope import Envelope, envelope, over_span
from toolpath.geometry.minimum import lower
from toolpath.geometry.silhouette import silhouette
from toolpath.geometry.uncut import swept
from toolpath.passes import levels
from toolpath.passes.floor import FloorRoughing, rough_floor
from toolpath.passes.legs import end_of, in_frame
from toolpath.plan.choose import ALIKE, Choice
from toolpath.plan.operations import Operation, figures
from toolpath.plan.reach import HOLDER_ROOM, Reach, drawn, reach
from toolpath.plan.reach import leaving as leaving_on
from toolpath.plan.request import Request
from toolpath.plan.rest import OVERLAP, Left
from toolpath.plan.side import LEAST_CLEARANCE, Side
from toolpath.plan.turning import come, go, leaving
from toolpath.plan.workpiece import SAME, Workpiece
from toolpath.shop.tools import Tool

STEP = 0.02
"""mm: how finely it is looked how deep a bar gets."""

MOST_SHELLS = 100
"""More passes over a floor than this is no plan but a mistake in the depth."""

PLACES = 32
"""Places along what a drill left at which it is measured how much stands over the floor."""

WHY = "the back of the bar comes against the other side of the hole before its point is at the axis"


class Descent(Struct, frozen=True):
    """at: u where the point stops; paths: of the roughing passes, the first one first; data: their figures.

    level: the tool over the side as far as level passes go
    """

    at: float
    level: Reach
    paths: tuple[Chain, ...]
    data: CuttingData


def floor_tool(tools: list[Tool], side: Side) -> tuple[Choice, float]:
    """(the bar that gets nearest to the axis, the stronger of those that get as near; u where it stops)."""
    tried = [(stop(r), r) for r in (reach(t, side) for t in tools)]
    nearest = min(u for u, _ in tried)
    alike = [(u, r) for u, r in tried if u <= nearest + ALIKE]
    best, at = min(((r, u) for u, r in alike), key=lambda c: (-c[0].tool.nose_radius, c[0].tool.number))
    others = [f"T{r.tool.number} stops {u - at:.2f} mm higher" for u, r in tried if r is not best]
    told = f"T{best.tool.number} gets down the floor to z {at:.2f}, nearest to the axis"
    return Choice(best, "; ".join([told, *(others or ["no other bar goes in"])])), at


def stop(choice: Reach, env: Envelope | None = None) -> float:
    """Least u to which the point may follow its envelope down the floor, its back clear of what was drilled across."""
    side, env = choice.side, env or choice.env
    wall = silhouette(side.stands).chain
    backs = [envelope(wall, back(choice.frame.outline(o))) for o in (choice.tool.outline, *choice.tool.holder)]
    u = side.core or 0.0
    while u - STEP > side.begins:
        after = u - STEP
        if env.height(after) + max(b.height(after) for b in backs) > -LEAST_CLEARANCE:
            break
        u = after
    return u


def descent(request: Request, work: Workpiece, choice: Reach, at: float) -> Descent:
    """The passes over the floor, and where they all stop. at: where the tool would stop with nothing left on.

    CannotMake when the bar does not get down to the floor at all.
    """
    side = choice.side.fitted(choice.tool)
    data = figures(request, work, choice.tool, operation="rough", diameter=side.dia)
    stock = envelope(side.up_to_end, choice.cut)
    last = leaving(choice, data)
    hi = level_to(choice, last)
    # Left on along both axes, it lies twice as far in front of the edge on a slope of 45 degrees.
    step = min(data.depth.value / math.sqrt(2.0), _proud(choice) / 2.0)
    shells: list[Envelope] = []
    while True:
        k = len(shells)
        env = leaving_on(choice, (data.leave_z.value + k * step, data.leave_x.value + k * step)) if k else last
        lo = max(at, stop(choice, env))
        spans = levels.standing(stock, env, (lo, hi), least=STEP) if hi > lo else []
        if not spans:
            break
        if k == MOST_SHELLS:
            raise CannotMake(f"{k} passes of {step:.2g} mm do not clear the floor of the hole: drill more of it")
        shells.append(env)
        # What a pass leaves in the middle stands before the head of the next: none goes deeper than the one before it.
        at = lo if spans[0][0] < lo + STEP else at
    _refuse_high(choice, at)
    paths = (_over(env, levels.standing(stock, env, (at, hi), least=STEP), hi, side) for env in reversed(shells))
    level = replace(choice, side=replace(choice.side, begins=hi))
    return Descent(at=at, level=level, paths=tuple(p for p in paths if p), data=data)


def level_to(choice: Reach, env: Envelope) -> float:
    """Least u to which level passes go: where they would climb the floor, or the head would meet the drill's cone."""
    side = choice.side
    climbs = min((lo for lo, _ in levels.below(env, side.top, (side.begins, side.ends), 0.0)), default=side.ends)
    return max(climbs, (side.core or 0.0) - _proud(choice))


def _over(env: Envelope, spans: list[levels.Span], hi: float, side: Side) -> Chain:
    """The envelope over the metal, and a clearance more on the right."""
    return levels.clipped(env, (spans[0][0], min(spans[-1][1] + side.clearance, hi))) if spans else ()


def _proud(choice: Reach) -> float:
    """mm that the edge stands before what carries it, less what is kept between that and metal."""
    front = min((e.bounds()[0] for o in choice.tool.holder for e in choice.frame.outline(o)), default=math.inf)
    return max(front - HOLDER_ROOM, STEP)


def _refuse_high(choice: Reach, at: float) -> None:
    floor = choice.side.contour[min(choice.side.wanted)]
    rim, tool = floor.b, choice.tool
    if at < rim[0] - STEP or tool.bar is None:
        return
    raise CannotMake(
        f"no bar gets down to the floor that begins {-rim[0]:.2f} mm deep at diameter {-2.0 * rim[1]:.2f}: the back of "
        f"T{tool.number} {tool.name}, {tool.bar.back:g} mm behind its point, meets the other side of the hole at "
        f'{-at:.2f} mm. Take a thinner bar, or write made = "drilled"'
    )


def roughing_floor(request: Request, choice: Reach, down: Descent, because: str, *, start: Point) -> Operation:
    """Rough what the drill left on the floor; no legs where a drill of the floor's own angle left nothing."""
    side, data = choice.side.fitted(choice.tool), down.data
    legs, here = come(side, choice.frame.point(start))
    job = FloorRoughing(
        paths=down.paths, core=side.core or 0.0, travel=side.top + side.clearance, clearance=side.clearance
    )
    legs += rough_floor(job, here)
    whole = in_frame((*legs, *go(side, end_of(legs))), choice.frame.back) if down.paths else ()
    return Operation("rough", choice.tool, data, because, whole, data.depth.value, len(down.paths))


def finished_to(choice: Reach, at: float) -> float:
    """u where the finish cut may end: `at`, or as far as metal stands and a little over that."""
    side = choice.side
    stock = envelope(side.up_to_end, choice.cut)
    spans = levels.standing(stock, choice.env, (at, side.ends), least=STEP)
    return max(at, spans[0][0] - OVERLAP) if spans else side.ends


def stands_after(choice: Reach, at: float) -> Chain:
    """What stands after a finish cut that ended with the tool at u = `at`, no higher than the axis."""
    side, frame = choice.side, choice.frame
    pieces = [p for p in choice.env.pieces if p.path.b[0] > at]
    if pieces and pieces[0].path.a[0] < at:
        first = pieces[0].path
        pieces[0] = replace(pieces[0], path=over_span(first, at, first.b[0]))
    surface = side.seen(swept(tuple(pieces), choice.keep, choice.cut, drawn(choice.tool, frame)), frame)
    stands = lower(side.stands, surface, (surface[0].a[0], surface[-1].b[0]))
    return lower(stands, (Line((side.begins, 0.0), (0.0, 0.0)),))


def middle(choice: Reach, left: tuple[Left, ...], down: Descent, at: float) -> tuple[Left, ...]:
    """The leftovers, those that lie deeper than u = `at` with their reason and as thick as the leaning edge leaves."""
    far = max((min(e.distance(p) for e in choice.side.contour) for p in _front(choice, down, at)), default=0.0)
    out = []
    for r in left:
        deeper = min(e.bounds()[0] for e in r.outline) < at - STEP
        out.append(replace(r, why=WHY, thick=max(r.thick, far)) if deeper else r)
    return tuple(out)


def _front(choice: Reach, down: Descent, at: float) -> list[Point]:
    """What the edge leaves of the drill's cone when the tool has stopped at `at`: where its leaning line, drawn from
    the pass nearest to the axis, comes out of the cone, or beyond the edge's end all that is nearer to the axis."""
    nose, length = choice.tool.nose_radius, choice.tool.edge_length
    foot: Point = (at, choice.env.height(at) + nose)
    high = max((p[0].a[1] + nose for p in down.paths if p[0].a[0] < at + STEP), default=foot[1])
    lean = math.tan(max(choice.tool.edges[0] - math.pi / 2.0, 0.0))
    turn = (at, max(high, foot[1]))
    end = (turn[0] + lean * length, turn[1] + length)
    cone = [e for e in choice.side.stands if max(e.a[1], e.b[1]) <= SAME]
    front = polyline([foot, turn, end] if turn != foot else [foot, end])
    met = [(f, e, p) for f in front for e in cone for p in crossings(f, e)]
    out = [p for f, e, p in met if 0.0 <= f.parameter_of(p) <= 1.0 and 0.0 <= e.parameter_of(p) <= 1.0]
    places = (e.point_at(k / PLACES) for e in cone for k in range(PLACES + 1))
    return out or [end, *(p for p in places if end[1] < p[1])]
