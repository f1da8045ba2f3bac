"""Tools side by side on the cross slide: no rapid takes a neighbour into the work, in the plan and in the proof."""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise

import pytest
from msgspec.structs import replace

from tests.plan.bench import faults, machine_text, made, rack_text
from toolpath.commands.road import Made, setting
from toolpath.errors import BadInput
from toolpath.motion import Move, Program, Rapid, ToolCall
from toolpath.proof.prove import Proof, prove

GANG = machine_text().replace('tool_change = "hand"', 'travel_x = 150\ntool_change = "gang"')


def rack(**stands: tuple[float, float]) -> str:
    """The drawer with those of its tools on the slide: T2=(60, 0) is 60 mm farther out and level with the others."""
    text = rack_text()
    for name, (x, z) in stands.items():
        text, n = re.subn(rf"(?m)^(number +=) {name[1:]}$", rf"\1 {name[1:]}\nstands = [{x}, {z}]", text)
        assert n == 1
    return text


@cache
def job(apart: float = 70.0, ahead: float = 0.0, rows: str = "pin") -> Made:
    """A pin turned by T2 and parted by T4, which stands `apart` from it and `ahead` nearer to the chuck."""
    return made(
        machine=GANG,
        rack=rack(T2=(0.0, 0.0), T4=(apart, -ahead)),
        outside=[{"dia": 12, "to": 9}, {"dia": 20, "to": 22}],
    )


@pytest.mark.parametrize(("apart", "ahead"), [(70.0, 0.0), (70.0, 15.0), (90.0, -15.0), (-90.0, 0.0), (-110.0, -15.0)])
def test_the_job_is_made_and_proven_with_all_that_stands_on_the_slide(apart: float, ahead: float) -> None:
    done = job(apart, ahead)
    assert faults(done) == []
    assert {s.state.tool for s in done.setups[0].read_back.steps if isinstance(s, Move)} == {2, 4}


@pytest.mark.parametrize(
    ("apart", "ahead", "code"),
    [
        (50.0, 0.0, "rapid-contact"),  # T4 16.5 mm off the axis has T2, 25 mm long, 33.5 mm beyond it: 8.5 in the bar
        (-70.0, 0.0, "holder-contact"),  # T2 at 12 mm has the block of T4, 56 mm long, 58 mm beyond: 2 in the bar
        (70.0, -15.0, "hold-contact"),  # T2 goes 15 mm nearer to the chuck than T4 does
    ],
)
def test_a_slide_too_narrow_for_the_bar_or_the_chuck_is_refused(apart: float, ahead: float, code: str) -> None:
    assert code in {f.code for f in job(apart, ahead).setups[0].proof.findings if f.rank == "stop"}


def test_only_tools_that_stand_on_the_slide_are_used() -> None:
    assert {t.number for t in job().setups[0].plan.request.rack} == {2, 4}


def test_a_called_tool_comes_across_before_it_comes_along() -> None:
    """The slide stands where the tool before it was at home; the next one's point is 70 mm from there."""
    setup = job().setups[0]
    steps = setup.plan.program.steps
    home = setup.plan.change_point
    calls = [k for k, s in enumerate(steps) if isinstance(s, ToolCall)]
    across = steps[calls[1] + 1]
    assert isinstance(across, Rapid)
    assert across.start == pytest.approx((home[0], home[1] + 70.0)) and across.end == pytest.approx(home)
    text = setup.text.text.splitlines()
    after = text[next(k for k, line in enumerate(text) if line.startswith("T4 M06")) :]
    words = [line for line in after if re.match(r"(G00 )?[XZ]", line)]
    assert words[0] == f"G00 X{2.0 * home[1]:.1f}"


def test_at_every_call_all_tools_are_in_front_of_the_work() -> None:
    """25 mm and more, also the one that stands 15 mm nearer to the chuck than the tool that is called."""
    for ahead in (15.0, -15.0):
        setup = job(70.0, ahead).setups[0]
        tools = {t.number: t for t in setup.plan.request.rack}
        for s in setup.plan.program.steps:
            if isinstance(s, ToolCall):
                one = tools[s.state.tool]
                for other in tools.values():
                    assert one.stands and other.stands
                    low = min(e.bounds()[0] for c in (other.outline, *other.holder) for e in c)
                    assert s.at[0] + other.stands[0] - one.stands[0] + low >= 1.0 + 25.0 - 1e-3


def proven(done: Made, *, apart: float, program: Program | None = None) -> Proof:
    """The text of a job, proven on a slide whose T4 stands elsewhere."""
    setup = done.setups[0]
    given = setting(done.inputs, setup.plan, setup.stock)
    tools = {**given.tools, 4: replace(given.tools[4], stands=(0.0, apart))}
    return prove(program or setup.read_back, replace(given, tools=tools))


@pytest.mark.parametrize(
    ("apart", "hits"),
    [(70.0, False), (-90.0, False), (22.0, True), (-20.0, True), (-8.0, True)],
)
def test_the_proof_finds_a_neighbour_that_goes_into_the_work(apart: float, hits: bool) -> None:
    """A bar of 25 mm: the same text, told that the blade stands 20 mm or less off, also beyond the axis."""
    codes = {f.code for f in proven(job(), apart=apart).findings if f.rank == "stop"}
    assert bool(codes & {"rapid-contact", "holder-contact", "hold-contact"}) == hits


def test_a_tool_that_the_slide_does_not_bring_is_found() -> None:
    """70 mm apart the slide goes 70 mm and more, of the 150 mm it has; 900 mm apart it would go 900."""
    assert "travel" not in {f.code for f in proven(job(), apart=70.0).findings}
    (told,) = [f for f in proven(job(), apart=900.0).findings if f.code == "travel"]
    assert "X needs 9" in told.text and "stand nearer together" in told.text


def test_the_proof_follows_the_jump_of_a_call() -> None:
    """With the last retreat of T2 cut short over the bar, calling T4 takes T2 across the bar to where T4 comes down."""
    done = job(-90.0)
    program = done.setups[0].read_back
    assert not proven(done, apart=-90.0).refused
    cut_short = []
    for op in program.operations:
        steps = list(op.steps)
        rapids = [k for k, s in enumerate(steps) if isinstance(s, Rapid)]
        if op.kind == "finish" and rapids:
            last = steps[rapids[-1]]
            assert isinstance(last, Rapid) and last.end[0] > 20.0
            steps[rapids[-1]] = replace(last, end=(-10.0, last.end[1]))
        cut_short.append(replace(op, steps=tuple(steps)))
    bad = proven(done, apart=-90.0, program=replace(program, operations=tuple(cut_short)))
    assert any(f.rank == "stop" and "T4" in f.text and f.code == "rapid-contact" for f in bad.findings)


def test_no_move_starts_but_where_the_one_before_ended_save_after_a_call() -> None:
    steps = job().setups[0].plan.program.steps
    moves = [s for s in steps if isinstance(s, (Move, ToolCall))]
    for a, b in pairwise(moves):
        if isinstance(a, Move) and isinstance(b, Move):
            assert a.end == pytest.approx(b.start, abs=2e-3)


def test_a_slide_on_which_nothing_is_said_to_stand_is_refused() -> None:
    with pytest.raises(
        BadInput, match=r"tool_change: this machine carries its tools side by side, and no tool"
    ) as told:
        made(machine=GANG, outside=[{"dia": 12, "to": 9}])
    assert "stands = [x, z]" in str(told.value)


def test_a_place_that_is_no_length_is_refused() -> None:
    with pytest.raises(BadInput, match="stands"):
        made(
            machine=GANG,
            rack=rack_text().replace("number   = 1\n", 'number   = 1\nstands = ["wide", 0]\n', 1),
            outside=[{"dia": 12, "to": 9}],
        )


def test_a_change_point_is_not_asked_of_it() -> None:
    with pytest.raises(BadInput, match="change_x: where tools that stand side by side are called follows"):
        made(machine=GANG + "change_x = 90\n", rack=rack(T2=(0.0, 0.0)), outside=[{"dia": 12, "to": 9}])
