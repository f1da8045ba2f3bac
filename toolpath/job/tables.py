"""The job file as it is decoded: which keys there are and what may be written, with nothing understood yet."""

from __future__ import annotations

from typing import Literal

import msgspec
from msgspec import UNSET, UnsetType

from toolpath.job.defaults import Written

Kind = Literal["plating", "anodise", "polish"]


class Table(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A table of the file; nothing unknown is let through."""


class BarTable(Table):
    dia: Written | UnsetType = UNSET
    bore: Written | UnsetType = UNSET
    length: Written | UnsetType = UNSET
    outside: list[object] | UnsetType = UNSET
    inside: list[object] | UnsetType = UNSET
    face_off: Written | UnsetType = UNSET


class HoldingTable(Table):
    grip: Literal["bar", "part"] | UnsetType = UNSET
    in_: str | UnsetType = msgspec.field(default=UNSET, name="in")
    on: str | UnsetType = UNSET
    against: str | UnsetType = UNSET
    centre: Literal["running"] | UnsetType = UNSET
    steady: Written | UnsetType = UNSET
    plug: bool = False
    stick_out: Written | UnsetType = UNSET
    end: Literal["front", "back"] | UnsetType = UNSET
    held: list[Written] | UnsetType = UNSET
    turn_to: Written | UnsetType = UNSET
    zero: Literal["measured", "stop", "mandrel face"] | UnsetType = UNSET


class RoughingTable(Table):
    pattern: Literal["quickest", "along z", "along x", "contour"] | UnsetType = UNSET


class ThreadingTable(Table):
    infeed: Literal["radial", "flank", "flank clear", "alternating"] | UnsetType = UNSET
    springs: int | UnsetType = UNSET


class FinishTable(Table):
    passes: Literal[1, 2] | UnsetType = UNSET
    height_um: float | UnsetType = UNSET
    polished_um: float | UnsetType = UNSET
    compensation: Literal["program", "control"] | UnsetType = UNSET
    one_way: bool | UnsetType = UNSET
    measure: bool | UnsetType = UNSET


class PartingTable(Table):
    off: bool | UnsetType = UNSET
    stub: Written | UnsetType = UNSET


class ExpectTable(Table):
    volume_mm3: float
    within_mm3: float | UnsetType = UNSET


class StepTable(Table):
    dia: Written
    length: Written
    fit: Literal["free", "close", "press", "glue gap"] | UnsetType = UNSET


class ComponentTable(Table):
    name: str
    steps: list[StepTable]
    fit: Literal["free", "close", "press", "glue gap"]
    measured_within: Written | UnsetType = UNSET
    from_: Literal["front", "back"] | UnsetType = msgspec.field(default=UNSET, name="from")
    seat: Written | UnsetType = UNSET
    sticks_out: Written | UnsetType = UNSET
    through: bool | UnsetType = UNSET
    made: Literal["drilled", "reamed", "bored"] | UnsetType = UNSET


class TrimTable(Table):
    size: str
    spare: Written


class AfterwardsTable(Table):
    a_side: Written
    within: Written | UnsetType = UNSET
    on: Literal["inside", "outside", "both"] | UnsetType = UNSET


class JobFile(Table):
    title: str
    machine: str
    tools: str
    material: str
    bar: BarTable
    part: dict[str, object]
    materials: str | UnsetType = UNSET
    units: Literal["mm", "inch"] | UnsetType = UNSET
    break_edges: Written | UnsetType = UNSET
    least_wall: Written | UnsetType = UNSET
    thin: Literal["refuse", "warn"] | UnsetType = UNSET
    together: list[str | list[str]] = []
    true_within: Written | UnsetType = UNSET
    sizes: dict[str, object] = {}
    holding: list[dict[str, object]] = msgspec.field(default_factory=lambda: [{}])
    roughing: RoughingTable = msgspec.field(default_factory=RoughingTable)
    threading: ThreadingTable = msgspec.field(default_factory=ThreadingTable)
    finish: FinishTable = msgspec.field(default_factory=FinishTable)
    parting: PartingTable = msgspec.field(default_factory=PartingTable)
    expect: ExpectTable | UnsetType = UNSET
    component: list[dict[str, object]] = []
    trim: list[TrimTable] = []
    afterwards: dict[Kind, AfterwardsTable] | UnsetType = UNSET
