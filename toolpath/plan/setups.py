"""From one part and its holdings to the set-ups: what each turns, what it leaves for the next, how it is held."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain
from toolpath.part.halfsection import HalfSection
from toolpath.part.stock import ROUND, Stock, from_outlines
from toolpath.plan.gripping import grip, in_bore, on_mandrel
from toolpath.plan.request import Gripped, Request
from toolpath.plan.share import SAME, faces_back_from, front_of, shares
from toolpath.shop.holding import Holding

if TYPE_CHECKING:
    from toolpath.plan.plan import Plan

SPARE = 0.5
"""mm left on the length where the part is faced again from the other end (common practice, no source)."""


def request_of(base: Request, holdings: tuple[Holding, ...], number: int, stock: Stock) -> Request:
    """The request of set-up `number` (from 1). base: what all have in common, the part with its front face at z = 0.

    stock: what the set-up before left, as it lies in this one
    CannotMake when the holdings contradict each other or nothing can be gripped.
    """
    here = holdings[number - 1]
    _refuse_unplanned(here)
    around = here.end == "back"
    part = base.part.turned_round() if around else base.part
    request = replace(
        base,
        part=part,
        stock=stock,
        held_in=here.kind,
        on=here.on,
        plug=here.plug,
        stick_out=here.stick_out,
        number=number,
        count=len(holdings),
        turned_round=around,
        parted=base.parted and number == 1,
    )
    if len(holdings) == 1:
        _refuse_hidden(base)
        return request
    _refuse_same_end(holdings)
    first = number == 1
    turn_to = turned_from_end(base.part, holdings, number)
    request = replace(
        request,
        turn_to=turn_to,
        runs_on=first and all(h.turn_to is None for h in holdings),
        spare=SPARE if first else 0.0,
    )
    if first:
        return request
    rows, _ = shares(request, None)
    keep_off = rows[-1].b[0] - 2.0 * base.machine.clearance
    threads = tuple((on.back, on.front) for on in part.threads if not on.inside)
    gripped = _gripped(here, stock, length=part.length, keep_off=keep_off, threads=threads)
    return replace(request, gripped=gripped, zero=here.zero)


def _gripped(
    here: Holding, stock: Stock, *, length: float, keep_off: float, threads: tuple[tuple[float, float], ...]
) -> Gripped:
    """What of the work is held. length: of the part; keep_off: z from which tools come no nearer to the hold, mm"""
    if here.kind == "expanding arbor":
        return in_bore(stock)
    held = None
    if here.held is not None:
        a, b = here.held
        held = (a - length, b - length) if here.end == "back" else (-min(b, length), -a)
    if here.kind == "mandrel" and held is not None:
        return on_mandrel(stock, dia=here.thread, shoulder=held[1], keep_off=keep_off)
    return grip(stock, keep_off=keep_off, held=held, threads=threads)


def _refuse_unplanned(here: Holding) -> None:
    """CannotMake for a way of holding whose outlines are known, but for which no order of operations is."""
    why = {
        "centres": "the work carries a dog that must be moved to its other end half way, and a centre in both ends",
        "faceplate": "clamps stand where they are put, and no program can know where",
    }.get(here.kind, "")
    if here.centre:
        why = "a running centre stands before the front face, which could not be faced, and in the way of the tools"
    if here.steady is not None:
        why = "the carriage would have to pass the steady, and the journal it runs on must be turned first"
    if why:
        name = "a running centre" if here.centre else "a steady" if here.steady is not None else here.kind
        raise CannotMake(f"no program is planned for {name}: {why}. Hold it in a chuck or a collet, with less overhang")


def next_stock(done: Plan, holdings: tuple[Holding, ...]) -> Stock:
    """What the next set-up starts from, as it lies there."""
    return from_outlines([lying_next(done.piece, done, holdings)])


def lying_next(outline: Chain, done: Plan, holdings: tuple[Holding, ...]) -> Chain:
    """A closed outline of this set-up as it lies in the next, turned round where the other end looks at the tools."""
    if holdings[done.request.number - 1].end == holdings[done.request.number].end:
        return outline
    return tuple(e.moved((-done.request.part.length, 0.0)) for e in ROUND.outline(outline))


def _refuse_hidden(base: Request) -> None:
    """CannotMake for what only the back end shows when no set-up turns the part round."""
    around = base.part.turned_round()
    grooved = any(min(e.a[0], e.b[0]) < -SAME for e in front_of(around.outside))
    hidden = [
        *(["a hollow seen from the back"] * bool(base.part.inside_back)),
        *(["a groove in the back face"] * grooved),
    ]
    if hidden:
        raise CannotMake(
            f"the part has {' and '.join(hidden)}, and one set-up works from the front end. Add a second [[holding]], "
            "which turns the part round"
        )


def _refuse_same_end(holdings: tuple[Holding, ...]) -> None:
    if len(holdings) > 2 or holdings[0].end == holdings[1].end:
        raise CannotMake("a part is made in one set-up, or in two from its two ends; these holdings are neither")


def turned_from_end(part: HalfSection, holdings: tuple[Holding, ...], number: int) -> float:
    """Distance from the end in hand to which the outside is turned, mm; CannotMake for one that is not on the part."""
    length = part.length
    for k, h in enumerate(holdings, start=1):
        if h.turn_to is not None:
            if not 0.0 < h.turn_to <= length:
                raise CannotMake(f"turn_to {h.turn_to:g} mm is not on the part, which is {length:g} mm long")
            return h.turn_to if k == number else length - h.turn_to
    first = part.turned_round() if holdings[0].end == "back" else part
    from_first = faces_back_from(first.outside)
    return from_first if number == 1 else length - from_first
