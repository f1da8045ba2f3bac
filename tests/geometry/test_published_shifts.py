"""Published tip coordinates of tapers and arcs: out of the kernel, and out of the text of a whole program.

Source of every figure: `program-language.md` section d, examples E9 to E12: E9, E10 from the shift formulas worked
there by construction; E11 a vocational school's course on nose compensation; E12 a machinists' forum on manual
compensation, in inches. X is a diameter in the source; here points are (z, x), x a radius, in mm.

A nose rolls around an outer corner, so a program made here has an arc where the published one has a vertex: such a
vertex is compared as the crossing of the straight ways on both sides of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

import msgspec
import pytest

from tests.geometry.strategies import nose_tool
from tests.plan.workshop import Piece, lathe, made, part, request
from toolpath.geometry.cutter import cutter
from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, arc_about, polyline, reverse
from toolpath.geometry.envelope import envelope
from toolpath.motion import ArcCut, Cut
from toolpath.plan.request import Request
from toolpath.shop.rack_rows import GroundRow
from toolpath.shop.rack_tools import tool_from

INCH = 25.4


class Example(NamedTuple):
    """nose: radius; bar: diameter of stock; rows: the part; outside: its chain from the front, without the face.

    vertices: published tips where two straight ways cross or meet; arcs: (start, end, radius, bulges) of tip arcs.
    """

    nose: float
    bar: float
    rows: list[Mapping[str, object]]
    outside: Chain
    vertices: list[Point]
    arcs: list[tuple[Point, Point, float, bool]]


def mm(*x_z: float) -> Point:
    """(X as a diameter in inches, Z in inches) of a published block as (z, x) in mm."""
    return (x_z[1] * INCH, x_z[0] / 2.0 * INCH)


FACE_TO_45 = Example(  # E9, 45 deg: edge X30 Z-5: tip X19.0627 Z0 to X30 Z-5.4686
    0.8, 32.0,
    [{"taper_to": 30, "from_dia": 20, "length": 5}, {"dia": 30, "length": 10}],
    polyline([(0.0, 10.0), (-5.0, 15.0), (-15.0, 15.0)]),
    [(0.0, 19.0627 / 2.0), (-5.4686, 15.0)],
    [],
)  # fmt: skip
FACE_TO_30 = Example(  # E9, 30 deg: edge X30 Z-8.6603: tip X19.3238 Z0 to X30 Z-9.2459
    0.8, 32.0,
    [{"half_angle": 30, "taper_to": 30, "from_dia": 20}, {"dia": 30, "length": 10}],
    polyline([(0.0, 10.0), (-8.66025404, 15.0), (-18.66025404, 15.0)]),
    [(0.0, 19.3238 / 2.0), (-9.2459, 15.0)],
    [],
)  # fmt: skip
BULGING = Example(  # E10: R5 from X30 Z0 to X40 Z-5: tip X28.4 Z0 to X40 Z-5.8, G03 I0 K-5.8
    0.8, 42.0,
    [{"radius": 5}, {"dia": 40, "length": 20}],
    (arc_about((-5.0, 15.0), (0.0, 15.0), (-5.0, 20.0), ccw=True), Line((-5.0, 20.0), (-20.0, 20.0))),
    [],
    [((0.0, 14.2), (-5.8, 20.0), 5.8, True)],
)  # fmt: skip
HOLLOW = Example(  # E10, the foot of E1: R3 from X20 Z-29 to X26 Z-32: tip X20 Z-29.8 to X24.4 Z-32, R2.2
    0.8, 36.0,
    [{"dia": 20, "to": 29}, {"quarter_hollow": 3, "goes": "rising"}, {"dia": 34, "length": 8}],
    (
        Line((0.0, 10.0), (-29.0, 10.0)),
        arc_about((-29.0, 13.0), (-29.0, 10.0), (-32.0, 13.0), ccw=False),
        *polyline([(-32.0, 13.0), (-32.0, 17.0), (-40.0, 17.0)]),
    ),
    [],
    [((-29.8, 10.0), (-32.0, 12.2), 2.2, False)],
)  # fmt: skip
COURSE = Example(  # E11: X30 Z0, X50 Z-10, X70 Z-10, X80 Z-15 R5: X29.0627 Z0, X49.0627 Z-10, X68.4 Z-10, X80 Z-15.8
    0.8, 82.0,
    [{"taper_to": 50, "from_dia": 30, "length": 10}, {"radius": 5, "on": "edge"}, {"dia": 80, "length": 20}],
    (
        *polyline([(0.0, 15.0), (-10.0, 25.0), (-10.0, 35.0)]),
        arc_about((-15.0, 35.0), (-10.0, 35.0), (-15.0, 40.0), ccw=True),
        Line((-15.0, 40.0), (-30.0, 40.0)),
    ),
    [(0.0, 29.0627 / 2.0), (-10.0, 49.0627 / 2.0)],
    [((-10.0, 34.2), (-15.8, 40.0), 5.8, True)],
)  # fmt: skip
_C, _R, _W = mm(2.3408, -0.062), 0.062 * INCH, math.radians(5.0)
_FOOT = (_C[0] + _R * math.sin(_W), _C[1] + _R * math.cos(_W))
FORUM = Example(  # E12, inch: face, R .062, 5 deg taper; nose .031: tip X2.2788 Z0 to X2.4641 Z-.0849, radius .093
    0.031 * INCH, 65.1,  # the end of the taper comes to 65.01
    [{"radius": "0.062 in"}, {"half_angle": 5, "from_dia": "2.4544 in", "length": "0.6 in", "goes": "rising"}],
    (
        arc_about(_C, (0.0, _C[1]), _FOOT, ccw=True),
        Line(_FOOT, (_FOOT[0] - 10.0, _FOOT[1] + 10.0 * math.tan(_W))),
    ),
    [],
    [(mm(2.2788, 0.0), mm(2.4641, -0.0849), 0.093 * INCH, True)],
)  # fmt: skip

ALL = {"E9 45 deg": FACE_TO_45, "E9 30 deg": FACE_TO_30, "E10 convex": BULGING, "E10 hollow": HOLLOW,
       "E11": COURSE, "E12": FORUM}  # fmt: skip
PUBLISHED = {"E12": 0.0001 * INCH}
"""mm: last digit of a source in inches, and half of it on a radius; the others print 0.0001 mm."""


def found(path: list[Element], ex: Example, *, near: float) -> None:
    """Every published vertex and tip arc lies on the path within `near`, mm."""
    lines = [e for e in path if isinstance(e, Line) and e.length > 0.05]
    crossings = [p for i, e in enumerate(lines) for f in lines[i + 1 : i + 3] if (p := crossing(e, f))]
    for v in ex.vertices:
        assert min(math.dist(v, p) for p in crossings) <= near, f"no straight ways cross at {v}: {crossings}"
    for a, b, radius, bulges in ex.arcs:
        fits = [e for e in path if isinstance(e, Arc) and math.dist(e.a, a) <= near and math.dist(e.b, b) <= near]
        assert fits, f"no arc from {a} to {b} in {path}"
        assert fits[0].radius == pytest.approx(radius, abs=near)
        assert (fits[0].sweep > 0.0) is bulges


def crossing(e: Line, f: Line) -> Point | None:
    """Where the two lines meet when they are made longer."""
    (p, q), (r, s) = e.tangent_at(0.0), f.tangent_at(0.0)
    d = p * s - q * r
    if abs(d) < 1e-6:
        return None
    t = ((f.a[0] - e.a[0]) * s - (f.a[1] - e.a[1]) * r) / d
    return (e.a[0] + t * p, e.a[1] + t * q)


@pytest.mark.parametrize("name", ALL)
def test_out_of_the_kernel(name: str) -> None:
    """The part from its face back, under a nose whose edges stand clear of it; travelled towards the chuck."""
    ex = ALL[name]
    top = ex.outside[0].a
    face = Line((0.0, 0.0), top)
    keep = reverse((Line((60.0, 0.0), (0.0, 0.0)), face, *ex.outside))
    cut = cutter(nose_tool(ex.nose, (math.radians(20.0), math.radians(87.0)), tip=-1, long=(60.0, 60.0)))
    found(list(reverse(envelope(keep, cut).path)), ex, near=PUBLISHED.get(name, 1e-4))


@cache
def piece(name: str) -> Piece:
    ex = ALL[name]
    return made(asked(ex))


def asked(ex: Example) -> Request:
    ground = tool_from(
        GroundRow(
            number=1, entering=93.0, included=60.0, nose_radius=ex.nose, edge=12.0, overhang=40.0, material="carbide"
        )
    )
    large = msgspec.structs.replace(lathe(), chuck_diameter=160.0)
    return request(
        part(*ex.rows),
        rack=(ground,),
        machine=large,
        dia=ex.bar,
        length=250.0,
        held_in="chuck",
        parted=False,
        stub=0.0,
    )


@pytest.mark.parametrize("name", ALL)
def test_out_of_the_text_of_a_program(name: str) -> None:
    """The finish cut as it is read back from the text, to a digit of the control more than the source prints."""
    ex = ALL[name]
    steps = piece(name).operation("finish").steps
    path: list[Element] = []
    for s in steps:
        if isinstance(s, ArcCut):
            path.append(arc_about(s.centre, s.start, s.end, ccw=s.ccw))
        elif isinstance(s, Cut):
            path.append(Line(s.start, s.end))
    # The face is cut by the facing: its way, X ever less at Z0, is the first of the two lines at the front.
    path.insert(0, Line((0.0, 0.0), (0.0, 1.0)))
    found(path, ex, near=2e-3 if name != "E12" else 4e-3)
    assert piece(name).stops == []
    assert piece(name).proof.gouge_mm <= 1e-4 + 0.0005 + 6e-5
