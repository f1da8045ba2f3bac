"""The outlines of a part with every thread cut to its root: what is left of the metal there, and whether any is."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, Element, Line
from toolpath.part.figures import mm
from toolpath.part.radii import radii
from toolpath.part.threads import ThreadOn

if TYPE_CHECKING:
    from toolpath.part.halfsection import HalfSection, Surface

SAME = 1e-9  # mm


def rooted(part: HalfSection, chain: str) -> Chain:
    """A chain ("outside", "inside", "inside_back") whose threads lie at their root; its elements no longer meet there.

    The root is as deep as a sound thread may go: the least of a screw, the greatest of a hole.
    """
    whole: Chain = getattr(part, chain)
    roots = {on.element: on for on in part.threads if on.chain == chain}
    return tuple(_at(e, roots[k]) if k in roots else e for k, e in enumerate(whole))


def refuse_thread_through(part: HalfSection, *, where: str) -> None:
    """BadInput at its row for a thread that is cut through the wall it is on; both offenders are named."""
    around = tuple(zip(rooted(part, "outside"), part.surfaces, strict=True))
    hollow = (
        *zip(rooted(part, "inside"), part.inside_surfaces, strict=True),
        *zip(rooted(part, "inside_back"), part.inside_back_surfaces, strict=True),
    )
    for on in part.threads:
        sign, others = (1.0, around) if on.inside else (-1.0, hollow)
        met = _nearest(on, others, sign)
        if met is None or sign * (met[0] - on.deepest - on.shift(met[2])) > SAME:
            continue
        own = getattr(part, "surfaces" if on.chain == "outside" else f"{on.chain}_surfaces")[on.element]
        aside = on.shift(met[2])
        wall, deep = mm(abs(on.crest + aside - met[0])), mm(abs(on.crest - on.deepest))
        raise BadInput(
            f"{on.threaded.thread.in_full} goes {deep} deep, to dia {mm(2.0 * (on.deepest + aside))}, and the wall to "
            f"{met[1].name} ({met[1].place(where)}) is {wall} thick: nothing is left under its root",
            where=own.place(where),
            right="Take a finer pitch, or leave more metal under the thread",
        )


def _nearest(
    on: ThreadOn, others: Iterable[tuple[Element, Surface]], sign: float
) -> tuple[float, Surface, float] | None:
    """Radius, surface and z where the other side comes nearest to the root, from over it (sign 1.0) or under (-1.0)."""
    ends = [on.front - SAME, on.back + SAME]
    found = [
        (x, s, z)
        for e, s in others
        if e.a[0] != e.b[0]  # the ends of an upright one are those of its neighbours
        for z in (*ends, *(p[0] for p in (e.a, e.b) if on.back < p[0] < on.front))
        for x in radii(e, z)
    ]
    return min(found, key=lambda f: sign * (f[0] - on.shift(f[2])), default=None)


def _at(e: Element, on: ThreadOn) -> Line:
    """The crest moved to the root."""
    return Line(*((z, on.deepest + on.shift(z)) for z in (e.a[0], e.b[0])))
