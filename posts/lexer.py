"""One line of program text as words with their columns, by the line rules of NISTIR 6556 (section 3.3).

A line is: optional `/`, optional N word, then words and comments in any order; case, spaces and tabs count only inside
comments. Not read here, and refused with a reason: parameters `#`, expressions `[`, and anything that is not ASCII.
Faults are BadInput whose `where` names the column, from 1.
"""

from __future__ import annotations

import re

from msgspec import Struct

from posts.dialect import Lines
from toolpath.errors import BadInput

LARGEST = 1e9  # no word of a turning program is larger; keeps all arithmetic finite
LONGEST_BLOCK_NUMBER = 5  # digits, NISTIR 6556

_WORD = re.compile(r"[ \t]*([A-Za-z])([-+.0-9 \t]*)")
_BLANK = re.compile(r"[ \t]*")
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
_SPACES = str.maketrans("", "", " \t")
_PRINTABLE = re.compile(r"[\t\x20-\x7e]*")


class Word(Struct, frozen=True):
    """letter is upper case; column counts from 1; digits as they stand in the text, without spaces."""

    letter: str
    value: float
    column: int
    digits: str

    def __str__(self) -> str:
        return self.letter + self.digits


class Tokens(Struct, frozen=True):
    """What stands in a line. comment: None when there is none; the last one counts. percent: the line is a lone `%`."""

    words: tuple[Word, ...] = ()
    comment: str | None = None
    skip: bool = False
    percent: bool = False

    @property
    def blank(self) -> bool:
        return not (self.words or self.percent or self.skip or self.comment is not None)


def fault(column: int, what: str, right: str = "") -> BadInput:
    """A BadInput that knows its column; the reader adds file and line."""
    return BadInput(what, where=f"column {column}", right=right)


def tokens_of(raw: str, rules: Lines) -> Tokens:
    """The words of a line without its line end. BadInput, with the column, for what the rules do not allow."""
    if len(raw) > rules.longest:
        right = f"{rules.longest} are the most a control reads"
        raise fault(rules.longest + 1, f"the line has {len(raw)} characters", right)
    clean = _PRINTABLE.match(raw)
    at = clean.end() if clean else 0
    if at < len(raw):
        what = f"the character {raw[at]!a} is not plain text"
        raise fault(at + 1, what, "Only printable ASCII stands in a program")
    _check_characters(raw, rules)
    round_, semicolon = "()" in rules.comments, ";" in rules.comments
    at = _past_blanks(raw, 0)
    skip = raw.startswith("/", at)
    at += skip
    if raw.strip() == "%":
        return Tokens(percent=True)
    words: list[Word] = []
    comment: str | None = None
    while at < len(raw):
        if found := _WORD.match(raw, at):
            words.append(_word(found, first=not words))
            at = found.end()
        elif (at := _past_blanks(raw, at)) == len(raw):
            break
        elif raw[at] == "(" and round_:
            at, comment = _comment(raw, at)
        elif raw[at] == ";" and semicolon:
            at, comment = len(raw), raw[at + 1 :].removeprefix(" ")
        else:
            raise fault(at + 1, *_stranger(raw[at]))
    return Tokens(tuple(words), comment, skip)


def _check_characters(raw: str, rules: Lines) -> None:
    for char in rules.forbidden:
        if (at := raw.find(char)) >= 0:
            what = f"the character {char!r} may stand nowhere in this control's text"
            raise fault(
                at + 1, what, "Leave it out, in comments too: some controls take it out of the text and act on it"
            )
    if rules.capitals and (at := next((k for k, c in enumerate(raw) if c.islower()), -1)) >= 0:
        raise fault(at + 1, f"{raw[at]!r} is no capital letter", "This control reads capital letters only")


def _past_blanks(raw: str, at: int) -> int:
    found = _BLANK.match(raw, at)
    return found.end() if found else at


def _comment(raw: str, at: int) -> tuple[int, str]:
    """(place after it, its text) of the comment that opens at `at`."""
    close = raw.find(")", at)
    if close < 0:
        raise fault(at + 1, "the comment is not closed", "End it with ')' on the same line")
    inside = raw[at + 1 : close]
    if "(" in inside:
        column = at + 2 + inside.index("(")
        raise fault(column, "a comment opens inside a comment", "Use [ ] inside comments, and close each one")
    return close + 1, inside


def _word(found: re.Match[str], *, first: bool) -> Word:
    letter, column = found.group(1).upper(), found.start(1) + 1
    digits = found.group(2)
    if " " in digits or "\t" in digits:
        digits = digits.translate(_SPACES)
    if not digits:
        raise fault(column, f"the letter {letter} has no number after it")
    if letter == "N":
        if not first:
            raise fault(column, "the block number stands after other words", "N comes first in its line")
        if not (digits.isdigit() and len(digits) <= LONGEST_BLOCK_NUMBER):
            raise fault(column, f"N{digits} is no block number", "Give up to five digits and nothing else")
    if not _NUMBER.fullmatch(digits):
        raise fault(column, f"{letter}{digits} has no sound number", "One sign, digits, one point: X-12.5")
    value = float(digits)
    if abs(value) > LARGEST:
        raise fault(column, f"{letter}{digits[:20]} is too large to mean anything")
    return Word(letter, value, column, digits)


def _stranger(char: str) -> tuple[str, str]:
    known = {
        "#": ("parameters are not read", "Write the number itself"),
        "[": ("expressions are not read", "Write the number itself"),
        ";": ("';' is no comment here", "Put comments in ( )"),
        "(": ("'(' opens no comment here", "Put comments after ';'"),
        ")": ("')' closes no comment", "Open the comment with '('"),
        "%": ("'%' stands inside a line", "It stands alone on the first and the last line"),
        "/": ("'/' stands inside a line", "It stands before everything else in its line"),
    }
    return known.get(char, (f"{char!r} begins no word", "A word is a letter and a number"))
