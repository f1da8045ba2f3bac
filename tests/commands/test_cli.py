"""The command line as a whole: help, version, usage, and one place where errors become messages and exit codes."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import SimpleNamespace

import click
import pytest

from toolpath import __version__
from toolpath.commands import cli
from toolpath.errors import BadInput, CannotMake, ProofRefused

ROOT = Path(__file__).resolve().parents[2]

HELP = """\
Usage: halfsection [OPTIONS] COMMAND [ARGS]...

  From the half-section of a turned part to proven lathe programs.

  Start with a job file:
    halfsection check JOB.toml    what was understood, defaults, cautions
    halfsection make JOB.toml     program, drawings, report

  Each command tells more: halfsection make --help. The words of a job file
  are in the README.

Options:
  -V, --version  Show the version and exit.
  -h, --help     Show this message and exit.

Commands:
  make    Turn a job into proven programs, drawings and a report.
  check   Read and judge a job; write nothing.
  prove   Prove a program text, also one edited by hand; write nothing.
  cut     Cut one operation, straight from the command line.
  drill   Look up the drills nearest to a size.
  speed   Look up speed, feed and depth for a material.
  thread  Look up a thread: limits, drills, what to turn and measure.
"""


@pytest.mark.parametrize("word", ["-h", "--help"])
def test_help(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run([word]) == 0
    assert capsys.readouterr().out == HELP


@pytest.mark.parametrize("name", cli.COMMANDS)
def test_the_help_of_a_command_shows_how_it_is_called(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    command = cli.halfsection.get_command(click.Context(cli.halfsection), name)
    assert command is not None
    assert cli.run([name, "--help"]) == 0
    said = capsys.readouterr().out
    assert cli.COMMANDS[name].help in said
    assert said.count(f"\n    halfsection {name} ") >= 2 and "Exit codes: 0 " in said
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert len((parameter.help or "").split()) >= 4, f"{parameter.name} is not described"


def test_the_readme_names_every_command_and_option() -> None:
    text = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
    for name in cli.COMMANDS:
        assert f"`halfsection {name} " in text
        command = cli.halfsection.get_command(click.Context(cli.halfsection), name)
        assert command is not None
        for parameter in command.params:
            if isinstance(parameter, click.Option):
                assert f"`{parameter.opts[-1]}" in text, f"{parameter.opts[-1]} is not in the README"


@pytest.mark.parametrize("word", ["-V", "--version"])
def test_version(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run([word]) == 0
    assert capsys.readouterr().out == f"halfsection {__version__}\n"


def test_no_command_shows_the_help_as_a_usage_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run([]) == 2
    assert capsys.readouterr().err == HELP


def test_an_unknown_command_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["chekc", "bob.toml"]) == 2
    said = capsys.readouterr().err
    assert said.startswith("Usage: halfsection [OPTIONS] COMMAND [ARGS]...\n")
    assert "There is no command 'chekc'. Did you mean 'check'?" in said


def test_an_unknown_option(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["--sett", "wall=2"]) == 2
    assert "No such option '--sett'" in capsys.readouterr().err.replace(": --sett", " '--sett'")


@pytest.mark.parametrize("name", cli.COMMANDS)
def test_every_listed_command_exists_under_its_name_and_says_what_the_list_says(name: str) -> None:
    command = cli.halfsection.get_command(click.Context(cli.halfsection), name)
    assert command is not None and command.name == name
    assert command.get_short_help_str(200).rstrip(".") == cli.COMMANDS[name].help.rstrip(".")


@pytest.mark.parametrize("name", cli.COMMANDS)
def test_a_command_without_what_it_works_on_is_a_usage_error(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run([name]) == 2
    if name == "cut":  # its operations are listed
        assert "Cut the thread DESIGNATION" in capsys.readouterr().err
        return
    wanted = {"drill": "SIZE", "thread": "DESIGNATION", "prove": "PROGRAM", "speed": "MATERIAL"}.get(name, "JOB")
    assert f"Missing argument '{wanted}'" in capsys.readouterr().err


def raising(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    @click.command("fail")
    def fail() -> None:
        raise error

    monkeypatch.setitem(sys.modules, "failing_command", SimpleNamespace(fail=fail))
    monkeypatch.setitem(cli.COMMANDS, "fail", cli.Entry("failing_command:fail", "Fail."))


@pytest.mark.parametrize(
    ("error", "code", "message"),
    [
        (
            BadInput("-3 is not a length", where="bar.dia", right="Give more than zero", file="bob.toml", line=7),
            1,
            "bob.toml:7: bar.dia: -3 is not a length. Give more than zero",
        ),
        (CannotMake("no tool of the rack reaches the neck"), 1, "no tool of the rack reaches the neck"),
        (ProofRefused("tool 2 gouges by 0.1 mm"), 3, "tool 2 gouges by 0.1 mm"),
        (KeyboardInterrupt(), 130, "interrupted; nothing was left half written"),
        (
            PermissionError(errno.EACCES, "Permission denied", "bob.toml"),
            1,
            "bob.toml: may not be read or written here (permission denied)",
        ),
        (OSError(errno.ENOSPC, "No space left on device"), 1, "the disk is full; nothing was replaced"),
        (OSError(errno.EIO, "Input/output error", "x.nc"), 1, "x.nc: input/output error"),
        (NotADirectoryError(errno.ENOTDIR, "Not a directory", "a/b"), 1, "a/b: is a file where a folder is needed"),
    ],
)
def test_an_error_is_one_message_and_its_exit_code(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    error: BaseException,
    code: int,
    message: str,
) -> None:
    raising(monkeypatch, error)
    assert cli.run(["fail"]) == code
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.lstrip("\n") == f"halfsection: {message}\n"


def test_a_mistake_of_our_own_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bug must show as one; only what a person can cause becomes a message."""
    raising(monkeypatch, ZeroDivisionError("a bug"))
    with pytest.raises(ZeroDivisionError):
        cli.run(["fail"])


def test_an_interrupt_that_a_library_turns_into_its_own_error(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Compiled libraries that are stopped while they load say that they could not be loaded."""

    @click.command("fail")
    def fail() -> None:
        try:
            os.kill(os.getpid(), signal.SIGINT)
            time.sleep(1)
        except KeyboardInterrupt:
            raise ImportError("a library failed to load") from None

    monkeypatch.setitem(sys.modules, "failing_command", SimpleNamespace(fail=fail))
    monkeypatch.setitem(cli.COMMANDS, "fail", cli.Entry("failing_command:fail", "Fail."))
    before = signal.getsignal(signal.SIGINT)
    assert cli.run(["fail"]) == 130
    assert capsys.readouterr().err == "halfsection: interrupted; nothing was left half written\n"
    assert signal.getsignal(signal.SIGINT) is before


def test_an_interrupt_waits_until_a_module_is_loaded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "slow_to_load.py").write_text(
        "import os, signal, time\nos.kill(os.getpid(), signal.SIGINT)\ntime.sleep(0.1)\nloaded = True\n"
    )
    monkeypatch.syspath_prepend(tmp_path)

    @click.command("fail")
    def fail() -> None:
        import slow_to_load  # type: ignore[import-not-found]

        assert slow_to_load.loaded
        print("loaded", flush=True)
        time.sleep(10)
        print("not stopped")

    monkeypatch.setitem(sys.modules, "failing_command", SimpleNamespace(fail=fail))
    monkeypatch.setitem(cli.COMMANDS, "fail", cli.Entry("failing_command:fail", "Fail."))
    assert cli.run(["fail"]) == 130
    out, err = capsys.readouterr()
    assert (out, err.strip()) == ("loaded\n", "halfsection: interrupted; nothing was left half written")


def started(*words: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, *words], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def test_the_module_runs_as_the_command_does() -> None:
    process = started("-m", "toolpath", "--version")
    assert process.communicate() == (f"halfsection {__version__}\n", "")
    assert process.returncode == 0


def test_the_exit_code_reaches_the_shell() -> None:
    process = started("-m", "toolpath", "check", "no-such-job.toml")
    out, err = process.communicate()
    assert (process.returncode, out) == (1, "")
    assert err.startswith("halfsection: no-such-job.toml: there is no such file")


def test_ctrl_c_ends_with_130_and_no_traceback() -> None:
    code = (
        "import sys, time, types, click; from toolpath.commands import cli\n"
        "@click.command('wait')\n"
        "def wait():\n"
        "    print('waiting', flush=True); time.sleep(30)\n"
        "sys.modules['w'] = types.SimpleNamespace(wait=wait)\n"
        "cli.COMMANDS['wait'] = cli.Entry('w:wait', 'Wait.')\n"
        "sys.exit(cli.run(['wait']))\n"
    )
    process = started("-c", code)
    assert process.stdout is not None and process.stdout.readline() == "waiting\n"
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=20)
    assert (process.returncode, err.strip()) == (130, "halfsection: interrupted; nothing was left half written")


def test_a_reader_that_goes_away_gets_no_traceback() -> None:
    code = (
        "import sys, types, click; from toolpath.commands import cli\n"
        "@click.command('talk')\n"
        "def talk():\n"
        "    for _ in range(20000): click.echo('x' * 70)\n"
        "sys.modules['t'] = types.SimpleNamespace(talk=talk)\n"
        "cli.COMMANDS['talk'] = cli.Entry('t:talk', 'Talk.')\n"
        "sys.exit(cli.run(['talk']))\n"
    )
    process = started("-c", code)
    assert process.stdout is not None and process.stderr is not None
    process.stdout.readline()
    process.stdout.close()
    assert process.stderr.read() == ""
    assert process.wait(timeout=20) == 1
    process.stderr.close()
