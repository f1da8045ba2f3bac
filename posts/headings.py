"""Comments that carry something a reader needs: the heading of a section, where the first tool stands, and, for a
control without words for tools, which one was fitted.

`(--- 3 finish T2)` is section 3, operation "finish", tool 2; `(starts at X60.0 Z40.0 mm, X a diameter)` a place;
`(now in the post: T2)` a tool. Controls that read capitals only have them in capitals.
"""

from __future__ import annotations

import re

from toolpath.motion import Point

_HEADING = re.compile(r"\s*---\s*(\d{1,6})\s+(\S.*?)(?:\s+T\d{1,6})?\s*")
_NUMBER = r"([-+]?\d{1,9}(?:\.\d{0,9})?)"
_START = re.compile(rf"\s*starts at X{_NUMBER} Z{_NUMBER} (mm|inch), X a (diameter|radius)\s*", re.IGNORECASE)
_IN_POST = re.compile(r"\s*now in the post: T(\d{1,4})\s*", re.IGNORECASE)


def heading(number: int, kind: str, tool: int) -> str:
    """Comment text that opens a section; the tool is left out when it is 0."""
    return f"--- {number} {kind}" + (f" T{tool}" if tool else "")


def kind_of(comment: str) -> str | None:
    """The operation a heading names; None when the comment is no heading."""
    found = _HEADING.fullmatch(comment)
    return found.group(2) if found else None


def starts_at(x: str, z: str, *, inch: bool, diameter: bool) -> str:
    """Comment text that states where the first tool stands, the numbers as they are printed."""
    return f"starts at X{x} Z{z} {'inch' if inch else 'mm'}, X a {'diameter' if diameter else 'radius'}"


def start_of(comment: str) -> Point | None:
    """(z, x) in mm, x a radius, that the comment states; None when it states none."""
    found = _START.fullmatch(comment)
    if not found:
        return None
    scale = 25.4 if found.group(3).lower() == "inch" else 1.0
    across = 0.5 if found.group(4).lower() == "diameter" else 1.0
    return (float(found.group(2)) * scale, float(found.group(1)) * scale * across)


def in_post(tool: int) -> str:
    """Comment text that says which tool a person has fitted."""
    return f"now in the post: T{tool}"


def tool_in_post(comment: str) -> int | None:
    """The tool a comment says was fitted; None when it says none."""
    found = _IN_POST.fullmatch(comment)
    return int(found.group(1)) if found else None
