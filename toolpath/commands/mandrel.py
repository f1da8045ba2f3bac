"""The mandrel that a set-up screws the part on, as a job of its own: a stub with the mate of the part's thread."""

from __future__ import annotations

import math
from pathlib import Path

from msgspec import Struct

from toolpath.commands.road import Made
from toolpath.errors import BadInput
from toolpath.job.draft import quoted, relative
from toolpath.job.job import Job
from toolpath.plan.plan import Plan
from toolpath.shop.drawer import Drawer
from toolpath.shop.threads import Thread, read_thread
from toolpath.shop.threads.preparing import TAP_LEAD, bore
from toolpath.shop.threads.tap_drills import best, tap_drills

BARS = (10, 12, 14, 16, 18, 20, 22, 25, 28, 30, 32, 35, 40, 45, 50, 55, 60, 70, 80, 90, 100)
"""mm: round bars as they are sold (common practice, no source)."""

SKIN = 1.0
"""mm that the bar is thicker than the collar at the least, so that the collar is turned in place."""

UNDER_HOLE = 3.0
"""mm left between the hole's point and the chuck (common practice, no source)."""

UNDER_BORE = 0.2
"""mm on diameter that the hole behind a thread cut with a point is smaller than its bore, at the least."""

FLATS = 0.85
"""Across the flats, as part of the collar's diameter (common practice, no source)."""


class Stub(Struct, frozen=True):
    """The mandrel, mm. thread: of the part, whose mate is in it; collar: its diameter; length: out of the chuck

    full: how deep the thread is full; drill, deep: of the hole that runs on behind it; cut_by: "tap" or "point"
    bar: diameter of the stock
    """

    thread: Thread
    collar: float
    length: float
    full: float
    drill: float
    deep: float
    cut_by: str
    bar: float


def mandrel_files(made: Made, folder: Path) -> dict[str, bytes]:
    """The mandrel's job by its file name, where a set-up has one; its paths go from `folder`, where it will lie."""
    job = made.inputs.job
    for setup in made.setups:
        stub = stub_of(setup.plan, job, made.inputs.drawer)
        if stub is not None:
            return {name_of(job): written(stub, job, setup.plan.name, folder).encode()}
    return {}


def name_of(job: Job) -> str:
    """Name of the mandrel's job file."""
    return f"{job.stem}-mandrel.toml"


def stub_of(plan: Plan, job: Job, drawer: Drawer) -> Stub | None:
    """The mandrel of a set-up; None where it has none, or its thread or a drill for it are not known."""
    gripped = plan.request.gripped
    thread = _thread(plan)
    if not plan.request.on or gripped is None or thread is None:
        return None
    cut = _cut(thread, drawer)
    if cut is None:
        return None
    cut_by, drill = cut
    full = _half_up(gripped.nose_z - gripped.far_z + thread.pitch)
    goes_in = gripped.nose_z + plan.request.part.length
    deep = _half_up(max(full + TAP_LEAD * thread.pitch, goes_in + thread.pitch))
    low, high, top = _collar(plan)
    point = drill / 2.0 / math.tan(math.radians(59.0))
    collar = math.floor(20.0 * top) / 10.0
    own = job.bar.stock
    plain = not job.bar.drawn and own.bore == 0.0 and own.dia >= collar + SKIN
    return Stub(
        thread=thread,
        collar=collar,
        length=max(_half_up(high - low), _half_up(deep + point + UNDER_HOLE)),
        full=full,
        drill=drill,
        deep=deep,
        cut_by=cut_by,
        bar=own.dia if plain else next((b for b in BARS if b >= collar + SKIN), math.ceil(collar + SKIN)),
    )


def _collar(plan: Plan) -> tuple[float, float, float]:
    """Of the collar in the hold: least and greatest z, and its radius, mm."""
    boxes = [e.bounds() for e in plan.work.hold.outlines[0]]
    return (min(b[0] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))


def _thread(plan: Plan) -> Thread | None:
    """The thread that is screwed in: that of the part, or as the holding names it."""
    gripped = plan.request.gripped
    if gripped is None:
        return None
    held = (on for on in plan.request.part.threads if not on.inside)
    for on in held:
        if gripped.far_z < on.front and on.back < gripped.nose_z:
            return on.threaded.thread
    try:
        return read_thread(f"M{plan.request.on.removeprefix('M').strip()}")
    except BadInput:
        return None


def _cut(thread: Thread, drawer: Drawer) -> tuple[str, float] | None:
    """What cuts the mate, and the drill of its hole, mm: a tap where the rack has its drill."""
    drill = best(thread, tap_drills(thread, drawer.sets))
    if drill is not None:
        return "tap", drill.drill.dia
    smaller = [d.dia for d in drawer.drills if d.dia <= bore(thread).least - UNDER_BORE]
    return ("point", smaller[-1]) if smaller else None


def _half_up(length: float) -> float:
    """The next half of a millimetre."""
    return math.ceil(2.0 * length - 1e-6) / 2.0


def written(stub: Stub, job: Job, setup: str, folder: Path) -> str:
    """The job as text. setup: name of the set-up that needs it; folder: where the file will lie"""
    name = stub.thread.in_full
    flats = math.floor(FLATS * stub.collar)
    materials = "" if job.materials is None else f"materials = {relative(job.materials, folder)}\n"
    holes = f'cut_by = "{stub.cut_by}"' + (f", drill = {stub.drill:.6g}" if stub.cut_by == "tap" else "")
    behind = "the lead of the tap" if stub.cut_by == "tap" else "the point"
    return f"""\
# The mandrel for set-up {setup} of {job.file.name}: the part's own {name} screws into it, and the part's shoulder lies
# on its face. `make` of that job writes this file anew; copy it under another name before you change it.
#
# Make it last, just before set-up {setup}, and leave it in the chuck: it is true only while it stays in the chuck it
# was turned in. Once it has been out, turn a new one.
#
# The face comes first, for the part's shoulder registers on it: a thread alone does not centre. The collar is turned in
# the same holding, and shows the indicator at any time whether the mandrel still runs true.
#
# To undo the part: before it goes on, file two flats on the collar for a spanner, {flats} mm across, the spindle
# stopped and the drives isolated, and clean the burr off the face. Or lay a washer of thin paper under the
# shoulder, and touch the face off with the washer on it. Screw the part home by hand, no harder.

title     = {quoted(f"Mandrel {name}")}
units     = "mm"
machine   = {relative(job.machine, folder)}
tools     = {relative(job.tools, folder)}
material  = {quoted(job.material)}
{materials}break_edges = 0.2

[bar]
dia    = {stub.bar:g}
length = {math.ceil((stub.length + 2.0 * stub.bar + 5.0) / 5.0) * 5}                         # stub, clearance, grip

[part]
outside = [
  {{ dia = {stub.collar:.6g}, to = {stub.length:g} }},            # the collar, as far as it stands out of the chuck
  {{ sharp = true }},
]
inside = [                            # full a turn deeper than the part goes in; its mouth clears the part's corner
  {{ thread = {quoted(name)}, to = {stub.full:g}, {holes} }},
  {{ hole = {stub.drill:.6g}, deep = {stub.deep:g} }},            # the relief, in which {behind} runs out
]

[[holding]]
in = "chuck"

[parting]
off = false                           # it stays where it is
"""
