"""Brute force over contacts: which points of the work a tool can be laid against without cutting into it.

Every point q of the tool's lower outline is tried on every point p of the work: the tool then stands at p - q, and
that place is free when it lies on or above E, taken from `dense`. How far the best place lies below E is how much the
tool would have to give way; near a touch this grows with the square of the step along the outline, so that a coarse
walk along it and a few finer ones round the best place find a touch to much less than a micrometre.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.oracles.dense import dense_envelope
from tests.oracles.graphs import Floats, lower
from toolpath.geometry.elements import Chain, Point

HAIR = 1e-7
"""mm: against a wall the tool stands beside the jump of E, not on it."""


def short_of_touch(
    keep: Chain, outlines: Sequence[Chain], points: Sequence[Point], *, count: int = 40, closer: int = 3
) -> Floats:
    """How far (mm, >= 0) the first outline stays above each point at its best gouge-free place; the others only limit.

    Points lie on keep. The answer is never less than the true distance by more than `HAIR`; places from which the
    tool touches with the wall above one of its ends are left out, the end itself is not.
    """
    t = lower(outlines[0])
    corners = np.array([s for g in t.pieces for s in (g.u0, g.u1)])
    at = np.array(points)
    lo, hi = np.full(len(at), t.left), np.full(len(at), t.right)
    best = np.full(len(at), -np.inf)
    for _ in range(1 + closer):
        even = lo[:, None] + (hi - lo)[:, None] * np.linspace(0.0, 1.0, count)
        s = np.sort(np.hstack([even, np.clip(corners, lo[:, None], hi[:, None])]), axis=1)
        us = at[:, :1] - s
        e = np.array([dense_envelope(keep, outlines, (us + d).ravel()) for d in (-HAIR, 0.0, HAIR)])
        # A hair past the last place over the work there is nothing to touch.
        room = at[:, 1:] - t.height(s) - np.where(np.isfinite(e), e, np.inf).min(axis=0).reshape(s.shape)
        k, row = room.argmax(axis=1), np.arange(len(at))
        best = np.maximum(best, room[row, k])
        lo, hi = s[row, np.maximum(k - 1, 0)], s[row, np.minimum(k + 1, s.shape[1] - 1)]
    return np.maximum(0.0, -best)
