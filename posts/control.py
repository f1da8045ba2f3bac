"""A control as it executes blocks: modal state in, steps out, in the published order of execution.

Order inside a block (NISTIR 6556, table 8, with the turning words beside their kin): feed mode, F, spindle mode and S,
T, tool change, spindle on or off, coolant, dwell, plane, units, X mode, compensation, offset, distance mode, motion,
stop or end.
So `G01 X10 F100 M05` stops the spindle before it cuts, and `G20 F10` reads F in the unit that held before.
"""

from __future__ import annotations

import math

from msgspec import Struct, field
from msgspec.structs import replace

from posts.arc_reading import centre_of
from posts.axes import Axes
from posts.block import INCREMENTS, MOTION, Block, Grammar, whole
from posts.compensation import Noses, check_words, compensation_of
from posts.cycle_runs import Cycles
from posts.dialect import Numbers
from posts.lexer import Word, fault
from posts.thread_cycle import Box, box_of, passes
from posts.thread_reading import lead_of, start_angle
from posts.users import check_users
from toolpath.motion import (
    ArcCut,
    Cut,
    Dwell,
    End,
    Feed,
    FeedMode,
    Move,
    Point,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    State,
    Step,
    Stop,
    ThreadCut,
    ToolCall,
)

FOOT = 0.3048  # metres
INCREMENTS_OF = {step: place for place, step in INCREMENTS.items()}
GREATEST_OFFSET = 99  # common practice, no source
LONGEST_WAIT = 99_999_999  # units of a dwell that counts whole ones; eight digits, common practice, no source


class Control(Struct):
    """Modal state and the steps so far. `run` executes one block; `line` and `text` are its place and comments, `skip`
    that it begins with `/`.
    """

    grammar: Grammar
    axes: Axes = field(default_factory=Axes)
    state: State = field(default_factory=State)
    steps: list[Step] = field(default_factory=list)
    inch: bool = False
    ended: bool = False
    line: int = 0
    text: str = ""
    skip: bool = False
    noses: Noses | None = None
    home: Point | None = None
    motion: str = ""
    plane: str = ""
    feed_mode: FeedMode | None = None
    _surface: bool | None = None
    _speed: float | None = None  # m/min or 1/min, as `_surface` says
    _cap: float = 0.0
    _sense: Sense | None = None
    _selected: int | None = None
    _mist: bool = False
    _flood: bool = False
    _awaiting_offset: bool = False
    _box: Box | None = None
    cycles: Cycles = field(default_factory=Cycles)
    leaving: bool = False  # compensation is off, but no move has led out yet

    @classmethod
    def of(cls, grammar: Grammar, noses: Noses | None) -> Control:
        """A control at power-up: what its dialect fixes holds, and nothing else is stated."""
        dialect, words = grammar.dialect, grammar.dialect.words
        control = cls(grammar, noses=noses)
        control.axes.diameter = {"diameter": True, "radius": False}.get(dialect.fixed_x)
        control.axes.absolute = None if "absolute" in words else True
        control.axes.increments = dialect.axes.increments != "none"
        control.axes.pointed = dialect.lines.pointless == "refused"
        control.plane = "zx" if dialect.axes.plane_fixed else ""
        control._surface = None if "fixed_speed" in words else False
        return control

    def run(self, block: Block) -> None:
        """Executes the block. BadInput, with the column, when a control would refuse it or it is not certain."""
        if self.cycles.contour:
            self.cycles.take(self, block)
            return
        check_users(block, self.grammar, self.motion)
        if self.state.compensation:
            check_words(block)
        self.cycles.expect(block)
        if block.cycle:
            self.cycles.run(self, block)
            self.motion = ""
            return
        self._set_feed(block)
        self._set_speed(block)
        self._set_tool(block)
        self._set_spindle(block)
        self._set_coolant(block)
        self._dwell(block)
        self.plane = "zx" if "plane_zx" in block.codes else "xy" if "plane_xy" in block.codes else self.plane
        self.axes.set_modes(block)
        self.inch = self.inch or "inch" in block.codes
        self._set_compensation(block)
        self._set_offset(block)
        self._move(block)
        self._stop(block)

    def emit(self, step: Step) -> None:
        self._awaiting_offset = False
        self.steps.append(step)

    # -- feed, speed, tool -----------------------------------------------------------------------------------------

    def _set_feed(self, block: Block) -> None:
        for meaning, mode in (("per_turn", FeedMode.PER_TURN), ("per_minute", FeedMode.PER_MINUTE)):
            if meaning in block.codes and mode != self.feed_mode:
                self.feed_mode = mode
                self.state = replace(self.state, feed=None)  # a feed of the other kind is no feed
        if (word := block.words.get("F")) and not self._is_time(block, "F"):
            self.set_feed(word)

    def set_feed(self, word: Word) -> None:
        """The feed that an F states, in the mode in force; 0 is none."""
        if self.feed_mode is None:
            raise fault(word.column, f"{word} stands before feed per turn or per minute is stated")
        value = self.axes.length(word)
        self.state = replace(self.state, feed=Feed(self.feed_mode, value) if value > 0.0 else None)

    def _is_time(self, block: Block, letter: str) -> bool:
        """Whether the word of that letter says how long to wait."""
        return "dwell" in block.codes and self.grammar.dialect.dwell.letter == letter

    def _set_speed(self, block: Block) -> None:
        codes, speed = block.codes, block.words.get("S")
        if "speed_cap" in codes:
            if not speed or len(codes) > 1 or len(block.words) > 1 or speed.value <= 0.0:
                raise fault(codes["speed_cap"].column, "the speed cap is a block of its own with one S above 0")
            self._cap = speed.value
            return
        for meaning, surface in (("surface_speed", True), ("fixed_speed", False)):
            if meaning in codes:
                if not speed:
                    raise fault(codes[meaning].column, f"{codes[meaning]} has no S: how fast is not stated")
                self._surface = surface
        if "surface_speed" in codes and self.grammar.dialect.speed.cap == "word":
            cap = block.words.get(self.grammar.dialect.speed.cap_letter)
            if cap and cap.value <= 0.0:
                raise fault(cap.column, f"{cap} is no speed limit")
            self._cap = cap.value if cap else 0.0
        if speed:
            if self._surface is None:
                raise fault(speed.column, f"{speed} stands before surface speed or fixed speed is stated")
            self._speed = speed.value
            if self._surface:
                self.axes.refuse_unitless(speed)
                self._speed *= 1.0 if self.axes.scale == 1.0 else FOOT

    def _set_tool(self, block: Block) -> None:
        rules = self.grammar.dialect.tool
        if word := block.words.get("T"):
            divisor = 10**rules.offset_digits
            tool, offset = divmod(whole(word, most=rules.greatest * divisor + divisor - 1), divisor)
            if not rules.offset_digits:
                self._selected = tool
            elif (tool, offset) != (self.state.tool, self.state.offset):
                self._call_tool(tool, offset)
        if word := block.codes.get("tool_change"):
            if self._selected is None:
                raise fault(word.column, "a tool change stands before any T", "State the tool: T1 before it")
            self._sense = None  # the spindle stands after a change of tool, NISTIR 6556
            self.state = replace(self.state, spindle=None)
            self._call_tool(self._selected, 0)
            self._awaiting_offset = True

    def fit_tool(self, tool: int) -> None:
        """A person has put a tool into the post and set its zero."""
        self._call_tool(tool, 0)

    def _call_tool(self, tool: int, offset: int) -> None:
        self.state = replace(self.state, tool=tool, offset=offset)
        self.axes.stated.clear()
        self.emit(ToolCall(self.axes.at, self.state, self.text, self.line))

    def _set_compensation(self, block: Block) -> None:
        """On and off only note what holds; where the tip goes is worked out when the whole contour is known."""
        if "compensation_off" in block.codes:
            self.leaving = self.leaving or self.state.compensation is not None
            self.state = replace(self.state, compensation=None)
        elif word := block.codes.get("compensation_left") or block.codes.get("compensation_right"):
            if self.plane != "zx":
                raise fault(word.column, f"{word} stands before the plane of Z and X is stated")
            unknown = [letter for letter in "XZ" if letter not in self.axes.stated]
            if unknown:
                raise fault(word.column, f"{word}, but where {' and '.join(unknown)} stands is not stated")
            if self.leaving:
                raise fault(word.column, f"{word}: no move leads out of the contour before")
            self.state = replace(self.state, compensation=compensation_of(block, self.state.tool, self.noses))

    def _set_offset(self, block: Block) -> None:
        offset = self.state.offset
        number = block.words.get(self.grammar.dialect.tool.offset_letter)
        if "offset_off" in block.codes:
            offset = 0
        elif number and "offset" not in self.grammar.dialect.words:
            offset = whole(number, most=GREATEST_OFFSET)
        elif word := block.codes.get("offset"):
            offset = whole(number, most=GREATEST_OFFSET) if number else self.state.tool
            if not (offset or number):
                raise fault(word.column, "the offset is called with no tool and no number")
        if offset == self.state.offset:
            return
        last = self.steps[-1] if self.steps else None
        if self._awaiting_offset and isinstance(last, ToolCall):
            self.state = replace(self.state, offset=offset)
            self.steps[-1] = replace(last, state=replace(last.state, offset=offset))
            self._awaiting_offset = False
        else:
            self._call_tool(self.state.tool, offset)

    # -- spindle, coolant, waiting ---------------------------------------------------------------------------------

    def _set_spindle(self, block: Block) -> None:
        for meaning, sense in (("forward", Sense.FORWARD), ("reverse", Sense.REVERSE), ("spindle_off", None)):
            if word := block.codes.get(meaning):
                if sense and self._speed is None:
                    raise fault(word.column, f"{word} starts the spindle, but no speed is stated")
                self._sense = sense
        spindle = self._spindle()
        if spindle != self.state.spindle and "speed_cap" not in block.codes:  # it shows in the block after it
            self.state = replace(self.state, spindle=spindle)
            self.emit(SpindleChange(self.axes.at, self.state, self.line))

    def _spindle(self) -> Spindle | None:
        if self._sense is None or not self._speed:
            return None  # S0 is a word a control takes; nothing turns
        if self._surface:
            return Spindle(self._sense, surface=self._speed, limit_rpm=self._cap)
        return Spindle(self._sense, rpm=self._speed)

    def _set_coolant(self, block: Block) -> None:
        if "coolant_off" in block.codes:
            self._mist = self._flood = False
        self._mist = self._mist or "mist_on" in block.codes
        self._flood = self._flood or "coolant_on" in block.codes
        if self.state.coolant != (self._mist or self._flood):
            self.state = replace(self.state, coolant=self._mist or self._flood)

    def _dwell(self, block: Block) -> None:
        if not (code := block.codes.get("dwell")):
            return
        rules = self.grammar.dialect.dwell
        word = block.words.get(rules.letter)
        if not word:
            raise fault(code.column, f"the dwell has no {rules.letter}: how long is not stated")
        if word.value < 0.0:
            raise fault(word.column, f"{word} is negative")
        if rules.decimals == 0:
            whole(word, most=LONGEST_WAIT)
        elif self.axes.pointed and word.value and "." not in word.digits:
            raise fault(word.column, f"{word} has no decimal point", f"Write {word}.0")
        self.emit(Dwell(word.value * rules.per_unit, self.axes.at, self.state, self.line))

    def _stop(self, block: Block) -> None:
        at = self.axes.at
        if "end" in block.codes or "end_short" in block.codes:
            self.state = replace(self.state, spindle=None, coolant=False)
            self.emit(End(at, self.state, self.line))
            self.ended = True
        for meaning, optional in (("stop", False), ("optional_stop", True)):
            if meaning in block.codes:
                self.emit(Stop(self.text, at, self.state, optional, self.line, self.skip))

    # -- motion ----------------------------------------------------------------------------------------------------

    def _move(self, block: Block) -> None:
        if "motion_off" in block.codes:
            self.motion = ""
        if "home" in block.codes:
            self._go_home(block)
            return
        if block.motion:
            self.motion = block.motion
        if not block.has_axes or "dwell" in block.codes:
            if block.motion:
                raise fault(block.column(block.motion), f"{block.codes[block.motion]} has no X and no Z")
            return
        if self.motion not in MOTION:
            raise fault(
                block.column("X", "Z", "U", "W"), "axis words, but no motion is in force", "State G00, G01, G02 or G03"
            )
        numbers = self.grammar.dialect.numbers(inch=self.axes.scale > 1.0)
        end = self.axes.target(block, numbers)
        if self.motion == "rapid":
            self.emit(Rapid(self.axes.at, end, self.state, self.line))
            self.axes.stated.update(a for a in "XZ" if a in block.words or INCREMENTS[a] in block.words)
        elif self.motion == "thread":
            self._thread(block, end)
        elif self.motion == "thread_cycle":
            self._thread_cycle(block, end)
            return
        else:
            self._check_cut(block)
            self.emit(self._cut(block, end, numbers))
        self.axes.at = end
        self.leaving = self.leaving and self.state.compensation is not None

    def _go_home(self, block: Block) -> None:
        """Along the axes named, from where the tool stands; where it then stands is not certain to the last digit."""
        code, way = block.codes["home"], [letter for letter in "XZUW" if letter in block.words]
        for letter in way or [""]:
            word = block.words.get(letter)
            step = letter in INCREMENTS.values() or self.axes.absolute is False
            if word is None or word.value or not step:
                right = "Beside it write U0 or W0, or both: from where the tool stands"
                raise fault(word.column if word else code.column, f"{code} goes by way of another place", right)
        if self.home is None:
            right = "State where it lies at the top, for example (starts at X60.0 Z40.0 mm, X a diameter)"
            raise fault(code.column, f"{code} goes to a place that only the machine knows", right)
        if math.isnan(sum(self.axes.at)):
            raise fault(code.column, f"{code} begins where no place is stated")
        (z, x), axes = self.axes.at, {INCREMENTS_OF.get(letter, letter) for letter in way}
        end = (self.home[0] if "Z" in axes else z, self.home[1] if "X" in axes else x)
        self.emit(Rapid(self.axes.at, end, self.state, self.line))
        self.axes.at = end
        self.axes.stated -= axes
        self.motion = ""

    def _cut(self, block: Block, end: tuple[float, float], numbers: Numbers) -> Step:
        start = self.axes.at
        if self.motion == "line":
            return Cut(start, end, self.state, self.line)
        if self.plane != "zx":
            raise fault(block.column(self.motion, "X", "Z"), "an arc stands before the plane of Z and X is stated")
        ccw = self.motion == "arc_counter"
        centre = centre_of(block, self.axes, end=end, ccw=ccw, numbers=numbers)
        return ArcCut(start, end, centre, ccw, self.state, self.line)

    def _thread(self, block: Block, end: tuple[float, float]) -> None:
        """A move in step with the spindle. What feed holds after it differs between controls, and on some so does the
        motion, so that both must be stated again."""
        column, rules = block.column("thread"), self.grammar.dialect.thread
        self.check_thread(column)
        if not rules.continues and self.steps and isinstance(self.steps[-1], ThreadCut):
            raise fault(column, "one threading pass follows another without a move between, and waits in the metal")
        if rules.lead_letter == "F" and self.feed_mode is not FeedMode.PER_TURN:
            raise fault(column, "F is a lead in feed per turn only, which is not in force")
        lead, angle = lead_of(block, self.axes, end, rules=rules), start_angle(block, rules)
        self.state = replace(self.state, feed=None)
        self.feed_mode = self.feed_mode if rules.lead_letter == "F" else None
        self.motion = ""
        self.emit(ThreadCut(self.axes.at, end, lead, self.state, self.line, angle))

    def _thread_cycle(self, block: Block, end: tuple[float, float]) -> None:
        """Passes begin and end where the cycle was begun, and the cycle holds until another motion is stated."""
        column = block.column("thread_cycle", "X", "U", "Z", "W")
        self.check_thread(column)
        if self.feed_mode is not FeedMode.PER_TURN:
            raise fault(column, "F is a lead in feed per turn only, which is not in force")
        if not ("X" in block.words or "U" in block.words):
            raise fault(column, "the thread cycle has no X: how deep its pass goes is not stated")
        word = block.words.get("F")
        if word and word.value <= 0.0:
            raise fault(word.column, f"{word} is no lead")
        lead = self.axes.length(word) if word else None
        taper = self.axes.length(block.words["R"]) if "R" in block.words else None
        self._box = box_of(block, end, lead, taper=taper, before=self._box)
        if self._box.z == self.axes.at[0]:
            raise fault(column, "a threading pass that does not advance along Z")
        if abs(self._box.taper) > abs(self._box.z - self.axes.at[0]):
            raise fault(column, "steeper than 45 degrees the lead is one along X; such threads are not read")
        for step in passes(self._box, self.axes.at, end[1], state=self.state, line=self.line):
            self.emit(step)
        self.state = replace(self.state, feed=None)

    def check_thread(self, column: int) -> None:
        """The place is certain, and the spindle turns at a fixed speed."""
        spindle = self.state.spindle
        self.check_place(column)
        if spindle is None or not spindle.rpm:
            how = "the spindle stands still" if spindle is None else "its speed changes with the diameter"
            word = self.grammar.dialect.words.get("fixed_speed", "S")
            right = f"State a fixed speed ({word}) and start the spindle before it"
            raise fault(column, f"a thread is cut in step with the spindle, but {how}", right)
        if self.leaving:
            raise fault(column, "a thread begins before a move has led out of the compensated contour")

    def _check_cut(self, block: Block) -> None:
        self.check_feed(block.column(self.motion, "X", "Z", "U", "W"))

    def check_feed(self, column: int) -> None:
        """A move at feed may begin here."""
        state = self.state
        self.check_place(column)
        if state.feed is None:
            raise fault(column, "a move at feed, but no feed is in force")
        if state.spindle is None and (state.feed.mode is FeedMode.PER_TURN or self._surface):
            raise fault(column, "a move at feed per turn or surface speed, but the spindle stands still")

    def check_place(self, column: int) -> None:
        """Where a cut starts must be certain, and be that of the tool's own offset."""
        state = self.state
        unknown = [letter for letter in "XZ" if letter not in self.axes.stated]
        if unknown:
            what = f"a move at feed starts where {' and '.join(unknown)} is not stated"
            raise fault(column, what, "Go there by a rapid first; a change of tool or offset makes the place uncertain")
        if self.grammar.dialect.tool.needs_offset and state.tool and not state.offset:
            raise fault(column, f"tool {state.tool} cuts, but its offset is not called")


def known_from(steps: list[Step]) -> tuple[float, float]:
    """The first stated place of each axis, (z, x); 0 for an axis that never moves."""
    found = [math.nan, math.nan]
    for step in steps:
        if isinstance(step, Move):
            found = [e if math.isnan(f) else f for f, e in zip(found, step.end, strict=True)]
            if not any(map(math.isnan, found)):
                break
    return (0.0 if math.isnan(found[0]) else found[0], 0.0 if math.isnan(found[1]) else found[1])
