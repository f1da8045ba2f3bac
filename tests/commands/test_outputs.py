"""Results appear together or not at all; what lay there before is left as it was when anything fails."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from toolpath.commands.outputs import write_all
from toolpath.errors import BadInput

FILES = {"bob-1.nc": b"new program", "bob-1.dxf": b"new drawing", "bob.json": b"new report"}


def contents(folder: Path) -> dict[str, bytes]:
    """Everything below the folder, hidden files too."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture
def older(tmp_path: Path) -> Path:
    """A folder with the results of an earlier run, one program more than the new run writes, and a note of the user."""
    folder = tmp_path / "bob"
    folder.mkdir()
    for name in [*FILES, "bob-2.nc", "note.txt"]:
        (folder / name).write_bytes(b"old " + name.encode())
    return folder


def test_files_are_written_into_a_folder_that_is_made(tmp_path: Path) -> None:
    assert write_all(tmp_path / "a" / "bob", FILES) == []
    assert contents(tmp_path) == {f"a/bob/{name}": content for name, content in FILES.items()}


def test_older_files_are_replaced_and_others_left(older: Path) -> None:
    write_all(older, FILES)
    assert contents(older) == FILES | {"bob-2.nc": b"old bob-2.nc", "note.txt": b"old note.txt"}


def test_programs_that_no_longer_hold_are_put_aside(older: Path) -> None:
    assert write_all(older, FILES, withdraw=["bob-2.nc", "bob-3.nc"]) == ["bob-2.nc"]
    assert contents(older) == FILES | {"bob-2.nc.withdrawn": b"old bob-2.nc", "note.txt": b"old note.txt"}


def test_a_refused_program_leaves_only_the_report_and_the_program_of_yesterday_put_aside(older: Path) -> None:
    report = {"bob.json": b"refused"}
    assert write_all(older, report, withdraw=["bob-1.nc", "bob-2.nc"]) == ["bob-1.nc", "bob-2.nc"]
    assert not list(older.glob("*.nc"))
    assert (older / "bob-1.nc.withdrawn").read_bytes() == b"old bob-1.nc"


def test_a_program_withdrawn_twice_replaces_the_first(older: Path) -> None:
    write_all(older, {}, withdraw=["bob-1.nc"])
    (older / "bob-1.nc").write_bytes(b"second")
    write_all(older, {}, withdraw=["bob-1.nc"])
    assert (older / "bob-1.nc.withdrawn").read_bytes() == b"second"


def test_a_program_written_anew_is_not_withdrawn(older: Path) -> None:
    assert write_all(older, FILES, withdraw=["bob-1.nc"]) == []
    assert (older / "bob-1.nc").read_bytes() == b"new program"


def test_what_a_killed_run_left_behind_does_no_harm(older: Path) -> None:
    (older / ".bob-1.nc.new").write_bytes(b"half a prog")
    (older / ".bob-1.nc.old").write_bytes(b"older still")
    write_all(older, FILES)
    assert contents(older) == FILES | {"bob-2.nc": b"old bob-2.nc", "note.txt": b"old note.txt"}


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "bob").write_bytes(b"a letter")
    with pytest.raises(BadInput) as caught:
        write_all(tmp_path / "bob" / "inner", FILES)
    assert str(caught.value) == f"{tmp_path / 'bob'}: a file stands where the folder for the results should be"
    assert contents(tmp_path) == {"bob": b"a letter"}


@pytest.mark.parametrize("name", ["bob-1.dxf", "bob-2.nc.withdrawn"])
def test_a_folder_where_a_file_should_be(older: Path, name: str) -> None:
    (older / name).unlink(missing_ok=True)
    (older / name).mkdir()
    before = contents(older)
    with pytest.raises(BadInput) as caught:
        write_all(older, FILES, withdraw=["bob-2.nc"])
    assert str(caught.value) == f"{older / name}: a folder stands where this file should be written"
    assert contents(older) == before


@contextmanager
def ordinary_user() -> Iterator[None]:
    """Root may write anywhere; the test of a folder that may not be written needs someone who may not."""
    was = os.geteuid()
    if was == 0:
        os.seteuid(65534)
    try:
        yield
    finally:
        if was == 0:
            os.seteuid(0)


def test_a_folder_that_may_not_be_written() -> None:
    top = Path(tempfile.mkdtemp())
    try:
        folder = top / "locked"
        folder.mkdir()
        (folder / "bob-1.nc").write_bytes(b"old")
        folder.chmod(0o555)
        top.chmod(0o555)
        for target in (folder, folder / "inner" / "bob"):
            with ordinary_user(), pytest.raises(BadInput) as caught:
                write_all(target, FILES, withdraw=["bob-2.nc"])
            assert str(caught.value) == (
                f"{target}: results can not be written here (permission denied). "
                "Name a folder that can be written with -o; nothing was changed"
            )
        assert contents(folder) == {"bob-1.nc": b"old"}
    finally:
        folder.chmod(0o755)
        top.chmod(0o755)
        shutil.rmtree(top)


def test_a_disk_that_fills_up_leaves_everything_as_it_was(older: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = contents(older)
    write = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if "dxf" in self.name:
            write(self, data[:3])
            raise OSError(28, "No space left on device")
        return write(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(BadInput, match="no space left on device"):
        write_all(older, FILES, withdraw=["bob-2.nc"])
    assert contents(older) == before


@pytest.mark.parametrize("at", range(7))
def test_a_rename_that_fails_is_taken_back(older: Path, monkeypatch: pytest.MonkeyPatch, at: int) -> None:
    """Three old files aside, one program withdrawn, three new files in place: any of the seven may fail."""
    before = contents(older)
    replace, count = Path.replace, iter(range(100))

    def failing(self: Path, target: Path) -> Path:
        if next(count) == at:
            raise OSError(5, "Input/output error")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", failing)
    with pytest.raises(BadInput, match="input/output error"):
        write_all(older, FILES, withdraw=["bob-2.nc"])
    assert contents(older) == before


def test_a_folder_made_for_nothing_is_taken_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(self: Path, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(BadInput):
        write_all(tmp_path / "a" / "b", FILES)
    assert list(tmp_path.iterdir()) == []


def test_interrupted_while_writing(older: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = contents(older)
    write = Path.write_bytes

    def pressed(self: Path, data: bytes) -> int:
        if "json" in self.name:
            os.kill(os.getpid(), signal.SIGINT)
        return write(self, data)

    monkeypatch.setattr(Path, "write_bytes", pressed)
    with pytest.raises(KeyboardInterrupt):
        write_all(older, FILES, withdraw=["bob-2.nc"])
    assert contents(older) == before


@pytest.mark.parametrize("at", [0, 3, 6])
def test_interrupted_between_renames_waits_for_the_last(older: Path, monkeypatch: pytest.MonkeyPatch, at: int) -> None:
    replace, count = Path.replace, iter(range(100))

    def pressed(self: Path, target: Path) -> Path:
        if next(count) == at:
            os.kill(os.getpid(), signal.SIGINT)
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", pressed)
    with pytest.raises(KeyboardInterrupt):
        write_all(older, FILES, withdraw=["bob-2.nc"])
    assert contents(older) == FILES | {"bob-2.nc.withdrawn": b"old bob-2.nc", "note.txt": b"old note.txt"}


def test_interrupted_at_any_moment_the_set_is_whole(tmp_path: Path) -> None:
    """A process that writes one set after another, all files of a set alike, is stopped at some moment."""
    code = (
        "import sys; from pathlib import Path; from toolpath.commands.outputs import write_all\n"
        "n = 0\n"
        "while True:\n"
        "    n += 1\n"
        "    write_all(Path(sys.argv[1]), {f'{k}.nc': b'%d' % n for k in range(5)})\n"
    )
    for wait in (0.02, 0.05, 0.08):
        folder = tmp_path / str(wait)
        process = subprocess.Popen([sys.executable, "-c", code, str(folder)], stderr=subprocess.DEVNULL)
        while not (folder / "4.nc").exists():
            time.sleep(0.005)
        time.sleep(wait)
        process.send_signal(signal.SIGINT)
        process.wait(timeout=20)
        found = contents(folder)
        assert set(found) == {f"{k}.nc" for k in range(5)}
        assert len(set(found.values())) == 1
