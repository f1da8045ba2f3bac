"""A written value cut into numbers, words and signs."""

from __future__ import annotations

import re
from typing import NamedTuple

from toolpath.errors import BadInput

LONGEST = 200  # characters; a size is a line on a drawing, not a program
CLASS = re.compile(r"([A-Za-z]{1,2})(\d{1,2})")  # a tolerance class, h7 or JS9

# An exponent needs its sign (1e-3), for 14e7 is a size of class e7.
_TOKEN = re.compile(
    r"\s*(?:(?P<number>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]\d+)?)"
    r'|(?P<word>[A-Za-z_][A-Za-z0-9_]*|")|(?P<sign>[-+*/(),])|(?P<other>\S))',
    re.ASCII,
)
# Signs as drawings and word processors set them: minus, dash, times, dot, two inch marks each way, micro, mu.
_ALIKE = str.maketrans("\u2212\u2013\u00d7\u00b7\u2033\u201d\u201c\u00b5\u03bc", '--**"""uu')


class Token(NamedTuple):
    """form: `number`, `word`, `sign` or `other`; start: place in the tidied text."""

    form: str
    text: str
    start: int


NOTHING = Token("", "", -1)


def tidy(text: str) -> str:
    """The text with one sign for one meaning; BadInput when it is empty or far too long."""
    text = " ".join(text.translate(_ALIKE).replace("\u00b0", " deg").split())
    if not text:
        raise BadInput("the text is empty; a value was wanted here")
    if len(text) > LONGEST:
        raise BadInput(f"'{text[:40]}...' is longer than {LONGEST} characters; name parts of it under [sizes]")
    return text


def tokens(text: str) -> list[Token]:
    """Numbers, words and signs of a tidied text."""
    found = []
    for match in _TOKEN.finditer(text):
        form = match.lastgroup or "other"
        found.append(Token(form, match.group(form), match.start(form)))
    return found
