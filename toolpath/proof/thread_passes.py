"""Threading passes one by one: what meets metal that must not, and whether the machine can follow the spindle there.

A carriage needs v^2 / (2 a) to come up to a speed of v = lead x rpm / 60, and as much to stop; a thread cut meanwhile
has no true lead.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely
from msgspec import Struct

from toolpath.motion import Sense, ThreadCut
from toolpath.proof.contact import Target, overlap
from toolpath.proof.findings import Finding, finding
from toolpath.proof.setting import NOISE, Setting
from toolpath.proof.shapes import Shapes
from toolpath.proof.thread_zones import ThreadZone, zone_of
from toolpath.proof.tracks import Run

SPEED_SLACK = 1e-6  # share: rounding of a printed speed or lead
PULSE_TURNS = (
    3.0  # of the spindle that the carriage needs to settle by one pulse a turn: 3 to 5 pitches, common practice
)


class Pass(Struct, frozen=True):
    """moves: in step with the spindle, one right after the other; zone: index of the thread's zone, None for none."""

    moves: tuple[ThreadCut, ...]
    tool: Shapes
    zone: int | None

    @classmethod
    def of(cls, run: Run, tool: Shapes, setting: Setting) -> Pass:
        moves = tuple(m for m in run.moves if isinstance(m, ThreadCut))
        inside = setting.tools[run.tool].works == "inside"
        z0, _, z1, _ = run.box
        return cls(moves, tool, zone_of(setting.threads, inside=inside, low=z0, high=z1))

    @property
    def towards_chuck(self) -> bool:
        return self.moves[-1].end[0] < self.moves[0].start[0]

    @property
    def hand(self) -> str:
        """M03 turns the work under a tool on its way to the chuck as a right-hand drill cuts; a reversal changes it."""
        spindle = self.moves[0].state.spindle
        forward = spindle is None or spindle.sense is Sense.FORWARD
        return "right" if forward == self.towards_chuck else "left"


def meets(one: Pass, run: Run, stock: Target, setting: Setting) -> Iterator[Finding]:
    """Metal before the point where the pass starts, and metal it runs into outside its own thread."""
    tool, first = one.tool, one.moves[0]
    zone = setting.threads[one.zone] if one.zone is not None else None
    for edge in tool.edges:
        place = shapely.polygons(edge.core.points + run.path[0])
        if shapely.intersects(stock.body, place):
            text = "the thread starts with the tool in metal, before the carriage is up to speed; start it in the air"
            yield finding("thread-start", text, line=first.line, tool=tool.number, at=first.start)
        bare = stock.body if zone is None else shapely.difference(stock.body, zone.band(setting.contact_tolerance))
        if shapely.intersects(bare, run.covered(edge.core)).any():
            size, at = overlap(edge.outer, run.path, bare)
            where = "" if at is None else f" at z {at[0]:.3f}, x {at[1]:.3f}"
            text = (
                f"T{tool.number} ({tool.name}) runs {size:.3f} mm into metal outside its thread{where}; "
                "end the pass before a shoulder, in an undercut or on a ramp"
            )
            yield finding("thread-contact", text, line=first.line, tool=tool.number, at=at, size=size)
            return


def judged(one: Pass, setting: Setting) -> Iterator[Finding]:
    """What needs no metal: encoder, speed, lead, hand, the ways to come up to speed and to stop."""
    machine, first, number = setting.machine, one.moves[0], one.tool.number

    def told(code: str, text: str, *, size: float = 0.0) -> Finding:
        return finding(code, text, line=first.line, tool=number, at=first.start, size=size)

    if machine.spindle_encoder == "none":
        text = "nothing on this spindle tells the control how it turns; cut the thread with a die or a tap"
        yield told("no-encoder", text)
    spindle = first.state.spindle
    if spindle is None or not spindle.rpm:
        how = "the spindle stands still" if spindle is None else "its speed changes with the diameter"
        yield told("thread-speed", f"a thread is cut in step with the spindle, but {how}; state a fixed speed")
        return
    rate = max(m.lead for m in one.moves) * spindle.rpm
    if rate > machine.max_feed * (1.0 + SPEED_SLACK):
        text = (
            f"lead times speed comes to {rate:.0f} mm/min, above the machine's {machine.max_feed:g}: the carriage "
            f"falls behind the spindle; turn at most {math.floor(machine.max_feed * spindle.rpm / rate)} rpm"
        )
        yield told("thread-too-fast", text)
    if one.zone is None:
        yield told("thread-astray", "a thread is cut where the part has none; correct the move, or the part")
        return
    zone = setting.threads[one.zone]
    yield from _screw(one, zone, setting)
    yield from _ways(one, zone, setting, rpm=spindle.rpm)


def _screw(one: Pass, zone: ThreadZone, setting: Setting) -> Iterator[Finding]:
    """Lead, slope and hand."""
    for move in one.moves:
        slope = _slope(move, zone)
        if slope > setting.last_digit + NOISE:
            text = (
                f"the pass leaves the thread's own direction by {slope:.3f} mm within its length; keep its depth "
                "to the end of the thread, and ramp out behind it"
            )
            yield finding("thread-slants", text, line=move.line, tool=one.tool.number, at=move.start, size=slope)
        off = abs(move.lead - zone.lead) / zone.lead * (zone.z[1] - zone.z[0])
        if off > setting.last_digit:
            text = (
                f"the lead is {move.lead:.6g} mm, the thread's {zone.lead:.6g}: {off:.3f} mm off over its length; "
                "correct the lead"
            )
            yield finding("thread-lead", text, line=move.line, tool=one.tool.number, at=move.start, size=off)
    if one.hand != zone.hand:
        text = f"this pass cuts a {one.hand}-hand thread, the part's is {zone.hand}-hand; start it from the other end"
        move = one.moves[0]
        yield finding("thread-hand", text, line=move.line, tool=one.tool.number, at=move.start)


def _slope(move: ThreadCut, zone: ThreadZone) -> float:
    """By how much, mm, the point comes nearer to the crest or leaves it within the thread."""
    (z0, x0), (z1, x1) = move.start, move.end
    low, high = max(min(z0, z1), zone.z[0]), min(max(z0, z1), zone.z[1])
    if high <= low:
        return 0.0
    return abs((x1 - x0) / (z1 - z0) - zone.taper) * (high - low)


def _ways(one: Pass, zone: ThreadZone, setting: Setting, *, rpm: float) -> Iterator[Finding]:
    """The way in the air before the thread, and the way after it."""
    machine, first, last = setting.machine, one.moves[0], one.moves[-1]
    way = -1.0 if one.towards_chuck else 1.0
    enters, leaves = (zone.z[1], zone.z[0]) if one.towards_chuck else zone.z
    needs = (zone.lead * rpm / 60.0) ** 2 / (2.0 * machine.accel_z)
    settle = PULSE_TURNS * zone.lead if machine.spindle_encoder == "pulse" else 0.0
    has = way * (enters - first.start[0]) - zone.spacing / 2.0  # its flank meets metal before its middle does
    if has < needs + settle - setting.last_digit:
        text = (
            f"the tool meets the thread {max(has, 0.0):.2f} mm after it starts; at {rpm:g} rpm the carriage needs "
            f"{needs + settle:.2f} mm to be in step; start farther out, or turn slower"
        )
        yield finding("thread-run-in", text, line=first.line, tool=one.tool.number, at=first.start, size=needs - has)
    room = way * (last.end[0] - leaves)
    if room < needs - setting.last_digit:
        text = (
            f"the pass ends {room:.2f} mm after the full thread, at {rpm:g} rpm the carriage needs {needs:.2f} mm to "
            "stop; let it run farther out, or turn slower"
        )
        yield finding("thread-run-out", text, line=last.line, tool=one.tool.number, at=last.end, size=needs - room)
