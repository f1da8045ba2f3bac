"""A job's named sizes: any order, each in terms of the others, overridden from the command line."""

from __future__ import annotations

import re
from collections.abc import Mapping

from toolpath.errors import BadInput
from toolpath.quantity.evaluation import dressed, evaluate
from toolpath.quantity.expression import FUNCTIONS, Parsed
from toolpath.quantity.nearest import nearest
from toolpath.quantity.units import unit_named
from toolpath.quantity.value import LENGTH, Quantity
from toolpath.quantity.wanted import bare_units, placed, read


def evaluate_sizes(
    table: Mapping[str, object], overrides: Mapping[str, str] | None = None, *, unit: str = "mm", where: str = "sizes"
) -> dict[str, Quantity]:
    """Every size of the table, in its order. A bare number is a length in `unit`.

    overrides: NAME -> text, as given by --set; a name that the table lacks is refused with the nearest it has.
    """
    for name in overrides or {}:
        if name not in table:
            right = nearest(name, table) or "The job names no sizes under [sizes]"
            raise BadInput(f"there is no size named '{name}' to set", where=f"--set {name}", right=right)
    places = {name: f"--set {name}" if name in (overrides or {}) else f"{where}.{name}" for name in table}
    parsed = {}
    for name, value in {**table, **(overrides or {})}.items():
        with placed(places[name]):
            _refuse_name(name)
            parsed[name] = _read_size(value, table)
    bare, answers = bare_units(unit), dict[str, Quantity]()
    for name in _in_order(parsed, places):
        with placed(places[name]):
            answer = evaluate(parsed[name], names=answers, bare=bare)
            answers[name] = answer if isinstance(answer, Quantity) else dressed(answer, LENGTH, bare)
    return {name: answers[name] for name in table}


def _read_size(value: object, table: Mapping[str, object]) -> Parsed:
    parsed, limits = read(value, table)
    if limits:
        right = "Write them where it is used, as in dia = 'name h7'"
        raise BadInput(f"'{value}': a named size has no limits", right=right)
    return parsed


def _refuse_name(name: str) -> None:
    if not re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", name):
        right = f"Write '{name.replace('-', '_')}', for '-' is a minus" if "-" in name else "Use letters, digits and _"
        raise BadInput(f"'{name}' can not be the name of a size", right=right)
    if name in FUNCTIONS or unit_named(name):
        raise BadInput(f"'{name}' is a unit or a function, so it can not be the name of a size")


def _in_order(parsed: Mapping[str, Parsed], places: Mapping[str, str]) -> list[str]:
    """Names so that each comes after those it is made of."""
    from graphlib import CycleError, TopologicalSorter

    try:
        return list(TopologicalSorter({name: sorted(one.names) for name, one in parsed.items()}).static_order())
    except CycleError as error:
        ring: list[str] = list(reversed(error.args[1]))
        raise BadInput(f"sizes that need each other: {' -> '.join(ring)}", where=places[ring[0]]) from None
