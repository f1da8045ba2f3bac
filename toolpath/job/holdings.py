"""The tables [[holding]]: how the bar is held, and then what has been made of it."""

from __future__ import annotations

from msgspec import UNSET, UnsetType

from toolpath.errors import BadInput
from toolpath.job.job import Bar
from toolpath.job.tables import HoldingTable
from toolpath.job.values import Values
from toolpath.part.stock import SAME
from toolpath.reading import decode
from toolpath.shop.holding import Holding


def holding_tables(tables: list[dict[str, object]], *, file: str) -> list[HoldingTable]:
    """The tables, decoded one by one, so that a mistake is told with its number."""
    if not tables:
        raise BadInput("the list of holdings is empty", where="holding", right="Leave it out for the defaults")
    return [decode(table, HoldingTable, file=file, where=f"holding[{k}]") for k, table in enumerate(tables)]


def held(table: HoldingTable, bar: Bar, values: Values, k: int) -> Holding:
    """Holding number `k`, counted from 0: the first grips the bar, the others the part."""
    where = f"holding[{k}]"
    grip = str(values.take("holding.grip", table.grip)) if k == 0 else _said(table.grip, "part")
    if (grip == "bar") != (k == 0):
        raise BadInput(
            f"holding {k + 1} grips the {grip}",
            where=f"{where}.grip",
            right="The first holding grips the bar, the others what has been made of it: the part",
        )
    if k > 0 and table.stick_out is not UNSET:
        raise BadInput(
            "how far the part stands out follows from where it is held",
            where=f"{where}.stick_out",
            right="Write held = [from, to], distances from the front face, or leave both out",
        )
    kind = str(values.take("holding.in", table.in_))
    return Holding(
        kind,
        end=str(values.take("holding.end", table.end)) if k else _said(table.end, "front"),
        stick_out=_stick_out(table, bar, values, kind) if k == 0 else None,
        held=_gripped(table, values, where),
        turn_to=None if table.turn_to is UNSET else values.length("turn_to", table.turn_to, at=f"{where}.turn_to"),
        zero=_said(table.zero, "measured"),
    )


def _said(written: str | UnsetType, otherwise: str) -> str:
    return otherwise if written is UNSET else written


def _gripped(table: HoldingTable, values: Values, where: str) -> tuple[float, float] | None:
    """The stretch of the part that is held, distances from its front face, mm; None: what is best."""
    if table.held is UNSET:
        return None
    if table.grip != "part" or len(table.held) != 2:
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
