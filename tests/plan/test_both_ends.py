"""Two holdings and their run-out: half of it comes off a wall that both cut, and is the step where holes meet.

Figures by hand from the run-outs: three-jaw 0.10, collet 0.02, clocked 0.01, turned in place 0 (common practice).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES
from tests.plan.bench import faults
from toolpath.commands.inputs import Inputs, read_inputs
from toolpath.commands.road import make
from toolpath.errors import BadInput
from toolpath.geometry.elements import Line
from toolpath.plan.both_ends import Cuts, both_ends
from toolpath.shop.holding import Holding

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


def cut(inputs: Inputs) -> Cuts:
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
    found = cut(inputs).wall
    assert inputs.wall is not None and inputs.wall.thick == pytest.approx(1.0)
    assert found is not None
    wall, off = found
    assert wall.thick == pytest.approx(3.0) and off == pytest.approx(0.05)
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


UNSAID = JOB.replace("turn_to = 9\n", "")


def ends(folder: Path, together: str, *, job: str = UNSAID, hold: str = 'in = "chuck"') -> tuple[Inputs, list[str]]:
    (folder / "bush.toml").write_text(job.replace("HEAD", f"together = {together}") + hold)
    inputs = read_inputs(folder / "bush.toml", sizes={})
    return inputs, [h.end for h in inputs.job.holdings]


@pytest.mark.parametrize(
    ("together", "order"),
    [
        ('["outside[0]", "inside[0]"]', ["front", "back"]),  # as it comes: all of this outside is turned from the front
        ('["outside[1]", "inside[0]"]', ["front", "back"]),
        ('["outside[1]", "inside[1]"]', ["back", "front"]),  # the cord's hole is seen from the back alone
        ('[["outside[0]", "inside[0]"], ["outside[1]", "inside[1]"]]', ["back", "front"]),
    ],
)
def test_the_first_end_follows_from_what_must_be_concentric(tmp_path: Path, together: str, order: list[str]) -> None:
    inputs, found = ends(tmp_path, together)
    assert found == order
    told = [c for c in inputs.cautions if c.startswith(f"The {order[0]} end comes first")]
    assert bool(told) == (order[0] == "back")
    if told:
        assert "outside[1] and inside[1], which must run true to each other, are cut in one holding" in told[0]
        assert "off by up to 0.05 mm" in told[0]


def test_the_back_end_first_is_made_and_proven(tmp_path: Path) -> None:
    ends(tmp_path, '["outside[1]", "inside[1]"]', hold='in = "collet"')
    done = make(tmp_path / "bush.toml", sizes={}, material=None, post=None, stop_before_tools=False)
    assert faults(done) == []
    assert [s.plan.request.turned_round for s in done.setups] == [True, False]
    assert "drill" in [op.kind for op in done.setups[0].plan.operations]


def test_ends_that_the_job_fixes_are_kept_and_refused_with_the_figure(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"outside\[1\] is cut in holding 1 and inside\[1\].*by up to 0\.05 mm"):
        ends(tmp_path, '["outside[1]", "inside[1]"]', hold='in = "chuck"\nend = "back"')


def test_where_no_order_does_it_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"inside\[0\] is cut in holding 1 and inside\[1\] in holding 2"):
        ends(tmp_path, '["inside[0]", "inside[1]"]')


@pytest.mark.parametrize(("within", "kept"), [("0.05", True), ("0.06", True), ("0.04", False)])
def test_true_within_a_figure(tmp_path: Path, within: str, kept: bool) -> None:
    """Half the 0.10 of a three-jaw chuck is borne where the job allows so much."""
    text = UNSAID.replace("HEAD", f'together = ["inside[0]", "inside[1]"]\ntrue_within = {within}') + 'in = "chuck"'
    (tmp_path / "bush.toml").write_text(text)
    if kept:
        assert read_inputs(tmp_path / "bush.toml", sizes={}).job.true_within == float(within)
        return
    with pytest.raises(BadInput, match="is cut in holding 1 and"):
        read_inputs(tmp_path / "bush.toml", sizes={})


def test_three_holdings_add_up_and_two_between_centres_do_not(tmp_path: Path) -> None:
    """Halves of 0.10 for the chuck and 0.01 for each between centres; those two run on the same centre holes."""
    part = cut(read(tmp_path, 'in = "chuck"')).part
    holds = (
        Holding("collet", "front", turn_to=0.0),
        Holding("chuck", "back", turn_to=0.0, bar=False),
        Holding("centres", "front", turn_to=9.0, bar=False),
        Holding("centres", "back", bar=False),
    )
    found = both_ends(part, holds)
    assert found is not None
    assert found.apart(1, 1) == 0.0 and found.apart(1, 2) == found.apart(2, 1) == pytest.approx(0.05)
    assert found.apart(1, 3) == pytest.approx(0.055) and found.apart(3, 4) == pytest.approx(0.01)
    assert found.spans == ((0.0, 0.0), (20.0, 20.0), (0.0, 9.0), (9.0, 20.0))
    assert [found.named(p) for p in ("outside[0]", "inside[0]", "outside[1]", "inside[1]")] == [3, 1, 4, 2]
    assert found.step == pytest.approx(0.05)
