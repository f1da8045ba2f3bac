"""Where the keys of a TOML text stand: key path -> line.

`tomllib` gives no lines, and only a message about a mistake needs one; so this scan of TOML's surface runs when
something is reported, over a text that `tomllib` has already accepted (or refused: then as far as it makes sense).

Paths are written as `part.outside[2].radius`: keys joined by dots, places in a list counted from 0. A path names
a key however it was written: dotted, under a [table] or [[list of tables]] header, or in an inline table in a list.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

# Longest first: strings of several lines, strings, comments, punctuation, line ends, bare words.
_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}(?!")'
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*"
    r"|[\[\]{}=,.\n]"
    r"|[^\s\[\]{}=,.#\"']+"
    r"|[\"']",
    re.DOTALL,
)


def key_lines(text: str) -> dict[str, int]:
    """Line (from 1) of every key, list place and table header in a TOML text, by key path."""
    return _Scan(text).statements()


def list_end(text: str, path: str) -> tuple[int, int] | None:
    """Of the list of that key path: where its last member, comma or opening bracket ends in the text, and where its
    closing bracket stands; None where there is no such list.
    """
    scan = _Scan(text)
    scan.statements()
    return scan.ends.get(path)


def open_quote(text: str) -> int:
    """Line of the first quote that is not closed; 0 when all are."""
    return next((line for token, line, _ in _tokens(text) if token in ("'", '"')), 0)


class _Scan:
    """One walk over the tokens; `lines`, and `ends` of lists, fill up on the way."""

    def __init__(self, text: str) -> None:
        self.tokens = list(_tokens(text))
        self.at = 0
        self.lines: dict[str, int] = {}
        self.ends: dict[str, tuple[int, int]] = {}
        self.counts: dict[str, int] = {}  # path of a [[list of tables]] -> how many so far

    def peek(self) -> str:
        return self.tokens[self.at][0] if self.at < len(self.tokens) else ""

    def take(self) -> str:
        self.at += 1
        return self.tokens[self.at - 1][0]

    def line(self) -> int:
        return self.tokens[self.at][1] if self.at < len(self.tokens) else 0

    def skip(self, *unwanted: str) -> None:
        while self.peek() in unwanted:
            self.at += 1

    def statements(self) -> dict[str, int]:
        table = ""
        while self.peek():
            if self.peek() == "\n":
                self.at += 1
            elif self.peek() == "[":
                table = self.header()
            else:
                self.pair(table)
        return self.lines

    def header(self) -> str:
        """`[a.b]` or `[[a.b]]`; a part that is a list of tables means its latest member."""
        line, brackets = self.line(), 0
        while self.peek() == "[":
            self.at, brackets = self.at + 1, brackets + 1
        path = ""
        keys = self.keys()
        for place, key in enumerate(keys):
            path = _joined(path, key)
            self.lines.setdefault(path, line)
            if brackets > 1 and place == len(keys) - 1:
                self.counts[path] = self.counts.get(path, 0) + 1
            if path in self.counts:
                path = f"{path}[{self.counts[path] - 1}]"
                self.lines.setdefault(path, line)
        self.skip("]")
        return path

    def pair(self, table: str) -> None:
        """`key = value`, the key dotted or not."""
        line, path, start = self.line(), table, self.at
        for key in self.keys():
            path = _joined(path, key)
            self.lines.setdefault(path, line)
        if self.peek() == "=":
            self.at += 1
            self.value(path)
        if self.at == start:  # a token that can not begin a pair: a text that tomllib refused
            self.at += 1

    def keys(self) -> list[str]:
        """The parts of a dotted key; stops before `=` or `]`."""
        parts = []
        while self.peek() not in ("", "=", "]", "\n", "[", "{", "}", ","):
            token = self.take()
            if token != ".":
                parts.append(_unquoted(token))
        return parts

    def value(self, path: str) -> None:
        if self.peek() == "[":
            self.at += 1
            self.members(path)
        elif self.peek() == "{":
            self.at += 1
            self.skip("\n", ",")
            while self.peek() not in ("", "}"):
                self.pair(path)
                self.skip("\n", ",")
            self.skip_one("}")
        else:
            while self.peek() not in ("", "\n", ",", "]", "}"):
                self.at += 1

    def members(self, path: str) -> None:
        """A list after its `[`: each member has the line it begins on."""
        place = 0
        self.skip("\n", ",")
        while self.peek() not in ("", "]"):
            member, start = f"{path}[{place}]", self.at
            self.lines.setdefault(member, self.line())
            self.value(member)
            self.at += self.at == start
            self.skip("\n", ",")
            place += 1
        if self.peek() == "]":
            last = next(k for k in range(self.at - 1, -1, -1) if self.tokens[k][0] != "\n")
            self.ends[path] = (self.tokens[last][2] + len(self.tokens[last][0]), self.tokens[self.at][2])
        self.skip_one("]")

    def skip_one(self, closing: str) -> None:
        self.at += self.peek() == closing


def _tokens(text: str) -> Iterator[tuple[str, int, int]]:
    """Each token with its line, from 1, and where it begins."""
    line = 1
    for match in _TOKEN.finditer(text):
        token = match.group()
        if not token.startswith("#"):
            yield token, line, match.start()
        line += token.count("\n")


def _unquoted(token: str) -> str:
    if token[0] not in "\"'":
        return token
    try:
        return str(tomllib.loads(f"key = {token}")["key"])
    except tomllib.TOMLDecodeError:
        return token


def _joined(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key
