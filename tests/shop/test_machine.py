"""Machine files: ten lines are enough, contradictions are refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from toolpath.errors import BadInput
from toolpath.shop.machine import Machine, MachineFile, load_machine, machine_from, sense_for

SAMPLE = Path(__file__).parents[2] / "samples" / "machines" / "bench.toml"
LEAST = 'name = "small lathe"\nmin_rpm = 150\nmax_rpm = 1200\npower_w = 250\n'


def machine(tmp_path: Path, text: str) -> Machine:
    path = tmp_path / "machine.toml"
    path.write_text(text, encoding="utf-8")
    return load_machine(path)


def test_the_bench_lathe() -> None:
    m = load_machine(SAMPLE)
    assert (m.min_rpm, m.max_rpm, m.chuck_max_rpm, m.power_w) == (100, 2500, 2000, 500)
    assert m.constant_surface_speed and not m.homed
    assert (m.tool_change, m.dialect, m.units, m.spindle_sense) == ("hand", "g95", "mm", "forward")


def test_four_lines_make_a_machine_and_the_rest_is_told(tmp_path: Path) -> None:
    m = machine(tmp_path, LEAST)
    assert len(m.defaults_used) == len(MachineFile.__struct_fields__) - 4
    assert m.chuck_max_rpm == 1200  # no chuck runs faster than its spindle
    assert m.full_power_rpm == 396  # 0.33 of 1200
    assert not m.constant_surface_speed and m.tool_change == "hand"
    told = "\n".join(m.defaults_used)
    assert "rapid_x = 500.0: lead screw 300 to 1000" in told
    for line in ("homed = false: machine", "belt_rpm = []: no", 'collet = "": the smallest', "drive = variable: a"):
        assert line in told
    assert "max_rpm = 1200" not in told.splitlines()


def test_what_is_said_is_not_among_the_defaults(tmp_path: Path) -> None:
    m = machine(tmp_path, LEAST + 'rapid_x = 900\ntravel_x = "4 in"\n')
    assert (m.rapid_x, m.travel_x) == (900.0, pytest.approx(101.6))
    assert not any(line.startswith(("rapid_x", "travel_x")) for line in m.defaults_used)


@pytest.mark.parametrize(
    ("post", "face", "sense"),
    [("front", "up", "forward"), ("front", "down", "reverse"), ("rear", "up", "reverse"), ("rear", "down", "forward")],
)
def test_spindle_sense_follows_from_post_and_face(tmp_path: Path, post: str, face: str, sense: str) -> None:
    """Front post, face up: the spindle turns the way a drill in the tailstock cuts; each reversal reverses it."""
    assert sense_for(post, face) == sense
    m = machine(tmp_path, LEAST + f'tool_post = "{post}"\ntool_face = "{face}"\n')
    assert m.spindle_sense == sense


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ('tool_post = "rear"\nspindle_sense = "forward"', "spindle_sense: a rear post with the tool's face up needs"),
        ('drive = "belts"\nbelt_rpm = [200, 400]\nconstant_surface_speed = true', "constant_surface_speed: constant"),
        ('drive = "hand"\nconstant_surface_speed = true', "whose drive is `hand`"),
        ('drive = "belts"', "drive: a drive by belts needs its steps"),
        ("belt_rpm = [300, 600]", "belt_rpm: belt steps do not go with drive `variable`"),
        ('drive = "belts"\nbelt_rpm = [300, 6000]', "belt_rpm[1]: a belt step of 6000 rpm can not be"),
        ("rapid_x = 0", "rapid_x: this has to be a number > 0"),
        ("backlash_x = -0.1", "backlash_x: this has to be a number >= 0"),
        ("max_feed = 5000", "max_feed: the greatest feed, 5000 mm/min, is above both rapids"),
        ("rapid_y = 5", "unknown key 'rapid_y'. Did you mean 'rapid_"),
        ("defaults_used = []", "unknown key 'defaults_used'"),
        ('rigidity = "strong"', "rigidity: "),
        ('units = "cm"', "units: "),
        ('homed = "yes"', "homed: "),
        ('travel_x = "4 deg"', "travel_x: "),
        ("clearance = nan", "clearance: "),
    ],
)
def test_machines_that_can_not_be(tmp_path: Path, more: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        machine(tmp_path, LEAST + more + "\n")
    assert message in str(caught.value)
    assert str(caught.value).startswith(f"{tmp_path / 'machine.toml'}:")


def test_numbers_that_stand_on_their_heads(tmp_path: Path) -> None:
    with pytest.raises(
        BadInput, match=r"machine\.toml:2: min_rpm: the least speed, 1500 rpm, is above the greatest, 1200"
    ):
        machine(tmp_path, LEAST.replace("150", "1500"))
    with pytest.raises(BadInput, match=r"machine\.toml:4: power_w: "):
        machine(tmp_path, LEAST.replace("250", "0"))
    with pytest.raises(BadInput, match="does not say `power_w`"):
        machine(tmp_path, LEAST.replace("power_w = 250", ""))
    with pytest.raises(BadInput, match="max_rpm"):
        machine(tmp_path, LEAST.replace("1200", '"fast"'))


def test_holes_are_drilled_from_the_tailstock_unless_there_is_none() -> None:
    least: dict[str, object] = {"name": "Bench", "min_rpm": 100, "max_rpm": 2500, "power_w": 500}
    usual = machine_from(least)
    assert (usual.drilling, usual.quill_scale, usual.quill_per_turn) == ("tailstock", "mm", 0.0)
    assert any(line.startswith("drilling = tailstock: by hand") for line in usual.defaults_used)
    without = machine_from(least | {"tailstock": False})
    assert without.drilling == "post"
    assert "drilling = post: there is no tailstock" in without.defaults_used
    inch = machine_from(least | {"drilling": "post", "quill_scale": "inch", "quill_per_turn": "0.1 in"})
    assert (inch.drilling, inch.quill_scale, inch.quill_per_turn) == ("post", "inch", pytest.approx(2.54))
    with pytest.raises(BadInput, match="this machine has no tailstock to drill from"):
        machine_from(least | {"tailstock": False, "drilling": "tailstock"})
