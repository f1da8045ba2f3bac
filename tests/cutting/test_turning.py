"""Figures of whole operations: each bound decides in its turn, and says so."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.cutting import formulas as f
from toolpath.cutting.turning import CuttingData, plan_turning
from toolpath.errors import BadInput, CannotMake, HalfsectionError
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Speeds, material, names
from toolpath.shop.tools import Tool

Lathe = Callable[..., Machine]
BRASS, STEEL = material("brass"), material("mild-steel")


def plan(mat: Any, tool: Tool, machine: Machine, operation: str = "rough", **more: Any) -> CuttingData:
    given_ = {"diameter_max": 25.0, "diameter_min": 10.0, "stick_out": 50.0} | more
    return plan_turning(mat, tool, machine, operation=operation, **given_)


def test_roughing_brass_on_the_bench(drawer: dict[int, Tool], lathe: Lathe) -> None:
    d = plan(BRASS, drawer[1], lathe())
    assert d.surface.value == pytest.approx(180 * 0.6)
    assert "Carvill" in d.surface.because and "times 0.6 for a bench machine" in d.surface.because
    assert d.rpm.value == pytest.approx(108_000 / (math.pi * 25))
    assert (d.feed.value, d.feed.because) == (0.15, "roughing on a bench machine (common practice)")
    assert d.limit_rpm.because == "the chuck stands 2000 rpm"
    assert d.leave_x.value == 0.2 and d.leave_z.value == 0.1


def test_power_bound_is_the_power_formula_backwards(drawer: dict[int, Tool], lathe: Lathe) -> None:
    d = plan(STEEL, drawer[1], lathe())
    assert d.depth.because.startswith("500 W at 1451 rpm, mild steel taking")
    kc = 1.4 * 1350 * (0.15 * math.sin(math.radians(95))) ** -0.21
    used = f.cutting_power(d.surface.value, depth=d.depth.value, feed=0.15, specific=kc, efficiency=0.75)
    assert used == pytest.approx(500, rel=1e-9)


def test_a_small_motor_gives_less_below_its_base_speed(drawer: dict[int, Tool], lathe: Lathe) -> None:
    fast, slow = (plan(material("titanium"), drawer[1], lathe(full_power_rpm=n)) for n in (200.0, 900.0))
    assert slow.depth.value < fast.depth.value
    assert slow.depth.because.startswith(f"{500 * slow.rpm.value / 900:.0f} W at")


@pytest.mark.parametrize(
    ("changes", "mat", "number", "because"),
    [
        ({"power_w": 3000.0, "rigidity": "light"}, "mild-steel", 1, "a light machine of 3000 W"),
        ({"power_w": 3000.0, "rigidity": "stiff"}, "brass", 1, "free-cutting brass with carbide (handbook appendix)"),
        ({"power_w": 3000.0, "rigidity": "stiff"}, "aluminium", 6, "half the radius of a round tool"),
    ],
)
def test_each_bound_of_depth_decides_in_its_turn(
    drawer: dict[int, Tool], lathe: Lathe, changes: dict[str, Any], mat: str, number: int, because: str
) -> None:
    d = plan(material(mat), drawer[number], lathe(**changes), stick_out=20.0)
    assert because in d.depth.because


def test_the_tools_edge_bounds_the_depth(drawer: dict[int, Tool], lathe: Lathe) -> None:
    short = replace(drawer[1], edge_length=0.9, max_depth=0.6)
    d = plan(BRASS, short, lathe(power_w=3000.0), stick_out=20.0)
    assert d.depth.value == 0.6 and d.depth.because.startswith("2/3 of the 0.9 mm edge")


def test_thin_work_bends_before_the_motor_stalls(drawer: dict[int, Tool], lathe: Lathe) -> None:
    """The bound is the cantilever formula: with the depth found, the free end gives way by 0.05 mm, no more."""
    mat = material("acetal")
    d = plan(mat, drawer[2], lathe(), diameter_max=5.0, diameter_min=3.0, stick_out=15.0)
    assert "5 mm acetal (POM) standing out 15 mm gives way by 0.05 mm" in d.depth.because
    force = 0.25 * 1.4 * f.specific_force(150, 0.2, feed=d.feed.value, entering=drawer[2].edges[0])
    y = f.cantilever_deflection(
        force * d.feed.value * d.depth.value, length=15, modulus=2800, moment=f.second_moment(5)
    )
    assert y == pytest.approx(0.05, rel=1e-9)


def test_slender_work_is_cut_lightly_and_then_not_at_all(drawer: dict[int, Tool], lathe: Lathe) -> None:
    """Woodstock M1099 manual: 3 diameters may stand out; light cuts to 4, common practice."""
    near, far = (plan(BRASS, drawer[1], lathe(), stick_out=s) for s in (75.0, 75.1))
    assert far.depth.value == pytest.approx(near.depth.value / 2, rel=1e-6)
    assert far.depth.because.startswith("half, for it stands out 3 diameters")
    with pytest.raises(
        CannotMake, match=r"101 mm of diameter 25 standing out is 4.04 diameters.*at most 4 are safe, 100 mm"
    ):
        plan(BRASS, drawer[1], lathe(), stick_out=101.0)


def test_too_limber_for_any_edge(drawer: dict[int, Tool], lathe: Lathe) -> None:
    with pytest.raises(CannotMake, match=r"could cut only 0\.\d+ mm deep .* honed edge cuts is 0.05 mm"):
        plan(material("nylon"), drawer[1], lathe(), diameter_max=0.6, diameter_min=0.5, stick_out=2.3)


def test_a_cut_within_the_nose_is_remarked(drawer: dict[int, Tool], lathe: Lathe) -> None:
    d = plan(STEEL, replace(drawer[1], nose_radius=0.8), lathe())
    assert d.depth.value < 2 / 3 * 0.8
    assert d.depth.because.endswith("that lies within the nose, so the force turns radial")


def test_finish_feed_comes_from_nose_and_wanted_finish(drawer: dict[int, Tool], lathe: Lathe) -> None:
    """f = sqrt(32 r Ra) for half the wanted Ra, since a real surface is up to twice as rough as the theory."""
    d = plan(BRASS, drawer[2], lathe(), "finish", finish_um=0.8)
    assert d.feed.because == "finish 0.8 um Ra with 0.2 nose"
    assert d.feed.value == pytest.approx(math.sqrt(32 * 0.2 * 0.0004))
    assert f.finish_average(d.feed.value, 0.2) * 1000 * 2 == pytest.approx(0.8)
    assert d.depth == d.leave_x and d.depth.value == 0.1
    coarse = plan(BRASS, drawer[2], lathe(), "finish", finish_um=6.3)
    assert (coarse.feed.value, coarse.feed.because) == (pytest.approx(0.08), "0.4 of the nose radius 0.2")
    strong = plan(BRASS, drawer[1], lathe(), "finish", finish_um=6.3)
    assert (strong.feed.value, strong.feed.because) == (0.10, "finishing on a bench lathe (common practice)")


def test_a_finish_finer_than_the_edge_can_cut_is_refused(drawer: dict[int, Tool], lathe: Lathe) -> None:
    with pytest.raises(
        CannotMake, match=r"can not turn 0.1 um Ra: that needs 0.018 mm/rev.* about 0.12 um is the finest"
    ):
        plan(BRASS, drawer[2], lathe(), "finish", finish_um=0.1)
    with pytest.raises(CannotMake, match="a sharp point leaves a thread"):
        plan(BRASS, replace(drawer[2], nose_radius=0.0), lathe(), "finish", finish_um=3.2)
    with pytest.raises(CannotMake, match="a finish of 0 um"):
        plan(BRASS, drawer[2], lathe(), "finish", finish_um=0.0)


def test_least_chip_lifts_a_feed(drawer: dict[int, Tool], lathe: Lathe) -> None:
    d = plan(BRASS, replace(drawer[3], nose_radius=0.05), lathe())
    assert (d.feed.value, d.feed.because) == (
        0.05,
        "the least chip a honed edge cuts; 0.4 of the nose radius 0.05 would be less",
    )


def test_the_machines_greatest_feed_bounds_at_the_fastest_spindle(drawer: dict[int, Tool], lathe: Lathe) -> None:
    """Facing with the surface speed held ends at the chuck's 2000 rpm: 150 mm/min are 0.075 mm there."""
    d = plan(BRASS, drawer[1], lathe(max_feed=150.0), "face", diameter_min=0.0)
    assert d.feed.value == pytest.approx(0.075)
    assert d.feed.because == "the machine's greatest feed, 150 mm/min, at 2000 rpm"
    fixed = plan(STEEL, drawer[1], lathe(max_feed=150.0, constant_surface_speed=False), "face", diameter_min=0.0)
    assert fixed.feed.value == pytest.approx(150 / fixed.rpm.value)


def test_fixed_speed_is_that_of_the_greatest_diameter(drawer: dict[int, Tool], lathe: Lathe) -> None:
    d = plan(BRASS, drawer[1], lathe(constant_surface_speed=False), diameter_max=10.0, stick_out=20.0, diameter_min=5.0)
    assert (d.rpm.value, d.rpm.because) == (2000, "the chuck stands 2000 rpm")
    assert d.surface.value == pytest.approx(f.surface_speed(10.0, 2000))
    free = plan(BRASS, drawer[1], lathe(), diameter_max=10.0, diameter_min=5.0, stick_out=20.0, in_chuck=False)
    assert free.limit_rpm.because == "the spindle's greatest, 2500 rpm"


@pytest.mark.parametrize(
    ("number", "nose", "feed", "because"),
    [
        (1, 0.2, 0.10, "0.5 of the nose radius 0.2"),  # an 80 deg corner is a strong one
        (2, 0.2, 0.08, "0.4 of the nose radius 0.2"),
        (3, 0.2, 0.08, "0.4 of the nose radius 0.2"),
        (1, 0.4, 0.15, "roughing on a bench machine (common practice)"),
        (6, 3.0, 0.15, "roughing on a bench machine (common practice)"),
    ],
)
def test_roughing_feed_by_corner(
    drawer: dict[int, Tool], lathe: Lathe, number: int, nose: float, feed: float, because: str
) -> None:
    d = plan(BRASS, replace(drawer[number], nose_radius=nose), lathe())
    assert (d.feed.value, d.feed.because) == (pytest.approx(feed), because)


def test_each_material_bounds_the_feed_where_it_must(drawer: dict[int, Tool], lathe: Lathe) -> None:
    d = plan(material("acrylic"), drawer[1], lathe())
    assert (d.feed.value, d.feed.because) == (
        0.13,
        "acrylic (PMMA) (plastics guides, finishing plastics: at most 0.13)",
    )


@pytest.mark.parametrize(("rigidity", "share"), [("light", 0.5), ("bench", 0.6), ("stiff", 0.7)])
def test_speeds_of_heavy_machines_are_derated_and_bench_figures_are_not(
    drawer: dict[int, Tool], lathe: Lathe, rigidity: str, share: float
) -> None:
    """Ferrous Metals Data Book, coated carbide in mild steel: 190 to 290 m/min; Woodstock, HSS: 27 to 37."""
    m = lathe(rigidity=rigidity)
    assert plan(STEEL, drawer[1], m).surface.value == pytest.approx(190 * share)
    assert plan(STEEL, replace(drawer[1], material="HSS"), m).surface.value == 27
    assert plan(STEEL, replace(drawer[1], material="HSS"), m, "finish").surface.value == 37


def test_a_belt_step_that_fits_exactly_is_taken(drawer: dict[int, Tool], lathe: Lathe) -> None:
    hss = replace(drawer[1], material="HSS")
    exact = f.spindle_speed(45.0, 25.0)
    belts = lathe(drive="belts", belt_rpm=(200.0, exact, 900.0), constant_surface_speed=False)
    assert plan(BRASS, hss, belts).rpm.value == exact


def test_belts_are_rounded_down(drawer: dict[int, Tool], lathe: Lathe) -> None:
    belts = lathe(drive="belts", belt_rpm=(180.0, 1000.0, 560.0, 320.0), constant_surface_speed=False)
    d = plan(BRASS, drawer[1], belts)
    assert d.rpm.value == 1000.0 and d.rpm.because.startswith("the belt step below 1375 rpm")
    assert d.surface.value == pytest.approx(f.surface_speed(25, 1000))
    slow = plan(STEEL, replace(drawer[1], material="HSS"), belts, diameter_max=70.0)
    assert (slow.rpm.value, slow.rpm.because) == (180.0, "the slowest belt step, 180 rpm")


def test_a_spindle_that_can_not_go_slowly_enough(drawer: dict[int, Tool], lathe: Lathe) -> None:
    hss = replace(drawer[1], material="HSS")
    d = plan(material("silver-steel"), hss, lathe(min_rpm=150.0), diameter_max=30.0)
    assert d.rpm.because == "the spindle's least speed, 150 rpm"
    assert d.surface.value == pytest.approx(f.surface_speed(30, 150))  # more than the 12 m/min that were wanted
    with pytest.raises(
        CannotMake, match=r"the slowest spindle speed, 300 rpm, gives 28.3 m/min at diameter 30; 12 m/min"
    ):
        plan(material("silver-steel"), hss, lathe(min_rpm=300.0), diameter_max=30.0)


def test_belts_that_can_not_go_slowly_enough(drawer: dict[int, Tool], lathe: Lathe) -> None:
    belts = lathe(drive="belts", belt_rpm=(500.0, 1000.0), constant_surface_speed=False)
    with pytest.raises(CannotMake, match="the slowest spindle speed, 500 rpm"):
        plan(material("silver-steel"), replace(drawer[1], material="HSS"), belts)
    fast = lathe(min_rpm=1600.0, chuck_max_rpm=1500.0)
    with pytest.raises(CannotMake, match="1600 rpm, is above what is allowed: the chuck stands 1500 rpm"):
        plan(BRASS, drawer[1], fast)


def test_tool_material_that_is_unfit(drawer: dict[int, Tool], lathe: Lathe) -> None:
    only_hss = replace(BRASS, turn=Speeds(HSS=BRASS.turn.HSS))
    with pytest.raises(BadInput, match="free-cutting brass is not turned with carbide"):
        plan(only_hss, drawer[1], lathe())


def test_magnesium_is_not_fed_fine(drawer: dict[int, Tool], lathe: Lathe) -> None:
    """T.O. 1-1A-9: no rubbing, no fine feeds: neither near the axis, nor on a light machine, nor for a fine finish."""
    metal = material("magnesium")
    d = plan(metal, drawer[4], lathe(rigidity="light"), "part off", diameter_min=0.0)
    assert d.near_axis_feed is not None and d.feed.value == d.near_axis_feed.value == 0.05
    assert "the least feed in magnesium alloy (T.O. 1-1A-9: no fine feeds" in d.feed.because
    assert d.near_axis_feed.because == "no less near the axis: magnesium alloy burns where a tool rubs"
    fine = replace(drawer[2], honed=False)
    assert plan(BRASS, fine, lathe(), "finish", finish_um=0.4).feed.value < 0.05
    with pytest.raises(CannotMake, match=r"can not turn 0\.4 um Ra: .* the least feed in magnesium alloy"):
        plan(metal, fine, lathe(), "finish", finish_um=0.4)


def test_parting_off(drawer: dict[int, Tool], lathe: Lathe) -> None:
    """55 % of the turning speed, 0.05 mm/rev (War Department lathe manual), 30 % less near the axis (ZCC-CT 2019)."""
    d = plan(BRASS, drawer[4], lathe(), "part off", diameter_min=0.0)
    assert d.surface.value == pytest.approx(45 * 0.55)
    assert (d.feed.value, d.depth.value) == (0.05, 2.0)
    assert d.near_axis_feed is not None and d.near_axis_feed.value == pytest.approx(0.035)
    assert d.stub is not None and d.stub.value == 0.5
    stated = plan(BRASS, drawer[4], lathe(), "part off", diameter_min=0.0, stub=2.0).stub
    hollow = plan(BRASS, drawer[4], lathe(), "part off", diameter_min=8.0).stub
    assert stated is not None and (stated.value, stated.because) == (2.0, "as stated")
    thin = plan(BRASS, drawer[4], lathe(), "part off", diameter_max=0.8, diameter_min=0.0, stick_out=1.0).stub
    assert thin is not None and thin.value == 0.4  # never as thick as the work itself
    tube = plan(BRASS, drawer[4], lathe(), "part off", diameter_min=0.6).stub
    assert tube is not None and (tube.value, tube.because) == (0.6, "the part is hollow here")
    assert hollow is not None and (hollow.value, hollow.because) == (8.0, "the part is hollow here")


def test_a_narrow_blade_feeds_by_its_width(drawer: dict[int, Tool], lathe: Lathe) -> None:
    narrow = replace(drawer[4], width=1.0)
    d = plan(BRASS, narrow, lathe(), "part off", diameter_max=12.0, diameter_min=0.0, stick_out=20.0)
    assert d.feed.value == pytest.approx(0.04) and "0.04 of 1 mm blade width" in d.feed.because


def test_parting_that_can_not_be(drawer: dict[int, Tool], lathe: Lathe) -> None:
    with pytest.raises(CannotMake, match=r"may go 15 mm deep, parting diameter 40 takes 19.75 mm"):
        plan(BRASS, drawer[4], lathe(), "part off", diameter_max=40.0, diameter_min=0.0)
    with pytest.raises(CannotMake, match=r"T1 .* is not meant for parting off"):
        plan(BRASS, drawer[1], lathe(), "part off", diameter_min=0.0)
    with pytest.raises(CannotMake, match="is not meant for parting off"):
        plan(BRASS, replace(drawer[4], does=frozenset({"groove"})), lathe(), "part off", diameter_min=0.0)
    with pytest.raises(CannotMake, match="a stub of diameter 30 mm can not be left of diameter 25"):
        plan(BRASS, drawer[4], lathe(), "part off", diameter_min=0.0, stub=30.0)


def test_nothing_to_cut(drawer: dict[int, Tool], lathe: Lathe) -> None:
    with pytest.raises(CannotMake, match="nothing can be cut between diameters 10 and 10"):
        plan(BRASS, drawer[1], lathe(), diameter_max=10.0)
    with pytest.raises(ValueError, match="no operation is called 'knurl'"):
        plan(BRASS, drawer[1], lathe(), "knurl")


@settings(max_examples=100, deadline=None)
@given(
    name=st.sampled_from(names()),
    number=st.sampled_from([1, 2, 3, 4, 5, 6]),
    operation=st.sampled_from(["rough", "finish", "face", "part off"]),
    diameter=st.floats(1.0, 120.0),
    inner=st.floats(0.0, 0.95),
    slender=st.floats(0.0, 4.5),
    finish=st.one_of(st.none(), st.floats(0.05, 12.0)),
    css=st.booleans(),
    rigidity=st.sampled_from(["light", "bench", "stiff"]),
    power=st.floats(50.0, 2000.0),
)
def test_no_figure_ever_breaks_a_bound(
    drawer: dict[int, Tool],
    lathe: Lathe,
    name: str,
    number: int,
    operation: str,
    diameter: float,
    inner: float,
    slender: float,
    finish: float | None,
    css: bool,
    rigidity: str,
    power: float,
) -> None:
    """Whatever is asked: a refusal in words, or figures within machine, chuck, motor, edge and least chip."""
    mat, tool = material(name), drawer[number]
    m = lathe(constant_surface_speed=css, rigidity=rigidity, power_w=power)
    try:
        d = plan_turning(
            mat, tool, m, operation=operation, diameter_max=diameter, diameter_min=inner * diameter,
            stick_out=slender * diameter, finish_um=finish,
        )  # fmt: skip
    except HalfsectionError as refusal:
        assert len(str(refusal)) > 20
        return
    assert m.min_rpm <= d.rpm.value <= d.limit_rpm.value <= min(m.max_rpm, m.chuck_max_rpm)
    assert d.feed.value >= (0.05 if tool.honed else 0.02)
    assert d.feed.value * d.rpm.value <= m.max_feed * (1 + 1e-9)
    assert all(x.value > 0 and x.because for x in (getattr(d, name) for name in d.__struct_fields__) if x is not None)
    if operation in ("rough", "face"):
        assert d.depth.value <= min(tool.max_depth, 3.0)
        kc = f.specific_force(mat.kc11, mat.mc, feed=d.feed.value, entering=tool.edges[0])
        assert f.cutting_power(d.surface.value, depth=d.depth.value, feed=d.feed.value, specific=kc) <= power
    if operation == "finish" and finish is not None and d.feed.value > 0.051:
        assert f.finish_average(d.feed.value, tool.nose_radius) * 1000 <= finish / 2 * (1 + 1e-9)
