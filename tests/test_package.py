"""What a user gets: a tidy top level, a README whose commands are what they say, a wheel with every data file."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import sysconfig
import tomllib
import venv
import zipfile
from pathlib import Path

import pytest

from toolpath.job.defaults import DEFAULTS
from toolpath.job.read import half_section, read_job
from toolpath.part.words import WORDS, face_from, inside_from, row_from
from toolpath.shop.machine import load_machine

ROOT = Path(__file__).resolve().parents[1]
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "toolpath", "posts", "samples", "tests"}
PACKAGES = ("toolpath", "posts")


def run(*words: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([str(w) for w in words], cwd=cwd, capture_output=True, text=True, check=False)


def tracked() -> list[str]:
    """The files of the project: those git knows, or where there is no checkout those that lie here."""
    if (ROOT / ".git").exists():
        done = run("git", "-c", "safe.directory=*", "ls-files", cwd=ROOT)
        assert done.returncode == 0, done.stderr
        return done.stdout.splitlines()
    return [p.name for p in ROOT.iterdir() if p.is_file()]


def test_the_ignore_list_lets_only_the_agreed_top_level_through() -> None:
    lines = (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    assert "/*" in lines
    let_through = {line.removeprefix("!/").rstrip("/") for line in lines if line.startswith("!")}
    assert {name for name in let_through if not name.startswith(".")} == TOP_LEVEL


def test_the_top_level_holds_only_what_was_agreed() -> None:
    files = tracked()
    assert "pyproject.toml" in files
    assert {f.split("/")[0] for f in files if not f.startswith(".")} <= TOP_LEVEL


def test_samples_are_jobs_only() -> None:
    """Machines, racks and materials lie in folders below, so that every `samples/*.toml` can be made."""
    samples = sorted((ROOT / "samples").glob("*.toml"))
    assert [p.stem for p in samples][:1] != []
    for path in samples:
        assert "part" in tomllib.loads(path.read_text(encoding="utf-8")), f"{path.name} is not a job"
    for folder in ("machines", "racks"):
        assert list((ROOT / "samples" / folder).glob("*.toml"))


def readme_commands() -> list[str]:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return re.findall(r"^    (python3 -m venv .*)$", text, flags=re.MULTILINE)


def test_the_readme_opens_with_the_job_and_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    title, paragraph, commands = text.split("\n\n")[:3]
    assert title == "# halfsection"
    assert len(paragraph.split()) > 60
    first, second = (line.strip() for line in commands.splitlines())
    assert [first, second] == readme_commands()
    assert first.endswith("halfsection make samples/plumb-bob-body.toml")
    assert second.endswith("-m pytest -q -n auto")
    assert (ROOT / "samples" / "plumb-bob-body.toml").is_file()
    # each makes an environment of its own and calls nothing outside it
    for command in (first, second):
        environment = command.split()[3]
        assert {w.split("/")[0] for w in command.split() if "/bin/" in w} == {environment}


def test_files_that_the_readme_names_exist() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"\]\(([\w./-]+)\)", text)) | set(re.findall(r"`(samples/[\w./-]+\.toml)`", text))
    assert named
    assert {n for n in named if not (ROOT / n).exists()} == set()


def test_the_job_in_the_readme_is_sound(tmp_path: Path) -> None:
    job_text, *_ = readme_files()
    (tmp_path / "bush.toml").write_text(job_text, encoding="utf-8")
    job = read_job(tmp_path / "bush.toml")
    assert (job.title, half_section(job).length) == ("Bush", 9.175)


def test_the_machine_and_the_rack_in_the_readme_make_its_job(tmp_path: Path) -> None:
    for name, text in zip(("bush.toml", "machines/bench.toml", "racks/drawer.toml"), readme_files(), strict=True):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    done = run(sys.executable, "-m", "toolpath", "make", tmp_path / "bush.toml", "-o", tmp_path / "out", cwd=ROOT)
    assert (done.returncode, done.stderr) == (0, "")
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == [
        "bush-1.dxf", "bush-1.nc", "bush-1.svg", "bush.json",
    ]  # fmt: skip


def test_the_first_four_lines_of_the_readmes_machine_are_enough(tmp_path: Path) -> None:
    machine_text = readme_files()[1]
    (tmp_path / "least.toml").write_text("\n".join(machine_text.splitlines()[:4]), encoding="utf-8")
    assert load_machine(tmp_path / "least.toml").max_rpm == 2500


def test_the_readme_explains_every_key_of_a_job_and_every_word_of_a_row() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    keys = {key.rsplit(".", 1)[-1] for key in DEFAULTS} - {"grip", "within"}  # the two that nobody has to say
    assert {k for k in keys if f"{k} = " not in text} == set()
    unsaid = {"bulge", "hollow"}  # of an arc with neither diameter nor chord, which a drawing rarely has
    spans = " ".join(re.findall(r"`([^`]*)`", re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL)))
    assert {w for w in WORDS if not re.search(rf"\b{w}\b", spans)} == unsaid


def test_every_row_that_the_readme_shows_is_understood() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    rows = re.findall(r"`(\{ .*? \})`", text)
    assert len(rows) >= 12
    for text in rows:
        row = tomllib.loads(f"row = {text}")["row"]
        inside = {"hole", "made", "from", "centre"} & row.keys()
        read = face_from if "groove" in row else inside_from if inside else row_from
        assert read(row, where=text)


def readme_files() -> list[str]:
    """The files that the README shows: a job, a machine, a rack."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return re.findall(r"^```toml\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    done = run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    (path,) = folder.glob("halfsection-*.whl")
    return path


def test_the_wheel_holds_every_file_of_the_packages(wheel: Path) -> None:
    inside = {n for n in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in n}
    in_tree = {
        p.relative_to(ROOT).as_posix()
        for package in PACKAGES
        for p in (ROOT / package).rglob("*")
        if p.is_file() and "__pycache__" not in p.parts
    }
    assert inside == in_tree
    assert {"toolpath/py.typed", "posts/py.typed", "posts/g95.toml"} <= inside


def test_the_wheel_runs_a_sample_from_another_folder(wheel: Path, tmp_path: Path) -> None:
    """An environment with nothing in it but the wheel; libraries are borrowed from the one that runs the tests."""
    venv.create(tmp_path / "env", with_pip=False)
    binaries = tmp_path / "env" / ("Scripts" if sys.platform == "win32" else "bin")
    installing = ("-m", "pip", "--python", binaries / "python", "install", "-q", "--no-deps", wheel)
    done = run(sys.executable, *installing, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (site,) = (tmp_path / "env").rglob("site-packages")
    # a path file inside a borrowed folder is not followed, so an editable install there can not stand in for the wheel
    (site / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    shutil.copytree(ROOT / "samples", tmp_path / "bench")
    away = tmp_path / "elsewhere"
    away.mkdir()
    job = tmp_path / "bench" / "plumb-bob-body.toml"

    done = run(binaries / "python", "-c", "import toolpath, posts; print(toolpath.__file__, posts.__file__)", cwd=away)
    assert all(Path(word).is_relative_to(site) for word in done.stdout.split()), done.stdout + done.stderr
    done = run(binaries / "halfsection", "check", job, cwd=away)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Plumb-bob body" in done.stdout
    assert list(away.iterdir()) == []
    done = run(binaries / "halfsection", "make", job, cwd=away)
    assert (done.returncode, done.stderr) == (0, "")
    assert (away / "plumb-bob-body" / "plumb-bob-body-1.nc").is_file()
