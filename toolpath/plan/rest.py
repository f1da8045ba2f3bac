"""What one tool leaves, another takes: which tool of the rack reaches the leftovers, and where it must go for them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from toolpath.geometry.cutter import Touch
from toolpath.geometry.elements import Chain, Line, Point
from toolpath.geometry.envelope import Piece
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.geometry.minimum import lower
from toolpath.geometry.regions import regions
from toolpath.geometry.silhouette import silhouette
from toolpath.geometry.uncut import Uncut, contact, farthest, swept
from toolpath.plan.reach import WHY, Reach, drawn, reach
from toolpath.plan.side import Side
from toolpath.shop.tools import Tool

WORTH = 0.05
"""mm: leftovers thinner than this are no reason to take another tool, nor is a gain smaller than this."""

OVERLAP = 0.3
"""mm by which a second tool's cut goes over what the first has finished, so that no step stands between them (common
practice, no source)."""


OVERHUNG = "it lies under an overhang, where no tool comes from this side"

LEAST = 1e-4
"""mm: what stands less than this over the part is not told."""


class Rest(Struct, frozen=True):
    """A further tool and the stretches (least and greatest u of its side) where it takes what others left."""

    reach: Reach
    spans: tuple[tuple[float, float], ...]
    because: str


class Left(Struct, frozen=True):
    """Metal that no planned tool takes: closed outline in (z, x), greatest distance from the part in mm, and why."""

    outline: Chain
    thick: float
    why: str


def further_tools(rack: Iterable[Tool], side: Side, first: Reach, *, most: int = 3) -> tuple[Rest, ...]:
    """Tools that reach what `first` leaves, best first, until nothing worth a tool change is gained."""
    stands = lower(side.stands, first.stands)
    fit = [t for t in rack if t is not first.tool and t.does & {side.turns, side.grooves}]
    before = _thick(first, stands)
    # What carries a further tool is held against what stands now: it only becomes less.
    candidates = [reach(t, side, stands=stands) for t in sorted(fit, key=lambda t: t.number) if before > WORTH]
    out: list[Rest] = []
    while candidates and len(out) < most and before > WORTH:
        tried = [(c, spans, after(c, spans, stands)) for c in candidates if (spans := _gained(first, stands, c))]
        if not tried:
            break
        rated = sorted(((_thick(first, s), c.tool.number, k) for k, (c, _, s) in enumerate(tried)), key=_rounded)
        least, _, k = rated[0]
        best, spans, stands = tried[k]
        runner = rated[1][0] if len(rated) > 1 else before
        out.append(Rest(best, spans, _because(best, before, least, runner)))
        before, candidates = least, [c for c in candidates if c is not best]
    return tuple(out)


def left_by_all(tools: Sequence[Reach], stands: Chain) -> tuple[Left, ...]:
    """What stands over the part when all of them have cut, and what of the tool that leaves it is in the way.

    tools: the first one first; stands: what stands then, as the side's chains run
    """
    side = tools[0].side
    over = regions(stands, _surface(tools[0]), _asked(tools[0]), least=LEAST)
    # An overhang may be farther away than what the tools see of the part: the contour itself is measured.
    found = [(r, *farthest(r.over, side.contour)) for r in over]
    left = [Left(side.chain(r.outline), thick, _why(tools, at)) for r, thick, at in found]
    return (*left, *_hidden(side))


def _hidden(side: Side) -> Iterator[Left]:
    """The places under overhangs."""
    groups: list[Chain] = []
    for e in silhouette(side.contour).hidden:
        if groups and math.dist(groups[-1][-1].b, e.a) < MERGE:
            groups[-1] = (*groups[-1], e)
        elif groups and math.dist(e.b, groups[-1][0].a) < MERGE:
            groups[-1] = (e, *groups[-1])
        else:
            groups.append((e,))
    for under in groups:
        lid = Line(under[-1].b, under[0].a)
        thick, _ = farthest((lid,), side.contour)
        if thick > LEAST:
            yield Left(side.chain((*under, lid)), thick, OVERHUNG)


def _why(tools: Sequence[Reach], at: Point) -> str:
    """The reason of the tool whose outline stands there as the surface."""
    touches = [(_from(at, r, u), u.touch) for r in tools for u in r.left]
    return WHY[min(touches, default=(0.0, Touch.NOSE))[1]]


def _from(at: Point, r: Reach, left: Uncut) -> float:
    """How far a place of the side is from what the tool leaves there, mm."""
    return min(e.distance(at) for e in r.side.seen(left.bridge, r.frame))


def _surface(r: Reach) -> Chain:
    """The contour as a tool sees it, as the side's chains run."""
    return r.side.seen(r.keep, r.frame)


def _asked(first: Reach) -> tuple[float, float]:
    """Stretch of u, in the side's frame, of what was asked for."""
    asked = [first.side.seen((first.keep[k],), first.frame)[0].bounds() for k in first.wanted]
    return min(b[0] for b in asked), max(b[2] for b in asked)


def _thick(first: Reach, stands: Chain) -> float:
    """Greatest distance from the part of what stands over it, mm."""
    return max((r.thick for r in regions(stands, _surface(first), _asked(first), least=LEAST)), default=0.0)


def _rounded(rated: tuple[float, int, int]) -> tuple[float, int]:
    return round(rated[0], 2), rated[1]


def stretch(r: Reach, span: tuple[float, float]) -> tuple[Piece, ...]:
    """The pieces, left to right in the tool's frame, along which it clears a stretch of its side, and its overlap.

    The overlap counts from where the tool touches on either side, so that a hollow that it bridges is bridged.
    """
    pieces = list(r.env.pieces)
    touched = [_touched(p, r) for p in pieces]
    turned = 1.0 if r.frame == r.side.frame else -1.0
    ends = sorted(turned * u for u in span)
    lo = max((min(hi, ends[0]) for a, hi in touched if a <= ends[0]), default=ends[0]) - OVERLAP
    hi = min((max(a, ends[1]) for a, b in touched if b >= ends[1]), default=ends[1]) + OVERLAP
    inside = [
        i
        for i, (p, (a, b)) in enumerate(zip(pieces, touched, strict=True))
        if a < hi and b > lo and (p.element in r.wanted or p.corner or p.touch is Touch.HOLDER)
    ]
    if not inside:
        return ()
    first, last = inside[0], inside[-1]
    pieces[first] = _cut(pieces[first], touched[first], lo, left=True)
    pieces[last] = _cut(pieces[last], touched[last], hi, left=False)
    return tuple(pieces[first : last + 1])


def path_of(pieces: tuple[Piece, ...]) -> Chain:
    """The pieces as one path, neighbours on one line or circle joined."""
    return merged(tuple(p.path for p in pieces), MERGE, sliver=SLIVER)


def after(r: Reach, spans: Iterable[tuple[float, float]], stands: Chain) -> Chain:
    """What stands after the tool has been along its stretches, left to right in z."""
    for span in spans:
        pieces = stretch(r, span)
        if pieces:
            left = r.side.seen(swept(pieces, r.keep, r.cut, drawn(r.tool, r.frame)), r.frame)
            stands = lower(stands, left, (left[0].a[0], left[-1].b[0]))
    return stands


def _touched(p: Piece, r: Reach) -> tuple[float, float]:
    """Stretch of u that the tool touches along a piece."""
    a, _ = contact(p, r.keep, r.cut, at_end=False)
    b, _ = contact(p, r.keep, r.cut, at_end=True)
    return (min(a[0], b[0]), max(a[0], b[0]))


def _cut(p: Piece, touched: tuple[float, float], u: float, *, left: bool) -> Piece:
    """A straight piece cut where its contact passes u; arcs and upright pieces stay whole."""
    e = p.path
    if not isinstance(e, Line) or p.vertical or not touched[0] < u < touched[1]:
        return p
    t = (u - touched[0]) / (touched[1] - touched[0])
    return replace(p, path=e.part(t, 1.0) if left else e.part(0.0, t))


def _gained(first: Reach, stands: Chain, r: Reach) -> tuple[tuple[float, float], ...]:
    """Stretches of u in which a tool takes enough to be worth it."""
    takes = regions(stands, r.stands, _asked(first), least=WORTH / 10.0)
    if max((t.thick for t in takes), default=0.0) <= WORTH:
        return ()
    out: list[tuple[float, float]] = []
    for lo, hi in (t.span for t in takes):
        if out and lo - out[-1][1] <= 2.0 * OVERLAP:
            out[-1] = (out[-1][0], hi)
        else:
            out.append((lo, hi))
    return tuple(out)


def _because(best: Reach, before: float, after: float, runner: float) -> str:
    other = f"; the next best tool would leave {runner:.2f} mm" if runner < before else "; no other tool takes any"
    return f"T{best.tool.number} takes what is left: at most {before:.2f} mm before, {after:.2f} mm after it{other}"
