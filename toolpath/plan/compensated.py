"""When the control may compensate for the nose, and what the program then says: the contour itself.

A control follows a contour that the nose can touch everywhere. An inner corner, or a hollow not larger than the nose,
is an error in the published language (NISTIR 6556, G41 and G42); a wall that only the edge or the holder comes near
would be cut into. So a pass with any of these is refused here, by name, before anything is written.
"""

from __future__ import annotations

import itertools
import math

from toolpath.errors import CannotMake
from toolpath.geometry.cutter import Touch
from toolpath.geometry.elements import Arc, Point
from toolpath.geometry.merge import MERGE, merged
from toolpath.geometry.uncut import uncut
from toolpath.passes.finish import Finishing, finish_contour
from toolpath.passes.legs import Legs
from toolpath.plan.reach import WHY, Reach, on_contour

TANGENT = 1e-3
"""rad: neighbours that turn inwards by less run on into each other."""

ROOM = 0.01
"""mm by which a hollow must be larger than the nose, well above the control's last digit (common practice, no source).
"""


def by_control(choice: Reach, wanted: frozenset[int], job: Finishing, start: Point) -> Legs:
    """Legs of a finish pass whose contour the control keeps the nose off. CannotMake with the reason when it may not.

    wanted: elements of `choice.keep`; start: in the tool's frame
    """
    reason = why_not(choice, wanted)
    if not reason:
        try:
            contour = merged(choice.keep[min(wanted) : max(wanted) + 1], MERGE)
            return finish_contour(job, contour, start)
        except CannotMake as error:
            reason = str(error)
    raise CannotMake(
        f"the control can not compensate for the nose of T{choice.tool.number} {choice.tool.name}: {reason}. "
        'The program itself can: leave out [finish] compensation, or say "program"'
    )


def why_not(choice: Reach, wanted: frozenset[int]) -> str:
    """The first reason against it, with its place; empty when there is none."""
    first, last = min(wanted), max(wanted)
    nose = choice.tool.nose_radius
    if choice.tool.point != "nose" or nose <= 0.0:
        return "it has no nose radius"
    if len(wanted) != last - first + 1:
        return "something overhangs the contour, so that it is not one line for the tool"
    for k, (e, f) in enumerate(itertools.pairwise(choice.keep[first : last + 1]), start=first):
        turn = _turn(e.tangent_at(1.0), f.tangent_at(0.0))
        if turn > TANGENT:
            return f"an inner corner {_place(choice, choice.keep[k].b)} has no round larger than the nose"
    for e in choice.keep[first : last + 1]:
        if isinstance(e, Arc) and e.sweep > 0.0 and e.radius < nose + ROOM:
            what = f"the hollow of radius {e.radius:.3f} mm {_place(choice, e.a)}"
            return f"{what} is not larger than the nose of {nose:g} mm"
    for region in uncut(choice.env, choice.keep, choice.cut):
        if region.span[0] <= last and region.span[1] >= first:
            return f"metal stays {_place(choice, region.at)} because {WHY[region.touch]}"
    return _untouched(choice, wanted)


def _untouched(choice: Reach, wanted: frozenset[int]) -> str:
    """The first element that the nose does not lie along, or what else touches between them."""
    touching = [i for i, p in enumerate(choice.env.pieces) if on_contour(p, wanted)]
    met = {choice.env.pieces[i].element for i in touching}
    for k in sorted(wanted - met):
        return f"the nose does not lie along the surface {_place(choice, choice.keep[k].a)}"
    for p in choice.env.pieces[touching[0] : touching[-1] + 1]:
        if p.touch is not Touch.NOSE:
            return f"{_place(choice, p.path.a)} {WHY[p.touch]}"
    return ""


def _turn(a: Point, b: Point) -> float:
    """Angle from one direction to another, rad; left to right with the metal below, an inner corner turns left."""
    return math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])


def _place(choice: Reach, p: Point) -> str:
    z, x = choice.frame.back.point(p)
    return f"at z {z:.2f}, diameter {2.0 * x:.2f},"
