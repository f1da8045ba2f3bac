"""The tables [[holding]]: how the bar is held, and then what has been made of it."""

from __future__ import annotations

import math
import re

from msgspec import UNSET, UnsetType

from toolpath.errors import BadInput
from toolpath.job.job import Bar
from toolpath.job.tables import HoldingTable
from toolpath.job.values import Values
from toolpath.part.stock import SAME
from toolpath.reading import decode
from toolpath.shop.holding import Holding, way
from toolpath.shop.ways import thread_of


def holding_tables(tables: list[dict[str, object]], *, file: str) -> list[HoldingTable]:
    """The tables, decoded one by one, so that a mistake is told with its number."""
    if not tables:
        raise BadInput("the list of holdings is empty", where="holding", right="Leave it out for the defaults")
    return [decode(table, HoldingTable, file=file, where=f"holding[{k}]") for k, table in enumerate(tables)]


def ends_said(tables: list[HoldingTable]) -> bool:
    """Whether the job itself says which end comes first, or what only goes with one of them."""
    return any(
        said is not UNSET
        for t in tables
        for said in (t.end, t.turn_to, t.held, t.on, t.against, t.steady, t.centre, t.stick_out)
    )


def holdings_of(tables: list[HoldingTable], bar: Bar, values: Values) -> tuple[Holding, ...]:
    """All holdings in order: those that grip the bar, then those that grip what has been made of it."""
    out: list[Holding] = []
    for k, table in enumerate(tables):
        out.append(_held(table, bar, values, tuple(out)))
        if k and out[-1].bar and not out[-2].bar:
            raise BadInput(
                f"holding {k + 1} grips the bar, and the one before it what was cut from that",
                where=f"holding[{k}].grip",
                right="Holdings that grip the bar come first",
            )
    return tuple(out)


def _held(table: HoldingTable, bar: Bar, values: Values, before: tuple[Holding, ...]) -> Holding:
    """One holding. before: those that come before it"""
    k = len(before)
    where = f"holding[{k}]"
    grip = str(values.take("holding.grip", table.grip)) if k == 0 else _said(table.grip, "part")
    if k == 0 and grip != "bar":
        raise BadInput(
            f"holding 1 grips the {grip}",
            where=f"{where}.grip",
            right="The first holding grips the bar, others what has been made of it: the part",
        )
    if grip == "part" and table.stick_out is not UNSET:
        raise BadInput(
            "how far the part stands out follows from where it is held",
            where=f"{where}.stick_out",
            right="Write held = [from, to], distances from the front face, or leave both out",
        )
    end = _end(table, values, before, on_bar=grip == "bar")
    on = _mandrel(table, where)
    kind = "mandrel" if on else _kind(table, values, where)
    if grip == "bar" and way(kind).made:
        raise BadInput(
            f"this holding grips the bar, and the {way(kind).name} holds only what an earlier one has made",
            where=f"{where}.{'on' if on else 'in'}",
            right="Grip the bar in a collet or chuck first, and what is made of it here: in a later [[holding]] with "
            'grip = "part"',
        )
    held_at = _gripped(table, values, where, on_bar=grip == "bar")
    if on and table.against is not UNSET:
        shoulder = _shoulder(table.against, values, where)
        held_at = (0.0, shoulder) if end == "back" else (shoulder, math.inf)
    turn_to = None
    if table.turn_to is not UNSET:
        turn_to = values.length("turn_to", table.turn_to, zero=True, at=f"{where}.turn_to")
    return Holding(
        kind,
        end=end,
        stick_out=_stick_out(table, bar, values, kind) if grip == "bar" else None,
        held=held_at,
        turn_to=turn_to,
        zero=_zero(table, on, where),
        on=on,
        thread=thread_of(on)[0] if on else 0.0,
        centre=_said(table.centre, ""),
        plug=table.plug,
        steady=None if table.steady is UNSET else values.length("steady", table.steady, at=f"{where}.steady"),
        bar=grip == "bar",
    )


def _end(table: HoldingTable, values: Values, before: tuple[Holding, ...], *, on_bar: bool) -> str:
    """The end of the part that looks at the tools: "front" or "back"."""
    if table.end is not UNSET:
        return table.end
    if not before:
        return "front"
    if on_bar:
        return before[-1].end
    if len(before) > 1:
        raise BadInput(
            f"nothing says which end looks at the tools in holding {len(before) + 1}",
            where=f"holding[{len(before)}].end",
            right='Write end = "front" or end = "back"',
        )
    return "front" if before[0].end == "back" else str(values.take("holding.end", UNSET))


def _kind(table: HoldingTable, values: Values, where: str) -> str:
    """The way of holding, one that is known."""
    if table.against is not UNSET:
        raise BadInput(
            "only a mandrel has a face for a shoulder to lie against",
            where=f"{where}.against",
            right='Write on = "mandrel M10x1" besides, or leave it out',
        )
    kind = str(values.take("holding.in", table.in_))
    if kind == "mandrel":
        raise BadInput("a mandrel takes a thread", where=f"{where}.in", right='Write on = "mandrel M10x1" instead')
    try:
        way(kind)
    except BadInput as error:
        raise error.at(where=f"{where}.in") from None
    return kind


def _mandrel(table: HoldingTable, where: str) -> str:
    """The thread that the mandrel takes, as it is written; "" where none is used."""
    if table.on is UNSET:
        return ""
    word, _, thread = table.on.strip().partition(" ")
    if word != "mandrel" or table.in_ is not UNSET or table.grip == "bar" or table.held is not UNSET:
        raise BadInput(
            f"'{table.on}' with the other keys is no hold on the part's own thread",
            where=f"{where}.on",
            right='Write on = "mandrel M10x1" and against = "shoulder at 9", without in and held',
        )
    if table.against is UNSET:
        raise BadInput(
            "a thread alone does not centre: the part needs a shoulder that lies on the mandrel's face",
            where=f"{where}.on",
            right='Write against = "shoulder at 9", its distance from the front face',
        )
    try:
        thread_of(thread)
    except BadInput as error:
        raise error.at(where=f"{where}.on") from None
    return thread.strip()


def _shoulder(against: str, values: Values, where: str) -> float:
    """Distance from the front face of the shoulder that lies against the mandrel, mm."""
    found = re.fullmatch(r"shoulder at (.+)", against.strip())
    if not found:
        raise BadInput(
            f"'{against}' names no shoulder",
            where=f"{where}.against",
            right='Write "shoulder at 9"',
        )
    return values.length("against", found[1], at=f"{where}.against")


def _zero(table: HoldingTable, on: str, where: str) -> str:
    zero = _said(table.zero, "mandrel face" if on else "measured")
    if zero == "mandrel face" and not on:
        raise BadInput(
            "there is no mandrel here",
            where=f"{where}.zero",
            right='Write "measured" or "stop"',
        )
    return zero


def _said(written: str | UnsetType, otherwise: str) -> str:
    return otherwise if written is UNSET else written


def _gripped(table: HoldingTable, values: Values, where: str, *, on_bar: bool) -> tuple[float, float] | None:
    """The stretch of the part that is held, distances from its front face, mm; None: what is best."""
    if table.held is UNSET:
        return None
    if on_bar or len(table.held) != 2:
        raise BadInput(
            "held is the stretch of the part that is gripped",
            where=f"{where}.held",
            right='Write grip = "part" and held = [2, 9]: from 2 to 9 mm behind the front face',
        )
    a, b = (values.length("held", v, zero=True, at=f"{where}.held") for v in table.held)
    if not a < b:
        raise BadInput(
            f"nothing lies between {a:g} and {b:g} mm", where=f"{where}.held", right="The smaller comes first"
        )
    return (a, b)


def _stick_out(table: HoldingTable, bar: Bar, values: Values, kind: str) -> float | None:
    """Of the bar, mm from the nose of its hold; None: as needed."""
    if table.stick_out is UNSET:
        values.take("holding.stick_out", UNSET)
        return None
    where = "holding[0].stick_out"
    stick_out = values.length("holding.stick_out", table.stick_out, at=where)
    if stick_out >= bar.length:
        raise BadInput(
            f"{stick_out:g} mm stick out of the {kind}, and the bar is {bar.length:g} mm long: nothing is left to grip",
            where=where,
        )
    if bar.drawn and bar.length - stick_out > bar.stock.grip.reach + SAME:
        grip = bar.stock.grip
        raise BadInput(
            f"{bar.length - stick_out:g} mm of the stock are in the {kind}, and the cylinder at its back end, of "
            f"{grip.dia:g} mm, is {grip.length:g} mm long",
            where=where,
            right=f"Let it stick out at least {bar.length - grip.reach:g} mm",
        )
    return stick_out
