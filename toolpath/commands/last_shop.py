"""What the last cut was made with: machine, rack, material, bar and hold, kept for the next one.

This is the only file that the program keeps for itself. It lies in the folder that the operating system has for such,
and nothing but `cut` and `ask` reads it; deleting it loses nothing but typing.
"""

from __future__ import annotations

import tomllib
from contextlib import suppress
from pathlib import Path

import click

from toolpath.job.draft import quoted

KEYS = ("machine", "tools", "material", "units", "dia", "in")


def place() -> Path:
    """The file."""
    return Path(click.get_app_dir("halfsection")) / "last.toml"


def last() -> dict[str, str]:
    """What was kept, by key; empty where nothing is, or where it can no longer be read."""
    try:
        kept = tomllib.loads(place().read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return {k: v for k in KEYS if isinstance(v := kept.get(k), str)}


def keep(values: dict[str, str]) -> None:
    """Keep these for the next time; where nothing can be written nothing is kept."""
    lines = ["# What `halfsection cut` was last used with; it may be deleted."]
    lines += [f"{key} = {quoted(values[key])}" for key in KEYS if key in values]
    file = place()
    with suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        beside = file.with_name(f".{file.name}.new")
        beside.write_text("\n".join(lines) + "\n", encoding="utf-8")
        beside.replace(file)
