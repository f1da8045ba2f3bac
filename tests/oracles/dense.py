"""E(u) by brute force: chord everything, bound each chord from both sides, cut the chords that still matter.

For one chord of keep and a convex lower outline t, `chord - t` is concave in u, so its greatest value is found in
closed form (where a line of the chord's slope touches t, clamped to the chord). Lines of keep are thereby exact.
An arc's value lies between two such values: a true point of the arc gives the lower bound; the chord itself (cup:
the arc hangs below it) or the chord thickened by its sagitta (cap) gives the upper bound. Chords whose upper bound
tops the best lower bound are cut in four until the sagitta is below `resolution`. No order of elements, no crossing
of sites, no root is ever used, so the kernel's traps are none here.

Both bounds hold to rounding in *normal* distance: where E falls vertically (beside a wall of the tool or keep) they
may differ by the whole jump within `resolution` of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.oracles.graphs import Floats, Lower, graphs, lower
from toolpath.geometry.elements import Chain

RESOLUTION = 1e-9  # mm; sagitta at which cutting stops

# one chord: columns of an array
U0, V0, U1, V1, SENSE, CU, CV, R, W0, W1 = range(10)


@dataclass(frozen=True, slots=True)
class Enclosure:
    """low <= E <= high at each position; -inf where nothing of keep stands under the tool."""

    low: Floats
    high: Floats


def enclose(
    keep: Chain, outlines: Sequence[Chain], us: Floats, *, step: float = 1.0, resolution: float = RESOLUTION
) -> Enclosure:
    """Bounds on E at each of us. step: length of the first chords, mm (any value gives the same answer)."""
    chords = _chords(keep, step)
    us = np.asarray(us, dtype=np.float64)
    low, high = np.full_like(us, -np.inf), np.full_like(us, -np.inf)
    for outline in outlines:
        _one_outline(chords, lower(outline), us, low, high, resolution)
    return Enclosure(low, np.maximum(low, high))


def dense_envelope(keep: Chain, outlines: Sequence[Chain], us: Floats, step: float = 1.0) -> Floats:
    """E at each of us: the lower bound of `enclose`, within 1e-8 mm of the truth away from vertical walls."""
    return enclose(keep, outlines, us, step=step).low


def _chords(keep: Chain, step: float) -> Floats:
    rows = []
    for e in keep:
        for g in graphs(e):
            n = 1 if g.sense == 0 else max(2, int(np.ceil(g.r * abs(g.w1 - g.w0) / step)))
            w = np.linspace(g.w0, g.w1, n + 1)
            u, v = g.cu + g.r * np.cos(w), g.cv + g.r * np.sin(w)
            u[0], v[0], u[-1], v[-1] = g.u0, g.v0, g.u1, g.v1
            rows += [[u[k], v[k], u[k + 1], v[k + 1], g.sense, g.cu, g.cv, g.r, w[k], w[k + 1]] for k in range(n)]
    return np.array(rows, dtype=np.float64)


def _one_outline(chords: Floats, t: Lower, us: Floats, low: Floats, high: Floats, resolution: float) -> None:
    p = np.repeat(chords, len(us), axis=0)
    at = np.tile(np.arange(len(us)), len(chords))
    while len(p):
        below, above = _bounds(p, t, us[at])
        np.maximum.at(low, at, below)
        open_ = (p[:, SENSE] != 0) & (above > low[at])
        done = open_ & (_sagitta(p) <= resolution)
        np.maximum.at(high, at[done], above[done])
        go = open_ & ~done
        p, at = _quartered(p[go]), np.repeat(at[go], 4)


def _sagitta(p: Floats) -> Floats:
    return np.asarray(p[:, R] * 2.0 * np.sin(np.abs(p[:, W1] - p[:, W0]) / 4.0) ** 2)


def _quartered(p: Floats) -> Floats:
    out = np.repeat(p, 4, axis=0)
    for k in range(1, 4):
        w = p[:, W0] + (p[:, W1] - p[:, W0]) * (k / 4.0)
        u, v = p[:, CU] + p[:, R] * np.cos(w), p[:, CV] + p[:, R] * np.sin(w)
        u = np.clip(u, p[:, U0], p[:, U1])
        for end, (cu, cv, cw) in ((k - 1, (U1, V1, W1)), (k, (U0, V0, W0))):
            out[end::4, cu], out[end::4, cv], out[end::4, cw] = u, v, w
    return out


def _chord_height(p: Floats, x: Floats) -> Floats:
    run = p[:, U1] - p[:, U0]
    ratio = np.clip((x - p[:, U0]) / np.where(run > 0.0, run, 1.0), 0.0, 1.0)
    slanted = p[:, V0] + ratio * (p[:, V1] - p[:, V0])
    return np.where(run > 0.0, slanted, np.maximum(p[:, V0], p[:, V1]))


def _bounds(p: Floats, t: Lower, u: Floats) -> tuple[Floats, Floats]:
    """Lower and upper bound of each chord's (or its arc's) greatest `q_v - t(q_u - u)`."""
    run = np.maximum(p[:, U1] - p[:, U0], 1e-100)  # a wall is a slope too steep to matter how steep
    slope = np.clip((p[:, V1] - p[:, V0]) / run, -1e15, 1e15)
    touch = t.support(slope)

    def clamped(spot: Floats, room: Floats) -> tuple[Floats, Floats, NDArray[np.bool_]]:
        lo, hi = np.maximum(p[:, U0] - u, t.left - room), np.minimum(p[:, U1] - u, t.right + room)
        s = np.clip(spot, lo, np.maximum(lo, hi))
        return s, np.clip(s + u, p[:, U0], p[:, U1]), lo <= hi

    none = np.zeros_like(u)
    s, x, meets = clamped(touch, none)
    d = np.abs(x - p[:, CU])
    on_arc = p[:, CV] + p[:, SENSE] * np.sqrt(np.maximum(0.0, (p[:, R] - d) * (p[:, R] + d)))
    point = np.where(p[:, SENSE] == 0, _chord_height(p, x), on_arc)
    below = np.where(meets, point - t.height(np.clip(s, t.left, t.right)), -np.inf)
    for end, top in ((U0, V0), (U1, V1)):  # the stored ends, for near a vertical tangent the root above is all rounding
        s = p[:, end] - u
        here = p[:, top] - t.height(np.clip(s, t.left, t.right))
        below = np.maximum(below, np.where((s >= t.left) & (s <= t.right), here, -np.inf))

    sag = np.where(p[:, SENSE] > 0, _sagitta(p), 0.0)
    bottom = t.support(none)
    s, x, meets = clamped(touch + np.sign(slope) * sag, sag)
    nearest = np.clip(np.clip(bottom, s - sag, s + sag), t.left, t.right)
    above = np.where(meets, sag + _chord_height(p, x) - t.height(nearest), -np.inf)
    return below, above
