"""Threads outside that are cut before the hole under them: a thin wall gives way to point and die, a solid does not."""

from __future__ import annotations

from toolpath.part.radii import radii
from toolpath.part.threads import ThreadOn
from toolpath.plan.request import Request
from toolpath.plan.threading import of_setup

THIN = 2.0
"""Depths of the thread under which a wall is thin beneath its root (common practice, no source)."""

INTO = 1e-6  # mm from the ends of a thread, where its neighbours have a radius of their own


def before_the_hole(request: Request) -> tuple[ThreadOn, ...]:
    """The outside threads of this set-up over a thin wall, where the hole is made here too, in solid bar."""
    if not request.first_here or request.stock.bore or request.stock.inside:
        return ()
    return tuple(on for on in of_setup(request) if not on.inside and _thin(request, on))


def _thin(request: Request, on: ThreadOn) -> bool:
    ends = (on.front - INTO, on.back + INTO)
    inside = [p[0] for e in request.part.inside for p in (e.a, e.b) if on.back < p[0] < on.front]
    walls = [on.deepest + on.shift(z) - x for z in (*ends, *inside) for e in request.part.inside for x in radii(e, z)]
    return min(walls, default=THIN * on.crest) < THIN * (on.crest - on.deepest)
