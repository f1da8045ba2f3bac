"""Whether the keys of a dialect's file fit together: a contradiction is BadInput that names its key and the remedy."""

from __future__ import annotations

import re
from string import ascii_uppercase, digits

from posts.dialect import WAYS, Code, Dialect, code_of
from posts.meanings import GROUPS, NEEDED
from toolpath.errors import BadInput
from toolpath.quantity import nearest

MUST_STAND = frozenset(ascii_uppercase + digits + " .-+()")
"""Characters that no program can do without."""


CYCLE_WORDS = {
    "thread pass": ("thread_cycle",),
    "thread": ("threading",),
    "rough": ("roughing",),
    "peck": ("peck", "chip_break"),
}
"""What is written as a cycle, by the words of which it needs one."""


def check(dialect: Dialect) -> None:
    """BadInput where the file's words do not fit together."""
    seen = _codes(dialect)
    for meaning in NEEDED:
        if meaning not in dialect.words:
            raise BadInput(f"the word for {meaning!r} is missing", where="words")
    if dialect.arcs.form != "chords" and not {"arc_clockwise", "arc_counter"} <= set(dialect.words):
        right = 'Give the words arc_clockwise and arc_counter, or form = "chords"'
        raise BadInput("arcs are written, but the words for them are missing", where="arcs.form", right=right)
    if not dialect.fixed_x and not {"diameter", "radius"} <= set(dialect.words):
        raise BadInput("X is neither fixed nor switched", right='Give fixed_x = "diameter", or both words')
    _check_speed(dialect, seen)
    _check_tool(dialect)
    _check_letters(dialect)
    _check_feeds(dialect)
    _check_lines(dialect)
    _check_tips(dialect)
    _check_cycles(dialect)


def _codes(dialect: Dialect) -> dict[Code, str]:
    """Every code with the key that gives it; BadInput for one that is no code, or given twice."""
    seen: dict[Code, str] = {}
    for table in (dialect.words, dialect.refused):
        for key, value in table.items():
            code_text, place = (value, f"words.{key}") if table is dialect.words else (key, "refused")
            if table is dialect.words and key not in GROUPS:
                raise BadInput(f"{key!r} is nothing a program can say", where=place, right=nearest(key, sorted(GROUPS)))
            code = _code(code_text, place)
            if code in seen:
                raise BadInput(f"{code_text} is given twice, here and in {seen[code]}", where=place)
            seen[code] = place
    return seen


def _code(text: str, place: str) -> Code:
    try:
        return code_of(text)
    except BadInput as error:
        raise error.at(where=place) from None


def _check_speed(dialect: Dialect, seen: dict[Code, str]) -> None:
    speed = dialect.speed
    if speed.cap == "word" and not re.fullmatch("[A-EQ]", speed.cap_letter):
        raise BadInput(f"{speed.cap_letter!r} can not carry the speed cap", where="speed.cap_letter")
    if speed.cap == "block":
        code = _code(speed.cap_code, "speed.cap_code")
        if code in seen:
            raise BadInput(f"{speed.cap_code} is given twice, here and in {seen[code]}", where="speed.cap_code")
    if "surface_speed" in dialect.words and "fixed_speed" not in dialect.words:
        right = "Give the word fixed_speed, or leave surface_speed out"
        raise BadInput("constant surface speed could not be ended", where="words.surface_speed", right=right)


def _check_tool(dialect: Dialect) -> None:
    tool = dialect.tool
    for key, lines in (("call", tool.call), ("again", tool.again)):
        for line in lines:
            try:
                line.format(tool=1, offset=1)
            except (KeyError, IndexError, ValueError):
                right = "Use {tool} and {offset}, as in T{tool:02}{offset:02}"
                raise BadInput(f"{line!r} can not be filled in", where=f"tool.{key}", right=right) from None
    if (tool.offsets == "none") != (not tool.call):
        right = 'Without words for a tool write call = [], again = [] and offsets = "none"'
        raise BadInput("offsets live in a table only where a word calls the tool", where="tool.offsets", right=right)
    if tool.offsets == "none" and (tool.again or tool.needs_offset or tool.offset_digits):
        right = "Write again = [], needs_offset = false and no offset_digits"
        raise BadInput("there are no offsets to call", where="tool.offsets", right=right)
    if tool.change_point == "home" and not ("home" in dialect.words and dialect.axes.increments != "none"):
        right = 'Give the word home and increments = "read" under [axes], or change_point = "place"'
        raise BadInput("a tool goes home by its word beside U0 and W0", where="tool.change_point", right=right)
    if tool.offsets == "work offset and tool table" and "first_zero" not in dialect.words:
        right = 'Give the word first_zero, as "G54"'
        raise BadInput("there is no word for the work offset", where="tool.offsets", right=right)


def _check_letters(dialect: Dialect) -> None:
    """One letter with two uses that the same block could mean."""
    increments = {"U", "W"} if dialect.axes.increments != "none" else set()
    if dialect.dwell.letter in increments - {"U"} or (dialect.dwell.letter == "U" and not increments):
        raise BadInput("U is a time only where it is an increment too", where="dwell.letter", right="Use P or X")
    if increments and {"absolute", "incremental"} & set(dialect.words):
        right = 'Leave the words absolute and incremental out, or write increments = "none"'
        raise BadInput("U and W are increments only where X and Z are absolute", where="axes.increments", right=right)
    if dialect.speed.cap == "word" and dialect.speed.cap_letter == dialect.tool.offset_letter:
        letter = dialect.speed.cap_letter
        raise BadInput(f"{letter} would be the offset and the speed cap", where="tool.offset_letter")


def _check_feeds(dialect: Dialect) -> None:
    words = dialect.words
    if "thread" in words and dialect.thread.lead_letter == "F" and "per_turn" not in words:
        right = 'Give the word per_turn, or lead_letter = "K"'
        raise BadInput("F is a lead in feed per turn only", where="thread.lead_letter", right=right)
    if "surface_speed" in words and "per_turn" not in words:
        right = "Give the word per_turn, or leave surface_speed out"
        raise BadInput(
            "feed per minute does not go with a speed that changes", where="words.surface_speed", right=right
        )


def _check_lines(dialect: Dialect) -> None:
    lines = dialect.lines
    if lines.width > lines.longest:
        right = f"Let width be at most {lines.longest}"
        raise BadInput("a line would be written that is not read", where="lines.width", right=right)
    for char in lines.forbidden:
        if char in MUST_STAND:
            raise BadInput(f"no program can do without {char!r}", where="lines.forbidden")
    if lines.point == "14" and lines.pointless == "refused":
        right = 'Write point = "14.0"'
        raise BadInput("numbers would be written that are not read", where="lines.point", right=right)


def _check_tips(dialect: Dialect) -> None:
    """A table of tips numbers all nine ways, each differently: half a table is one copied wrong."""
    for way in dialect.tips:
        if way not in WAYS:
            raise BadInput(f"{way!r} is no way a tip can lie", where="tips", right=nearest(way, WAYS))
    if dialect.tips and len(set(dialect.tips.values())) != len(WAYS):
        raise BadInput("nine ways need nine different numbers", where="tips", right=f"Number {', '.join(WAYS)}")


def _check_cycles(dialect: Dialect) -> None:
    """What is to be written as a cycle has its word, and what that word needs."""
    words, rules = dialect.words, dialect.cycles
    for name in rules.write:
        needed = CYCLE_WORDS[name]
        if not any(word in words for word in needed):
            right = f"Give the word {' or '.join(needed)} under [words], or leave {name!r} out"
            raise BadInput(f"there is no word to write {name!r} by", where="cycles.write", right=right)
    if "rough" in rules.write and dialect.lines.numbered == "none":
        right = 'Write numbered = "sections" under [lines], or leave "rough" out'
        raise BadInput(
            "a contour is named by its block numbers, and none are written", where="cycles.write", right=right
        )
    pecks = [word for word in ("peck", "chip_break") if word in words]
    if pecks and rules.pecking == "return level" and not {"plane_xy", "plane_zx"} <= set(words):
        right = 'Give the words plane_xy and plane_zx, or pecking = "two blocks"'
        raise BadInput(
            f"{words[pecks[0]]} drills along Z in the plane of X and Y only", where="cycles.pecking", right=right
        )
    if ("roughing" in words) != ("finishing" in words):
        right = "Give both words, roughing and finishing, or neither"
        raise BadInput(
            "a contour that is roughed could not be finished, or the other way round", where="words", right=right
        )
