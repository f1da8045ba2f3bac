"""`thread`: its page, its JSON, and what it says to a slip of the pen."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.commands.conftest import Call
from toolpath.commands.thread_answer import answer
from toolpath.commands.thread_page import page
from toolpath.shop.drills import every_set
from toolpath.shop.threads import read_thread
from toolpath.shop.threads.standards import known_threads


def test_the_published_limits_of_5_16_24(call: Call) -> None:
    """All eight figures of 2A and 2B, in; the drill I of the usual chart with 75 and 90 percent."""
    said = call("thread", "5/16-24 UNF")
    assert (said.code, said.err) == (0, "")
    words = [line.split() for line in said.out.splitlines()]
    inches = [line[1:] for line in words if line[:1] == ["in"]]
    assert inches[0][:3] == ["0.3042", "0.3114", "0.3125"]
    assert inches[1] == ["0.2806", "0.2843", "0.2854", "0.2902"]
    assert inches[2][2:] == ["0.2670", "0.2770"]
    assert ["letter", "I", "6.909", "0.2720", "90", "75", "*"] in words
    assert "% of chart: of 3/4 H, as on most shop charts" in said.out


def test_every_part_of_the_page(call: Call) -> None:
    out = call("thread", "M10x1").out
    for line in (
        "M10x1: ISO metric fine, right hand, 60 degrees",
        "turn to, before die or point     9.884 mm   0.3891 in  9.794 to 9.974 mm",
        "chamfer the start down to        8.496 mm   0.3345 in  45 degrees from the axis",
        "relief: width                    3.000 mm   0.1181 in  not under 1.60 mm",
        "  diameter                       8.290 mm   0.3264 in  8.180 to 8.400 mm",
        "bore to, before tap or point     9.035 mm   0.3557 in  8.917 to 9.153 mm",
        "over three wires of              0.577 mm   0.0227 in  the best",
        "limits 6g and 6H: ISO 965-1, the standard's tables",
    ):
        assert line in out.splitlines()


@pytest.mark.parametrize(
    ("words", "has"),
    [
        (("M16",), "drill before the tap, about     14.051 mm   0.5532 in  none of these sets fits"),
        (("1/4 NPT",), "gauged by turns"),
        (("Tr 12x3",), "relief: no table of reliefs holds Tr 12x3; give width and diameter"),
        (("Tr", "20x8(P4)", "LH"), "2 starts, lead 8 mm; helix angle 8.05 degrees"),
        (("M6", "--wire", "0.6"), "over three wires of              0.600 mm   0.0236 in  best 0.5774 mm"),
        (("M2x0.25",), "the standard gives no 6H for a pitch of 0.25 mm"),
        (("#10-32",), "#10-32 UNF: Unified UNF, right hand"),
    ],
)
def test_what_is_special(words: tuple[str, ...], has: str, call: Call) -> None:
    said = call("thread", *words)
    assert said.code == 0
    assert has in said.out


def test_a_rack_answers_with_what_it_owns(bench: Path, call: Call) -> None:
    every, owned = (
        json.loads(call("thread", "M10", "--json", *more).out) for more in ((), ("--rack", "racks/drawer.toml"))
    )
    assert len(owned["tap_drills"]) < len(every["tap_drills"])
    assert {d["drill"] for d in owned["tap_drills"]} <= {d["drill"] for d in every["tap_drills"]}
    assert next(d["drill"] for d in owned["tap_drills"] if d["usual"]) == "8.5"


def test_the_answer_as_data(call: Call) -> None:
    found = json.loads(call("thread", "M10x1-6g", "LH", "--json").out)
    assert (found["thread"], found["left_hand"], found["pitch"]["mm"]) == ("M10x1 LH", True, 1.0)
    assert found["screw"]["pitch"]["least"] == {"mm": 9.212, "in": 0.362677}
    assert found["hole"]["class"] == "6H"
    assert found["relief"]["radius"]["mm"] == 0.6
    assert found["wires"]["over"]["least"]["mm"] == pytest.approx(9.212 + 3 * 0.57735 - 0.86603, abs=1e-4)


@given(st.sampled_from(known_threads()))
def test_no_line_is_longer_than_a_screen(name: str) -> None:
    lines = list(page(answer(read_thread(f"{name} LH"), every_set(), wire=None)))
    assert max(map(len, lines)) <= 80
    assert all(line == line.rstrip() for line in lines)


@pytest.mark.parametrize("name", ["12 x 1.25 53deg", "12 x 2.5 60deg", "1/2 in x 20 tpi 55deg", "M20x8(P2)"])
def test_free_threads_have_a_page(name: str) -> None:
    assert max(len(line) for line in page(answer(read_thread(name), every_set(), wire=None))) <= 80


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("M10x1.1",), "M10 has no pitch of 1.1 mm. It has 1.5, 1.25, 1, 0.75"),
        (("5/16-25",), "The nearest is 5/16-24 UNF"),
        (("hello",), "'hello' is no thread that is known"),
        (("M10", "--rack", "none.toml"), "none.toml: there is no such file"),
        (("M10", "--wire", "9"), "a wire of 9 mm does not rest on the flanks of M10"),
        (("M10", "--wire", "thick"), "thick"),
        (("1/4 NPT", "--wire", "1"), "a taper thread is not measured over wires here"),
    ],
)
def test_one_message_with_what_would_be_right(words: tuple[str, ...], message: str, call: Call) -> None:
    said = call("thread", *words)
    assert (said.code, said.out) == (1, "")
    assert said.err.count("\n") == 1
    assert message in said.err


def test_without_a_designation_it_shows_how_it_is_called(call: Call) -> None:
    said = call("thread")
    assert said.code == 2
    assert "Missing argument 'DESIGNATION'" in said.err
