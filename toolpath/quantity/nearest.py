"""The nearest known word to one that is not known, as the end of a message."""

from __future__ import annotations

from collections.abc import Iterable

MOST_LISTED = 24  # longer lists are not read, so they are not printed


def nearest(word: str, known: Iterable[str], *, every: bool = True) -> str:
    """`Did you mean 'radius'? Known here: ...`; empty when nothing is near and the list is empty or too long.

    every: whether to list the known words after the guess.
    """
    import difflib

    words = list(dict.fromkeys(known))
    by_small = {w.lower(): w for w in reversed(words)}
    close = difflib.get_close_matches(word.lower(), list(by_small), n=1, cutoff=0.5)
    text = f"Did you mean '{by_small[close[0]]}'?" if close else ""
    if every and 0 < len(words) <= MOST_LISTED:
        text = f"{text} Known here: {', '.join(words)}".strip()
    return text
