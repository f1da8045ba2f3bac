"""What the tool leaves: the places where the witness of the envelope skips along the work.

Between two contacts that are not neighbours the tool bridges a hollow; the metal between the work and the tool's own
outline, standing in that one place, is what stays uncut.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator
from itertools import accumulate, pairwise

from msgspec import Struct

from toolpath.geometry.cutter import CapPiece, Cutter, Touch
from toolpath.geometry.elements import TURN, Arc, Chain, Element, Line, Point, arc_about, reverse
from toolpath.geometry.envelope import Envelope, Piece, height_on, size_of
from toolpath.geometry.trail import trail


class Uncut(Struct, frozen=True):
    """A region that stays.

    work:    along the work from left to right; bridge: the tool's outline from the same point to the same point
    thick:   farthest point of the work there from the tool, mm
    at:      that point
    touch:   what of the tool is in the way
    span:    first and last index of the elements of the work it covers
    """

    work: Chain
    bridge: Chain
    thick: float
    at: Point
    touch: Touch
    span: tuple[int, int]

    @property
    def outline(self) -> Chain:
        """Closed: along the work, back along the tool."""
        return (*self.work, *reverse(self.bridge))


class _Skip(Struct, frozen=True):
    """A bridge from one contact to the next: the work under it, the tool over it, where on the chain it lies."""

    start: tuple[Point, int]
    end: tuple[Point, int]
    bridge: Chain
    touch: Touch


def uncut(env: Envelope, keep: Chain, cut: Cutter, *, drawn: Cutter | None = None, least: float = 1e-4) -> list[Uncut]:
    """Regions thicker than `least` (mm) that this cutter leaves on `keep`, from left to right. drawn: see `closing`."""
    out: list[Uncut] = []
    for s in _skips(env, keep, cut, drawn):
        work = _stretch(keep, s.start, s.end)
        thick, at = farthest(work, s.bridge)
        if thick > least:
            out.append(Uncut(work, s.bridge, thick, at, s.touch, (s.start[1], s.end[1])))
    return out


def closing(env: Envelope, keep: Chain, cut: Cutter, drawn: Cutter | None = None) -> Chain:
    """What stands after the cutter has been everywhere it may: `keep` with every skip bridged, left to right.

    drawn: the cutter without clearance on its edges; it alone cuts where an edge only seems to touch.
    None where `cut` has none
    """
    out: list[Element] = []
    here = (keep[0].a, 0)
    for s in _skips(env, keep, cut, drawn):
        out += [*_stretch(keep, here, s.start), *s.bridge]
        here = s.end
    return (*out, *_stretch(keep, here, (keep[-1].b, len(keep) - 1)))


def swept(pieces: tuple[Piece, ...], keep: Chain, cut: Cutter, drawn: Cutter | None = None) -> Chain:
    """The surface a cutter leaves that goes along these pieces of its envelope and nowhere else, left to right.

    drawn: see `closing`. It begins and ends with the cutter's own sides, standing at the ends of its way.
    """
    off = _off(drawn)
    touching = [k for k, p in enumerate(pieces) if p.touch not in off]
    first, last = (touching[0], touching[-1] + 1) if touching else (len(pieces), len(pieces))
    here, right = cut.lower_outline(pieces[0].path.a)[0][0], cut.lower_outline(pieces[-1].path.b)[-1][1]
    body = drawn or cut
    if not touching:
        return trail([p.path for p in pieces], body, (here[0], right[0]))
    inner = pieces[first:last]
    a, b = contact(inner[0], keep, cut, at_end=False), contact(inner[-1], keep, cut, at_end=True)
    out: list[Element] = []
    if first:
        out += _to(trail([p.path for p in pieces[:first]], body, (here[0], a[0][0])), a[0])
    else:
        out += _bridge(cut, inner[0].path.a, here, a[0])[0]
    at = a
    for s in _skips(Envelope(inner, tuple(p.path.a[0] for p in inner)), keep, cut, drawn):
        out += [*_stretch(keep, at, s.start), *s.bridge]
        at = s.end
    out += _stretch(keep, at, b)
    if last == len(pieces):
        return (*out, *_bridge(cut, pieces[-1].path.b, b[0], right)[0])
    return (*out, *_from(b[0], trail([p.path for p in pieces[last:]], body, (b[0][0], right[0]))))


def _to(surface: Chain, end: Point) -> Chain:
    """A surface with the upright line to where it ends."""
    return (*surface, Line(surface[-1].b, end)) if surface[-1].b != end else surface


def _from(start: Point, surface: Chain) -> Chain:
    """A surface with the upright line from where it starts."""
    return (Line(start, surface[0].a), *surface) if surface[0].a != start else surface


def _skips(env: Envelope, keep: Chain, cut: Cutter, drawn: Cutter | None) -> Iterator[_Skip]:
    size, off, body = size_of(keep), _off(drawn), drawn or cut
    start: tuple[Point, int] | None = None
    ways: list[Element] = []
    blame: dict[Touch, float] = {}
    for p, q in pairwise(env.pieces):
        if start is None:
            if p.touch in off:
                continue  # nothing is touched where the run begins
            start, ways, blame = contact(p, keep, cut, at_end=True), [], {}
        if q.touch in off:
            ways.append(q.path)
            blame[q.touch] = blame.get(q.touch, 0.0) + q.path.length
            continue
        end = contact(q, keep, cut, at_end=False)
        there, here = end[0], start[0]
        if math.dist(here, there) > 1e-9 * size and (start[1], here[0]) <= (end[1], there[0]):
            if ways and there[0] - here[0] > NOISE:
                yield _Skip(start, end, _from(here, _to(trail(ways, body, (here[0], there[0])), there)), _worst(blame))
            else:
                yield _Skip(start, end, *_bridge(cut, p.path.b, here, there))
        start = None


def _worst(blame: dict[Touch, float]) -> Touch:
    """What keeps the nose off over the longest way, mm; the nose itself where nothing else does."""
    return max(blame, key=lambda t: (t is not Touch.NOSE, blame[t], t))


def _off(drawn: Cutter | None) -> tuple[Touch, ...]:
    """Contacts at which the work is not touched: by what carries the tool, and by edges that are counted flatter."""
    return (Touch.HOLDER,) if drawn is None else (Touch.EDGE, Touch.HOLDER)


def lowest(path: Element, at: Point, cut: Cutter) -> Point:
    """The point of the tool that leads the metal's new surface while it moves along `path` and stands at `at`."""
    du, dv = support(cut, _normal(path, at))
    return (at[0] - du, at[1] - dv)


def contact(p: Piece, keep: Chain, cut: Cutter, *, at_end: bool) -> tuple[Point, int]:
    """The point of the work touched at one end of a piece, and the index of the element it lies on.

    Where what carries the tool is in the way nothing is touched: the tool's own point that leads there, and -1.
    """
    at = p.path.b if at_end else p.path.a
    if p.touch is Touch.HOLDER:
        return lowest(p.path, at, cut), -1
    if p.corner:
        k = min(p.element, len(keep) - 1)
        return (keep[k].a if p.element < len(keep) else keep[k].b), p.element
    e = keep[p.element]
    if p.vertical:
        edge_v = cut.start[1] if e.b[1] > e.a[1] else cut.start[1] + sum(x.dv for x in cut.pieces)
        return _on_wall(keep, p.element, at[1] - edge_v)
    normal = _normal(p.path, at)
    if isinstance(e, Arc):
        s = 1.0 if e.sweep < 0.0 else -1.0
        return (e.centre[0] + s * e.radius * math.cos(normal), e.centre[1] + s * e.radius * math.sin(normal)), p.element
    du, dv = support(cut, normal)
    u = min(max(at[0] - du, e.a[0]), e.b[0])
    return (u, height_on(e, u)) if e.b[0] > e.a[0] else (u, at[1] - dv), p.element


NOISE = 1e-9
"""mm: a height this near to the end of a wall is on it."""


def _on_wall(keep: Chain, k: int, v: float) -> tuple[Point, int]:
    """The point at height v of the upright wall that element k is part of, and the index of its element there."""
    first = last = k
    while first > 0 and keep[first - 1].a[0] == keep[first - 1].b[0]:
        first -= 1
    while last + 1 < len(keep) and keep[last + 1].a[0] == keep[last + 1].b[0]:
        last += 1
    for n in range(first, last + 1):
        low, high = sorted((keep[n].a[1], keep[n].b[1]))
        if low - NOISE <= v <= high + NOISE:
            return (keep[n].a[0], min(max(v, low), high)), n
    e = keep[k]
    low, high = sorted((e.a[1], e.b[1]))
    return (e.a[0], min(max(v, low), high)), k


def _normal(e: Element, at: Point) -> float:
    """Outward normal (away from the metal, pi to 0) of a left-to-right element at one of its ends."""
    if isinstance(e, Line):
        return math.atan2(e.b[0] - e.a[0], -(e.b[1] - e.a[1]))
    w = math.atan2(at[1] - e.centre[1], at[0] - e.centre[0])
    return w if e.sweep < 0.0 else (w + math.pi) % TURN


def support(cut: Cutter, normal: float) -> Point:
    """The cap's point with that outward normal, relative to the point touched."""
    u, v = cut.start
    for p in cut.pieces:
        if p.low >= normal:
            u, v = u + p.du, v + p.dv
        elif p.high > normal:
            u += p.radius * (math.cos(normal) - math.cos(p.high))
            v += p.radius * (math.sin(normal) - math.sin(p.high))
            break
        else:
            break
    return (u, v)


def _stretch(keep: Chain, start: tuple[Point, int], end: tuple[Point, int]) -> Chain:
    """The work from one contact to another."""
    (a, i), (b, j) = start, end
    out: list[Element] = []
    for k in range(i, min(j, len(keep) - 1) + 1):
        e = keep[k]
        p, q = (a if k == i else e.a), (b if k == j else e.b)
        if p != q:
            out.append(Line(p, q) if isinstance(e, Line) else arc_about(e.centre, p, q, ccw=e.sweep > 0.0))
    return tuple(out)


def _bridge(cut: Cutter, at: Point, a: Point, b: Point) -> tuple[Chain, Touch]:
    """The tool's lower outline, standing at `at`, from contact a to contact b, and the broadest part of it."""
    out: list[Element] = []
    spans: dict[Touch, float] = {}
    here = a
    for left, right, p in cut.lower_outline(at):
        if right[0] <= a[0] or left[0] >= b[0]:
            continue
        target = b if right[0] >= b[0] else right
        if out == [] and left[0] > here[0]:
            out.append(Line(here, left))
            here = left
        if target != here:
            out.append(_along(p, left, here, target))
            spans[p.touch] = spans.get(p.touch, 0.0) + math.dist(here, target)
            here = target
    if here != b:
        out.append(Line(here, b))
    blame = [t for t in (Touch.HOLDER, Touch.EDGE, Touch.FLAT) if spans.get(t, 0.0) > 1e-6]
    return tuple(out), blame[0] if blame else Touch.NOSE


def _along(p: CapPiece, left: Point, a: Point, b: Point) -> Element:
    if p.high == p.low:
        return Line(a, b)
    # The tool's own arc is the cap's turned through half a turn; its left end has the normal of the cap's right end.
    centre = (left[0] + p.radius * math.cos(p.low), left[1] + p.radius * math.sin(p.low))
    return arc_about(centre, a, b, ccw=True)


CLOSE = 1e-4
"""mm within which the farthest point is found, besides `CLOSE_SHARE` of its distance."""

CLOSE_SHARE = 1e-3


def farthest(work: Chain, bridge: Chain) -> tuple[float, Point]:
    """(distance, point): the point of one chain farthest from another, mm, to within `CLOSE` and `CLOSE_SHARE`.

    An element is halved while it may still hold a farther point: no distance grows faster than the way along it, nor
    beyond what one element of the other chain allows.
    """
    best, at = 0.0, work[0].a if work else (0.0, 0.0)
    if not bridge:
        return best, at
    nearest = _nearest(bridge)
    for e in work:
        ends = [(t, p, *nearest(p, best)) for t, p in ((0.0, e.a), (1.0, e.b))]
        best, at = max([(best, at), *((d, p) for _, p, d, _ in ends)], key=lambda f: f[0])
        open_ = [(ends[0], ends[1])]
        while open_:
            a, b = open_.pop()
            ways = [(a[2] + b[2] + (b[0] - a[0]) * e.length) / 2.0]
            ways += [_at_most(bridge[k], a[1], b[1]) + _rise(e, b[0] - a[0]) for k in {a[3], b[3]}]
            if min(ways) > best * (1.0 + CLOSE_SHARE) + CLOSE:
                t = (a[0] + b[0]) / 2.0
                p = e.point_at(t)
                m = (t, p, *nearest(p, best))
                best, at = max((best, at), (m[2], p), key=lambda f: f[0])
                open_ += [(a, m), (m, b)]
    return best, at


def _at_most(e: Element, a: Point, b: Point) -> float:
    """What no point of the straight way from a to b is farther from this element than, mm; inf where it can not say."""
    if isinstance(e, Line):
        return max(e.distance(a), e.distance(b))  # a straight element is convex: distance from it is greatest at an end
    if abs(e.sweep) > math.pi or not all(0.0 <= e.parameter_of(p) <= 1.0 for p in (a, b)):
        return math.inf  # its ends may be nearer than its round
    nearest, farther = Line(a, b).distance(e.centre), max(math.dist(a, e.centre), math.dist(b, e.centre))
    return max(e.radius - nearest, farther - e.radius)


def _rise(e: Element, share: float) -> float:
    """How far a share of an element rises from its chord, mm."""
    return e.radius * (1.0 - math.cos(share * e.sweep / 2.0)) if isinstance(e, Arc) else 0.0


def _nearest(bridge: Chain) -> Callable[[Point, float], tuple[float, int]]:
    """Finds (distance, index) of a chain's element near a point: the nearest, or one no farther than is asked for."""
    reach = [e.bounds() for e in bridge]
    up_to = list(accumulate((b[2] for b in reach), max))  # nothing up to an element lies farther right
    since = list(accumulate((b[0] for b in reversed(reach)), min))[::-1]  # nothing from it on lies farther left

    def nearest(p: Point, enough: float) -> tuple[float, int]:
        first = bisect_left(up_to, p[0])
        best = (math.inf, 0)
        for k in range(first, len(bridge)):
            if best[0] <= enough or since[k] - p[0] >= best[0]:
                break
            best = min(best, (bridge[k].distance(p), k))
        for k in range(first - 1, -1, -1):
            if best[0] <= enough or p[0] - up_to[k] >= best[0]:
                break
            best = min(best, (bridge[k].distance(p), k))
        return best

    return nearest
