"""What the words of a program can mean, and which of them exclude each other in one block.

Groups are the modal groups of NISTIR 6556 (tables 4 and 5) with the turning additions of the language's public
documentation (spindle mode, X as diameter or radius). Two meanings that share a group may not stand in one block;
flood and mist may both be on, so "off" belongs to both of their groups.
"""

from __future__ import annotations

GROUPS: dict[str, tuple[str, ...]] = {
    "rapid": ("motion",),
    "line": ("motion",),
    "arc_clockwise": ("motion",),
    "arc_counter": ("motion",),
    "thread": ("motion",),
    "thread_cycle": ("motion",),
    "threading": ("motion",),
    "roughing": ("motion",),
    "finishing": ("motion",),
    "peck": ("motion",),
    "chip_break": ("motion",),
    "motion_off": ("motion",),
    "dwell": ("one block only",),
    "home": ("one block only",),
    "speed_cap": ("one block only",),
    "plane_zx": ("plane",),
    "plane_xy": ("plane",),
    "inch": ("units",),
    "millimetre": ("units",),
    "diameter": ("X mode",),
    "radius": ("X mode",),
    "compensation_off": ("compensation",),
    "compensation_left": ("compensation",),
    "compensation_right": ("compensation",),
    "offset": ("offset",),
    "offset_off": ("offset",),
    "first_zero": ("zero",),
    "exact_path": ("path",),
    "absolute": ("distance",),
    "incremental": ("distance",),
    "centre_from_start": ("arc centre",),
    "per_minute": ("feed mode",),
    "per_turn": ("feed mode",),
    "surface_speed": ("spindle mode",),
    "fixed_speed": ("spindle mode",),
    "stop": ("stop",),
    "optional_stop": ("stop",),
    "end": ("stop",),
    "end_short": ("stop",),
    "tool_change": ("tool",),
    "forward": ("spindle",),
    "reverse": ("spindle",),
    "spindle_off": ("spindle",),
    "mist_on": ("mist",),
    "coolant_on": ("flood",),
    "coolant_off": ("flood", "mist"),
}

CYCLES = frozenset({"threading", "roughing", "finishing", "peck", "chip_break"})
"""Meanings of one block, or two, that stand for many moves and hold no longer."""

# A program can not be said at all without these.
NEEDED = ("rapid", "line", "dwell", "inch", "millimetre", "per_minute", "forward", "spindle_off", "stop", "end")
