"""`make --material`: every sample says what changes in another material, and a refusal says what no longer can be."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES, Call


def told(call: Call, sample: str, name: str, to: Path) -> str:
    """The section of what changed, in one run of words."""
    said = call("make", str(SAMPLES / f"{sample}.toml"), "--material", name, "-o", str(to))
    assert (said.code, said.err) == (0, "")
    return " ".join(said.out.split("Changed with the material\n")[1].split("\n\n")[0].split())


def test_speeds_walls_die_and_cautions(tmp_path: Path, call: Call) -> None:
    """The try plug in acrylic: Carvill's speeds, thicker walls, and what a die does to it."""
    out = told(call, "try-plug", "acrylic", tmp_path)
    assert out.startswith("- material: acrylic (PMMA) instead of free-cutting brass")
    assert "walls: at least 1.5 mm instead of 0.5" in out
    assert re.search(
        r"rough with T\d: 160 m/min instead of 108 \(acrylic \(PMMA\) with carbide \(Carvill: 160-175\)\)", out
    )
    assert "thread by hand: now isolate the drives" in out and "not with a die if it can be helped: it cracks" in out
    assert "caution: Melts when it is rubbed" in out


def test_the_steps_of_drills(tmp_path: Path, call: Call) -> None:
    out = told(call, "plumb-bob-cap", "aluminium", tmp_path)
    assert re.search(r"set-up 2, drill by hand: now by hand from the tailstock: drill 2 mm.* rpm", out)


def test_tools_and_order(tmp_path: Path, call: Call) -> None:
    """What the report says too; the order is told where it is another."""
    out = told(call, "stepped-arbor", "nylon", tmp_path)
    report = json.loads((tmp_path / "stepped-arbor.json").read_text("utf-8"))
    assert set(report) == {"title", "minimum_wall_mm", "setups", "changed"}
    assert report["changed"][0] == "material: nylon (PA 6, PA 66) instead of mild steel"
    assert "cuts instead of" in out and "mm deep instead of" in out


def test_the_job_s_own_material_changes_nothing(tmp_path: Path, call: Call) -> None:
    said = call("make", str(SAMPLES / "drawer-knob.toml"), "--material", "aluminium", "-o", str(tmp_path))
    assert said.code == 0 and "Changed" not in said.out
    assert "changed" not in json.loads((tmp_path / "drawer-knob.json").read_text("utf-8"))


@pytest.mark.parametrize(
    ("sample", "name", "why"),
    [
        ("plumb-bob-cap", "ptfe", "the least is 1.5 mm (PTFE"),
        ("drawer-knob", "hardwood", "hardwood is not turned with carbide"),
        ("screwed-body", "304", "A slower spindle or a carbide tool is needed"),
    ],
)
def test_what_is_no_longer_possible(sample: str, name: str, why: str, tmp_path: Path, call: Call) -> None:
    said = call("make", str(SAMPLES / f"{sample}.toml"), "--material", name, "-o", str(tmp_path))
    assert said.code == 1 and why in said.err
    assert "the job's own material, it can be made; of this it no longer can" in said.err


def test_a_job_that_never_could_be_made_is_refused_as_ever(tmp_path: Path, call: Call) -> None:
    job = (SAMPLES / "drawer-knob.toml").read_text("utf-8").replace('material = "aluminium"', 'material = "hardwood"')
    (tmp_path / "knob.toml").write_text(
        job.replace('"machines/', f'"{SAMPLES}/machines/').replace('"racks/', f'"{SAMPLES}/racks/')
    )
    said = call("make", str(tmp_path / "knob.toml"), "--material", "hardwood", "-o", str(tmp_path / "out"))
    assert said.code == 1 and "no longer" not in said.err
    said = call("make", str(tmp_path / "knob.toml"), "--material", "brass", "-o", str(tmp_path / "out"))
    assert said.code == 0 and "in its own material the job can not be made" in " ".join(said.out.split())
