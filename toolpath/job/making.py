"""[roughing], [finish], [parting], [expect] and the least wall: how the part is made, and what it must come to."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import UNSET, UnsetType

from toolpath.errors import BadInput
from toolpath.job.defaults import DEFAULTS, Written
from toolpath.job.job import Bar, Expected, Parting
from toolpath.job.tables import ExpectTable, FinishTable, PartingTable, RoughingTable, ThreadingTable
from toolpath.job.values import Values
from toolpath.part.rows import Row, ThreadRow

MOST_SPRINGS = 9


def pattern_of(table: RoughingTable, values: Values) -> str | None:
    """How the bulk is roughed; None: the quickest way."""
    pattern = str(values.take("roughing.pattern", table.pattern))
    return None if pattern == "quickest" else pattern


def infeed_of(table: ThreadingTable, rows: Iterable[Row], values: Values) -> tuple[str, int | None]:
    """(how a point comes down, passes at full depth or None: as the material gives); asked only where a point cuts."""
    if not any(isinstance(r, ThreadRow) and r.threaded.in_step for r in rows):
        if table.infeed is not UNSET or table.springs is not UNSET:
            raise BadInput("no thread of the part is cut with a point", where="threading", right="Leave the table out")
        return str(DEFAULTS["threading.infeed"].value), None
    infeed = str(values.take("threading.infeed", table.infeed))
    if table.springs is UNSET:
        values.take("threading.springs", UNSET)
        return infeed, None
    if not 0 <= table.springs <= MOST_SPRINGS:
        raise BadInput(
            f"{table.springs} passes at full depth are no number of passes",
            where="threading.springs",
            right=f"Write 0 to {MOST_SPRINGS}",
        )
    return infeed, table.springs


def least_wall_of(written: Written | UnsetType, values: Values) -> float | None:
    """The thinnest wall that the part may have, mm; None: as the material table gives."""
    if written is UNSET:
        values.take("least_wall", UNSET)
        return None
    return values.length("least_wall", written)


def height_of(table: FinishTable, values: Values) -> float | None:
    """Greatest height of the turning marks, µm; None: as the material table gives."""
    if table.height_um is UNSET:
        values.take("finish.height_um", UNSET)
        return None
    if not table.height_um > 0.0:
        raise BadInput(f"{table.height_um:g} µm is no height of a surface", where="finish.height_um")
    return table.height_um


def polished_of(table: FinishTable, values: Values) -> float | None:
    """Greatest height of the marks after polishing, µm; None: it is not polished."""
    if table.polished_um is UNSET:
        values.take("finish.polished_um", UNSET)
        return None
    if not table.polished_um > 0.0:
        raise BadInput(f"{table.polished_um:g} µm is no height of a surface", where="finish.polished_um")
    return table.polished_um


def one_way_of(table: FinishTable, values: Values) -> bool:
    """Whether finish cuts are split so that X goes one way; BadInput where the control moves the tool aside."""
    one_way = bool(values.take("finish.one_way", table.one_way))
    if one_way and table.compensation == "control":
        raise BadInput(
            "a contour that the control keeps the nose off is cut in one piece, not split where X turns round",
            where="finish.one_way",
            right='Leave it out, or compensation = "control"',
        )
    return one_way


def parting_of(table: PartingTable, bar: Bar, values: Values) -> Parting:
    """How the piece comes off; BadInput for a stub that is no stub."""
    off = bool(values.take("parting.off", table.off))
    if not off:
        if table.stub is not UNSET:
            raise BadInput("a stub is given, but nothing is parted off", where="parting.stub", right="Leave it out")
        return Parting(off=False, stub=0.0)
    stub = values.length("parting.stub", table.stub, zero=True)
    if stub >= bar.dia:
        raise BadInput(f"a stub of {stub:g} mm is the whole bar of {bar.dia:g} mm", where="parting.stub")
    return Parting(off=True, stub=stub)


def expected_of(table: ExpectTable, values: Values) -> Expected:
    """The volume that was worked out elsewhere, mm³, and what is left for rounding."""
    if not table.volume_mm3 > 0.0:
        raise BadInput(f"{table.volume_mm3:g} mm³ is no volume of a part", where="expect.volume_mm3")
    if table.within_mm3 is UNSET:
        values.take("expect.within", UNSET)
        return Expected(table.volume_mm3, 1e-4 * table.volume_mm3)
    if not table.within_mm3 > 0.0:
        raise BadInput(f"{table.within_mm3:g} mm³ leaves no room for rounding", where="expect.within_mm3")
    return Expected(table.volume_mm3, table.within_mm3)
