"""What stands at the top of a program: what it is, the stock, the hold, the zero, the tools, and the cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from toolpath.cutting.parting import AS_STATED
from toolpath.cutting.threading import ThreadData
from toolpath.cutting.turning import CuttingData
from toolpath.part.stock import Stock
from toolpath.plan import bar_length, slender
from toolpath.plan.operations import Operation, Planned
from toolpath.plan.request import Gripped, Request
from toolpath.plan.steps import tools_of
from toolpath.plan.touch import entered, touch_off
from toolpath.plan.workpiece import Workpiece
from toolpath.plan.zero import FACED
from toolpath.shop.holding import UNSUPPORTED
from toolpath.shop.machine import Machine

SHIM = 0.5
"""mm of the strip between a hard jaw and a finished surface (common practice, no source)."""

SKIN = 0.05
"""mm of radius over the part that show a surface not to be turned yet."""

DIGEST = "Digest of the job, SHA-256:"

CAUTIONS = (
    "Read the machine's manual and follow local rules; they come before this program.",
    "Eye protection on. No gloves, loose sleeves or rings; hair tied back. Chuck key out.",
    "First run: spindle off, nothing in the hold, tool well clear; then one block at a time, hand at the stop.",
    "Never touch chips or work while the spindle turns, never stop the chuck by hand.",
    "M00 leaves the drives live: press the emergency stop before hands go near tool or work.",
)
"""Customary cautions of workshop safety notes (HSE engineering FAQs; Woodstock M1099 lathe manual; common practice)."""


def cautions(request: Request, work: Workpiece, planned: Sequence[Planned]) -> tuple[str, ...]:
    """All cautions of the set-up: the customary ones, the material's, the hold's, the part's, of cuts and threads."""
    out = [*CAUTIONS, *request.material.cautions, *work.hold.cautions]
    out += bar_length.cautions(request, work)
    out += of_threads(planned)
    dia = request.gripped.dia if request.gripped else request.stock.dia
    if work.stick_out > UNSUPPORTED * dia and request.support == "free":
        out.append(
            f"{work.stick_out:g} mm stand out of the hold, more than {UNSUPPORTED:g} diameters, without a centre: "
            "light cuts, and listen for chatter."
        )
    if request.gripped and work.hold.jaws and _is_finished(request, request.gripped):
        out.append(
            f"Hard jaws grip the finished diameter {request.gripped.dia:g}: lay a strip of soft copper or aluminium, "
            f"{SHIM:g} mm thick, under each jaw, and look at the run-out again."
        )
    if request.material.coolant:
        out.append(f"{request.material.title}: {request.material.coolant}")
    out += [*slender.cautions(request), *slender.left_thick(request, planned), *_of_chips(request, planned)]
    if request.sawn:
        out.append(
            "The piece is sawn off by hand: spindle stopped, drives isolated, a hand on the piece as it comes off."
        )
    elif request.parted and request.stub > 0.0 and _on_stub(planned):
        out.append(f"The part stays on a stub of {request.stub:g} mm: stop the spindle before you break or saw it off.")
    elif request.parted:
        out.append("The part drops when it is parted: lay a tray under it, never reach for it.")
    if request.compensation == "control":
        out.append(
            "The control compensates for the nose: its tool table must hold the nose radius and the tip's orientation "
            "that stand where compensation comes on, or every slope and round is cut wrong."
        )
    if not request.machine.homed:
        out.append(
            "The machine is not homed: nothing here moves in machine coordinates; the zero is what you touched off."
        )
    return tuple(out)


def _on_stub(planned: Iterable[Planned]) -> bool:
    """Whether the piece hangs on the job's stub when it is parted; parted into its hole it drops."""
    data = (op.data for op in planned if isinstance(op, Operation) and op.kind == "part off")
    return any(isinstance(d, CuttingData) and d.stub is not None and d.stub.because == AS_STATED for d in data)


def of_threads(planned: Iterable[Planned]) -> tuple[str, ...]:
    """What a person must know where threads are cut in step with the spindle; each caution once."""
    data = (op.data for op in planned if isinstance(op, Operation))
    return tuple(dict.fromkeys(c for d in data if isinstance(d, ThreadData) for c in d.cautions))


def _of_chips(request: Request, planned: Iterable[Planned]) -> list[str]:
    """Where chips come as strings, how they are broken and cleared; what must cool before it is measured."""
    stringy = [
        op for op in planned if isinstance(op, Operation) and isinstance(op.data, CuttingData) and op.data.breaks
    ]
    out = []
    for op in stringy[:1]:
        how = "draws back" if request.material.rubbed else "stands for a turn"
        assert isinstance(op.data, CuttingData) and op.data.breaks
        out.append(
            f"Chips come as {op.data.breaks.because}. While roughing the tool {how} every {op.data.breaks.value:.0f} "
            "turns, so that they part. Clear them with a hook, spindle stopped, never with fingers."
        )
    if not stringy and ({"stringy"} & set(request.material.traits)):
        out.append("Chips can come as strings: clear them with a hook, spindle stopped, never with fingers.")
    if "grows warm" in request.material.traits:
        out.append(
            f"{request.material.title} keeps the heat of the cut and grows by it: let it cool before you measure."
        )
    return out


def _is_finished(request: Request, grip: Gripped) -> bool:
    """Whether what is gripped is a surface of the part, and not the bar's skin over it."""
    here = [e.bounds() for e in request.part.outside]
    return any(b[0] < grip.nose_z and b[2] > grip.far_z and b[3] >= grip.dia / 2.0 - SKIN for b in here)


def header(request: Request, work: Workpiece, planned: Sequence[Planned]) -> tuple[str, ...]:
    """Comment lines in the order they print."""
    lines = [
        f"Set-up {request.number} of {request.count}, held in: {work.hold.name}",
        *((DIGEST, request.digest) if request.digest else ()),
        *([] if request.gripped else [f"Stock: {request.material.title}, {_stock(request.stock)}"]),
        *_put_in(request, work),
        f"X words are {'diameters' if request.x_diameter else 'radii'}, "
        + (
            "all lengths are millimetres"
            if request.machine.units == "mm"
            else "all words are inches; the sizes in these comments are millimetres"
        ),
        "" if request.offsets else "No offsets are kept: every tool sets the zero anew at its stop",
        *(f"T{t.number}: {t.name}, {touch_off(t)}" for t in tools_of(planned)),
        *_entered(request, planned),
        _lost_motion(request.machine),
        *(f"POLISH: {line}" for line in (request.polish if request.number == request.count else ())),
        *(f"CAUTION: {c}" for c in cautions(request, work, planned)),
    ]
    return tuple(line for line in lines if line)


def _entered(request: Request, planned: Sequence[Planned]) -> list[str]:
    """How the rows of the tool table are filled; nothing where every tool sets the zero anew at its stop."""
    if not request.offsets:
        return []
    return entered(tools_of(planned), x_diameter=request.x_diameter, work_offset=request.work_offset, end=request.end)


def _lost_motion(machine: Machine) -> str:
    """From which side a slide comes to its place; empty where nothing is lost."""
    if not machine.backlash_x and not machine.backlash_z:
        return ""
    return (
        f"Backlash X {machine.backlash_x:g} mm, Z {machine.backlash_z:g} mm: for every touch-off and reading let X "
        f"come {machine.approach_x}, Z {machine.approach_z}"
    )


def how_held(request: Request, work: Workpiece) -> tuple[str, str]:
    """(how the work is held and how far out, where zero is) in two lines for the bench."""
    grip, front = request.gripped, request.stock.front
    if grip is None:
        return (
            f"held in {work.hold.name}, sticking out {work.stick_out:g} mm",
            f"Z0 is the finished {request.end} face, {front:g} mm behind the bar's end",
        )
    a, b = sorted(_from_front(request, z) for z in (grip.nose_z, grip.far_z))
    round_ = "turned round, " if request.turned_round else ""
    return (
        f"{round_}held in {work.hold.name} by diameter {grip.dia:g}, from {a:.2f} to {b:.2f} mm behind its front "
        f"face; {work.stick_out:.2f} mm stand out",
        f"Z0 is the finished {request.end} face"
        + (f", {front:.2f} mm under what is there now" if front > FACED else ""),
    )


def _from_front(request: Request, z: float) -> float:
    """Distance from the part's front face of a place in this set-up, mm."""
    return z + request.part.length if request.turned_round else -z


def _put_in(request: Request, work: Workpiece) -> tuple[str, ...]:
    if request.gripped:
        return tuple(line[0].upper() + line[1:] for line in how_held(request, work))
    return (
        bar_length.told(request, work),
        f"Let the bar stick out {work.stick_out:g} mm from the nose of the hold",
        f"Zero: Z0 is the finished {request.end} face, {request.stock.front:g} mm behind the bar's sawn end; "
        "X0 is the axis",
    )


def _stock(stock: Stock) -> str:
    bore = f", bore {stock.bore:g} mm" if stock.bore else ""
    return f"diameter {stock.dia:g} mm{bore}, {stock.length:g} mm long"
