"""Screws and nuts for these tests: their drawing, their bar with all but the thread cut, and the program text.

M10x1.5 in the middle of 6g, M12x1.5 in the middle of 6H: limits of ISO 965-1 as published charts give them.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

from msgspec.structs import replace

from posts.dialect import load_dialect
from posts.reader import read
from posts.writer import write
from tests.proof.bench import HERE, box, machine
from toolpath.cutting.thread_form import ThreadForm, tool_depth
from toolpath.geometry.elements import Chain, Point, polyline
from toolpath.motion import Dwell, End, Operation, Program, Sense, Spindle, SpindleChange, State, ToolCall
from toolpath.passes.thread import Threading, thread
from toolpath.plan.steps import moves_of
from toolpath.proof.prove import Proof, prove
from toolpath.proof.setting import Setting
from toolpath.proof.thread_zones import ThreadZone
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

HALF = math.radians(30.0)
SCREW_FORM = ThreadForm(crest=4.925, pitch=4.464, root=4.188, lead=1.5, half_angle=HALF)
NUT_FORM = ThreadForm(crest=5.263, pitch=5.5605, root=6.0, lead=1.5, half_angle=HALF, inside=True)
G95 = load_dialect("g95")


@cache
def points() -> dict[int, Tool]:
    """9 outside and 10 inside, 60 degrees; 8 outside, 55 degrees."""
    return {t.number: t for t in load_rack(HERE / "threading.toml")}


def deep(form: ThreadForm, tool: int) -> float:
    return tool_depth(form, flat=points()[tool].width, radius=points()[tool].nose_radius).value


def screw() -> Chain:
    """10 mm to z -12, an undercut of 7.7 mm to -15.5, a shoulder of 10.6 mm to -25."""
    p: list[Point] = [(0.0, 0.0), (0.0, 3.9), (-1.025, 4.925), (-12.0, 4.925), (-12.0, 3.85), (-15.5, 3.85)]
    return polyline([*p, (-15.5, 5.3), (-25.0, 5.3), (-25.0, 0.0)], close=True)


def nut() -> Chain:
    """Bored 10.526 mm through 11 mm, then 14 mm."""
    p: list[Point] = [
        (0.0, 11.0),
        (-25.0, 11.0),
        (-25.0, 7.0),
        (-11.0, 7.0),
        (-11.0, 5.263),
        (-1.0, 5.263),
        (0.0, 6.263),
    ]
    return polyline(p, close=True)


OUTSIDE = Threading(
    crest=4.925, depth=deep(SCREW_FORM, 9), half_angle=HALF, lead=1.5, begins=-1.0, ends=-12.0, run_in=5.0,
    run_out=2.0, clear=7.0, most=0.3, least=0.05, springs=1,
)  # fmt: skip
INSIDE = replace(OUTSIDE, inside=True, crest=5.263, depth=deep(NUT_FORM, 10), ends=-11.0, run_out=1.5, clear=4.2)
ZONE = ThreadZone(
    z=(-12.0, -1.025), crest=4.925, root=4.925 - OUTSIDE.depth, lead=1.5, run_out=(0.0, 1.1), half_angle=HALF,
    pitch_dia=(8.862, 8.994), least_flat=0.05,
)  # fmt: skip
NUT_ZONE = replace(
    ZONE, inside=True, z=(-11.0, -1.0), crest=5.263, root=5.263 + INSIDE.depth, pitch_dia=(11.026, 11.216)
)


def text_of(job: Threading, *, tool: int = 9, rpm: float = 400.0, sense: Sense = Sense.FORWARD) -> str:
    """The program as it is printed: tool in place, spindle on, passes, end."""
    home = (40.0, 4.0) if job.inside else (40.0, 30.0)
    still = State(tool, tool, None, None, False, "thread")
    state = replace(still, spindle=Spindle(sense, rpm=rpm))
    legs, _ = thread(job, home)
    moves = moves_of(legs, state, (0.001, 0.0005), tool=points()[tool])
    end = moves[-1].end  # type: ignore[union-attr]
    start = (ToolCall(home, still), SpindleChange(home, state), Dwell(3.0, home, state))
    steps = (*start, *moves, End(end, replace(still, spindle=None)))
    return write(Program("Thread", (), (Operation("thread", steps),), home=home), G95).text


def setting_of(zone: ThreadZone = ZONE, **changes: Any) -> Setting:
    part = nut() if zone.inside else screw()
    on = changes.pop("machine", {})
    hold = box(-40.0, -24.5, 25.0, x0=11.0 if zone.inside else 5.3)
    given: dict[str, Any] = {
        "stock": (part,), "part": (part,), "goal": (part,), "hold": (hold,), "tools": points(), "threads": (zone,),
        "machine": replace(machine(), **({"spindle_encoder": "index"} | on)),
    }  # fmt: skip
    return Setting(**(given | changes))


def proven(text: str, zone: ThreadZone = ZONE, **changes: Any) -> Proof:
    return prove(read(text, G95), setting_of(zone, **changes))
