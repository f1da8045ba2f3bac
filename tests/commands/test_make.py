"""`make`: what it writes and says, and that nothing is half written or lost when a job or a folder is bad."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Mapping
from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES, Call, everything
from tests.commands.test_outputs import ordinary_user
from toolpath.commands import outputs, road
from toolpath.motion import Program

ROOT = SAMPLES.parent
WRITTEN = ["bush-1.dxf", "bush-1.nc", "bush-1.svg", "bush.json"]


def change(bench: Path, old: str, new: str, file: str = "bush.toml") -> None:
    text = (bench / file).read_text(encoding="utf-8")
    assert old in text
    (bench / file).write_text(text.replace(old, new, 1), encoding="utf-8")


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


@pytest.mark.parametrize("height", [1.2, 6.4, 8.4])  # um of theory: feeds that end on no third decimal
def test_a_section_tells_the_feed_that_its_words_state(bench: Path, call: Call, height: float) -> None:
    change(bench, "[bar]", f"[finish]\nheight_um = {height}\n[bar]")
    assert call("make", "bush.toml").code == 0
    text = (bench / "bush" / "bush-1.nc").read_text(encoding="ascii")
    told = re.findall(r"feed (\S+) mm a turn\)[^(]*? F(\S+)", text)
    assert len(told) >= 4
    assert all(float(said) == float(stated) for said, stated in told)


def test_the_results_of_a_job_lie_in_a_folder_of_its_name(bench: Path, call: Call) -> None:
    code, out, err = call("make", "bush.toml")
    assert (code, err) == (0, "")
    assert names(bench / "bush") == WRITTEN
    assert out.startswith("Bush: free-cutting brass, bar 16 x 60 mm\n")
    assert [line.split()[0] for line in out.split("Operation ")[1].splitlines()[1:5]] == [
        "face", "rough", "finish", "part",
    ]  # fmt: skip
    report = json.loads((bench / "bush" / "bush.json").read_text(encoding="utf-8"))
    assert report["title"] == "Bush"
    assert [s["program"] for s in report["setups"]] == ["bush-1.nc"]


def test_another_folder_and_silence(bench: Path, call: Call) -> None:
    assert call("make", "bush.toml", "-o", "a/b", "--quiet") == (0, "", "")
    assert names(bench / "a" / "b") == WRITTEN
    assert not (bench / "bush").exists()


def test_the_same_job_gives_the_same_bytes_wherever_it_lies(bench: Path, call: Call) -> None:
    assert call("make", "bush.toml", "-q").code == 0
    shutil.copytree(bench, bench / "moved", ignore=shutil.ignore_patterns("bush"))
    assert call("make", "moved/bush.toml", "-q", "-o", "again").code == 0
    assert everything(bench / "again") == everything(bench / "bush")


def test_sizes_and_material_reach_the_program(bench: Path, call: Call) -> None:
    assert call("make", "bush.toml", "-q").code == 0
    assert call("make", "bush.toml", "-q", "-o", "wide", "--set", "flange=14").code == 0
    assert call("make", "bush.toml", "-q", "-o", "soft", "--material", "acetal").code == 0
    programs = {(bench / f / "bush-1.nc").read_bytes() for f in ("bush", "wide", "soft")}
    assert len(programs) == 3


def test_older_results_are_replaced_and_a_second_program_put_aside(bench: Path, call: Call) -> None:
    call("make", "bush.toml", "-q")
    (bench / "bush" / "bush-2.nc").write_text("(of an older job)", encoding="utf-8")
    (bench / "bush" / "bushing-2.nc").write_text("(another part)", encoding="utf-8")
    code, out, _ = call("make", "bush.toml")
    assert code == 0
    assert "No longer valid, put aside: bush-2.nc.withdrawn\n" in out
    assert names(bench / "bush") == sorted([*WRITTEN, "bush-2.nc.withdrawn", "bushing-2.nc"])


def test_a_refused_program_is_not_written_and_the_older_one_put_aside(
    bench: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The text is changed between writer and reader, as a hand might: the spindle turns the wrong way."""
    call("make", "bush.toml", "-q")
    old = (bench / "bush" / "bush-1.nc").read_bytes()
    read = road.read

    def misread(text: str, dialect: object, **more: object) -> Program:
        assert "M03" in text
        return read(text.replace("M03", "M04"), dialect, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(road, "read", misread)
    code, out, err = call("make", "bush.toml")
    assert (code, out) == (3, "")
    assert err.startswith(
        "halfsection: the proof refuses the program of set-up 1; it is not written. Report and pictures lie in bush\n"
        "  line "
    )
    assert err.endswith("No longer valid, put aside: bush-1.nc.withdrawn\n")
    assert names(bench / "bush") == ["bush-1.dxf", "bush-1.nc.withdrawn", "bush-1.svg", "bush.json"]
    assert (bench / "bush" / "bush-1.nc.withdrawn").read_bytes() == old
    findings = json.loads((bench / "bush" / "bush.json").read_text(encoding="utf-8"))["setups"][0]["findings"]
    assert "wrong-sense" in {f["code"] for f in findings}


BLADE_ALONE = """\
[[tool]]
number = 4
kind   = "blade"
width  = 2.0
reach  = 16
"""


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("dia = 16", "dia = ", "bush.toml:7: not sound TOML"),
        ("dia = 16", "dia = nan", "bush.toml:7: bar.dia: 'nan' is not a number"),
        ("length = 60", "length = 20", ""),
        ('"brass"', '"bras"', "bush.toml:4: material: 'bras' is not among the materials"),
        ("machines/bench", "machines/none", "machines/none.toml: there is no such file"),
    ],
)
def test_a_bad_job_changes_nothing(bench: Path, call: Call, old: str, new: str, message: str) -> None:
    call("make", "bush.toml", "-q")
    (bench / "bush" / "bush-2.nc").write_text("(older)", encoding="utf-8")
    change(bench, old, new)
    before = everything(bench)
    code, out, err = call("make", "bush.toml")
    assert (code, out) == (1, "")
    assert err.startswith(f"halfsection: {message}") and err.count("\n") == 1, err
    assert everything(bench) == before


def test_a_rack_with_no_tool_that_fits(bench: Path, call: Call) -> None:
    (bench / "racks" / "drawer.toml").write_text(BLADE_ALONE, encoding="utf-8")
    before = everything(bench)
    code, out, err = call("make", "bush.toml")
    assert (code, out) == (1, "")
    assert "tool" in err and err.count("\n") == 1
    assert everything(bench) == before


def test_a_bar_too_short_to_hold_names_the_figures(bench: Path, call: Call) -> None:
    change(bench, "length = 60", "length = 20")
    err = call("make", "bush.toml").err
    assert err.startswith("halfsection: bush.toml: 20 mm of bar") and "mm to hold" in err
    least = float(err.split("take a bar of ")[1].split()[0])
    change(bench, "length = 20", f"length = {least - 0.1}")
    assert call("make", "bush.toml", "-q").code == 1
    change(bench, f"length = {least - 0.1}", f"length = {least}")
    assert call("make", "bush.toml", "-q").code == 0


def test_a_dialect_that_is_not_there(bench: Path, call: Call) -> None:
    code, out, err = call("make", "bush.toml", "--post", "g9x5")
    assert (code, out) == (1, "")
    known = "Known here: g95, g99, iso6983, plain94"
    assert err == f"halfsection: --post: there is no dialect 'g9x5'. Did you mean 'g95'? {known}\n"
    change(bench, '"g95"', '"g97"', "machines/bench.toml")
    err = call("make", "bush.toml").err
    assert err.startswith("halfsection: machines/bench.toml:5: dialect: there is no dialect 'g97'")
    assert not (bench / "bush").exists()


@pytest.mark.parametrize(("dia", "kind"), [("60", "collet"), ("150", "chuck")])
def test_a_bar_that_the_hold_does_not_take_is_told_at_its_key(bench: Path, call: Call, dia: str, kind: str) -> None:
    change(bench, "dia = 16", f"dia = {dia}")
    change(bench, "[sizes]\nflange = 12", f"[[holding]]\nin = '{kind}'\n[sizes]\nflange = 0.6")
    change(bench, "8 h9", "0.5")
    err = call("make", "bush.toml").err
    assert err.startswith("halfsection: bush.toml:9: holding[0]: ") and err.count("\n") == 1, err


def test_a_folder_without_a_name(bench: Path, call: Call) -> None:
    code, out, err = call("make", "bush.toml", "-o", "")
    assert (code, out) == (2, "")
    assert "the folder has no name" in err
    assert names(bench) == ["bush.toml", "machines", "racks"]


def test_a_file_where_the_folder_should_be(bench: Path, call: Call) -> None:
    (bench / "bush").write_text("a letter", encoding="utf-8")
    before = everything(bench)
    said = call("make", "bush.toml")
    assert said == (1, "", "halfsection: bush: a file stands where the folder for the results should be\n")
    assert everything(bench) == before


def test_a_folder_where_a_file_should_be(bench: Path, call: Call) -> None:
    call("make", "bush.toml", "-q")
    (bench / "bush" / "bush-1.svg").unlink()
    (bench / "bush" / "bush-1.svg").mkdir()
    before = everything(bench)
    said = call("make", "bush.toml", "--set", "flange=13")
    assert said == (1, "", "halfsection: bush/bush-1.svg: a folder stands where this file should be written\n")
    assert everything(bench) == before


def test_a_folder_that_may_not_be_written(bench: Path, call: Call, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only the writing is an ordinary user's: the program itself may lie where that one can not read it."""
    write_all = outputs.write_all

    def as_ordinary_user(folder: Path, files: Mapping[str, bytes], *, withdraw: Iterable[str]) -> list[str]:
        with ordinary_user():
            return write_all(folder, files, withdraw=withdraw)

    monkeypatch.setattr(outputs, "write_all", as_ordinary_user)
    top = Path(tempfile.mkdtemp())
    try:
        top.chmod(0o755)
        (top / "locked").mkdir(mode=0o555)
        said = call("make", "bush.toml", "-o", str(top / "locked"))
        assert said == (
            1,
            "",
            f"halfsection: {top / 'locked'}: results can not be written here (permission denied). "
            "Name a folder that can be written with -o; nothing was changed\n",
        )
        assert names(top / "locked") == []
    finally:
        (top / "locked").chmod(0o755)
        shutil.rmtree(top)


def test_ctrl_c_leaves_all_or_nothing(bench: Path, call: Call) -> None:
    """Stopped at moments spread over a run: afterwards the folder is as before or complete."""
    call("make", "bush.toml", "-q", "-o", "old")
    call("make", "bush.toml", "-q", "-o", "new", "--set", "flange=14")
    old, new = everything(bench / "old"), everything(bench / "new")
    words = [sys.executable, "-m", "toolpath", "make", "bush.toml", "-q", "--set", "flange=14"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    shutil.copytree(bench / "old", bench / "bush")
    begun = time.monotonic()
    subprocess.run(words, env=environment, cwd=bench, check=True)
    whole = time.monotonic() - begun
    assert everything(bench / "bush") == new
    for share in (0.3, 0.6, 0.8, 0.95):
        shutil.rmtree(bench / "bush")
        shutil.copytree(bench / "old", bench / "bush")
        process = subprocess.Popen(words, env=environment, cwd=bench, stderr=subprocess.PIPE, text=True)
        time.sleep(share * whole)
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=60)
        assert "Traceback" not in err
        # Python itself ends by the signal when it comes before the program is loaded or after it is through
        assert process.returncode in (0, 130, -signal.SIGINT)
        assert everything(bench / "bush") in ([new] if process.returncode == 0 else [old, new])


@pytest.mark.parametrize(
    ("rows", "row"),
    [
        ("{ dia = 12, to = 3 }, { neck = 8, length = 1 }, { dia = 12, to = 8 }", "neck wall (part.outside[1])"),
        ("{ dia = 12, to = 3 }, { hollow_to = 12, to = 4, radius = 0.5 }, { dia = 12, to = 8 }", "(part.outside[1])"),
    ],
)
def test_what_is_too_narrow_for_every_tool_is_told_with_its_row(bench: Path, call: Call, rows: str, row: str) -> None:
    """A groove of 1 mm and a half-round hollow of 0.5 mm, where the blade is 2 mm wide and every edge leans."""
    change(bench, '  { dia = "8 h9", to = 6 },\n  { dia = "flange", to = 10 },\n', rows)
    code, out, err = call("make", "bush.toml")
    assert (code, err) == (0, "")
    told = " ".join(out.split("Uncut", 1)[1].split("Cautions")[0].split())
    assert row in told and " mm at z -3." in told


def test_a_face_groove_needs_a_blade_bent_for_faces(bench: Path, call: Call) -> None:
    change(bench, "[part]", "[part]\nface = [{ groove = 6, inner_dia = 4, deep = 1 }]")
    assert call("check", "bush.toml")[0] == 0  # it can be drawn and judged
    code, _, err = call("make", "bush.toml")
    assert code == 1 and "nothing cuts the face groove of 6.4 mm outer diameter" in err
    assert not (bench / "bush").exists()
