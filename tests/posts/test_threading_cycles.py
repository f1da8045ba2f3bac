"""Threads by one cycle: read by the published rules, written only where the cycle makes the passes of the plan.

COURSE: a national vocational school's public CNC turning course, slide 137 (M25 x 2: height 0.65 P = 1.3, root 22.4,
eleven passes of equal area). LES: a public lesson part, M20 x 1.5 with a height of 0.92 and root 18.16. MAN: public
control manuals (one block). NGC-d: the public turning documentation of the language (from the drive line: I, J, K on
diameter when X is one; R 1 equal depths, 2 equal areas).
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from posts.dialect import Dialect, load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, MODES, TURNING, moves_of
from toolpath.errors import BadInput
from toolpath.motion import End, Operation, Program, Rapid, Sense, Spindle, SpindleChange, State, ThreadCut, ToolCall
from toolpath.passes.thread import Infeed, Threading, thread
from toolpath.plan.steps import moves_of as steps_of

G99 = load_dialect("g99")
ONE = replace(
    G99,
    name="one block",
    cycles=replace(G99.cycles, threading="one block"),
)
STATE = State(1, 1, Spindle(Sense.FORWARD, rpm=600.0), operation="thread")
PUBLISHED = [0.392, 0.554, 0.679, 0.784, 0.877, 0.960, 1.037, 1.109, 1.176, 1.240, 1.300]


def g99(*blocks: str, dialect: Dialect = G99) -> Program:
    return read("\n".join(["G21 G40", "T0101", "G97 S600 M03", "G99", *blocks, "M30"]), dialect)


def g95(*blocks: str) -> Program:
    return read("\n".join([MODES, TURNING, *blocks, "M30"]), G95)


def cuts(program: Program) -> list[ThreadCut]:
    return [m for m in moves_of(program) if isinstance(m, ThreadCut)]


def depths(program: Program, crest: float) -> list[float]:
    """Depth of every pass below a crest diameter, on radius."""
    return [abs(crest / 2.0 - c.start[1]) for c in cuts(program)]


# -- read ------------------------------------------------------------------------------------------------------------


def test_two_blocks_take_the_published_passes_of_equal_area() -> None:
    program = g99("G00 X27. Z5.", "G76 P010000 Q1 R0.0", "G76 X22.4 Z-26.5 P1300 Q392 F2.0")
    assert depths(program, 25.0) == pytest.approx([*PUBLISHED, 1.3], abs=6e-4)
    assert {c.end[0] for c in cuts(program)} == {-26.5} and {c.lead for c in cuts(program)} == {2.0}
    assert moves_of(program)[-1].end == (5.0, 13.5)  # back where it began


def test_the_published_blocks_of_m25_lead_to_its_root_and_out_of_it_at_45_degrees() -> None:
    """COURSE: P021060 Q100 R0.1, two passes at full depth, run-out of one lead, 60 degrees, no step below 0.1."""
    program = g99("G00 X27. Z5.", "G76 P021060 Q100 R0.1", "G76 X22.4 Z-26.5 P1300 Q392 F2.0")
    along = [c for c in cuts(program) if c.start[1] == c.end[1]]
    out = [c for c in cuts(program) if c.start[1] != c.end[1]]
    deep = [12.5 - c.start[1] for c in along]
    assert deep == pytest.approx([0.392, 0.554, 0.679, 0.784, 0.884, 0.984, 1.084, 1.184, 1.2, 1.3, 1.3], abs=6e-4)
    assert [2.0 * c.end[1] for c in along[-2:]] == pytest.approx([22.4, 22.4])
    assert all(c.end[0] == -26.5 and c.end[1] - c.start[1] == pytest.approx(c.start[0] - c.end[0]) for c in out)
    assert out[-1].start[0] == pytest.approx(-24.5) and out[0].end[1] == pytest.approx(
        13.5
    )  # no farther than where it began
    shifts = [5.0 - c.start[0] for c in along]  # down one flank of 60 degrees
    assert shifts == pytest.approx([d * math.tan(math.radians(30.0)) for d in deep], abs=1e-9)


def test_m20_of_the_lesson_leads_to_its_root() -> None:
    """LES: P920 Q300 F1.5, root 18.16."""
    program = g99("G00 X22. Z4.", "G76 P010060 Q50 R0.0", "G76 X18.16 Z-20. P920 Q300 F1.5")
    assert depths(program, 20.0)[0] == pytest.approx(0.3) and depths(program, 20.0)[-1] == pytest.approx(0.92)
    assert 2.0 * cuts(program)[-1].end[1] == pytest.approx(18.16)


def test_an_external_taper_grows_towards_the_chuck() -> None:
    """COURSE slide 156: R-1.089 from Z5 to Z-30, F1.814 (14 per inch)."""
    program = g99("G00 X25. Z5.", "G76 P010000 Q50 R0.0", "G76 X20. Z-30. R-1.089 P1000 Q200 F1.814")
    last = cuts(program)[-1]
    assert (2.0 * last.start[1], 2.0 * last.end[1], last.lead) == pytest.approx((17.822, 20.0, 1.814))


def test_inches_count_ten_thousandths() -> None:
    """COURSE: P0677 is 0.0677 in, Q0200 0.0200 in."""
    text = "\n".join(["G20 G40", "T0101", "G97 S600 M03", "G99", "G00 X1.1 Z.2", "G76 P010000 Q0010 R0.0"])
    program = read(text + "\nG76 X.8646 Z-1.0 P0677 Q0200 F.1\nM30", G99)
    assert depths(program, 25.4)[0] == pytest.approx(0.0200 * 25.4) and depths(program, 25.4)[-1] == pytest.approx(
        0.0677 * 25.4
    )


def test_one_block_says_the_same_with_k_and_d() -> None:
    program = g99("G00 X27. Z5.", "G76 X22.4 Z-26.5 K1.3 D0.392 F2.0 A0.0", dialect=ONE)
    assert depths(program, 25.0) == pytest.approx(PUBLISHED, abs=6e-4)


@pytest.mark.parametrize(
    "degression, made",
    [("R1.0", [0.3, 0.6, 0.9, 1.2]), ("", [0.3, 0.6, 0.9, 1.2]), ("R2.0", [0.3 * math.sqrt(k) for k in range(1, 17)])],
)
def test_from_the_drive_line_by_equal_depths_or_equal_areas(degression: str, made: list[float]) -> None:
    """NGC-d: I to the crest, J the first depth, K the whole one, each on diameter in diameter mode; H at full depth."""
    program = g95("G00 X27 Z5", f"G76 P2.0 Z-20 I-2.0 J0.6 K2.4 {degression} H2")
    assert depths(program, 25.0) == pytest.approx([*made, 1.2, 1.2], abs=1e-9)
    (radius,) = {c.end[1] for c in cuts(g95("G8", "G00 X13.5 Z5", "G76 P2.0 Z-20 I-1.0 J1.2 K1.2"))}
    assert radius == pytest.approx(11.3)


def test_a_bore_is_threaded_outwards() -> None:
    inside = g95("G00 X18 Z5", "G76 P1.5 Z-20 I1.0 J0.4 K1.8 R2 Q29")
    assert 2.0 * cuts(inside)[-1].end[1] == pytest.approx(20.8)
    last, first = cuts(inside)[-1], cuts(inside)[0]
    assert first.start[0] - last.start[0] == pytest.approx(0.7 * math.tan(math.radians(29.0)))


REFUSED = [
    (("G76 P0160 Q100 R0.1",), 5, 5, "six digits"),
    (("G76 P010061 Q100 R0.1",), 5, 5, "61 is no angle"),
    (("G76 P000060 Q100 R0.1",), 5, 5, "no pass at full depth"),
    (("G76 P010060 R0.1",), 5, 1, "has no Q"),
    (("G76 P010060 Q0.1 R0.1",), 5, 13, "whole number"),
    (("G76 P010060 Q100. R0.1",), 5, 13, "has a point"),
    (("G76 P010060 Q100 R0.1 X20.",), 5, 23, "does not stand in the first block"),
    (("G76 P010060 Q100 R0.1", "G00 X30."), 6, 1, "has two blocks"),
    (("G76 P010060 Q100 R0.1", "G76 Z-20. P920 Q300 F1.5"), 6, 1, "has no X"),
    (("G76 P010060 Q100 R0.1", "G76 X18. P920 Q300 F1.5"), 6, 1, "has no Z"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z-20. Q300 F1.5"), 6, 1, "has no P"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z-20. P920 Q300"), 6, 1, "has no F"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z-20. P920 Q300 F0.0"), 6, 26, "not above 0"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z-20. P920 Q930 F1.5"), 6, 1, "deeper than the thread"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z4. P920 Q300 F1.5"), 6, 1, "does not advance"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z-20. P2100 Q300 F1.5"), 6, 1, "begins in the metal"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z-20. R-30. P920 Q300 F1.5"), 6, 1, "steeper than 45"),
    (("G76 P010060 Q1 R0.0", "G76 X18. Z-20. P920 Q1 F1.5"), 6, 1, "more than 500 passes"),
    (("G98", "G76 P010060 Q100 R0.1", "G76 X18. Z-20. P920 Q300 F1.5"), 7, 1, "feed per turn only"),
    (("M05", "G76 P010060 Q100 R0.1", "G76 X18. Z-20. P920 Q300 F1.5"), 7, 1, "spindle stands still"),
    (("G76 P010060 Q100 R0.1 M08",), 5, 23, "stands in the block of a cycle"),
    (("G76 P010060 Q100 R0.1 S5",), 5, 23, "nothing in the block uses S5"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z-20. P920 Q300 F1.5", "X17."), 7, 1, "no motion is in force"),
    (("G76 P010060 Q100 R0.1", "G76 X18. Z-20. P920 Q300 F1.5", "G01 X30."), 7, 1, "no feed is in force"),
]


@pytest.mark.parametrize("blocks, line, column, words", REFUSED)
def test_two_blocks_are_read_strictly(blocks: tuple[str, ...], line: int, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        read("\n".join(["G21 G40 G99", "T0101", "G97 S600 M03", "G00 X22. Z4.", *blocks, "M30"]), G99)
    assert str(caught.value).startswith(f"line {line}, column {column}: ")


@pytest.mark.parametrize(
    "block, column, words",
    [
        ("G76 P2 Z-20 J0.6 K2.4", 1, "has no I"),
        ("G76 P2 Z-20 I0 J0.6 K2.4", 13, "neither outside"),
        ("G76 Z-20 I-2 J0.6 K2.4", 1, "has no P"),
        ("G76 P2 I-2 J0.6 K2.4", 1, "has no Z"),
        ("G76 P2 Z-20 I-2 J0.6 K-2.4", 22, "not above 0"),
        ("G76 P2 Z-20 I-2 J0.6 K2.4 R0.5", 27, "no degression"),
        ("G76 P2 Z-20 I-2 J0.6 K2.4 Q60", 27, "no angle"),
        ("G76 P2 Z-20 I-2 J0.6 K2.4 H1.5", 27, "whole number"),
        ("G76 P2 Z-20 I-2 J0.6 K2.4 E1 L2", 27, "tapers at the ends"),
        ("G76 P2 X20 Z-20 I-2 J0.6 K2.4", 8, "nothing in the block uses X20"),
        ("G76 P2 Z-20 I-2 J2.6 K2.4", 1, "deeper than the thread"),
    ],
)
def test_the_drive_line_form_is_read_strictly(block: str, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        g95("G00 X27 Z5", block)
    assert str(caught.value).startswith(f"line 7, column {column}: ")


def test_no_threading_cycle_while_the_nose_is_compensated() -> None:
    text = "\n".join([MODES, TURNING, "G00 X30 Z5", "G42 G01 Z2", "G76 P2 Z-20 I-2 J.6 K2.4", "M30"])
    with pytest.raises(BadInput, match="no cycle is run while compensation is on"):
        read(text, G95, noses={1: (0.4, (-1, -1))})


# -- written ---------------------------------------------------------------------------------------------------------


def job(**changes: object) -> Threading:
    """M10 x 1 in an undercut, outside."""
    plain = Threading(
        crest=4.942, depth=0.62, half_angle=math.radians(30.0), lead=1.0, begins=-0.5, ends=-7.0, run_in=2.1,
        run_out=0.3, clear=5.942, most=0.146, least=0.05, springs=2, infeed=Infeed.FLANK, relief=math.radians(1.0),
    )  # fmt: skip
    return replace(plain, **changes)


def planned(threading: Threading) -> Program:
    """The plan's own passes, each move by itself."""
    start = (2.0, 3.5 if threading.inside else 20.0)
    legs, _ = thread(threading, start)
    moves = steps_of(legs, STATE, (0.001, 0.0005), tool=None)  # type: ignore[arg-type]
    still = replace(STATE, spindle=None)
    steps = (ToolCall(start, still), SpindleChange(start, STATE), *moves, End(moves[-1].end, still))  # type: ignore[union-attr]
    return Program("Thread", (), (Operation("thread", steps),), home=start)


def writing(dialect: Dialect, *names: str) -> Dialect:
    return replace(dialect, cycles=replace(dialect.cycles, write=names))


def blocks(program: Program, dialect: Dialect) -> list[str]:
    return [line for line in write(program, dialect).text.splitlines() if line.startswith(("G76", "G92", "G33", "G32"))]


def test_nothing_is_written_as_a_cycle_unless_the_dialect_says_so() -> None:
    assert G95.cycles.write == G99.cycles.write == ()
    assert all(line.startswith("G32") for line in blocks(planned(job()), G99))


def test_all_passes_in_two_blocks() -> None:
    assert blocks(planned(job()), writing(G99, "thread")) == [
        "G76 P030060 Q50 R0.069",
        "G76 X8.644 Z-7.3 P621 Q143 F1.0",
    ]


def test_all_passes_from_the_drive_line_make_as_many_as_the_plan() -> None:
    (block,) = blocks(planned(job()), writing(G95, "thread"))
    assert block.startswith("G76 P1.0 Z-6.9") and block.endswith("Q29.0 H2")
    again = read(write(planned(job()), writing(G95, "thread")).text, G95)
    assert len(cuts(again)) == len(cuts(planned(job())))


def test_one_block_has_no_passes_at_full_depth_and_no_least_step() -> None:
    even = job(springs=0, infeed=Infeed.RADIAL, relief=0.0, least=0.001)
    assert blocks(planned(even), writing(ONE, "thread")) == ["G76 X8.644 Z-7.3 K0.621 D0.143 F1.0 A0.0"]
    assert len(blocks(planned(job()), writing(ONE, "thread"))) > 5


def test_passes_there_and_back_one_by_one() -> None:
    lines = blocks(planned(job(infeed=Infeed.RADIAL, relief=0.0)), writing(G99, "thread pass"))
    assert lines[0].startswith("G92 X9.") and lines[0].endswith("Z-7.3 F1.0")
    assert len(lines) == 1  # X alone says the next ones
    flank = blocks(planned(job()), writing(G99, "thread pass"))
    assert all(line.startswith("G92") and line.endswith("Z-7.3 F1.0") for line in flank) and len(flank) > 5


@pytest.mark.parametrize(
    "odd",
    [
        {"starts": 2, "lead": 2.0},
        {"infeed": Infeed.ALTERNATING},
        {"ramped": True, "run_out": 2.0},
        {"depth": 0.1, "springs": 0},
    ],
    ids=str,
)
def test_what_the_cycle_would_cut_otherwise_stays_in_single_moves(odd: dict[str, object]) -> None:
    for dialect in (G95, G99):
        assert not any(line.startswith("G76") for line in blocks(planned(job(**odd)), writing(dialect, "thread")))


@settings(max_examples=60, deadline=None)
@given(
    depth=st.integers(300, 2500).map(lambda n: n / 1000.0),
    most=st.integers(100, 300).map(lambda n: n / 1000.0),
    springs=st.integers(0, 3),
    inside=st.booleans(),
    infeed=st.sampled_from([Infeed.RADIAL, Infeed.FLANK]),
    dialect=st.sampled_from([G95, G99, ONE]),
    name=st.sampled_from(["thread", "thread pass"]),
)
def test_a_written_cycle_ends_where_the_plan_does_and_takes_no_more(
    depth: float, most: float, springs: int, inside: bool, infeed: Infeed, dialect: Dialect, name: str
) -> None:
    crest, clear = (9.0, 8.0) if inside else (12.0, 13.0)
    threading = job(
        crest=crest, clear=clear, depth=depth, most=most, least=0.05, springs=springs, inside=inside, infeed=infeed
    )
    program = planned(threading)
    again = read(write(program, writing(dialect, name)).text, dialect)
    meant, got = cuts(program), cuts(again)
    assert len(got) == len(meant)
    sign = 1.0 if inside else -1.0
    deep = [[sign * (c.end[1] - crest) for c in made] for made in (meant, got)]
    steps = [[b - a for a, b in zip([0.0, *d], d, strict=False)] for d in deep]
    assert max(steps[1]) <= max(steps[0]) + 0.006
    assert deep[1][-1 - springs :] == pytest.approx(deep[0][-1 - springs :], abs=1e-3)
    assert got[-1].end[0] == pytest.approx(meant[-1].end[0], abs=2e-3)
    assert got[-1].start[0] == pytest.approx(meant[-1].start[0], abs=2e-3)
    assert moves_of(again)[-1].end == pytest.approx(moves_of(program)[-1].end, abs=1e-3)
    way_back = {m.end[1] for m in moves_of(again) if isinstance(m, Rapid) and m.start[0] != m.end[0]}
    assert all(sign * x <= sign * clear + 1e-9 for x in way_back)  # never nearer to the metal than the plan
