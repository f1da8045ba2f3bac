"""Does a profile touch or cross itself?

A profile that never turns back along the axis can only run back along its own shoulder. One that does (an arc with an
overhang) is compared piece by piece, only where both stand at the same place along the axis.
"""

from __future__ import annotations

import math
from itertools import pairwise

from toolpath.geometry.corners import SMOOTH, crossings, turn
from toolpath.geometry.elements import Arc, Chain, Element

TOUCH = 1e-7  # mm: nearer than this is touching; a tenth of a thousandth of what a lathe can hold


def touching(chain: Chain, *, closed: bool = False) -> tuple[int, int] | None:
    """Indices of the first two elements that touch anywhere but where one follows the other, or None.

    closed: the first follows the last.
    """
    for k, (e, f) in enumerate(pairwise((*chain, chain[0]) if closed else chain)):
        if abs(turn(e, f)) > math.pi - SMOOTH:
            return k, (k + 1) % len(chain)
    boxes = [e.bounds() for e in chain]
    if all(b[0] >= e.b[0] - TOUCH and b[2] <= e.a[0] + TOUCH for e, b in zip(chain, boxes, strict=True)):
        return None
    order = sorted(range(len(chain)), key=lambda k: boxes[k][0])
    near: list[int] = []
    for k in order:
        near = [m for m in near if boxes[m][2] >= boxes[k][0] - TOUCH]
        for m in near:
            apart = boxes[m][1] > boxes[k][3] + TOUCH or boxes[k][1] > boxes[m][3] + TOUCH
            if not apart and _meet(chain, min(k, m), max(k, m), closed):
                return min(k, m), max(k, m)
        near.append(k)
    return None


def _meet(chain: Chain, k: int, m: int, closed: bool) -> bool:
    """Whether elements k < m have a point in common, the one that joins neighbours left out."""
    if closed and k == 0 and m == len(chain) - 1:
        k, m = m, 0
    e, f = chain[k], chain[m]
    points = [p for p in crossings(e, f) if e.distance(p) <= TOUCH and f.distance(p) <= TOUCH]
    if m == (k + 1) % len(chain):
        return any(math.dist(p, e.b) > _clear_of_joint(e, f) for p in points)
    ends = any(e.distance(p) <= TOUCH for p in (f.a, f.b)) or any(f.distance(p) <= TOUCH for p in (e.a, e.b))
    return ends or bool(points)


def _clear_of_joint(e: Element, f: Element) -> float:
    """How far from their joint two neighbours may still seem to meet: where they are tangent, rounding moves the
    crossing along them by the square root of what it moves the curves aside."""
    r = max((g.radius for g in (e, f) if isinstance(g, Arc)), default=0.0)
    return TOUCH + math.sqrt(2.0 * r * TOUCH) if abs(turn(e, f)) < 0.01 else 1e3 * TOUCH
