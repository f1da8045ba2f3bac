"""TOML files read into typed values, with messages that carry file, key path and line.

    data = load(path)                                    plain tables and lists, every number finite
    job = decode(data, JobFile, file="samples/bob.toml") a msgspec Struct; nothing unknown, nothing of a wrong kind
    with placed(path): ...                               fills file and line into a BadInput raised inside

Key paths look like `part.outside[2].radius`; places in a list count from 0. Lines are looked up only when reporting.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

import msgspec

from toolpath.errors import BadInput

T = TypeVar("T")

LARGEST_FILE = 20_000_000  # bytes; a job of 10 000 rows has about half a million

_TOML_MISTAKES = {
    "Invalid value": "this value can not be read; text stands in quotes, a number has a point and no unit (1.5)",
    "Cannot overwrite a value": "this is set a second time; each key may stand once in its table",
    "Cannot declare": "this table is begun a second time; lists of tables stand in [[ ]]",
    "Cannot mutate immutable namespace": "this table was closed by its '}'; nothing can be added to it",
    "Illegal character '\\n'": "a text in quotes does not end on its line",
    "Unescaped '\\' in a string": "a '\\' inside \" \" has a meaning of its own; a text with it stands in ' '",
    "Expected newline or end of document after a statement": (
        "something stands after the value; one key = value a line, and text stands in quotes"
    ),
    "Expected '=' after a key in a key/value pair": "a key needs '=' and a value after it",
    "Unclosed array": "a list that begins with '[' is not closed by ']' (or a ',' is missing between its members)",
    "Unclosed inline table": "a table that begins with '{' is not closed by '}' (or a ',' is missing)",
}


def load(path: Path) -> dict[str, object]:
    """The tables of a TOML file. BadInput, with file and line, for a file that is missing or no sound TOML."""
    name = str(path)
    text = _text(path)
    try:
        data: dict[str, object] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _broken(str(error), text=text, file=name) from None
    except RecursionError:
        raise BadInput("lists or tables lie too deep inside one another", file=name) from None
    except ValueError as error:  # a number of thousands of digits
        raise BadInput(f"a value can not be read: {error}", file=name) from None
    with placed(path):
        _refuse_endless(data, "")
    return data


def decode(data: object, type_: type[T], *, file: str, where: str = "") -> T:
    """`data` as `type_` (a msgspec Struct, `list[...]`, ...), strictly: no kind is bent into another.

    where: key path of `data` itself inside the file. Structs refuse unknown keys when they say `forbid_unknown_fields`;
    the message then names the nearest valid one.
    """
    with placed(file):
        _refuse_endless(data, where)
        try:
            return msgspec.convert(data, type_, strict=True)
        except msgspec.ValidationError as error:
            from toolpath.decoding_mistakes import explained

            raise explained(error, data=data, type_=type_, where=where) from None


def line_of(path: Path, where: str) -> int:
    """Line, from 1, of a key path in a file; that of the table or list around it when it is not written; 0 unknown."""
    from toolpath.toml_lines import key_lines

    try:
        lines = key_lines(_text(path))
    except BadInput:
        return 0
    while where and where not in lines:
        where = where[: max(where.rfind("."), where.rfind("["), 0)]
    return lines.get(where, 0)


@contextmanager
def placed(file: str | Path) -> Iterator[None]:
    """Fills file and line into a BadInput raised inside that has a key path (or nothing) and no file yet."""
    try:
        yield
    except BadInput as error:
        if error.file:
            raise
        line = error.line or (line_of(Path(file), error.where) if error.where else 0)
        raise error.at(file=str(file), line=line) from None


def _text(path: Path) -> str:
    name = str(path)
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise BadInput("there is no such file", file=name, right=_beside(path)) from None
    except IsADirectoryError:
        raise BadInput("this is a folder; a file is needed", file=name) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput(f"the file can not be read ({reason})", file=name) from None
    if len(raw) > LARGEST_FILE:
        raise BadInput(f"more than {LARGEST_FILE // 1_000_000} MB: this is no job, rack or machine", file=name)
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadInput("the file is not UTF-8 text", file=name, line=line, right="Save it as UTF-8") from None


def _beside(path: Path) -> str:
    """What lies where the missing file was looked for."""
    from toolpath.quantity import nearest

    folder = path.parent
    try:
        if not folder.is_dir():
            return f"There is no folder {folder} either"
        whole = path.with_name(f"{path.name}.toml")
        if whole.is_file():
            return f"Did you mean '{whole.name}'?"
        return nearest(path.name, [p.name for p in folder.iterdir() if p.suffix == path.suffix], every=False)
    except OSError:
        return ""


def _broken(message: str, *, text: str, file: str) -> BadInput:
    from toolpath.toml_lines import open_quote

    what, _, place = message.partition(" (at ")
    found = re.match(r"line (\d+)", place)
    lines = text.split("\n")
    line = int(found.group(1)) if found else len(text.rstrip().split("\n"))
    told = next((words for begin, words in _TOML_MISTAKES.items() if what.startswith(begin)), what)
    if what.startswith(("Expected \"'", "Unterminated string")):  # looked for the closing quote to the end of the file
        told, line = "a text in quotes is not closed", open_quote(text) or line
    return BadInput(f"not sound TOML: {told}: {lines[line - 1].strip()[:80]}", file=file, line=line)


def _refuse_endless(data: object, where: str) -> None:
    """NaN, infinity and numbers too large for arithmetic stop here, so that no stage has to ask again."""
    if isinstance(data, float) and not math.isfinite(data):
        what = "'nan' is not a number" if math.isnan(data) else "this number has no end ('inf', or too large to hold)"
        raise BadInput(what, where=where, right="Give a plain finite number")
    if isinstance(data, int) and abs(data) > 10**15:
        raise BadInput("this number is too large to mean anything here", where=where)
    if isinstance(data, Mapping):
        for key, value in data.items():
            _refuse_endless(value, f"{where}.{key}" if where else str(key))
    elif isinstance(data, list | tuple):
        for place, value in enumerate(data):
            _refuse_endless(value, f"{where}[{place}]")
