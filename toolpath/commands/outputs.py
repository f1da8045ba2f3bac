"""Writing results: all files of a run appear together or none does, and a program that no longer holds is put aside.

Files are written beside their place under hidden names and then renamed. Every rename goes to a name that is free at
that moment, so undoing is the same list read backwards; an interrupt waits until the renames are through.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

from toolpath.errors import BadInput

WITHDRAWN = ".withdrawn"


def write_all(folder: Path, files: Mapping[str, bytes], *, withdraw: Iterable[str] = ()) -> list[str]:
    """Write every file into the folder, making the folder where it is missing, or change nothing at all.

    files:    content by plain file name
    withdraw: names of older programs that no longer hold; those that exist are renamed to `NAME.withdrawn`
    Returns the names that were withdrawn. BadInput when the folder or a file can not be written.
    """
    made: list[Path] = []
    new = {name: folder / f".{name}.new" for name in files}
    old: dict[str, Path] = {}
    complete = False
    try:
        made = _missing_folders(folder)
        withdrawn = [name for name in withdraw if name not in files and (folder / name).is_file()]
        replaced = [*files, *(name + WITHDRAWN for name in withdrawn)]
        _refuse_folders(folder, replaced)
        old = {name: folder / f".{name}.old" for name in replaced}
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            new[name].write_bytes(content)
        moves = _moves(folder, new=new, old=old, withdrawn=withdrawn)
        with _uninterrupted():
            _rename_all(moves)
            complete = True
            _remove(old.values())
    except OSError as error:
        raise _unwritable(error, folder) from None
    finally:
        if not complete:
            _remove(new.values())
            with suppress(OSError):
                for path in made:
                    path.rmdir()
    return withdrawn


def _remove(paths: Iterable[Path]) -> None:
    """Remove our own hidden files; one that can not be removed is harmless where it lies."""
    for path in paths:
        with suppress(OSError):
            path.unlink(missing_ok=True)


def _missing_folders(folder: Path) -> list[Path]:
    """The folder and its parents that do not exist yet, innermost first; BadInput when a file stands in the way."""
    missing = []
    for path in [folder, *folder.parents]:
        if path.is_dir():
            break
        if path.exists() or path.is_symlink():
            raise BadInput("a file stands where the folder for the results should be", file=str(path))
        missing.append(path)
    return missing


def _refuse_folders(folder: Path, names: list[str]) -> None:
    for name in names:
        if (folder / name).is_dir():
            raise BadInput("a folder stands where this file should be written", file=str(folder / name))


def _moves(
    folder: Path, *, new: Mapping[str, Path], old: Mapping[str, Path], withdrawn: list[str]
) -> list[tuple[Path, Path]]:
    """Renames (from, to) in order; each `to` is free when its turn comes."""
    moves = [(folder / name, path) for name, path in old.items() if (folder / name).exists()]
    moves += [(folder / name, folder / (name + WITHDRAWN)) for name in withdrawn]
    return moves + [(path, folder / name) for name, path in new.items()]


def _rename_all(moves: list[tuple[Path, Path]]) -> None:
    """All the renames, or none of them: when one fails, those before it are taken back and the error goes on."""
    for done, (source, target) in enumerate(moves):
        try:
            source.replace(target)
        except OSError:
            for back_to, moved in reversed(moves[:done]):
                moved.replace(back_to)
            raise


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Hold Ctrl-C back until the block is through; then it counts. Only the main thread is told of signals."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    pressed = False

    def remember(number: int, frame: FrameType | None) -> None:
        nonlocal pressed
        pressed = True

    before = signal.signal(signal.SIGINT, remember)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if pressed:
        raise KeyboardInterrupt


def _unwritable(error: OSError, folder: Path) -> BadInput:
    reason = (error.strerror or str(error)).lower()
    return BadInput(
        f"results can not be written here ({reason})",
        file=str(folder),
        right="Name a folder that can be written with -o; nothing was changed",
    )
