"""The blocks of cycles, written. What holds after them is stated again: neither motion nor, after a lead, feed is taken
to hold."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from posts.cycle_fitting import Pass, Pecks, WholeThread
from posts.dialect import ThreadWords
from posts.numbers import fixed
from posts.roughing_fitting import Rough
from posts.thread_words import lead_word
from toolpath.motion import ArcCut, Point, Rapid, State, ThreadCut

if TYPE_CHECKING:
    from posts.writer import Writer


BY_F = ThreadWords(lead_letter="F", lead_along="longer axis")
"""How a cycle takes its lead, whatever the word of a single pass does."""


def write_pass(writer: Writer, one: Pass) -> None:
    """A pass there, along and back; after the first of them X alone says the next, while nothing else does."""
    cut = one.cut
    start, lead = _begin(writer, cut, one.start)
    end, word = writer.grid.digits(cut.end), writer.word("thread_cycle")
    taper = writer.grid.digits((0.0, cut.start[1]))[1] - end[1]
    key = f"{start} {end[0]} {lead} {taper}"
    if writer.said.get("motion") == word and writer.said.get("box") == key:
        writer.block(*writer.grid.words(end, "X"))
    else:
        r = f"R{fixed(round(taper * _radius(writer)), _places(writer))}" if taper else ""
        writer.block(word, *writer.grid.words(end, "XZ"), r, lead)
    writer.said |= {"motion": word, "box": key}
    writer.said.pop("feed", None)
    _go_on(writer, start, one.end, cut.state)


def write_thread(writer: Writer, thread: WholeThread) -> None:
    """All passes of a thread, from where its cycle begins."""
    cycle, form = thread.cycle, writer.dialect.cycles.threading
    cut = ThreadCut((cycle.start[0], cycle.end[1] + cycle.taper), cycle.end, cycle.lead, thread.state)
    writer.move(Rapid(thread.start, cycle.start, thread.state))
    start, lead = _begin(writer, cut, cycle.start)
    word, end = writer.word("threading"), writer.grid.words(writer.grid.digits(cycle.end), "XZ")
    if form == "drive line":
        crest = cycle.end[1] + cycle.out * cycle.height - cycle.start[1]
        i, j, k = (_length(writer, v, across=True) for v in (crest, cycle.first, cycle.height))
        flank = f"Q{fixed(round(math.degrees(cycle.flank) * 10.0), 1)}" if cycle.flank > 1e-4 else ""
        springs = f"H{cycle.repeats}" if cycle.repeats else ""
        r = f"R{fixed(round(cycle.degression * 1000.0), 3)}"
        writer.block(word, f"P{lead[1:]}", end[1], f"I{i}", f"J{j}", f"K{k}", r, flank, springs)
    elif form == "one block":
        i = f"I{_length(writer, cycle.taper)}" if cycle.taper else ""
        k, d = (_length(writer, v) for v in (cycle.height, cycle.first))
        writer.block(word, *end, i, f"K{k}", f"D{d}", lead, f"A{_angle(cycle.flank)}.0")
    else:
        p = f"P{cycle.repeats:02}00{_angle(cycle.flank):02}"
        writer.block(word, p, f"Q{_count(writer, cycle.least)}", f"R{_length(writer, cycle.allowance)}")
        r = f"R{_length(writer, cycle.taper)}" if cycle.taper else ""
        writer.block(word, *end, r, f"P{_count(writer, cycle.height)}", f"Q{_count(writer, cycle.first)}", lead)
    for key in ("motion", "feed", *(["feed mode"] if form == "drive line" else [])):
        writer.said.pop(key, None)
    _go_on(writer, start, thread.end, thread.state)


def write_pecks(writer: Writer, hole: Pecks) -> None:
    """A hole drilled in pecks, begun and ended where the tool stands."""
    rules = writer.dialect.cycles
    here = writer.grid.digits(hole.start)
    writer.have_tool(hole.state)
    writer.running(hole.state)
    writer.at = here
    writer.state_place(here)
    mode, feed = writer.feed(hole.state.feed)
    if mode:
        writer.block(mode, feed)
        feed = ""
    word = writer.word("chip_break" if hole.back else "peck")
    bottom = writer.grid.words(writer.grid.digits((hole.bottom, hole.start[1])), "Z")
    if rules.pecking == "two blocks":
        writer.block(word, f"R{_length(writer, hole.back)}")
        writer.block(word, *bottom, f"Q{_count(writer, hole.peck)}", feed)
    else:
        writer.block(writer.word("plane_xy"))
        writer.block(word, *bottom, f"R{writer.grid.z(here)}", f"Q{_length(writer, hole.peck)}", feed)
        writer.block(writer.dialect.words.get("motion_off", ""), writer.word("plane_zx"))
    writer.said.pop("motion", None)


def write_rough(writer: Writer, rough: Rough) -> None:
    """Roughing down to a contour, its blocks numbered as the cycle names them; nothing is left on, since the contour of
    the plan leaves it already."""
    cycle, rules, word = rough.cycle, writer.dialect.lines, writer.word("roughing")
    mode, feed = writer.feed(rough.state.feed)
    if mode:
        writer.block(mode, feed)
        feed = ""
    writer.at = writer.grid.digits(cycle.start)
    writer.state_place(writer.at)
    writer.block(word, f"U{_length(writer, cycle.depth)}", f"R{_length(writer, cycle.lift)}")
    across, *along = cycle.contour
    behind = len(along) if rules.numbered == "all" else 1
    first = writer.numbered + rules.number_step * (2 if rules.numbered == "all" else 1)
    last = first + rules.number_step * behind
    writer.block(word, f"P{first}", f"Q{last}", "U0.0", "W0.0", feed)
    writer.said.pop("motion", None)
    writer.travel("rapid", "X", writer.grid.digits(across.end), label=True)
    for k, move in enumerate(along):
        here, end = writer.standing(move), writer.grid.digits(move.end)
        arc = writer.arc(move, here, end) if isinstance(move, ArcCut) else ()
        letters = "X" * (here[1] != end[1]) + "Z" * (here[0] != end[0])
        writer.feeding(move, letters, end, arc, label=k + 1 == len(along))
    writer.at = writer.grid.digits(cycle.start)
    for key in ("motion", "feed"):
        writer.said.pop(key, None)


def _begin(writer: Writer, cut: ThreadCut, start: Point) -> tuple[tuple[int, int], str]:
    """All a cycle in step with the spindle needs, said: (where it begins in print, its lead as F)."""
    here, grid = writer.grid.digits(start), writer.grid
    writer.in_step(cut)
    writer.have_tool(cut.state)
    writer.running(cut.state)
    writer.at = here
    writer.state_place(here)
    lead = lead_word(cut, grid.digits(cut.start), grid.digits(cut.end), grid=grid, rules=BY_F)
    if writer.dialect.cycles.threading != "drive line":
        writer.block(writer.news("feed mode", writer.word("per_turn")))
    return here, lead


def _go_on(writer: Writer, start: tuple[int, int], end: Point, state: State) -> None:
    """From where a cycle ended to where the plan goes on."""
    writer.at = start
    if writer.grid.digits(end) != start:
        writer.move(Rapid(writer.grid.point(start), end, state))


def _places(writer: Writer) -> int:
    """Digits of a length on radius: one more than X has, as a half of its last digit may be told."""
    return writer.grid.numbers.position + 1


def _radius(writer: Writer) -> float:
    """What a last digit of X is on radius, in the digits of `_places`."""
    return 5.0 if writer.grid.diameter else 10.0


def _length(writer: Writer, mm: float, *, across: bool = False) -> str:
    """A length as a number; across: told on diameter where X is one."""
    factor = 2.0 if across and writer.grid.diameter else 1.0
    return fixed(round(mm * factor / writer.grid.unit * 10 ** _places(writer)), _places(writer))


def _count(writer: Writer, mm: float) -> str:
    return str(round(mm / writer.grid.step))


def _angle(flank: float) -> int:
    return round(2.0 * math.degrees(flank))
