"""Rows added to the end of a list in a job file, everything else in it left as it stands, to the last comment."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path

from toolpath.errors import BadInput
from toolpath.job.draft import RowTable, row_text
from toolpath.toml_lines import list_end


def appended(job: Path, place: str, rows: Sequence[RowTable]) -> int:
    """Adds rows to part.`place` of a job and returns the line of the first; the part must stand afterwards.

    BadInput where there is no such list, or where the part can not be with these rows: then the file is as before.
    """
    before = job.read_bytes()
    text = before.decode("utf-8")
    new, line = with_rows(text, place, rows, file=str(job))
    _refuse_changed(text, new, place, file=str(job))
    beside = job.with_name(f".{job.name}.new")
    try:
        beside.write_bytes(new.encode())
        _judged(beside, job)
        if job.read_bytes() != before:
            raise BadInput("the file was changed by somebody else just now", file=str(job), right="Try again")
        beside.replace(job)
    finally:
        beside.unlink(missing_ok=True)
    return line


def with_rows(text: str, place: str, rows: Sequence[RowTable], *, file: str) -> tuple[str, int]:
    """(the text with the rows at the end of that list, the line of the first of them)."""
    end = list_end(text, f"part.{place}")
    if end is None:
        raise BadInput(
            f"there is no list '{place}' in [part] to add to", file=file, right=f"Write {place} = [] under [part] first"
        )
    last, bracket = end
    comma = "" if text[last - 1] in ",[" else ","
    start = text[:last] + comma + text[last:bracket].rstrip() + "\n"
    block = "".join(f"  {row_text(row)},\n" for row in rows)
    return start + block + text[bracket:], start.count("\n") + 1


def _refuse_changed(old: str, new: str, place: str, *, file: str) -> None:
    """The new text must read as the old one with rows added, and nothing else."""
    try:
        a, b = tomllib.loads(old), tomllib.loads(new)
        rows, more = a["part"].pop(place), b["part"].pop(place)
        same = a == b and more[: len(rows)] == rows and len(more) > len(rows)
    except (tomllib.TOMLDecodeError, KeyError, AttributeError):
        same = False
    if not same:
        raise BadInput(
            f"rows can not be added to the end of '{place}' without changing more",
            file=file,
            right="Put the closing bracket on a line of its own",
        )


def _judged(beside: Path, job: Path) -> None:
    """Raises what is wrong with the part, under the job's own name."""
    from toolpath.job.read import half_section, read_job

    try:
        read = read_job(beside)
        if not read.held:
            half_section(read)
    except BadInput as error:
        raise BadInput(
            f"with this the part can not be: {error.what}", where=error.where, right=error.right, file=str(job)
        ) from None
