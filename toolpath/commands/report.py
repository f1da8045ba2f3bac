"""The report: everything about a run that another program may want to check, as plain JSON values.

Outlines are closed lists of [z, x] in millimetres, x a radius, broken to 1 µm, the first point not repeated.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Sequence

from toolpath.commands.road import Made, MadeSetup, kept
from toolpath.cutting.drilling import HoleData
from toolpath.cutting.threading import ThreadData
from toolpath.cutting.turning import CuttingData
from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Point, points_of
from toolpath.motion import ArcCut, Cut, Feed, FeedMode, Program, Spindle, ThreadCut
from toolpath.plan.operations import ByHand, Operation
from toolpath.plan.plan import Plan
from toolpath.plan.rest import Left
from toolpath.plan.steps import state_of, tools_of
from toolpath.proof.findings import Finding
from toolpath.proof.prove import Proof
from toolpath.proof.thread_form import CutThread
from toolpath.shop.machine import Machine
from toolpath.shop.tools import Tool

FLAT = 1e-3
"""mm between a curve and its broken line in the report."""

FORESEEN = 0.5
"""mm from a place that a plan said would stay to metal that the proof found there."""

DIGITS = 6
"""Decimals of a millimetre in the report: a nanometre."""

Value = None | bool | int | float | str | list["Value"] | dict[str, "Value"]


def report(
    title: str,
    setups: Sequence[dict[str, Value]],
    *,
    minimum_wall: float | None,
    changed: Sequence[str] = (),
    polish: Sequence[str] = (),
) -> bytes:
    """The whole report as UTF-8 text; a part without a hole has no wall, which is null.

    changed: what is otherwise than in the job's own material; polish: its steps; each only where there is any
    """
    whole: dict[str, Value] = {
        "title": title,
        "minimum_wall_mm": None if minimum_wall is None else _number(minimum_wall),
        "setups": list(setups),
    }
    if polish:
        whole["polish"] = list(polish)
    if changed:
        whole["changed"] = list(changed)
    return (json.dumps(whole, ensure_ascii=False, indent=1) + "\n").encode()


def setup(made: Made, done: MadeSetup, *, program: str) -> dict[str, Value]:
    """One set-up's entry. program: the file's name."""
    planned = _operations(done.plan, done.proof, done.text.lines, made.inputs.machine)
    compensated = any(step.state.compensation for step in done.plan.program.steps)
    return entry(made, done, program=program, operations=planned, compensated=compensated)


def parts(done: MadeSetup, names: Sequence[str]) -> list[Value]:
    """The programs of the set-up's tools, in the order in which they run. names: of their files"""
    return [
        {
            "program": name,
            "sha256": hashlib.sha256(one.text.text.encode()).hexdigest(),
            "tool": one.tool,
            "operations": list(one.operations),
            "lines": [list(span) for span in one.text.lines],
        }
        for name, one in zip(names, done.parts, strict=True)
    ]


def entry(made: Made, done: MadeSetup, *, program: str, operations: Value, compensated: bool) -> dict[str, Value]:
    """The entry of a set-up whose text is the plan's, or another. program: the file's name; operations: as it has them;
    compensated: the control compensates for the nose."""
    plan, proof, request = done.plan, done.proof, done.plan.request
    goes_on = request.number < request.count and not proof.refused
    result = _goes_on(proof, plan) if goes_on else proof.result
    return {
        "name": plan.name,
        "program": program,
        "sha256": hashlib.sha256(done.text.text.encode()).hexdigest(),
        "dialect": made.dialect.name,
        "units": "inch" if done.read_back.inch else "mm",
        "x_is": "diameter" if done.read_back.x_diameter else "radius",
        "compensation": compensated,
        "placed": {
            "turned_round": request.turned_round,
            "z_mm": _number(-request.part.length if request.turned_round else 0.0),
        },
        "stock": outlines(done.stock),
        "part": outlines([request.part.outline]),
        "goal": outlines(plan.goal),
        "result": [_points(o) for o in result],
        "hold": outlines(plan.work.hold.outlines),
        "tools": [_tool(t) for t in tools_of(plan.operations)],
        "operations": operations,
        "threads": [_thread(t) for t in proof.threads],
        "by_hand": [
            {
                "after_line": h.after_line,
                "does": h.does,
                "removes": [_points(o) for o in h.removes],
                **({} if h.holds is None else {"hold": [_points(o) for o in h.holds]}),
            }
            for h in proof.by_hand
        ],
        "parted": [{"after_line": p.after_line, "outline": _points(p.outline)} for p in proof.parted],
        "seconds": _number(proof.seconds),
        "cutting_seconds": _number(proof.cutting_seconds),
        "air_seconds": _number(proof.air_seconds),
        "removed_mm3": _number(proof.removed_mm3),
        "gouge_mm": _number(proof.gouge_mm),
        "uncut_mm": _number(proof.uncut_mm),
        "uncut": [
            {"outline": _points(u.outline), "thick_mm": _number(u.thick_mm), "why": why_uncut(u.at, done.left)}
            for u in proof.uncut
        ],
        "closest_rapid_mm": _number(proof.closest_rapid_mm) if math.isfinite(proof.closest_rapid_mm) else None,
        "closest_rapids": {name.removeprefix("the "): _number(gap) for name, gap in proof.closest},
        "findings": [_finding(f) for f in proof.findings],
        "cautions": [*made.inputs.cautions, *plan.cautions],
    }


def proven_text(made: Made, *, compensated: bool, program: str) -> str:
    """The entry of the one set-up whose text was proven, as JSON. program: the file's name"""
    (done,) = made.setups
    operations = as_read(done.read_back, done.proof)
    one = entry(made, done, program=program, operations=operations, compensated=compensated)
    return json.dumps(one, ensure_ascii=False, indent=1)


def outlines(chains: Iterable[Chain]) -> Value:
    """Closed chains as lists of points."""
    return [_points(points_of(c, FLAT)) for c in chains]


def why_uncut(at: Point, left: Iterable[Left]) -> str:
    """Why the metal at a point stays: what a plan said of the nearest place, or that none foresaw it."""
    near = [(apart, region.why) for region in left if (apart := _apart(at, region.outline)) <= FORESEEN]
    return (
        min(near, key=lambda n: n[0])[1]
        if near
        else "the plan did not foresee this; look at the picture before you cut"
    )


def _apart(at: Point, outline: Chain) -> float:
    """Distance of a point from the upright box round an outline, mm."""
    z0, x0, z1, x1 = zip(*(e.bounds() for e in outline), strict=True)
    return math.hypot(max(min(z0) - at[0], at[0] - max(z1), 0.0), max(min(x0) - at[1], at[1] - max(x1), 0.0))


_BY_HAND: dict[str, Value] = {"tool": None, "speed": None, "feed": None, "depth": None}


def _operations(plan: Plan, proof: Proof, lines: Sequence[tuple[int, int]], machine: Machine) -> Value:
    out: list[Value] = []
    for op, span, timed in zip(plan.operations, lines, proof.operations, strict=True):
        seconds: dict[str, Value] = {
            "seconds": _number(timed.seconds),
            "cutting_seconds": _number(timed.cutting),
            "air_seconds": _number(timed.air),
        }
        if isinstance(op, ByHand):
            out.append({**_BY_HAND, "kind": op.kind, "lines": list(span), "because": op.because, **seconds})
            continue
        state = state_of(op, machine)
        out.append(
            {
                "kind": op.kind,
                "tool": op.tool.number,
                "lines": list(span),
                "speed": _speed(state.spindle),
                "feed": _feed(state.feed),
                "depth": _number(op.depth),
                "passes": op.passes,
                "because": op.because,
                "figures": {
                    "speed": op.data.surface.because,
                    "limit": op.data.limit_rpm.because,
                    "feed": op.data.feed.because,
                    "depth": op.data.depth.because,
                    **_in_step(op.data),
                },
                **_told(op),
                **seconds,
            }
        )
    return out


def _told(op: Operation) -> dict[str, Value]:
    """How much a finish cut leaves on the diameter where the work gives way most; how roughing parts its chips; why."""
    if not isinstance(op.data, CuttingData):
        return {}
    thick, breaks = op.data.thick, op.data.breaks
    if breaks:
        return {"breaks_every_turns": _number(breaks.value), "breaks": breaks.because}
    return {"left_on_diameter_mm": _number(thick.value), "gives_way": thick.because} if thick else {}


def _in_step(data: CuttingData | HoleData | ThreadData) -> dict[str, Value]:
    """Of a thread: how far out it starts and how it comes to rest, with the formula of both."""
    if not isinstance(data, ThreadData):
        return {}
    return {"whole_depth": data.whole.because, "run_in": data.run_in.because, "stopping": data.stopping.because}


def _goes_on(proof: Proof, plan: Plan) -> Sequence[Sequence[Point]]:
    """The one piece that goes on to the next set-up; all that stands where it is in several."""
    try:
        return [points_of(kept(proof, plan), FLAT)]
    except CannotMake:
        return proof.result


def as_read(program: Program, proof: Proof) -> Value:
    """The operations of a text, whoever wrote it: nothing tells why they are as they are."""
    out: list[Value] = []
    for op, timed in zip(program.operations, proof.operations, strict=True):
        feeding = next((s.state for s in op.steps if isinstance(s, Cut | ArcCut | ThreadCut)), None)
        lines = [s.line for s in op.steps]
        out.append(
            {
                "kind": op.kind,
                "tool": feeding.tool if feeding else None,
                "lines": [min(lines, default=0), max(lines, default=0)],
                "speed": _speed(feeding.spindle) if feeding else None,
                "feed": _feed(feeding.feed) if feeding else None,
                "depth": None,
                "because": "the text says so",
                "seconds": _number(timed.seconds),
                "cutting_seconds": _number(timed.cutting),
                "air_seconds": _number(timed.air),
            }
        )
    return out


def _speed(spindle: Spindle | None) -> Value:
    if spindle is None:
        return None
    if spindle.surface:
        return {"surface_m_min": spindle.surface, "limit_rpm": spindle.limit_rpm, "sense": str(spindle.sense)}
    return {"rpm": spindle.rpm, "sense": str(spindle.sense)}


def _feed(feed: Feed | None) -> Value:
    if feed is None:
        return None
    return {"mm_per_turn" if feed.mode is FeedMode.PER_TURN else "mm_per_min": _number(feed.value)}


def _tool(t: Tool) -> Value:
    return {
        "number": t.number,
        "offset": t.offset,
        "name": t.name,
        "kind": t.kind,
        "nose_radius_mm": t.nose_radius,
        "tip": list(t.tip),
        "point": t.point,
        "outline_mm": _points(points_of(t.outline, FLAT)),
        "holder_mm": _united(t.holder),
    }


def _united(holder: Sequence[Chain]) -> Value:
    """The outline around everything that carries the edge."""
    import shapely

    body = shapely.union_all([shapely.Polygon(points_of(c, FLAT)) for c in holder])
    return _points(list(body.exterior.coords)) if isinstance(body, shapely.Polygon) and not body.is_empty else []


def _finding(f: Finding) -> Value:
    return {
        "code": f.code,
        "rank": f.rank,
        "line": f.line,
        "tool": f.tool,
        "at": None if f.at is None else [_number(f.at[0]), _number(f.at[1])],
        "size_mm": _number(f.size_mm),
        "text": f.text,
    }


def _thread(t: CutThread) -> Value:
    return {
        "inside": t.inside,
        "hand": t.hand,
        "starts": t.starts,
        "lead_mm": _number(t.lead_mm),
        "z": [_number(z) for z in t.z],
        "crest_mm": _number(t.crest_mm),
        "root_mm": _number(t.root_mm),
    }


def _points(points: Iterable[Sequence[float]]) -> list[Value]:
    out: list[Value] = [[_number(p[0]), _number(p[1])] for p in points]
    return out[:-1] if len(out) > 1 and out[0] == out[-1] else out


def _number(value: float) -> float:
    return round(float(value), DIGITS) + 0.0
