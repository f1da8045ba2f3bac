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

CYCLES_ELSEWHERE = ("G70", "G71")
"""Units by the standard's list (EIA, DIN 66025), a finishing and a roughing cycle on many turning controls (COURSE)."""

_CODE = re.compile(r"([GM])(\d{1,2})(?:\.(\d))?")


class Speed(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How the cap on spindle speed under constant surface speed is said."""

    cap: Literal["word", "block", "none"]
    cap_letter: str = ""
    cap_code: str = ""


class ToolWords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Lines that call a tool, as templates over `tool` and `offset`; none: a person fits it at a stop and sets zero.

    offset_digits: last digits of T that name the offset; above 0, T changes the tool by itself
    offset_letter: the word that names the offset otherwise, beside the code for `offset` or, without one, by itself
    change_point:  how a tool goes to where it is changed: by rapids to a `place`, or `home`, by the word for it, one
                   axis after the other; where home lies is what the header says of where the first tool stands
    offsets:       where they live; `work offset and tool table` states the first zero in every section
    """

    call: tuple[str, ...]
    again: tuple[str, ...]
    offset_digits: Annotated[int, Meta(ge=0, le=2)] = 0
    offset_letter: Literal["H", "D"] = "H"
    offsets: Literal["tool table", "work offset and tool table", "none"] = "tool table"
    change_point: Literal["place", "home"] = "place"
    needs_offset: bool = True
    greatest: Annotated[int, Meta(ge=1, le=9999)] = 99


class DwellWord(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """letter: the word that carries the time; per_unit: seconds in one of its units."""

    letter: Literal["P", "Q", "E", "X", "U", "F"] = "P"
    per_unit: Above0 = 1.0
    decimals: Decimals = 2


class Arcs(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How arcs are written; read is whatever there are words for.

    form:     `centre`: I and K; `radius`: R, arcs of at most a quarter turn each; `chords`: lines
    chord:    mm, how far a chord may lie from its arc
    mirrored: the control calls counter-clockwise (z right, x up) by the clockwise word
    """

    form: Literal["centre", "radius", "chords"] = "centre"
    chord: Annotated[float, Meta(ge=0.0001, le=0.001)] = 0.0004
    mirrored: bool = False


class AxisWords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """increments: U and W are increments beside absolute X and Z: read where they stand, or written as well.

    plane_fixed: the control knows no plane but that of Z and X, so that arcs need no word for it
    """

    increments: Literal["none", "read", "write"] = "none"
    plane_fixed: bool = False


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


class Cycles(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Blocks that stand for many moves. Each is read where there is a word for it, and written where `write` names it.

    write:     `thread pass`: there, along and back; `thread`: every pass of a thread; `rough`: roughing with the blocks
               of its contour; `peck`: drilling. What a cycle can not say move for move stays in single moves
    threading: `two blocks`: P Q R, then X Z R P Q F; `one block`: X Z K D I F A; `drive line`: P Z I J K R Q H, from
               the line that the tool stands on. P and Q of two blocks count last digits of Z
    pecking:   `two blocks`: R, then Z Q F, Q in last digits; `return level`: Z R Q, across the plane of X and Y
    peck_back: mm before the last floor at which feed begins again, where the block does not say it
    """

    write: tuple[Literal["thread pass", "thread", "rough", "peck"], ...] = ()
    threading: Literal["two blocks", "one block", "drive line"] = "two blocks"
    pecking: Literal["two blocks", "return level"] = "two blocks"
    peck_back: Annotated[float, Meta(gt=0.0, le=5.0)] = 0.254


class Lines(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a line may be.

    width:      longest line written; longest: longest line read; both in characters without the line's end
    comments:   how they are marked; the first of two is written
    comment_longest: characters of a comment's text that are written, 0 for as many as fit
    capitals:   the control reads capital letters only
    forbidden:  characters that may stand nowhere, not even in a comment
    ending:     what ends a line
    numbered:   which blocks get a block number: a section's first is then its label
    point:      how a whole number of mm is written
    block_skip: the control has a switch that leaves out blocks beginning with `/`; else they are written to be obeyed
    pointless:  how a length without a point is read; where controls count last digits, better not at all. 0 is 0
    """

    width: LineLength = 70
    longest: LineLength = 256
    comments: Literal["()", ";", "() ;", "; ()"] = "()"
    comment_longest: Annotated[int, Meta(ge=0, le=1000)] = 0
    capitals: bool = False
    forbidden: str = ""
    ending: Literal["lf", "crlf"] = "lf"
    numbered: Literal["none", "sections", "all"] = "none"
    block_skip: bool = True
    number_step: Annotated[int, Meta(ge=1, le=100)] = 10
    point: Literal["14.0", "14.", "14"] = "14.0"
    pointless: Literal["whole units", "refused"] = "whole units"


class Bounds(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """percent: a lone `%` opens and closes what is written; letter, number: of the program, "" for no number."""

    percent: bool = False
    letter: Literal["O", ""] = ""
    number: Annotated[int, Meta(ge=1, le=9999)] = 1


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
    cycles: Cycles = Cycles()
    lines: Lines = Lines()
    axes: AxisWords = AxisWords()
    bounds: Bounds = Bounds()
    fixed_x: Literal["diameter", "radius", ""] = ""
    tips: dict[str, TipNumber] = {}

    def numbers(self, *, inch: bool) -> Numbers:
        return self.inch if inch else self.millimetre

    @property
    def surface_speed(self) -> bool:
        """Whether constant surface speed can be said and limited."""
        return "surface_speed" in self.words and self.speed.cap != "none"

    @property
    def unit_cycles(self) -> tuple[str, ...]:
        """Its words for units that are contour cycles on other controls."""
        units = (self.words.get("inch", ""), self.words.get("millimetre", ""))
        return tuple(word for word in units if word in CYCLES_ELSEWHERE)

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
    from posts.dialect_checks import check  # it knows the keys above

    with placed(path):
        check(dialect)
    return dialect
