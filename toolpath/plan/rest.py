"""What one tool leaves, another takes: which tool of the rack reaches the leftovers, and where it must go for them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from toolpath.geometry.elements import Chain, Line, Point
from toolpath.geometry.envelope import Piece
from toolpath.geometry.merge import MERGE, SLIVER, merged
from toolpath.geometry.minimum import lower
from toolpath.geometry.uncut import contact, swept
from toolpath.plan.reach import Reach, reach
from toolpath.plan.side import Side
from toolpath.shop.tools import Tool

WORTH = 0.05
"""mm: leftovers thinner than this are no reason to take another tool, nor is a gain smaller than this."""

OVERLAP = 0.3
"""mm by which a second tool's cut goes over what the first has finished, so that no step stands between them (common
practice, no source)."""


class Rest(Struct, frozen=True):
    """A further tool and the stretches (least and greatest u of its side) where it takes what others left."""

    reach: Reach
    spans: tuple[tuple[float, float], ...]
    because: str


def further_tools(rack: Iterable[Tool], side: Side, first: Reach, *, most: int = 3) -> tuple[Rest, ...]:
    """Tools that reach what `first` leaves, best first, until nothing worth a tool change is gained."""
    fit = [t for t in rack if t is not first.tool and t.does & {side.turns, side.grooves}]
    candidates = [reach(t, side) for t in sorted(fit, key=lambda t: t.number)] if first.thick > WORTH else []
    points = _samples(first)
    left = {p: first.over(p) for p in points}
    out: list[Rest] = []
    while candidates and len(out) < most and max(left.values(), default=0.0) > WORTH:
        gains = [(_left_with(left, c), c) for c in candidates]
        rest, best = min(gains, key=lambda g: (round(max(g[0].values()), 2), g[1].tool.number))
        before = max(left.values())
        gained = _gained({p: side.along(p) for p in points}, left, rest)
        if not gained:
            break
        runner = min((max(a.values()) for a, c in gains if c is not best), default=before)
        out.append(Rest(best, gained, _because(best, before, max(rest.values()), runner)))
        left, candidates = rest, [c for c in candidates if c is not best]
    return tuple(out)


def left_by_all(first: Reach, others: Sequence[Rest]) -> tuple[tuple[int, float], ...]:
    """For each leftover of `first`: its index and how thick (mm) it stays after the others, where it stays at all."""
    out = []
    for i, region in enumerate(first.left):
        points = [first.frame.back.point(p) for p in _along(region.work)]
        thick = max((min([first.over(p), *(r.reach.over(p) for r in others)]) for p in points), default=0.0)
        if thick > 1e-4:
            out.append((i, thick))
    return tuple(out)


def stretch(r: Reach, span: tuple[float, float]) -> tuple[Piece, ...]:
    """The pieces, left to right in the tool's frame, along which it touches a stretch of its side and its overlap."""
    turned = 1.0 if r.frame == r.side.frame else -1.0
    ends = sorted(turned * u for u in (span[0] - OVERLAP, span[1] + OVERLAP))
    pieces = list(r.env.pieces)
    touched = [_touched(p, r) for p in pieces]
    inside = [
        i
        for i, (p, (lo, hi)) in enumerate(zip(pieces, touched, strict=True))
        if lo < ends[1] and hi > ends[0] and (p.element in r.wanted or p.corner)
    ]
    if not inside:
        return ()
    first, last = inside[0], inside[-1]
    pieces[first] = _cut(pieces[first], touched[first], ends[0], left=True)
    pieces[last] = _cut(pieces[last], touched[last], ends[1], left=False)
    return tuple(pieces[first : last + 1])


def path_of(pieces: tuple[Piece, ...]) -> Chain:
    """The pieces as one path, neighbours on one line or circle joined."""
    return merged(tuple(p.path for p in pieces), MERGE, sliver=SLIVER)


def after(r: Reach, spans: Iterable[tuple[float, float]], stands: Chain) -> Chain:
    """What stands after the tool has been along its stretches, as the side's chains run."""
    for span in spans:
        pieces = stretch(r, span)
        if pieces:
            left = r.side.seen(swept(pieces, r.keep, r.cut), r.frame)
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


def _samples(first: Reach) -> list[Point]:
    """Points (z, x) of what was asked for, in the places that the first tool leaves."""
    asked = [first.keep[k].bounds() for k in first.wanted]
    lo, hi = min(b[0] for b in asked), max(b[2] for b in asked)
    points = (p for region in first.left for p in _along(region.work) if lo <= p[0] <= hi)
    return [first.frame.back.point(p) for p in points]


def _along(work: Chain) -> list[Point]:
    return [e.point_at(k / 16.0) for e in work for k in range(17)]


def _left_with(left: dict[Point, float], c: Reach) -> dict[Point, float]:
    return {p: min(d, c.over(p)) if d > 0.0 else 0.0 for p, d in left.items()}


def _gained(
    points: dict[Point, float], left: dict[Point, float], after: dict[Point, float]
) -> tuple[tuple[float, float], ...]:
    """Stretches of u in which a tool takes enough to be worth it. points: (z, x) with their u"""
    out: list[tuple[float, float]] = []
    worth = sorted({u for p, u in points.items() if left[p] - after[p] > WORTH / 10.0})
    if max((left[p] - after[p] for p in points), default=0.0) <= WORTH:
        return ()
    for u in worth:
        if out and u - out[-1][1] <= 2.0 * OVERLAP:
            out[-1] = (out[-1][0], u)
        else:
            out.append((u, u))
    return tuple(out)


def _because(best: Reach, before: float, after: float, runner: float) -> str:
    other = f"; the next best tool would leave {runner:.2f} mm" if runner < before else "; no other tool takes any"
    return f"T{best.tool.number} takes what is left: at most {before:.2f} mm before, {after:.2f} mm after it{other}"
