"""The stepped shaft of these tests: its drawing as exact lines and arcs, its bar, collet, tools and program text."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from posts.dialect import load_dialect
from posts.reader import read
from toolpath.geometry.elements import Chain, Line, Point, arc_about, polyline
from toolpath.motion import Program
from toolpath.proof.prove import Proof, prove
from toolpath.proof.setting import Setting
from toolpath.shop.machine import Machine, load_machine
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

HERE = Path(__file__).parent
SHAFT_TEXT = (HERE / "shaft.nc").read_text()


def box(z0: float, z1: float, x1: float, *, x0: float = 0.0) -> Chain:
    return polyline([(z0, x0), (z1, x0), (z1, x1), (z0, x1)], close=True)


def shaft(back: float) -> Chain:
    """Diameters 10, 16, 18 with a chamfer, a 1 mm fillet and round, a taper; closed at z = `back`."""
    p: list[Point] = [(0.0, 0.0), (0.0, 4.0), (-1.0, 5.0), (-9.0, 5.0)]
    fillet = arc_about((-9.0, 6.0), (-9.0, 5.0), (-10.0, 6.0), ccw=False)
    wall = Line((-10.0, 6.0), (-10.0, 7.0))
    corner = arc_about((-11.0, 7.0), (-10.0, 7.0), (-11.0, 8.0), ccw=True)
    rest: list[Point] = [(-11.0, 8.0), (-20.0, 8.0), (-26.0, 9.0), (back, 9.0), (back, 0.0), (0.0, 0.0)]
    return (*polyline(p), fillet, wall, corner, *polyline(rest))


STOCK = (box(-60.0, 1.0, 10.0),)
PART = (shaft(-30.0),)
BAR: Chain = (  # what stays in the collet, with the corner that the finishing tool's 0.2 mm nose leaves
    *polyline([(-60.0, 10.0), (-60.0, 0.0), (-32.0, 0.0), (-32.0, 9.0), (-32.3, 9.0)]),
    arc_about((-32.3, 9.2), (-32.3, 9.0), (-32.5, 9.2), ccw=False),
    *polyline([(-32.5, 9.2), (-32.5, 10.0), (-60.0, 10.0)]),
)
GOAL = (PART[0], BAR)
HOLD = (box(-60.0, -42.0, 25.0, x0=10.0),)


@cache
def machine() -> Machine:
    return load_machine(HERE / "bench.toml")


@cache
def rack() -> dict[int, Tool]:
    return {t.number: t for t in load_rack(HERE / "rack.toml")}


def setting(**changes: Any) -> Setting:
    given: dict[str, Any] = {
        "stock": STOCK, "part": PART, "goal": GOAL, "hold": HOLD, "tools": rack(), "machine": machine(),
    }  # fmt: skip
    return Setting(**{**given, **changes})


def program(text: str = SHAFT_TEXT) -> Program:
    return read(text, load_dialect("g95"))


def proven(text: str = SHAFT_TEXT, **changes: Any) -> Proof:
    return prove(program(text), setting(**changes))


def codes(proof: Proof) -> set[str]:
    return {f.code for f in proof.findings}
