"""An independent parser reads our text: words, codes and modal groups as we mean them.

pygcode 0.2.1, a general G-code library (a test dependency only). It knows words and groups, but neither arc geometry,
nor diameters, nor unit changes; those are held by published examples instead.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, given, settings

from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, MODES, TURNING, read_blocks
from tests.posts.strategies import programs
from toolpath.motion import ArcCut, Cut, Dwell, Move, Program, Rapid, Step, Stop, ThreadCut, ToolCall

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # the library predates today's rules on escapes
    from pygcode import Line
    from pygcode import gcodes as known

MOTIONS = (
    known.GCodeRapidMove,
    known.GCodeLinearMove,
    known.GCodeArcMoveCW,
    known.GCodeArcMoveCCW,
    known.GCodeSpindleSyncMotion,
)


def seen_by_the_other(text: str) -> Iterator[tuple[int, str, dict[str, float]]]:
    """(line, name of the motion in force, words) of every block that moves, as the other parser sees it."""
    motion = ""
    for number, raw in enumerate(text.splitlines(), start=1):
        block = Line(raw).block
        assert block is not None
        words = {str(w.letter): float(w.value) for w in block.modal_params}
        for code in block.gcodes:
            if isinstance(code, MOTIONS):
                motion = type(code).__name__
                words |= {letter: float(word.value) for letter, word in code.params.items()}
        if words.keys() & {"X", "Z"}:
            yield number, motion, words


def moves(program: Program) -> list[Step]:
    return [s for s in program.steps if isinstance(s, Move)]


@given(program=programs())
@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_the_other_parser_sees_the_same_moves(program: Program) -> None:
    text = write(program, G95).text
    ours = read(text, G95)
    names = {Rapid: "GCodeRapidMove", Cut: "GCodeLinearMove", ThreadCut: "GCodeSpindleSyncMotion"}
    unit = 25.4 if program.inch else 1.0
    across = 2.0 if program.x_diameter else 1.0
    theirs = list(seen_by_the_other(text))
    assert [line for line, _, _ in theirs] == [step.line for step in moves(ours)]
    for (_, name, words), step in zip(theirs, moves(ours), strict=True):
        assert isinstance(step, Move)
        arc = isinstance(step, ArcCut)
        assert name == (("GCodeArcMoveCCW" if step.ccw else "GCodeArcMoveCW") if arc else names[type(step)])
        if "X" in words:
            assert words["X"] * unit / across == pytest.approx(step.end[1])
        if "Z" in words:
            assert words["Z"] * unit == pytest.approx(step.end[0])
        if isinstance(step, ArcCut):
            assert words["I"] * unit == pytest.approx(step.centre[1] - step.start[1], abs=1e-9)
            assert words["K"] * unit == pytest.approx(step.centre[0] - step.start[0], abs=1e-9)


@given(program=programs())
@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_the_other_parser_sees_the_same_calls_stops_and_waits(program: Program) -> None:
    text = write(program, G95).text
    codes = [code for raw in text.splitlines() for code in Line(raw).block.gcodes]
    steps = read(text, G95).steps

    def numbers(kind: type, letter: str) -> list[float]:
        return [float(getattr(c, letter)) for c in codes if isinstance(c, kind)]

    calls = [s for s in steps if isinstance(s, ToolCall)]
    assert [float(c.word.value) for c in codes if isinstance(c, known.GCodeSelectTool)] == [s.state.tool for s in calls]
    assert numbers(known.GCodeDwell, "P") == [s.seconds for s in steps if isinstance(s, Dwell)]
    stops = [c for c in codes if isinstance(c, known.GCodePauseProgram | known.GCodePauseProgramOptional)]
    assert [isinstance(c, known.GCodePauseProgramOptional) for c in stops] == [
        s.optional for s in steps if isinstance(s, Stop)
    ]
    assert isinstance(codes[-1], known.GCodeEndProgramPalletShuttle)


@pytest.mark.parametrize(
    "block, name",
    [
        ("G18", "GCodeSelectZXPlane"),
        ("G7", "GCodeLatheDiameterMode"),
        ("G21", "GCodeUseMillimeters"),
        ("G20", "GCodeUseInches"),
        ("G40", "GCodeCutterRadiusCompOff"),
        ("G90", "GCodeAbsoluteDistanceMode"),
        ("G91", "GCodeIncrementalDistanceMode"),
        ("G94", "GCodeUnitsPerMinuteMode"),
        ("G95", "GCodeUnitsPerRevolution"),
        ("G96 S90 D2500", "GCodeSpindleConstantSurfaceSpeedMode"),
        ("G97 S800", "GCodeSpindleRPMMode"),
        ("M03", "GCodeStartSpindleCW"),
        ("M04", "GCodeStartSpindleCCW"),
        ("M05", "GCodeStopSpindle"),
        ("M06", "GCodeToolChange"),
        ("M08", "GCodeCoolantFloodOn"),
        ("M09", "GCodeCoolantOff"),
    ],
)
def test_the_words_of_the_dialect_mean_what_the_other_parser_says(block: str, name: str) -> None:
    (code, *_) = Line(block).block.gcodes
    assert type(code).__name__ == name
    assert read_blocks(block).steps  # ours takes it too


@pytest.mark.parametrize("block", ["G00 X1 X2", "G20 G21", "G00 G01 X1", "M03 M05", "G00 X1..2", "G00 X Z1"])
def test_both_parsers_refuse(block: str) -> None:
    with pytest.raises(Exception) as theirs:
        list(Line(block).block.gcodes)
    assert type(theirs.value).__module__.startswith(("pygcode", "builtins"))
    from toolpath.errors import BadInput

    with pytest.raises(BadInput):
        read("\n".join([MODES, TURNING, block, "M30"]), G95)
