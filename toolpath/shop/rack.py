"""The tool rack: a TOML file with one `[[tool]]` a tool, read into `Tool` values.

    [[tool]]
    number = 2
    insert = "DCMT 070204"
    holder = "SDJCR 1010 E07"

A tool is an `insert` in a `holder` (or at an `entering` angle), or says `kind = "ground"`, `"blade"` or `"round"`.
Everything a row leaves out has a default, listed in `Tool.assumed`.
"""

from __future__ import annotations

from pathlib import Path

from toolpath import reading
from toolpath.errors import BadInput
from toolpath.quantity import nearest
from toolpath.shop import rack_tools
from toolpath.shop.rack_rows import KINDS, RackFile, Row
from toolpath.shop.tools import Tool

LARGEST_NUMBER = 99  # two digits are what every tool call can carry


def load_rack(path: Path) -> tuple[Tool, ...]:
    """All tools of a rack file in its order; BadInput, with file, line and key, for a row that can not be a tool."""
    file = reading.decode(reading.load(path), RackFile, file=str(path))
    tools: list[Tool] = []
    with reading.placed(path):
        if file.units not in ("mm", "inch"):
            raise BadInput(f"'{file.units}' are no units", where="units", right='Write units = "mm" or "inch"')
        if not file.tool:
            raise BadInput("there is no tool in this rack", where="tool", right="Each tool is a [[tool]] table")
        for i, data in enumerate(file.tool):
            where = f"tool[{i}]"
            tool = _tool(data, path=path, where=where, unit="in" if file.units == "inch" else "mm")
            _refuse_doubles(tool, tools, where)
            tools.append(tool)
    return tuple(tools)


def _tool(data: dict[str, object], *, path: Path, where: str, unit: str) -> Tool:
    kind = data.get("kind", "insert" if "insert" in data else None)
    if not isinstance(kind, str) or kind not in KINDS:
        told = f"'{kind}' is no kind of tool" if kind is not None else "this tool says neither `insert` nor `kind`"
        known = nearest(kind if isinstance(kind, str) else "", KINDS)
        raise BadInput(told, where=f"{where}.kind" if "kind" in data else where, right=known)
    row: Row = reading.decode(data, KINDS[kind], file=str(path), where=where)
    if not 1 <= row.number <= LARGEST_NUMBER:
        raise BadInput(f"{row.number} is no tool number", where=f"{where}.number", right=f"Use 1 to {LARGEST_NUMBER}")
    if row.offset is not None and not 1 <= row.offset <= LARGEST_NUMBER:
        raise BadInput(f"{row.offset} is no offset number", where=f"{where}.offset", right=f"Use 1 to {LARGEST_NUMBER}")
    try:
        return rack_tools.tool_from(row, unit=unit)
    except BadInput as error:
        inner = f"{where}.{error.where}" if error.where else where
        raise BadInput(error.what, where=inner, right=error.right) from None


def _refuse_doubles(tool: Tool, before: list[Tool], where: str) -> None:
    for other in before:
        if other.number == tool.number:
            raise BadInput(f"tool number {tool.number} stands in the rack twice", where=f"{where}.number")
        if other.offset == tool.offset:
            raise BadInput(
                f"offset {tool.offset} already belongs to tool {other.number}",
                where=f"{where}.offset",
                right="Two tools that share an offset can not both be touched off",
            )
