"""`iso6983` keeps to codes that mean one thing: each word against the standard's lists, in `standard-codes.toml`."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from posts.dialect import load_dialect
from posts.meanings import GROUPS
from posts.reader import read
from posts.writer import write
from tests.posts.common import moves_of
from tests.posts.strategies import programs
from toolpath.errors import BadInput
from toolpath.motion import Cut, Dwell, Program, ThreadCut, ToolCall

ISO = load_dialect("iso6983")
LISTS = tomllib.loads(Path(__file__).with_name("standard-codes.toml").read_text(encoding="utf-8"))
MODES = "G18 G71 G90 G40"
TURNING = "T1 M06\nD1\nG97 S800 M03\nG95 F0.1"

# Units that are contour cycles elsewhere are the one exception: the machine file must say that they are units.
UNITS = {"G70", "G71"}
ONE_NAME = {"end short": "end"}


def meanings(code: str) -> set[str]:
    """What the lists call a code; empty where both leave it free."""
    return {LISTS[code][name] for name in ("eia", "din") if name in LISTS[code]}


@pytest.mark.parametrize("meaning", sorted(ISO.words))
def test_every_word_means_the_same_in_both_lists(meaning: str) -> None:
    said = meaning.replace("_", " ")
    assert meanings(ISO.words[meaning]) == {ONE_NAME.get(said, said)}


def test_no_word_that_is_written_means_another_thing_by_the_lists() -> None:
    two_meanings = {code for code in LISTS if len(meanings(code)) > 1 or meanings(code) <= {""}}
    assert {"G20", "G21", "G53", "G54", "G74"} <= two_meanings
    assert not two_meanings & set(ISO.words.values())
    assert (
        set(ISO.unit_cycles)
        == UNITS
        == {c for c in LISTS if "cycle" in LISTS[c].get("elsewhere", "") and c[1] == "7"}
        - {
            "G72",
            "G73",
        }
    )


@given(program=programs(ISO))
@settings(max_examples=20, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_texts_hold_codes_of_the_lists_only(program: Program) -> None:
    bare = re.sub(r"\([^)]*\)", "", write(program, ISO).text)
    used = {f"{letter}{int(number):02}" for letter, number in re.findall(r"([GM])(\d+)", bare)}
    assert used <= LISTS.keys() and all(len(meanings(code)) == 1 and "" not in meanings(code) for code in used)


@pytest.mark.parametrize("code", sorted(c for c in LISTS if c not in ISO.words.values()))
def test_what_the_lists_disagree_on_is_refused_with_a_reason(code: str) -> None:
    with pytest.raises(BadInput, match=r"is not used: |end of the program|no word of the dialect"):
        read(f"{MODES}\n{TURNING}\n{code} X10 Z1\nM30", ISO)
    assert code in ISO.refused


def test_offset_by_d_and_dwell_by_f() -> None:
    """DIN 66025: D is the tool's offset, F in a block with G04 the seconds to wait, and no feed."""
    program = read("%\nN1 G18 G71 G90 G40\nN2 T3 M06\nN3 D5\nN4 G97 S500 M03\nN5 G95 F.2\n"
                   "N6 G00 X20 Z2\nN7 G04 F1.5\nN8 G01 Z-5\nN9 M30\n%", ISO)  # fmt: skip
    (call,) = (s for s in program.steps if isinstance(s, ToolCall))
    (dwell,) = (s for s in program.steps if isinstance(s, Dwell))
    (cut,) = (s for s in program.steps if isinstance(s, Cut))
    assert (call.state.tool, call.state.offset) == (3, 5)
    assert dwell.seconds == 1.5
    assert cut.state.feed is not None and cut.state.feed.value == 0.2


def test_a_thread_has_its_lead_along_z() -> None:
    """DIN 66025: K below 45 degrees, along Z whatever X does."""
    program = read(f"{MODES}\n{TURNING}\nG00 X20 Z3\nG33 X22 Z-15 K1.5\nG00 X30\nM30", ISO)
    (pass_,) = (m for m in moves_of(program) if isinstance(m, ThreadCut))
    assert pass_.lead == 1.5


def test_units_that_are_cycles_elsewhere_are_told_apart_by_their_words() -> None:
    assert load_dialect("g95").unit_cycles == load_dialect("g99").unit_cycles == ()
    assert set(GROUPS) >= set(ISO.words)
