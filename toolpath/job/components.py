"""[[component]] and [afterwards]: what the part holds, what becomes of its surfaces, and the holes picked for it.

[[component]]
name = "point"                         # a row of the inside names it: { holds = "point" }
steps = [ { dia = 5.95, length = 12 }, { dia = 2.9, length = 8 } ]   # the end that goes in last comes first
measured_within = 0.02                 # either way, of every measure
fit = "free"                           # or "close", "press", "glue gap"; of one step: { ..., fit = "close" }
from = "front"                         # the face it is put in from, or "back"
seat = 8                               # where its body comes to rest, from that face; or sticks_out = 4
through = true                         # its innermost hole goes right through
made = "reamed"                        # asked for: else a drill where one does

[afterwards]
plating = { a_side = 0.008, within = 0.002, on = "inside" }     # also anodise, polish; on both where not said
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import UNSET, UnsetType
from msgspec.structs import replace

from toolpath import quantity
from toolpath.errors import BadInput
from toolpath.job.job import Job
from toolpath.job.tables import AfterwardsTable, ComponentTable, Kind
from toolpath.job.values import Values
from toolpath.part.afterwards import Afterwards
from toolpath.part.component import Component, Step, seated
from toolpath.part.fits import Means
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.insertion import Insertion, inserted
from toolpath.part.rows import Holds, Inside
from toolpath.part.seating import Fitting, fittings, refuse_thin, rows
from toolpath.reading import decode, placed

STEPS = "Write steps = [ { dia = 5.95, length = 12 } ], measured from the end that goes in last"


def components_of(tables: list[dict[str, object]], values: Values, *, file: str) -> tuple[Component, ...]:
    """The components of a job; BadInput with the key path."""
    found: list[Component] = []
    for k, table in enumerate(tables):
        where = f"component[{k}]"
        one = _component(decode(table, ComponentTable, file=file, where=where), values, where)
        if one.name in {c.name for c in found}:
            raise BadInput(f"there are two components named '{one.name}'", where=f"{where}.name")
        found.append(one)
    return tuple(found)


def _component(table: ComponentTable, values: Values, where: str) -> Component:
    if not table.steps:
        raise BadInput("it has no steps", where=f"{where}.steps", right=STEPS)
    steps = tuple(
        Step(
            values.length("dia", s.dia, at=f"{where}.steps[{k}].dia"),
            values.length("length", s.length, at=f"{where}.steps[{k}].length"),
            "" if s.fit is UNSET else s.fit,
        )
        for k, s in enumerate(table.steps)
    )
    off = values.length("component.measured_within", table.measured_within, zero=True, at=f"{where}.measured_within")
    k, thin = min(enumerate(steps), key=lambda s: min(s[1].dia, s[1].length))
    if off >= min(thin.dia, thin.length):
        raise BadInput(f"measured within {off:g} mm says nothing of steps[{k}]", where=f"{where}.measured_within")
    seat = None if table.seat is UNSET else values.length("seat", table.seat, at=f"{where}.seat")
    out = None if table.sticks_out is UNSET else _signed(table.sticks_out, values, f"{where}.sticks_out")
    try:
        seat = seated(steps, seat=seat, sticks_out=out, within=off)
    except BadInput as error:
        raise error.at(where=where) from None
    return Component(
        name=table.name,
        steps=steps,
        within=off,
        fit=table.fit,
        seat=seat,
        from_back=table.from_ == "back",
        through=table.through is True,
        made="" if table.made is UNSET else table.made,
    )


def _signed(written: str | int | float, values: Values, where: str) -> float:
    """A length that may be less than 0: it lies below the face."""
    return quantity.length(written, unit=values.unit, names=values.sizes, where=where)


def afterwards_of(table: Mapping[Kind, AfterwardsTable] | UnsetType, values: Values) -> tuple[Afterwards, ...]:
    """What is done to the turned surfaces."""
    if table is UNSET:
        return ()
    return tuple(
        Afterwards(
            kind,
            values.length("a_side", t.a_side, at=f"afterwards.{kind}.a_side"),
            0.0 if t.within is UNSET else values.length("within", t.within, zero=True, at=f"afterwards.{kind}.within"),
            "both" if t.on is UNSET else t.on,
        )
        for kind, t in table.items()
    )


def fitted(job: Job, means: Means, *, least_wall: float) -> tuple[Job, tuple[Fitting, ...]]:
    """The job with rows in the place of each component that a row holds, and the holes picked for them.

    least_wall: mm, what the part must have; 0 where a thinner one is only warned of
    """
    with placed(job.file):
        by_name = {c.name: (k, c) for k, c in enumerate(job.components)}
        outside = build(job.rows, face=(), break_edges=0.0).outside if job.held else ()
        out: list[Inside] = list(job.inside_rows)
        picked: list[Fitting] = []
        for row in job.held:
            k, component = _named(row, by_name)
            where = f"component[{k}]"
            found = fittings(component, means, length=-outside[-1].b[0], where=where)
            refuse_thin(component, found, outside, least=least_wall, means=means, where=where)
            out += rows(component, found, index=row.index)
            picked += found
        out.sort(key=lambda r: r.index or 0)  # stable: the holes of a component keep their order
        return replace(job, inside_rows=tuple(out), held=()), tuple(picked)


def _named(row: Holds, by_name: dict[str, tuple[int, Component]]) -> tuple[int, Component]:
    if row.component not in by_name:
        raise BadInput(
            f"there is no component named '{row.component}'",
            where=f"part.inside[{row.index}].holds",
            right=quantity.nearest(row.component, by_name) or "Write a [[component]] table of this name",
        )
    return by_name[row.component]


def insertions(job: Job, part: HalfSection, means: Means) -> tuple[Insertion, ...]:
    """Every component of the job in its place in the finished part; BadInput for one that does not go in."""
    with placed(job.file):
        return tuple(inserted(c, part, means, where=f"component[{k}]") for k, c in enumerate(job.components))
