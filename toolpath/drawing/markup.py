"""SVG markup as text: one way to write a tag, a number and a string, so that nothing goes in unescaped."""

from __future__ import annotations

import unicodedata

ZERO_WIDTH_JOINER = "\u200d"  # holds letters of some scripts together
_ESCAPED = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})  # XML 1.0, 4.6: predefined entities


def number(value: float) -> str:
    """A page coordinate to a tenth of a micrometre, in no more digits than it takes: `12.5`, `0`, `-3`."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def tag(kind: str, *inside: str, **attributes: str | float) -> str:
    """One element. Figures are written by `number`, strings escaped; `stroke_width` becomes `stroke-width`.

    `inside` is markup already; text goes through `safe` first.
    """
    written = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{safe(value) if isinstance(value, str) else number(value)}"'
        for name, value in attributes.items()
    )
    return f"<{kind}{written}>{''.join(inside)}</{kind}>" if inside else f"<{kind}{written}/>"


def text(content: str, x: float, y: float, **attributes: str | float) -> str:
    """A line of lettering, its base line beginning (or ending, or centred) at page x, y."""
    return tag("text", safe(content), x=x, y=y, **attributes)


def safe(content: str) -> str:
    """Text for inside an element or an attribute in double quotes: markup escaped, characters XML forbids replaced."""
    return "".join(c if c.isprintable() or c == ZERO_WIDTH_JOINER else _stand_in(c) for c in content).translate(
        _ESCAPED
    )


def _stand_in(letter: str) -> str:
    if letter.isspace():
        return " "
    # Marks of writing direction could turn the rest of the line around and are dropped; the others have no glyph.
    return "\N{REPLACEMENT CHARACTER}" if unicodedata.category(letter) in ("Cc", "Cs", "Cn", "Co") else ""
