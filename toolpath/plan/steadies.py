"""A fixed steady: where it bears, how wide it is, and how stiff it leaves the end that stands out in front of it."""

from __future__ import annotations

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain
from toolpath.part.halfsection import HalfSection
from toolpath.part.stock import Stock
from toolpath.plan.gripping import Cylinder, cylinders
from toolpath.plan.request import Request
from toolpath.plan.share import SAME
from toolpath.plan.stretches import stretches
from toolpath.shop import ways
from toolpath.shop.holding import Holding, table

MAKES_ROOM = 5.0
"""mm between what holds the work and a steady, at the least: its screws are turned there (common practice)."""


class Steady(Struct, frozen=True):
    """outlines: closed, in (z, x), mm; dia: on which its fingers bear; at, front, back: z of its middle and faces."""

    outlines: tuple[Chain, ...]
    dia: float
    at: float
    front: float
    back: float


def steady_of(request: Request) -> Steady | None:
    """The steady of a set-up that has one. CannotMake where its fingers would bear on no one cylinder."""
    if request.steady is None:
        return None
    at, row = request.steady, table()["steady"]
    under = _bears(request.stock, at, row["finger"])
    half = row["width"] / 2.0
    return Steady(ways.steady(under.dia, at=at), under.dia, at, at + half, at - half)


def refuse_unturned(part: HalfSection, holdings: tuple[Holding, ...], number: int) -> None:
    """CannotMake where the steady of that set-up would bear on what no set-up before has turned, or on a thread."""
    here, half = holdings[number - 1], table()["steady"]["finger"] / 2.0
    at = here.steady
    if at is None:
        return
    ranges = []
    for h, (begins, to) in zip(holdings[: number - 1], stretches(part, holdings), strict=False):
        ranges.append((begins, to) if h.end == "front" else (part.length - to, part.length - begins))
    if here.bar or not any(a <= at - half + SAME and at + half <= b + SAME for a, b in ranges):
        told = ", ".join(f"{a:g} to {b:g} mm" for a, b in ranges if b > a) or "nothing"
        raise CannotMake(
            f"a steady {at:g} mm behind the front face bears on {at - half:g} to {at + half:g} mm, and only a place "
            f"that was turned before runs round in it; turned before this holding is: {told}"
        )
    for on in part.threads:
        if not on.inside and -on.front < at + half and -on.back > at - half:
            raise CannotMake(f"a steady {at:g} mm behind the front face would bear on {on.threaded.thread.in_full}")


def refuse_behind(request: Request, steady: Steady, needed: float) -> None:
    """CannotMake where tools come to the steady. needed: mm from the stock's end that they take, clearance included"""
    room = request.stock.front - steady.front
    if needed > room + SAME:
        raise CannotMake(
            f"the steady's face stands {room:.2f} mm behind the end of the work, and tools take {needed:.2f} mm with "
            "their clearance: no tool passes it. Write a smaller turn_to, or move the steady towards the chuck"
        )


def more_give(steady: Steady, *, nose_z: float, front: float) -> float:
    """Times that an end in front of a steady gives way as much as if it were clamped there, which it only leans on.

    An even beam, clamped at one end, propped, and loaded on its overhang a beyond a span l:
    a^2 (3 l + 4 a) / 12 E I against a^3 / 3 E I (Euler-Bernoulli). nose_z: of the hold, front: of the end, mm
    """
    span, out = steady.at - nose_z, front - steady.at
    return (3.0 * span + 4.0 * out) / (4.0 * out)


def _bears(stock: Stock, at: float, finger: float) -> Cylinder:
    half = finger / 2.0
    there = [c for c in cylinders(stock) if c.far <= at - half + SAME and at + half <= c.near + SAME]
    if not there:
        has = ", ".join(f"{c.dia:g} from z {c.far:.2f} to {c.near:.2f}" for c in cylinders(stock)) or "none"
        raise CannotMake(
            f"the fingers of the steady take z {at - half:.2f} to {at + half:.2f} mm, and there is no one cylinder; "
            f"the work has: {has}"
        )
    return there[0]
