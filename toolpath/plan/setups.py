"""From one part and its holdings to the set-ups: what each turns, what it leaves for the next, how it is held."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain
from toolpath.part.stock import ROUND, Stock, from_outlines
from toolpath.plan.gripping import by_dog, grip, in_bore, is_cut, on_mandrel, refuse_other_thread, under_clamps
from toolpath.plan.request import Gripped, Request
from toolpath.plan.share import SAME, front_of, shares
from toolpath.plan.steadies import MAKES_ROOM, refuse_unturned, steady_of
from toolpath.plan.stretches import first_here, stretches
from toolpath.plan.tailstock import FACED, refuse_no_back_centre
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
    here, later = holdings[number - 1], holdings[number:]
    around = here.end == "back"
    part = base.part.turned_round() if around else base.part
    off_the_bar = base.parted and here.bar and not any(h.bar for h in later)
    request = replace(
        base,
        part=part,
        stock=stock,
        held_in=here.kind,
        on=here.on,
        plug=here.plug,
        stick_out=here.stick_out,
        gone=base.stock.length - stock.length,
        number=number,
        count=len(holdings),
        turned_round=around,
        parted=off_the_bar,
        first_here=first_here(holdings, number),
        centre="running" if here.centred else "",
        steady=None if here.steady is None else here.steady - base.part.length if around else -here.steady,
        zero="" if number == 1 else here.zero,
    )
    if request.sawn and all(h.end == here.end for h in later):
        raise CannotMake(
            "with a centre in, the piece is sawn off its bar, and no holding faces the sawn end. Add a [[holding]] "
            'with grip = "part", or write [parting] off = false'
        )
    refuse_unturned(base.part, holdings, number)
    begins, turn_to = stretches(base.part, holdings)[number - 1]
    if len(holdings) == 1:
        _refuse_hidden(base)
        return request
    _refuse_unseen(base, holdings)
    other_end_later = any(h.end != here.end for h in later)
    request = replace(
        request,
        turn_from=begins,
        turn_to=turn_to if other_end_later or not off_the_bar else None,
        runs_on=number == 1 and len(holdings) == 2 and all(h.turn_to is None for h in holdings),
        spare=SPARE if off_the_bar and other_end_later else 0.0,
    )
    if here.bar:
        return request
    if here.kind == "centres":
        refuse_no_back_centre(request)
    rows, _ = shares(request, None)
    keep_off = rows[-1].b[0] - 2.0 * base.machine.clearance
    threads = tuple((on.back, on.front) for on in part.threads if not on.inside and is_cut(on, stock))
    if steady := steady_of(request):
        keep_off = min(keep_off, steady.back - MAKES_ROOM)
    gripped = _gripped(request, here, keep_off=keep_off, threads=threads)
    if here.kind == "faceplate" and here.zero == "measured" and abs(stock.back + part.length) <= FACED:
        request = replace(request, zero="plate")
    return replace(request, gripped=gripped)


def _gripped(request: Request, here: Holding, *, keep_off: float, threads: tuple[tuple[float, float], ...]) -> Gripped:
    """What of the work is held. keep_off: z from which tools come no nearer to the hold, mm"""
    stock, length = request.stock, request.part.length
    if here.kind == "expanding arbor":
        return in_bore(stock)
    if here.kind == "centres":
        return by_dog(stock, keep_off=keep_off, threads=threads)
    if here.kind == "faceplate":
        return under_clamps(stock, keep_off=keep_off)
    held = None
    if here.held is not None:
        a, b = here.held
        held = (a - length, b - length) if here.end == "back" else (-min(b, length), -a)
    if here.kind == "mandrel" and held is not None:
        gripped = on_mandrel(stock, dia=here.thread, shoulder=held[1], keep_off=keep_off)
        refuse_other_thread(request.part.threads, gripped, on=here.on)
        return gripped
    return grip(
        stock,
        keep_off=keep_off,
        held=held,
        threads=threads,
        steadied=request.steady is not None or bool(request.centre),
    )


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


def _refuse_unseen(base: Request, holdings: tuple[Holding, ...]) -> None:
    """CannotMake for what only the back end shows where every holding works from the front."""
    if all(h.end == "front" for h in holdings):
        _refuse_hidden(base)
