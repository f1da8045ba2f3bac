"""Designations as drawings have them, read into a Thread; a near miss is answered with the nearest valid one."""

from __future__ import annotations

import re

from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.shop.threads.standards import STANDARDS, known_threads
from toolpath.shop.threads.thread import Thread

_HAND = r"(?i)[ -]*\b(?:(?P<left>LH|left[- ]hand(?:ed)?|left)|RH|right[- ]hand(?:ed)?|right)\.?$"
LONGEST = 60  # characters; a designation is shorter
EXAMPLES = (
    "M10x1-6g, 5/16-24 UNF-2A, #10-32, 1/4 BSW, 2 BA, G 1/4, R 1/4, 1/4 NPT, Tr 12x3, 12 x 1.25 60deg, "
    "12 x 1.25 60deg taper 1:16"
)


def read_thread(text: str) -> Thread:
    """The thread that a designation means; BadInput with the nearest valid one. The hand comes last."""
    tidy = " ".join(text.split())
    if not tidy or len(tidy) > LONGEST:
        raise BadInput("no thread is named" if not tidy else "this is too long for a thread", right=f"As in {EXAMPLES}")
    hand = re.search(_HAND, tidy)
    bare = tidy[: hand.start()] if hand else tidy
    for standard in STANDARDS.values():
        if match := re.fullmatch(standard.pattern, bare):
            return replace(standard.read(match), left=bool(hand and hand["left"]))
    raise BadInput(f"'{tidy}' is no thread that is known", right=_nearest(bare))


def _nearest(text: str) -> str:
    import difflib

    def plain(word: str) -> str:
        return re.sub(r"[\s\"-]+", "", word).lower()

    names = {plain(name): name for name in reversed(known_threads())}
    close = difflib.get_close_matches(plain(text), names, n=1, cutoff=0.5)
    guess = f"Did you mean {names[close[0]]}? " if close else ""
    return f"{guess}Threads are written {EXAMPLES}"
