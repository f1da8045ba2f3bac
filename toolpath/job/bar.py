"""The table [bar]: the piece that goes into the lathe, a bar, a tube, or a blank drawn with rows."""

from __future__ import annotations

from msgspec import UNSET, UnsetType

from toolpath.errors import BadInput
from toolpath.job.job import Bar
from toolpath.job.tables import BarTable
from toolpath.job.values import Values
from toolpath.part.drawn_stock import drawn
from toolpath.part.rows import Row
from toolpath.part.stock import tube
from toolpath.part.words import row_from
from toolpath.shop.holding import refuse_no_grip

BAR_NEEDS = "A bar has dia and length, a blank of another shape outside = [rows]"


def bar_of(table: BarTable, values: Values) -> Bar:
    """The bar, tube or drawn blank; BadInput for one that can not be, or can not be gripped."""
    if table.outside is not UNSET:
        return _drawn_bar(table, values)
    if table.inside is not UNSET:
        raise BadInput("only a drawn outline has rows inside", where="bar.inside", right="A tube's hole is its bore")
    for key, written in (("dia", table.dia), ("length", table.length)):
        if written is UNSET:
            raise BadInput(f"'{key}' is missing, and it has no default", where="bar", right=BAR_NEEDS)
    dia, length = values.length("bar.dia", table.dia), values.length("bar.length", table.length)
    bore = 0.0 if table.bore is UNSET else values.length("bar.bore", table.bore)
    if bore >= dia:
        raise BadInput(f"a bore of {bore:g} mm leaves nothing of a bar of {dia:g} mm", where="bar.bore")
    return Bar(tube(dia, bore=bore, length=length, front=_face_off(table, length, values)))


def _drawn_bar(table: BarTable, values: Values) -> Bar:
    for key, written in (("dia", table.dia), ("length", table.length), ("bore", table.bore)):
        if written is not UNSET:
            raise BadInput(f"{key} is given, but the outline is drawn", where=f"bar.{key}", right="Write one of them")
    outside, inside = _bar_rows("outside", table.outside, values), _bar_rows("inside", table.inside, values)
    length = drawn(outside, front=0.0).length
    stock = drawn(outside, inside=inside, front=_face_off(table, length, values, default="drawn bar.face_off"))
    try:
        grip = stock.grip
        refuse_no_grip(grip.dia, grip.length)
    except BadInput as error:
        raise error.at(where="bar.outside") from None
    return Bar(stock, drawn=True)


def _bar_rows(key: str, rows: list[object] | UnsetType, values: Values) -> tuple[Row, ...]:
    where = f"bar.{key}"
    if rows is UNSET:
        return ()
    if not rows:
        raise BadInput("the list of rows is empty", where=where, right="Write at least one, as { dia = 12, to = 20 }")
    return tuple(row_from(r, where=f"{where}[{k}]", unit=values.unit, names=values.sizes) for k, r in enumerate(rows))


def _face_off(table: BarTable, length: float, values: Values, *, default: str = "bar.face_off") -> float:
    key = default if table.face_off is UNSET else "bar.face_off"
    face_off = values.length(key, table.face_off, zero=True)
    if face_off >= length:
        raise BadInput(f"facing {face_off:g} mm off leaves nothing of a bar {length:g} mm long", where="bar.face_off")
    return face_off
