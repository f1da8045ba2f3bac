"""Which surface of the work is held when it goes into the lathe again, and how far out it then stands."""

from __future__ import annotations

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Line
from toolpath.geometry.minimum import between, height_over
from toolpath.part.stock import Stock
from toolpath.plan.request import Gripped
from toolpath.plan.share import SAME

LEAST = 4.0
"""mm of a cylinder that must be held, at the least (common practice, no source)."""

OVERHANG = 3.0
"""Times the held length that may stand out in front of the hold (common practice, no source)."""


class Cylinder(Struct, frozen=True):
    """A plain diameter of the work and the stretch of z it takes, mm."""

    dia: float
    far: float
    near: float


def cylinders(stock: Stock) -> tuple[Cylinder, ...]:
    """The plain diameters on the outside, from the back end to the front."""
    out: list[Cylinder] = []
    for e in stock.skyline:
        if not isinstance(e, Line) or abs(e.a[1] - e.b[1]) > SAME or e.b[0] - e.a[0] <= SAME:
            continue
        if out and out[-1].dia == 2.0 * e.a[1] and out[-1].near == e.a[0]:
            out[-1] = Cylinder(out[-1].dia, out[-1].far, e.b[0])
        else:
            out.append(Cylinder(2.0 * e.a[1], e.a[0], e.b[0]))
    return tuple(out)


def grip(stock: Stock, *, keep_off: float, held: tuple[float, float] | None = None) -> Gripped:
    """The cylinder to hold: the one that leaves the least overhang for the length held.

    keep_off: z from which tools come no nearer to the hold, mm; held: the stretch of z asked for
    CannotMake naming every cylinder and why it does not do.
    """
    if held is not None:
        return _as_asked(stock, held, keep_off)
    told: list[str] = []
    best: tuple[float, Gripped] | None = None
    for c in cylinders(stock):
        nose = min(c.near, keep_off)
        length, out = nose - c.far, stock.front - nose
        why = _why_not(stock, c, nose)
        if why:
            told.append(f"diameter {c.dia:g} from z {c.far:.2f} to {c.near:.2f}: {why}")
        elif best is None or length / out > best[0]:
            best = (length / out, Gripped(c.dia, nose, c.far))
    if best is None:
        raise CannotMake(f"nothing of the work can be held for this set-up. {'; '.join(told) or 'It has no cylinder'}")
    return best[1]


def _as_asked(stock: Stock, held: tuple[float, float], keep_off: float) -> Gripped:
    far, near = min(held), max(held)
    for c in cylinders(stock):
        if c.far <= far + SAME and near <= c.near + SAME:
            why = _why_not(stock, Cylinder(c.dia, far, near), near)
            if near > keep_off + SAME:
                why = f"the tools come to z {keep_off:.2f} mm"
            if why:
                raise CannotMake(f"the work can not be held from z {far:.2f} to {near:.2f} mm: {why}")
            return Gripped(c.dia, near, far)
    there = ", ".join(f"{c.dia:g} from z {c.far:.2f} to {c.near:.2f}" for c in cylinders(stock)) or "none"
    raise CannotMake(f"from z {far:.2f} to {near:.2f} mm there is no one cylinder to hold; the work has: {there}")


def _why_not(stock: Stock, c: Cylinder, nose: float) -> str:
    """Why a cylinder can not be held with the hold's nose there, or nothing."""
    length, out = nose - c.far, stock.front - nose
    if length < LEAST:
        return f"only {max(length, 0.0):.2f} mm of it are behind what is cut, {LEAST:g} are needed"
    if out > OVERHANG * length:
        return f"{out:.2f} mm would stand out of {length:.2f} mm held, more than {OVERHANG:g} times"
    beyond = height_over(between(stock.skyline, stock.back, c.far), (stock.back, c.far))
    if 2.0 * beyond > c.dia + SAME:
        return f"the work is thicker behind it, diameter {2.0 * beyond:g}"
    return ""
