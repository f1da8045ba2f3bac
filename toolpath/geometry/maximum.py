"""The higher of two envelopes: a tool that is not convex is the maximum of convex ones."""

from __future__ import annotations

import itertools

from toolpath.geometry.crossing import TIE, roots
from toolpath.geometry.elements import Chain, Line
from toolpath.geometry.envelope import Envelope, Piece, clip, joined, size_of
from toolpath.geometry.sites import Curve, value


def maximum(e: Envelope, f: Envelope, keep: Chain) -> Envelope:
    """Upper envelope of e and f over the range of e, ties to e; e itself when f is nowhere above it.

    keep: the chain both were made of, whose size says what a tie is: rounding alone lifts nothing
    """
    first, second = curves(e), curves(f)
    scale = size_of(keep)
    tie = TIE * scale
    cuts = sorted({u for k in (*first, *second) for u in (k.u0, k.u1) if e.lo <= u <= e.hi})
    out: list[Curve] = []
    i = j = 0
    raised = False
    for lo, hi in itertools.pairwise(cuts):
        while i < len(first) - 1 and first[i].u1 <= lo:
            i += 1
        while j < len(second) and second[j].u1 <= lo:
            j += 1
        p = first[i]
        if j == len(second) or second[j].u0 >= hi:
            out.append(clip(p, lo, hi))
            continue
        q = second[j]
        inner = [u for u in roots(p, q) if lo < u < hi]
        for a, b in zip([lo, *inner], [*inner, hi], strict=True):
            mid = (a + b) / 2.0
            above = value(q, mid) > value(p, mid) + tie
            raised |= above
            out.append(clip(q if above else p, a, b))
    return joined(out, keep, scale) if raised else e


def curves(e: Envelope) -> list[Curve]:
    """The pieces of an envelope as curves over u, jumps left out."""
    return [_curve(p) for p in e.pieces if not p.vertical]


def _curve(p: Piece) -> Curve:
    e, who = p.path, (p.touch, p.element, p.corner)
    ends = (e.a[1], e.b[1])
    if isinstance(e, Line):
        slope = (e.b[1] - e.a[1]) / (e.b[0] - e.a[0])
        return Curve(e.a[0], e.b[0], 0, e.a[1], slope, 0.0, *who, *ends)
    sense = 1 if e.sweep < 0.0 else -1
    return Curve(e.a[0], e.b[0], sense, e.centre[0], e.centre[1], e.radius, *who, *ends)
