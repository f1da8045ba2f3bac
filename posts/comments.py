"""Comments that every control reads: plain ASCII, no brackets inside brackets, short lines."""

from __future__ import annotations

import textwrap
import unicodedata

from posts.dialect import Lines

_PLAIN = str.maketrans(
    {
        "(": "[",
        ")": "]",
        "\u00f8": "dia ",
        "\u00d8": "dia ",
        "\u2300": "dia ",
        "\u00b1": "+-",
        "\u00b0": " deg",
        "\u00d7": "x",
        "\u00b7": "*",
        "\u00b5": "u",
        "\u03bc": "u",
        "\u2013": "-",
        "\u2014": "-",
        "\u2212": "-",
        "\u2018": "'",
        "\u2019": "'",
        "\u201c": '"',
        "\u201d": '"',
        "\u2264": "<=",
        "\u2265": ">=",
        "\u00df": "ss",
    }
)


def ascii_of(text: str) -> str:
    """The text in printable ASCII without round brackets or line ends; what has no plain form becomes `?`."""
    parts = unicodedata.normalize("NFKD", unicodedata.normalize("NFC", text).translate(_PLAIN)).translate(_PLAIN)
    kept = (c for c in parts if not unicodedata.combining(c))
    return "".join(c if " " <= c <= "~" else " " if c.isspace() else "?" for c in kept)


def comment_lines(text: str, rules: Lines, *, heads: bool = False) -> list[str]:
    """The text as comment lines no longer than the dialect's, marks included; none for empty text.

    A text that looks like a section's heading loses the dashes that make it one, unless it `heads` a section.
    """
    plain = ascii_of(text).rstrip()
    if plain.lstrip().startswith("---") and not heads:
        plain = plain.lstrip(" -")
    if rules.capitals:
        plain = plain.upper()
    plain = plain.translate({ord(char): " " for char in rules.forbidden})
    opens, closes = ("; ", "") if rules.comments.startswith(";") else ("(", ")")
    width = rules.width - len(opens) - len(closes)
    if rules.comment_longest:
        width = min(width, rules.comment_longest)
    return [f"{opens}{line}{closes}" for line in textwrap.wrap(plain, width, drop_whitespace=True)]
