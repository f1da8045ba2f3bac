"""What carries a tool inside: the bar of a rack's row, with its defaults and its bounds."""

from __future__ import annotations

from toolpath.errors import BadInput
from toolpath.shop import bars
from toolpath.shop.bars import Bar, BarHolder
from toolpath.shop.rack_rows import CarriedRow
from toolpath.shop.written_values import size

OVERHANG_PER_BAR = 3.0  # the overhang assumed, in bar diameters, common practice
TIP_PER_BAR = 0.7  # from the point to the bar's middle line, in diameters, as bars of 10 mm have it
BORE_CLEARANCE = 0.5  # mm between the bar's back and the smallest hole, common practice
BAR_WORDS = ("tip_to_middle", "least_bore", "neck", "neck_length")


def bar_of(
    row: CarriedRow, unit: str, assumed: list[str], *, named: BarHolder | None = None, stands_out: float | None = None
) -> Bar | None:
    """The bar of a row, or None for a tool that works outside.

    named:      the bar that the row's holder designates
    stands_out: how far a blade or threading point stands out of the side of its bar, mm
    """
    if row.bar is None and named is None:
        for key in BAR_WORDS:
            if getattr(row, key) is not None:
                raise BadInput(f"`{key}` belongs to a boring bar", where=key, right="Give `bar`, the bar's diameter")
        return None
    if row.bar is not None and named is not None:
        raise BadInput(f"{named.designation} already gives the bar, {named.diameter:g} mm", where="bar")
    d = named.diameter if named else size(row.bar, "bar", unit=unit)
    neck = size(row.neck, "neck", unit=unit, default=d)
    if neck > d:
        raise BadInput(f"a neck of {neck:g} mm is thicker than its bar of {d:g} mm", where="neck")
    usual = neck / 2.0 + stands_out if stands_out is not None else (named and named.tip_to_middle) or TIP_PER_BAR * d
    middle = size(row.tip_to_middle, "tip_to_middle", unit=unit, default=usual, assumed=assumed)
    if middle <= neck / 2.0:
        raise BadInput(
            f"a point {middle:g} mm from the bar's middle does not stand out of {neck:g} mm of bar",
            where="tip_to_middle",
            right=f"More than {neck / 2.0:g} mm is needed",
        )
    reach = _reach(row, unit, assumed, diameter=d, body=named.body if named else "steel")
    length = _neck_length(row, unit, necked=neck < d, reach=reach)
    usual = max(named.least_bore if named else 0.0, middle + neck / 2.0 + BORE_CLEARANCE)
    bore = size(row.least_bore, "least_bore", unit=unit, default=usual, assumed=assumed)
    if bore < middle + neck / 2.0:
        raise BadInput(
            f"a bar of {neck:g} mm whose point stands {middle:g} mm from its middle does not go into {bore:g} mm",
            where="least_bore",
            right=f"From the point to the bar's back it measures {middle + neck / 2.0:g} mm",
        )
    return Bar(d, middle, neck, length, reach, bore)


def _reach(row: CarriedRow, unit: str, assumed: list[str], *, diameter: float, body: str) -> float:
    reach = size(row.overhang, "overhang", unit=unit, default=OVERHANG_PER_BAR * diameter, assumed=assumed)
    most = bars.longest(diameter, body)
    if reach > most:
        raise BadInput(
            f"a {body} bar of {diameter:g} mm that stands out {reach:g} mm is too limber",
            where="overhang",
            right=f"At most {most / diameter:g} diameters, {most:g} mm, are usual",
        )
    return reach


def _neck_length(row: CarriedRow, unit: str, *, necked: bool, reach: float) -> float:
    if (row.neck is None) != (row.neck_length is None):
        missing = "neck" if row.neck is None else "neck_length"
        raise BadInput("a neck has a diameter and a length", where=missing, right="Give both `neck` and `neck_length`")
    length = size(row.neck_length, "neck_length", unit=unit, default=reach)
    if length > reach:
        raise BadInput(f"a neck {length:g} mm long is longer than the {reach:g} mm of bar", where="neck_length")
    return length if necked else reach
