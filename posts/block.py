"""One block: its words by letter, its codes by meaning, checked against everything that can be said without the
control's state: unknown and refused codes, two codes of one group, repeated letters, words that no code uses.

Rules: NISTIR 6556 section 3.3 and the error list of its interpreter; what a dialect adds is named in its file.
"""

from __future__ import annotations

from msgspec import Struct, field

from posts.cycle_letters import cycle_letters
from posts.dialect import Code, Dialect
from posts.lexer import Tokens, Word, fault
from posts.meanings import CYCLES, GROUPS

MOST_M_WORDS = 4  # NISTIR 6556
WHOLE = 0.0001  # how far a number that must be whole may be off, NISTIR 6556

MOTION = frozenset({"rapid", "line", "arc_clockwise", "arc_counter", "thread", "thread_cycle"})
AXES = ("X", "Z")
INCREMENTS = {"X": "U", "Z": "W"}
_OTHER_AXES = {
    "Y": "a lathe program has no Y",
    "J": "J is the arc centre along Y; turning arcs have I and K",
    "U": "U is an increment on some controls and an axis of its own on others; use X with the incremental word",
    "W": "W is an increment on some controls and an axis of its own on others; use Z with the incremental word",
    "O": "program numbers are not read by this dialect",
    "T": "no word calls a tool on this control; a person fits it at a stop, and a comment says (now in the post: T1)",
}


MOVING = frozenset("XZUW")
"""Letters that lead somewhere, in a dialect that reads them."""


class Grammar(Struct, frozen=True):
    """A dialect made ready for reading. letters: of its blocks; cycles: those of a block with that cycle's code."""

    dialect: Dialect
    codes: dict[Code, str]
    reasons: dict[Code, str]
    letters: frozenset[str]
    cycles: dict[str, frozenset[str]]

    @classmethod
    def of(cls, dialect: Dialect) -> Grammar:
        letters = {*"FGIKMNPRSXZ", dialect.dwell.letter, *dialect.thread.angle_letter, *dialect.bounds.letter}
        if dialect.speed.cap == "word":
            letters.add(dialect.speed.cap_letter)
        if dialect.tool.call:
            letters |= {"T"} if dialect.tool.offset_digits else {"T", dialect.tool.offset_letter}
        if dialect.axes.increments != "none":
            letters |= {"U", "W"}
        return cls(dialect, dialect.codes(), dialect.reasons(), frozenset(letters), cycle_letters(dialect))


class Block(Struct):
    """words: every letter but G, M and N. codes: meaning -> the word that says it. motion, cycle: the one named, or "".

    number: of the block; -1 for none
    """

    words: dict[str, Word] = field(default_factory=dict)
    codes: dict[str, Word] = field(default_factory=dict)
    motion: str = ""
    cycle: str = ""
    number: int = -1

    @property
    def has_axes(self) -> bool:
        return not self.words.keys().isdisjoint(MOVING)

    def column(self, *names: str) -> int:
        """Column of the first of these letters or meanings that stands in the block; 1 when none does."""
        found = (self.words.get(n) or self.codes.get(n) for n in names)
        return next((w.column for w in found if w), 1)


def block_of(tokens: Tokens, grammar: Grammar) -> Block:
    """The block of a line. BadInput, with the column, for what no state of the control could make right."""
    block = Block()
    groups: dict[str, Word] = {}
    m_words = 0
    for word in tokens.words:
        if word.letter in "GM":
            m_words += word.letter == "M"
            if m_words > MOST_M_WORDS:
                raise fault(word.column, "more than four M words stand in one block")
            _add_code(block, word, groups=groups, grammar=grammar)
    for word in tokens.words:
        if word.letter == "N":
            if word is not tokens.words[0]:
                raise fault(word.column, "a second block number stands in the block")
            block.number = int(word.value)
        elif word.letter not in "GM":
            _add_word(block, word, grammar)
    return block


def whole(word: Word, *, most: int) -> int:
    """The value of a word that must be a whole number from 0 to `most`."""
    value = round(word.value)
    if abs(word.value - value) > WHOLE or not 0 <= value <= most:
        raise fault(word.column, f"{word} must be a whole number from 0 to {most}")
    return value


def _add_code(block: Block, word: Word, *, groups: dict[str, Word], grammar: Grammar) -> None:
    tenths = round(10.0 * word.value)
    code = (word.letter, tenths)
    if abs(10.0 * word.value - tenths) > WHOLE or code not in grammar.codes:
        if code in grammar.reasons:
            raise fault(word.column, f"{word} is not used: {grammar.reasons[code]}")
        raise fault(word.column, f"{word} is no word of the dialect {grammar.dialect.name}")
    meaning = grammar.codes[code]
    for group in GROUPS[meaning]:
        if group in groups:
            raise fault(word.column, f"{word} and {groups[group]} exclude each other ({group}); one block holds one")
        groups[group] = word
    block.codes[meaning] = word
    if meaning in MOTION:
        block.motion = meaning
    if meaning in CYCLES:
        block.cycle = meaning


def _add_word(block: Block, word: Word, grammar: Grammar) -> None:
    if word.letter not in grammar.letters and word.letter not in grammar.cycles.get(block.cycle, ()):
        why = _OTHER_AXES.get(word.letter, f"no word of the dialect {grammar.dialect.name} begins with {word.letter}")
        raise fault(word.column, f"{word} is not used: {why}")
    if word.letter in block.words:
        raise fault(word.column, f"the letter {word.letter} stands twice in the block")
    if word.letter in "FS" and word.value < 0.0:
        raise fault(word.column, f"{word} is negative")
    block.words[word.letter] = word
