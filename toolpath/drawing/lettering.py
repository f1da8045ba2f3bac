"""Lettering on the page: the width of a text estimated, a long text broken into lines."""

from __future__ import annotations

import unicodedata

_NARROW = frozenset("iljtfrI.,:;'|!()[] ")
_WIDE = frozenset("mwMW@%—")


def width(text: str, size: float) -> float:
    """Estimated width, mm, of text in a sans-serif face of the given size, mm; on the generous side."""
    return size * sum(map(_share, text))


def _share(letter: str) -> float:
    if unicodedata.combining(letter):
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF":
        return 1.0
    return 0.35 if letter in _NARROW else 0.95 if letter in _WIDE else 0.72 if letter.isupper() else 0.62


def wrapped(text: str, size: float, most: float, *, lines: int) -> list[str]:
    """Text in at most `lines` lines of at most `most` mm, broken at blanks, inside a word only where it must be.

    What does not fit ends in an ellipsis. No text, no line.
    """
    out, line = [], ""
    for word in text.split():
        while word:
            trial = f"{line} {word}" if line else word
            if width(trial, size) <= most:
                line, word = trial, ""
            elif line:
                out.append(line)
                line = ""
            else:
                head = _fitting(word, size, most)
                out.append(head)
                word = word[len(head) :]
    out += [line] if line else []
    if len(out) <= lines:
        return out
    return [*out[: lines - 1], _fitting(out[lines - 1], size, most - width("…", size)) + "…"]


def _fitting(word: str, size: float, most: float) -> str:
    """As many letters from the start as fit, at least one."""
    n, used = 0, 0.0
    while n < len(word) and (n == 0 or used + width(word[n], size) <= most):
        used += width(word[n], size)
        n += 1
    return word[:n]
