"""Single-point threading figures against published tables, the geometry of the form, and the bounds of a machine."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.cutting.thread_form import ThreadForm, below_pitch_line, tool_depth, towards_chuck
from toolpath.cutting.threading import ThreadData, plan_thread, ramp, run_in, stopping
from toolpath.errors import CannotMake
from toolpath.shop.machine import Machine, machine_from
from toolpath.shop.materials import material
from toolpath.shop.tools import Tool

Lathe = Callable[..., Machine]
HALF = math.radians(30.0)


def metric(d: float, p: float, **changes: Any) -> ThreadForm:
    """Basic outside thread, ISO 68-1 and ISO 724: d2 = d - 0.649519 P, mating crest D1 = d - 1.082532 P."""
    form = ThreadForm(d / 2.0, (d - 0.649519 * p) / 2.0, (d - 1.082532 * p) / 2.0, p, HALF)
    return replace(form, **changes)


def metric_inside(d: float, p: float) -> ThreadForm:
    """Basic inside thread: bored to D1, cut at least to D."""
    return ThreadForm((d - 1.082532 * p) / 2.0, (d - 0.649519 * p) / 2.0, d / 2.0, p, HALF, inside=True)


# -- depth with the tool that is there ---------------------------------------------------------------------------------


@pytest.mark.parametrize("p", [0.5, 1.0, 1.5, 2.0])
@pytest.mark.parametrize(
    "flat, radius, height",
    [
        (0.0, 0.0, 0.757772),  # sharp: 7/8 H
        (0.125, 0.0, 0.649519),  # flat P/8
        (0.25, 0.0, 0.541266),  # flat P/4, the height of ISO 68-1 inside
        (0.0, 0.144338, 0.613435),  # radius H/6, the height h3 of ISO 68-1
    ],
)
def test_outside_depth_is_that_of_the_basic_profile(p: float, flat: float, radius: float, height: float) -> None:
    """ISO 68-1: H = 0.866025 P; all shares of P by its geometry."""
    depth = tool_depth(metric(20.0, p), flat=flat * p, radius=radius * p)
    assert depth.value == pytest.approx(height * p, abs=2e-6 * p)


@pytest.mark.parametrize("p, printed", [(1.0, 0.59), (1.25, 0.75), (1.5, 0.92), (1.75, 1.08), (2.0, 1.24)])
def test_inside_depth_is_that_of_a_makers_table(p: float, printed: float) -> None:
    """Sumitomo 2019-20 catalogue p. 415, inside, nose radius 0.06 mm: total depths, printed to 0.01 mm."""
    assert tool_depth(metric_inside(20.0, p), flat=0.0, radius=0.06).value == pytest.approx(printed, abs=0.0065)


@pytest.mark.parametrize("p, printed", [(0.75, 0.46), (1.0, 0.61), (1.25, 0.77), (1.5, 0.92), (2.0, 1.23), (3.0, 1.84)])
def test_outside_depth_with_the_full_root_radius_is_that_of_a_makers_table(p: float, printed: float) -> None:
    """Mitsubishi Materials, external threading: totals, printed to 0.01 mm, of inserts with the ISO root radius."""
    depth = tool_depth(metric(30.0, p), flat=0.0, radius=0.144338 * p)
    assert depth.value == pytest.approx(printed, abs=0.0065)


def test_whitworth_with_its_own_root_radius_reaches_its_core() -> None:
    """1/2 BSW, 12 an inch: effective 0.4466, core 0.3933 in (published chart); radius 0.137329 P, 55 degrees."""
    p = 25.4 / 12.0
    form = ThreadForm(25.4 * 0.25, 25.4 * 0.4466 / 2.0, 25.4 * 0.3933 / 2.0 + 0.05, p, math.radians(27.5))
    core = 2.0 * (form.crest - tool_depth(form, flat=0.0, radius=0.137329 * p).value) / 25.4
    assert core == pytest.approx(0.3933, abs=1e-4)


@given(
    p=st.floats(0.3, 4.0),
    half=st.floats(math.radians(14.0), math.radians(30.0)),
    blunt=st.floats(0.0, 0.9),
    rounded=st.booleans(),
)
def test_the_groove_is_half_a_pitch_wide_at_the_pitch_line(p: float, half: float, blunt: float, rounded: bool) -> None:
    """For any point: its width that far above its end, worked out from its flanks anew, is half a pitch."""
    sharp = p / 2.0 / (2.0 * math.tan(half))  # from the pitch line to where the flanks would meet
    flat = 0.0 if rounded else blunt * p / 2.0
    radius = blunt * sharp / (1.0 / math.sin(half) - 1.0) if rounded else 0.0
    below = below_pitch_line(p, half, flat=flat, radius=radius)
    apex = below + (radius / math.sin(half) - radius if rounded else flat / (2.0 * math.tan(half)))
    assert 2.0 * apex * math.tan(half) == pytest.approx(p / 2.0)
    assert below <= sharp + 1e-12


def test_two_starts_have_grooves_of_half_the_lead() -> None:
    """Two starts of lead 3 are as deep as one of pitch 1.5, from memory of every thread table."""
    one, two = metric(20.0, 1.5), metric(20.0, 1.5, lead=3.0, starts=2)
    assert tool_depth(two, flat=0.1, radius=0.0).value == tool_depth(one, flat=0.1, radius=0.0).value


@pytest.mark.parametrize("flat, radius", [(0.4, 0.0), (0.0, 0.35), (1.0, 0.0)])
def test_a_point_too_blunt_is_refused_with_figures(flat: float, radius: float) -> None:
    """At P 1 the mate reaches 0.541 mm below the crest: a point with 0.25 P at its end just does."""
    with pytest.raises(CannotMake, match=r"mating thread needs 0\.541"):
        tool_depth(metric(10.0, 1.0), flat=flat, radius=radius)
    assert tool_depth(metric(10.0, 1.0), flat=0.25, radius=0.0).value == pytest.approx(0.5413, abs=1e-4)


def test_a_crest_below_its_pitch_line_is_refused() -> None:
    with pytest.raises(CannotMake, match="does not stand over"):
        tool_depth(metric(10.0, 1.0, crest=4.0), flat=0.1, radius=0.0)


def test_the_way_to_run() -> None:
    """A right-hand screw advances as a right-hand drill under M03, so towards the chuck; each reversal turns it."""
    assert towards_chuck("right", forward=True) and towards_chuck("left", forward=False)
    assert not towards_chuck("left", forward=True) and not towards_chuck("right", forward=False)


# -- run-in, stopping, speed -------------------------------------------------------------------------------------------


@pytest.fixture
def threaded(lathe: Lathe, drawer: dict[int, Tool]) -> Callable[..., ThreadData]:
    def planned(*, name: str = "mild-steel", room: float = 2.0, tool: int = 9, form: Any = None, **changes: Any):  # type: ignore[no-untyped-def]
        machine = lathe(**({"spindle_encoder": "index"} | changes))
        return plan_thread(material(name), drawer[tool], machine, form or metric(10.0, 1.5), room=room)

    return planned


@pytest.mark.parametrize(
    "rpm, lead, accel, way",
    [(500.0, 1.5, 100.0, 0.78), (1000.0, 2.0, 100.0, 5.6), (1000.0, 2.0, 200.0, 2.778), (600.0, 1.5, 200.0, 0.56)],
)
def test_the_ramp_is_that_of_worked_examples(lathe: Lathe, rpm: float, lead: float, accel: float, way: float) -> None:
    """v^2 / (2 a): public documentation of a turning control and examples computed from its formula."""
    assert ramp(lead, rpm, lathe(accel_z=accel)) == pytest.approx(way, rel=0.01)


@pytest.mark.parametrize("rpm, lead, way", [(500.0, 1.5, 1.50), (800.0, 1.5, 2.40), (1000.0, 2.0, 4.01)])
def test_the_run_in_is_no_shorter_than_a_slow_servo_asks_for(lathe: Lathe, rpm: float, lead: float, way: float) -> None:
    """A lathe controller's manual: S1 = n F / 1800 (-1 - ln A), here for a pitch error A of 1 %; up to 1000 rpm."""
    assert rpm * lead / 1800.0 * (-1.0 - math.log(0.01)) == pytest.approx(way, abs=0.006)
    assert run_in(lead, rpm, lathe(spindle_encoder="index")).value >= way - 0.006


def test_one_pulse_a_turn_needs_a_longer_run_in_and_a_caution(threaded: Callable[..., ThreadData]) -> None:
    index, pulse = threaded(), threaded(spindle_encoder="pulse")
    assert pulse.run_in.value - index.run_in.value == pytest.approx(3 * 1.5)
    assert any("one pulse a turn" in c for c in pulse.cautions)
    assert not any("one pulse a turn" in c for c in index.cautions)


def test_without_an_encoder_die_or_tap_is_offered(threaded: Callable[..., ThreadData]) -> None:
    with pytest.raises(CannotMake, match="die or a tap"):
        threaded(spindle_encoder="none")


def test_a_machine_that_does_not_say_has_no_encoder() -> None:
    machine = machine_from({"name": "x", "min_rpm": 100, "max_rpm": 2000, "power_w": 400})
    assert machine.spindle_encoder == "none"
    assert any(line.startswith("spindle_encoder = none: ") for line in machine.defaults_used)


def test_each_bound_can_decide_the_speed(threaded: Callable[..., ThreadData]) -> None:
    fast = {"max_feed": 9000.0, "rapid_z": 20000.0, "accel_z": 5000.0, "chuck_max_rpm": 2400.0}
    assert "greatest feed" in threaded(max_feed=300.0).rpm.because
    assert threaded(max_feed=300.0).rpm.value == pytest.approx(200.0)  # 300 mm/min at lead 1.5
    assert threaded(**(fast | {"rapid_z": 600.0})).rpm.value == pytest.approx(0.8 * 600.0 / 1.5)
    assert "m/min at diameter 10" in threaded(**fast).rpm.because
    assert "chuck" in threaded(**(fast | {"chuck_max_rpm": 150.0})).rpm.because
    assert "stops within" in threaded(room=0.1).rpm.because
    assert threaded(drive="belts", belt_rpm=(120.0, 350.0, 900.0)).rpm.value == 350.0


def test_what_stops_in_the_undercut(threaded: Callable[..., ThreadData], lathe: Lathe) -> None:
    for room in (0.05, 0.2, 1.0, 5.0):
        data = threaded(room=room)
        assert data.stopping.value <= room + 1e-9
        assert stopping(1.5, data.rpm.value, lathe()).value == data.stopping.value


def test_too_slow_to_stop_is_refused(threaded: Callable[..., ThreadData]) -> None:
    with pytest.raises(CannotMake, match="slowest spindle speed, 100 rpm"):
        threaded(room=0.01)
    with pytest.raises(CannotMake, match="room to stop"):
        threaded(room=0.0)


def test_half_the_turning_speed(threaded: Callable[..., ThreadData]) -> None:
    """About half, a school's table of speeds; the surface speed names its shares."""
    fast = {"max_feed": 9000.0, "rapid_z": 20000.0, "accel_z": 5000.0, "chuck_max_rpm": 2400.0, "max_rpm": 2500.0}
    given = material("mild-steel").speed("HSS")
    assert threaded(**fast).surface.value == pytest.approx(given.rough * 0.5 * (0.6 if given.rigid else 1.0))


def test_no_pass_without_depth_where_metal_hardens(threaded: Callable[..., ThreadData]) -> None:
    """Widia 2017 and Tungaloy 2020-21: no zero-depth passes in work-hardening metal, none finer than 0.05 mm."""
    assert threaded(name="stainless-steel").springs.value == 0.0
    assert threaded(name="magnesium").springs.value == 0.0
    assert threaded().springs.value == 2.0
    assert threaded().finest.value == 0.05


def test_the_wrong_tool_is_refused_with_figures(threaded: Callable[..., ThreadData], drawer: dict[int, Tool]) -> None:
    with pytest.raises(CannotMake, match="no threading point"):
        threaded(tool=1)
    with pytest.raises(CannotMake, match="60 degrees, the thread has 55"):
        threaded(form=replace(metric(10.0, 1.5), half_angle=math.radians(27.5)))
    with pytest.raises(CannotMake, match=r"goes 4 mm deep, the thread takes 4\.443"):
        threaded(form=metric(64.0, 6.0))


def test_a_thread_inside_is_fast_at_its_root(threaded: Callable[..., ThreadData]) -> None:
    form = metric_inside(12.0, 1.5)
    data = threaded(form=form, tool=10)
    assert data.surface.value == pytest.approx(
        math.pi * 2.0 * (form.crest + data.whole.value) * data.rpm.value / 1000.0
    )
