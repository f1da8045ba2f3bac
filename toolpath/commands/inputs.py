"""Everything a job leads to, read and judged together: the part, the machine, the rack, the material, the hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from toolpath.commands import two_holdings
from toolpath.commands.thin import Allowed, allowed, judged
from toolpath.commands.trials import trials_of
from toolpath.cutting.polishing import PLAIN_UM, Polish, polish
from toolpath.errors import BadInput, CannotMake
from toolpath.job.components import fitted, insertions
from toolpath.job.job import Job
from toolpath.job.read import half_section, read_job, turned_section
from toolpath.part.fits import Means
from toolpath.part.halfsection import HalfSection
from toolpath.part.insertion import Insertion
from toolpath.part.seating import Fitting
from toolpath.part.walls import Wall, least_wall
from toolpath.plan.request import Trial
from toolpath.plan.stretches import stretches
from toolpath.reading import placed
from toolpath.shop import ways
from toolpath.shop.drawer import Drawer
from toolpath.shop.holding import Hold, refuse_too_long
from toolpath.shop.machine import Machine, load_machine
from toolpath.shop.materials import Material, material
from toolpath.shop.rack import load_drawer
from toolpath.shop.tools import Tool
from toolpath.shop.ways import Held


class Inputs(Struct, frozen=True):
    """A job with its half-section and the shop that it names.

    wall:       the thinnest one of the part, None where it is solid; least_wall: what is allowed
    cautions:   what was found while reading that is borne, but to be known
    picked:     the holes picked for components; held: every component in its place
    polish:     its steps, and the part as it is turned for it, where the job asks for any
    trials:     where each size that is cut to fit is tried
    """

    job: Job
    part: HalfSection
    machine: Machine
    drawer: Drawer
    material: Material
    wall: Wall | None
    least_wall: Allowed
    cautions: tuple[str, ...] = ()
    picked: tuple[Fitting, ...] = ()
    held: tuple[Insertion, ...] = ()
    trials: tuple[Trial, ...] = ()
    polish: Polish | None = None
    turned: HalfSection | None = None

    @property
    def as_turned(self) -> HalfSection:
        """The part as it leaves the lathe: with what the polish takes off still on it."""
        return self.turned or self.part

    @property
    def tools(self) -> tuple[Tool, ...]:
        """Those that a program can call."""
        return self.drawer.tools


def read_inputs(path: Path, *, sizes: Mapping[str, str], material_name: str | None = None) -> Inputs:
    """Read the job and all that it names.

    sizes: overrides by name. material_name: instead of the job's own. BadInput for anything that can not be.
    """
    job = read_job(path, overrides=sizes, material=material_name)
    drawer, stuff = load_drawer(job.tools, numbered=True), _material(job, material_name)
    means, least = Means(drawer, stuff, job.afterwards), allowed(job, stuff)
    job, picked = fitted(job, means, least_wall=0.0 if job.thin == "warn" else least.thick)
    part = half_section(job)
    _refuse_behind_the_hold(job, part)
    _refuse_pointed_back(job, part)
    machine = load_machine(job.machine)
    with placed(job.file):
        wall = least_wall(part)
        job, chosen = two_holdings.first_end(job, part)
        cautions = (*chosen, *judged(job, wall, least), *two_holdings.judged(job, part, least))

    def drawn(size: str, value: float) -> HalfSection:
        again = read_job(path, overrides={**sizes, size: f"{value:.9f} mm"}, material=material_name)
        return half_section(fitted(again, means, least_wall=0.0)[0])

    trials = trials_of(job, part, drawn) if job.trims else ()
    held = insertions(job, part, means)
    found = Inputs(job, part, machine, drawer, stuff, wall, least, cautions, picked, held, trials)
    return found if job.polished_um is None else _polished(found, job.polished_um)


def _polished(inputs: Inputs, wanted: float) -> Inputs:
    """The inputs with the steps of the polish and the part as it is turned for it."""
    job = inputs.job
    try:
        steps = polish(inputs.material, turned=job.finish_um or PLAIN_UM, wanted=wanted)
    except CannotMake as error:
        raise CannotMake(f"{job.file}: finish.polished_um: {error}") from None
    return replace(inputs, polish=steps, turned=turned_section(job, steps.takes))


def _material(job: Job, name: str | None) -> Material:
    """The job's material; name: as the command line has it."""
    with placed(job.file):
        try:
            return material(job.material, job.materials)
        except BadInput as error:
            raise error.at(where="material" if name is None else "--material") from None


def _refuse_behind_the_hold(job: Job, part: HalfSection) -> None:
    """BadInput for the first row that would lie in the jaws when the bar sticks out as far as the job says."""
    if job.holding.stick_out is None:
        return
    behind_face = job.holding.stick_out - job.bar.face_off
    for e, surface in zip(part.outside, part.surfaces, strict=True):
        if surface.row is not None and -e.bounds()[0] > behind_face:
            with placed(job.file):
                raise BadInput(
                    f"{surface.name} ends {-e.bounds()[0]:g} mm from the front face, and the {job.holding.kind} begins "
                    f"{behind_face:g} mm behind it",
                    where=f"part.outside[{surface.row}]",
                    right=f"The bar sticks out {job.holding.stick_out:g} mm: let it stick out farther",
                )


def _refuse_pointed_back(job: Job, part: HalfSection) -> None:
    """CannotMake for a part that is to be parted off where it has no back face to part."""
    last, surface = part.outside[-1], part.surfaces[-1]
    if job.parting.off and last.a[0] != last.b[0]:
        row = "" if surface.row is None else f"part.outside[{surface.row}]: "
        raise CannotMake(
            f"{job.file}: {row}{surface.name} comes down to the axis at the back end, {part.length:g} mm from the "
            "front face, and the blade parts off square. End the part in a flat, or write parting.off = false"
        )


def hold(inputs: Inputs) -> Hold:
    """What grips the bar, the finished front face being zero, when it stands out as far as the job says or, where the
    job leaves that open, as far as it must at the least. BadInput when the hold does not take the bar.
    """
    job, machine = inputs.job, inputs.machine
    nose_z, grip = job.bar.face_off - least_out(inputs), job.bar.stock.grip.dia
    with _at_the_holding(job):
        bore = 0.0 if job.holding.plug else job.bar.stock.bore
        return ways.hold(job.holding.kind, Held(grip, bore=bore), nose_z=nose_z, machine=machine)


def refuse_short_bar(inputs: Inputs, gripping: Hold) -> None:
    """BadInput when too little of the bar is left to grip however it is cut."""
    bar = inputs.job.bar
    with _at_the_holding(inputs.job):
        refuse_too_long(bar.stock.grip.dia, length=bar.length, stick_out=least_out(inputs), hold=gripping)


def least_out(inputs: Inputs) -> float:
    """As the job has it, or at the least: the whole part where it is cut from the bar, else what is turned of it."""
    job, part = inputs.job, inputs.part
    if job.holding.stick_out:
        return job.holding.stick_out
    cut_off = job.parting.off and not any(h.bar for h in job.holdings[1:])
    return job.bar.face_off + (part.length if cut_off else stretches(part, job.holdings)[0][1])


@contextmanager
def _at_the_holding(job: Job) -> Iterator[None]:
    """Fills the place of the job's holding into a BadInput raised inside."""
    with placed(job.file):
        try:
            yield
        except BadInput as error:
            raise error.at(where="holding[0]") from None
