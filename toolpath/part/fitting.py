"""Does the part lie within its stock? Surface against surface, exactly, told with the row, the place and the figures.

Both are seen in one frame at a time, from outside and from inside, as heights over z. The difference of two heights,
each on a line or an arc, is greatest at an end of what they share or where both slopes are equal.
"""

from __future__ import annotations

import math

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, Chain, Element, Line
from toolpath.geometry.envelope import height_on
from toolpath.geometry.frame import INSIDE
from toolpath.geometry.silhouette import monotone, silhouette
from toolpath.part.checks import OUT_OF_PLACE
from toolpath.part.figures import dia, mm
from toolpath.part.halfsection import HalfSection
from toolpath.part.stock import Stock

Place = tuple[float, float, float]  # z, height of the one, height of the other

NARROW = 1e-9  # mm; two surfaces that share less than this of the axis only touch there


def fits(part: HalfSection, stock: Stock, *, where: str = "part") -> None:
    """Refuse, naming the row, a part that the stock does not hold; z = 0 is the part's front face for both."""
    sky, level = stock.skyline, stock.dia / 2.0
    plain = all(isinstance(e, Line) and e.bounds()[3] == level for e in sky)
    # What a row made comes first: a face is as large as the rows beside it, and they are what has to change.
    for e, s in sorted(zip(part.outside, part.surfaces, strict=True), key=lambda pair: pair[1].row is None):
        place = s.place(where)
        worst = highest_above(e, sky)
        if worst is not None and worst[1] - worst[2] > OUT_OF_PLACE:
            z, x, there = worst
            at = "" if plain else f" {mm(-z)} from the front face"
            raise BadInput(
                f"{s.name} comes to {dia(x)}{at}, and the bar is {dia(there)}{'' if plain else ' there'}", where=place
            )
        if e.bounds()[0] < stock.back - OUT_OF_PLACE:
            raise BadInput(
                f"{s.name} ends {mm(-e.bounds()[0])} from the front face, and the bar has {mm(-stock.back)}",
                where=place,
            )
    _clear_of_hollow(part, stock, where)


def highest_above(e: Element, sky: Chain) -> Place | None:
    """Where the element stands highest above (or least below) a left-to-right, one-valued chain.

    -> (u, height of e, height of the chain), None where they share no stretch of u
    """
    found: list[Place] = []
    for part in monotone(e):
        rising = part if part.b[0] >= part.a[0] else part.reversed()
        for s in sky:
            lo, hi = max(rising.a[0], s.a[0]), min(rising.b[0], s.b[0])
            if hi - lo > NARROW:
                us = [lo, hi, *(u for u in _same_slope(rising, s) if lo < u < hi)]
                found += [(u, height_on(rising, u), height_on(s, u)) for u in us]
    return max(found, key=lambda p: (p[1] - p[2], p[0]), default=None)


def _same_slope(e: Element, f: Element) -> list[float]:
    """Where two left-to-right elements, one of them an arc, run alike.

    On an arc of signed radius r (a cup's is negative) the place of the slope -s/√(1 - s²) is u = centre + r s.
    """
    if isinstance(e, Line):
        if isinstance(f, Line):
            return []
        e, f = f, e
    centre, r = e.centre[0], _signed(e)
    if isinstance(f, Line):
        return [centre - r * f.tangent_at(0.0)[1]]
    other, q = f.centre[0], _signed(f)
    s = (other - centre) / (r - q) if r != q else math.inf
    return [centre + r * s] if abs(s) < 1.0 else []


def _signed(e: Arc) -> float:
    return e.radius if e.sweep < 0.0 else -e.radius


def _clear_of_hollow(part: HalfSection, stock: Stock, where: str) -> None:
    """No hollow of the stock may reach into the metal of the part, which begins at its own hollows or at the axis."""
    if not stock.inside:
        return
    hollow = silhouette(INSIDE.chain(stock.inside)).chain
    ahead = min((e.bounds()[0] for e in part.inside), default=0.0)
    behind = max((e.bounds()[2] for e in part.inside_back), default=-part.length)
    solid = Line((behind, 0.0), (ahead, 0.0)) if behind < ahead else None
    own = (*INSIDE.chain(part.inside), *INSIDE.chain(part.inside_back), *([solid] if solid is not None else []))
    rows = [s.place(where) for s in (*part.inside_surfaces, *part.inside_back_surfaces)]
    worst: tuple[Place, str] | None = None
    for e, row in zip(own, [*rows, f"{where}.outside"], strict=False):
        found = highest_above(e, hollow)
        if found is not None and (worst is None or found[1] - found[2] > worst[0][1] - worst[0][2]):
            worst = (found, row)
    if worst is not None and worst[0][1] - worst[0][2] > OUT_OF_PLACE:
        (z, x, depth), row = worst
        metal = f"has a hole of {dia(-x)}" if x else "is solid"
        raise BadInput(
            f"the part {metal} {mm(-z)} from the front face, and the bar there has one of {dia(-depth)}", where=row
        )
