"""What cuts ask of machine, hold, work and bar, against published examples and closed forms, and what is said of it.

MMC = Mitsubishi Materials, "Formulae for Cutting Power"; G94 = an exam question on parting, one of four options; CTE =
Isakov, Cutting Tool Engineering 2019, deflection of a bar; Sandvik Coromant, "Specific cutting force" (Kienzle).
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from tests.passes.hole_tools import hole_tool
from tests.proof.bench import SHAFT_TEXT, box, codes, machine, proven, rack
from tests.proof.drilled import DRILLED, drilled
from toolpath.cutting import bench
from toolpath.proof.findings import STOP
from toolpath.proof.load import BAR_RATIO, Load, findings
from toolpath.proof.prove import Proof
from toolpath.proof.setting import Setting
from toolpath.shop.bars import Bar
from toolpath.shop.materials import Material, material

STRONG = replace(machine(), power_w=20_000.0, max_rpm=4000.0, chuck_max_rpm=4000.0, full_power_rpm=1.0)


def flat(kc: float, modulus: float = 206.0) -> Material:
    """A material of one specific force at any chip."""
    return replace(material("mild steel"), kc11=kc, mc=0.0, modulus=modulus)


def turned(words: str, *, tool: int = 1, dia: float = 200.0, stick_out: float = 60.0, **changes: Any) -> Proof:
    """A bar cut as the words say, held at its back end."""
    text = (
        f"(starts at X{dia + 60.0} Z40. mm, X a diameter)\n(--- 1 rough T{tool})\n"
        f"T{tool} M06\nG43 H{tool}\n{words}\nG00 X{dia + 60.0}\nG00 Z40.\nM05\nM30\n"
    )
    given: dict[str, Any] = {
        "stock": (box(-200.0, 0.0, dia / 2.0),),
        "part": (box(-200.0, -199.0, 1.0),),
        "goal": (box(-200.0, -199.0, 1.0),),
        "hold": (box(-200.0, -stick_out, dia / 2.0 + 20.0, x0=dia / 2.0),),
        "machine": STRONG,
    }
    return proven("G21 G18 G90 G7 G40 G61 G80 G91.1\n" + text, **{**given, **changes})


def load_of(proof: Proof) -> Load:
    (load,) = [x for x in proof.loads if x]
    return load


ROUGHING = "G96 S120 D3000 M03\nG04 P3.\nG95 F0.2\nG00 Z1.\nG00 X194.\nG01 Z-30.\nG01 X210."


def test_roughing_as_published() -> None:
    """MMC: kc 3100, 120 m/min, 3 mm deep, 0.2 mm a turn takes 1860 N and 3.72 kW, 4.65 kW from a motor of 80 %.

    There the speed is that of one diameter; here it is the point's, and the chip lies a little farther out.
    """
    load = load_of(turned(ROUGHING, material=flat(3100.0)))
    assert load.section == pytest.approx(0.6, rel=1e-3) and load.force == pytest.approx(1860.0, rel=1e-3)
    assert load.power == pytest.approx(3720.0 * 98.5 / 97.0, rel=2e-3)
    assert load.torque == pytest.approx(1860.0 * 0.0985, rel=2e-3)
    assert load.of_motor == pytest.approx(load.power / (bench.MOTOR_SHARE * 20_000.0))


def test_parting_as_published() -> None:
    """G94: a 2 mm blade at diameter 100, 0.2 mm a turn, 60 m/min, 800 N/mm2 takes 320 W."""
    parting = "G96 S60 D3000 M03\nG04 P3.\nG95 F0.2\nG00 Z-20.\nG00 X104.\nG01 X96.\nG01 X104."
    load = load_of(turned(parting, tool=4, dia=100.0, material=flat(800.0)))
    assert load.section == pytest.approx(0.4, abs=2e-3) and load.power == pytest.approx(320.0, rel=0.02)


@pytest.mark.parametrize(("depth", "feed"), [(1.0, 0.1), (0.5, 0.2), (2.0, 0.05)])
def test_the_force_of_the_law(depth: float, feed: float) -> None:
    """Kienzle at the chip that edge and nose make: 95 deg, and a nose of 0.4 mm, whose arc makes it thinner."""
    brass = material("brass")
    words = f"G97 S1000 M03\nG04 P3.\nG95 F{feed}\nG00 Z1.\nG00 X{20.0 - 2.0 * depth}\nG01 Z-10.\nG01 X22."
    load = load_of(turned(words, dia=20.0, material=brass))
    lean, nose = math.radians(95.0), 0.4
    edge = nose * lean + (depth - nose * (1.0 - math.cos(lean))) / math.sin(lean)
    expected = brass.kc11 * (feed * depth / edge) ** -brass.mc * feed * depth
    assert load.section == pytest.approx(feed * depth, rel=0.01)
    assert load.force == pytest.approx(expected, rel=0.015)


def test_a_drill_s_torque() -> None:
    """Each of two lips takes half the feed over the radius: M = kc f D2 / 8000 Nm (the closed form of `formulas`)."""
    load = load_of(drilled(material=flat(1000.0), tools={7: hole_tool(7)}, part=(DRILLED,)))
    assert load.torque == pytest.approx(1000.0 * 0.08 * 36.0 / 8000.0, rel=0.01)
    assert load.power == pytest.approx(load.torque * 1200.0 * 2.0 * math.pi / 60.0)


def test_bending_of_the_work_as_published() -> None:
    """CTE: a bar of 25.4 mm, 101.6 mm long, 206 GPa gives way by 0.0757 mm under 911.1 N at its end.

    The radial part of the force does that, a quarter of it; the cut is 0.2 mm deep, so that the bar stays what it was.
    """
    feed, depth = 0.1, 0.2
    kc = 911.1 / bench.RADIAL_SHARE / (feed * depth)
    words = f"G97 S500 M03\nG04 P3.\nG95 F{feed}\nG00 Z1.\nG00 X{25.4 - 2.0 * depth}\nG01 Z-1.\nG01 X30."
    load = load_of(turned(words, dia=25.4, stick_out=101.6, material=flat(kc)))
    assert load.force * bench.RADIAL_SHARE == pytest.approx(911.1, rel=0.02)
    assert load.work_bends == pytest.approx(0.0757, rel=0.03)


def test_a_centre_holds_the_free_end() -> None:
    collar = (box(-200.0, -60.0, 40.0, x0=20.0), box(0.0, 30.0, 5.0))
    words = "G97 S500 M03\nG04 P3.\nG95 F0.2\nG00 Z-10.\nG00 X60.\nG01 X38.\nG01 X60."
    assert load_of(turned(words, tool=4, dia=40.0, material=flat(2000.0))).work_bends > 0.0
    assert load_of(turned(words, tool=4, dia=40.0, hold=collar, material=flat(2000.0))).work_bends == 0.0


def test_without_a_material_nothing_is_reckoned() -> None:
    assert not any(proven().loads) and not codes(proven()) & {"heavy-cut", "bends"}


def test_a_sound_program_is_not_complained_of() -> None:
    proof = proven(material=material("brass"), machine=replace(machine(), power_w=800.0))
    assert [bool(x) for x in proof.loads] == [True] * 4
    assert not codes(proof) & {"heavy-cut", "overload", "may-slip", "slips", "bends", "bends-away"}


@pytest.mark.parametrize(("share", "code"), [(0.9, ""), (1.5, "heavy-cut"), (2.5, "overload")])
def test_a_motor_that_is_too_weak(share: float, code: str) -> None:
    """The same text on weaker and weaker machines: nothing, advice, and a stop only where it is gross."""
    strong = proven(material=material("brass"), machine=replace(machine(), power_w=1000.0))
    watts = 1000.0 * max(x.of_motor for x in strong.loads if x) / share
    proof = proven(material=material("brass"), machine=replace(machine(), power_w=watts))
    found = [f for f in proof.findings if f.code in ("heavy-cut", "overload")]
    assert (found[0].code if found else "") == code
    assert ("overload" in {f.code for f in proof.findings if f.rank == STOP}) is (code == "overload")
    for f in found:
        assert "% of what the motor gives" in f.text and f.at is not None and f.line and f.tool
        assert SHAFT_TEXT.splitlines()[f.line - 1].startswith(("G01", "G02", "G03"))


def load(**figures: float) -> Load:
    plain = {
        "section": 0.1,
        "force": 100.0,
        "torque": 1.0,
        "power": 100.0,
        "of_motor": 0.5,
        "of_grip": 0.5,
        "lasts": 5.0,
    }
    return Load(line=7, tool=1, at=(-5.0, 8.0), **{**plain, **figures})


@pytest.mark.parametrize(
    ("figures", "code", "rank"),
    [
        ({"of_motor": 0.99}, "", ""),
        ({"of_motor": 1.01}, "heavy-cut", "look"),
        ({"of_motor": 2.01}, "overload", STOP),
        ({"of_motor": 2.01, "lasts": 0.9}, "heavy-cut", "look"),
        ({"of_grip": 1.01}, "may-slip", "look"),
        ({"of_grip": 2.01}, "slips", STOP),
        ({"work_bends": 0.049}, "", ""),
        ({"work_bends": 0.051}, "bends", "look"),
        ({"work_bends": 0.51}, "bends-away", STOP),
        ({"bar_bends": 0.06}, "bends", "look"),
    ],
)
def test_ranks(figures: dict[str, float], code: str, rank: str) -> None:
    told = list(findings(load(**figures), _plain()))
    assert [(f.code, f.rank) for f in told] == ([(code, rank)] if code else [])
    assert all((f.line, f.tool, f.at) == (7, 1, (-5.0, 8.0)) for f in told)


@pytest.mark.parametrize(("out", "found"), [(3.9, False), (4.1, True)])
def test_a_bar_that_sings(out: float, found: bool) -> None:
    """Steel bars stand out four diameters at most, common practice."""
    bar = Bar(10.0, 6.0, 10.0, 0.0, reach=out / 4.0 * BAR_RATIO * 10.0, least_bore=14.0)
    setting = _plain(tools={1: replace(rack()[1], bar=bar)})
    assert ("overhang" in {f.code for f in findings(load(), setting)}) is found


@pytest.mark.parametrize(("reach", "found"), [(59.9, False), (60.1, True)])
def test_work_that_stands_out_far(reach: float, found: bool) -> None:
    """Three diameters without a centre: Woodstock M1099 lathe manual. A mandrel grips round nothing."""
    held = _plain(hold=(box(-80.0, -60.0, 30.0, x0=10.0),))
    assert [f.code for f in findings(load(reach=reach), held)] == (["stands-out"] if found else [])
    assert not list(findings(load(reach=reach), _plain(hold=(box(-80.0, -60.0, 30.0),))))


def _plain(**changes: Any) -> Setting:
    given: dict[str, Any] = {"stock": (), "part": (), "goal": (), "hold": (), "tools": rack(), "machine": machine()}
    return Setting(**{**given, **changes})
