"""`check` prints speed, feed and depth with every tool of the rack, and the bound that decided each."""

from __future__ import annotations

import re
from pathlib import Path

from tests.commands.conftest import SAMPLES, Call


def table(call: Call, *more: str) -> tuple[dict[str, list[str]], dict[str, str]]:
    """(cells by tool and operation, bounds by letter)."""
    said = call("check", str(SAMPLES / "stepped-arbor.toml"), *more)
    assert (said.code, said.err) == (0, "")
    lines = said.out.split("\nFigures in ")[1].split("\n\n")[0].splitlines()
    assert all(len(line) <= 80 for line in lines)
    rows = {m[1]: m[2].split() for line in lines if (m := re.match(r"  (T\d+ [a-z ]+?)  +(\d.*)", line))}
    below = "\n".join(line for line in lines[2:] if not line.startswith("  T"))
    _, *words = re.split(r"(?:^|\n)  ([a-z]{1,2})  ", below)
    return rows, {k: " ".join(v.split()) for k, v in zip(words[::2], words[1::2], strict=True)}


def test_every_figure_has_its_bound(call: Call) -> None:
    rows, bounds = table(call)
    assert {"T1 rough", "T1 finish", "T4 groove", "T4 part off", "T8 rough"} <= set(rows)
    for cells in rows.values():
        assert len(cells) == 8 and all(float(c) > 0.0 for c in cells[::2])
        assert set(cells[1::2]) <= set(bounds)
    speed, _, feed, depth = rows["T1 rough"][1::2]
    assert bounds[speed].startswith("mild steel with carbide (Ferrous Metals Data Book 9-2")
    assert bounds[feed] == "roughing on a bench machine (common practice)"
    assert bounds[depth].startswith("500 W at 1905 rpm, mild steel taking")


def test_a_tool_that_will_not_do_says_so(call: Call, tmp_path: Path) -> None:
    said = call("check", str(SAMPLES / "drawer-knob.toml"), "--material", "hardwood")
    assert said.code == 0
    told = " ".join(said.out.split())
    assert "T1 rough refused: hardwood is not turned with carbide" in told
