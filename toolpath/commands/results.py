"""The files of a run, as bytes by name: program, drawing, figure, report, a mandrel's job; no program that failed its
proof."""

from __future__ import annotations

import re
from pathlib import Path

from toolpath.commands import report
from toolpath.commands.mandrel import mandrel_files
from toolpath.commands.picture import picture
from toolpath.commands.road import Made
from toolpath.drawing.dxf import write_dxf
from toolpath.drawing.figure import svg

HERE = Path()


def results(made: Made, folder: Path = HERE) -> dict[str, bytes]:
    """Content of every file by its name. folder: where they will lie"""
    job = made.inputs.job
    files: dict[str, bytes] = {}
    entries = []
    for setup in made.setups:
        name = f"{job.stem}-{setup.plan.name}"
        number = f", set-up {setup.plan.name} of {len(job.holdings)}" if len(job.holdings) > 1 else ""
        seen = picture(f"{job.title}{number}", setup.plan, setup.read_back, setup.proof)
        files[f"{name}.dxf"] = write_dxf(seen)
        files[f"{name}.svg"] = svg(seen).encode()
        if not setup.proof.refused:
            files[f"{name}.nc"] = setup.text.text.encode("ascii")
            files |= {part_of(name, k): p.text.text.encode("ascii") for k, p in enumerate(setup.parts, 1)}
        if setup.again is not None:
            files[f"{name}-again.nc"] = setup.again.text.text.encode("ascii")
        entry = report.setup(made, setup, program=f"{name}.nc")
        if setup.parts:
            entry["parts"] = report.parts(setup, [part_of(name, k) for k in range(1, len(setup.parts) + 1)])
        entries.append(entry)
    wall = made.inputs.wall
    polish = made.setups[-1].plan.request.polish if made.setups else ()
    thin = wall.thick if wall else None
    whole = report.report(job.title, entries, minimum_wall=thin, changed=made.changed, polish=polish)
    files[f"{job.stem}.json"] = whole
    return {**files, **mandrel_files(made, folder)}


def part_of(name: str, k: int) -> str:
    """File name of the k-th tool's program, from 1."""
    return f"{name}-tool-{k}.nc"


def programs_of(folder: Path, stem: str) -> list[str]:
    """Names of programs of this job that lie in the folder from earlier runs."""
    if not folder.is_dir():
        return []
    ours = re.compile(re.escape(stem) + r"-[0-9]+(-again|-tool-[0-9]+)?\.nc")
    return sorted(p.name for p in folder.iterdir() if ours.fullmatch(p.name))
