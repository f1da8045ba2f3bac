"""`prove`: programs as they were made, edited by hand, or of something else; what is said, and with which exit code.

Which edit does harm is common practice of the trade, no source: each of those below cuts elsewhere than the
drawing says or lets something touch that must not.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES, Call, Said

JOBS = sorted(p.stem for p in SAMPLES.glob("*.toml"))
CAP = "plumb-bob-cap"
Prove = Callable[..., Said]


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The samples, made once: jobs, `machines`, `racks`, and a folder of results for each job."""
    from toolpath.commands import cli

    folder = tmp_path_factory.mktemp("shelf")
    shutil.copytree(SAMPLES, folder, dirs_exist_ok=True)
    for job in JOBS:
        assert cli.run(["make", str(folder / f"{job}.toml"), "-q", "-o", str(folder / job)]) == 0
    return folder


@pytest.fixture
def prove(shelf: Path, call: Call, tmp_path: Path) -> Prove:
    """Prove a text in a set-up of a job, the programs before it lying where `make` wrote them."""

    def run(text: str, *options: str, job: str = CAP, setup: int = 1) -> Said:
        (tmp_path / "edited.nc").write_bytes(text.encode("latin-1"))
        where = ("--job", str(shelf / f"{job}.toml"), "--setup", str(setup))
        before = () if "--stock" in options else ("--earlier", str(shelf / job))
        return call("prove", str(tmp_path / "edited.nc"), *where, *before, *options)

    return run


@pytest.fixture
def text(shelf: Path) -> Callable[..., str]:
    def of(job: str = CAP, setup: int = 1) -> str:
        return (shelf / job / f"{job}-{setup}.nc").read_text(encoding="ascii")

    return of


def change(text: str, old: str, new: str, count: int = 1) -> str:
    assert re.search(old, text, flags=re.MULTILINE)
    return re.sub(old, new, text, count=count, flags=re.MULTILINE)


def codes(said: Said) -> set[str]:
    return set(re.findall(r"\[([a-z-]+)\]$", said.out, flags=re.MULTILINE))


@pytest.mark.parametrize("job", JOBS)
def test_what_make_wrote_is_proven_and_the_entry_is_the_report_s(job: str, shelf: Path, call: Call) -> None:
    report = json.loads((shelf / job / f"{job}.json").read_text(encoding="utf-8"))
    for made in report["setups"]:
        program = str(shelf / job / made["program"])
        said = call("prove", program, "--job", str(shelf / f"{job}.toml"), "--setup", made["name"], "--json")
        assert (said.code, said.err) == (0, "")
        entry = json.loads(said.out)
        assert list(entry) == list(made)
        ours, theirs = entry.pop("operations"), made.pop("operations")
        assert entry == made
        assert [o["seconds"] for o in ours[: len(theirs)]] == [o["seconds"] for o in theirs]


def test_what_is_said_fits_the_bench(prove: Prove, text: Callable[..., str]) -> None:
    code, out, err = prove(text(setup=2), setup=2)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    assert out.startswith("edited.nc: set-up 2 of 2, Plumb-bob cap\n")
    for head in ("Operation ", "Time ", "Deepest gouge ", "Most uncut ", "Closest rapid "):
        assert f"\n{head}" in out
    assert out.endswith("Proven: nothing here stops the program\n")
    rows = out.split("min\n")[1].split("\n\n")[0].splitlines()
    kinds = re.findall(r"^\(--- \d+ (.*?)(?: T\d+)?\)$", text(setup=2), flags=re.MULTILINE)
    assert [row[:34].strip() for row in rows] == kinds


def test_quiet_says_nothing_of_a_good_text_and_all_that_stops_a_bad_one(prove: Prove, text: Callable[..., str]) -> None:
    assert prove(text(), "-q") == (0, "", "")
    bad = change(change(text(), "M03", "M04"), r"^G01 X-0.8$", "G01 X-8.0")
    loud, (code, out, err) = prove(bad), prove(bad, "--quiet")
    assert (code, out) == (3, "")
    stops = int(loud.out.split("Stops the program: ")[1].split("\n")[0])
    assert stops >= 2 and len(err.splitlines()) == 1 + stops
    assert loud.err.endswith(f"(and {stops - 1} more)\n")


FIRST, SECOND = 1, 2
FAULTS = {
    "a sign": (FIRST, r"^X8\.517$", "X-8.517", {"gouge", "not-made"}),
    "a sign along": (SECOND, r"^G01 Z-1\.407$", "G01 Z-14.07", {"gouge", "holder-contact"}),
    "a lost decimal point": (FIRST, r"^G01 X7\.2$", "G01 X72", {"gouge"}),
    "a cut deleted": (SECOND, r"^G01 X8\.285 Z-0\.082\n", "", {"not-made"}),
    "an arc deleted": (SECOND, r"^G03 X9\.078 .*\n", "", {"gouge"}),
    "G03 for G02": (FIRST, r"^G02 (X14\.765)", r"G03 \1", {"gouge", "not-made"}),
    "G02 for G03": (FIRST, r"^G03 (X13\.965)", r"G02 \1", {"gouge"}),
    "a tool number": (FIRST, r"^T1 M06\nG43 H1$", "T2 M06\nG43 H2", {"called-otherwise"}),
    "an offset": (FIRST, r"^G43 H1$", "G43 H2", {"wrong-offset"}),
    "a tool that is not there": (FIRST, r"^T1 M06\nG43 H1$", "T77 M06\nG43 H77", {"unknown-tool"}),
    "the spindle backwards": (FIRST, "M03", "M04", {"wrong-sense"}),
    "a retract removed": (SECOND, r"^G00 Z1\.0\n(X8\.733)$", r"G00 \1", {"rapid-contact"}),
    "doubled feed": (FIRST, r"^G95 F0\.15$", "G95 F0.3", {"feed-gross"}),
    "a blade cuts as fast as it goes back": (FIRST, r"^G95 F0\.05$", "G95 F0.2", {"feed-gross"}),
    "per minute for per turn": (FIRST, r"^G95 F", "G94 F", {"feed-rubs"}),
    "per turn for per minute": (SECOND, r"^G95 F0\.1$", "G95 F144", {"feed-gross"}),
    "a lost decimal point in F": (SECOND, r"^G95 F0\.1$", "G95 F01", {"feed-gross"}),
    "a stop removed": (SECOND, r"^M00\n(\(--- 4)", r"\1", {"no-hand-stop"}),
    "another set-up's header": (FIRST, "Set-up 1 of 2", "Set-up 2 of 2", {"another-setup"}),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_of_the_hand_is_found(fault: str, prove: Prove, text: Callable[..., str]) -> None:
    setup, old, new, any_of = FAULTS[fault]
    said = prove(change(text(setup=setup), old, new), setup=setup)
    assert said.code == 3, said.out
    assert codes(said) & any_of, said.out
    assert "Refused: do not run this text" in said.out and "the proof refuses this program" in said.err


@pytest.mark.parametrize(
    ("option", "said"),
    [("--dry", "this is a dry run, which cuts nothing"), ("--one-program-per-tool", "the part of one tool alone")],
)
@pytest.mark.parametrize("post", ["g95", "g99"])
def test_what_is_no_whole_program_says_so(
    option: str, said: str, post: str, shelf: Path, call: Call, tmp_path: Path
) -> None:
    job = str(shelf / "stepped-arbor.toml")
    assert call("make", job, option, "--post", post, "-q", "-o", str(tmp_path)).code == 0
    file = min(tmp_path.glob("*.nc"))  # of a part, "-1-tool-1" before "-1.nc"
    code, out, err = call("prove", str(file), "--job", job, "--post", post)
    assert (code, out) == (1, "") and said in err and "make JOB" in err


@pytest.mark.parametrize("shift", [1.0, -1.0])
@pytest.mark.parametrize("setup", [1, 2])
def test_a_zero_that_is_off_is_found(setup: int, shift: float, prove: Prove, text: Callable[..., str]) -> None:
    blocks = re.compile(r"^([^(\n]*)Z(-?\d+\.\d+)", flags=re.MULTILINE)
    moved = blocks.sub(lambda m: f"{m[1]}Z{float(m[2]) + shift:.3f}", text(setup=setup))
    said = prove(moved, setup=setup)
    assert said.code == 3
    assert codes(said) & {"gouge", "not-made"}


UNREADABLE = {
    "empty": ("", "the program is empty"),
    "blank": ("\n \n", "the program is empty"),
    "no end": ("(a bob)\nG21\n", ":3: column 1: the program has no end"),
    "not text": ("\x00\x01\xff", ":1: column 1: the character '\\x00'"),
    "an arc of no radius": ("G21 G18 G90 G7\nG00 X10.\nZ1.\nG02 X12. Z1. I0. K0.\nM30\n", ":4: column "),
    "far away": ("G21 G18 G90 G7\nG00 X1000000000. Z0.\nM30\n", ":2: column 5: X1000000000. leads beyond"),
}


@pytest.mark.parametrize("what", UNREADABLE)
def test_a_text_that_can_not_be_read_is_told_with_line_and_column(what: str, prove: Prove) -> None:
    bad, message = UNREADABLE[what]
    code, out, err = prove(bad)
    assert (code, out) == (1, "")
    assert f"edited.nc{message}" in err or f"edited.nc: {message}" in err


def test_a_text_without_end_of_work_ends_in_bounded_time(prove: Prove, text: Callable[..., str]) -> None:
    """Thousands of blocks are proven; what would take hours is refused before."""
    start = text().index("(--- 2")
    blocks = "".join(f"G00 X{60 + k % 2}.\nZ{5 + k % 3}.\n" for k in range(2000))
    assert prove(text()[:start] + blocks + text()[start:]).code == 0
    circles = "".join(f"G00 X100. Z10.\nG02 X100. Z10. I4000. K{k}.\n" for k in range(400))
    code, out, err = prove(text()[:start] + circles + text()[start:])
    assert (code, out) == (1, "") and "correct the arcs that are far larger than the work" in err


def test_a_text_that_no_set_up_needs_is_not_read(prove: Prove) -> None:
    """A hundred megabytes: no more than sixteen are looked at, and where they end is told."""
    code, _, err = prove("G01 X10.\n" * 11_200_000)
    assert code == 1 and "edited.nc:1777778: column 8: the text goes on here, and at most 16000000 bytes" in err
    assert "Split the program" in err


def test_words_that_a_person_drops_are_read_errors(prove: Prove, text: Callable[..., str]) -> None:
    no_spindle = "\n".join(line for line in text().splitlines() if "M03" not in line) + "\n"
    code, _, err = prove(no_spindle)
    assert code == 1 and re.search(r"edited\.nc:\d+: column \d+: .*the spindle stands still", err)


def test_a_second_set_up_needs_what_the_first_left(
    shelf: Path, call: Call, tmp_path: Path, text: Callable[..., str]
) -> None:
    alone = tmp_path / "moved.nc"
    alone.write_text(text(setup=2), encoding="ascii")
    asked = ("prove", str(alone), "--job", str(shelf / f"{CAP}.toml"), "--setup", "2")
    code, out, err = call(*asked)
    assert (code, out) == (1, "")
    assert f"{CAP}-1.nc: the program of set-up 1 is not there" in err and "--earlier" in err and "--stock" in err
    assert call(*asked, "--stock", str(shelf / CAP / f"{CAP}.json")).code == 0
    (tmp_path / f"{CAP}-1.nc").write_text(text(), encoding="ascii")
    assert call(*asked).code == 0
    (tmp_path / f"{CAP}-1.nc").write_text(change(text(), "M03", "M04"), encoding="ascii")
    code, out, err = call(*asked)
    assert (code, out) == (3, "")
    assert f"{CAP}-1.nc: the proof refuses this earlier program" in err and "must turn forward" in err


def test_the_stock_of_a_report_counts(shelf: Path, prove: Prove, text: Callable[..., str], tmp_path: Path) -> None:
    """1.5 mm more of it round the outside is run into, 2 mm less of its length is no part."""
    report = json.loads((shelf / CAP / f"{CAP}.json").read_text(encoding="utf-8"))
    whole = report["setups"][0]["result"][0]

    def with_result(*outlines: list[list[float]]) -> Said:
        report["setups"][0]["result"] = list(outlines)
        (tmp_path / "other.json").write_text(json.dumps(report), encoding="utf-8")
        return prove(text(setup=2), "--stock", str(tmp_path / "other.json"), setup=2)

    assert with_result(whole).code == 0
    larger = with_result([[z, x + 1.5 if x > 4.5 else x] for z, x in whole])
    assert larger.code == 3 and "rapid-contact" in codes(larger)
    back = min(z for z, _ in whole)
    short = with_result([[max(z, back + 2.0), x] for z, x in whole])
    assert short.code == 3 and "short-stock" in codes(short)
    assert with_result(whole, whole).code == 1
    assert with_result([[0.0, 1.0], [1.0, 1.0]]).code == 1
    assert with_result([[z, x - 3.0] for z, x in whole]).code == 1


@pytest.mark.parametrize("content", ["", "[]", '{"setups": []}', '{"setups": [{"name": "7", "result": []}]}'])
def test_what_is_no_report_of_the_set_up_before_is_told(
    content: str, prove: Prove, text: Callable[..., str], tmp_path: Path
) -> None:
    (tmp_path / "no.json").write_text(content, encoding="utf-8")
    code, _, err = prove(text(setup=2), "--stock", str(tmp_path / "no.json"), setup=2)
    assert code == 1 and "no.json: " in err


def test_the_program_of_another_set_up_or_job_is_refused(prove: Prove, text: Callable[..., str]) -> None:
    for setup, other in ((1, 2), (2, 1)):
        said = prove(text(setup=other), setup=setup)
        assert said.code == 3 and "another-setup" in codes(said)
    said = prove(text("reamed-bush"))
    assert said.code == 3 and "another-job" in codes(said)


def test_a_feed_that_is_a_little_more_is_looked_at(prove: Prove, text: Callable[..., str]) -> None:
    said = prove(change(text(), r"^G95 F0\.15$", "G95 F0.2"))
    assert said.code == 0 and "feed-high" in codes(said)
    assert prove(change(text(), r"^G95 F0\.15$", "G95 F0.16")).out.count("[feed-") == 0


@pytest.mark.parametrize(("old", "new"), [("dia    = 16", "dia    = 17"), ("length = 70", "length = 70\nface_off = 2")])
def test_a_bar_that_is_larger_than_the_text_was_made_for_is_told(
    old: str, new: str, shelf: Path, call: Call, text: Callable[..., str]
) -> None:
    """The first rapids keep clear of it by a hair: that the cuts become deeper shows in no outline."""
    job = (shelf / f"{CAP}.toml").read_text(encoding="utf-8")
    assert old in job
    other = shelf / "larger.toml"
    other.write_text(job.replace(old, new, 1), encoding="utf-8")
    said = call("prove", str(shelf / CAP / f"{CAP}-1.nc"), "--job", str(other))
    assert said.code == 3, said.out
    assert {"put-in-otherwise", "another-job"} <= codes(said)
    other.write_text(job.replace("dia    = 16", "dia    = 20", 1), encoding="utf-8")
    assert "rapid-contact" in codes(call("prove", str(shelf / CAP / f"{CAP}-1.nc"), "--job", str(other)))


def test_a_changed_size_is_looked_at_not_refused_for_its_digest(prove: Prove, text: Callable[..., str]) -> None:
    said = prove(text(), "--set", "wall=1.2")
    assert said.code == 0 and codes(said) == {"another-job", "parted"}
    assert "Needs a look: 1\n  line 4 [another-job]\n" in said.out


def test_a_header_may_leave_out_how_the_work_is_held_but_not_deny_it(prove: Prove, text: Callable[..., str]) -> None:
    assert prove(change(text(), r"^\(Stock: .*\n", "")).code == 0
    denied = prove(change(text(), r"^\(Stock: (.*)diameter 16", r"(Stock: \1diameter 15"))
    assert denied.code == 3 and codes(denied) == {"put-in-otherwise", "parted"}


def test_tools_of_another_rack_are_told(prove: Prove, text: Callable[..., str]) -> None:
    one = prove(change(text(), r"^\(T1: CCMT 060204", "(T1: CCMT 060208"))
    assert one.code == 0 and "another-tool" in codes(one)
    every = prove(change(text(), r"^\((T\d+): ", r"(\1: other ", count=0))
    assert every.code == 3 and "another-rack" in codes(every)


def test_stops_are_found_without_headings(prove: Prove, text: Callable[..., str]) -> None:
    bare = change(text(setup=2), r"^\(---.*\n", "", count=0)
    said = prove(bare, setup=2)
    assert said.code == 0, said.out
    work = prove(text(setup=2), "--json", setup=2)
    ours, theirs = json.loads(prove(bare, "--json", setup=2).out), json.loads(work.out)
    assert [h["does"] for h in ours["by_hand"]] == [h["does"] for h in theirs["by_hand"]]
    assert (ours["result"], len(ours["by_hand"])) == (theirs["result"], 4)  # zero, centre, drill, countersink
    fewer = prove(change(bare, r"^M00\n(?=G18.*\nM05\n\(by hand from the tailstock: counter)", ""), setup=2)
    assert fewer.code == 3 and "no-hand-stop" in codes(fewer)


def test_a_set_up_that_is_not_there(prove: Prove, text: Callable[..., str]) -> None:
    code, _, err = prove(text(), setup=3)
    assert code == 1 and "--setup: there is no set-up 3" in err and "has 2 set-ups" in err
    code, _, err = prove(text(), "--stock", "x.json")
    assert code == 1 and "--stock: set-up 1 starts from the bar" in err


def test_wrong_calls_are_usage(call: Call, shelf: Path) -> None:
    program, job = str(shelf / CAP / f"{CAP}-1.nc"), str(shelf / f"{CAP}.toml")
    assert call("prove", program).code == 2
    assert call("prove", "--job", job).code == 2
    assert call("prove", program, "--job", job, "--setup", "0").code == 2
    assert call("prove", program, "--job", job, "--stock", "a", "--earlier", "b").code == 2
    code, _, err = call("prove", str(shelf / "missing.nc"), "--job", job)
    assert code == 1 and "missing.nc: there is no such file" in err


def test_the_examples_of_the_help_are_what_the_command_takes(call: Call) -> None:
    said = call("prove", "--help")
    examples = re.findall(r"^  (?:  )?halfsection prove (.*)$", said.out, flags=re.MULTILINE)
    assert len(examples) == 4
    from toolpath.commands.prove import prove as command

    for example in examples:
        assert command.make_context("prove", example.split()).params["program"]
