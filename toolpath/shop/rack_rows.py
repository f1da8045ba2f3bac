"""The rows of a rack file, one kind of tool each, in the words of the bench. Lengths are mm or text with a unit."""

from __future__ import annotations

import msgspec

Written = float | str  # a bare number is in the rack's units, text may carry its own: `1/2 in`


class Row(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """What every tool may say: its number, its offset (the same number when left out), its name, what it is for.

    face: "up" or "down", where the cutting face looks when it is not as the machine file says; `hand` is then the one
    that it works with as it lies
    stands: [x, z] of its point on a slide that carries several side by side, from any one place on it
    """

    kind: str = ""
    number: int
    offset: int | None = None
    name: str = ""
    material: str = ""
    does: list[str] | None = None
    face: str = ""
    stands: tuple[Written, Written] | None = None


class CarriedRow(Row, kw_only=True):
    """A tool that a bar may carry: with `bar`, the bar's diameter, it works inside. The rest describes the bar.

    tip_to_middle: from the point to the bar's middle line; neck, neck_length: the thinner part behind the edge
    """

    bar: Written | None = None
    tip_to_middle: Written | None = None
    least_bore: Written | None = None
    neck: Written | None = None
    neck_length: Written | None = None
    overhang: Written | None = None


class InsertRow(CarriedRow, kw_only=True):
    """An indexable insert in an ISO 5608 holder or a boring bar, or at a stated entering angle on a plain shank."""

    insert: str
    holder: str = ""
    entering: Written | None = None
    hand: str = ""
    shank: Written | None = None


class GroundRow(CarriedRow, kw_only=True):
    """A tool ground from a bit: its two angles, its nose and how long its edges are."""

    entering: Written
    included: Written
    nose_radius: Written
    edge: Written | None = None
    hand: str = "right"
    shank: Written | None = None


class BladeRow(CarriedRow, kw_only=True):
    """A grooving or parting blade. `corner` is for both corners; `corners` = [chuck side, free side].

    `face_grooves` = [least, greatest] outer diameter of the grooves that a blade bent for faces goes into.
    """

    width: Written
    reach: Written
    corner: Written | None = None
    corners: tuple[Written, Written] | None = None
    side_clearance: Written = 0.0
    point: str = "chuck side"
    face_grooves: tuple[Written, Written] | None = None
    block: tuple[Written, Written] | None = None


class RoundRow(CarriedRow, kw_only=True):
    """A form tool ground to a half round: its width is twice its radius."""

    width: Written
    reach: Written
    block: tuple[Written, Written] | None = None


class ThreadingRow(CarriedRow, kw_only=True):
    """A threading point: the angle between its flanks, a flat or a radius at its end, and how deep it goes.

    full_form: the pitch of an insert that cuts the crests too, `1.5` or `19 tpi`
    """

    angle: Written
    depth: Written
    flat: Written | None = None
    radius: Written | None = None
    full_form: Written | None = None
    block: tuple[Written, Written] | None = None


class HoleRow(Row, kw_only=True):
    """What stands on the axis. Without a number it is held in the tailstock and fed by hand.

    flute: length of the flutes, point included; overhang: from the point to the chuck; chuck: the chuck's diameter
    """

    number: int = 0
    flute: Written | None = None
    overhang: Written | None = None
    chuck: Written | None = None


class DrillRow(HoleRow, kw_only=True):
    """A twist drill that keeps its place. `size` is what is stamped on it: 7.8, `#29`, `F`, `5/16`."""

    size: Written
    point: Written | None = None


class CentreDrillRow(HoleRow, kw_only=True):
    """A centre drill; `size` as ISO 866, DIN 333, ANSI B94.11M or BS 328 have it: `A2`, `B2.5`, `#3`, `BS4`."""

    size: str


class CountersinkRow(HoleRow, kw_only=True):
    """A countersink: the angle of its cone, its largest diameter, and that of its end when this is blunt."""

    angle: Written
    dia: Written
    end_dia: Written = 0.0


class FlatDrillRow(HoleRow, kw_only=True):
    """An end mill that cuts to its middle, or a counterbore without a pilot: it leaves a flat floor."""

    dia: Written


class ReamerRow(HoleRow, kw_only=True):
    """A reamer: its diameter, what it is ground for, the length of its lead."""

    dia: Written
    tolerance: str = "H7"
    lead: Written | None = None


class DrillHolderRow(HoleRow, kw_only=True):
    """A chuck in a numbered place that takes any drill of the sets up to `largest`, touched off for itself.

    further: numbers under which more drills go into the same chuck later in a program, each with an offset of its own
    """

    largest: Written
    further: list[int] = []


class DrillsRow(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A set of drills in the words of its box, or single ones as they are stamped; `from` and `to` cut a set short."""

    set: str = ""
    first: Written | None = msgspec.field(default=None, name="from")
    last: Written | None = msgspec.field(default=None, name="to")
    drills: list[Written] | None = None
    point: Written | None = None
    flute: Written | None = None


KINDS: dict[str, type[Row]] = {
    "insert": InsertRow,
    "ground": GroundRow,
    "blade": BladeRow,
    "round": RoundRow,
    "threading": ThreadingRow,
    "drill": DrillRow,
    "centre drill": CentreDrillRow,
    "countersink": CountersinkRow,
    "flat drill": FlatDrillRow,
    "end mill": FlatDrillRow,
    "counterbore": FlatDrillRow,
    "reamer": ReamerRow,
    "drill holder": DrillHolderRow,
}


class RackFile(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """`title` is for people; `units` are those of bare numbers."""

    title: str = ""
    units: str = "mm"
    tool: list[dict[str, object]] = []
    drills: list[dict[str, object]] = []
