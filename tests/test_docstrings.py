"""Every module says what it is for, and none grows past what can be read."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted(p for top in ("toolpath", "posts", "tests") for p in (ROOT / top).rglob("*.py"))
# Our own budget: a file of 400 lines is a smell, at 800 it must be cut in two.
MOST_LINES = 800


def named(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_module_has_a_docstring_and_can_be_read_in_one_sitting(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    docstring = ast.get_docstring(ast.parse(text))
    assert docstring is not None and len(docstring.split()) >= 3, f"{named(path)} does not say what it is for"
    assert text.count("\n") <= MOST_LINES, f"{named(path)} is longer than {MOST_LINES} lines"


def test_the_modules_were_found() -> None:
    assert ROOT / "toolpath" / "motion.py" in MODULES
    assert any(p.parts[-2] == "posts" for p in MODULES)


def test_a_public_package_is_typed() -> None:
    for package in ("toolpath", "posts"):
        assert (ROOT / package / "py.typed").is_file(), f"{package} has no py.typed"
