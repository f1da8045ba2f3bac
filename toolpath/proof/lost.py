"""Metal that must stay besides the finished part and does not: bar, stub, what later set-ups still cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from toolpath.motion import Program
from toolpath.proof.findings import Finding, finding
from toolpath.proof.flatten import Geometry
from toolpath.proof.measure import Outline, Surface, polygons, region, worst
from toolpath.proof.setting import Setting


def findings(
    setting: Setting,
    left: Geometry,
    *,
    goal: tuple[Geometry, Surface],
    states: Sequence[Sequence[Outline]],
    program: Program,
) -> Iterator[Finding]:
    """The deepest place at which metal of the goal is gone. What of it is the part's own is a gouge, and told as that;
    what a person takes off at a stop may go.

    left: all that stands or came off; goal: the region that must stand, and its surface; states: after each operation
    """
    body, surface = goal
    may_go = [left, region(setting.part), *(region(hand.removes) for hand in setting.by_hand)]
    lacking = polygons(shapely.difference(body, shapely.union_all(may_go)))
    size, at = worst(surface.farthest(lacking))
    if at is None or size <= setting.gouge_tolerance:
        return
    hit = shapely.union_all(lacking)
    line, tool = _after(hit, states, program)
    text = (
        f"{size:.4f} mm of what must stay standing is cut away at z {at[0]:.3f}, x {at[1]:.3f}: bar, stub, or metal "
        "for a later set-up; correct this operation, or say in the job that less is to stand"
    )
    yield finding("goal-lost", text, line=line, tool=tool, at=at, size=size)


def _after(lacking: Geometry, states: Sequence[Sequence[Outline]], program: Program) -> tuple[int, int]:
    """First line and tool of the operation that took it: the first after which less of it stands than at the end."""
    most = shapely.area(lacking)
    for state, operation in zip(states, program.operations, strict=True):
        stands = shapely.union_all([shapely.make_valid(shapely.Polygon(o)) for o in state])
        if operation.steps and shapely.area(shapely.intersection(stands, lacking)) < 0.5 * most:
            return operation.steps[0].line, operation.steps[-1].state.tool
    return 0, 0
