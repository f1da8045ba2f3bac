"""The report of a whole run, key by key as the design's contract has it, and true to the text and the part."""

from __future__ import annotations

import hashlib
import itertools
import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from tests.plan.workshop import SAMPLES
from toolpath.commands.results import programs_of, results
from toolpath.commands.road import Made, make
from toolpath.commands.summary import refused, summary
from toolpath.proof.findings import finding
from toolpath.proof.prove import ByHand
from toolpath.proof.thread_form import CutThread

SETUP = {
    "name", "program", "sha256", "dialect", "units", "x_is", "compensation", "placed", "stock", "part", "goal",
    "result", "hold", "tools", "operations", "threads", "by_hand", "parted", "seconds", "cutting_seconds",
    "air_seconds", "removed_mm3", "gouge_mm", "uncut_mm", "uncut", "findings", "cautions",
}  # fmt: skip
TOOL = {"number", "offset", "kind", "nose_radius_mm", "tip", "point", "outline_mm", "holder_mm"}
OPERATION = {"kind", "tool", "lines", "speed", "feed", "depth", "because", "seconds"}
FINDING = {"code", "rank", "line", "tool", "at", "size_mm", "text"}
POINTS = {"nose", "chuck-side corner", "free-side corner", "drill point"}
NAMES = ("plumb-bob-body", "stepped-arbor", "drawer-knob")


@cache
def sample(name: str) -> Made:
    return make(SAMPLES / f"{name}.toml", sizes={}, material=None, post=None, stop_before_tools=False)


@cache
def files(name: str) -> dict[str, bytes]:
    return results(sample(name))


def entry(name: str) -> dict[str, Any]:
    report = json.loads(files(name)[f"{name}.json"])
    assert set(report) == {"title", "minimum_wall_mm", "setups"}
    (one,) = report["setups"]
    assert isinstance(one, dict)
    return one


def area(outlines: list[list[list[float]]]) -> float:
    return math.fsum(shapely.Polygon(o).area for o in outlines)


@pytest.mark.parametrize("name", NAMES)
def test_every_key_of_the_contract_is_there(name: str) -> None:
    one = entry(name)
    assert set(one) >= SETUP
    assert one["placed"] == {"turned_round": False, "z_mm": 0.0}
    assert (one["units"], one["x_is"], one["compensation"]) == ("mm", "diameter", False)
    assert one["tools"] and all(set(t) >= TOOL and t["point"] in POINTS for t in one["tools"])
    assert one["operations"] and all(set(o) >= OPERATION for o in one["operations"])
    assert all(set(f) == FINDING and f["rank"] in {"stop", "look", "note"} for f in one["findings"])
    assert all(set(u) == {"outline", "thick_mm", "why"} for u in one["uncut"])
    assert all(set(p) == {"after_line", "outline"} for p in one["parted"])
    assert one["cautions"] and all(isinstance(c, str) for c in one["cautions"])


def test_work_by_hand_is_told_with_its_line_and_what_it_takes() -> None:
    made = sample("drawer-knob")
    square = ((-10.0, 0.0), (0.0, 0.0), (0.0, 2.5), (-10.0, 2.5), (-10.0, 0.0))
    by_hand = (ByHand(12, "drill 5 mm, 10 deep", (square,)),)
    (setup,) = made.setups
    worked = replace(setup, proof=replace(setup.proof, by_hand=by_hand))
    written = results(replace(made, setups=(worked,)))["drawer-knob.json"]
    told = {"after_line": 12, "does": "drill 5 mm, 10 deep", "removes": [[list(p) for p in square[:-1]]]}
    assert json.loads(written)["setups"][0]["by_hand"] == [told]
    assert entry("drawer-knob")["by_hand"] == []


def test_threads_are_told_as_they_came_out() -> None:
    made = sample("drawer-knob")
    thread = CutThread(False, "right", 1, 1.5, (-12.0, -1.0), 4.925, 3.918, 8.928, 0.218)
    (setup,) = made.setups
    cut = replace(setup, proof=replace(setup.proof, threads=(thread,)))
    told = json.loads(results(replace(made, setups=(cut,)))["drawer-knob.json"])["setups"][0]["threads"]
    where = {"z": [-12.0, -1.0], "crest_mm": 4.925, "root_mm": 3.918}
    assert told == [{"inside": False, "hand": "right", "starts": 1, "lead_mm": 1.5, **where}]
    assert entry("drawer-knob")["threads"] == []


@pytest.mark.parametrize("name", NAMES)
def test_the_digest_is_that_of_the_program_beside_it(name: str) -> None:
    one = entry(name)
    assert one["program"] == f"{name}-1.nc"
    assert one["sha256"] == hashlib.sha256(files(name)[one["program"]]).hexdigest()
    assert set(files(name)) == {f"{name}-1.nc", f"{name}-1.dxf", f"{name}-1.svg", f"{name}.json"}


@pytest.mark.parametrize("name", NAMES)
def test_outlines_are_sound_lie_above_the_axis_and_agree_with_one_another(name: str) -> None:
    one = entry(name)
    for key in ("stock", "part", "goal", "result", "hold"):
        for outline in one[key]:
            polygon = shapely.Polygon(outline)
            assert polygon.is_valid and polygon.area > 0.0, key
            assert outline[0] != outline[-1], "the first point is not repeated"
            assert min(x for _, x in outline) >= -1e-9
    part = shapely.Polygon(one["part"][0])
    goal, stock = (shapely.union_all([shapely.Polygon(o) for o in one[k]]) for k in ("goal", "stock"))
    assert part.difference(stock.buffer(1e-3)).is_empty and part.difference(goal.buffer(2e-3)).is_empty
    standing = [*one["result"], *(p["outline"] for p in one["parted"])]
    result = shapely.union_all([shapely.Polygon(o) for o in standing])
    assert part.difference(result.buffer(2e-3)).is_empty
    assert goal.difference(result.buffer(2e-3)).is_empty
    assert area(one["result"]) < area(one["stock"])


@pytest.mark.parametrize("name", NAMES)
def test_what_was_removed_is_the_volume_between_stock_and_result(name: str) -> None:
    """Pappus: 2 pi times the area times the distance of its centroid from the axis."""
    one = entry(name)

    def volume(outlines: list[list[list[float]]]) -> float:
        polygons = [shapely.Polygon(o) for o in outlines]
        return math.fsum(2.0 * math.pi * p.area * p.centroid.y for p in polygons)

    standing = [*one["result"], *(p["outline"] for p in one["parted"])]
    assert one["removed_mm3"] == pytest.approx(volume(one["stock"]) - volume(standing), rel=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_operations_name_their_lines_tool_and_times(name: str) -> None:
    one = entry(name)
    text = files(name)[one["program"]].decode().splitlines()
    numbers = {t["number"] for t in one["tools"]}
    ends = [tuple(o["lines"]) for o in one["operations"]]
    assert all(a <= b for a, b in ends) and all(p[1] < q[0] for p, q in itertools.pairwise(ends))
    for op in one["operations"]:
        first, last = op["lines"]
        block = "\n".join(text[first - 1 : last])
        assert op["tool"] in numbers and f"T{op['tool']}" in op["because"]
        assert op["kind"] in block and re_cut(block)
        assert op["seconds"] > 0.0 and op["depth"] > 0.0
        assert set(op["speed"]) in ({"surface_m_min", "limit_rpm", "sense"}, {"rpm", "sense"})
        assert op["feed"]["mm_per_turn"] > 0.0
    assert math.fsum(o["seconds"] for o in one["operations"]) == pytest.approx(one["seconds"], abs=1e-3)
    assert one["cutting_seconds"] + one["air_seconds"] <= one["seconds"]


def re_cut(block: str) -> bool:
    return "G01" in block


@pytest.mark.parametrize("name", NAMES)
def test_tools_as_the_design_names_them(name: str) -> None:
    for tool in entry(name)["tools"]:
        assert tool["tip"] in ([-1, -1], [0, -1], [1, -1])
        outline = shapely.Polygon(tool["outline_mm"])
        assert outline.is_valid and outline.area > 0.0
        if tool["point"] == "nose" and tool["tip"] == [-1, -1]:
            # The imaginary tip: the outline's lowest lies at x = 0; its leading edge leans away by 3 or 5 deg at most.
            assert min(x for _, x in tool["outline_mm"]) == pytest.approx(0.0, abs=1e-3)
            assert -0.1 <= min(z for z, _ in tool["outline_mm"]) <= 1e-3
        if tool["kind"] == "blade":
            assert min(z for z, _ in tool["outline_mm"]) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_the_promise_on_gouges_and_leftovers(name: str) -> None:
    one = entry(name)
    assert 0.0 <= one["gouge_mm"] <= 1e-4 + 0.0005 + 6e-5
    assert one["uncut_mm"] >= max((u["thick_mm"] for u in one["uncut"]), default=0.0) - 1e-6
    assert all(len(u["why"]) > 10 for u in one["uncut"])
    assert not [f for f in one["findings"] if f["rank"] == "stop"]


def test_the_same_job_gives_the_same_files() -> None:
    again = results(make(SAMPLES / "stepped-arbor.toml", sizes={}, material=None, post=None, stop_before_tools=False))
    assert again == files("stepped-arbor")


def test_no_machine_path_and_no_date_in_any_file() -> None:
    for content in files("plumb-bob-body").values():
        assert str(SAMPLES).encode() not in content and str(Path.home()).encode() + b"/" not in content


@pytest.mark.parametrize("name", NAMES)
def test_the_summary_is_for_a_machinist(name: str) -> None:
    told = list(summary(sample(name), ["a.nc"], ["b.nc"], Path("out")))
    text = "\n".join(told)
    assert max(map(len, told)) <= 90
    for op in sample(name).setups[0].plan.operations:
        assert any(line.startswith(op.kind) and f"T{op.tool.number}" in line for line in told), op.kind
    for words in ("Set-up 1", "Tools", "Together", "deepest gouge", "closest rapid", "Cautions", "b.nc.withdrawn"):
        assert words in text
    assert "Written to out: a.nc" in text


def test_a_program_that_fails_its_proof_is_not_among_the_files() -> None:
    """The same run with a proof that has found a gouge: report and pictures stay, the program goes."""
    whole = sample("stepped-arbor")
    bad = replace(whole.setups[0].proof, findings=(finding("gouge", "T2 cuts 0.1 mm into the part", line=7, tool=2),))
    failed = replace(whole, setups=(replace(whole.setups[0], proof=bad),))
    assert set(results(failed)) == {"stepped-arbor-1.dxf", "stepped-arbor-1.svg", "stepped-arbor.json"}
    said = refused(failed, ["old.nc"], Path("out"))
    assert "line 7: T2 cuts 0.1 mm into the part" in said and "not written" in said and "old.nc.withdrawn" in said


def test_programs_of_an_earlier_run_are_known_by_their_name(tmp_path: Path) -> None:
    for name in ("bob-1.nc", "bob-12.nc", "bob.nc", "bob-1.nc.withdrawn", "bob-x.nc", "bobbin-1.nc"):
        (tmp_path / name).write_text("")
    assert programs_of(tmp_path, "bob") == ["bob-1.nc", "bob-12.nc"]
    assert programs_of(tmp_path / "none", "bob") == []
