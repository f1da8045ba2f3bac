"""Which letters stand in the blocks of a cycle: there they mean its own things, and no other letter means any."""

from __future__ import annotations

from posts.dialect import Dialect

_THREADING = {"two blocks": "PQRXZUWF", "one block": "XZUWKDIFA", "drive line": "PZIJKRQHEL"}
_PECKING = {"two blocks": "RZWQF", "return level": "XZRQF"}


def cycle_letters(dialect: Dialect) -> dict[str, frozenset[str]]:
    """Letters by the meaning of each cycle that the dialect has a word for."""
    rules = dialect.cycles
    letters = {
        "thread_cycle": "XZUWRF",
        "threading": _THREADING[rules.threading],
        "roughing": "PQRUWF",
        "finishing": "PQ",
        "peck": _PECKING[rules.pecking],
        "chip_break": _PECKING[rules.pecking],
    }
    return {meaning: frozenset(found) for meaning, found in letters.items() if meaning in dialect.words}
