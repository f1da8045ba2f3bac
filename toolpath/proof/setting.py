"""What a program is proven against, and the lengths below which nothing is told apart."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from msgspec import Struct

from toolpath.geometry.elements import Chain
from toolpath.proof.thread_zones import ThreadZone

if TYPE_CHECKING:
    from toolpath.shop.machine import Machine
    from toolpath.shop.materials import Material
    from toolpath.shop.tools import Tool

FINE = 2e-5  # mm between a curve and its broken line; tool, way and part add up to less than 0.1 µm
NOISE = 1e-4  # mm, what is forgiven besides the control's last digit
NO_AXIS = 1e-6  # mm from the axis: an edge there is no surface of a turned body


class Hand(Struct, frozen=True):
    """What a person does at a stop, from the tailstock say.

    operation: index of the operation in the program that has the stop
    does:      what is done, in words; removes: closed outlines (z, x), mm, of what that takes off
    holds:     closed outlines of what holds the work from then on, a centre that is brought up say; None: as before
    """

    operation: int
    does: str
    removes: tuple[Chain, ...]
    holds: tuple[Chain, ...] | None = None


class Setting(Struct, frozen=True):
    """stock, part, goal, hold: closed outlines in (z, x), mm, of the half above the axis: what stands before the first
    move; the finished part; what must stand after the last (part, metal for later set-ups, bar); what holds the work.
    tools:        by number
    last_digit:   the control's last digit, mm
    hold_max_rpm: greatest speed of what holds the work, 1/min; 0: the machine's `chuck_max_rpm`
    by_hand:      what a person does at stops of the program
    on_thread:    hand of the work's own thread where it is held by that, else ""
    least_wall:   the thinnest wall that may stand at any moment, mm; 0: none is watched
    thin_stops:   True where a thinner one stops the program, False where it is only told
    threads:      those the program is to cut with a point; in `part` they are plain at the crest
    material:     of the work; None: what cuts ask of machine and hold is not reckoned
    """

    stock: tuple[Chain, ...]
    part: tuple[Chain, ...]
    goal: tuple[Chain, ...]
    hold: tuple[Chain, ...]
    tools: Mapping[int, Tool]
    machine: Machine
    last_digit: float = 0.001
    hold_max_rpm: float = 0.0
    by_hand: tuple[Hand, ...] = ()
    on_thread: str = ""
    least_wall: float = 0.0
    thin_stops: bool = False
    threads: tuple[ThreadZone, ...] = ()
    material: Material | None = None

    @property
    def tailstock(self) -> tuple[Chain, ...]:
        """What of `hold` stands before the front of the stock, as nothing does that grips it from the chuck's side."""
        front = max((e.bounds()[2] for chain in self.stock for e in chain), default=0.0)
        return tuple(chain for chain in self.hold if max(e.bounds()[2] for e in chain) > front + NOISE)

    @property
    def gripping(self) -> tuple[Chain, ...]:
        """What of `hold` keeps the work: all but the tailstock."""
        tailstock = self.tailstock
        return tuple(chain for chain in self.hold if chain not in tailstock)

    @property
    def gouge_tolerance(self) -> float:
        """0.1 µm, half the control's last digit, and what broken lines may be off, mm."""
        return NOISE + self.last_digit / 2.0 + 3.0 * FINE

    @property
    def contact_tolerance(self) -> float:
        """Depth, mm, to which two outlines may overlap and still only touch: both may be rounded."""
        return self.last_digit + NOISE

    @property
    def greatest_rpm(self) -> float:
        return min(self.machine.max_rpm, self.hold_max_rpm or self.machine.chuck_max_rpm)
