"""A job put together from a few words, as the text that a person would have written."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path

from msgspec import Struct

Written = str | int | float | bool
RowTable = Mapping[str, Written]


class Draft(Struct, frozen=True):
    """Values as they were typed.

    said:            what it was made from, for the first line
    outside, inside: rows as a job file has them, from the front end, and from the mouth inwards
    bar, holding:    keys of these tables; face_off and such are among them
    parted:          whether the piece is cut from the bar
    """

    said: str
    title: str
    machine: Path
    tools: Path
    material: str
    units: str
    bar: RowTable
    holding: RowTable
    outside: tuple[RowTable, ...]
    inside: tuple[RowTable, ...] = ()
    parted: bool = False


def text_of(draft: Draft, folder: Path) -> str:
    """The job file as it would lie in `folder`: paths of machine and rack go from there."""
    lines = [
        f"# {draft.said}",
        "# A job as any other: change it, and `halfsection make` it.",
        "",
        f"title    = {quoted(draft.title)}",
        f"units    = {quoted(draft.units)}",
        f"machine  = {relative(draft.machine, folder)}",
        f"tools    = {relative(draft.tools, folder)}",
        f"material = {quoted(draft.material)}",
        "break_edges = 0                  # every edge as it comes from the tool",
        "",
        *_table("[bar]", draft.bar),
        "",
        "[part]",
        *_rows("outside", draft.outside),
        *_rows("inside", draft.inside),
        "",
        *_table("[[holding]]", draft.holding),
    ]
    if not draft.parted:
        lines += ["", "[parting]", "off = false"]
    return "\n".join(lines) + "\n"


def row_text(row: RowTable) -> str:
    """A row as an inline table."""
    return "{ " + ", ".join(f"{key} = {value_text(value)}" for key, value in row.items()) + " }"


def value_text(value: Written) -> str:
    """A value as it stands in TOML: what is a number bare, everything else in quotes."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:g}" if float(f"{value:g}") == value else repr(value)
    try:
        number = float(value)
    except ValueError:
        return quoted(value)
    plain = value.strip()
    return plain if plain.replace(".", "", 1).isdigit() and plain[0] != "." and plain[-1] != "." else f"{number!r}"


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def relative(path: Path, folder: Path) -> str:
    """A path as it is written in a file in the folder, with forward strokes."""
    try:
        return quoted(Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix())
    except ValueError:  # another drive, to which no relative path leads
        return quoted(path.resolve().as_posix())


def _table(head: str, keys: RowTable) -> list[str]:
    widest = max((len(k) for k in keys), default=0)
    return [head, *(f"{key:<{widest}} = {value_text(value)}" for key, value in keys.items())]


def _rows(name: str, rows: Sequence[RowTable]) -> list[str]:
    return [f"{name} = [", *(f"  {row_text(row)}," for row in rows), "]"] if rows else []
