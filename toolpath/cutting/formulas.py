"""Formulas of turning, as handbooks print them. Pure; mm, m/min, 1/min, N, W, minutes, rad.

Sources: Mitsubishi Materials, "Formulae for Turning" and "Formulae for Cutting Power" (speed, time, power, finish);
Kyocera Precision Tools, Turning Technical Information 2016 and General Catalogue 2021-22 (facing and parting time);
Sandvik Coromant, "Specific cutting force" (force); Isakov, Cutting Tool Engineering 2019 (deflection).
"""

from __future__ import annotations

import math


def surface_speed(diameter: float, rpm: float) -> float:
    """m/min at a diameter."""
    return math.pi * diameter * rpm / 1000.0


def spindle_speed(surface: float, diameter: float) -> float:
    """1/min for a surface speed at a diameter."""
    return 1000.0 * surface / (math.pi * diameter)


def feed_per_minute(feed: float, rpm: float) -> float:
    """mm/min."""
    return feed * rpm


def feed_per_turn(feed_rate: float, rpm: float) -> float:
    """mm a turn from mm/min."""
    return feed_rate / rpm


def turning_time(length: float, *, feed: float, rpm: float) -> float:
    """Minutes along a length at a fixed spindle speed."""
    return length / (feed * rpm)


def turning_time_at_surface(length: float, diameter: float, *, feed: float, surface: float) -> float:
    """Minutes along a length of one diameter at a surface speed."""
    return math.pi * diameter * length / (1000.0 * surface * feed)


def facing_time(outer: float, inner: float, *, feed: float, rpm: float) -> float:
    """Minutes between two diameters at a fixed spindle speed; the same for grooving and parting."""
    return (outer - inner) / (2.0 * feed * rpm)


def facing_time_at_surface(
    outer: float, inner: float, *, feed: float, surface: float, limit_rpm: float = math.inf
) -> float:
    """Minutes between two diameters at constant surface speed, the spindle never above `limit_rpm`."""
    capped = min(outer, max(inner, spindle_speed(surface, 1.0) / limit_rpm))
    free = math.pi * (outer**2 - capped**2) / (4000.0 * surface * feed)
    return free if capped == inner else free + (capped - inner) / (2.0 * feed * limit_rpm)


def drilling_time(depth: float, *, feed: float, rpm: float, holes: int = 1) -> float:
    """Minutes; `depth` as drilled, with no allowance for the point."""
    return depth * holes / (feed * rpm)


def passes(outer: float, inner: float, *, depth: float) -> int:
    """Number of passes between two diameters at a depth per side."""
    return math.ceil((outer - inner) / (2.0 * depth) - 1e-9)


def removal_rate(surface: float, *, depth: float, feed: float) -> float:
    """cm3 a minute."""
    return surface * depth * feed


def specific_force(kc11: float, mc: float, *, feed: float, entering: float = math.pi / 2.0) -> float:
    """N/mm2 at the chip thickness that this feed and entering angle give (Kienzle)."""
    return kc11 * math.pow(chip_thickness(feed, entering), -mc)


def chip_thickness(feed: float, entering: float) -> float:
    """mm."""
    return feed * math.sin(entering)


def cutting_force(specific: float, *, depth: float, feed: float) -> float:
    """N along the cutting speed."""
    return specific * depth * feed


def cutting_power(surface: float, *, depth: float, feed: float, specific: float, efficiency: float = 1.0) -> float:
    """W the motor must give."""
    return surface * depth * feed * specific / (60.0 * efficiency)


def force_from_power(power: float, surface: float) -> float:
    """N from W and m/min."""
    return power * 60.0 / surface


def torque(force: float, diameter: float) -> float:
    """Nm at a diameter."""
    return force * diameter / 2000.0


def finish_height(feed: float, nose: float) -> float:
    """Theoretical Rz in mm; exact while the feed stays within the nose arc (`feed_on_nose`)."""
    return feed**2 / (8.0 * nose)


def finish_average(feed: float, nose: float) -> float:
    """Theoretical Ra in mm, a quarter of Rz."""
    return feed**2 / (32.0 * nose)


def feed_for_average(average: float, nose: float) -> float:
    """mm a turn that leave this Ra (mm) in theory."""
    return math.sqrt(32.0 * nose * average)


def feed_on_nose(nose: float, trailing: float) -> float:
    """Greatest feed at which only the nose arc shapes the finish; the trailing edge takes part above it."""
    return 2.0 * nose * math.sin(min(trailing, math.pi / 2.0))


def taper_ratio(large: float, small: float, length: float) -> float:
    """Change of diameter per length, mm/mm."""
    return (large - small) / length


def taper_half_angle(large: float, small: float, length: float) -> float:
    """Half the included angle, rad: what the compound slide is set to."""
    return math.atan2(large - small, 2.0 * length)


def tailstock_set_over(ratio: float, whole_length: float) -> float:
    """How far the tailstock is set over to turn a taper of this ratio on work of this length between centres."""
    return ratio * whole_length / 2.0


def second_moment(diameter: float, bore: float = 0.0) -> float:
    """mm4 of a round section in bending."""
    return math.pi * (diameter**4 - bore**4) / 64.0


def cantilever_deflection(force: float, *, length: float, modulus: float, moment: float) -> float:
    """mm at the free end under a force there; modulus in N/mm2, moment in mm4."""
    return force * length**3 / (3.0 * modulus * moment)


def axis_rate(pitch: float, rpm: float) -> float:
    """mm/min an axis must follow to cut a pitch."""
    return pitch * rpm


def drilling_chip(feed: float, angle: float) -> float:
    """Chip thickness at each of a drill's two lips, mm; angle: included, of the point, rad."""
    return feed / 2.0 * math.sin(angle / 2.0)


def drilling_torque(specific: float, diameter: float, *, feed: float, hole: float = 0.0) -> float:
    """Nm of a drill that opens a hole of diameter `hole`: each lip takes half the feed over its length,
    at the middle of it; specific in N/mm2."""
    return specific * feed * (diameter**2 - hole**2) / 8000.0


def power_of_torque(moment: float, rpm: float) -> float:
    """W of Nm at 1/min."""
    return 2.0 * math.pi * rpm * moment / 60.0
