"""Which tool does what, and because of which figure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.plan.reach import Reach, reach
from toolpath.plan.side import Side
from toolpath.shop.tools import Tool

ALIKE = 0.02
"""mm: tools that leave nearly the same are alike, and the stronger one is taken."""


class Choice(Struct, frozen=True):
    reach: Reach
    because: str

    @property
    def tool(self) -> Tool:
        return self.reach.tool


def turning_tools(rack: Iterable[Tool], duty: str) -> list[Tool]:
    """Tools that turn, or bore, towards the chuck: right-hand and neutral ones, in the order of their numbers."""
    fit = [t for t in rack if t.kind in ("turning", "round") and t.hand != "left" and duty in t.does]
    # A round tool does what others leave; it takes a whole side only where the rack has nothing else.
    plain = [t for t in fit if t.kind == "turning"]
    return sorted(plain or fit, key=lambda t: t.number)


def outside_tools(rack: Iterable[Tool]) -> list[Tool]:
    """Those that turn the outside; CannotMake when the rack has none."""
    tools = turning_tools(rack, "turn")
    if not tools:
        raise CannotMake("no tool of the rack turns towards the chuck: a right-hand or neutral turning tool is needed")
    return tools


def _strength(t: Tool) -> tuple[float, float, int]:
    """Stronger first: a round tool, then the larger included angle, then the larger nose."""
    angle = math.pi if t.kind == "round" else t.included_angle
    return (-angle, -t.nose_radius, t.number)


def finishing_tool(tools: Sequence[Tool], side: Side) -> tuple[Choice, list[Reach]]:
    """The tool that leaves least, the stronger of those that leave nearly the same; and every tool's reach."""
    reaches = [reach(t, side) for t in tools]
    least = min(r.thick for r in reaches)
    alike = sorted((r for r in reaches if r.thick <= least + ALIKE), key=lambda r: _strength(r.tool))
    best = alike[0]
    return Choice(best, _because(best, [r for r in reaches if r is not best], "leaves least")), reaches


def roughing_tool(reaches: list[Reach], finishing: Reach) -> Choice:
    """The strongest tool that gets wherever the finishing tool does, but for what that one can take in its stride."""
    room = finishing.thick + ALIKE + finishing.tool.nose_radius / 4.0
    fit = sorted((r for r in reaches if r.thick <= room and r.tool.kind == "turning"), key=lambda r: _strength(r.tool))
    best = fit[0] if fit else finishing
    return Choice(best, _because(best, [r for r in reaches if r is not best], "is the strongest that gets everywhere"))


def facing_tool(rack: tuple[Tool, ...], first: Tool) -> tuple[Tool, str]:
    """The strongest tool that faces; the first roughing tool where it is as good, to save a change."""
    fit = sorted((t for t in rack if "face" in t.does and t.kind == "turning" and t.hand == "right"), key=_strength)
    if not fit:
        raise CannotMake("no tool of the rack faces: a right-hand tool entering at 90 deg or more is needed")
    if first in fit:
        others = [t for t in fit if t is not first]
        rest = f"; T{others[0].number} would do as well" if others else ""
        return first, f"T{first.number} is in the post for roughing anyway and saves a change of tool{rest}"
    return fit[0], f"T{fit[0].number} has the strongest corner of those that face"


def parting_tool(rack: tuple[Tool, ...], *, deep: float) -> tuple[Tool, str]:
    """The narrowest blade that reaches; CannotMake with what each blade reaches."""
    blades = sorted((t for t in rack if t.kind == "blade" and "part off" in t.does), key=lambda t: (t.width, t.number))
    fit = [t for t in blades if t.max_depth >= deep - 1e-9]
    if not fit:
        has = ", ".join(f"T{t.number} reaches {t.max_depth:g} mm" for t in blades) or "there is no blade"
        raise CannotMake(f"parting off takes a blade that reaches {deep:.2f} mm; in the rack: {has}")
    best = fit[0]
    spare = best.max_depth - deep
    other = f"; T{fit[1].number} is {fit[1].width:g} mm wide" if len(fit) > 1 else "; no other blade reaches"
    return (
        best,
        f"T{best.number}, {best.width:g} mm wide, reaches {best.max_depth:g} mm, {spare:.2f} more than needed{other}",
    )


def _because(best: Reach, others: list[Reach], why: str) -> str:
    runner = min(others, key=lambda r: (r.thick > best.thick + ALIKE, _strength(r.tool)), default=None)
    own = f"T{best.tool.number} {why}: {best.in_words()}"
    if runner is None:
        return f"{own}; there is no other turning tool"
    if runner.thick <= best.thick + ALIKE:
        return f"{own}; T{runner.tool.number} gets as far, but its corner is weaker"
    nearest = min(others, key=lambda r: r.thick)
    return f"{own}; T{nearest.tool.number} {nearest.in_words()}"
