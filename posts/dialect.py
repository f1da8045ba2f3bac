"""A dialect: everything that differs from one control to another, read from a commented TOML file.

A dialect names words (`rapid = "G00"`), limits and number formats; it holds no rule. Rules stand in the writer and the
reader, and are the same for every dialect.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from posts.meanings import GROUPS, NEEDED
from toolpath.errors import BadInput
from toolpath.quantity import nearest
from toolpath.reading import decode, load, placed

Code = tuple[str, int]
"""Letter and ten times the number: `("G", 911)` is G91.1."""

Decimals = Annotated[int, Meta(ge=0, le=6)]
Above0 = Annotated[float, Meta(gt=0.0)]
TipNumber = Annotated[int, Meta(ge=0, le=9)]
WAYS = ("-z -x", "-z +x", "+z -x", "+z +x", "-z", "+z", "-x", "+x", "centre")
"""Where an imaginary tip can lie from its nose centre."""

LineLength = Annotated[int, Meta(ge=60, le=1000)]

_CODE = re.compile(r"([GM])(\d{1,2})(?:\.(\d))?")


class Speed(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How the cap on spindle speed under constant surface speed is said."""

    cap: Literal["word", "block", "none"]
    cap_letter: str = ""
    cap_code: str = ""


class ToolWords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Lines that call a tool, as templates over `tool` and `offset`."""

    call: tuple[str, ...]
    again: tuple[str, ...]
    offset_digits: Annotated[int, Meta(ge=0, le=2)] = 0
    needs_offset: bool = True
    greatest: Annotated[int, Meta(ge=1, le=9999)] = 99


class DwellWord(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """letter: the word that carries the time; per_unit: seconds in one of its units."""

    letter: Literal["P", "Q", "E"] = "P"
    per_unit: Above0 = 1.0
    decimals: Decimals = 2


class Arcs(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """mirrored: the control calls counter-clockwise (z right, x up) by the clockwise word."""

    mirrored: bool = False


class ThreadWords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How a move in step with the spindle is said, once there is a word for it.

    lead_letter:  the word that carries the lead; F is taken in feed per turn only, and stays as a feed for what follows
    lead_along:   `line`: per turn along the move; `longer axis`: along the axis that goes farther
    angle_letter: the word for the angle from the index mark, "" for none; per_degree: its units in a degree
    continues:    a second such move right after the first goes on in step; else it waits for the index mark again
    """

    lead_letter: Literal["K", "F"] = "K"
    lead_along: Literal["line", "longer axis"] = "line"
    angle_letter: Literal["Q", "A", ""] = ""
    per_degree: Above0 = 1000.0
    continues: bool = False


class Lines(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """width: longest line written; longest: longest line read, both in characters without the line's end."""

    width: LineLength = 70
    longest: LineLength = 256
    semicolon: bool = False


class Numbers(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Digits after the point by kind of word; arc_gap and greatest in the unit of the text (mm or inch).

    lead: digits of a thread's lead
    """

    position: Decimals
    centre: Decimals
    per_turn: Decimals
    per_minute: Decimals
    surface: Decimals
    arc_gap: Above0
    greatest: Above0
    lead: Decimals = 4


class Dialect(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One control's way of saying a turning program. `words` maps a meaning (`posts.meanings`) to its code."""

    name: str
    about: str
    words: dict[str, str]
    speed: Speed
    tool: ToolWords
    millimetre: Numbers
    inch: Numbers
    refused: dict[str, str] = {}
    dwell: DwellWord = DwellWord()
    arcs: Arcs = Arcs()
    thread: ThreadWords = ThreadWords()
    lines: Lines = Lines()
    fixed_x: Literal["diameter", "radius", ""] = ""
    tips: dict[str, TipNumber] = {}

    def numbers(self, *, inch: bool) -> Numbers:
        return self.inch if inch else self.millimetre

    def codes(self) -> dict[Code, str]:
        """Meaning of every code that is read."""
        found = {code_of(text): meaning for meaning, text in self.words.items()}
        if self.speed.cap == "block":
            found[code_of(self.speed.cap_code)] = "speed_cap"
        if self.arcs.mirrored:
            swap = {"arc_clockwise": "arc_counter", "arc_counter": "arc_clockwise"}
            found = {code: swap.get(meaning, meaning) for code, meaning in found.items()}
        return found

    def reasons(self) -> dict[Code, str]:
        """Why a code that is known is not read."""
        return {code_of(text): why for text, why in self.refused.items()}


def code_of(text: str) -> Code:
    """`"G91.1"` as `("G", 911)`; BadInput for anything that is no G or M code."""
    found = _CODE.fullmatch(text)
    if not found:
        raise BadInput(f"{text!r} is no code", right="A code is G or M with up to two digits, as G01 or G91.1")
    letter, whole, tenth = found.groups()
    return (letter, 10 * int(whole) + int(tenth or 0))


def built_in() -> list[str]:
    """Names of the dialects that come with the program."""
    return sorted(p.stem for p in Path(__file__).parent.glob("*.toml"))


def load_dialect(name: str) -> Dialect:
    """A dialect by its name (`g95`), or by the path of a file that ends in `.toml`. BadInput when there is none."""
    if name.endswith(".toml"):
        path = Path(name)
    elif name in built_in():
        path = Path(__file__).with_name(f"{name}.toml")
    else:
        raise BadInput(f"there is no dialect {name!r}", right=nearest(name, built_in()))
    dialect = decode(load(path), Dialect, file=str(path))
    with placed(path):
        _check(dialect)
    return dialect


def _check(dialect: Dialect) -> None:
    """BadInput where the file's words do not fit together."""
    seen: dict[Code, str] = {}
    for table in (dialect.words, dialect.refused):
        for key, value in table.items():
            code_text, place = (value, f"words.{key}") if table is dialect.words else (key, "refused")
            if table is dialect.words and key not in GROUPS:
                raise BadInput(f"{key!r} is nothing a program can say", where=place, right=nearest(key, sorted(GROUPS)))
            try:
                code = code_of(code_text)
            except BadInput as error:
                raise error.at(where=place) from None
            if code in seen:
                raise BadInput(f"{code_text} is given twice, here and in {seen[code]}", where=place)
            seen[code] = place
    for meaning in NEEDED:
        if meaning not in dialect.words:
            raise BadInput(f"the word for {meaning!r} is missing", where="words")
    _check_speed(dialect, seen)
    _check_templates(dialect)
    _check_tips(dialect)
    if not dialect.fixed_x and not {"diameter", "radius"} <= set(dialect.words):
        raise BadInput("X is neither fixed nor switched", right='Give fixed_x = "diameter", or both words')


def _check_speed(dialect: Dialect, seen: dict[Code, str]) -> None:
    speed = dialect.speed
    if speed.cap == "word" and not re.fullmatch("[A-EQ]", speed.cap_letter):
        raise BadInput(f"{speed.cap_letter!r} can not carry the speed cap", where="speed.cap_letter")
    if speed.cap == "block":
        try:
            code = code_of(speed.cap_code)
        except BadInput as error:
            raise error.at(where="speed.cap_code") from None
        if code in seen:
            raise BadInput(f"{speed.cap_code} is given twice, here and in {seen[code]}", where="speed.cap_code")


def _check_templates(dialect: Dialect) -> None:
    for key, lines in (("call", dialect.tool.call), ("again", dialect.tool.again)):
        for line in lines:
            try:
                line.format(tool=1, offset=1)
            except (KeyError, IndexError, ValueError):
                right = "Use {tool} and {offset}, as in T{tool:02}{offset:02}"
                raise BadInput(f"{line!r} can not be filled in", where=f"tool.{key}", right=right) from None


def _check_tips(dialect: Dialect) -> None:
    """A table of tips numbers all nine ways, each differently: half a table is one copied wrong."""
    for way in dialect.tips:
        if way not in WAYS:
            raise BadInput(f"{way!r} is no way a tip can lie", where="tips", right=nearest(way, WAYS))
    if dialect.tips and len(set(dialect.tips.values())) != len(WAYS):
        raise BadInput("nine ways need nine different numbers", where="tips", right=f"Number {', '.join(WAYS)}")
