"""The measuring stop: after the finish cuts, while the part is held as it was cut; block skip leaves it out."""

from __future__ import annotations

from toolpath.geometry.elements import Chain, Line
from toolpath.plan.operations import ByHand, Operation, Planned
from toolpath.plan.request import Request

KIND = "measure"
WITHIN = 1e-6
"""mm: a cylinder has one diameter."""

SHORTEST = 1.0
"""mm of a cylinder that the anvils of a micrometer find room on (common practice, no source)."""


def stop(request: Request, planned: list[Planned]) -> ByHand | None:
    """What is to be measured after these operations; None where no cylinder was finished in this set-up."""
    reads = []
    for works, chain in (("outside", _turned(request)), ("inside", request.part.inside)):
        tools = [op.tool for op in planned if isinstance(op, Operation) and op.kind == "finish"]
        tool = next((t for t in tools if t.works == works), None)
        found = _longest(chain)
        if tool and found:
            a, b = sorted((found.a[0], found.b[0]))
            reads.append(
                f"the {'bore' if works == 'inside' else 'diameter'} between z {a:.2f} and {b:.2f} must be "
                f"{2.0 * found.a[1]:.3f} mm (T{tool.number})"
            )
    if not reads:
        return None
    does = (
        f"stop the spindle and isolate the drives, then measure: {'; '.join(reads)}. What is found too thick or too "
        "narrow goes into X of that tool's offset, and its section finish runs again"
    )
    return ByHand(KIND, does, (), "a size is corrected while the part is still held as it was cut", optional=True)


def _turned(request: Request) -> Chain:
    """The outside as far as this set-up turns it."""
    end = request.turn_to
    return tuple(e for e in request.part.outside if end is None or min(e.a[0], e.b[0]) >= -end - WITHIN)


def _longest(chain: Chain) -> Line | None:
    level = [e for e in chain if isinstance(e, Line) and abs(e.a[1] - e.b[1]) < WITHIN and e.length >= SHORTEST]
    return max(level, key=lambda e: e.length, default=None)
