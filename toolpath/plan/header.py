"""What stands at the top of a program: what it is, the stock, the hold, the zero, the tools, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.part.stock import Stock
from toolpath.plan.operations import Operation
from toolpath.plan.request import Request
from toolpath.plan.workpiece import Workpiece

CAUTIONS = (
    "Read the machine's manual and follow local rules; they come before this program.",
    "Eye protection on. No gloves, loose sleeves or rings; hair tied back. Chuck key out.",
    "First run: spindle off, nothing in the hold, tool well clear; then one block at a time, hand at the stop.",
    "Never touch chips or work while the spindle turns, never stop the chuck by hand.",
    "M00 leaves the drives live: press the emergency stop before hands go near tool or work.",
)
"""Customary cautions of workshop safety notes (HSE engineering FAQs; Woodstock M1099 lathe manual; common practice)."""


def cautions(request: Request, work: Workpiece) -> tuple[str, ...]:
    """All cautions of the set-up: the customary ones, the material's, the hold's, the part's."""
    out = [*CAUTIONS, *request.material.cautions, *work.hold.cautions]
    if request.material.coolant:
        out.append(f"{request.material.title}: {request.material.coolant}")
    if request.parted and request.stub > 0.0:
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


def header(request: Request, work: Workpiece, planned: Sequence[Operation]) -> tuple[str, ...]:
    """Comment lines in the order they print."""
    tools = {op.tool.number: op.tool for op in planned}
    lines = [
        f"Set-up 1 of 1, held in: {work.hold.name}",
        *(("Digest of the job, SHA-256:", request.digest) if request.digest else ()),
        f"Stock: {request.material.title}, {_stock(request.stock)}",
        f"Let the bar stick out {work.stick_out:g} mm from the nose of the hold",
        f"Zero: Z0 is the finished front face, {request.stock.front:g} mm behind the bar's sawn end; X0 is the axis",
        "X words are diameters, all lengths are millimetres"
        if request.machine.units == "mm"
        else "X words are diameters, all words are inches; the sizes in these comments are millimetres",
        *(f"T{t.number}: {t.name}, {_touch_off(t.point, t.nose_radius)}" for _, t in sorted(tools.items())),
        *(f"CAUTION: {c}" for c in cautions(request, work)),
    ]
    return tuple(line for line in lines if line)


def _stock(stock: Stock) -> str:
    bore = f", bore {stock.bore:g} mm" if stock.bore else ""
    return f"diameter {stock.dia:g} mm{bore}, {stock.length:g} mm long"


def _touch_off(point: str, nose: float) -> str:
    if point == "nose":
        return f"nose radius {nose:g} mm, X and Z touched off at the imaginary tip"
    return f"touched off at its {point}"
