"""The proof of a drilled hole: what it takes off in closed form, and the faults that break drills."""

from __future__ import annotations

import math

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.geometry.elements import polyline
from toolpath.motion import (
    Cut,
    Dwell,
    End,
    Feed,
    FeedMode,
    Operation,
    Program,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    State,
    Step,
    ToolCall,
)
from toolpath.passes.drill import Hole, drill
from toolpath.passes.legs import Pace
from toolpath.proof.prove import Proof, prove
from toolpath.shop.tools import Tool

from tests.passes.hole_tools import hole_tool  # isort: skip
from tests.proof.bench import box, codes, machine, setting  # isort: skip
from tests.proof.drilled import BOTTOM, HOLLOW_MM3, POINT, TEXT, WRITTEN, drilled  # isort: skip


def line_of(text: str, block: str) -> int:
    return text[: text.index(block)].count("\n") + 1


def stops(proof: Proof) -> set[str]:
    return {f.code for f in proof.findings if f.rank == "stop"}


def test_a_sound_hole() -> None:
    """Volume: pi r2 (depth + a third of the point). Nothing found, nothing left, nothing lost, but the last digit."""
    proof = drilled()
    assert not proof.findings
    assert proof.removed_mm3 == pytest.approx(HOLLOW_MM3 + math.pi * 9.0 * (BOTTOM - WRITTEN), rel=1e-6)
    assert proof.gouge_mm <= 6e-4 and proof.uncut_mm <= 6e-4


def test_time_of_a_hole() -> None:
    """Feed moves: 16 mm and 6 mm at 96 mm/min, the point at half of it, with ramps between rest and 1.6 mm/s."""
    proof = drilled()
    plain = (16.0 + 6.0) / 1.6 + POINT / 0.8
    assert proof.cutting_seconds + proof.air_seconds == pytest.approx(plain, abs=0.05)
    assert proof.cutting_seconds == pytest.approx(20.0 / 1.6 + POINT / 0.8, rel=0.03)


FAULTS = {  # what went wrong: (what stood there, what stands there now, the code, the block to blame)
    "a rapid into metal": ("G01 Z-15.", "G00 Z-15.", "rapid-contact", "G00 Z-15."),
    "back in too far": ("G00 Z-14.", "G00 Z-16.", "rapid-contact", "G00 Z-16."),
    "sideways in the hole at feed": ("G01 Z-20.\n", "G01 Z-18.\nG01 X1.\nG01 X0.\nG01 Z-20.\n", "off-axis", "G01 X1."),
    "sideways in the hole at a rapid": ("G00 Z-14.\n", "G00 Z-14.\nG00 X0.4\nG00 X0.\n", "off-axis", "G00 X0.4"),
    "left before it is out": ("G00 Z1.\nG00 Z5.\nG00 X80.", "G00 Z-2.\nG00 X80.", "off-axis", "G00 X80."),
    "beside the axis": ("G00 X0.\n", "G00 X0.4\n", "off-axis", "G01 Z-15."),
    "too deep for the part": ("G01 Z-20.\n", "G01 Z-25.\n", "gouge", "G01 Z-25."),
    "spindle not started": ("G97 S1200 M03", "G97 S1200", "spindle-off", ""),
    "spindle the wrong way": ("G97 S1200 M03", "G97 S1200 M04", "wrong-sense", "G01 Z-15."),
    "constant surface speed": ("G97 S1200 M03", "G96 S20 D1800 M03", "surface-on-axis", "G01 Z-15."),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_is_found(name: str) -> None:
    before, after, code, blamed = FAULTS[name]
    assert before in TEXT
    text = TEXT.replace(before, after, 1)
    if code == "spindle-off":
        text = text.replace("G95 F0.08", "G94 F96.").replace("\nF0.04", "\nF48.")
    proof = drilled(text)
    assert code in stops(proof)
    if blamed:
        assert line_of(text, blamed) in [f.line for f in proof.findings if f.code == code]


@pytest.mark.parametrize(("flutes", "found"), [(30.0, False), (20.0 + POINT + 0.01, False), (20.0, True), (12.0, True)])
def test_deeper_than_the_flutes(flutes: float, *, found: bool) -> None:
    """The point goes 20 mm and its own length deep; the shank is as thick as the drill: only the flutes tell."""
    proof = drilled(tool=hole_tool(7, flutes=flutes))
    assert ("too-deep" in stops(proof)) is found
    for f in proof.findings:
        if f.code == "too-deep":
            assert f.size_mm == pytest.approx(20.0 + POINT - flutes, abs=2e-3)
            assert f.line == line_of(TEXT, f"G01 Z{WRITTEN}")


def test_depth_counts_from_where_the_wall_begins() -> None:
    """A drill at the bottom of a wide bore has the depth of its own hole only."""
    wide = [(-60.0, 10.0), (-60.0, 0.0), (-10.0, 0.0), (-10.0, 5.0), (0.0, 5.0), (0.0, 10.0)]
    given = {"stock": (polyline(wide, close=True),), "part": (box(-60.0, -50.0, 10.0),)}
    assert "too-deep" not in codes(drilled(tool=hole_tool(7, flutes=15.0), **given))
    assert "too-deep" in codes(drilled(tool=hole_tool(7, flutes=10.0), **given))


CONE = 1.0 / math.tan(math.radians(30.0))  # mm, from the 2 mm pilot to a 4 mm mouth at 60 deg
CENTRED = 2.5 + CONE


def centre_drill() -> Tool:
    """ISO 866 A2: pilot of diameter 2 and length 2.5, a cone of 60 deg to the body of 5."""
    back = 2.5 + 1.5 * CONE
    half = [(2.5, 1.0), (back, 2.5), (back + 10.0, 2.5)]
    body = polyline([*((z, -x) for z, x in half), *half[::-1]], close=True)
    plain = hole_tool(7, kind="centre drill", diameter=2.0, flutes=2.5, pilot=2.0, steps=(body,))
    return replace(plain, holder=(), max_depth=back)


def centred(text: str, tool: Tool) -> Proof:
    point = 1.0 / math.tan(math.radians(59.0))
    hole = [(-CENTRED, 0.0), (-CENTRED + point, 1.0), (-CONE, 1.0), (0.0, 2.0)]
    part = (polyline([(-60.0, 10.0), (-60.0, 0.0), *hole, (0.0, 10.0)], close=True),)
    return drilled(text, tool, part=part, goal=part)


def test_a_centre_drill_cuts_with_pilot_and_cone() -> None:
    """Point, pilot and frustum: pi h / 3 (r2 + r R + R2)."""
    head, tail = TEXT.split("G01 Z-15.")[0], TEXT.split(f"G01 Z{WRITTEN}\n")[1]
    proof = centred(f"{head}G01 Z{-CENTRED:.3f}\n{tail}", centre_drill())
    point = 1.0 / math.tan(math.radians(59.0))
    volume = math.pi * (point / 3.0 + 2.5 - point + CONE * 7.0 / 3.0)
    assert not proof.findings
    assert proof.removed_mm3 == pytest.approx(volume, rel=2e-4)
    assert proof.cutting_seconds == pytest.approx(CENTRED / 1.6, rel=0.05)
    deeper = centred(f"{head}G01 Z{-CENTRED - 0.1:.3f}\n{tail}", centre_drill())
    assert "gouge" in stops(deeper)
    assert "rapid-contact" in stops(centred(f"{head}G01 Z-2.5\nG00 Z-3.\n{tail}", centre_drill()))
    assert "off-axis" in stops(centred(f"{head}G01 Z-2.\nG01 X0.2\nG01 X0.\n{tail}", centre_drill()))
    half = replace(centre_drill(), steps=())  # the cone is not forgotten: with a pilot alone the mouth stays uncut
    assert "uncut" in codes(centred(f"{head}G01 Z{-CENTRED:.3f}\n{tail}", half))


def test_the_deepest_gouge_of_pilot_and_cone_is_told() -> None:
    """The pilot goes 0.02 mm too deep; the cone opens a mouth of radius 2 where 1.2 is wanted."""
    head, tail = TEXT.split("G01 Z-15.")[0], TEXT.split(f"G01 Z{WRITTEN}\n")[1]
    point = 1.0 / math.tan(math.radians(59.0))
    hole = [(0.02 - CENTRED, 0.0), (0.02 - CENTRED + point, 1.0), (-0.2, 1.0), (0.0, 1.2)]
    part = (polyline([(-60.0, 10.0), (-60.0, 0.0), *hole, (0.0, 10.0)], close=True),)
    proof = drilled(f"{head}G01 Z{-CENTRED:.3f}\n{tail}", centre_drill(), part=part, goal=part)
    assert 0.5 < proof.gouge_mm < 0.8


def test_the_chuck_behind_a_short_drill_touches() -> None:
    """Flutes of 8 mm and a shank of 10 mm: at 21.8 mm the chuck stands in the bar's face."""
    assert "holder-contact" in stops(drilled(tool=hole_tool(7, flutes=8.0)))


def test_a_drill_turns_its_own_way_wherever_the_post_stands() -> None:
    rear = msgspec.structs.replace(machine(), tool_post="rear", spindle_sense="reverse")
    assert not drilled(machine=rear).findings
    left = replace(hole_tool(7), hand="left")
    assert stops(drilled(tool=left, machine=rear)) == {"wrong-sense"}


@settings(max_examples=25, deadline=None)
@given(
    diameter=st.floats(1.0, 12.0),
    deep=st.floats(0.5, 35.0),
    first=st.floats(1.0, 20.0),
    peck=st.floats(1.0, 8.0),
    lift=st.sampled_from([0.0, 0.4]),
)
def test_what_the_passes_drill_the_proof_accepts(
    diameter: float, deep: float, first: float, *, peck: float, lift: float
) -> None:
    """Any hole of the passes: no finding, and the volume of a cylinder with a cone."""
    r, point = diameter / 2.0, diameter / 2.0 / math.tan(math.radians(59.0))
    legs, _ = drill(Hole(5.0, 0.0, 0.0, -deep - point, first, peck, 1.0, lift), (60.0, 40.0))
    state = State(7, 7, Spindle(Sense.FORWARD, rpm=1000.0), Feed(FeedMode.PER_TURN, 0.05))
    off = replace(state, spindle=None)
    steps: list[Step] = [
        ToolCall((60.0, 40.0), off),
        SpindleChange((60.0, 40.0), state),
        Dwell(3.0, (60.0, 40.0), state),
    ]
    steps += [(Rapid if leg.pace is Pace.RAPID else Cut)(leg.path.a, leg.path.b, state) for leg in legs]
    steps += [SpindleChange((5.0, 0.0), off), End((5.0, 0.0), off)]
    outline = [(-60.0, 10.0), (-60.0, 0.0), (-deep - point, 0.0), (-deep, r), (0.0, r), (0.0, 10.0)]
    part = (polyline(outline, close=True),)
    tools = {7: hole_tool(7, diameter=diameter, flutes=60.0)}
    proof = prove(
        Program("", (), (Operation("drill", tuple(steps)),)),
        setting(stock=(box(-60.0, 0.0, 10.0),), part=part, goal=part, tools=tools),
    )
    assert not proof.findings
    assert proof.removed_mm3 == pytest.approx(math.pi * r * r * (deep + point / 3.0), rel=1e-4)
