"""The command line: one file a command, each imported only when it is called.

Nothing is imported here at all: asking for help must cost little more than importing click.
"""

from __future__ import annotations

import gc


def main() -> None:
    """Entry point of the console script `halfsection`; ends the process with the exit code of the contract."""
    gc.disable()  # a run is short and leaves no rings to collect; looking for some costs a tenth of its time
    try:
        from toolpath.commands.cli import run

        code = run()
    except KeyboardInterrupt:  # while the program was still being loaded, or was already ending
        code = 130
    gc.freeze()  # or everything would be searched for rings once more before the process ends: a fifth of its time
    raise SystemExit(code)
