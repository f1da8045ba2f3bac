"""A bench for the commands: the sample machine and rack beside a small job, and the command line called there."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from toolpath.commands import cli

SAMPLES = Path(__file__).resolve().parents[2] / "samples"

BUSH = """\
title = "Bush"
machine = "machines/bench.toml"
tools = "racks/drawer.toml"
material = "brass"
break_edges = 0.2
[bar]
dia = 16
length = 60
[sizes]
flange = 12
[part]
outside = [
  { dia = "8 h9", to = 6 },
  { dia = "flange", to = 10 },
]
"""


class Said(NamedTuple):
    code: int
    out: str
    err: str


Call = Callable[..., Said]


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with `bush.toml`, `machines/bench.toml` and `racks/drawer.toml`; the process works in it."""
    for folder in ("machines", "racks"):
        shutil.copytree(SAMPLES / folder, tmp_path / folder)
    (tmp_path / "bush.toml").write_text(BUSH, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def call(capsys: pytest.CaptureFixture[str]) -> Call:
    """Run the command line; exit code and what was printed."""

    def run(*words: str) -> Said:
        code = cli.run(list(words))
        out, err = capsys.readouterr()
        return Said(code, out, err)

    return run


def everything(folder: Path) -> dict[str, bytes | None]:
    """All that lies below a folder, for comparing before and after."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() if p.is_file() else None for p in folder.rglob("*")}
