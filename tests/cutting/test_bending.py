"""Bending of work and bars: the closed form against an integration of the bending line, and what the planner allows.

The integration knows the beam equation y'' = M / (E I) alone and solves it by Gauss-Legendre quadrature (numpy), no
formula of a handbook.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.cutting import bench, bending, depths
from toolpath.cutting import formulas as f
from toolpath.cutting.turning import plan_turning
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material, material
from toolpath.shop.tools import Tool

NODES, WEIGHTS = np.polynomial.legendre.leggauss(12)


def quadrature(function: Callable[[np.ndarray], np.ndarray], end: float) -> float:
    """The integral of a function from 0 to `end`."""
    return float(end / 2.0 * np.sum(WEIGHTS * function((NODES + 1.0) * end / 2.0)))


def second_moment_by_area(diameter: float) -> float:
    """Integral of y2 dA over a disc: strips of height dy, width 2 sqrt(r2 - y2), with y = r sin t."""
    r = diameter / 2.0
    return 4.0 * r**4 * quadrature(lambda t: np.sin(t) ** 2 * np.cos(t) ** 2, math.pi / 2.0)


def end_sinks(force: float, *, length: float, modulus: float, moment: float) -> float:
    """mm: the integral of (L - x) M(x) / (E I), M = F (L - x), which is y'' integrated twice from the clamped end."""
    return quadrature(lambda x: (length - x) * force * (length - x) / (modulus * moment), length)


SIZES = st.floats(1.0, 60.0), st.floats(0.5, 400.0), st.floats(0.1, 2000.0), st.floats(500.0, 600_000.0)


@given(*SIZES)
def test_closed_form_against_integration(d: float, length: float, force: float, modulus: float) -> None:
    moment = f.second_moment(d)
    assert moment == pytest.approx(second_moment_by_area(d), rel=1e-9)
    ours = f.cantilever_deflection(force, length=length, modulus=modulus, moment=moment)
    assert ours == pytest.approx(end_sinks(force, length=length, modulus=modulus, moment=moment), rel=1e-9)


@given(*SIZES)
def test_bending_scales_as_beams_do(d: float, length: float, force: float, modulus: float) -> None:
    """Eight times over twice the length, a sixteenth at twice the diameter."""
    one = f.cantilever_deflection(force, length=length, modulus=modulus, moment=f.second_moment(d))
    long = f.cantilever_deflection(force, length=2 * length, modulus=modulus, moment=f.second_moment(d))
    thick = f.cantilever_deflection(force, length=length, modulus=modulus, moment=f.second_moment(2 * d))
    assert (long / one, thick / one) == (pytest.approx(8.0), pytest.approx(1 / 16))


@pytest.mark.parametrize(("name", "d", "out"), [("acetal", 8.0, 24.0), ("ptfe", 6.0, 12.0), ("nylon", 6.0, 18.0)])
def test_the_depth_that_is_allowed_bends_the_work_no_more(
    name: str, d: float, out: float, drawer: dict[int, Tool], lathe: Callable[..., Machine]
) -> None:
    """The depth given for slender work, put back into the integration with the same share of the force: 0.05 mm."""
    m, tool = material(name), replace(drawer[2], honed=False)
    data = plan_turning(m, tool, lathe(), operation="rough", diameter_max=d, diameter_min=d / 2.0, stick_out=out)
    assert data.depth.because.startswith(f"{d:g} mm {m.title} standing out {out:g} mm gives way by 0.05 mm"), data
    assert bent(m, tool, d, out, feed=data.feed.value, depth=data.depth.value) == pytest.approx(0.05, rel=1e-6)


def bent(m: Material, tool: Tool, d: float, out: float, *, feed: float, depth: float) -> float:
    """mm: kc = kc1.1 h^-mc, margin for makers who differ, a quarter of the force pushes the work away."""
    chip = feed * math.sin(tool.edges[0])
    force = bench.FORCE_MARGIN * m.kc11 * chip**-m.mc * depth * feed
    return end_sinks(bench.RADIAL_SHARE * force, length=out, modulus=1000 * m.modulus, moment=second_moment_by_area(d))


def test_within_the_nose_the_force_turns_radial(drawer: dict[int, Tool]) -> None:
    """Half of it instead of a quarter, so half the depth bends as much (Isakov's shares, common practice)."""
    tool, m = drawer[1], material("mild-steel")
    shallow, deep = (bending.radial_force(m, tool, feed=0.1, depth=d) for d in (0.2, 0.4))
    assert shallow == pytest.approx(deep)
    for give in (1e-4, 1e-3, 5e-3):
        depth = bending.depth_that_bends(m, tool, feed=0.1, give=give)
        assert give * bending.radial_force(m, tool, feed=0.1, depth=depth) <= 0.05 * (1.0 + 1e-9)


@pytest.mark.parametrize("name", ["brass", "stainless-steel", "nylon"])
def test_a_blade_is_pressed_down_no_more(name: str, drawer: dict[int, Tool]) -> None:
    """b h^3 / 12 of the blade on edge, F L^3 / (3 E I): at the feed found its edge sinks by 0.03 mm."""
    m, tool = material(name), drawer[4]
    feed = bending.feed_that_sinks(m, tool).value
    force = bench.FORCE_MARGIN * m.kc11 * feed**-m.mc * tool.width * feed
    moment = tool.width * bench.BLADE_HEIGHT**3 / 12.0
    assert end_sinks(force, length=tool.reach, modulus=210_000.0, moment=moment) == pytest.approx(0.03, rel=1e-6)


def test_a_bar_gives_way_no_more(drawer: dict[int, Tool]) -> None:
    """The bound of a 4 mm steel boring bar 16 mm out, E = 210 GPa, against the same integration."""
    m, tool, feed = material("mild-steel"), drawer[8], 0.05
    assert tool.bar is not None
    found = depths._by_deflection(m, tool, feed=feed, bends=bending.of_bar(tool.bar))
    force = bench.FORCE_MARGIN * m.kc11 * (feed * math.sin(tool.edges[0])) ** -m.mc * found.value * feed
    sinks = end_sinks(
        bench.RADIAL_SHARE * force,
        length=tool.bar.reach,
        modulus=210_000.0,
        moment=second_moment_by_area(min(tool.bar.diameter, tool.bar.neck)),
    )
    assert sinks == pytest.approx(0.05, rel=1e-6)
