"""Everything a job leads to, read and judged together: the part, the machine, the rack, the material, the hold."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.job import Job, half_section, read_job
from toolpath.part.halfsection import HalfSection
from toolpath.reading import placed
from toolpath.shop.holding import Hold, chuck, collet, refuse_too_long
from toolpath.shop.machine import Machine, load_machine
from toolpath.shop.materials import Material, material
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool


class Inputs(Struct, frozen=True):
    """A job with its half-section and the shop that it names."""

    job: Job
    part: HalfSection
    machine: Machine
    tools: tuple[Tool, ...]
    material: Material


def read_inputs(path: Path, *, sizes: Mapping[str, str], material_name: str | None = None) -> Inputs:
    """Read the job and all that it names.

    sizes: overrides by name. material_name: instead of the job's own. BadInput for anything that can not be.
    """
    job = read_job(path, overrides=sizes, material=material_name)
    part = half_section(job)
    machine, tools = load_machine(job.machine), load_rack(job.tools)
    where = "material" if material_name is None else "--material"
    with placed(job.file):
        try:
            stuff = material(job.material, job.materials)
        except BadInput as error:
            raise error.at(where=where) from None
    return Inputs(job, part, machine, tools, stuff)


def hold(inputs: Inputs, *, stick_out: float) -> Hold:
    """What grips the bar when `stick_out` mm of it stand out, the finished front face being zero.

    BadInput when the hold does not take the bar, or too little of it is left to grip.
    """
    job, machine = inputs.job, inputs.machine
    nose_z = job.bar.face_off - stick_out
    with placed(job.file):
        try:
            if job.holding.kind == "collet":
                gripping = collet(job.bar.dia, nose_z=nose_z, size=machine.collet)
            else:
                gripping = chuck(job.bar.dia, nose_z=nose_z, body=machine.chuck_diameter)
            refuse_too_long(job.bar.dia, length=job.bar.length, stick_out=stick_out, hold=gripping)
        except BadInput as error:
            raise error.at(where="holding[0]") from None
    return gripping
