"""Two holdings and their run-out: half of it comes off a wall that both cut, and is the step where holes meet.

Figures by hand from the run-outs: three-jaw 0.10, collet 0.02, clocked 0.01, turned in place 0 (common practice).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES
from toolpath.commands.inputs import Inputs, read_inputs
from toolpath.errors import BadInput
from toolpath.geometry.elements import Line
from toolpath.plan.both_ends import BothEnds, both_ends

JOB = f"""\
title = "Bush"
machine = "{SAMPLES}/machines/bench.toml"
tools = "{SAMPLES}/racks/drawer.toml"
material = "brass"
break_edges = 0
HEAD
[bar]
dia = 16
length = 60
[part]
outside = [
  {{ dia = 10, to = 9 }},
  {{ dia = 14, to = 20 }},
]
inside = [
  {{ hole = 8, deep = 12, floor = "flat" }},
  {{ hole = 6, through = true, from = "back" }},
]
[[holding]]
turn_to = 9
[[holding]]
grip = "part"
"""


def read(folder: Path, hold: str, *, head: str = "") -> Inputs:
    (folder / "bush.toml").write_text(JOB.replace("HEAD", head) + hold)
    return read_inputs(folder / "bush.toml", sizes={})


def cut(inputs: Inputs) -> BothEnds:
    found = both_ends(inputs.part, inputs.job.holdings)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("hold", "off"),
    [('in = "chuck"', 0.05), ('in = "collet"', 0.01), ('in = "four-jaw"', 0.005), ('in = "soft jaws"', 0.01)],
)
def test_half_the_run_out_of_the_second_hold(tmp_path: Path, hold: str, off: float) -> None:
    inputs = read(tmp_path, hold)
    assert cut(inputs).off == pytest.approx(off)
    (step,) = inputs.cautions
    assert step.startswith("The holes from both ends meet at z -12: expect a step of up to ")
    assert f"{off:g} mm there" in step


def test_on_a_mandrel_turned_in_place_nothing_is_off(tmp_path: Path) -> None:
    inputs = read(tmp_path, 'on = "mandrel M10x1"\nagainst = "shoulder at 9"')
    assert cut(inputs).off == 0.0 and not inputs.cautions


def test_which_holding_cuts_what(tmp_path: Path) -> None:
    """Front bore and spigot in the first, body and the hole from the back in the second."""
    both = cut(read(tmp_path, 'in = "chuck"'))
    assert [both.named(p) for p in ("outside[0]", "inside[0]", "outside[1]", "inside[1]")] == [1, 1, 2, 2]
    assert both.named("outside[7]") is None


def test_the_wall_between_two_holdings(tmp_path: Path) -> None:
    """Spigot 10 over the bore of 8 is cut in one, 1 mm thick. Cut in two are the body of 14 and that bore: 3 mm."""
    inputs = read(tmp_path, 'in = "chuck"')
    wall = cut(inputs).wall
    assert inputs.wall is not None and inputs.wall.thick == pytest.approx(1.0)
    assert wall is not None and wall.thick == pytest.approx(3.0)
    assert [s.place("part") for s in wall.between] == ["part.inside[0]", "part.outside[1]"]


BORDER = [(-8.0, True, 1), (-9.0, True, 1), (-9.0, False, 2), (-10.0, True, 2)]


@pytest.mark.parametrize(("z", "rises", "number"), BORDER)
def test_a_wall_at_the_border_is_cut_from_its_side(tmp_path: Path, z: float, rises: bool, number: int) -> None:
    wall = Line((z, 5.0), (z, 7.0)) if rises else Line((z, 7.0), (z, 5.0))
    both = cut(read(tmp_path, 'in = "chuck"'))
    assert both.holding_of(wall, both.part.surfaces[1]) == number


THIN = JOB.replace("dia = 14, to = 20", "dia = 9.1, to = 20").replace("dia = 10, to = 9", "dia = 9.4, to = 9")


@pytest.mark.parametrize(("hold", "refused"), [('in = "chuck"', True), ('in = "collet"', False)])
def test_a_wall_that_run_out_makes_too_thin(tmp_path: Path, hold: str, refused: bool) -> None:
    """Body 9.1 over bore 8 is 0.55 mm; 0.05 off in a chuck leaves 0.50, 0.01 in a collet 0.54; the least is 0.52."""
    file = tmp_path / "bush.toml"
    file.write_text(THIN.replace("HEAD", "least_wall = 0.52") + hold)
    if not refused:
        assert not [c for c in read_inputs(file, sizes={}).cautions if "comes off" in c]
        return
    with pytest.raises(BadInput, match=r"cut in two holdings, and half the run-out.*0\.05 mm, comes off it: 0\.[45]"):
        read_inputs(file, sizes={})
    file.write_text(THIN.replace("HEAD", 'least_wall = 0.52\nthin = "warn"') + hold)
    assert [c for c in read_inputs(file, sizes={}).cautions if "comes off it" in c]


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ('["outside[0]", "inside[0]"]', ""),
        ('["outside[1]", "inside[1]"]', ""),
        ('["outside[1]", "inside[0]"]', "outside[1] is cut in holding 2 and inside[0] in holding 1: they would be off"),
        ('["outside[9]"]', "'outside[9]' is no row that makes a surface"),
    ],
)
def test_what_must_be_cut_together(tmp_path: Path, rows: str, message: str) -> None:
    if not message:
        assert read(tmp_path, 'in = "chuck"', head=f"together = {rows}").job.together
        return
    with pytest.raises(BadInput) as caught:
        read(tmp_path, 'in = "chuck"', head=f"together = {rows}")
    assert message in str(caught.value)


def test_one_holding_cuts_all_together(tmp_path: Path) -> None:
    file = tmp_path / "one.toml"
    text = JOB.replace('[[holding]]\ngrip = "part"\n', "").replace("turn_to = 9\n", "")
    file.write_text(text.replace("HEAD", 'together = ["outside[1]", "inside[0]"]'))
    inputs = read_inputs(file, sizes={})
    assert both_ends(inputs.part, inputs.job.holdings) is None and not inputs.cautions
    file.write_text(text.replace("HEAD", 'together = ["outside[5]"]'))
    with pytest.raises(BadInput, match="is no row that makes a surface"):
        read_inputs(file, sizes={})
