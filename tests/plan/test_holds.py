"""A cap turned from both ends, its second end on every way of holding: planned, written, read back and proven."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES
from toolpath.commands.road import Made, make
from toolpath.errors import CannotMake, HalfsectionError
from toolpath.motion import Stop
from toolpath.plan.operations import ByHand

CAP = f"""\
title = "Cap"
machine = "{SAMPLES}/machines/bench.toml"
tools = "{SAMPLES}/racks/drawer.toml"
material = "brass"
[bar]
dia = 16
length = 60
[part]
outside = [
  {{ chamfer = 1.0 }},
  {{ dia = 10, to = 9 }},
  {{ dia = 14, to = 13 }},
  {{ taper_to = 8, to = 22 }},
  {{ radius = 0.8 }},
]
[[holding]]
in = "collet"
turn_to = 13
[[holding]]
grip = "part"
"""
MANDREL = 'on = "mandrel M10x1"\nagainst = "shoulder at 9"\n'


def made(folder: Path, text: str, *, machine: str = "") -> Made:
    file = folder / "cap.toml"
    if machine:
        own = (SAMPLES / "machines" / "bench.toml").read_text() + machine
        (folder / "own.toml").write_text(own)
        text = text.replace(f"{SAMPLES}/machines/bench.toml", "own.toml")
    file.write_text(text)
    return make(file, sizes={}, material=None, post=None, stop_before_tools=False)


@pytest.mark.parametrize("hold", ['in = "four-jaw"', 'in = "soft jaws"', 'in = "split bush"', MANDREL])
def test_the_second_end_of_a_cap(tmp_path: Path, hold: str) -> None:
    """The cap's back end is turned with its spigot of 10 in the hold, nose at the shoulder, 9 mm behind the front."""
    _, second = made(tmp_path, CAP + hold).setups
    assert not second.proof.refused
    gripped = second.plan.request.gripped
    assert gripped is not None and (gripped.dia, gripped.nose_z) == pytest.approx((10.0, -13.0))
    assert second.proof.gouge_mm <= 0.0006 and second.proof.closest_rapid_mm > 0.5


def test_on_a_mandrel_the_shoulder_lies_on_its_face(tmp_path: Path) -> None:
    """22 mm long, shoulder 9 behind the front: turned round the mandrel's face stands at z -13."""
    _, second = made(tmp_path, CAP + MANDREL).setups
    assert second.plan.work.hold.run_out == 0.0
    assert second.plan.work.hold.on_thread == "right"
    front = second.plan.work.hold.outlines[0]
    assert max(e.bounds()[2] for e in front) == pytest.approx(-13.0)
    assert second.plan.request.zero == "mandrel face"


@pytest.mark.parametrize(
    ("hold", "message"),
    [
        ('in = "centres"', "between centres both ends have a centre hole, and the front end has none. Draw one"),
        ('in = "faceplate"', "clamps need 4 mm of shoulder to press on"),
        (
            'in = "chuck"\ncentre = "running"',
            "a running centre needs its centre hole, and the back end has none. Draw one",
        ),
        ('in = "chuck"\nsteady = 12', "a steady 12 mm behind the front face bears on 6 to 18 mm"),
        ('in = "expanding arbor"', "there is no bore at the back end that an arbor could open in"),
        (
            'on = "mandrel M8x1"\nagainst = "shoulder at 9"',
            "there is no thread of 8 mm; the work has cylinders: 10 ",
        ),
        ('on = "mandrel M10x1"\nagainst = "shoulder at 7"', "behind z -15.00 mm there is no thread of 10 mm"),
        ('on = "mandrel M10x1"\nagainst = "shoulder at 11"', "there is no shoulder at z -11.00 mm that could lie"),
        ('in = "chunk"', "holding[1].in: 'chunk' is no way of holding. Did you mean 'chuck'?"),
        ('in = "mandrel"', 'a mandrel takes a thread. Write on = "mandrel M10x1" instead'),
        ('on = "mandrel M10x1"', "a thread alone does not centre: the part needs a shoulder"),
        ('on = "mandrel ten"\nagainst = "shoulder at 9"', "holding[1].on: 'ten' is no thread"),
        ('on = "M10x1"\nagainst = "shoulder at 9"', "holding[1].on: 'M10x1' with the other keys is no hold"),
        ('on = "mandrel M10x1"\nagainst = "face"', "holding[1].against: 'face' names no shoulder"),
        ('in = "chuck"\nagainst = "shoulder at 9"', "holding[1].against: only a mandrel has a face"),
        ('in = "chuck"\nzero = "mandrel face"', "holding[1].zero: there is no mandrel here"),
        ('in = "chuck"\nheld = [7, 10]', "there is no one cylinder to hold"),
    ],
)
def test_a_hold_that_can_not_be(tmp_path: Path, hold: str, message: str) -> None:
    with pytest.raises(HalfsectionError) as caught:
        made(tmp_path, CAP + hold)
    assert message in str(caught.value)


BORED = CAP.replace("taper_to = 8", "taper_to = 12").replace("chamfer = 1.0", "chamfer = 0.4")
BORED = BORED.replace("[[holding]]", "inside = [{ hole = 8.5, through = true }]\n[[holding]]", 1)


def test_a_thin_tube_wants_a_plug(tmp_path: Path) -> None:
    """The spigot of 10 over a hole of 8.5 has a wall of 0.75, less than a tenth of 10: hard jaws would crush it."""
    with pytest.raises(CannotMake, match=r"its wall is 0\.75 mm, less than 1 mm.*write plug = true"):
        made(tmp_path, 'thin = "warn"\n' + BORED + 'in = "chuck"')
    _, second = made(tmp_path, 'thin = "warn"\n' + BORED + 'in = "chuck"\nplug = true').setups
    assert not second.proof.refused
    _, second = made(tmp_path, 'thin = "warn"\n' + BORED + 'in = "soft jaws"').setups
    assert not second.proof.refused


@pytest.mark.parametrize(
    ("hold", "told"),
    [
        (
            'in = "soft jaws"',
            "face the back end until it is clean, and leave the tool at that Z. Stop the spindle, measure the length "
            "over the faces; it must be 22.000 mm or more. If the piece must come out for that, put it back against "
            "the same step. Set Z of T1 to the measured length less 22.000 mm. Z0 is the finished back face",
        ),
        (
            'in = "soft jaws"\nzero = "stop"',
            "The stop's face lies at Z -22.000 mm: set T1 so, once, with the stop",
        ),
        (MANDREL, "touch the mandrel's face with T1 and set Z there to -13.000 mm; then screw the part home"),
    ],
)
def test_zero_is_set_by_hand_before_the_first_cut(tmp_path: Path, hold: str, told: str) -> None:
    """22 mm long, the shoulder 9 mm from the front: the mandrel's face lies 22 - 9 = 13 mm behind the back face."""
    first, second = made(tmp_path, CAP + hold).setups
    assert first.plan.operations[0].kind == "face"
    asked, facing = second.plan.operations[:2]
    assert isinstance(asked, ByHand) and (asked.kind, facing.kind) == ("set zero", "face")
    assert told in asked.does and asked.removes == ()
    read = second.read_back.operations[0]
    assert [type(s) for s in read.steps][-1] is Stop and all(s.state.spindle is None for s in read.steps)
    assert not [f for f in second.proof.findings if f.code in ("no-hand-stop", "not-parked", "spindle-not-up")]


@pytest.mark.parametrize(
    ("machine", "hold", "message"),
    [
        (
            'chuck_fixing = "screwed"\ntool_post = "rear"\n',
            'in = "soft jaws"',
            "turns the spindle reverse, and that would unscrew the chuck, which is screwed on the spindle's nose",
        ),
        (
            'chuck_fixing = "screwed"\nspindle_brake = true\n',
            'in = "soft jaws"',
            "the spindle's brake stops it after T2 DCGT 070202, 93 deg, right hand, and that would unscrew the chuck",
        ),
        ('tool_post = "rear"\n', MANDREL, "set-up 2: T1 CCMT 060204, 95 deg, right hand turns the spindle reverse"),
        ("spindle_brake = true\n", MANDREL, "set-up 2: the spindle's brake stops it after T1"),
        ("", MANDREL.replace("M10x1", "M10x1 LH"), "would unscrew the part, which is held on its own left-hand thread"),
    ],
)
def test_what_would_unscrew_is_refused(tmp_path: Path, machine: str, hold: str, message: str) -> None:
    with pytest.raises(CannotMake) as caught:
        made(tmp_path, CAP + hold, machine=machine)
    assert message in str(caught.value)


def test_on_a_left_hand_thread_the_spindle_goes_in_reverse(tmp_path: Path) -> None:
    """Behind the axis, faces up, metal comes from below: reverse, which tightens a left-hand thread."""
    made_so = made(tmp_path, CAP + MANDREL.replace("M10x1", "M10x1 LH"), machine='tool_post = "rear"\n')
    assert len(made_so.setups) == 2 and not made_so.refused
    assert " M04" in made_so.setups[1].text.text and " M03" not in made_so.setups[1].text.text


@pytest.mark.parametrize(
    ("hold", "shim"), [("four-jaw", True), ("chuck", True), ("soft jaws", False), ("collet", False)]
)
def test_hard_jaws_on_a_finished_surface_want_a_shim(tmp_path: Path, hold: str, shim: bool) -> None:
    first, second = made(tmp_path, CAP + f'in = "{hold}"').setups
    told = "Hard jaws grip the finished diameter 10: lay a strip of soft copper or aluminium, 0.5 mm thick"
    assert any(c.startswith(told) for c in second.plan.cautions) == shim
    assert not any("Hard jaws" in c for c in first.plan.cautions)


def test_a_short_cylinder_does_not_hold_a_wide_part(tmp_path: Path) -> None:
    """0.3 of 14 is 4.2 mm, more than the 4 mm that a thin part needs."""
    with pytest.raises(CannotMake, match=r"only 3\.\d\d mm of it are behind what is cut, 4\.2 are needed"):
        wide = CAP.replace("dia = 14", "dia = 15").replace("dia = 10, to = 9", "dia = 14, to = 4")
        made(tmp_path, wide + "held = [1, 4]")


BUSH = (
    CAP[: CAP.index("outside")]
    + """\
outside = [ { dia = 18, to = 8 }, { dia = 14, to = 24 } ]
inside = [ { hole = 8, through = true } ]
[[holding]]
in = "collet"
[[holding]]
grip = "part"
in = "expanding arbor"
"""
).replace("dia = 16\n", "dia = 20\n")


@pytest.mark.parametrize("turn_to", [16, 17])
def test_a_bush_on_an_arbor_in_its_bore(tmp_path: Path, turn_to: float) -> None:
    """24 mm long, bore 8: the back face lies on the flange at z -24, the arbor ends 5 mm behind the 0.5 mm to face.

    At 16 the border is the shoulder, whose broken edge was cut from the other end.
    """
    _, second = made(tmp_path, BUSH + f"turn_to = {turn_to}\n").setups
    assert not second.proof.refused
    gripped = second.plan.request.gripped
    assert gripped is not None and (gripped.dia, gripped.nose_z) == pytest.approx((8.0, -24.0))
    assert gripped.far_z == pytest.approx(0.5 - 5.0)
