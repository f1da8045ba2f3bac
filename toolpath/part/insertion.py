"""Whether a component can be put into the hollow of a finished part, where it stops, and the play that it has there.

It slides in along the axis. Every step, and what passed before it, must clear each cylinder of the hollow on its way
with the least play of its fit; it stops where one of them comes to a place as narrow as itself. Judged from the
half-section alone, whether its holes were picked or written by hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.corners import crossings
from toolpath.geometry.elements import Element, Line
from toolpath.part.component import Component, Limits, Span
from toolpath.part.figures import mm
from toolpath.part.fits import SAME, Means, band, likely, misses, wanted, within
from toolpath.part.halfsection import HalfSection, Surface
from toolpath.part.mirror import mirrored

PLACE = 0.1
"""mm that the place where it stops may be off, besides what was measured: the cone of a drill, an edge that is broken
(common practice, no source)."""


class Seen(Struct, frozen=True):
    """A surface of the hollow that a component goes into; z counts less inwards, from its face at 0.

    limits: likely, of the diameter of a cylinder; None for other surfaces. shift: what its tool adds to a radius, mm
    """

    element: Element
    surface: Surface
    limits: Limits | None
    shift: float

    @property
    def deep(self) -> tuple[float, float]:
        """From and to which depth it goes."""
        low, _, high, _ = self.element.bounds()
        return -high, -low


class Play(Struct, frozen=True):
    """Of one span in one cylinder. hole, body: their limits; play: least and most, mm on diameter."""

    span: Span
    surface: Surface
    hole: Limits
    body: Limits
    play: Limits


class Insertion(Struct, frozen=True):
    """A component in its place. stops: the depth at which its body stops, inf where nothing stops it; plays by span."""

    component: Component
    stops: float
    plays: tuple[Play, ...]

    @property
    def sticks_out(self) -> float:
        """How far it stands out of its face, mm; less than 0: how far below it."""
        stops = self.component.seat if math.isinf(self.stops) else self.stops
        return self.component.body - stops


def inserted(component: Component, part: HalfSection, means: Means, *, where: str) -> Insertion:
    """The component in its place. where: its key path.

    Errors: BadInput when it can not be put in, stops short, goes on too far, or has not the play of its fit.
    """
    hollow = tuple(seen(component, part, means))
    if not hollow:
        face = "back" if component.from_back else "front"
        raise BadInput(
            f"'{component.name}' goes in from the {face}, and no hollow opens there",
            where=where,
            right=f'Write a row {{ holds = "{component.name}" }}, or its holes',
        )
    stops, by = _stop(component, hollow)
    allowed = PLACE + component.within
    if stops < component.seat - allowed:
        told = f"{by}: it stops {mm(stops)} from its face, not at {mm(component.seat)}"
        raise BadInput(told, where=where, right=_closing(means))
    free = component.through or component.spans[0].fit in ("press", "glue gap")
    if stops > component.seat + allowed and not free:
        told = "goes right through" if math.isinf(stops) else f"goes on to {mm(stops)}"
        raise BadInput(f"nothing stops '{component.name}' {mm(component.seat)} from its face: it {told}", where=where)
    plays = tuple(_plays(component, hollow))
    for p in plays:
        hole = wanted(p.body, band(p.span.fit, p.span.dia))
        if not within(p.hole, hole):
            raise BadInput(
                f"{component.called(p.span)} is {p.body}, and {p.surface.name} comes out at {p.hole}; "
                f"a {p.span.fit} fit wants {hole}: {misses(p.hole, hole)}",
                where=p.surface.place("part"),
                right="Write a row that holds the component, and the hole is picked",
            )
    return Insertion(component, component.seat if free and stops > component.seat else stops, plays)


def _closing(means: Means) -> str:
    """Why a hole that is large enough as cut may yet be too small; empty where the material keeps its size."""
    _, most = means.material.closes_in
    name = means.material.title
    return (
        f"In {name} a hole closes in by up to {1e2 * most:g} % once cool: let it be larger by as much" if most else ""
    )


def seen(component: Component, part: HalfSection, means: Means) -> Iterator[Seen]:
    """The hollow on the component's way, from its face inwards: its own end's, then the rest where that opens."""
    length = part.length
    front = list(zip(part.inside, part.inside_surfaces, strict=True))
    back = [(mirrored(e, length), s) for e, s in zip(part.inside_back, part.inside_back_surfaces, strict=True)]
    own, other = (back, front) if component.from_back else (front, back)
    meets = own and other and abs(-own[-1][0].b[0] + -other[-1][0].b[0] - length) <= SAME
    if not own and other and abs(other[-1][0].b[0] + length) <= SAME:
        meets = True
    for e, s in own:
        yield _seen(e, s, means)
    if meets:
        for e, s in reversed(other):
            yield _seen(mirrored(e.reversed(), length), s, means)


def _seen(e: Element, s: Surface, means: Means) -> Seen:
    dia = 2.0 * max(e.a[1], e.b[1])
    stated = (s.dia.lower, s.dia.upper) if s.dia is not None and s.dia.toleranced else None
    limits = likely(s.made or "bored", dia, means=means, limits=stated)[1]
    cylinder = isinstance(e, Line) and abs(e.a[1] - e.b[1]) <= SAME
    return Seen(e, s, limits if cylinder else None, (limits.middle - dia) / 2.0)


def _stop(component: Component, hollow: tuple[Seen, ...]) -> tuple[float, str]:
    """The least depth of the body's inner end at which a step meets the hollow, and what meets what."""
    found = [(math.inf, "")]
    for span in component.spans:
        ends = component.depths(span.last)[1] - component.seat
        meets, surface = _meets(component.limits(span.dia), span, hollow)
        what = "" if surface is None else f"{component.called(span)} meets {surface.name} ({surface.place('part')})"
        found.append((meets - ends, what))
    return min(found, key=lambda f: f[0])


def _meets(body: Limits, span: Span, hollow: tuple[Seen, ...]) -> tuple[float, Surface | None]:
    """The depth at which a hollow is first too narrow for a step."""
    least = band(span.fit, span.dia).least
    for s in hollow:
        if s.limits is not None:
            if s.limits.smallest < body.largest + least - SAME:
                return s.deep[0], s.surface
            continue
        x = (body.middle + min(least, 0.0)) / 2.0 - s.shift
        if min(s.element.a[1], s.element.b[1]) < x - SAME:
            return _depth_at(s.element, x), s.surface
    last = hollow[-1].element.b
    return (math.inf, None) if last[1] > SAME else (-last[0], hollow[-1].surface)


def _depth_at(e: Element, x: float) -> float:
    """Where an element comes down to a radius, from its face; where it begins if it is narrower from there on."""
    if e.a[1] <= x or (isinstance(e, Line) and e.a[0] == e.b[0]):
        return -e.a[0]
    low, _, high, _ = e.bounds()
    level = Line((high + 1.0, x), (low - 1.0, x))
    return min((-p[0] for p in crossings(level, e) if -SAME <= e.parameter_of(p) <= 1.0 + SAME), default=-e.a[0])


def _plays(component: Component, hollow: tuple[Seen, ...]) -> Iterator[Play]:
    """Each span in the narrowest cylinder that it lies in, waists left out: they guide nothing."""
    for span in component.spans:
        begins = max(component.depths(_thick(component, span))[0], 0.0)
        ends = component.depths(span.last)[1]
        here = [s for s in hollow if s.limits is not None and s.deep[0] < ends - PLACE and s.deep[1] > begins + SAME]
        if not here:
            continue
        tightest = min(here, key=lambda s: s.limits.smallest if s.limits else math.inf)
        assert tightest.limits is not None
        hole, body = tightest.limits, component.limits(span.dia)
        play = Limits(hole.smallest - body.largest, hole.largest - body.smallest)
        yield Play(span, tightest.surface, hole, body, play)


def _thick(component: Component, span: Span) -> int:
    """The first step of a span that is as thick as its hole."""
    return next(k for k in range(span.first, len(component.steps)) if abs(component.steps[k].dia - span.dia) <= SAME)
