"""Walls as `check` tells and judges them: the table, the thinnest one, and what happens when it is too thin."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from tests.commands.conftest import BUSH, Call, everything
from tests.commands.test_check import change

CAP = (
    BUSH.replace("flange = 12", "flange = 12\nhole = 5")
    + """\
inside = [ { dia = "hole", to = 6.5 }, { hole = 2, deep = 8 } ]
"""
)
WEB = 10.0 - 8.0 - 1.0 / math.tan(math.radians(59.0))  # to the back face, from the point of a drill of 118 degrees

WALLS = """\
Inside, from the front
    0.000     0.200     5.400     5.000  broken edge 0.2
    0.200     6.500     5.000     5.000  bore dia 5
    6.500     6.500     5.000     2.400  inside shoulder dia 5 to 2
    6.500     6.700     2.400     2.000  broken edge 0.2
    6.700     8.000     2.000     2.000  hole dia 2
    8.000     8.601     2.000     0.000  drilled floor 118°

Walls, mm, across the axis
  station   outside    inside      wall
    0.000     7.582     5.400     1.091
    0.200     7.982     5.000     1.491
    6.000     7.982     5.000     1.491
    6.200    12.000     5.000     3.500
    6.500    12.000     5.000     3.500
    6.700    12.000     2.000     5.000
    8.000    12.000     2.000     5.000
Least wall, in any direction: 1.3991 mm thick, from z -8.6009, dia 0 on drilled
  floor 118° (part.inside[1]) to z -10, dia 0 on back face (part.outside)
Allowed: 0.5 mm (free-cutting brass: common practice, no source)
"""


@pytest.fixture
def cap(bench: Path) -> Path:
    """The bush of diameter 8 to 6 mm and 12 to 10 mm with a stepped hole, in the file `bush.toml`."""
    (bench / "bush.toml").write_text(CAP, encoding="utf-8")
    return bench


def test_the_walls_are_a_table_and_the_least_is_told_with_its_place(cap: Path, call: Call) -> None:
    """Across the axis (7.982 - 5) / 2 beside the bore; the web behind the drill's point is thinner."""
    code, out, err = call("check", "bush.toml")
    assert (code, err) == (0, "")
    assert pytest.approx(1.3991, abs=5e-5) == WEB
    assert WALLS in out


def test_a_solid_part_has_no_walls_to_tell(bench: Path, call: Call) -> None:
    assert "Wall" not in call("check", "bush.toml").out


def test_a_face_groove_alone_has_a_least_wall_and_no_table(bench: Path, call: Call) -> None:
    change(bench, "[part]", "[part]\nface = [ { groove = 7, inner_dia = 4, deep = 2 } ]")
    change(bench, 'dia = "8 h9"', "dia = 9")
    out = " ".join(call("check", "bush.toml").out.split())
    assert "face groove dia 4 to 7, floor" in out and "across the axis" not in out
    assert "Least wall, in any direction: 1 mm thick, from z -2, dia 7 on face groove dia 4 to 7, outer wall" in out


THIN = (
    "he wall is 0.391 mm thick, from z ",
    ", dia 7.2 on bore dia 7.2 (part.inside[0]) to z ",
    ", dia 7.982 on dia 7.982 (8 h9) (part.outside[0]); the least is 0.5 mm (free-cutting brass: common practice, no "
    "source).",
)


def test_a_thin_wall_is_refused_with_both_surfaces_and_what_would_be_right(cap: Path, call: Call) -> None:
    before = everything(cap)
    code, out, err = call("check", "bush.toml", "--set", "hole = 7.2")
    assert (code, out) == (1, "")
    assert err.startswith(f"halfsection: bush.toml:17: part.inside[0]: t{THIN[0]}-") and all(t in err for t in THIN)
    assert err.endswith(
        '. Make it 0.109 mm thicker; if it shall be so thin, write least_wall = "0.391 mm" or thin = "warn"\n'
    )
    assert call("make", "bush.toml", "--set", "hole = 7.2").err == err
    assert everything(cap) == before


def test_what_the_message_proposes_is_right(cap: Path, call: Call) -> None:
    for key in ('least_wall = "0.391 mm"', 'thin = "warn"'):
        (cap / "bush.toml").write_text(f"{key}\n{CAP}", encoding="utf-8")
        assert call("check", "bush.toml", "--set", "hole = 7.2").code == 0, key


def test_a_thin_wall_that_is_borne_is_a_caution(cap: Path, call: Call) -> None:
    change(cap, "break_edges", 'thin = "warn"\nbreak_edges')
    out = call("check", "bush.toml", "--set", "hole = 7.2").out
    cautions = " ".join(out[out.index("\nCautions\n") :].split())
    assert f"T{THIN[0]}" in cautions and all(t in cautions for t in THIN)


def test_the_job_s_own_least_wall_goes_before_the_material_s(cap: Path, call: Call) -> None:
    change(cap, "break_edges", "least_wall = 1.4\nbreak_edges")
    err = call("check", "bush.toml").err
    assert (
        "part.inside[1]: the wall is 1.3991 mm thick" in err and "the least is 1.4 mm (least_wall in bush.toml)" in err
    )
    change(cap, "least_wall = 1.4", "least_wall = 1.39")
    assert "Allowed: 1.39 mm (least_wall in bush.toml)\n" in call("check", "bush.toml").out


def test_acetal_wants_more_than_brass(cap: Path, call: Call) -> None:
    assert call("check", "bush.toml", "--set", "hole = 6.5").code == 0
    assert "the least is 1 mm (acetal" in call("check", "bush.toml", "--set", "hole = 6.5", "--material", "POM").err


def tube(bench: Path, call: Call, bore: str) -> tuple[dict[str, Any], str]:
    """The report on the bush made from a tube, and what was printed, its lines joined."""
    text = (bench / "bush.toml").read_text(encoding="utf-8").replace("length = 60", f"length = 60\nbore = {bore}")
    (bench / "bush.toml").write_text(f"{text}inside = [ {{ hole = {bore}, through = true }} ]\n", encoding="utf-8")
    code, out, err = call("make", "bush.toml")
    assert (code, err) == (0, "")
    return json.loads((bench / "bush" / "bush.json").read_text(encoding="utf-8")), " ".join(out.split())


def test_the_report_gives_the_least_wall(bench: Path, call: Call) -> None:
    """A tube of bore 5: (7.982 - 5) / 2 under the 8 h9, whatever its edges."""
    report, _ = tube(bench, call, "5")
    assert report["minimum_wall_mm"] == pytest.approx((7.982 - 5.0) / 2.0, abs=1e-6)
    assert "thin-wall" not in {f["code"] for f in report["setups"][0]["findings"]}


def test_a_thin_wall_that_is_borne_is_seen_by_the_proof_too(bench: Path, call: Call) -> None:
    """(7.982 - 7.2) / 2, once the outside is finished."""
    change(bench, "break_edges", 'thin = "warn"\nbreak_edges')
    report, out = tube(bench, call, "7.2")
    (found,) = [f for f in report["setups"][0]["findings"] if f["code"] == "thin-wall"]
    assert found["rank"] == "look" and found["size_mm"] == pytest.approx(0.391, abs=1e-3)
    assert "after finish a wall of 0.391 mm stands" in out and "The wall is 0.391 mm thick" in out
    assert report["setups"][0]["cautions"][0].startswith("The wall is 0.391 mm thick")


@pytest.mark.parametrize(
    ("key", "message"),
    [
        ("least_wall = 0", "bush.toml:1: least_wall: '0' has to be larger than 0"),
        ("least_wall = -1", "bush.toml:1: least_wall: '-1' has to be larger than 0"),
        ('thin = "yes"', "bush.toml:1: thin: "),
    ],
)
def test_what_can_be_no_least_wall_is_refused(cap: Path, call: Call, key: str, message: str) -> None:
    (cap / "bush.toml").write_text(f"{key}\n{CAP}", encoding="utf-8")
    code, _, err = call("check", "bush.toml")
    assert code == 1 and err.startswith(f"halfsection: {message}"), err
