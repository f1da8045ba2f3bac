"""Faults put into a good text, one at a time: what a slip of the hand or a wrong setting makes of it.

Each kind takes the blocks it can spoil and spoils one of them; which is drawn by number, so that a fault is told by its
text, kind and number alone. The kinds are common practice of the trade, no source.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

NUMBER = r"-?(?:\d+\.?\d*|\.\d+)"
THREADS = r"\bG3[23]\b"


@dataclass(frozen=True)
class Fault:
    """kind, number: name it. line: of the block that was spoiled, 0 for the whole text. was, now: that block."""

    kind: str
    number: int
    line: int
    was: str
    now: str
    text: str


Change = Callable[[str, random.Random], str | None]


def _word(letters: str, change: Callable[[str], str]) -> Change:
    """Changes one word of those letters."""

    def spoil(block: str, rng: random.Random) -> str | None:
        found = [m for m in re.finditer(rf"([{letters}])({NUMBER})", block)]
        if not found:
            return None
        m = rng.choice(found)
        return f"{block[: m.start(2)]}{change(m[2])}{block[m.end(2) :]}"

    return spoil


def _swap(pattern: str, by: str) -> Change:
    def spoil(block: str, _rng: random.Random) -> str | None:
        now = re.sub(pattern, by, block, count=1)
        return None if now == block else now.strip()

    return spoil


def _other_arc(block: str, _rng: random.Random) -> str | None:
    if found := re.search(r"\bG0?([23])\b", block):
        return block.replace(found[0], "G03" if found[1] == "2" else "G02", 1)
    return None


def _negated(value: str) -> str:
    return value[1:] if value.startswith("-") else f"-{value}"


def _next_tool(block: str, rng: random.Random) -> str | None:
    """The tool before or after: in its call, in its offset, or in both, where they stand in one block."""
    found = re.search(r"\b([THD])0*(\d{1,4})\b", block) if re.search(r"\bT\d|G43|^(N\d+ )?D\d", block) else None
    if not found:
        return None
    by = rng.choice((1, -1))
    if len(found[2]) >= 3:  # call and offset in one word
        tool, offset = divmod(int(found[2]), 100)
        now = rng.choice((f"T{tool + by:02d}{offset:02d}", f"T{tool + by:02d}{offset + by:02d}"))
    else:
        now = f"{found[1]}{max(0, int(found[2]) + by)}"
    return block.replace(found[0], now, 1)


def _deleted(block: str, _rng: random.Random) -> str | None:
    return "" if re.search(r"[XZ]-?[\d.]|G0?[0-3]\b|G3[23]|M0?[345]\b|G9[4-9]", block) else None


def _retract(block: str, _rng: random.Random) -> str | None:
    return "" if re.search(rf"\bG00\b|^(?:N\d+ )?[XZ]{NUMBER}$", block) else None


def _no_spindle(block: str, rng: random.Random) -> str | None:
    if not re.search(r"\bM0?3\b", block):
        return None
    return re.sub(r" ?\bM0?3\b", rng.choice(("", " M04", " M05")), block, count=1).strip()


def _feed_mode(block: str, _rng: random.Random) -> str | None:
    other = {"G94": "G95", "G95": "G94", "G98": "G99", "G99": "G98"}
    found = re.search(r"\bG9[4589]\b", block)
    return block.replace(found[0], other[found[0]], 1) if found else None


def _lead(block: str, rng: random.Random) -> str | None:
    if not re.search(THREADS, block):
        return None
    return _word("KF", lambda v: _as_written(float(v) * rng.choice((0.5, 1.25, 1.5, 2.0))))(block, rng)


def _as_written(value: float) -> str:
    return f"{value:.6f}".rstrip("0") + ("0" if f"{value:.6f}".rstrip("0").endswith(".") else "")


BLOCKS: dict[str, Change] = {
    "a sign": _word("XZIK", _negated),
    "a lost decimal point": _word("XZIK", lambda v: v.replace(".", "")),
    "diameter for radius": _word("X", lambda v: _as_written(float(v) / 2.0)),
    "radius for diameter": _word("X", lambda v: _as_written(float(v) * 2.0)),
    "a deleted line": _deleted,
    "swapped G02 and G03": _other_arc,
    "a tool number off by one": _next_tool,
    "the other feed mode": _feed_mode,
    "doubled feed": _word("F", lambda v: _as_written(float(v) * 2.0)),
    "a missing spindle start": _no_spindle,
    "another pitch": _lead,
    "a retract removed": _retract,
    "inch for mm in one word": _word("XZ", lambda v: _as_written(float(v) / 25.4)),
}


def _all(letters: str, change: Callable[[float], float]) -> Callable[[str], str]:
    """Changes every word of those letters outside comments."""

    def by(m: re.Match[str]) -> str:
        return f"{m[1]}{change(float(m[2])):.4f}".rstrip("0")

    def spoil(text: str) -> str:
        lines = text.split("\n")
        return "\n".join(x if x.startswith("(") else re.sub(rf"([{letters}])({NUMBER})", by, x) for x in lines)

    return spoil


def _replaced(pattern: str, by: str) -> Callable[[str], str]:
    return lambda text: re.sub(pattern, by, text, flags=re.MULTILINE)


WHOLE: dict[str, tuple[Callable[[str], str], ...]] = {
    "zero off by 1 mm": tuple(
        _all(letters, change)
        for letters in ("Z", "X")
        for change in (lambda v: v + 1.0, lambda v: v - 1.0)
    ),
    "inch for mm": (
        _replaced(r"^([^(\n]*)\bG21\b", r"\1G20"),
        _replaced(r"^([^(\n]*)\bG71\b", r"\1G70"),
        _all("XZIK", lambda v: v / 25.4),
    ),
    "diameter for radius throughout": (_all("X", lambda v: v / 2.0), _all("X", lambda v: v * 2.0)),
    "feed mode throughout": (
        _replaced(r"^([^(\n]*)\bG95\b", r"\1G94"),
        _replaced(r"^([^(\n]*)\bG94\b", r"\1G95"),
        _replaced(r"^([^(\n]*)\bG99\b", r"\1G98"),
    ),
    "doubled feed throughout": (_all("F", lambda v: v * 2.0),),
    "no spindle start at all": (_replaced(r"^([^(\n]*?) ?\bM03\b", r"\1"), _replaced(r"^([^(\n]*)\bM03\b", r"\1M04")),
}  # fmt: skip


def faults(text: str, *, each: int, seed: int) -> Iterator[Fault]:
    """Faults of every kind, `each` of those in single blocks and all of those in the whole text. seed: draws them."""
    lines = text.split("\n")
    for kind, change in BLOCKS.items():
        rng = random.Random(f"{seed} {kind}")
        places = [k for k, line in enumerate(lines) if line and not line.startswith("(")]
        rng.shuffle(places)
        seen = 0
        for k in places:
            now = change(lines[k], rng)
            if now is None or now == lines[k]:
                continue
            changed = [*lines[:k], *([now] if now else []), *lines[k + 1 :]]
            yield Fault(kind, seen, k + 1, lines[k], now, "\n".join(changed))
            if (seen := seen + 1) == each:
                break
    for kind, changes in WHOLE.items():
        for number, spoil in enumerate(changes):
            if (now := spoil(text)) != text:
                yield Fault(kind, number, 0, "", "", now)
