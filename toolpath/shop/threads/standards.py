"""The standards that are known, in the order in which a designation is tried against them."""

from __future__ import annotations

from toolpath.shop.threads.ba import BA
from toolpath.shop.threads.free import ANY
from toolpath.shop.threads.metric import METRIC
from toolpath.shop.threads.pipe import PIPE, TAPER_PIPE
from toolpath.shop.threads.thread import Standard, Thread, ThreadLimits
from toolpath.shop.threads.trapezoidal import TRAPEZOIDAL
from toolpath.shop.threads.unified import UNIFIED
from toolpath.shop.threads.whitworth import WHITWORTH

STANDARDS: dict[str, Standard] = {
    "ISO metric": METRIC,
    "Unified": UNIFIED,
    "Whitworth": WHITWORTH,
    "BA": BA,
    "pipe": PIPE,
    "taper pipe": TAPER_PIPE,
    "trapezoidal": TRAPEZOIDAL,
    "free": ANY,
}


def limits(thread: Thread) -> ThreadLimits:
    """Limits of the screw and of the hole, by the thread's own standard."""
    return STANDARDS[thread.standard].limits(thread)


def known_threads() -> tuple[str, ...]:
    """Every designation of every table."""
    return tuple(name for standard in STANDARDS.values() for name in standard.known())
