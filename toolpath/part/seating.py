"""A component in its part: the rows of the holes that take it in, and whether it then can be put in and where it stops.

Depths count inwards from the face it is put in from, mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, Element, Line
from toolpath.part.afterwards import outside_change
from toolpath.part.component import Component, Limits, Span
from toolpath.part.figures import mm, plain
from toolpath.part.fits import Made, Means, least_rest, pick, room
from toolpath.part.mirror import mirrored
from toolpath.part.radii import radii
from toolpath.part.rows import Hole, Inside, Sharp
from toolpath.part.walls import nearest
from toolpath.quantity import Size

SAME = 1e-9  # mm
REAMER_LEAD = math.pi / 2.0  # included angle of what a reamer's lead leaves, rad: 45 degrees, common practice


class Fitting(Struct, frozen=True):
    """A span of the component `of` and the hole picked for it; deep: to where its full diameter goes, None: through."""

    of: str
    span: Span
    body: Limits
    made: Made
    deep: float | None

    @property
    def play(self) -> Limits:
        """Least and most, mm on diameter; less than 0: that much it is pressed in."""
        return Limits(self.made.limits.smallest - self.body.largest, self.made.limits.largest - self.body.smallest)


def fittings(component: Component, means: Means, *, length: float, where: str) -> tuple[Fitting, ...]:
    """The holes for a component, from its face inwards.

    length: of the part, mm; where: key path of the component. Errors: BadInput and CannotMake naming the component.
    """
    found = []
    for k, span in enumerate(component.spans):
        ends = component.depths(span.last)[1]
        through = k == len(component.spans) - 1 and (component.through or ends >= length - SAME)
        if ends <= 0.0:
            continue
        deep = min(ends if k == 0 else ends + room(), length)
        made = pick(
            component.limits(span.dia),
            span.fit,
            means,
            deep=deep,
            made=component.made if k == 0 else "",
            called=component.called(span),
        )
        deep -= 0.0 if k else _above_the_rest(span.dia, made)
        found.append(Fitting(component.name, span, component.limits(span.dia), made, None if through else deep))
        if not through and ends > length - SAME:
            raise BadInput(
                f"{component.called(span)} comes to rest {mm(ends)} from its face, and the part is {mm(length)} long",
                where=where,
            )
    _refuse_no_rest(component, found, where)
    return tuple(found)


def _above_the_rest(dia: float, made: Made) -> float:
    """How far the full diameter of a hole ends above the place where a square edge meets what its tool leaves."""
    angle = {"drilled": made.point, "reamed": REAMER_LEAD}.get(made.how, math.pi)
    apart = max(0.0, made.limits.middle - dia) / 2.0
    return apart / math.tan(angle / 2.0) if angle < math.pi else 0.0


def _refuse_no_rest(component: Component, found: Sequence[Fitting], where: str) -> None:
    """The body rests on what the hole beyond it leaves standing."""
    if len(found) < 2:
        return
    body, beyond = found[0], found[1]
    rest = (body.body.smallest - beyond.made.limits.largest) / 2.0
    if rest < least_rest():
        raise BadInput(
            f"the hole for {component.called(beyond.span)} comes to {beyond.made.limits}, and "
            f"{component.called(body.span)} has {mm(max(rest, 0.0))} to rest on; {mm(least_rest())} is the least",
            where=where,
        )


def rows(component: Component, found: Sequence[Fitting], *, index: int) -> tuple[Inside, ...]:
    """The inside rows of the picked holes, the edges between them as they come: no tool gets to them.

    index: of the row that holds the component
    """
    made: list[Hole | Sharp] = []
    for f in found:
        made += [Sharp(on="edge"), _hole(f)] if made else [_hole(f)]
    return tuple(Inside(row, component.from_back, index) for row in made)


def _hole(f: Fitting) -> Hole:
    made = f.made
    size = Size(made.dia, made.dia, made.dia, f"{made.dia:g}")
    if made.how != "drilled":
        size = Size(made.dia, made.cut.smallest, made.cut.largest, f"{made.dia:g}")
    return Hole(
        dia=size,
        deep=f.deep,
        floor="flat" if made.how == "bored" else "drilled",
        made=made.how,
        point_angle=made.point or math.radians(118.0),
    )


def refuse_thin(
    component: Component, found: Sequence[Fitting], outside: Chain, *, least: float, means: Means, where: str
) -> None:
    """BadInput when a hole of the component comes out of the outside, or leaves less than the least wall.

    outside: of the whole part, no hollow in it, names of its surfaces left out; least: mm
    """
    length = -outside[-1].b[0]
    around = tuple(e for e in outside if not _is_face(e, length))
    if component.from_back:
        around = tuple(mirrored(e.reversed(), length) for e in reversed(around))
    begins = 0.0
    for f in found:
        ends = length if f.deep is None else f.deep
        x = f.made.limits.largest / 2.0
        wall = Line((-begins, x), (-ends, x))
        thick = thinnest(wall, around) + outside_change(means.after)
        if thick < least - 1e-6:
            narrow, z = narrowest(around, -ends, -begins)
            over = (
                f"is {mm(2.0 * (x - narrow))} larger than the part there, dia {plain(2.0 * narrow)}"
                if x > narrow
                else f"leaves a wall of {mm(thick)}, {mm(least - thick)} below the least of {mm(least)}"
            )
            at = length + z if component.from_back else -z
            raise BadInput(
                f"{component.called(f.span)} wants a hole of {plain(2.0 * x)} mm from {mm(begins)} to {mm(ends)} deep, "
                f"and that {over}; the part is narrowest {mm(at)} from its front face",
                where=where,
            )
        begins = ends


def _is_face(e: Element, length: float) -> bool:
    return isinstance(e, Line) and e.a[0] == e.b[0] and e.a[0] in (0.0, -length)


def narrowest(around: Chain, low: float, high: float) -> tuple[float, float]:
    """(radius, z) of an outside where it is narrowest between two z."""
    places = {
        low,
        high,
        *(p[0] for e in around for p in (e.a, e.b)),
        *(e.centre[0] for e in around if not isinstance(e, Line)),
    }
    found = [(x, z) for z in sorted(places) if low - SAME <= z <= high + SAME for e in around for x in radii(e, z)]
    return min(found, default=(math.inf, low))


def thinnest(wall: Line, around: Chain) -> float:
    """Least distance, in any direction, from the wall of a hole to an outside; less than 0 where it comes out of it."""
    x = wall.a[1]
    narrow, _ = narrowest(around, wall.b[0], wall.a[0])
    if narrow <= x:
        return narrow - x
    return min((nearest(wall, e)[0] for e in around), default=math.inf)
