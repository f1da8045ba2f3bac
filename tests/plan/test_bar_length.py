"""The length to saw, the bar in the spindle, and the speed at which its far end whips. Figures worked by hand."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from tests.plan.workshop import lathe, part, request
from toolpath.errors import CannotMake
from toolpath.part.stock import tube
from toolpath.plan.bar_length import saw_length, told, whip_rpm
from toolpath.plan.header import header
from toolpath.plan.plan import plan

PIN = part({"dia": 10, "to": 20})


def test_the_length_to_saw_is_what_stands_out_and_one_diameter_of_grip() -> None:
    """A pin of 20 from a bar of 16: what stands out, whatever blade and clearance take of it, and 16 mm of grip."""
    done = plan(request(PIN, dia=16.0, length=60.0))
    out = done.work.stick_out
    assert out >= 20.0 + 1.0 + 2.0 + 2.0  # part, face-off, blade of 2, twice the clearance of 1
    assert saw_length(done.work) == out + 16.0
    assert told(done.request, done.work) == (
        f"Saw at least {out + 16:g} mm: part 20 + face-off 1 + blade and clearance {out - 21:g} + grip 16"
    )
    assert told(done.request, done.work) in header(done.request, done.work, done.operations)
    plan(request(PIN, dia=16.0, length=out + 16.0))


def test_a_bar_that_is_held_on_the_part_itself_is_sawn_to_its_length() -> None:
    """A pin of 20 in a bar of 22, faced close to the hold: 3 stand out, and yet 22 are sawn."""
    done = plan(request(PIN, dia=16.0, length=60.0))
    close, sawn = replace(done.work, stick_out=3.0, blade=None), tube(16.0, bore=0.0, length=22.0, front=1.0)
    assert saw_length(close) < 22.0
    told_of = told(replace(done.request, stock=sawn), close)
    assert told_of == "Saw the bar to 22 mm: part 20 + face-off 1 + 1 on the other end"


def test_a_steel_bar_half_a_metre_behind_the_spindle() -> None:
    """12 mm, E 206 GPa, 7.85 g/cm3: c = sqrt(206e9/7850) = 5122.7 m/s; 3.516 x 0.003 x 5122.7 / 0.25 = 216.1 rad/s."""
    assert whip_rpm(12.0, bore=0.0, behind=500.0, modulus=206.0, density=7.85) == pytest.approx(2064, rel=1e-3)


def test_the_root_of_the_cantilever() -> None:
    """cos b cosh b = -1 at b = 1.8751 (Euler-Bernoulli beam, held at one end)."""
    assert math.cos(1.8751) * math.cosh(1.8751) == pytest.approx(-1.0, abs=1e-4)


@pytest.mark.parametrize(("behind", "share"), [(250.0, 4.0), (1000.0, 0.25)])
def test_whip_comes_sooner_with_the_square_of_the_length(behind: float, share: float) -> None:
    one = whip_rpm(12.0, bore=0.0, behind=500.0, modulus=105.0, density=8.5)
    assert whip_rpm(12.0, bore=0.0, behind=behind, modulus=105.0, density=8.5) == pytest.approx(share * one)
    assert whip_rpm(12.0, bore=9.0, behind=500.0, modulus=105.0, density=8.5) == pytest.approx(1.25 * one)  # 15/12


@pytest.mark.parametrize(("bore", "refused"), [(15.0, True), (16.0, False), (0.0, False)])
def test_a_bar_that_does_not_go_into_the_spindle(bore: float, refused: bool) -> None:
    asked = request(PIN, dia=16.0, length=200.0, machine=replace(lathe(), spindle_bore=bore))
    if not refused:
        assert any("into the spindle" in c for c in plan(asked).cautions) == (bore == 0.0)
        return
    with pytest.raises(CannotMake, match=r"its 16 mm do not go into the spindle's bore of 15 mm\. Saw it to 4"):
        plan(asked)


def test_a_short_bar_asks_nothing_of_the_spindle() -> None:
    """27 mm stand out, 19 lie in the collet's nut, which is 20 long."""
    done = plan(request(PIN, dia=16.0, length=46.0, machine=replace(lathe(), spindle_bore=5.0)))
    assert not any("spindle" in c and "go into" in c for c in done.cautions)


def test_a_bar_that_would_whip_is_refused_and_a_little_shorter_one_is_not() -> None:
    """Brass of 16 mm, at most 2500 rpm: half of 3.516 x 4 x sqrt(105e9/8500) / L^2 is 261.8 rad/s at L = 307.2 mm."""
    most = 1e3 * math.sqrt(0.5 * 1.8751**2 * 0.004 * math.sqrt(105e9 / 8500.0) / (2500.0 * math.tau / 60.0))
    assert most == pytest.approx(307.2, abs=0.1)
    machine = replace(lathe(), spindle_bore=20.0, spindle_length=300.0)
    out = plan(request(PIN, dia=16.0, length=60.0)).work.stick_out
    plan(request(PIN, dia=16.0, length=out + 300.0 + most - 0.1, machine=machine))
    with pytest.raises(CannotMake, match="would whip: at 2500 rpm no more than 307 mm may"):
        plan(request(PIN, dia=16.0, length=out + 300.0 + most + 0.1, machine=machine))


@pytest.mark.parametrize(("long", "told"), [(38.0, False), (45.0, True)])
def test_more_than_three_diameters_stand_out(long: float, told: bool) -> None:
    """Support what stands out by more than 3 diameters (Woodstock M1099 lathe manual): 48 mm of a bar of 16."""
    done = plan(request(part({"dia": 14, "to": long}), dia=16.0, length=100.0))
    assert (done.work.stick_out > 48.0) == told
    assert any("more than 3 diameters, without a centre" in c for c in done.cautions) == told


def test_a_bar_that_a_later_set_up_pulls_out_is_sawn_no_more() -> None:
    """A pin of 20 and its face-off of 1, in the second set-up on the bar: the bar was sawn before the first."""
    then = plan(request(PIN, dia=16.0, length=60.0, number=2, count=2, zero="measured"))
    assert told(then.request, then.work) == (
        f"60 mm of the bar are left by now; at least {saw_length(then.work):g} mm are needed"
    )
    bare = plan(request(PIN, dia=16.0, length=60.0, number=2, count=2, zero="measured", turn_to=0.0, parted=False))
    assert saw_length(bare.work) < 21.0
    assert told(bare.request, bare.work) == "60 mm of the bar are left by now; at least 21 mm are needed"
