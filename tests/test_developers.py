"""DEVELOPERS.md against the code: its table of rooms is the one that is held, and every file it names is there."""

from __future__ import annotations

import re

import pytest

from tests.test_imports import EVERYTHING, ROOMS, ROOT

TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
QUOTED = re.findall(r"`([^`\n]+)`", TEXT)


def rooms_told() -> dict[str, set[str]]:
    """Room -> what the page says it may import, from the rows of its table."""
    told: dict[str, set[str]] = {}
    for line in TEXT.splitlines():
        cells = [c.strip() for c in line.split("|")[1:-1]]
        if len(cells) == 3 and re.fullmatch(r"(`(toolpath|posts)[\w.]*`(, )?)+", cells[0]):
            targets = set(EVERYTHING) if cells[2] == "everything" else set(re.findall(r"`([^`]+)`", cells[2]))
            told |= dict.fromkeys(re.findall(r"`([^`]+)`", cells[0]), targets)
    return told


def test_the_table_of_rooms_is_the_one_that_is_held() -> None:
    assert rooms_told() == ROOMS


NOT_YET = "posts/NAME.toml"  # stands for the file that the reader will write
PATHS = sorted({q for q in QUOTED if re.fullmatch(r"(toolpath|posts|tests|samples)/[\w./-]+", q)} - {NOT_YET})


@pytest.mark.parametrize("path", PATHS)
def test_a_path_that_is_named_exists(path: str) -> None:
    assert (ROOT / path).exists()


def test_a_file_that_is_named_alone_exists_somewhere() -> None:
    names = {q.split("/")[-1] for q in QUOTED if re.fullmatch(r"[\w/-]+\.(py|toml|nc)", q)}
    there = {p.name for top in ("toolpath", "posts", "tests") for p in (ROOT / top).rglob("*.*")}
    assert len(names) > 20
    assert names - there == {"NAME.toml"}


def test_a_name_in_capitals_or_a_function_stands_in_the_code() -> None:
    files = [p for top in ("toolpath", "posts", "tests") for p in sorted((ROOT / top).rglob("*.py"))]
    code = "\n".join(p.read_text(encoding="utf-8") for p in files)
    names = {q for q in QUOTED if re.fullmatch(r"[A-Z_]{4,}|[a-z]+_[a-z_]+|[A-Z][a-z]+([A-Z][a-z]+)+", q)}
    assert len(names) > 25
    assert {n for n in names if not re.search(rf"\b{n}\b", code)} == set()
