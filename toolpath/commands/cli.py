"""The command `halfsection`: the list of its subcommands, and the one place where errors become exit codes.

Exit codes: 0 done, 1 the job or another input is bad, 2 usage, 3 the proof refuses, 130 interrupted.
"""

from __future__ import annotations

import _thread
import errno
import importlib
import signal
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from types import FrameType
from typing import NamedTuple

import click

from toolpath import __version__
from toolpath.errors import HalfsectionError

INTERRUPTED = 130
LOADING = 0.02  # s until Ctrl-C is tried again when it came while a module was loading


class Entry(NamedTuple):
    """Where a subcommand lives (`module:attribute`) and its line in the list, known without importing it."""

    place: str
    help: str


COMMANDS = {
    "make": Entry("toolpath.commands.make:make", "Turn a job into proven programs, drawings and a report."),
    "check": Entry("toolpath.commands.check:check", "Read and judge a job; write nothing."),
    "prove": Entry("toolpath.commands.prove:prove", "Prove a program text, also one edited by hand; write nothing."),
    "cut": Entry("toolpath.commands.cut:cut", "Cut one operation, straight from the command line."),
    "drill": Entry("toolpath.commands.drill:drill", "Look up the drills nearest to a size."),
    "speed": Entry("toolpath.commands.speed:speed", "Look up speed, feed and depth for a material."),
    "thread": Entry("toolpath.commands.thread:thread", "Look up a thread: limits, drills, what to turn and measure."),
}


class LazyGroup(click.Group):
    """A group that imports a subcommand when it is called, and lists the others from their static lines."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module, attribute = COMMANDS[cmd_name].place.split(":")
        command: click.Command = getattr(importlib.import_module(module), attribute)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0] not in COMMANDS and not ctx.resilient_parsing:
            from toolpath.quantity import nearest

            ctx.fail(f"There is no command '{args[0]}'. {nearest(args[0], COMMANDS)}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, entry.help) for name, entry in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, "-V", "--version", prog_name="halfsection", message="%(prog)s %(version)s")
def halfsection() -> None:
    """From the half-section of a turned part to proven lathe programs.

    \b
    Start with a job file:
      halfsection check JOB.toml    what was understood, defaults, cautions
      halfsection make JOB.toml     program, drawings, report

    Each command tells more: halfsection make --help. The words of a job file are in the README.
    """


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command line (by default that of the process) and return the exit code.

    Every error that a person can cause ends here as one message on standard error.
    """
    pressed = threading.Event()
    try:
        with _noting_interrupts(pressed):
            result = halfsection.main(args=arguments, prog_name="halfsection", standalone_mode=False)
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (KeyboardInterrupt, click.Abort):
        return _say(_STOPPED, INTERRUPTED)
    except HalfsectionError as error:
        return _say(str(error), error.exit_code)
    except OSError as error:
        return _say(explain_os_error(error), HalfsectionError.exit_code)
    except Exception:
        if not pressed.is_set():
            raise
        return _say(_STOPPED, INTERRUPTED)
    return result if isinstance(result, int) else 0


_STOPPED = "interrupted; nothing was left half written"


@contextmanager
def _noting_interrupts(pressed: threading.Event) -> Iterator[None]:
    """Note Ctrl-C before it takes its course, and hold it back while a module loads.

    A compiled library that is stopped while it loads prints a traceback of its own, or says that it could not load.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def note(number: int, frame: FrameType | None) -> None:
        pressed.set()
        if _loading(frame):
            again = threading.Timer(LOADING, _thread.interrupt_main, (number,))
            again.daemon = True
            again.start()
        else:
            signal.default_int_handler(number, frame)

    before = signal.signal(signal.SIGINT, note)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _loading(frame: FrameType | None) -> bool:
    """True when a module is being imported, at any depth below `run`."""
    while frame is not None and frame.f_code is not run.__code__:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


def explain_os_error(error: OSError) -> str:
    """An operating system's refusal as one line: the file first, then the reason in plain words."""
    reason = _REASONS.get(error.errno or 0) or (error.strerror or str(error)).lower()
    return f"{error.filename}: {reason}" if error.filename else reason


_REASONS = {
    errno.EACCES: "may not be read or written here (permission denied)",
    errno.EPERM: "may not be changed (operation not permitted)",
    errno.EROFS: "lies on a file system that can only be read",
    errno.ENOSPC: "the disk is full; nothing was replaced",
    errno.ENOENT: "there is no such file or folder",
    errno.EISDIR: "is a folder, not a file",
    errno.ENOTDIR: "is a file where a folder is needed",
}


def _say(message: str, code: int) -> int:
    click.echo(f"halfsection: {message}", err=True)
    return code
