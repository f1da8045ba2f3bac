"""What was wrong with a value, in a turner's words: the messages of the typed-decoding library said again.

Imported only when a value was refused, so nothing here need be fast.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

import msgspec
from msgspec import inspect

from toolpath.errors import BadInput
from toolpath.quantity import nearest

_KINDS = {
    "int": "a whole number",
    "float": "a number",
    "str": "text in quotes",
    "bool": "true or false",
    "array": "a list in [ ]",
    "object": "a table of words and values",
    "date": "a date",
    "time": "a time of day",
    "datetime": "a date and time",
}

Step = str | int


def explained(error: msgspec.ValidationError, *, data: object, type_: object, where: str) -> BadInput:
    """The library's refusal of `data` as `type_`, with its full key path, said so that one knows what to change."""
    what, steps = _parts(error)
    steps = _with_names(steps, data=data, type_=type_)
    place = _path(where, steps)
    cause = error.__cause__
    if isinstance(cause, BadInput):
        return BadInput(cause.what, where=_path(place, [cause.where] if cause.where else []), right=cause.right)
    value = _value_at(data, steps)
    if unknown := re.fullmatch(r"Object contains unknown field `(.*)`", what, re.DOTALL):
        key = unknown.group(1)
        right = nearest(key, _keys(type_, steps, value))
        return BadInput(f"unknown key '{key}'", where=_path(place, [key]), right=right)
    if missing := re.fullmatch(r"Object missing required field `(.*)`", what):
        return BadInput(f"'{missing.group(1)}' is missing, and it has no default", where=place)
    if what.startswith("Invalid enum value") or what.startswith("Invalid value"):
        right = nearest(str(value), _words(type_, steps))
        return BadInput(f"{_shown(value)} is not known here", where=place, right=right)
    return BadInput(_wrong_kind(what, value), where=place)


def _parts(error: msgspec.ValidationError) -> tuple[str, list[Step]]:
    """The message without its place, and the place as steps; `...` stands for a key the library does not name."""
    what, _, place = str(error).rpartition(" - at `")
    if not what:
        return str(error), []
    found = re.findall(r"\[(\d+|\.\.\.)\]|\.([^.\[\]`]+)", place)
    return what, [int(index) if index.isdigit() else (index or key) for index, key in found]


def _with_names(steps: list[Step], *, data: object, type_: object) -> list[Step]:
    """The same steps with every `...` replaced: the first key that fails alone is the one that was refused."""
    for place, step in enumerate(steps):
        table = _value_at(data, steps[:place])
        if step != "..." or not isinstance(table, Mapping):
            continue
        kinds = [k.value_type for k in _types(type_, steps[:place]) if isinstance(k, inspect.DictType)]
        for key, value in table.items():
            try:
                if kinds:
                    msgspec.convert({key: value}, dict[str, _python_type(kinds[0])], strict=True)  # type: ignore[misc]
            except msgspec.ValidationError:
                steps = [*steps[:place], str(key), *steps[place + 1 :]]
                break
    return steps


def _python_type(kind: inspect.Type) -> object:
    plain = {inspect.IntType: int, inspect.FloatType: float, inspect.StrType: str, inspect.BoolType: bool}
    return kind.cls if isinstance(kind, inspect.StructType) else plain.get(type(kind), object)


def _types(type_: object, steps: Iterable[Step]) -> list[inspect.Type]:
    """Every type that may stand at the place."""
    kinds = _alternatives(inspect.type_info(type_))
    for step in steps:
        kinds = [deeper for kind in kinds for inner in _inside(kind, step) for deeper in _alternatives(inner)]
    return kinds


def _alternatives(kind: inspect.Type) -> list[inspect.Type]:
    if isinstance(kind, inspect.UnionType):
        return [deeper for one in kind.types for deeper in _alternatives(one)]
    return _alternatives(kind.type) if isinstance(kind, inspect.Metadata) else [kind]


def _inside(kind: inspect.Type, step: Step) -> list[inspect.Type]:
    match kind:
        case inspect.StructType():
            return [field.type for field in kind.fields if field.encode_name == step]
        case inspect.DictType():
            return [kind.value_type]
        case inspect.ListType() | inspect.VarTupleType():
            return [kind.item_type]
        case inspect.TupleType() if isinstance(step, int) and step < len(kind.item_types):
            return [kind.item_types[step]]
    return []


def _keys(type_: object, steps: list[Step], value: object) -> list[str]:
    """Valid keys of the table there; of the one variant that its tag names, where tables are told apart by a tag."""
    structs = [kind for kind in _types(type_, steps) if isinstance(kind, inspect.StructType)]
    table = value if isinstance(value, Mapping) else {}
    tagged = [s for s in structs if s.tag_field is not None and table.get(s.tag_field) == s.tag]
    return [field.encode_name for struct in tagged or structs for field in struct.fields]


def _words(type_: object, steps: list[Step]) -> list[str]:
    words: list[str] = []
    for kind in _types(type_, steps):
        if isinstance(kind, inspect.LiteralType):
            words += [str(value) for value in kind.values]
        elif isinstance(kind, inspect.EnumType):
            words += [str(member.value) for member in kind.cls]
    if not words and steps:  # the tag of a table told apart by it
        structs = [kind for kind in _types(type_, steps[:-1]) if isinstance(kind, inspect.StructType)]
        words = [str(struct.tag) for struct in structs if struct.tag_field == steps[-1]]
    return words


def _value_at(data: object, steps: Iterable[Step]) -> object:
    for step in steps:
        if isinstance(data, Mapping) or (isinstance(data, list | tuple) and isinstance(step, int) and step < len(data)):
            data = data.get(step) if isinstance(data, Mapping) else data[int(step)]
        else:
            return None
    return data


def _wrong_kind(what: str, value: object) -> str:
    wanted = re.match(r"Expected `([^`]*)`(.*?)(?:, got (.*))?$", what, re.DOTALL)
    if not wanted:
        return f"{what[:1].lower()}{what[1:]}"
    kinds, bound, got = wanted.groups()
    named = " or ".join(_KINDS.get(kind, kind) for kind in kinds.split(" | ") if kind != "null")
    bound = re.sub(r" of length (.*)", r" with \1 members", bound)
    if got and got.startswith("`"):
        kind = "a number with a point" if got == "`float`" else _KINDS.get(got.strip("`"), got.strip("`"))
        return f"this has to be {named}{bound}, not {kind} ({_shown(value)})"
    return f"this has to be {named}{bound}, not {got or _shown(value)}"


def _shown(value: object) -> str:
    """A value as TOML writes it, cut short."""
    if isinstance(value, bool):
        return str(value).lower()
    text = f"'{value}'" if isinstance(value, str) else "{…}" if isinstance(value, Mapping) else str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _path(where: str, steps: Iterable[Step]) -> str:
    for step in steps:
        where += f"[{step}]" if isinstance(step, int) else f".{step}" if where else step
    return where
