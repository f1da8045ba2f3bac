"""The mandrel as a part of its own: the job that `make` writes for it, and that this job makes and proves."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES, Call, everything
from toolpath.commands.inputs import Inputs, read_inputs
from toolpath.shop.threads import limits, read_thread


@pytest.fixture
def cap(bench: Path) -> Path:
    """The screwed cap, in the bench's folder."""
    shutil.copy(SAMPLES / "screwed-cap.toml", bench / "cap.toml")
    return bench


def other(bench: Path, thread: str, on: str) -> None:
    path = bench / "cap.toml"
    text = path.read_text(encoding="utf-8").replace('"M10x1-6g"', f'"{thread}"')
    text = text.replace("mandrel M10x1", f"mandrel {on}").replace("M10 x 1", thread)
    text = text.replace(", mate_deep = 10", "")  # its mate is another's
    text = text.replace("knot = 6.0", "knot = 4.0")[: text.index("[expect]")]
    path.write_text(text, encoding="utf-8")


def made(call: Call) -> Inputs:
    code, _, err = call("make", "cap.toml")
    assert (code, err) == (0, "")
    return read_inputs(Path("cap") / "cap-mandrel.toml", sizes={})


def test_the_mandrel_of_the_sample_makes_and_is_proven(cap: Path, call: Call) -> None:
    """M10 x 1 - 6H: minor diameter 8.917 to 9.153 mm (ISO 965-1)."""
    code, out, err = call("make", "cap.toml")
    assert (code, err) == (0, "")
    assert "Before set-up 2 make the mandrel, from cap-mandrel.toml" in " ".join(out.split())
    code, out, err = call("make", "cap/cap-mandrel.toml", "-o", "mandrel")
    assert (code, err) == (0, "")
    assert "Uncut     nothing" in out
    assert (cap / "mandrel" / "cap-mandrel-1.nc").is_file()
    report = json.loads((cap / "mandrel" / "cap-mandrel.json").read_text(encoding="utf-8"))
    kinds = [op["kind"] for op in report["setups"][0]["operations"]]
    assert kinds[0] == "face" and kinds[-1] == "thread" and "part off" not in kinds
    part = read_inputs(Path("cap") / "cap-mandrel.toml", sizes={}).part
    assert 8.917 <= 2.0 * part.threads[0].crest <= 9.153


def test_it_is_the_one_that_the_second_set_up_was_proven_with(cap: Path, call: Call) -> None:
    """No wider than the hold there, out of the chuck as far at least; the part goes 9 mm in, its end free."""
    mandrel = made(call)
    report = json.loads((cap / "cap" / "cap.json").read_text(encoding="utf-8"))
    collar = report["setups"][1]["hold"][0]
    z, x = [p[0] for p in collar], [p[1] for p in collar]
    assert 14.0 < mandrel.part.largest_dia <= 2.0 * max(x)
    assert mandrel.part.length >= max(z) - min(z)
    thread, (hole,) = mandrel.part.threads[0], [s for s in mandrel.part.inside_surfaces if "floor" in s.name]
    assert -thread.back >= 9.0 and hole is not None
    assert -min(e.b[0] for e in mandrel.part.inside) > 9.0 + 1.0


def test_what_a_person_has_to_know_stands_in_it(cap: Path, call: Call) -> None:
    made(call)
    text = " ".join((cap / "cap" / "cap-mandrel.toml").read_text(encoding="utf-8").replace("#", " ").split())
    for told in (
        "true only while it stays in the chuck it was turned in",
        "a thread alone does not centre",
        "two flats on the collar for a spanner, 13 mm across",
        "a washer of thin paper",
        "full a turn deeper than the part goes in",
        'material = "brass"',
    ):
        assert told in text


def test_its_paths_go_from_where_it_lies(cap: Path, call: Call) -> None:
    assert call("make", "cap.toml", "-o", "far/away").code == 0
    text = (cap / "far" / "away" / "cap-mandrel.toml").read_text(encoding="utf-8")
    assert '"../../machines/bench.toml"' in text and str(cap) not in text
    assert call("check", "far/away/cap-mandrel.toml").code == 0


@pytest.mark.parametrize(
    ("thread", "on", "cut_by"),
    [("M8x1", "M8x1", "tap"), ("3/8-24 UNF", "9.525x1.058", "tap")],
)
def test_other_threads(cap: Path, call: Call, thread: str, on: str, cut_by: str) -> None:
    """The mate is that of the part's own row, its hole within the limits of its standard."""
    other(cap, thread, on)
    mandrel = made(call)
    mate = mandrel.part.threads[0]
    own = read_thread(thread)
    hole = limits(own).hole
    assert mate.inside and mate.threaded.cut_by == cut_by
    assert mate.threaded.thread.in_full == own.in_full
    assert hole is not None and hole.minor.least <= 2.0 * mate.crest <= hole.minor.greatest
    assert call("make", "cap/cap-mandrel.toml").code == 0


def test_without_a_drill_for_the_tap_it_is_bored_and_cut_with_the_point(cap: Path, call: Call) -> None:
    rack = cap / "racks" / "drawer.toml"
    text = rack.read_text(encoding="utf-8")
    for long, short in (
        ('"metric 0.5"', '"metric 0.5"\nto = "8.5"'),
        ('"fractional 1/16 to 1/2"', '"fractional 1/16 to 1/4"'),
    ):
        assert long in text
        text = text.replace(long, short)
    rack.write_text(text, encoding="utf-8")
    mandrel = made(call)
    assert mandrel.part.threads[0].threaded.cut_by == "point"
    code, _, err = call("make", "cap/cap-mandrel.toml")
    assert (code, err) == (0, "")


def test_a_job_without_a_mandrel_has_none(bench: Path, call: Call) -> None:
    out = call("make", "bush.toml").out
    assert "mandrel" not in out
    assert not [name for name in everything(bench / "bush") if "mandrel" in name]


def test_its_file_is_the_same_each_time(cap: Path, call: Call) -> None:
    made(call)
    before = (cap / "cap" / "cap-mandrel.toml").read_bytes()
    made(call)
    assert (cap / "cap" / "cap-mandrel.toml").read_bytes() == before


def test_where_the_thread_is_not_known_it_is_told_that_there_is_no_job_for_it(cap: Path, call: Call) -> None:
    """A plain spigot of the thread's diameter, to be threaded elsewhere, and a mandrel that names no pitch."""
    path = cap / "cap.toml"
    text = path.read_text(encoding="utf-8").replace("mandrel M10x1", "mandrel 9.7")
    text = text.replace(
        'thread   = "M10x1-6g", to = 9, undercut = true, cut_by = "point", mate_deep = 10', "dia = 9.7, to = 9"
    )
    path.write_text(text[: text.index("[expect]")], encoding="utf-8")
    code, out, err = call("make", "cap.toml")
    assert (code, err) == (0, "")
    assert "No job is written for the mandrel of set-up 2" in " ".join(out.split())
    assert not (cap / "cap" / "cap-mandrel.toml").exists()
