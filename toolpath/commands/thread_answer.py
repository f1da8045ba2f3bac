"""What `halfsection thread` knows of a thread, as plain data: every length in both units, angles in degrees."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from toolpath.errors import CannotMake
from toolpath.quantity.units import INCH
from toolpath.shop.drills import DrillSet
from toolpath.shop.threads import Limits, Span, Thread, limits
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.preparing import Start, blank, bore, mouth, start
from toolpath.shop.threads.relief import Relief, ends, inside_relief, relief
from toolpath.shop.threads.tap_drills import best, tap_drills, usual_drill
from toolpath.shop.threads.thread import helix_angle
from toolpath.shop.threads.wires import best_wire, over_wires, steep
from toolpath.shop.threads.words import tpi

Data = dict[str, Any]


def answer(thread: Thread, sets: tuple[DrillSet, ...], *, wire: float | None) -> Data:
    """Everything about a thread. wire: diameter of the wires at hand, mm; the best one when None."""
    found = limits(thread)
    return {
        "thread": thread.in_full,
        "standard": f"{thread.standard} {thread.series}"
        if thread.series not in ("", thread.standard)
        else thread.standard,
        "left_hand": thread.left,
        "starts": thread.starts,
        "diameter": both(thread.diameter),
        "pitch": both(thread.pitch),
        "tpi": round(tpi(thread.pitch), 4),
        "lead": both(thread.lead),
        "flank_angle_deg": _degrees(thread.angle),
        "helix_angle_deg": _degrees(helix_angle(thread.lead, profile(thread).pitch_dia)),
        "form": _form(thread),
        "screw": _limits(found.screw, thread.screw_class),
        "hole": _limits(found.hole, thread.hole_class),
        "said": list(found.said),
        "blank": _span(blank(thread)),
        "bore": _span(bore(thread)),
        "start": _start(start(thread)),
        "mouth": _start(mouth(thread)),
        "relief": _or_why(lambda: _relief(relief(thread))),
        "inside_relief": _or_why(lambda: _relief(inside_relief(thread))),
        "ends": {name: both(getattr(ends(thread), name)) for name in ends(thread).__struct_fields__},
        "usual_drill": None if thread.taper else both(usual_drill(thread)),
        "tap_drills": None if thread.taper else _drills(thread, sets),
        "wires": None if thread.taper and wire is None else _wires(thread, found.screw, wire),
    }


def both(mm: float) -> Data:
    """A length in both units."""
    return {"mm": round(mm, 4) + 0.0, "in": round(mm / INCH, 6) + 0.0}


def _form(thread: Thread) -> Data:
    form = profile(thread)
    figures = {name: both(getattr(form, name)) for name in form.__struct_fields__}
    return {"depth": both(form.depth(thread.diameter)), **figures}


def _limits(found: Limits | None, name: str) -> Data | None:
    if found is None:
        return None
    return {"class": name} | {part: _span(getattr(found, part)) for part in ("major", "pitch", "minor")}


def _span(span: Span) -> Data:
    return {"least": both(span.least), "greatest": both(span.greatest), "middle": both(span.middle)}


def _start(one: Start) -> Data:
    return {"dia": both(one.dia), "angle_deg": _degrees(one.angle), "depth": both(one.depth)}


def _relief(one: Relief) -> Data:
    return {"width": _span(one.width), "dia": _span(one.dia), "radius": both(one.radius), "said": one.said}


def _or_why(made: Callable[[], Data]) -> Data:
    """What is made, or why it can not be."""
    try:
        return made()
    except CannotMake as why:
        return {"why": str(why)}


def _drills(thread: Thread, sets: tuple[DrillSet, ...]) -> list[Data]:
    found = tap_drills(thread, sets)
    first = best(thread, found)
    return [
        {
            "drill": one.drill.name,
            "set": one.drill.set,
            **both(one.drill.dia),
            "percent_of_basic": round(one.basic, 1),
            "percent_of_chart": None if one.chart is None else round(one.chart, 1),
            "usual": one is first,
        }
        for one in found
    ]


def _wires(thread: Thread, screw: Limits | None, wire: float | None) -> Data:
    dia = wire if wire is not None else best_wire(thread)
    at = screw.pitch if screw is not None else Span(profile(thread).pitch_dia, profile(thread).pitch_dia)
    over = Span(*(over_wires(thread, d, wire=wire) for d in (at.least, at.greatest)))
    return {"wire": both(dia), "best": both(best_wire(thread)), "over": _span(over), "steep": steep(thread)}


def _degrees(angle: float) -> float:
    return round(math.degrees(angle), 3)
