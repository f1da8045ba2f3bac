"""The files of a run, as bytes by name: program, drawing, figure, report; no program that failed its proof."""

from __future__ import annotations

import re
from pathlib import Path

from toolpath.commands import report
from toolpath.commands.picture import picture
from toolpath.commands.road import Made
from toolpath.drawing.dxf import write_dxf
from toolpath.drawing.figure import svg


def results(made: Made) -> dict[str, bytes]:
    """Content of every file by its name."""
    stem, part = made.inputs.job.stem, made.inputs.part.outline
    seen = picture(made.inputs.job.title, made.plan, part, made.read_back, made.proof)
    entry = report.setup(
        made.plan,
        made.proof,
        part=part,
        program=f"{stem}-1.nc",
        text=made.text.text,
        lines=made.text.lines,
        dialect=made.dialect,
        machine=made.inputs.machine,
    )
    files = {
        f"{stem}-1.dxf": write_dxf(seen),
        f"{stem}-1.svg": svg(seen).encode(),
        f"{stem}.json": report.report(made.inputs.job.title, [entry], minimum_wall=None),
    }
    if not made.proof.refused:
        files[f"{stem}-1.nc"] = made.text.text.encode("ascii")
    return files


def programs_of(folder: Path, stem: str) -> list[str]:
    """Names of programs of this job that lie in the folder from earlier runs."""
    if not folder.is_dir():
        return []
    ours = re.compile(re.escape(stem) + r"-[0-9]+\.nc")
    return sorted(p.name for p in folder.iterdir() if ours.fullmatch(p.name))
