"""Every sample, every set-up, in the words of every dialect: texts that were read line by line as at the machine.

What stands in `golden/SAMPLE-DIALECT.txt` is what the whole road makes of the sample today, so that a change of the
plan or of a dialect shows here as lines to be read. A text is folded where reading twice teaches nothing: of a long run
of moves stand the first, the last, and the SHA-256 of those between (in g95, where every move was read, only runs that
repeat themselves for a page); a header that has g95's words is named by that. What can not be made stands there with
its reason. To write them again after a change that is meant:  python -m tests.commands.test_golden_programs

Read in each: what to saw and how far it stands out; every tool with the edge that is touched off; a first move to a
place that a rule can check, spindle still; M05 before every M00, and words that say what hands do there; the tool's
call and its offset before it moves; spindle and its limit before the first cut, feed with its mode in every section;
X as the control reads it; in along Z then X, out along X then Z; dwells in the control's unit, and F stated again where
the dwell took it; each thread pass with its lead; depths by hand from what can be touched; M30 at the end.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from functools import cache
from itertools import groupby
from pathlib import Path

import pytest
from msgspec.structs import replace

from posts.dialect import load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import goes_by_one_axis_and_home, moves_of, sections_alone
from toolpath.commands.inputs import read_inputs
from toolpath.commands.road import noses, request, suited
from toolpath.errors import CannotMake
from toolpath.motion import Cut, Move, Program, Spindle, SpindleChange, Stop, ThreadCut
from toolpath.plan.plan import plan
from toolpath.plan.setups import next_stock, request_of

GOLDEN = Path(__file__).with_name("golden")
JOBS = {job.stem: job for job in sorted((Path(__file__).parents[2] / "samples").glob("*.toml"))}
DIALECTS = ("g95", "g99", "iso6983", "plain94")
FOLD = {"g95": (60, 20, 6)}
"""Longest run of moves that stands whole, and how many of a longer one stand at its begin and end."""
OTHERS = (12, 4, 2)
MOVE = re.compile(r"(N\d+ )?(G0[0-4]|[XZ])")
STARTS = "starts at"

EACH = pytest.mark.parametrize(("sample", "name"), [(s, n) for s in JOBS for n in DIALECTS])


@cache
def texts(sample: str, name: str) -> tuple[tuple[str, ...], str]:
    """The text of each set-up, and why the next can not be made, empty where all can.

    For iso6983 it is taken as said that the machine's units codes are its own.
    """
    inputs, dialect = read_inputs(JOBS[sample], sizes={}, material_name=None), load_dialect(name)
    inputs = replace(inputs, machine=suited(inputs.machine, dialect))
    base, holdings = request(inputs, dialect=dialect), inputs.job.holdings
    out, stock = [], base.stock
    for number in range(1, len(holdings) + 1):
        try:
            planned = plan(request_of(base, holdings, number, stock))
            out.append(write(planned.program, dialect).text)
        except CannotMake as error:
            return tuple(out), str(error)
        if number < len(holdings):
            stock = next_stock(planned, holdings)
    return tuple(out), ""


@cache
def programs(sample: str, name: str) -> tuple[Program, ...]:
    """What the texts say."""
    inputs, dialect = read_inputs(JOBS[sample], sizes={}, material_name=None), load_dialect(name)
    return tuple(read(text, dialect, noses=noses(inputs.tools)) for text in texts(sample, name)[0])


def golden(sample: str, name: str) -> Path:
    return GOLDEN / f"{sample}-{name}.txt"


def told(sample: str, name: str) -> str:
    """All set-ups of a sample, folded, as they stand in its file."""
    made, refused = texts(sample, name)
    others = texts(sample, "g95")[0]
    parts = [f"=== set-up {k}\n{folded(text, name, like=others[k - 1])}" for k, text in enumerate(made, 1)]
    return "".join(parts) + (f"=== refused\n{refused}\n" if refused else "")


def folded(text: str, name: str, *, like: str) -> str:
    """A text as it is kept. like: that of g95"""
    lines = text.splitlines()
    if name != "g95" and words(text) == words(like):
        first = next(k for k, line in enumerate(lines) if line.startswith("("))
        last = next(k for k, line in enumerate(lines) if STARTS in line.lower())
        lines[first:last] = [f"... {last - first} lines of header, the words of g95"]
    return "\n".join(_folded(lines, *FOLD.get(name, OTHERS))) + "\n"


def words(text: str) -> str:
    """The header's words, however they are broken into lines and whatever their case."""
    header = text.lower().partition(STARTS)[0]
    return " ".join(re.sub(r"\n\(|\)$", " ", header[header.index("(") :], flags=re.MULTILINE).split())


def _folded(lines: list[str], most: int, begin: int, end: int) -> Iterator[str]:
    for moves, run in groupby(lines, lambda line: MOVE.match(line) is not None):
        block = list(run)
        if moves and len(block) > most:
            between = block[begin:-end]
            digest = hashlib.sha256("\n".join(between).encode("ascii")).hexdigest()
            block[begin:-end] = [f"... {len(between)} lines, SHA-256 {digest[:16]}"]
        yield from block


@EACH
def test_it_is_the_text_that_was_read(sample: str, name: str) -> None:
    again = "read the changed lines; if they are meant, python -m tests.commands.test_golden_programs"
    assert told(sample, name) == golden(sample, name).read_text(encoding="ascii"), again


def test_nothing_else_is_kept() -> None:
    assert sorted(GOLDEN.iterdir()) == sorted(golden(s, n) for s in JOBS for n in DIALECTS)


@pytest.mark.parametrize(("name", "other"), [("g99", "g95"), ("plain94", "iso6983")])
@pytest.mark.parametrize("sample", JOBS)
def test_two_dialects_of_one_plan_lead_to_the_same_places(sample: str, name: str, other: str) -> None:
    """g95 and g99 have constant surface speed, the other two fixed speeds; places agree within the coarser digit."""
    digit = max(10**-d.millimetre.position for d in map(load_dialect, (name, other)))
    for one, two in zip(programs(sample, name), programs(sample, other), strict=False):
        ends, others = [m.end for m in moves_of(one)], [m.end for m in moves_of(two)]
        assert len(ends) == len(others)
        for a, b in zip(ends, others, strict=True):
            assert a == pytest.approx(b, abs=digit)


@EACH
def test_the_first_moves_are_made_with_the_spindle_still_and_end_in_a_check(sample: str, name: str) -> None:
    for program in programs(sample, name):
        steps = list(program.steps)
        first = next(k for k, step in enumerate(steps) if isinstance(step, Move))
        turns = next(k for k, step in enumerate(steps) if isinstance(step, SpindleChange) and step.state.spindle)
        checked = [s.text.lower() for s in steps[first:turns] if isinstance(s, Stop)]
        assert len(checked) == 1 and "check with a rule" in checked[0] and "mm from the axis" in checked[0]


@EACH
def test_at_every_stop_the_spindle_is_off_and_the_text_says_what_hands_do(sample: str, name: str) -> None:
    for program in programs(sample, name):
        stops = [step for step in program.steps if isinstance(step, Stop)]
        assert len(stops) >= 2
        for stop in stops:
            assert stop.state.spindle is None and len(stop.text.split()) > 5


@EACH
def test_no_metal_is_cut_without_spindle_and_feed(sample: str, name: str) -> None:
    for program in programs(sample, name):
        for move in moves_of(program):
            if isinstance(move, Cut | ThreadCut):
                assert isinstance(move.state.spindle, Spindle)
            if isinstance(move, Cut):
                assert move.state.feed is not None and move.state.feed.value > 0.0


@EACH
def test_tools_come_along_z_and_leave_along_x(sample: str, name: str) -> None:
    """No rapid moves two axes at once, and the last one ends where the first tool stood."""
    for program in programs(sample, name):
        assert goes_by_one_axis_and_home(program)


@EACH
def test_no_section_hangs_on_the_one_before(sample: str, name: str) -> None:
    """Each section alone, its tool in the post already, is a program of the same cuts."""
    dialect = load_dialect(name)
    for text, whole in zip(texts(sample, name)[0], programs(sample, name), strict=True):
        for alone, within in sections_alone(text, whole, dialect):
            assert alone == within


@EACH
def test_what_is_sawn_and_drilled_is_told_in_lengths_that_there_are(sample: str, name: str) -> None:
    """No comment has a length below nothing, but for a Z to which a face is set."""
    for text in texts(sample, name)[0]:
        spoken = " ".join(line.strip("()") for line in text.splitlines() if line.startswith("(")).lower()
        below = re.findall(r"(\w+(?: \w+)?) -\d", spoken)
        assert all(before in ("there to", "at z") for before in below), below


if __name__ == "__main__":
    GOLDEN.mkdir(exist_ok=True)
    for _sample in JOBS:
        for _name in DIALECTS:
            golden(_sample, _name).write_text(told(_sample, _name), encoding="ascii")
