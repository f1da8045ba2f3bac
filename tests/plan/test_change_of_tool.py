"""A change of tool by hand is one fixed sequence; the header says what to set up, every tool why it is there."""

from __future__ import annotations

import itertools
import re
from functools import cache

import msgspec
import pytest
from msgspec.structs import replace

from tests.plan.workshop import (
    ArcCut,
    Cut,
    Dwell,
    Piece,
    Rapid,
    SpindleChange,
    ToolCall,
    Wait,
    drawer,
    lathe,
    made,
    moves,
    part,
    rack,
    request,
)
from toolpath.errors import CannotMake, HalfsectionError
from toolpath.motion import End, Sense
from toolpath.part.halfsection import HalfSection
from toolpath.plan.plan import plan
from toolpath.shop.drawer import drill_tool
from toolpath.shop.drills import drill_named

ARBOR = (
    {"chamfer": 0.5},
    {"dia": 10, "to": 12},
    {"radius": 1.0, "on": "foot"},
    {"dia": 18, "to": 22},
)


def arbor() -> HalfSection:
    return part(*ARBOR)


@cache
def turned() -> Piece:
    return made(request(arbor()))


def lines(piece: Piece) -> list[str]:
    return piece.text.text.splitlines()


# ---------------------------------------------------------------- the sequence


def test_every_change_by_hand_is_the_same_sequence() -> None:
    """Retreat, M05, M00 in a block of its own naming the tool, the call, spindle, run-up, then Z, then X.

    Between the first call and its spindle the tool shows where it goes.
    """
    calls = 0
    steps = turned().program.steps
    for i, s in enumerate(steps):
        if not isinstance(s, ToolCall):
            continue
        calls += 1
        wait, call, *shown = steps[i - 1 : i + 6]
        after = 5 if calls == 1 else 0  # the first move and its stop: `test_first_move.py`
        assert any(isinstance(s, Wait) for s in shown) == (calls == 1)
        on, dwell, *rest = steps[i + 1 + after : i + 8 + after]
        assert isinstance(wait, Wait) and not wait.optional and wait.state.spindle is None
        assert isinstance(call, ToolCall) and call.state.spindle is None
        assert isinstance(on, SpindleChange) and on.state.spindle is not None
        assert isinstance(dwell, Dwell) and dwell.seconds >= lathe().spindle_up_s
        along, across = [m for m in rest if isinstance(m, Rapid)][:2]
        assert along.start == pytest.approx(turned().plan.change_point) == wait.at
        assert along.start[1] == along.end[1], "Z goes first, at the height of the change point"
        assert across.start[0] == across.end[0] and across.end[1] < across.start[1]
    assert calls == len({op.tool.number for op in turned().plan.operations}) >= 2


def test_the_stop_names_the_tool_that_goes_on() -> None:
    text = lines(turned())
    stops = [i for i, line in enumerate(text) if line == "M00" and "(zero or offset" not in text[i - 1]]
    assert len(stops) >= 2
    for i in stops:
        named = re.search(r"T(\d+)", " ".join(text[i - 2 : i]))
        called = re.search(r"T(\d+) M06", " ".join(text[i + 1 : i + 4]))
        assert named and called and named.group(1) == called.group(1)
        assert "hands clear" in " ".join(text[i - 2 : i])
        assert "M05" in text[i - 4 : i]


def test_the_tool_leaves_across_before_it_leaves_along() -> None:
    """Away from the work first, then along it to the change point; nothing but rapids on the way."""
    for before in turned().program.operations:
        last = moves(before)[-2:]
        if last[-1].end == pytest.approx(turned().plan.change_point):
            up, along = last
            assert isinstance(up, Rapid) and up.start[0] == up.end[0] and up.end[1] > up.start[1]
            assert isinstance(along, Rapid) and along.start[1] == along.end[1]


def test_a_drill_with_a_number_keeps_the_change_point_its_length_away_along_the_axis() -> None:
    """An 8 mm jobber drill stands 75 mm out (DIN 338); across the axis it asks for no room."""
    drill = replace(drill_tool(drill_named("8")), number=12, offset=12)
    z, x = plan(request(arbor(), rack=rack(1, 2, 4))).change_point
    assert plan(request(arbor(), rack=(*rack(1, 2, 4), drill))).change_point == pytest.approx((z + 75.0, x))


def test_the_program_ends_with_the_spindle_off_at_the_change_point() -> None:
    *_, off, end = turned().program.steps
    assert isinstance(off, SpindleChange) and off.state.spindle is None
    assert isinstance(end, End) and end.at == pytest.approx(turned().plan.change_point)


def test_no_tool_is_called_twice_in_a_row() -> None:
    called = [s.state.tool for s in turned().program.steps if isinstance(s, ToolCall)]
    assert all(a != b for a, b in itertools.pairwise(called))


def test_every_cut_has_its_tool_spindle_and_feed() -> None:
    for s in turned().program.steps:
        if isinstance(s, Cut | ArcCut):
            assert s.state.tool and s.state.offset and s.state.feed and s.state.spindle
            assert s.state.spindle.sense is Sense.FORWARD
            assert 0.0 < s.state.spindle.limit_rpm <= lathe().max_rpm


def test_a_turret_stops_only_when_asked() -> None:
    """Besides the stop of the first move, which every program has."""
    turret = msgspec.structs.replace(lathe(), tool_change="turret")
    (one,) = [s for s in made(request(arbor(), machine=turret)).program.steps if isinstance(s, Wait)]
    assert "check with a rule" in one.text
    asked = made(request(arbor(), machine=turret, stop_before_tools=True))
    named = [s.text for s in asked.program.steps if isinstance(s, Wait) and "check with a rule" not in s.text]
    assert all(text.startswith("next comes T") and text.endswith("hands clear before going on") for text in named)
    assert len([s for s in asked.program.steps if isinstance(s, Wait)]) == 1 + len(
        [s for s in asked.program.steps if isinstance(s, ToolCall)]
    )


def test_a_lathe_without_constant_surface_speed_turns_at_one_speed_an_operation() -> None:
    plain = made(request(arbor(), machine=msgspec.structs.replace(lathe(), constant_surface_speed=False)))
    assert "G96" not in plain.text.text and "G97" in plain.text.text
    for s in plain.program.steps:
        if isinstance(s, Cut | ArcCut):
            assert s.state.spindle and 0.0 < s.state.spindle.rpm <= lathe().max_rpm
    assert plain.stops == []


def test_the_change_point_clears_the_longest_tool_of_the_rack() -> None:
    """A tool that stands out farther than the shortest by d is as clear as that one when its point is d higher."""
    z, x = turned().plan.change_point
    reaches = [t.reach for t in drawer()]
    assert x >= 12.5 + 20.0 + max(reaches) - min(reaches)
    assert z >= 1.0 + 20.0


def test_the_machine_file_may_put_the_change_point_farther_out_and_no_nearer() -> None:
    machine = msgspec.structs.replace(lathe(), change_x=80.0, change_z=60.0)
    far = made(request(arbor(), machine=machine))
    assert far.plan.change_point == (60.0, 80.0) and far.stops == []
    assert all(s.at == (60.0, 80.0) for s in far.program.steps if isinstance(s, ToolCall))
    for key in ("change_x", "change_z"):
        near = msgspec.structs.replace(lathe(), **{key: 15.0})
        with pytest.raises(CannotMake, match=f"{key} = 15 in the machine file changes tools too near: .* mm clear"):
            plan(request(arbor(), machine=near))


# ---------------------------------------------------------------- the header


def test_the_header_says_stock_hold_zero_and_tools() -> None:
    head = "\n".join(turned().plan.program.header)
    assert "diameter 25 mm, 140 mm long" in head and "free-cutting brass" in head
    assert "collet" in head
    assert re.search(r"Z0 is the finished front face, 1 mm behind the bar's sawn end", head)
    assert f"stick out {turned().plan.work.stick_out:g} mm" in head
    assert "X words are diameters" in head
    for op in turned().plan.operations:
        assert f"T{op.tool.number}: {op.tool.name}" in head
    assert "chuck-side corner" in head and "imaginary tip" in head


def test_cautions_of_the_bench_the_material_the_hold_and_the_part() -> None:
    """Customary cautions (HSE engineering FAQs, lathe manuals); each of these jobs has one of its own."""

    def told(**changes: object) -> str:
        return " ".join(plan(request(arbor(), **changes)).cautions)

    plain = told()
    for words in ("Eye protection", "No gloves", "one block at a time", "never stop the chuck by hand", "not homed"):
        assert words in plain
    assert "stub of 1 mm" in plain and "drops when it is parted" not in plain
    assert "drops when it is parted" in told(stub=0.0)
    assert "chuck key" in told(held_in="chuck").lower()
    homed = msgspec.structs.replace(lathe(), homed=True)
    assert "not homed" not in told(machine=homed)
    in_text = turned().text.text.replace(")\n(", " ")
    assert all(c.split(":")[0].replace("(", "[") in in_text for c in turned().plan.cautions)


def test_comments_stay_within_the_width_and_before_the_first_block() -> None:
    text = lines(turned())
    first = next(i for i, line in enumerate(text) if line.startswith("G18"))
    assert all(line.startswith("(") and line.endswith(")") for line in text[:first])
    assert max(map(len, text)) <= 70
    assert text[-1] == "M30"


# ---------------------------------------------------------------- the choice


def test_a_plain_part_is_left_to_the_stronger_of_two_that_get_there() -> None:
    """A round in the foot: every tool gets there, so the largest corner angle does it; the runner-up is named."""
    rough = turned().planned("rough")
    assert rough.tool.number == 1
    assert "strongest" in rough.because and re.search(r"T[2-6]", rough.because.replace("T1", ""))


def test_a_neck_goes_to_the_tool_that_gets_down_its_wall() -> None:
    """Walls falling towards the chuck by 45 deg: T2 goes down to 32 less its clearance, T3 to 52."""
    neck = part({"dia": 20, "length": 8}, {"neck": 14, "length": 12, "wall_angle": 45}, {"dia": 20, "length": 5})
    finish = made(request(neck, rack=rack(1, 2, 3, 4))).planned("finish")
    assert finish.tool.number == 3
    assert "T3 leaves least" in finish.because and "T2 leaves" in finish.because
    assert re.search(r"leaves \d+\.\d\d mm at z", finish.because)


def test_every_operation_says_why() -> None:
    for op in turned().plan.operations:
        assert f"T{op.tool.number}" in op.because and re.search(r"\d", op.because.replace(f"T{op.tool.number}", ""))
        for figure in (op.data.surface, op.data.limit_rpm, op.data.feed, op.data.depth):
            assert figure.value > 0.0 and len(figure.because) > 5


@pytest.mark.parametrize(
    ("tools", "words"),
    [((4,), "turns towards the chuck"), ((5, 4), "turns towards the chuck"), ((1, 2), "there is no blade")],
)
def test_a_rack_that_can_not_do_it(tools: tuple[int, ...], words: str) -> None:
    with pytest.raises(CannotMake, match=words):
        plan(request(arbor(), rack=rack(*tools)))


def test_a_blade_that_is_too_short_says_how_far_each_reaches() -> None:
    with pytest.raises(CannotMake, match=r"reaches 17\.50 mm; in the rack: T4 reaches"):
        plan(request(arbor(), dia=36.0, length=160.0, held_in="chuck"))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"stick_out": 20.0}, "sticks out 20 mm"),
        ({"length": 40.0}, "to hold"),
        ({"stub": 25.0}, "stub of 25 mm"),
    ],
)
def test_what_can_not_be_is_refused_with_its_figures(changes: dict[str, float], words: str) -> None:
    with pytest.raises(HalfsectionError, match=words):
        plan(request(arbor(), **changes))


def test_the_same_request_gives_the_same_bytes() -> None:
    assert made(request(arbor())).text.text == turned().text.text


def test_what_carries_the_blade_keeps_off_the_hold() -> None:
    """A broad nut and a shallow corner: the block beside the blade ran 0.5 mm into the collet's nut."""
    knob = part({"dia": 22.5, "length": 12.5}, {"taper_to": 20, "length": 1.5})
    piece = made(request(knob, face_off=2.5, stub=2.0))
    assert piece.stops == []
    block = min(e.bounds()[0] for c in piece.planned("part off").tool.holder for e in c)
    assert piece.plan.work.parting_z + block >= piece.plan.work.nose_z + lathe().clearance
