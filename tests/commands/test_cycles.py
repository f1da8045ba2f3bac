"""Cycles on the road from a job to its proof: the moves they stand for are proven as the control makes them."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
import shapely
from msgspec.structs import replace

from tests.commands.conftest import Call
from toolpath.commands import road
from toolpath.motion import Program
from toolpath.proof.findings import STOP, Finding
from toolpath.proof.prove import Proof
from toolpath.proof.setting import Setting

REPOSITORY = Path(__file__).resolve().parents[2]
CYCLES = {"g95": r"G76 P1\.0 Z.* H2\n", "g99": r"G76 P0300\d\d Q.*\nG76 X.*F1\.0\n"}


def with_cycles(tmp_path: Path, name: str, *cycles: str) -> Path:
    """The dialect's file, copied, with these cycles to be written."""
    source = (REPOSITORY / "posts" / f"{name}.toml").read_text(encoding="utf-8")
    copy, count = re.subn(r"(?m)^write( *)= \[\]", rf"write\1= {json.dumps(cycles)}", source)
    assert count == 1
    path = tmp_path / "mine.toml"
    path.write_text(copy, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def samples(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(REPOSITORY / "samples", tmp_path_factory.mktemp("cycles") / "samples"))


@pytest.mark.parametrize("name", CYCLES)
def test_a_thread_and_a_contour_by_cycles_give_the_same_surface(
    samples: Path, tmp_path: Path, name: str, call: Call
) -> None:
    post = with_cycles(tmp_path, name, "thread", "peck", *(["rough"] if name == "g99" else []))
    results = []
    for out, dialect in (("long", name), ("short", str(post))):
        run = call("make", str(samples / "screwed-cap.toml"), "-q", "--post", dialect, "-o", str(tmp_path / out))
        assert (run.code, run.err) == (0, "")
        report = json.loads((tmp_path / out / "screwed-cap.json").read_text(encoding="utf-8"))
        results.append([[shapely.Polygon(o) for o in s["result"]] for s in report["setups"]])
        assert all(f["rank"] != STOP for s in report["setups"] for f in s["findings"])
    long, short = ("".join(p.read_text() for p in sorted((tmp_path / out).glob("*.nc"))) for out in ("long", "short"))
    assert re.search(CYCLES[name], short) and not re.search("G7[16]", long)
    assert len(short) < len(long)
    assert ("G71 P" in short) == (name == "g99")
    for a, b in zip(*results, strict=True):
        assert all(shapely.hausdorff_distance(p, q) < 2e-3 for p, q in zip(a, b, strict=True))


def test_a_cycle_whose_moves_do_not_hold_gives_way_to_single_moves(
    samples: Path, tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if the proof found that the control's own passes gouge: the text has every move by itself, and is proven."""
    cycled: list[bool] = []

    def proven(program: Program, setting: Setting) -> Proof:
        found = true_prove(program, setting)
        lines = [step.line for step in program.steps]
        cycled.append(max(map(lines.count, set(lines))) > 12)
        gouge = Finding("gouge", STOP, 1, 1, None, 1.0, "a cycle's pass gouges")
        return replace(found, findings=(gouge,)) if cycled[-1] else found

    true_prove = road.prove  # type: ignore[attr-defined]
    monkeypatch.setattr(road, "prove", proven)
    post = with_cycles(tmp_path, "g99", "thread")
    run = call("make", str(samples / "screwed-cap.toml"), "-q", "--post", str(post), "-o", str(tmp_path / "out"))
    assert (run.code, cycled[:2]) == (0, [True, False])
    text = (tmp_path / "out" / "screwed-cap-1.nc").read_text()
    assert "G76" not in text and "G32" in text
