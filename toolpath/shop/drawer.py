"""The whole drawer: numbered tools, what is held by hand in the tailstock, and the sets of drills.

drawer = load_drawer(path)           from `rack.py`
drill_tool(drill)                           a drill of a set, held in the tailstock chuck
drawer.holders[0].holding(tool, (12, 12))   the same in a numbered place
"""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from toolpath import reading
from toolpath.errors import BadInput
from toolpath.shop.drills import SINGLE, Drill, DrillSet, drill_named, drill_set
from toolpath.shop.hole_forms import CHUCK, CHUCK_LENGTH, chucked, ground, stamped, twist
from toolpath.shop.outlines import box
from toolpath.shop.rack_rows import DrillHolderRow, DrillsRow
from toolpath.shop.rack_tools import tool_of
from toolpath.shop.tools import Tool
from toolpath.shop.written_values import at, size, within


class DrillHolder(Struct, frozen=True):
    """A chuck in a numbered place. largest: diameter of the thickest drill it takes; chuck: its own diameter, mm.

    further: numbers, each that of its offset too, for the drills that go into it after the first
    """

    number: int
    offset: int
    name: str
    largest: float
    chuck: float
    further: tuple[int, ...] = ()

    @property
    def places(self) -> tuple[tuple[int, int], ...]:
        """(number, offset) of the drills it may hold one after the other."""
        return ((self.number, self.offset), *((n, n) for n in self.further))

    def holding(self, tool: Tool, place: tuple[int, int]) -> Tool:
        """What is else held in the tailstock, standing in this chuck under one of its numbers."""
        half = self.chuck / 2.0
        body = box(tool.reach, -half, tool.reach + CHUCK_LENGTH, half)
        return replace(tool, number=place[0], offset=place[1], holder=(*tool.holder[:-1], body))


class Drawer(Struct, frozen=True):
    """What a rack file holds.

    tools:   those with a number, in the order of the file
    by_hand: hole tools without one: centre drills, countersinks, reamers held in the tailstock
    holders: numbered places that take any drill
    sets:    drills, box by box; single ones last
    """

    tools: tuple[Tool, ...]
    by_hand: tuple[Tool, ...] = ()
    holders: tuple[DrillHolder, ...] = ()
    sets: tuple[DrillSet, ...] = ()

    def refitted(self, number: int) -> str:
        """The chuck in which one drill follows another under this number, so that the program stops; else empty."""
        return next((h.name for h in self.holders if h.further for n, _ in h.places if n == number), "")

    @property
    def drills(self) -> tuple[Drill, ...]:
        """Every drill of every set, thinnest first."""
        return tuple(sorted({d for s in self.sets for d in s.drills}, key=lambda d: (d.dia, d.set, d.name)))


def drill_tool(drill: Drill) -> Tool:
    """A drill out of a set as a tool, held by its whole shank in the tailstock's chuck, and without a number."""
    form = chucked(twist(drill), drill.flute, CHUCK)
    said = (f"flute {drill.flute:g} mm", "material HSS", f"chuck {CHUCK:g} mm")
    return tool_of(form, number=0, offset=0, material="HSS", assumed=said)


def holder_from(row: DrillHolderRow, *, unit: str) -> DrillHolder:
    """The drill holder of a row."""
    return DrillHolder(
        number=row.number,
        offset=row.number if row.offset is None else row.offset,
        name=row.name or f"drill holder {row.number}",
        largest=size(row.largest, "largest", unit=unit),
        chuck=size(row.chuck, "chuck", unit=unit, default=CHUCK),
        further=tuple(row.further),
    )


def sets_from(rows: list[dict[str, object]], *, file: str, unit: str) -> tuple[DrillSet, ...]:
    """The sets of the `[[drills]]` tables, single drills of all of them gathered at the end."""
    sets: list[DrillSet] = []
    single: set[Drill] = set()
    for i, data in enumerate(rows):
        where = f"drills[{i}]"
        row = reading.decode(data, DrillsRow, file=file, where=where)
        with within(where):
            if bool(row.set) == bool(row.drills):
                right = 'Write set = "metric 0.5" or drills = ["7.8", "#29", "F", "5/16"]'
                raise BadInput("a table of drills says either `set` or `drills`", right=right)
            if row.set:
                sets.append(_set(row, unit))
            else:
                single |= _single(row, unit)
    if single:
        sets.append(DrillSet(SINGLE, tuple(sorted(single, key=lambda d: (d.dia, d.set)))))
    return tuple(sets)


def _set(row: DrillsRow, unit: str) -> DrillSet:
    first, last = (None if end is None else stamped(end, unit) for end in (row.first, row.last))
    whole = at("set", drill_set, row.set, first=first, last=last)
    if row.point is None and row.flute is None:
        return whole
    return DrillSet(whole.name, tuple(ground(d, row.point, row.flute, unit=unit) for d in whole.drills))


def _single(row: DrillsRow, unit: str) -> set[Drill]:
    if row.first is not None or row.last is not None:
        raise BadInput("ends go with a set, not with single drills", where="from" if row.first is not None else "to")
    named = (at(f"drills[{i}]", drill_named, stamped(text, unit)) for i, text in enumerate(row.drills or []))
    return {ground(drill, row.point, row.flute, unit=unit) for drill in named}
