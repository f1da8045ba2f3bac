"""A job file read into a Job, and the part that it speaks of."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path

from msgspec import UNSET

from toolpath import quantity
from toolpath.errors import BadInput
from toolpath.job.bar import bar_of
from toolpath.job.components import afterwards_of, components_of
from toolpath.job.defaults import DEFAULTS
from toolpath.job.holdings import ends_said, holding_tables, holdings_of
from toolpath.job.job import Job
from toolpath.job.making import (
    expected_of,
    height_of,
    infeed_of,
    least_wall_of,
    one_way_of,
    parting_of,
    pattern_of,
    polished_of,
)
from toolpath.job.tables import JobFile
from toolpath.job.trims import trims_of, with_spare
from toolpath.job.values import Values
from toolpath.part.allowance import left_on
from toolpath.part.fitting import fits
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.words import face_rows, held_rows, inside_rows, outside_rows
from toolpath.reading import decode, load, placed


def read_job(path: Path, *, overrides: Mapping[str, str] | None = None, material: str | None = None) -> Job:
    """The job in a file; BadInput with file, key path and line.

    overrides: sizes as given by `--set`, by name. material: instead of the file's own.
    """
    overrides = overrides or {}
    with placed(path):
        file = decode(load(path), JobFile, file=str(path))
        unit = str(DEFAULTS["units"].value if file.units is UNSET else file.units)
        drawn = quantity.evaluate_sizes(file.sizes, overrides, unit=unit)
        trims = trims_of(file.trim, drawn, overrides, unit=unit)
        cut = with_spare(trims, overrides)
        values = Values(unit, quantity.evaluate_sizes(file.sizes, cut, unit=unit) if file.trim else drawn)
        values.take("units", file.units)
        tables = holding_tables(file.holding, file=str(path))
        bar = bar_of(file.bar, values)
        rows = outside_rows(file.part, unit=values.unit, names=values.sizes)
        inside = inside_rows(file.part, unit=values.unit, names=values.sizes)
        infeed, springs = infeed_of(file.threading, (*rows, *(r.row for r in inside)), values)
        return Job(
            file=path,
            title=_title(file.title),
            unit=values.unit,
            machine=path.parent / _file_name(file.machine, "machine"),
            tools=path.parent / _file_name(file.tools, "tools"),
            material=material or file.material,
            materials=None if file.materials is UNSET else path.parent / _file_name(file.materials, "materials"),
            bar=bar,
            break_edges=values.length("break_edges", file.break_edges, zero=True),
            least_wall=least_wall_of(file.least_wall, values),
            thin=str(values.take("thin", file.thin)),
            sizes=values.sizes,
            rows=rows,
            inside_rows=inside,
            face_rows=face_rows(file.part, unit=values.unit, names=values.sizes),
            holdings=holdings_of(tables, bar, values),
            pattern=pattern_of(file.roughing, values),
            infeed=infeed,
            springs=springs,
            finish_passes=int(values.take("finish.passes", file.finish.passes)),
            one_way=one_way_of(file.finish, values),
            measure=bool(values.take("finish.measure", file.finish.measure)),
            finish_um=height_of(file.finish, values),
            polished_um=polished_of(file.finish, values),
            compensation=str(values.take("finish.compensation", file.finish.compensation)),
            parting=parting_of(file.parting, bar, values),
            together=_groups(file.together),
            true_within=values.length("true_within", file.true_within, zero=True) if file.together else 0.0,
            ends_said=ends_said(tables),
            expected=None if file.expect is UNSET or cut else expected_of(file.expect, values),
            held=held_rows(file.part),
            trims=trims,
            components=components_of(file.component, values, file=str(path)),
            afterwards=afterwards_of(file.afterwards, values),
            defaults=tuple(sorted(values.used, key=lambda used: list(DEFAULTS).index(used.key))),
            digest=_digest(path, {**overrides, **({"--material": material} if material else {})}),
        )


def turned_section(job: Job, left_for_polish: float) -> HalfSection:
    """The part as it is turned: with metal left on its free diameters, mm, for the polish."""
    with placed(job.file):
        rows = left_on(job.rows, left_for_polish)
        part = build(rows, inside=job.inside_rows, face=job.face_rows, break_edges=job.break_edges)
        fits(part, job.bar.stock)
    return part


def half_section(job: Job) -> HalfSection:
    """The job's part. BadInput: a row can not exist, the bar is too small, or the volume is not the expected one.

    Rows that hold a component must have got their holes before, from `components.fitted`.
    """
    with placed(job.file):
        for row in job.held:
            raise BadInput(
                f"the holes for '{row.component}' are picked with a rack at hand", where=f"part.inside[{row.index}]"
            )
        part = build(job.rows, inside=job.inside_rows, face=job.face_rows, break_edges=job.break_edges)
        fits(part, job.bar.stock)
        expected, volume = job.expected, part.volume()
        if expected is not None and abs(volume - expected.volume) > expected.within:
            raise BadInput(
                f"the part comes to {volume:.3f} mm³; expected are {expected.volume:.3f}, within {expected.within:.2g}",
                where="expect.volume_mm3",
                right="A row is not what was meant, or the figure is that of another part",
            )
    return part


def _groups(together: list[str | list[str]]) -> tuple[tuple[str, ...], ...]:
    """The groups of rows that must run true to each other: rows that are written plainly are one group."""
    plain = tuple(row for row in together if isinstance(row, str))
    return (*((plain,) if plain else ()), *(tuple(g) for g in together if not isinstance(g, str) and g))


def _title(title: str) -> str:
    text = " ".join(title.split())
    if not text:
        raise BadInput("the title is empty", where="title", right="Name the part in a few words")
    return text


def _file_name(name: str, where: str) -> str:
    if not name.strip() or "\0" in name:
        raise BadInput("no file is named here", where=where, right="Give a path relative to the job")
    return name


def _digest(path: Path, overrides: Mapping[str, str]) -> str:
    """Of what was asked for, not of where it lies: the same job and the same sizes give the same digest anywhere."""
    digest = hashlib.sha256(path.read_bytes())
    for name in sorted(overrides):
        digest.update(f"\0{name}={overrides[name]}".encode())
    return digest.hexdigest()
