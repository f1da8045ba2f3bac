"""`make --material`: the samples in other materials are made, with their cautions, or refused in plain words."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES, Call


def made(call: Call, sample: str, name: str, to: Path) -> str:
    """The program of the first set-up, its comments in one run of words."""
    said = call("make", str(SAMPLES / f"{sample}.toml"), "--material", name, "-q", "-o", str(to))
    assert (said.code, said.err) == (0, "")
    return (to / f"{sample}-1.nc").read_text("ascii").replace(")\n(", " ")


def test_an_acrylic_thread_says_what_a_die_does_to_it(tmp_path: Path, call: Call) -> None:
    text = made(call, "try-plug", "acrylic", tmp_path)
    assert "Stock: acrylic [PMMA], diameter" in text and "CAUTION: Melts when it is rubbed" in text
    assert "in acrylic [PMMA]: not with a die if it can be helped: it cracks" in text


def test_magnesium_carries_its_fire_caution(tmp_path: Path, call: Call) -> None:
    """T.O. 1-1A-9; DGUV 209-090e."""
    text = made(call, "drawer-knob", "magnesium", tmp_path)
    assert "CAUTION: FIRE: dry sand, graphite or a metal-fire extinguisher at hand; never water" in text
    assert "dry, or mineral oil; never water" in text


@pytest.mark.parametrize(
    ("sample", "name", "message"),
    [
        ("drawer-knob", "hardwood", "hardwood is not turned with carbide: pressed inserts tear the fibres"),
        ("plumb-bob-cap", "ptfe", "the least is 1.5 mm (PTFE: common practice, no source)"),
        ("reamed-bush", "nylon", "In nylon (PA 6, PA 66) a hole closes in by up to 1 % once cool: let it be larger"),
        ("screwed-body", "stainless steel 304", "'stainless steel 304' is not among the materials"),
        ("screwed-body", "304", "A slower spindle or a carbide tool is needed"),
    ],
)
def test_refused_in_plain_words(sample: str, name: str, message: str, tmp_path: Path, call: Call) -> None:
    said = call("make", str(SAMPLES / f"{sample}.toml"), "--material", name, "-o", str(tmp_path / "out"))
    assert said.code == 1 and message in said.err and "Traceback" not in said.err
    assert not list(tmp_path.glob("out/*.nc"))
