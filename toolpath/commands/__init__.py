"""The command line: one file a command, each imported only when it is called.

Nothing is imported here at all: asking for help must cost little more than importing click.
"""

from __future__ import annotations


def main() -> None:
    """Entry point of the console script `halfsection`; ends the process with the exit code of the contract."""
    try:
        from toolpath.commands.cli import run

        code = run()
    except KeyboardInterrupt:  # while the program was still being loaded, or was already ending
        code = 130
    raise SystemExit(code)
