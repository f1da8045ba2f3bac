"""Words that nothing in their block uses: a control would ignore them, or take them for something else."""

from __future__ import annotations

from posts.block import Block, Grammar
from posts.lexer import fault

FREE = frozenset("XZUWFST")  # letters that need no code in their block to use them


def check_users(block: Block, grammar: Grammar, in_force: str) -> None:
    """BadInput, with the column, for a word that the control would ignore. in_force: the motion of the blocks before"""
    dialect = grammar.dialect
    if block.cycle or "thread_cycle" in block.codes:
        _check_cycle(block, grammar.cycles[block.cycle or "thread_cycle"])
        return
    if block.words.keys() <= FREE and "dwell" not in block.codes:
        return
    motion = block.motion or ("" if "motion_off" in block.codes else in_force)
    arc = motion.startswith("arc") and (block.has_axes or bool(block.motion))
    thread = block.motion == "thread"
    rules = dialect.thread
    users = {
        "I": arc,
        "K": arc or (thread and rules.lead_letter == "K"),
        "R": arc or motion == "thread_cycle",
        dialect.tool.offset_letter: "offset" in block.codes or "offset" not in dialect.words,
        dialect.speed.cap_letter: "surface_speed" in block.codes,
    }
    if dialect.dwell.letter not in FREE:
        users[dialect.dwell.letter] = "dwell" in block.codes
    if rules.angle_letter:
        users[rules.angle_letter] = thread or users.get(rules.angle_letter, False)
    for letter, word in block.words.items():
        if not users.get(letter, True):
            raise fault(word.column, f"nothing in the block uses {word}")
    moving = [letter for letter in "XZUW" if letter in block.words and letter != dialect.dwell.letter]
    if "dwell" in block.codes and moving:
        right = "Let the dwell stand alone: on some controls its X is a time, on others a move"
        raise fault(block.column(*moving), "axis words stand beside a dwell", right)


def _check_cycle(block: Block, letters: frozenset[str]) -> None:
    """A cycle stands in a block of its own: no other word is certain to be taken before it or after it."""
    for meaning, code in block.codes.items():
        if block.cycle and meaning != block.cycle:
            raise fault(code.column, f"{code} stands in the block of a cycle", "Give it a block of its own, before it")
    for letter, word in block.words.items():
        if letter not in letters:
            raise fault(word.column, f"nothing in the block uses {word}")
