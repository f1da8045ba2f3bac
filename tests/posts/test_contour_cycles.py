"""Roughing and finishing with the blocks of a contour.

COURSE: a national vocational school's public CNC turning course, slides 35 and 69: `G71 U R` / `G71 P Q U W F`, the
first U on radius, the second on diameter; F inside P to Q counts for G70 alone; exercise 1 is roughed with U2 R2,
U1.0 W0.15 F0.3. That levels are cut along Z and left at 45 degrees: training pages; that the contour is followed once
at the end: from memory.
"""

from __future__ import annotations

import math
import re

import pytest
from msgspec.structs import replace

from posts import cycle_runs
from posts.dialect import load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import moves_of
from toolpath.errors import BadInput
from toolpath.motion import (
    ArcCut,
    Cut,
    End,
    Feed,
    FeedMode,
    Move,
    Operation,
    Program,
    Rapid,
    Sense,
    Spindle,
    SpindleChange,
    State,
    ToolCall,
)

G99 = load_dialect("g99")
TURNING = ["G21 G40 G99", "T0101", "G97 S900 M03"]
# COURSE exercise 1: points as published.
SHAFT = [
    *("N10 G00 X15.", "G01 Z0 F0.12", "X20. Z-2.5", "Z-29.", "G02 X26. Z-32. R3.", "G01 X34.", "X40. Z-35.", "Z-53."),
    *("G02 X50. Z-58. R5.", "G01 X54.", "N20 X60. Z-61."),
]
POINTS = [
    *((15, 0), (20, -2.5), (20, -29), (26, -32), (34, -32), (40, -35), (40, -53)),
    *((50, -58), (54, -58), (60, -61)),
]


def g99(*blocks: str) -> Program:
    return read("\n".join([*TURNING, *blocks, "M30"]), G99)


def drawn(moves: list[Move]) -> list[tuple[float, float]]:
    return [(round(2.0 * m.end[1], 6), round(m.end[0], 6)) for m in moves]


def roughed() -> list[Move]:
    return moves_of(g99("G00 X62. Z2.", "G71 U2.0 R2.0", "G71 P10 Q20 U1.0 W0.15 F0.3", *SHAFT))


def test_the_published_shaft_is_cut_down_in_levels() -> None:
    moves = roughed()
    levels = [m for m in moves if isinstance(m, Cut) and m.start[1] == m.end[1] and m.start[0] == 2.15]
    # From X62 a level every 2 mm on radius, all of it 1 mm on diameter aside.
    assert [round(2.0 * m.end[1], 6) for m in levels[:-1]] == [59, 55, 51, 47, 43, 39, 35, 31, 27, 23, 19]
    ends = [m.end[0] - 0.15 for m in levels[:4]]
    # X58 meets the last taper of 6 mm over 3 mm; X54 the shoulder at Z-58; X50 the end of the R5, X46 the R5.
    assert ends == pytest.approx([-58 - 2, -58, -58, -53 - math.sqrt(5**2 - 2**2)], abs=1e-6)
    assert {m.state.feed for m in moves if isinstance(m, Cut | ArcCut)} == {Feed(FeedMode.PER_TURN, 0.3)}
    assert moves[-1].end == (2.0, 31.0)


def test_every_level_is_left_at_45_degrees_and_goes_back_in_the_air() -> None:
    moves = roughed()
    for k, m in enumerate(moves):
        if isinstance(m, Rapid) and m.start[1] != m.end[1] and m.start[0] != m.end[0] and k > 1:
            assert m.end[0] - m.start[0] == pytest.approx(m.end[1] - m.start[1]) == pytest.approx(2.0)
            assert moves[k + 1].end == pytest.approx((2.15, m.end[1]))


def test_the_contour_is_followed_once_with_its_allowance() -> None:
    moves = roughed()
    last = [k for k, m in enumerate(moves) if isinstance(m, Rapid) and m.end[1] == pytest.approx(8.0)][-1]
    assert drawn(moves[last + 1 : last + 1 + len(POINTS)]) == [(x + 1, round(z + 0.15, 6)) for x, z in POINTS]


def test_finishing_follows_the_published_points_with_the_feed_of_its_blocks() -> None:
    program = g99("G00 X62. Z2.", "G71 U2.0 R2.0", "G71 P10 Q20 U1.0 W0.15 F0.3", *SHAFT, "G70 P10 Q20")
    line = len(TURNING) + 3 + len(SHAFT) + 1
    finish = [m for m in moves_of(program) if m.line == line]
    assert drawn(finish)[1:-2] == POINTS
    assert {m.state.feed for m in finish if isinstance(m, Cut | ArcCut)} == {Feed(FeedMode.PER_TURN, 0.12)}
    assert finish[-1].end == (2.0, 31.0)


def test_a_bore_is_roughed_outwards_with_a_negative_allowance() -> None:
    blocks = ("N10 G00 X30.", "G01 Z-10. F.1", "X24.", "N20 Z-20.")
    moves = moves_of(g99("G00 X18. Z2.", "G71 U1.5 R0.5", "G71 P10 Q20 U-0.4 W0.1 F0.2", *blocks))
    levels = [m for m in moves if isinstance(m, Cut) and m.start[0] == 2.1 and m.end[0] < 2.0]
    assert [round(2.0 * m.end[1], 6) for m in levels] == [20.6, 23.6, 26.6, 29.6]
    assert [round(m.end[0], 6) for m in levels] == [
        -19.9,
        -9.9,
        -9.9,
        -9.9,
    ]  # at X24 the contour is met at its shoulder
    lifted = [m for m in moves if isinstance(m, Rapid) and m.start[0] != m.end[0] and m.start[1] != m.end[1]][1:]
    assert all(m.end[1] < m.start[1] for m in lifted)


@pytest.mark.parametrize(
    "blocks, line, column, words",
    [
        (["G71 U2. R1.", "G00 X5."], 6, 1, "second one must stand here"),
        (["G71 R1."], 5, 1, "has no U"),
        (["G71 U2. R1. F.1"], 5, 13, "does not stand in the first block"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1"], 6, 1, "no feed is in force"),
        (["G71 U2. R1.", "G71 P10 Q10 U.5 W.1 F.2"], 6, 9, "different blocks"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 F.2"], 6, 1, "has no W"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "G00 X20."], 7, 1, "begins with block N10"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20. Z1."], 7, 1, "along X alone"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "G00 Z-5."], 8, 1, "only moves at feed"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "M08"], 8, 1, "only moves do"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "G01 Z-5. S500"], 8, 10, "only moves do"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "M30"], 8, 1, "only moves do"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "G01 Z-5.", "X18. Z-9."], 9, 1, "turns back"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "G01 Z-5.", "Z-4."], 9, 1, "turns back"),
        (
            ["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "G01 Z-5.", "G03 X20. Z-15. R6."],
            9,
            1,
            "turns back",
        ),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "N20 G01 X22."], 8, 1, "goes on along Z"),
        (
            ["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "N20 G01 X48. Z-9."],
            8,
            1,
            "beyond where the cycle",
        ),
        (["G71 U2. R1.", "G71 P10 Q20 U-.5 W.1 F.2", "N10 G00 X20.", "N20 G01 Z-9."], 8, 1, "off the part"),
        (["G71 U.001 R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "N20 G01 Z-9."], 8, 1, "more than 1000 levels"),
        (["G70 P10 Q20"], 5, 1, "no contour from N10 to N20"),
        (["G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "N20 G01 Z-9.", "Z-10."], 9, 1, "no motion"),
    ],
)
def test_contours_are_read_strictly(blocks: list[str], line: int, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        read("\n".join(["G21 G40 G99", "T0101", "G97 S600 M03", "G00 X44. Z2.", *blocks, "M30"]), G99)
    assert str(caught.value).startswith(f"line {line}, column {column}: ")


def test_a_contour_that_never_ends_is_no_program() -> None:
    with pytest.raises(BadInput, match="no end"):
        read("\n".join([*TURNING, "G00 X44. Z2.", "G71 U2. R1.", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20."]), G99)


def test_a_short_text_does_not_stand_for_moves_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cycle_runs, "MOST_STEPS", 400)
    blocks = ["G00 X44. Z2.", "G71 U.1 R.1", "G71 P10 Q20 U.5 W.1 F.2", "N10 G00 X20.", "N20 G01 Z-9."]
    with pytest.raises(BadInput, match="line 9, column 1: the cycles of the text stand for more than 400 moves"):
        read("\n".join([*TURNING, *blocks, *blocks[1:], "M30"]), replace(G99, name="short"))


# -- written ---------------------------------------------------------------------------------------------------------

STATE = State(1, 1, Spindle(Sense.FORWARD, rpm=900.0), Feed(FeedMode.PER_TURN, 0.2), operation="rough")
ROUGH = replace(G99, cycles=replace(G99.cycles, write=("rough",)))


def levels_of(*, clear: float | None = 12.0, front: float = 1.0, hollow: bool = False) -> Program:
    """Bar of 24 to a step of 16, a fillet R2 up to 20, taper to 22: three levels, each climbing what it meets."""
    a: list[Move] = []
    here = (30.0, 40.0)

    def rapid(*places: tuple[float, float]) -> None:
        nonlocal here
        for p in places:
            a.append(Rapid(here, p, STATE))
            here = p

    def cut(p: tuple[float, float], centre: tuple[float, float] | None = None) -> None:
        nonlocal here
        a.append(ArcCut(here, p, centre, False, STATE) if centre else Cut(here, p, STATE))
        here = p

    rapid((front, 40.0), (front, 11.0))
    cut((-20.0, 11.0))
    cut((-19.0, 12.0))
    rapid((1.0, 12.0), (1.0, 10.0))
    cut((-15.0, 10.0))
    cut((-20.0, 11.0))
    cut((-19.0, 12.0))
    rapid((1.0, 12.0), (1.0, 8.0))
    cut((-9.0 if hollow else -10.0, 8.0))
    cut((-12.0, 10.0), (-10.0, 10.0)) if not hollow else cut((-12.0, 9.0))
    cut((-11.0, 11.0))
    rapid((-11.0, 40.0), (30.0, 40.0))
    still = replace(STATE, spindle=None)
    steps = (ToolCall((30.0, 40.0), still), SpindleChange((30.0, 40.0), STATE), *a, End(here, still))
    return Program("Levels", (), (Operation("rough", steps, "", clear),), home=(30.0, 40.0))


def test_levels_of_the_plan_become_a_roughing_cycle_down_to_the_contour_they_leave() -> None:
    lines = write(levels_of(), ROUGH).text.splitlines()
    first = lines.index("G71 U2.0 R1.0")
    assert lines[first - 2 : first + 7] == [
        *("G00 Z1.0", "X24.0", "G71 U2.0 R1.0", "G71 P20 Q30 U0.0 W0.0", "N20 G00 X16.0", "G01 Z-10.0"),
        *("G02 X20.0 Z-12.0 I2.0 K0.0", "G01 Z-15.0", "N30 X22.0 Z-20.0"),
    ]
    again = read("\n".join(lines), ROUGH)
    assert moves_of(again)[-1].end == (30.0, 40.0)
    made = [m for m in moves_of(again) if isinstance(m, Cut) and m.end[1] == m.start[1] and m.start[0] == 1.0]
    assert [m.end for m in made] == [(-12.0, 10.0), (-10.0, 8.0)]  # a level ends where it first meets the contour


@pytest.mark.parametrize("blocks", ["all", "none"])
def test_its_blocks_are_numbered_or_it_is_not_written(blocks: str) -> None:
    dialect = replace(ROUGH, lines=replace(ROUGH.lines, numbered=blocks))
    text = write(levels_of(), dialect).text
    if blocks == "none":
        assert "G71" not in text
        return
    (second,) = re.findall(r"N(\d+) G71 P(\d+) Q(\d+)", text)
    assert (int(second[1]), int(second[2])) == (int(second[0]) + 10, int(second[0]) + 50)
    assert moves_of(read(text, dialect))[-1].end == (30.0, 40.0)


@pytest.mark.parametrize("odd", [{"clear": None}, {"hollow": True}], ids=str)
def test_other_levels_stay_in_single_moves(odd: dict[str, object]) -> None:
    assert "G71" not in write(levels_of(**odd), ROUGH).text  # type: ignore[arg-type]
    assert "G71" not in write(levels_of(), G99).text
