"""The higher of two envelopes: a tool that is not convex is the maximum of convex ones."""

from __future__ import annotations

import bisect
import itertools
from collections.abc import Iterable, Sequence

from toolpath.geometry.crossing import TIE, roots
from toolpath.geometry.elements import Chain, Line
from toolpath.geometry.envelope import Envelope, Piece, clip, joined, size_of
from toolpath.geometry.sites import Curve, value


def maximum(e: Envelope, f: Envelope, keep: Chain) -> Envelope:
    """Upper envelope of e and f over the range of e, ties to e; e itself when f is nowhere above it.

    keep: the chain both were made of, whose size says what a tie is: rounding alone lifts nothing
    """
    return lifted(e, curves(f), keep)


def lifted(e: Envelope, second: Sequence[Curve], keep: Chain) -> Envelope:
    """The higher of e and curves that run left to right, which may leave gaps; see `maximum`."""
    first, last = _beside(e, second)
    higher = _higher(_curves(e.pieces[first:last]), second, TIE * size_of(keep))
    if higher is None:
        return e
    inside = joined(higher, keep, size_of(keep))
    return Envelope(
        (*e.pieces[:first], *inside.pieces, *e.pieces[last:]), (*e.starts[:first], *inside.starts, *e.starts[last:])
    )


def _beside(e: Envelope, second: Sequence[Curve]) -> tuple[int, int]:
    """(first, past the last) of the pieces of e over which the curves run; neither of the two is a jump."""
    if not second:
        return (0, 0)
    first = max(bisect.bisect_left(e.starts, second[0].u0) - 1, 0)
    last = bisect.bisect_right(e.starts, second[-1].u1)  # a jump is followed by a piece that starts where it stands
    return first, max(first, last)


def _higher(first: Sequence[Curve], second: Sequence[Curve], tie: float) -> list[Curve] | None:
    """The higher of both over the range of the first, which has no gaps; None where that is the first all along."""
    if not first:
        return None
    least, most = [_bounds(k)[0] for k in first], [_bounds(k)[1] for k in second]
    cuts = sorted({u for k in (*first, *second) for u in (k.u0, k.u1) if first[0].u0 <= u <= first[-1].u1})
    out: list[tuple[Curve, float, float]] = []
    i = j = 0
    raised = False

    def take(k: Curve, lo: float, hi: float) -> None:
        if out and out[-1][0] is k:
            out[-1] = (k, out[-1][1], hi)
        else:
            out.append((k, lo, hi))

    for lo, hi in itertools.pairwise(cuts):
        while i < len(first) - 1 and first[i].u1 <= lo:
            i += 1
        while j < len(second) and second[j].u1 <= lo:
            j += 1
        p = first[i]
        if j == len(second) or second[j].u0 >= hi or most[j] <= least[i]:
            take(p, lo, hi)
            continue
        q = second[j]
        inner = [u for u in roots(p, q) if lo < u < hi]
        for a, b in zip([lo, *inner], [*inner, hi], strict=True):
            mid = (a + b) / 2.0
            above = value(q, mid) > value(p, mid) + tie
            raised |= above
            take(q if above else p, a, b)
    return [clip(k, lo, hi) for k, lo, hi in out] if raised else None


def _bounds(k: Curve) -> tuple[float, float]:
    """Heights between which a curve lies."""
    lo, hi = min(k.v0, k.v1), max(k.v0, k.v1)
    return (lo, k.b + k.c) if k.sense > 0 else (k.b - k.c, hi) if k.sense < 0 else (lo, hi)


def curves(e: Envelope) -> list[Curve]:
    """The pieces of an envelope as curves over u, jumps left out."""
    return _curves(e.pieces)


def _curves(pieces: Iterable[Piece]) -> list[Curve]:
    return [_curve(p) for p in pieces if not p.vertical]


def _curve(p: Piece) -> Curve:
    e, who = p.path, (p.touch, p.element, p.corner)
    ends = (e.a[1], e.b[1])
    if isinstance(e, Line):
        slope = (e.b[1] - e.a[1]) / (e.b[0] - e.a[0])
        return Curve(e.a[0], e.b[0], 0, e.a[1], slope, 0.0, *who, *ends)
    sense = 1 if e.sweep < 0.0 else -1
    return Curve(e.a[0], e.b[0], sense, e.centre[0], e.centre[1], e.radius, *who, *ends)
