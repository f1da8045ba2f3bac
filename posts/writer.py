"""A program as text for one control.

Every operation is a section that can be restarted on its own: a heading, then the modes, feed, tool offset and
spindle in full. Inside a section a word that still holds is not repeated. Places are tracked as printed, so rounding
never adds up; spindle off, stops and the end are blocks of their own, since controls differ in when they act.
"""

from __future__ import annotations

import math
import re

from msgspec import Struct, field

from posts.arc_words import arc_words, radius_word
from posts.comments import ascii_of, comment_lines
from posts.cycle_fitting import Pass, Pecks, WholeThread, items
from posts.cycle_writing import write_pass, write_pecks, write_rough, write_thread
from posts.dialect import Dialect
from posts.fitting import fitted
from posts.headings import heading, in_post, kind_of, starts_at
from posts.numbers import Digits, Grid, fixed, sound
from posts.roughing_fitting import Rough, roughing_of
from posts.thread_words import angle_word, lead_word
from posts.words import feed_words, nose_words, speed_words, word_of
from toolpath.errors import BadInput, CannotMake
from toolpath.motion import (
    ArcCut,
    Cut,
    Dwell,
    End,
    Feed,
    Move,
    Operation,
    Program,
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

MOST_NUMBER = 99999  # NISTIR 6556: five digits
ENDINGS = {"lf": "\n", "crlf": "\r\n"}

_WHOLE = re.compile(r"(?<=\d)\.0(?= |$)")


class Text(Struct, frozen=True):
    """text: the whole program, every line ended as the dialect says. lines: (first, last) of each operation, from 1."""

    text: str
    lines: tuple[tuple[int, int], ...]


def write(program: Program, dialect: Dialect) -> Text:
    """The program as text for a control that speaks `dialect`.

    CannotMake: the control has no word for something, or its last digit or its bounds can not carry a move.
    BadInput: the program is not sound (no end, a cut without feed, a move that starts where the point is not).
    """
    program = fitted(program, dialect)
    steps = program.steps
    grid = Grid(dialect.numbers(inch=program.inch), program.inch, program.x_diameter)
    writer = Writer(program, dialect, grid, has_coolant=any(step.state.coolant for step in steps))
    for need in sorted(program.needs):
        writer.word(need)
    if not steps or any(isinstance(step, End) != (step is steps[-1]) for step in steps):
        raise BadInput("the program does not end where it should", right="Its last step, and no other, must be End")
    writer.header()
    lines = []
    for number, operation in enumerate(program.operations, start=1):
        first = len(writer.lines) + 1
        writer.section(operation, number)
        lines.append((first, len(writer.lines)))
    writer.close()
    ending = ENDINGS[dialect.lines.ending]
    return Text(ending.join(writer.lines) + ending, tuple(lines))


class Writer(Struct):
    """lines so far; said: what holds in this section, as printed; at, stated: the printed place, the axes it names;
    numbered: the last block number."""

    program: Program
    dialect: Dialect
    grid: Grid
    has_coolant: bool
    lines: list[str] = field(default_factory=list)
    said: dict[str, str] = field(default_factory=dict)
    at: Digits | None = None
    stated: set[str] = field(default_factory=set)
    tool: tuple[int, int] = (0, 0)
    numbered: int = 0

    # -- lines and words -------------------------------------------------------------------------------------------

    def word(self, meaning: str) -> str:
        """The dialect's word; CannotMake when it has none."""
        return word_of(self.dialect, meaning)

    def block(self, *words: str, label: bool = False, skip: bool = False) -> None:
        """A line of these words. label: a section begins with it; skip: a switch leaves it out."""
        line = " ".join(w for w in words if w)
        if not line:
            return
        rules = self.dialect.lines
        if rules.point != "14.0":
            line = _WHOLE.sub(rules.point[2:], line)
        if rules.numbered == "all" or (label and rules.numbered == "sections"):
            self.numbered += rules.number_step
            if self.numbered > MOST_NUMBER:
                right = 'number = "sections" under [lines], or a smaller number_step, is shorter'
                raise CannotMake(f"the program needs block numbers beyond {MOST_NUMBER}; {right}")
            line = f"N{self.numbered} {line}"
        if skip and rules.block_skip:
            line = f"/{line}"
        if len(line) > rules.width:
            raise CannotMake(
                f"the line {line!r} is longer than the control reads; width under [lines] allows {rules.width}"
            )
        self.lines.append(line)

    def comment(self, text: str) -> None:
        self.lines.extend(comment_lines(text, self.dialect.lines))

    def news(self, key: str, text: str) -> str:
        """The text when it is not what was said last under this key, else empty; it counts as said from here on."""
        if self.said.get(key) == text:
            return ""
        self.said[key] = text
        return text

    # -- header and sections ---------------------------------------------------------------------------------------

    def header(self) -> None:
        program, bounds = self.program, self.dialect.bounds
        if bounds.percent:
            self.lines.append("%")
        if bounds.letter:
            self.lines.append(f"{bounds.letter}{bounds.number:04}")
        for text in (program.title, *program.header):
            self.comment(text)
        if program.home:
            self.at = self.grid.digits(program.home)
            x, z = self.grid.x(self.at), self.grid.z(self.at)
            self.comment(starts_at(x, z, inch=program.inch, diameter=program.x_diameter))

    def close(self) -> None:
        if self.dialect.bounds.percent:
            self.lines.append("%")

    def section(self, operation: Operation, number: int) -> None:
        steps = operation.steps
        kind = " ".join(ascii_of(operation.kind).split())
        if kind:
            text = heading(number, kind, _tool_of(steps))
            lines = comment_lines(text, self.dialect.lines, heads=True)
            if len(lines) != 1 or kind_of(text) != kind:
                raise BadInput(f"{operation.kind!r} can not head a section of the program")
            self.lines += lines
        self.comment(operation.note)
        self.said.clear()
        self.stated.clear()
        self.modes()
        if feed := next((s.state.feed for s in steps if isinstance(s, Cut | ArcCut) and self.goes(s)), None):
            self.block(*self.feed(feed))
        rough = roughing_of(operation, self.dialect, self.grid)
        for item in (*rough.before, rough, *rough.after) if rough else items(steps, self.dialect, self.grid):
            match item:
                case Rough():
                    write_rough(self, item)
                case Pass():
                    write_pass(self, item)
                case WholeThread():
                    write_thread(self, item)
                case Pecks():
                    write_pecks(self, item)
                case _:
                    self.step(item)
        if self.said.get("compensation"):
            raise BadInput(f"{operation.kind!r} ends while the control compensates for the nose")

    def modes(self) -> None:
        """Everything that moves hang on but feed, tool and spindle."""
        words, program = self.dialect.words, self.program
        x_mode = "diameter" if program.x_diameter else "radius"
        if self.dialect.fixed_x:
            if self.dialect.fixed_x != x_mode:
                raise CannotMake(f"the dialect {self.dialect.name} reads X as a {self.dialect.fixed_x} only")
            x_mode = ""
        units = "inch" if program.inch else "millimetre"
        needed = [self.word(units), self.word(x_mode) if x_mode else ""]
        usual = [words.get(meaning, "") for meaning in ("absolute", "compensation_off")]
        zero = words["first_zero"] if self.dialect.tool.offsets == "work offset and tool table" else ""
        self.block(words.get("plane_zx", ""), needed[0], usual[0], needed[1], usual[1], zero, label=True)

    # -- steps -----------------------------------------------------------------------------------------------------

    def step(self, step: Step) -> None:
        match step:
            case Rapid() | Cut() | ArcCut() | ThreadCut():
                self.move(step)
            case ToolCall():
                self.comment(step.text)
                self.call_tool(step.state)
                self.running(step.state)
            case SpindleChange():
                self.spindle(step.state.spindle)
                # In a new section coolant that stays off is said with the first move: saying it here changes nothing.
                if step.state.coolant or "coolant" in self.said:
                    self.coolant(step.state)
            case Dwell():
                self.running(step.state)
                self.dwell(step.seconds)
            case Stop():
                self.running(step.state)
                self.comment(step.text)
                self.block(self.word("optional_stop" if step.optional else "stop"), skip=step.skip)
            case End():
                self.running(State())
                self.block(self.word("end"))

    def dwell(self, seconds: float) -> None:
        rules = self.dialect.dwell
        digits = math.ceil(
            sound(seconds, "a dwell") / rules.per_unit * 10**rules.decimals - 1e-6
        )  # never shorter than asked for
        text = fixed(digits, rules.decimals) if rules.decimals else str(digits)
        self.block(self.word("dwell"), rules.letter + text)
        if rules.letter == "F":
            self.said.pop("feed", None)  # no control is taken to tell one F from the other

    # -- state -----------------------------------------------------------------------------------------------------

    def call_tool(self, state: State) -> None:
        """Tool and offset, and what every control forgets with them: where the point is, and that the spindle turns."""
        rules = self.dialect.tool
        if not 0 <= state.tool <= rules.greatest:
            raise CannotMake(f"tool {state.tool} is none of the {rules.greatest} this dialect can call")
        for line in rules.call:
            self.block(line.format(tool=state.tool, offset=state.offset))
        if not rules.call:
            self.comment(in_post(state.tool))
        self.tool = (state.tool, state.offset)
        self.said.pop("motion", None)
        self.said["offset"] = "called"
        if not rules.offset_digits:
            self.said["sense"] = ""
            self.said.pop("speed", None)
        self.at = None
        self.stated.clear()

    def have_tool(self, state: State) -> None:
        """The tool and offset of a move, called when they are not the ones in force, said again in a new section."""
        if state.tool != self.tool[0]:
            if not self.dialect.tool.call:
                raise BadInput(f"tool {state.tool} moves, but no stop lets anybody fit it")
            self.call_tool(state)
        elif state.offset != self.tool[1] or (state.tool and "offset" not in self.said):
            for line in self.dialect.tool.again:
                self.block(line.format(tool=state.tool, offset=state.offset))
            if state.offset != self.tool[1]:
                self.at = None
                self.stated.clear()
            self.tool = (state.tool, state.offset)
            self.said["offset"] = "called"

    def running(self, state: State) -> None:
        """Spindle and coolant; coolant is said only in programs that use it at all."""
        self.spindle(state.spindle)
        self.coolant(state)

    def coolant(self, state: State) -> None:
        if self.has_coolant:
            self.block(self.news("coolant", self.word("coolant_on" if state.coolant else "coolant_off")))

    def spindle(self, spindle: Spindle | None) -> None:
        if spindle is None:
            if self.said.get("sense") != "":
                self.block(self.word("spindle_off"))
            self.said["sense"] = ""
            self.said.pop("speed", None)
            return
        sense = self.word("forward" if spindle.sense is Sense.FORWARD else "reverse")
        cap, speed = speed_words(spindle, self.dialect, self.grid)
        if self.dialect.speed.cap == "block":
            self.block(self.news("cap", cap))
        self.block(self.news("speed", speed), self.news("sense", sense))

    def feed(self, feed: Feed | None) -> tuple[str, str]:
        """(feed mode or empty, F or empty)."""
        if feed is None:
            raise BadInput("a move at feed has no feed")
        mode, feed_word = feed_words(feed, self.dialect, self.grid)
        new_mode = self.news("feed mode", mode)
        if new_mode:
            self.said.pop("feed", None)
        return new_mode, self.news("feed", feed_word)

    # -- moves -----------------------------------------------------------------------------------------------------

    def move(self, step: Move) -> None:
        """The move's block, after whatever its state needs; nothing when rounding leaves nothing of it."""
        here, end = self.standing(step), self.grid.digits(step.end)
        arc = self.arc(step, here, end) if isinstance(step, ArcCut) else ()
        letters = _changed(here, end) or ("XZ" if arc else "")
        if not letters:
            return
        self.have_tool(step.state)
        self.running(step.state)
        self.at = here
        if isinstance(step, Rapid) and self.leads_home(letters, end):
            self.block(self.word("home"), "U0.0" if letters == "X" else "W0.0")
            self.at = end
            self.stated.discard(letters)
            self.said.pop("motion", None)
            return
        if isinstance(step, Rapid):
            if step.state.compensation:
                self.state_place(here)
            self.travel("rapid", letters, end, compensation=self.compensation(step))
            return
        self.state_place(here)
        if isinstance(step, ThreadCut):
            self.thread(step, here, end, letters)
            return
        mode, feed = self.feed(step.state.feed)
        if mode:
            self.block(mode, feed)
            feed = ""
        self.feeding(step, letters, end, arc, feed, compensation=self.compensation(step))

    def leads_home(self, letters: str, end: Digits) -> bool:
        """Whether a rapid goes home along one axis, where the control has a word for it: X first, then Z."""
        if self.dialect.tool.change_point != "home" or not self.program.home:
            return False
        home = self.grid.digits(self.program.home)
        return end[1] == home[1] and (letters == "X" or (letters == "Z" and end[0] == home[0]))

    def feeding(
        self,
        step: Move,
        letters: str,
        end: Digits,
        arc: tuple[str, ...],
        *more: str,
        compensation: str = "",
        label: bool = False,
    ) -> None:
        """The block of a line or, with words for its centre or radius, an arc."""
        meaning = "line"
        if isinstance(step, ArcCut) and arc:
            meaning = "arc_counter" if step.ccw != self.dialect.arcs.mirrored else "arc_clockwise"
        self.travel(meaning, letters, end, *arc, *more, compensation=compensation, label=label)

    def arc(self, step: ArcCut, here: Digits, end: Digits) -> tuple[str, ...]:
        """The words that say where the arc runs; none when rounding leaves a line of it."""
        if self.dialect.arcs.form == "radius":
            word = radius_word(step, here, end, self.grid)
            return (word,) if word else ()
        words = arc_words(step, here, end, self.grid)
        return (f"I{words.i}", f"K{words.k}") if words else ()

    def thread(self, step: ThreadCut, here: Digits, end: Digits, letters: str) -> None:
        """A move in step with the spindle, its word, its lead and what follows stated in full: neither motion nor feed
        is taken to hold after it."""
        rules = self.dialect.thread
        self.in_step(step)
        lead, angle = lead_word(step, here, end, grid=self.grid, rules=rules), angle_word(step, rules)
        if rules.lead_letter == "F":
            self.block(self.news("feed mode", self.word("per_turn")))
        else:
            self.said.pop("feed mode", None)
        self.said.pop("feed", None)
        self.said.pop("motion", None)
        self.travel("thread", letters, end, lead, angle)

    def in_step(self, step: ThreadCut) -> None:
        """BadInput where the spindle's speed is not fixed, or the nose is compensated."""
        spindle = step.state.spindle
        if spindle is None or not spindle.rpm:
            raise BadInput("a thread is cut in step with a spindle that turns at a fixed speed, which is not stated")
        if step.state.compensation:
            raise BadInput("a thread is cut while the control compensates for the nose")

    def goes(self, step: Move) -> bool:
        """Whether the move's ends differ in print, or it goes once around."""
        around = isinstance(step, ArcCut) and step.start == step.end
        return around or self.grid.digits(step.start) != self.grid.digits(step.end)

    def compensation(self, step: Move) -> str:
        """The word for nose compensation when it changes here, on the block that leads in or out; else empty."""
        meant = step.state.compensation
        said, word = self.said.get("compensation", ""), ""
        if meant and not self.dialect.words.get("compensation_off"):
            word = self.word("compensation_off")  # no way to end it: the error says so
        if meant:
            word = self.word(f"compensation_{meant.side}")
        if word == said:
            return ""
        if isinstance(step, ArcCut) or (word and said):
            raise BadInput("nose compensation changes where no straight move leads in or out")
        self.said["compensation"] = word
        if meant:
            self.comment(nose_words(meant, self.dialect))
        return word or self.word("compensation_off")

    def travel(
        self, meaning: str, letters: str, end: Digits, *more: str, compensation: str = "", label: bool = False
    ) -> None:
        places = self.grid.words(end, letters)
        if self.dialect.axes.increments == "write" and self.at and self.stated.issuperset(letters):
            places = self.grid.words((end[0] - self.at[0], end[1] - self.at[1]), letters, names="UW")
        self.block(compensation, self.news("motion", self.word(meaning)), *places, *more, label=label)
        self.stated.update(letters)
        self.at = end

    def standing(self, step: Move) -> Digits:
        """Where the point is in print; BadInput when the step starts elsewhere."""
        start = self.grid.digits(step.start)
        if self.at is None or (step.state.tool, step.state.offset) != self.tool:
            self.at = start
        if max(abs(s - a) for s, a in zip(start, self.at, strict=True)) > 1:
            was = f"X{self.grid.x(self.at)} Z{self.grid.z(self.at)}"
            raise BadInput(f"a move starts at X{self.grid.x(start)} Z{self.grid.z(start)}, but the point is at {was}")
        return self.at

    def state_place(self, here: Digits) -> None:
        """Says where a cut starts along the axes that this section has not named yet."""
        if missing := "".join(letter for letter in "XZ" if letter not in self.stated):
            self.travel("rapid", missing, here)


def _changed(a: Digits, b: Digits) -> str:
    """The axes along which two printed places differ."""
    return "X" * (a[1] != b[1]) + "Z" * (a[0] != b[0])


def _tool_of(steps: tuple[Step, ...]) -> int:
    """The tool that a section works with: that of its last call, else of its first step."""
    calls = [step.state.tool for step in steps if isinstance(step, ToolCall)]
    return calls[-1] if calls else steps[0].state.tool if steps else 0
