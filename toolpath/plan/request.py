"""What a plan is asked for: the part, the bar, the shop."""

from __future__ import annotations

from msgspec import Struct

from toolpath.part.halfsection import HalfSection
from toolpath.part.stock import Stock
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool


class Request(Struct, frozen=True):
    """One part out of one piece of stock, cut from its free end; lengths in mm.

    stock:     as it is put in; what lies before z = 0 the first facing takes off
    held_in:   "collet" or "chuck"
    stick_out: from the nose of what holds the bar to the bar's front end; None: as little as the job needs
    parted:    True when the part is cut from the bar
    stub:      diameter left standing when it is
    height_um: greatest height of the turning marks, or None
    digest:    of the job, for the program's header
    compensation: who moves the finish pass aside for the nose, "program" or "control"
    pattern:   how the bulk is roughed: "along z", "along x", "contour", or None for the quickest
    finish_passes: how often the finish cut goes over the same path
    stop_before_tools: the program waits before the first cut of every tool
    """

    title: str
    part: HalfSection
    stock: Stock
    held_in: str
    stick_out: float | None
    parted: bool
    stub: float
    height_um: float | None
    machine: Machine
    rack: tuple[Tool, ...]
    material: Material
    digest: str = ""
    stop_before_tools: bool = False
    pattern: str | None = None
    finish_passes: int = 1
    compensation: str = "program"
