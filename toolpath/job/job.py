"""A job as it was read: one frozen value, lengths in mm, paths ready to open."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from msgspec import Struct

from toolpath.job.trims import Trim
from toolpath.part.afterwards import Afterwards
from toolpath.part.component import Component
from toolpath.part.rows import FaceGroove, Holds, Inside, Row
from toolpath.part.stock import Stock
from toolpath.quantity import Quantity
from toolpath.shop.holding import Holding


class Bar(Struct, frozen=True):
    """The piece that goes into the lathe, as `stock`; its measures in mm.

    drawn: its outline was drawn with rows; else it is a plain bar or a tube
    """

    stock: Stock
    drawn: bool = False

    @property
    def dia(self) -> float:
        """Largest diameter."""
        return self.stock.dia

    @property
    def length(self) -> float:
        return self.stock.length

    @property
    def face_off(self) -> float:
        """What the first facing cut takes from its front end."""
        return self.stock.front


class Parting(Struct, frozen=True):
    """off: the piece is cut from the bar; stub: diameter (mm) left standing for the hand to break."""

    off: bool
    stub: float


class Expected(Struct, frozen=True):
    """Volume of the finished part, mm³, worked out elsewhere, and how far ours may be from it."""

    volume: float
    within: float


class Used(Struct, frozen=True):
    """A default that was used: its key, the value as it would be written, and why."""

    key: str
    value: str
    why: str


class Job(Struct, frozen=True):
    """A job as read; paths are ready to open.

    rows, inside_rows, face_rows: the part
    least_wall: mm, the thinnest wall that the part may have, None: as the material table gives
    thin:      what is done about a thinner one: "refuse" or "warn"
    together:  groups of rows that must run true to each other within true_within, mm, as `outside[2]`
    ends_said: the job says which end comes first, or how far its holdings turn
    expected:  None as well when sizes were overridden or are cut longer, for it speaks of the part as the file has it
    pattern:   how the bulk is roughed, None: the quickest way
    infeed, springs: how a threading point comes down, and its passes at full depth; None: as the material gives
    finish_passes: how often the finish cut goes over the same path
    one_way: finish cuts are split so that X goes one way
    measure: a stop for measuring follows the finish cuts
    finish_um: greatest height of the turning marks, µm from valley to crest, or None: as the material table gives
    polished_um: the same after polishing, or None: it is not polished
    compensation: who moves the finish pass aside for the tool's nose: "program" or "control"
    held:      rows inside that stand for the holes of a component until these are picked
    components: what the part holds; afterwards: what is done to its surfaces when it is turned
    trims:     the sizes that are cut longer by a spare until a trial assembly; `sizes` and rows have it already
    digest:    SHA-256 of the file's bytes and what was overridden, hexadecimal
    """

    file: Path
    title: str
    unit: str
    machine: Path
    tools: Path
    material: str
    materials: Path | None
    bar: Bar
    break_edges: float
    least_wall: float | None
    thin: str
    sizes: Mapping[str, Quantity]
    rows: tuple[Row, ...]
    inside_rows: tuple[Inside, ...]
    face_rows: tuple[FaceGroove, ...]
    holdings: tuple[Holding, ...]
    pattern: str | None
    infeed: str
    springs: int | None
    finish_passes: int
    one_way: bool
    measure: bool
    finish_um: float | None
    polished_um: float | None
    compensation: str
    parting: Parting
    expected: Expected | None
    defaults: tuple[Used, ...]
    digest: str
    held: tuple[Holds, ...] = ()
    components: tuple[Component, ...] = ()
    afterwards: tuple[Afterwards, ...] = ()
    together: tuple[tuple[str, ...], ...] = ()
    true_within: float = 0.0
    ends_said: bool = True
    trims: tuple[Trim, ...] = ()

    @property
    def holding(self) -> Holding:
        """The first holding: that of the bar."""
        return self.holdings[0]

    @property
    def stem(self) -> str:
        """The name that the results carry: that of the job file without its ending."""
        return self.file.stem
