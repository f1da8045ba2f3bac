"""One operation as the rows of a part: what is cut, and the bar beside it as it stands.

Every function gives a `Piece`. Values stay as they were typed; only what is worked out here is a figure, in mm.
"""

from __future__ import annotations

import math
from pathlib import Path

from msgspec import Struct

from toolpath import quantity
from toolpath.errors import BadInput
from toolpath.job.draft import RowTable
from toolpath.shop.tapers import half_angle_of_ratio
from toolpath.shop.tapers import standard as named

BESIDE = 2.0
"""mm of bar behind a groove or a hollow, so that the tool stays clear of the hold (common practice, no source)."""

Rows = tuple[RowTable, ...]


class Bar(Struct, frozen=True):
    """dia, bore: of the bar, as typed; units: of bare numbers; rack: where the drills are"""

    dia: str
    units: str
    rack: Path
    bore: str | None = None

    def mm(self, value: str) -> float:
        """A typed length in mm, not negative."""
        return quantity.length(value, unit=self.units, positive=True)


class Piece(Struct, frozen=True):
    """title: in a few words; rows, inside: new surfaces; before, behind: the bar as it stands on either side of them

    face_off: what comes off the end; parted: whether the piece is cut off
    """

    title: str
    rows: Rows = ()
    inside: Rows = ()
    before: Rows = ()
    behind: Rows = ()
    face_off: str = "0"
    parted: bool = False

    @property
    def outside(self) -> Rows:
        """All rows of the outside, from the front end."""
        return (*self.before, *self.rows, *self.behind)


def bare(bar: Bar, length: str | float) -> RowTable:
    """A stretch of the bar as it stands. length: as typed, or mm"""
    return {"dia": bar.dia, "length": length if isinstance(length, str) else f"{length:g} mm"}


def face(bar: Bar, off: str) -> Piece:
    return Piece(f"Face {off} off", behind=(bare(bar, BESIDE),), face_off=off)


def turn(bar: Bar, dia: str, length: str) -> Piece:
    return Piece(f"Turn to {dia}", rows=({"dia": dia, "length": length},))


def taper(bar: Bar, dia: str | None, length: str | None, standard: str | None, **slope: str | None) -> Piece:
    """From `dia` at the free end over a length, thicker towards the chuck or to a stated diameter; or a standard one.

    slope: to, half_angle, included_angle, ratio: exactly one is given
    """
    if standard is not None or dia is None or length is None:
        found = named(standard or "")
        return _tapered(bar, found.small, found.length, math.atan(0.5 / found.rate), f"Taper {found.names[0]}")
    given = [(k, v) for k, v in slope.items() if v is not None]
    if len(given) != 1:
        said = "two ways at once" if given else "neither by its other end nor by its angle"
        raise BadInput(
            f"a taper is given {said}", right="Give one of --to DIA, --half-angle, --included-angle, --ratio 1:20"
        )
    ((way, value),) = given
    if way == "to":
        row: RowTable = {"taper_to": value, "from_dia": dia, "length": length}
        return Piece(f"Taper from {dia} to {value}", rows=(row,))
    half = half_angle_of_ratio(value) if way == "ratio" else quantity.angle(value)
    if way == "included_angle":
        half /= 2.0
    return _tapered(bar, bar.mm(dia), bar.mm(length), half, f"Taper of {value}")


def _tapered(bar: Bar, dia: float, length: float, half: float, title: str) -> Piece:
    if not 0.0 < half < math.pi / 2.0:
        raise BadInput(f"a taper of {math.degrees(half):g} deg from the axis can not be turned")
    end = dia + 2.0 * length * math.tan(half)
    if end > bar.mm(bar.dia) + 1e-9:
        raise BadInput(
            f"the taper would be {end:.3f} mm thick at its end, and the bar is {bar.mm(bar.dia):g}",
            right="Begin thinner, or end sooner",
        )
    row: RowTable = {"taper_to": f"{end:.6f} mm", "from_dia": f"{dia:.6f} mm", "length": f"{length:g} mm"}
    return Piece(title, rows=(row,))


def chamfer(bar: Bar, size: str, angle: str | None) -> Piece:
    corner: RowTable = {"chamfer": size} if angle is None else {"chamfer": size, "angle": angle}
    return Piece(f"Chamfer {size}", rows=(corner,), behind=(bare(bar, bar.mm(size) + BESIDE),))


def round_edge(bar: Bar, radius: str) -> Piece:
    return Piece(f"Round of {radius}", rows=({"radius": radius},), behind=(bare(bar, bar.mm(radius) + BESIDE),))


def dome(bar: Bar, radius: str) -> Piece:
    return Piece(f"Dome of {radius}", rows=({"dome_to": bar.dia, "radius": radius},))


def ball(bar: Bar, dia: str, neck: str) -> Piece:
    rows: Rows = ({"ball": dia, "down_to": neck}, {"dia": neck, "length": f"{BESIDE:g} mm"})
    return Piece(f"Ball of {dia}", rows=rows)


def hollow(bar: Bar, radius: str, width: str, at: str) -> Piece:
    row: RowTable = {"hollow_to": bar.dia, "length": width, "radius": radius}
    return Piece(f"Hollow of {radius}", rows=(row,), before=(bare(bar, at),), behind=(bare(bar, BESIDE),))


def groove(bar: Bar, floor: str, width: str, at: str) -> Piece:
    row: RowTable = {"neck": floor, "length": width}
    return Piece(f"Groove down to {floor}", rows=(row,), before=(bare(bar, at),), behind=(bare(bar, BESIDE),))


def part_off(bar: Bar, length: str) -> Piece:
    return Piece(f"Part off {length}", behind=(bare(bar, length),), parted=True)


def drill(bar: Bar, dia: str, deep: str) -> Piece:
    return _holed(bar, f"Drill {dia}", ({"hole": dia, "deep": deep},), bar.mm(deep) + bar.mm(dia))


def ream(bar: Bar, dia: str, deep: str) -> Piece:
    rows: Rows = ({"hole": dia, "deep": deep, "made": "reamed"},)
    return _holed(bar, f"Ream {dia}", rows, bar.mm(deep) + bar.mm(dia))


def bore(bar: Bar, dia: str, deep: str) -> Piece:
    rows: Rows = ({"dia": dia, "to": deep, "made": "bored"},)
    return _holed(bar, f"Bore {dia}", rows, bar.mm(deep) + BESIDE)


def _holed(bar: Bar, title: str, inside: Rows, length: float) -> Piece:
    return Piece(title, inside=inside, behind=(bare(bar, length),))


def thread(bar: Bar, designation: str, length: str, *, inside: bool, undercut: bool, by: str | None) -> Piece:
    """by: what cuts it; as the job's default has it, or as the rack has a drill before the tap, where left out"""
    if inside:
        return _inside_thread(bar, designation, length, by)
    row = {"thread": designation, "length": length}
    more: RowTable = {**({"undercut": True} if undercut else {}), **({"cut_by": by} if by else {})}
    behind = (bare(bar, BESIDE),) if undercut else ()
    return Piece(f"Thread {designation}", rows=({**row, **more},), behind=behind)


def _inside_thread(bar: Bar, designation: str, length: str, by: str | None) -> Piece:
    """With the hole behind it that tap or point runs out in, of the drill that the rack has for it."""
    from toolpath.shop.rack import load_drawer
    from toolpath.shop.threads import read_thread
    from toolpath.shop.threads.preparing import TAP_LEAD
    from toolpath.shop.threads.preparing import bore as limits
    from toolpath.shop.threads.tap_drills import best, tap_drills

    found = read_thread(designation)
    usual = best(found, tap_drills(found, load_drawer(bar.rack).sets))
    by = by or ("tap" if usual is not None else "point")
    dia = usual.drill.dia if usual is not None else limits(found).least
    deep = bar.mm(length) + TAP_LEAD * found.pitch
    drilled: RowTable = {"drill": round(dia, 6)} if by == "tap" else {}
    row: RowTable = {"thread": designation, "to": length, "cut_by": by, **drilled}
    hole: RowTable = {"hole": f"{dia:.6g} mm", "deep": f"{deep:g} mm"}
    return _holed(bar, f"Thread {designation} inside", (row, hole), deep + dia)
