"""`cut`: every operation from the command line through plan, text and proof; what it assumes; what it refuses."""

from __future__ import annotations

import json
import math
import tomllib
from pathlib import Path

import pytest
from pygcode import Line

from tests.commands.conftest import Call, Said, everything
from toolpath.commands import last_shop

SHOP = ("--material", "brass", "--machine", "machines/bench.toml", "--tools", "racks/drawer.toml", "--in", "collet")


@pytest.fixture(autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of its own: what was last used is kept there, and nowhere else."""
    folder = tmp_path_factory.mktemp("home")
    monkeypatch.setattr(last_shop, "place", lambda: folder / "kept" / "last.toml")
    return folder


def report(folder: Path, operation: str) -> dict[str, object]:
    said: dict[str, object] = json.loads((folder / f"cut-{operation}" / f"cut-{operation}.json").read_text("utf-8"))
    return said


def part_of(folder: Path, operation: str) -> list[list[float]]:
    (setup,) = report(folder, operation)["setups"]  # type: ignore[misc]
    (outline,) = setup["part"]
    points: list[list[float]] = outline
    return points


OPERATIONS = [
    (("face", "0.5"), ["face"]),
    (("turn", "12", "20"), ["rough", "finish"]),
    (("taper", "9", "20", "--ratio", "1:20"), ["rough", "finish"]),
    (("taper", "9", "20", "--to", "12"), ["rough", "finish"]),
    (("taper", "9", "10", "--included-angle", "30"), ["rough", "finish"]),
    (("taper", "--standard", "metric 6"), ["rough", "finish"]),
    (("chamfer", "1"), ["rough", "finish"]),
    (("round", "2"), ["rough", "finish"]),
    (("dome", "10"), ["rough", "finish"]),
    (("ball", "15", "8"), ["rough", "finish", "groove"]),
    (("hollow", "10", "8", "--at", "8"), ["rough", "finish"]),
    (("groove", "10", "3", "--at", "12"), ["groove"]),
    (("part", "12"), ["part off"]),
    (("drill", "5", "12"), ["centre", "drill"]),
    (("ream", "6", "10"), ["centre", "drill", "ream"]),
    (("bore", "12", "10"), ["drill", "rough", "finish"]),
    (("thread", "M10x1", "9", "--by", "die"), ["rough", "finish", "thread"]),
    (("thread", "M10x1", "9", "--by", "point", "--undercut"), ["thread"]),
    (("thread", "M6", "8", "--inside"), ["centre", "drill", "thread"]),
]


@pytest.mark.parametrize(("words", "kinds"), OPERATIONS, ids=[" ".join(w) for w, _ in OPERATIONS])
def test_every_operation_is_made_and_proven(bench: Path, call: Call, words: tuple[str, ...], kinds: list[str]) -> None:
    """The operations that are named are in the program, and a parser that is not ours reads every line of it."""
    said = call("cut", *words, "--bar", "16", *SHOP)
    assert said.code == 0, said.err
    (setup,) = report(bench, words[0])["setups"]  # type: ignore[misc]
    done = [op["kind"] for op in setup["operations"]]
    assert [k for k in kinds if k not in done] == [] and not [f for f in setup["findings"] if f["rank"] == "stop"]
    assert said.out == (bench / f"cut-{words[0]}" / f"cut-{words[0]}-1.nc").read_text("ascii")
    for line in said.out.splitlines():
        if not line.startswith("("):
            Line(line)


def test_a_taper_has_the_slope_that_was_asked_for(bench: Path, call: Call) -> None:
    """1:20 over 20 mm from 9: 10 at the other end, by the meaning of the ratio."""
    assert call("cut", "taper", "9", "20", "--ratio", "1:20", "--bar", "16", *SHOP).code == 0
    points = part_of(bench, "taper")
    assert min(math.dist(p, (-20.0, 5.0)) for p in points) < 1e-5
    assert min(math.dist(p, (0.0, 4.5)) for p in points) < 1e-5


def test_a_ball_is_a_ball(bench: Path, call: Call) -> None:
    """Every point of it is 7.5 mm from its middle, which lies 7.5 behind the face (closed form of the sphere)."""
    assert call("cut", "ball", "15", "8", "--bar", "16", *SHOP).code == 0
    ball = [p for p in part_of(bench, "ball") if p[0] > -7.5 - math.sqrt(7.5**2 - 4.0**2) + 1e-6 and p[1] > 0.0]
    assert len(ball) > 20
    assert all(math.dist(p, (-7.5, 0.0)) == pytest.approx(7.5, abs=1e-5) for p in ball)


def test_the_last_shop_serves_the_next_cut(bench: Path, call: Call) -> None:
    assert call("cut", "turn", "12", "20", "--bar", "5/8 in", *SHOP).code == 0
    said = call("cut", "face")
    assert said.code == 0
    for told in (
        "machine bench.toml, as the last time",
        "rack drawer.toml",
        "material brass",
        "bar of diameter 5/8 in",
    ):
        assert told in said.err
    assert tomllib.loads((bench / "cut-face" / "cut-face.toml").read_text("utf-8"))["bar"]["dia"] == "5/8 in"


def test_what_was_never_said_is_asked_for(bench: Path, call: Call) -> None:
    before = everything(bench)
    said = call("cut", "turn", "12", "20")
    assert said == Said(
        1, "", "halfsection: cut turn: the machine is not known: nothing was cut before. Name it with --machine FILE\n"
    )
    assert everything(bench) == before


def test_a_kept_file_that_is_broken_is_as_none(bench: Path, call: Call, home: Path) -> None:
    last_shop.place().parent.mkdir()
    last_shop.place().write_text("machine = ", encoding="utf-8")
    assert "the machine is not known" in call("cut", "face").err


def test_the_job_that_is_written_makes_the_same_program(bench: Path, call: Call) -> None:
    assert call("cut", "turn", "12", "20", "--bar", "16", *SHOP, "-q").err == ""
    first = (bench / "cut-turn" / "cut-turn-1.nc").read_bytes()
    assert call("make", "cut-turn/cut-turn.toml", "-o", "again").code == 0
    assert (bench / "again" / "cut-turn-1.nc").read_bytes() == first
    assert sorted(p.name for p in bench.iterdir()) == ["again", "bush.toml", "cut-turn", "machines", "racks"]


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("turn", "20", "30"), 1, "cut turn: dia 20 comes to dia 20, and the bar is dia 16"),
        (("turn", "12", "nonsense"), 1, "cut turn: 'nonsense'"),
        (("turn", "12", "-4"), 2, "No such option '-4'"),
        (("turn", "12", "20", "--in", "vice"), 1, "cut turn: --in: 'vice' is no way of holding"),
        (("turn", "12", "20", "--post", "g96"), 1, "cut turn: --post: there is no dialect 'g96'"),
        (("turn", "12", "20", "--material", "cheese"), 1, "cut turn: --material: 'cheese' is not among"),
        (("turn", "12", "20", "--bar-length", "22"), 1, "cut turn: 22 mm of bar sticking out"),
        (("taper", "9", "20"), 1, "neither by its other end nor by its angle"),
        (("taper", "9", "20", "--ratio", "1:20", "--to", "12"), 1, "two ways at once"),
        (("taper", "9", "10", "--half-angle", "50"), 1, "32.835 mm thick at its end, and the bar is 16"),
        (("taper", "9", "10", "--half-angle", "0"), 1, "can not be turned"),
        (("taper", "9"), 2, "a taper takes FROM and LENGTH"),
        (("taper", "9", "20", "--standard", "Morse 1"), 2, "a standard taper has its own sizes"),
        (("taper", "--standard", "Morse 11"), 1, "no standard taper 'Morse 11'"),
        (("thread", "M10x9", "9"), 1, "cut thread: "),
        (("groove", "10", "0.5", "--at", "5"), 1, "cut groove: 0.25 mm would be left, for "),
        (("trun", "12", "20"), 2, "There is no operation 'trun'. Did you mean 'turn'?"),
    ],
)
def test_refused_in_the_words_of_the_command(
    bench: Path, call: Call, words: tuple[str, ...], code: int, told: str
) -> None:
    before = everything(bench)
    plain = [v for k, v in zip(SHOP[::2], SHOP[1::2], strict=True) for v in (k, v) if k not in words]
    said = call("cut", *words, "--bar", "16", *plain)
    assert said.code == code and told in said.err and said.out == ""
    assert "Traceback" not in said.err and ".halfsection-" not in said.err
    assert everything(bench) == before


# ---------------------------------------------------------------- into a job

COMMENTED = """\
# The bush, as it was found.
title = "Bush"
machine = "machines/bench.toml"
tools = "racks/drawer.toml"
material = "brass"
[bar]
dia = 16
length = 60
[part]
outside = [
  { dia = "8 h9", to = 6 },   # the spigot ] not the end
  { dia = 12, to = 10 }       # the flange
]
[parting]
off = false   # stays
"""


@pytest.mark.parametrize(
    ("words", "row", "line"),
    [
        (("turn", "14", "5"), "  { dia = 14, length = 5 },", 13),
        (("taper", "12", "5", "--to", "1/2 in"), '  { taper_to = "1/2 in", from_dia = 12, length = 5 },', 13),
    ],
)
def test_a_cut_is_added_to_a_job_and_nothing_else_changes(
    bench: Path, call: Call, words: tuple[str, ...], row: str, line: int
) -> None:
    job = bench / "bush.toml"
    job.write_text(COMMENTED, encoding="utf-8")
    said = call("cut", *words, "--into", "bush.toml")
    assert said == Said(0, f"bush.toml:{line}: added to part.outside\n", "")
    lines = job.read_text("utf-8").splitlines()
    assert lines[line - 1] == row
    without = "\n".join([*lines[: line - 1], *lines[line:]]) + "\n"
    assert without == COMMENTED.replace("to = 10 }", "to = 10 },")
    assert call("check", "bush.toml").code == 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("face", "1"), "'face' is no row of a part"),
        (("turn", "20", "5"), "with this the part can not be: "),
        (("drill", "5", "5"), "there is no list 'inside' in [part] to add to"),
    ],
)
def test_what_can_not_be_added_changes_nothing(bench: Path, call: Call, words: tuple[str, ...], told: str) -> None:
    (bench / "bush.toml").write_text(COMMENTED, encoding="utf-8")
    before = everything(bench)
    said = call("cut", *words, "--into", "bush.toml")
    assert said.code == 1 and told in said.err
    assert everything(bench) == before
