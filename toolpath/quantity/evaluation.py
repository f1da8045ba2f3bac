"""The value of a formula, by a safe evaluator that knows + - * / min max and nothing else.

A bare number has no dimension yet: as a factor it is a plain number, beside a length it is a length in the
default unit.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import reduce

from toolpath.errors import BadInput
from toolpath.quantity.expression import Parsed, Value
from toolpath.quantity.value import Dims, Quantity, kind


def evaluate(parsed: Parsed, *, names: Mapping[str, Quantity], bare: Mapping[Dims, float]) -> Value:
    """The value of a parsed text; still bare (float) when only bare numbers were in it.

    bare: base units that one bare number stands for, by the dimension it is added to or compared with.
    """
    try:
        operands = [names[one] if isinstance(one, str) else one for one in parsed.operands]
        match parsed.formula:
            case ["v0"] | ["+", "v0"]:
                return operands[0]
            case ["-", "v0"]:
                return -operands[0]
        return _calculated(parsed, operands, bare)
    except ZeroDivisionError:
        raise BadInput(f"'{parsed.text}': a division by zero") from None
    except BadInput as error:
        raise BadInput(f"'{parsed.text}': {error.what}", right=error.right) from None


def dressed(number: float, dims: Dims, bare: Mapping[Dims, float]) -> Quantity:
    """A bare number as a quantity of that dimension; BadInput when no default unit is agreed for it."""
    if dims not in bare:
        raise BadInput(f"{number:g} needs a unit beside {kind(dims)}")
    return Quantity(number * bare[dims], dims)


def _calculated(parsed: Parsed, operands: list[Value], bare: Mapping[Dims, float]) -> Value:
    # Only here, for most values are a number with a unit and need no evaluator.
    import ast

    from simpleeval import InvalidExpression, SimpleEval

    evaluator = SimpleEval(
        operators={
            ast.Add: lambda a, b: _sum(a, b, bare),
            ast.Sub: lambda a, b: _sum(a, -b, bare),
            ast.Mult: lambda a, b: a * b,
            ast.Div: lambda a, b: a / b,
            ast.USub: lambda a: -a,
            ast.UAdd: lambda a: a,
        },
        functions={
            "min": lambda *values: reduce(lambda a, b: b if _larger(a, b, bare) else a, values),
            "max": lambda *values: reduce(lambda a, b: a if _larger(a, b, bare) else b, values),
        },
        names={f"v{place}": value for place, value in enumerate(operands)},
        allowed_attrs={},
    )
    evaluator.nodes = {node: evaluator.nodes[node] for node in (ast.Expr, ast.Name, ast.BinOp, ast.UnaryOp, ast.Call)}
    try:
        result: Value = evaluator.eval(" ".join(parsed.formula))
    except (InvalidExpression, SyntaxError, TypeError, RecursionError, MemoryError):
        comma = re.search(r"\d,\d", parsed.text)
        right = "Decimals have a point: 1.5" if comma else "Use + - * / ( ) min max, with a value on either side"
        raise BadInput("this can not be read as a sum", right=right) from None
    return result


def _sum(first: Value, second: Value, bare: Mapping[Dims, float]) -> Value:
    a, b = _alike(first, second, bare)
    return a + b if isinstance(a, Quantity) and isinstance(b, Quantity) else float(a) + float(b)  # type: ignore[arg-type]


def _larger(first: Value, second: Value, bare: Mapping[Dims, float]) -> bool:
    a, b = _alike(first, second, bare)
    if isinstance(a, Quantity) and isinstance(b, Quantity):
        return a.value > a.same(b, "compared").value
    return float(a) > float(b)  # type: ignore[arg-type]


def _alike(a: Value, b: Value, bare: Mapping[Dims, float]) -> tuple[Value, Value]:
    """Both with a dimension, or both bare: a bare number beside a length is a length."""
    if isinstance(a, Quantity) and not isinstance(b, Quantity):
        return a, dressed(b, a.dims, bare)
    if isinstance(b, Quantity) and not isinstance(a, Quantity):
        return dressed(a, b.dims, bare), b
    return a, b
