"""What turning work does by itself: it whips where it stands out far, and shakes where its axis runs out."""

from __future__ import annotations

import math

from toolpath.cutting.figures import Figure
from toolpath.shop.materials import Material

CANTILEVER = 1.8751**2
"""Of the first bending of a bar held at one end: its first root of cos b cosh b = -1, squared (Euler-Bernoulli)."""

WHIP_SHARE = 0.5
"""Of the speed at which a free end begins to whip that is turned at the most (common practice, no source)."""

AS_GOOD_AS_NOTHING = 1e-3
"""Diameters: a bar that stands out no farther does not whip."""

GRADE = 16.0
"""mm/s: how far off the axis times how fast, balance grade G 16 for shafts of machines (ISO 21940-11, from memory)."""


def whip_rpm(dia: float, *, bore: float, behind: float, modulus: float, density: float) -> float:
    """1/min at which a bar (tube) that stands out `behind` mm, free at its end, begins to whip.

    dia, bore: mm; modulus: GPa; density: g/cm3. First critical speed of a cantilever.
    """
    sound = 1e6 * math.sqrt(modulus / density)  # mm/s, of a wave along the bar
    return 60.0 / math.tau * CANTILEVER * math.hypot(dia, bore) / 4.0 * sound / behind**2


def unsupported(material: Material, *, diameter: float, stick_out: float) -> Figure | None:
    """1/min that work of this diameter bears, standing out so far without support; None where nothing stands out."""
    if stick_out <= AS_GOOD_AS_NOTHING * diameter or not material.modulus > 0.0:
        return None
    critical = whip_rpm(diameter, bore=0.0, behind=stick_out, modulus=material.modulus, density=material.density)
    words = f"{diameter:g} mm {material.title} standing out {stick_out:g} mm: half of what it whips at"
    return Figure(WHIP_SHARE * critical, words)


def balance(run_out: float) -> Figure | None:
    """1/min at which a bar that reads `run_out` mm on the dial shakes no more than its balance grade; None for none."""
    if run_out <= 0.0:
        return None
    words = f"a bar that runs out by {run_out:g} mm is out of balance: G {GRADE:g} (ISO 21940-11, from memory)"
    return Figure(60.0 / math.tau * GRADE / (run_out / 2.0), words)
