"""A hole with a flat floor that one tool makes to its size: a counterbore, an end mill or a flat drill."""

from __future__ import annotations

from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.plan.hole_rows import SAME_SIZE, Step, diameter, drill_step, of_kind
from toolpath.shop.drawer import Drawer
from toolpath.shop.drills import Drill

FLOOR_STOCK = 0.3
"""mm that the drill leaves on the floor, and a side, for the tool that makes it flat (common practice, no source)."""


def _before(drill: Drill, z: float) -> Step:
    """A drill whose point stops over the floor."""
    step = drill_step(drill, z, f"leaves {FLOOR_STOCK:g} mm on the floor for the tool that makes it flat")
    return replace(step, tip=z + FLOOR_STOCK)


def counterbored(drawer: Drawer, dia: float, z: float, *, blind: bool) -> list[Step]:
    """The tools for a counterbore of `dia` mm down to z. blind: no hole goes on from its floor, so a drill goes before.

    CannotMake when the rack has no such tool, or no drill to go before it.
    """
    flat = of_kind(drawer, "flat drill")
    tool = next((t for t in flat if abs(diameter(t) - dia) < SAME_SIZE), None)
    if tool is None:
        has = ", ".join(f"{diameter(t):g}" for t in flat) or "none"
        raise CannotMake(
            f"the hole of {dia:g} mm is to be counterbored; flat drills, end mills and counterbores in the rack: {has} "
            'mm. Take one of them, or write made = "bored"'
        )
    cut = Step("flat bottom", tool, dia, z, f"counterbores {dia:g} mm to a flat floor {-z:.2f} mm deep")
    if not blind:
        return [cut]
    fit = [s for d in drawer.drills if d.dia <= dia - 2.0 * FLOOR_STOCK and (s := _before(d, z)).tip < 0.0]
    if not fit:
        raise CannotMake(f"no drill of the rack goes before a counterbore of {dia:g} mm that is {-z:.2f} mm deep")
    return [max(fit, key=lambda s: (s.dia, s.tool.name)), cut]
