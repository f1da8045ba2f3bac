"""Words that nothing in their block uses: a control would ignore them, or take them for something else."""

from __future__ import annotations

from posts.block import Block
from posts.dialect import Dialect
from posts.lexer import fault

FREE = frozenset("XZUWFST")  # letters that need no code in their block to use them


def check_users(block: Block, dialect: Dialect, in_force: str) -> None:
    """BadInput, with the column, for a word that the control would ignore. in_force: the motion of the blocks before"""
    if block.words.keys() <= FREE and "dwell" not in block.codes:
        return
    motion = block.motion or ("" if "motion_off" in block.codes else in_force)
    arc = motion.startswith("arc") and (block.has_axes or bool(block.motion))
    thread = block.motion == "thread"
    rules = dialect.thread
    users = {
        "I": arc,
        "K": arc or (thread and rules.lead_letter == "K"),
        "R": arc,
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
