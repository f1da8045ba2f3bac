"""What holds for every test: drawn examples are the same on every run, so that a red test stays red until it is mended.

Set HALFSECTION_EXPLORE=1 to draw new ones instead.
"""

from __future__ import annotations

import os
import signal

from hypothesis import settings

settings.register_profile("same every time", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None)
settings.load_profile("explore" if os.environ.get("HALFSECTION_EXPLORE") else "same every time")

# A shell starts what runs in the background with interrupts ignored, and every child inherits that (POSIX.1-2017, Shell
# Command Language 2.11); the tests that interrupt are to find the same start there as in the foreground.
signal.signal(signal.SIGINT, signal.default_int_handler)
