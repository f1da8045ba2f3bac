"""The sample lathe and drawer, for every test of this room."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from toolpath.shop.machine import Machine, load_machine
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="session")
def drawer() -> dict[int, Tool]:
    """Tools of the sample rack by number: 1 CCMT 0.4, 2 DCGT 0.2, 3 VCMT 0.2, 4 blade, 5 left hand, 6 round."""
    return {t.number: t for t in load_rack(SAMPLES / "racks" / "drawer.toml")}


@pytest.fixture(scope="session")
def lathe() -> Callable[..., Machine]:
    """The sample lathe, with some of its values changed."""
    plain = load_machine(SAMPLES / "machines" / "bench.toml")
    return lambda **changes: msgspec.structs.replace(plain, **changes)
