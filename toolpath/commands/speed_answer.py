"""What `halfsection speed` answers, as plain data; `speed_page` prints it and finds nothing of its own."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from msgspec import Struct

from toolpath.commands.speed_tools import plain_tool
from toolpath.cutting import drilling, speeds, turning
from toolpath.cutting.figures import Figure
from toolpath.cutting.figures import least as smallest
from toolpath.cutting.formulas import surface_speed
from toolpath.errors import BadInput, CannotMake
from toolpath.quantity.units import INCH
from toolpath.shop.machine import Machine, load_machine, machine_from
from toolpath.shop.materials import Material, material
from toolpath.shop.tools import Tool

OPERATIONS = ("rough", "finish", "face", "groove", "part off", "drill", "ream", "thread")
ON_AXIS = ("drill", "ream")
TOOLS = ("carbide", "HSS")  # the first that is fit is taken when none is named

USUAL = {"name": "a usual bench lathe", "min_rpm": 100, "max_rpm": 2500, "power_w": 500}  # common practice, no source
OUT = 2.0  # diameters that the work stands out when nothing else is known; common practice, no source
TURNED = 0.5  # of the diameter is what a cut goes down to when nothing else is known
THINNEST = 0.3  # mm: below the thinnest number drill, #80 of 0.343 mm
DEEP = 5.0  # diameters: a hole deep enough to be pecked
REAMED = 0.97  # of its diameter is the hole before a reamer; 0.2 to 0.4 mm less is common practice

Data = dict[str, Any]
FT = 0.3048  # m


class Asked(Struct, frozen=True):
    """material, machine and tool material of a question; on_axis: of drill and reamer, HSS unless one was named;
    usual: no machine was named."""

    material: Material
    machine: Machine
    tool: str
    on_axis: str
    usual: bool


def asked(name: str, machine: Path | None, *, tool: str | None, own: Path | None) -> Asked:
    """The question, looked up; BadInput for a material, machine or tool material that will not do."""
    found = material(name, own)
    lathe = load_machine(machine) if machine else machine_from(dict(USUAL))
    kind = _tool(found, tool)
    return Asked(found, lathe, kind, kind if tool else "HSS", machine is None)


def answer(question: Asked, *, dia: float, operations: tuple[str, ...]) -> Data:
    """Figures of the operations at a diameter (mm); CannotMake when the only operation asked for is refused."""
    if dia < THINNEST:
        right = f"From {THINNEST:g} mm on there are figures"
        raise BadInput(f"a diameter of {dia:g} mm is thinner than any drill", where="--dia", right=right)
    rows = [_row(question, operation, dia=dia) for operation in operations]
    if len(rows) == 1 and "refused" in rows[0]:
        raise CannotMake(rows[0]["refused"])
    m, lathe = question.material, question.machine
    return {
        "material": m.name,
        "title": m.title,
        "tool": question.tool,
        "dia": _both(dia),
        "machine": lathe.name,
        "taken": list(_taken(question)),
        "operations": rows,
        "figures": {
            "kc11_n_mm2": _sourced(m, "kc11"),
            "mc": _sourced(m, "mc"),
            "density_g_cm3": _sourced(m, "density"),
            "modulus_gpa": _sourced(m, "modulus"),
            "least_wall_mm": _sourced(m, "least_wall"),
            "greatest_feed_mm": _sourced(m, "feed"),
            "least_feed_mm": _sourced(m, "least_feed"),
            "greatest_depth_mm": {"value": getattr(m.depth, question.tool), "source": m.depth.source},
            "closes_in": {"value": list(m.closes_in), "source": m.sources["closes_in"]},
        },
        "advice": {k: getattr(m, k) for k in ("edge", "coolant", "heat", "chips", "spring_back", "die")},
        "cautions": list(m.cautions),
    }


def _tool(found: Material, said: str | None) -> str:
    if said is None:
        return next((t for t in TOOLS if getattr(found.turn, t) is not None), TOOLS[0])
    name = next((t for t in TOOLS if t.lower() == said.strip().lower()), "")
    if not name:
        raise BadInput(
            f"no speeds are known for tools of '{said}'", where="--tool", right=f"Known are {' and '.join(TOOLS)}"
        )
    found.speed(name)  # refuses one that is unfit
    return name


def _taken(question: Asked) -> tuple[str, ...]:
    lathe = question.machine
    spindle = f"{lathe.min_rpm:g} to {lathe.max_rpm:g} rpm, {lathe.power_w:g} W, chuck {lathe.chuck_max_rpm:g} rpm"
    machine = f"{lathe.name}: {spindle}"
    say = " (--machine FILE takes yours)" if question.usual else ""
    tools = (plain_tool(o, question.tool, dia=10.0).name for o in ("rough", "groove"))
    return (
        machine + say,
        f"{', '.join(tools)}; the work stands {OUT:g} diameters out of the chuck, a hole is {DEEP:g} deep",
    )


def _row(question: Asked, operation: str, *, dia: float) -> Data:
    kind = question.on_axis if operation in ON_AXIS else question.tool
    try:
        tool = plain_tool(operation, kind, dia=dia)
        wanted, figures = _figures(question, tool, operation, dia=dia)
    except (BadInput, CannotMake) as refusal:
        return {"operation": operation, "tool": kind, "refused": _said(refusal)}
    row: Data = {"operation": operation, "tool": kind, "wanted": _surface(wanted)}
    return row | {name: figure and SHOWN[name](figure) for name, figure in figures.items()}


def _said(refusal: BadInput | CannotMake) -> str:
    """A refusal without key and tool number, for neither stands in any file here."""
    if isinstance(refusal, BadInput):
        return f"{refusal.what}. {refusal.right}" if refusal.right else refusal.what
    return str(refusal).removeprefix("T1 ")


def _figures(question: Asked, tool: Tool, operation: str, *, dia: float) -> tuple[Figure, dict[str, Figure | None]]:
    """The surface speed that is wanted; surface, rpm, feed, depth and later pecks that come of it."""
    m, lathe = question.material, question.machine
    if operation == "thread":
        return _thread(m, tool, lathe, dia=dia)
    if operation in ON_AXIS:
        wanted = drilling.wanted_surface(m, tool, operation=operation)
        hole = dia * REAMED if operation == "ream" else 0.0
        data = drilling.plan_hole(m, tool, lathe, operation=operation, diameter=dia, deep=DEEP * dia, hole=hole)
        pecks = (data.depth, data.peck) if operation == "drill" else (None, None)
        return wanted, _named(data.surface, data.rpm, data.feed, *pecks)
    wanted = speeds.surface(m, tool, lathe, operation=operation)
    least = 0.0 if operation in ("face", "part off") else TURNED * dia
    cut = turning.plan_turning(
        m, tool, lathe, operation=operation, diameter_max=dia, diameter_min=least, stick_out=OUT * dia
    )
    there = Figure(dia * (1.0 - TURNED) / 2.0, f"all there is from diameter {dia:g} down to {dia * TURNED:g}")
    depth = smallest(cut.depth, there) if operation == "rough" else cut.depth
    return wanted, _named(cut.surface, cut.rpm, cut.feed, depth, None)


def _thread(m: Material, tool: Tool, lathe: Machine, *, dia: float) -> tuple[Figure, dict[str, Figure | None]]:
    """Speed alone: feed and depth are the thread's."""
    wanted = speeds.surface(m, tool, lathe, operation="thread")
    rpm = speeds.spindle(wanted, speeds.limit(lathe, in_chuck=True), lathe, diameter=dia)
    return wanted, _named(Figure(surface_speed(dia, rpm.value), rpm.because), rpm, None, None, None)


def _named(*figures: Figure | None) -> dict[str, Figure | None]:
    return dict(zip(SHOWN, figures, strict=True))


def _surface(figure: Figure) -> Data:
    return {"m_min": round(figure.value, 2), "ft_min": round(figure.value / FT, 1), "because": figure.because}


def _rpm(figure: Figure) -> Data:
    return {"rpm": round(figure.value, 1), "because": figure.because}


def _size(figure: Figure) -> Data:
    return _both(figure.value) | {"because": figure.because}


SHOWN = {"surface": _surface, "spindle": _rpm, "feed": _size, "depth": _size, "later": _size}


def _both(mm: float) -> Data:
    return {"mm": round(mm, 4), "in": round(mm / INCH, 6)}


def _sourced(m: Material, name: str) -> Data | None:
    value = getattr(m, name)
    return {"value": value, "source": m.sources[name]} if name in m.sources else None
