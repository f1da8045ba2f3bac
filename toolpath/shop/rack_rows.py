"""The rows of a rack file, one kind of tool each, in the words of the bench. Lengths are mm or text with a unit."""

from __future__ import annotations

import msgspec

Written = float | str  # a bare number is in the rack's units, text may carry its own: `1/2 in`


class Row(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """What every tool may say: its number, its offset (the same number when left out), its name, what it is for."""

    kind: str = ""
    number: int
    offset: int | None = None
    name: str = ""
    material: str = ""
    does: list[str] | None = None


class InsertRow(Row, kw_only=True):
    """An indexable insert, either in an ISO 5608 holder or at a stated entering angle on a plain shank."""

    insert: str
    holder: str = ""
    entering: Written | None = None
    hand: str = ""
    shank: Written | None = None
    overhang: Written | None = None


class GroundRow(Row, kw_only=True):
    """A tool ground from a bit: its two angles, its nose and how long its edges are."""

    entering: Written
    included: Written
    nose_radius: Written
    edge: Written | None = None
    hand: str = "right"
    shank: Written | None = None
    overhang: Written | None = None


class BladeRow(Row, kw_only=True):
    """A grooving or parting blade. `corner` is for both corners; `corners` = [chuck side, free side]."""

    width: Written
    reach: Written
    corner: Written | None = None
    corners: tuple[Written, Written] | None = None
    side_clearance: Written = 0.0
    point: str = "chuck side"
    block: tuple[Written, Written] | None = None


class RoundRow(Row, kw_only=True):
    """A form tool ground to a half round: its width is twice its radius."""

    width: Written
    reach: Written
    block: tuple[Written, Written] | None = None


KINDS: dict[str, type[Row]] = {"insert": InsertRow, "ground": GroundRow, "blade": BladeRow, "round": RoundRow}


class RackFile(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """`title` is for people; `units` are those of bare numbers."""

    title: str = ""
    units: str = "mm"
    tool: list[dict[str, object]]
