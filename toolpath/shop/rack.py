"""The tool rack: a TOML file with one `[[tool]]` a tool, read into `Tool` values.

    [[tool]]
    number = 2
    insert = "DCMT 070204"
    holder = "SDJCR 1010 E07"

A tool is an `insert` in a `holder` (or at an `entering` angle), or says `kind = "ground"`, `"blade"` or `"round"`; what
makes holes (`"centre drill"`, `"reamer"`, ...) may leave its number out and is then held in the tailstock. `[[drills]]`
tables are the sets of drills. Everything a row leaves out has a default, listed in `Tool.assumed`.
"""

from __future__ import annotations

from itertools import product
from pathlib import Path

from toolpath import reading
from toolpath.errors import BadInput
from toolpath.quantity import nearest
from toolpath.shop import rack_tools
from toolpath.shop.drawer import Drawer, DrillHolder, holder_from, sets_from
from toolpath.shop.rack_rows import KINDS, DrillHolderRow, HoleRow, RackFile, Row
from toolpath.shop.tools import Tool
from toolpath.shop.written_values import within

LARGEST_NUMBER = 99  # two digits are what every tool call can carry


def load_rack(path: Path) -> tuple[Tool, ...]:
    """The numbered tools of a rack file in its order; BadInput, with file, line and key, for what can not be."""
    return load_drawer(path, numbered=True).tools


def load_drawer(path: Path, *, numbered: bool = False) -> Drawer:
    """All that a rack file holds: numbered tools, those held by hand, drill holders, sets of drills; BadInput.

    numbered: refuse a rack in which no tool has a number
    """
    file = reading.decode(reading.load(path), RackFile, file=str(path))
    tools: list[Tool] = []
    by_hand: list[Tool] = []
    holders: list[DrillHolder] = []
    with reading.placed(path):
        if file.units not in ("mm", "inch"):
            raise BadInput(f"'{file.units}' are no units", where="units", right='Write units = "mm" or "inch"')
        if not file.tool and not file.drills:
            raise BadInput("there is no tool in this rack", where="tool", right="Each tool is a [[tool]] table")
        unit = "in" if file.units == "inch" else "mm"
        for i, data in enumerate(file.tool):
            where = f"tool[{i}]"
            kept = _kept(data, path=path, where=where, unit=unit)
            if kept.number:
                _refuse_doubles(kept, [*tools, *holders], where)
            if isinstance(kept, DrillHolder):
                holders.append(kept)
            else:
                (tools if kept.number else by_hand).append(kept)
        if numbered and not tools:
            right = "A [[tool]] table with a `number` is one that a program can call"
            raise BadInput("there is no tool with a number in this rack", where="tool", right=right)
        sets = sets_from(file.drills, file=str(path), unit=unit)
    return Drawer(tools=tuple(tools), by_hand=tuple(by_hand), holders=tuple(holders), sets=sets)


def _kept(data: dict[str, object], *, path: Path, where: str, unit: str) -> Tool | DrillHolder:
    kind = data.get("kind", "insert" if "insert" in data else None)
    if not isinstance(kind, str) or kind not in KINDS:
        told = f"'{kind}' is no kind of tool" if kind is not None else "this tool says neither `insert` nor `kind`"
        known = nearest(kind if isinstance(kind, str) else "", KINDS)
        raise BadInput(told, where=f"{where}.kind" if "kind" in data else where, right=known)
    row: Row = reading.decode(data, KINDS[kind], file=str(path), where=where)
    with within(where):
        _refuse_numbers(row, numbered="number" in data)
        return holder_from(row, unit=unit) if isinstance(row, DrillHolderRow) else rack_tools.tool_from(row, unit=unit)


def _refuse_numbers(row: Row, *, numbered: bool) -> None:
    by_hand = isinstance(row, HoleRow) and not isinstance(row, DrillHolderRow) and not numbered
    if by_hand:
        if row.offset is not None:
            raise BadInput(
                "a tool held in the tailstock has no offset", where="offset", right="Give it a `number`, too"
            )
        return
    further = row.further if isinstance(row, DrillHolderRow) else []
    for i, n in enumerate(further):
        if not 1 <= n <= LARGEST_NUMBER:
            raise BadInput(f"{n} is no tool number", where=f"further[{i}]", right=f"Use 1 to {LARGEST_NUMBER}")
        if n in (row.number, *further[:i]):
            raise BadInput(f"tool number {n} stands here twice", where=f"further[{i}]")
    if not 1 <= row.number <= LARGEST_NUMBER:
        raise BadInput(f"{row.number} is no tool number", where="number", right=f"Use 1 to {LARGEST_NUMBER}")
    if row.offset is not None and not 1 <= row.offset <= LARGEST_NUMBER:
        raise BadInput(f"{row.offset} is no offset number", where="offset", right=f"Use 1 to {LARGEST_NUMBER}")


def _refuse_doubles(tool: Tool | DrillHolder, before: list[Tool | DrillHolder], where: str) -> None:
    for other, (k, (number, offset)) in product(before, enumerate(_places(tool))):
        key = f"{where}.further[{k - 1}]" if k else f"{where}.number"
        if number in (n for n, _ in _places(other)):
            raise BadInput(f"tool number {number} stands in the rack twice", where=key)
        if offset in (o for _, o in _places(other)):
            raise BadInput(
                f"offset {offset} already belongs to tool {other.number}",
                where=key if k else f"{where}.offset",
                right="Two tools that share an offset can not both be touched off",
            )


def _places(tool: Tool | DrillHolder) -> tuple[tuple[int, int], ...]:
    """(number, offset) of all that a row takes up."""
    return tool.places if isinstance(tool, DrillHolder) else ((tool.number, tool.offset),)
