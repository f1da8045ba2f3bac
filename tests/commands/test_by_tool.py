"""One program a tool: each whole in itself, together the program of the set-up, proven as they follow one another."""

from __future__ import annotations

import hashlib
import json
from itertools import pairwise
from pathlib import Path

import pytest
from msgspec.structs import replace

from posts.dialect import load_dialect
from posts.reader import read
from tests.plan.bench import machine_text, made
from toolpath.commands.by_tool import by_tool, joined, runs
from toolpath.commands.outputs import write_all
from toolpath.commands.results import programs_of, results
from toolpath.commands.road import Made, noses
from toolpath.motion import Cut, End, Move, Stop, ToolCall
from toolpath.plan.operations import ByHand, Operation


def job(dialect: str = "g95") -> Made:
    """A ring with a bore: T2 turns, drills are fed by hand, T8 bores, T2 or another finishes, T4 parts off."""
    return made(
        machine=machine_text().replace('"g95"', f'"{dialect}"'),
        outside=[{"dia": 16, "to": 9}, {"dia": 22, "to": 18}],
        inside=[{"dia": 12, "to": 10}],
    )


@pytest.mark.parametrize("dialect", ["g95", "g99", "plain94"])
def test_the_parts_cut_what_the_whole_program_cuts(dialect: str) -> None:
    """Read back, every feed move of the whole is in the parts, in its order and at its feed and speed."""
    done = by_tool(job(dialect), dry=False)
    (setup,) = done.setups
    assert not setup.proof.refused and len(setup.parts) >= 3
    words = load_dialect(dialect)
    parts = [read(p.text.text, words, noses=noses(done.inputs.tools)) for p in setup.parts]

    def cuts(steps: object) -> list[tuple[object, ...]]:
        return [(s.start, s.end, s.state.feed, s.state.spindle, s.state.tool) for s in steps if isinstance(s, Cut)]  # type: ignore[attr-defined]

    assert cuts([s for p in parts for s in p.steps]) == cuts(setup.read_back.steps)


def test_each_part_has_one_tool_shows_where_it_goes_and_ends() -> None:
    done = by_tool(job(), dry=False)
    (setup,) = done.setups
    for k, part in enumerate(setup.parts, 1):
        program = read(part.text.text, done.dialect, noses=noses(done.inputs.tools))
        assert {s.state.tool for s in program.steps if isinstance(s, Move)} == {part.tool}
        assert len([s for s in program.steps if isinstance(s, ToolCall)]) == 1
        shown = [s for s in program.steps if isinstance(s, Stop) and "check with a rule" in s.text]
        assert len(shown) == 1 and isinstance(program.steps[-1], End)
        assert shown[0].at[0] == pytest.approx(21.0 if k == 1 else 20.0), "the end is faced by the first tool"
        header = " ".join(program.header)
        assert f"ONE TOOL ALONE: T{part.tool}, part {k} of {len(setup.parts)} of set-up 1" in header


def test_parts_that_do_not_hold_are_refused() -> None:
    """The proof is that of the parts: on a spindle that may turn no faster than 400 rpm it refuses them."""
    done = job()
    inputs = replace(done.inputs, machine=replace(done.inputs.machine, max_rpm=400.0, chuck_max_rpm=400.0))
    refused = by_tool(replace(done, inputs=inputs), dry=False)
    assert refused.setups[0].proof.refused and not refused.setups[0].parts


def test_files_report_and_withdrawal(tmp_path: Path) -> None:
    done = by_tool(job(), dry=False)
    files = results(done)
    names = [n for n in files if "-tool-" in n]
    assert names == [f"trial-1-tool-{k}.nc" for k in range(1, len(done.setups[0].parts) + 1)]
    assert "trial-1.nc" in files
    entry = json.loads(files["trial.json"])["setups"][0]
    assert [p["program"] for p in entry["parts"]] == names
    assert [p["sha256"] for p in entry["parts"]] == [hashlib.sha256(files[n]).hexdigest() for n in names]
    ends = [p["operations"] for p in entry["parts"]]
    assert ends[0][0] == 1 and ends[-1][1] == len(entry["operations"])
    assert all(a[1] + 1 == b[0] for a, b in pairwise(ends))
    write_all(tmp_path, files)
    assert set(names) <= set(programs_of(tmp_path, "trial"))
    withdrawn = write_all(tmp_path, results(job()), withdraw=programs_of(tmp_path, "trial"))
    assert withdrawn == names, "yesterday's parts do not lie beside today's program"


def test_dry_parts_do_not_turn_the_spindle() -> None:
    texts = [p.text.text for p in by_tool(job(), dry=True).setups[0].parts]
    assert texts and all("DRY RUN" in t and "M03" not in t and "G95" not in t for t in texts)


def test_what_a_hand_does_goes_with_the_tool_before_it() -> None:
    planned = job().setups[0].plan.operations
    spans = runs(planned)
    assert spans[0][0] == 0 and spans[-1][1] == len(planned)
    for a, b in spans:
        numbers = [op.tool.number for op in planned[a:b] if isinstance(op, Operation)]
        assert len(set(numbers)) == 1 and (a == 0 or not isinstance(planned[a], ByHand))


def test_joined_parts_end_once() -> None:
    done = by_tool(job(), dry=False)
    parts = [read(p.text.text, done.dialect, noses=noses(done.inputs.tools)) for p in done.setups[0].parts]
    steps = [s for op in joined(parts) for s in op.steps]
    assert [isinstance(s, End) for s in steps].count(True) == 1 and isinstance(steps[-1], End)
