"""What a plan is asked for: the part, the bar, the shop."""

from __future__ import annotations

from msgspec import Struct

from toolpath.part.halfsection import HalfSection
from toolpath.part.stock import Stock
from toolpath.shop.drawer import Drawer
from toolpath.shop.holding import way
from toolpath.shop.machine import Machine
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool


class Gripped(Struct, frozen=True):
    """A surface of the work that is held: its diameter, z of the nose of the hold, and z of its end in the hold, mm.

    neck: diameter before it, round which clamps press; 0 where that does not matter
    """

    dia: float
    nose_z: float
    far_z: float
    neck: float = 0.0


class Trial(Struct, frozen=True):
    """A size that was cut longer and is to be tried. cut: mm, spare included; spare: mm

    mate:    what it is tried with, as it reads in a sentence
    number:  the set-up that cuts the last of it; loose: it is there only when the part is off the bar
    off:     where the spare comes off this very piece, as the set-up sees it: "front", "back" or "", nowhere
    """

    size: str
    cut: float
    spare: float
    mate: str = "its mate"
    number: int = 1
    loose: bool = False
    off: str = ""


class Request(Struct, frozen=True):
    """One part out of one piece of stock, cut from its free end; lengths in mm.

    stock:     as it is put in; what lies before z = 0 the first facing takes off
    held_in:   a kind of `shop.holding.ways`
    stick_out: from the nose of what holds the bar to the bar's front end; None: as little as the job needs
    parted:    True when the part is cut from the bar
    stub:      diameter left standing when it is
    height_um: greatest height of the turning marks, or None
    number, count: which set-up this is, of how many
    turned_round: the part's back face looks at the tools; `part` and `stock` are given as they lie
    gripped:   what is held; None: the stock by its back end, as far out as the job needs
    gone:      how much shorter the bar is by now than it was sawn, mm
    turn_from, turn_to: stretch of the outside that is turned, distances from z = 0, mm; None: to its end
    first_here: this end was at the tools in no set-up before: what is hollow there is made here
    centre:    "running" where the end that looks at the tools is held in a centre once it has its centre hole
    steady:    where a fixed steady stands, z in mm; None: nowhere
    runs_on:   the last surface that is turned goes on to the parting slot
    spare:     left on the part's length for a later set-up to face off, mm
    zero:      how the hand finds z = 0
    on:        the part's own thread where a mandrel takes it, as the job writes it
    plug:      a plug stands in the tube where it is gripped
    drawer:    the whole rack: what makes holes besides the tools of `rack`
    digest:    of the job, for the program's header
    compensation: who moves the finish pass aside for the nose, "program" or "control"
    pattern:   how the bulk is roughed: "along z", "along x", "contour", or None for the quickest
    infeed:    how a threading point comes down: "radial", "flank", "flank clear" or "alternating"
    springs:   passes of a thread at full depth; None: as the material gives
    finish_passes: how often the finish cut goes over the same path
    one_way:   finish cuts are split so that X always goes the way it was approached
    measure:   a stop for measuring follows the finish cuts
    stop_before_tools: the program waits before the first cut of every tool
    polish:    what is done by hand when the part is turned, line by line
    trials:    of sizes that are cut to fit, of all set-ups
    x_diameter: the control reads X words as diameters
    offsets:   the control keeps offsets of tools; else every tool sets the zero anew at a stop
    work_offset: it keeps the zero of the work besides
    ramps:     it goes from one move in step with the spindle into the next, so that a thread can run out on a ramp
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
    drawer: Drawer = Drawer(())
    digest: str = ""
    stop_before_tools: bool = False
    pattern: str | None = None
    finish_passes: int = 1
    one_way: bool = False
    measure: bool = False
    infeed: str = "flank clear"
    springs: int | None = None
    number: int = 1
    count: int = 1
    turned_round: bool = False
    gripped: Gripped | None = None
    gone: float = 0.0
    turn_from: float = 0.0
    turn_to: float | None = None
    first_here: bool = True
    centre: str = ""
    steady: float | None = None
    runs_on: bool = True
    spare: float = 0.0
    zero: str = ""
    compensation: str = "program"
    on: str = ""
    plug: bool = False
    trials: tuple[Trial, ...] = ()
    polish: tuple[str, ...] = ()
    x_diameter: bool = True
    offsets: bool = True
    work_offset: bool = False
    ramps: bool = True

    @property
    def in_chuck(self) -> bool:
        """Whether what holds the work stands no more than the chuck's greatest speed."""
        return not way(self.held_in).fast

    @property
    def end(self) -> str:
        """The face of the part that looks at the tools: `front` or `back`."""
        return "back" if self.turned_round else "front"

    @property
    def support(self) -> str:
        """How the work stands against what pushes it: of `cutting.beams.HOLDS`."""
        return "centres" if self.held_in == "centres" else "centre" if self.centre else "free"

    @property
    def sawn(self) -> bool:
        """Whether the piece is sawn off its bar by hand: a centre is in, and would pinch a parting blade."""
        return self.parted and bool(self.centre)
