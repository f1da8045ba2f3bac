"""What can be judged without metal: states, speeds, feeds, senses, ends. One finding a fault, operation and tool."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from toolpath.motion import (
    Dwell,
    End,
    FeedMode,
    Program,
    Sense,
    Spindle,
    SpindleChange,
    Step,
    Stop,
    ThreadCut,
    ToolCall,
)
from toolpath.proof import gang
from toolpath.proof.clock import rpm_at
from toolpath.proof.findings import Finding, finding
from toolpath.proof.setting import Setting
from toolpath.proof.sweep import SAME_POINT
from toolpath.proof.tracks import CUTS, FEEDS, MOVES, Feeding
from toolpath.shop.fixing import braked_off, unscrewed
from toolpath.shop.machine import sense_for

if TYPE_CHECKING:
    from toolpath.shop.tools import Tool

PAST_AXIS = 0.2  # mm beyond the nose radius that a point may pass the axis; common practice, no source
LONG_DWELL = 60.0  # s: spindles run up and floors are cut clean in a few; common practice, no source
SPEED_SLACK = 1e-6  # share: rounding of a printed speed or feed
BELT_SLACK = 1.0  # 1/min: a step is printed rounded down to a whole one


def check(program: Program, setting: Setting, seconds: list[list[float]]) -> Iterator[Finding]:
    """All findings that need no geometry of metal. seconds: of every step, by operation (`clock.seconds`)."""
    for operation in program.operations:
        seen: set[tuple[str, int]] = set()
        judged: set[tuple[int, type]] = set()
        for step in operation.steps:
            found = list(_move(step, setting)) if isinstance(step, FEEDS) else []
            if (key := (id(step.state), type(step))) not in judged:  # moves that share a state share its faults
                judged.add(key)
                found += _state(step, setting)
            for f in found:
                if (f.code, f.tool) not in seen:
                    seen.add((f.code, f.tool))
                    yield f
    steps = program.steps
    yield from _order(steps, setting)
    yield from _waits(steps)
    yield from _travel(steps, setting)
    yield from _braked(steps, setting)
    yield from _run_up(steps, [t for op in seconds for t in op], setting)
    yield from _set_by_hand(steps, setting)


def _state(step: Step, setting: Setting) -> Iterator[Finding]:
    """What is wrong with a step whatever its place."""
    state, number = step.state, step.state.tool
    if isinstance(step, (*MOVES, ToolCall)) and number not in setting.tools:
        known = ", ".join(f"T{n}" for n in sorted(setting.tools)) or "none"
        what = f"tool {number} is not in the rack ({known})" if number else "no tool is called before this"
        yield finding("unknown-tool", f"{what}; call a tool of the rack", line=step.line, tool=number)
    one = setting.tools.get(number)
    if isinstance(step, MOVES) and one is not None and state.offset not in (0, one.offset):
        text = f"T{number} moves with offset {state.offset}, and its own is {one.offset}; call its own"
        yield finding("wrong-offset", text, line=step.line, tool=number)
    if state.spindle:
        yield from _speed(step, state.spindle, setting)
        if off := unscrewed(str(state.spindle.sense), machine=setting.machine, on_thread=setting.on_thread):
            text = f"the spindle turns {state.spindle.sense} and would unscrew {off}; let it turn the other way"
            yield finding("unscrews", text, line=step.line, tool=number)
    if isinstance(step, CUTS):
        yield from _feeding(step, setting)


def _speed(step: Step, spindle: Spindle, setting: Setting) -> Iterator[Finding]:
    machine, most = setting.machine, setting.greatest_rpm
    if spindle.surface and not machine.constant_surface_speed:
        text = "constant surface speed, which this machine does not have; state a fixed speed"
        yield finding("surface-speed", text, line=step.line, tool=step.state.tool)
    if spindle.surface and not spindle.limit_rpm:
        text = f"constant surface speed without a limit runs away towards the axis; state one of at most {most:g} rpm"
        yield finding("no-speed-limit", text, line=step.line, tool=step.state.tool)
    top = spindle.limit_rpm if spindle.surface else spindle.rpm
    if top > most * (1.0 + SPEED_SLACK):
        kind = "the speed limit of" if spindle.surface else "a speed of"
        text = f"{kind} {top:g} rpm is above the {most:g} rpm that machine and hold stand; lower it"
        yield finding("too-fast", text, line=step.line, tool=step.state.tool)
    if not spindle.surface and spindle.rpm < machine.min_rpm * (1.0 - SPEED_SLACK):
        text = f"{spindle.rpm:g} rpm is below the {machine.min_rpm:g} rpm the machine can turn steadily; raise it"
        yield finding("too-slow", text, line=step.line, tool=step.state.tool)


def _feeding(step: Feeding | ThreadCut, setting: Setting) -> Iterator[Finding]:
    """Spindle and feed of a cut."""
    spindle, tool = step.state.spindle, step.state.tool
    if spindle is None:
        text = "a move at feed while the spindle stands still; start it before the tool touches"
        yield finding("spindle-off", text, line=step.line, tool=tool, at=step.start)
    elif cause := _wrong_sense(spindle, setting.tools.get(tool), setting):
        text = f"the spindle turns {spindle.sense} and the edge would rub on its back; {cause}"
        yield finding("wrong-sense", text, line=step.line, tool=tool, at=step.start)
    one = setting.tools.get(tool)
    if spindle and spindle.surface and one is not None and one.works == "hole":
        text = f"constant surface speed on the axis, where it runs to its limit; state a fixed speed for the {one.kind}"
        yield finding("surface-on-axis", text, line=step.line, tool=tool, at=step.start)
    if step.state.feed is None and isinstance(step, FEEDS):
        yield finding("no-feed", "a move at feed, but no feed is stated; state one", line=step.line, tool=tool)


def _wrong_sense(spindle: Spindle, tool: Tool | None, setting: Setting) -> str:
    """Why the spindle must turn the other way, or nothing. A tool on the axis cuts the way it is ground, wherever the
    post stands."""
    if tool is not None and tool.works == "hole":
        needed = Sense.REVERSE if tool.hand == "left" else Sense.FORWARD
        return "" if spindle.sense is needed else f"a {tool.hand}-hand {tool.kind} must turn {needed}"
    needed = Sense(sense_for(setting.machine.tool_post, (tool and tool.face) or setting.machine.tool_face))
    return "" if spindle.sense is needed else f"as this tool post stands and its tools look it must turn {needed}"


def _move(step: Feeding, setting: Setting) -> Iterator[Finding]:
    """What hangs on where a move at feed goes."""
    most = setting.machine.max_feed
    if (fastest := _fastest(step)) > most * (1.0 + SPEED_SLACK):
        text = f"feed comes to {fastest:.0f} mm/min, above the machine's {most:g}: it lags behind; lower feed or speed"
        yield finding("feed-too-fast", text, line=step.line, tool=step.state.tool, at=step.end)
    if step.end[1] < 0.0:
        yield from _past_axis(step, setting)


def _fastest(step: Feeding) -> float:
    """Greatest feed of the move, mm/min: at constant surface speed its end nearer to the axis decides."""
    feed, spindle = step.state.feed, step.state.spindle
    if feed is None or (feed.mode is FeedMode.PER_TURN and spindle is None):
        return 0.0
    if feed.mode is FeedMode.PER_MINUTE or spindle is None:
        return feed.value
    x0, x1 = step.start[1], step.end[1]
    turns = rpm_at(spindle, 0.0 if x0 * x1 < 0.0 else min(abs(x0), abs(x1)))
    return feed.value * turns if math.isfinite(turns) else 0.0


def _past_axis(step: Feeding, setting: Setting) -> Iterator[Finding]:
    tool = setting.tools.get(step.state.tool)
    if tool is None or tool.tip[1] > 0:
        return
    beyond = -step.end[1] - tool.nose_radius
    if beyond > PAST_AXIS + setting.last_digit:
        text = (
            f"the point goes {-step.end[1]:.3f} mm past the axis, where metal comes at the edge from behind; end at "
            f"most its nose radius ({tool.nose_radius:g} mm) past it"
        )
        yield finding("past-axis", text, line=step.line, tool=tool.number, at=step.end, size=beyond)


def _order(steps: tuple[Step, ...], setting: Setting) -> Iterator[Finding]:
    """The program ends once, no move starts elsewhere than the last one ended, nobody reaches in while it turns."""
    if not any(isinstance(s, End) for s in steps):
        yield finding("no-end", "the program has no end; close it with M30", line=steps[-1].line if steps else 0)
    at, tool, ended, waited = None, 0, False, False
    for step in steps:
        if ended:
            yield finding(
                "after-end", "a step stands after the program's end and will not run; put it before M30", line=step.line
            )
            return
        ended = isinstance(step, End)
        if isinstance(step, MOVES):
            if at is not None and at != step.start and math.dist(at, step.start) > SAME_POINT:
                text = "the move does not start where the last one ended; what lies between is unknown, so state it"
                yield finding("jump", text, line=step.line, tool=tool, at=step.start, size=math.dist(at, step.start))
            at, waited = step.end, False
        waited = waited or (isinstance(step, Stop) and step.sure)
        hand_change = isinstance(step, ToolCall) and setting.machine.tool_change == "hand" and tool != step.state.tool
        if (isinstance(step, Stop) or (hand_change and tool)) and step.state.spindle:
            text = "the spindle still turns while a person is to reach in; stop it before"
            yield finding("spindle-on", text, line=step.line, tool=step.state.tool)
        if hand_change and tool and not waited:
            text = f"T{step.state.tool} is put in by hand and the program does not wait for that; put M00 before"
            yield finding("no-change-stop", text, line=step.line, tool=step.state.tool)
        if isinstance(step, ToolCall):
            tool = step.state.tool


def _waits(steps: tuple[Step, ...]) -> Iterator[Finding]:
    """Dwells that look endless, and coolant that runs on while a person reaches in; the first of each."""
    dwell = next((s for s in steps if isinstance(s, Dwell) and s.seconds > LONG_DWELL), None)
    if dwell:
        text = f"a dwell of {dwell.seconds:g} s, which no cut needs; see in which unit this control counts its dwells"
        yield finding("long-dwell", text, line=dwell.line, tool=dwell.state.tool, at=dwell.at)
    stop = next((s for s in steps if isinstance(s, Stop) and s.state.coolant), None)
    if stop:
        text = "coolant runs on while the program waits for a person; switch it off before the stop"
        yield finding("coolant-on", text, line=stop.line, tool=stop.state.tool, at=stop.at)


def _travel(steps: tuple[Step, ...], setting: Setting) -> Iterator[Finding]:
    """The way between the outermost points must fit the slides; where they stand on them is not known."""
    moves = [s for s in steps if isinstance(s, MOVES)]
    if not moves:
        return
    ways = [(moves[0], moves[0].start), *((m, m.end) for m in moves)]
    points = np.array([gang.slide_at(m, at, setting) for m, at in ways])
    gangs = setting.machine.tool_change == "gang"
    advice = "let the tools stand nearer together" if gangs else "keep the change point nearer"
    for axis, name, most in ((0, "Z", setting.machine.travel_z), (1, "X", setting.machine.travel_x)):
        low, high = float(points[:, axis].min()), float(points[:, axis].max())
        if most and high - low - most > setting.last_digit:
            far = ways[int(np.argmax(np.abs(points[:, axis])))][0]
            text = f"{name} needs {high - low:.1f} mm of travel, the machine has {most:g}; {advice}"
            size = high - low - most
            yield finding("travel", text, line=far.line, tool=far.state.tool, at=far.end, size=size)


def _braked(steps: tuple[Step, ...], setting: Setting) -> Iterator[Finding]:
    """The first stop of the spindle whose brake would unscrew what holds the work."""
    sense = ""
    for step in steps:
        spindle = step.state.spindle
        stops = sense if spindle is None else ""
        if stops and (off := braked_off(stops, machine=setting.machine, on_thread=setting.on_thread)):
            text = f"the spindle is braked while it turns {stops}, and that would unscrew {off}; let it run down"
            yield finding("unscrews", text, line=step.line, tool=step.state.tool)
            return
        sense = str(spindle.sense) if spindle else ""


def _run_up(steps: tuple[Step, ...], seconds: list[float], setting: Setting) -> Iterator[Finding]:
    """Feed begins before a spindle that started from rest can have reached its speed."""
    since: float | None = None
    needs = setting.machine.spindle_up_s
    turning = False
    for step, took in zip(steps, seconds, strict=True):
        if isinstance(step, SpindleChange):
            since = 0.0 if step.state.spindle and not turning else since if step.state.spindle else None
            turning = step.state.spindle is not None
        elif isinstance(step, CUTS) and since is not None:
            if since < needs - 1e-6:
                text = f"feed begins {since:.1f} s after the spindle starts, which needs {needs:g} s; dwell first"
                yield finding("spindle-not-up", text, line=step.line, tool=step.state.tool, at=step.start)
            since = None
        elif since is not None:
            since += getattr(step, "seconds", took)


def _set_by_hand(steps: tuple[Step, ...], setting: Setting) -> Iterator[Finding]:
    """Speeds that only a person can set: the program waits for that, and a belt has a step for each of them."""
    machine = setting.machine
    if machine.drive == "variable":
        return
    stopped, before = False, 0.0
    for step in steps:
        if isinstance(step, Stop) and step.sure and not step.state.spindle:
            stopped = True
        if not isinstance(step, SpindleChange) or not step.state.spindle or not (rpm := step.state.spindle.rpm):
            continue
        if machine.belt_rpm and min(abs(rpm - b) for b in machine.belt_rpm) >= BELT_SLACK:
            has = ", ".join(f"{b:g}" for b in sorted(machine.belt_rpm))
            text = f"{rpm:g} rpm is no step of the belt, which has {has}; state one of them"
            yield finding("belt-step", text, line=step.line, tool=step.state.tool)
        if rpm != before and not stopped:
            what = f"changes from {before:g} to {rpm:g} rpm" if before else f"starts with {rpm:g} rpm"
            text = f"the spindle {what} and the program does not wait for a person to set that; put M05 and M00 before"
            yield finding("speed-not-set", text, line=step.line, tool=step.state.tool)
        stopped, before = False, rpm
