"""The forms of tools that make holes: drawn along the axis, point at (0, 0), the tool to +z, both sides of the axis.

Behind the flutes comes a shank of the same diameter, as far as the tool stands out, then the chuck that holds it.
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path

from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain
from toolpath.quantity import size as sized
from toolpath.shop import drills
from toolpath.shop.centre_drills import CentreDrill, centre_drill
from toolpath.shop.drills import Drill
from toolpath.shop.forms import Form
from toolpath.shop.hole_tools import HoleTool, point_length
from toolpath.shop.outlines import box, hull
from toolpath.shop.rack_rows import CentreDrillRow, CountersinkRow, DrillRow, FlatDrillRow, HoleRow, ReamerRow, Written
from toolpath.shop.written_values import at, degrees_of, size

CHUCK = 46.0  # mm: diameter of a 13 mm drill chuck, common practice, no source
CHUCK_LENGTH = 60.0  # mm: what of it can come near the work, common practice, no source
BODY_OUT = 2.0  # bodies of a centre drill or countersink stand out so many diameters; common practice, no source
LEAD = 0.1  # of a reamer's diameter: its 45 degree lead, common practice for machine reamers, no source


def form_of(row: HoleRow, unit: str, assumed: list[str]) -> Form:
    """The form of a row; BadInput with `where` naming the key inside the row."""
    if isinstance(row, DrillRow):
        return _held(_drill(row, unit, assumed), row, unit, assumed)
    if isinstance(row, CentreDrillRow):
        return _held(centre(at("size", centre_drill, row.size)), row, unit, assumed)
    if isinstance(row, CountersinkRow):
        return _held(_countersink(row, unit), row, unit, assumed)
    if isinstance(row, FlatDrillRow):
        return _held(_flat(row, unit, assumed), row, unit, assumed)
    if isinstance(row, ReamerRow):
        return _held(_reamer(row, unit, assumed), row, unit, assumed)
    raise TypeError(f"no hole is made by a {type(row).__name__}")


def twist(drill: Drill) -> Form:
    """A drill held by its whole shank."""
    r, tip = drill.dia / 2.0, point_length(drill.dia, drill.point)
    if tip >= drill.flute:
        raise BadInput(
            f"flutes {drill.flute:g} mm long are shorter than the {tip:.3g} mm point of a {drill.dia:g} mm drill",
            where="flute",
        )
    words = f"drill {called(drill)}, {math.degrees(drill.point):g} deg point"
    hole = HoleTool(diameter=drill.dia, point=drill.point, flute=drill.flute)
    return _form(words, "drill", hole, _cone(0.0, tip, radii=(0.0, r), to=drill.flute))


def called(drill: Drill) -> str:
    """`7.8 mm`, `#29 (3.454 mm)`."""
    return f"{drill.name} mm" if drill.set == "metric" else f"{drill.name} ({drill.dia:.3f} mm)"


def centre(drill: CentreDrill) -> Form:
    """The pilot is the outline; its cones and its body follow as steps."""
    pilot, body = drill.pilot / 2.0, drill.body / 2.0
    tip = point_length(drill.pilot, drill.point)
    seat = drill.pilot_length + point_length(drill.mouth - drill.pilot, drill.cone)
    end = seat + point_length(drill.body - drill.mouth, drill.guard[1] or math.pi)
    out = end + BODY_OUT * drill.body
    cones = [(drill.pilot_length, seat, pilot, drill.mouth / 2.0)]
    if drill.guard[0]:
        cones.append((seat, end, drill.mouth / 2.0, body))
    steps = [_cone(z0, z1, radii=(r0, r1), to=out if r1 == body else z1) for z0, z1, r0, r1 in cones]
    hole = HoleTool(
        diameter=drill.body,
        point=drill.point,
        flute=end,
        pilot=(drill.pilot, drill.pilot_length),
        cone=drill.cone,
        mouth=drill.mouth,
    )
    form = _form(
        f"centre drill {drill.name}, {drill.pilot:.4g} mm pilot",
        "centre drill",
        hole,
        _cone(0.0, tip, radii=(0.0, pilot), to=drill.pilot_length),
    )
    return replace(form, steps=tuple(steps), reach=out)


def _drill(row: DrillRow, unit: str, assumed: list[str]) -> Form:
    drill = at("size", drills.drill_named, stamped(row.size, unit))
    return twist(ground(drill, row.point, row.flute, unit=unit, assumed=assumed))


def stamped(value: Written, unit: str) -> str:
    """What a row says of a drill, as text: what is stamped on it, or a bare number in the rack's units."""
    return value if isinstance(value, str) else f"{value:g}{' in' if unit == 'in' else ''}"


def ground(
    drill: Drill, point: Written | None, flute: Written | None, *, unit: str, assumed: list[str] | None = None
) -> Drill:
    """The drill with the point and the flutes that its row states, else the usual ones."""
    usual, least, most = drills.point_angles()
    angle = degrees_of(usual if point is None else point, "point", least=least, most=most)
    if point is None and assumed is not None:
        assumed.append(f"point {usual:g} deg")
    return replace(drill, point=angle, flute=size(flute, "flute", unit=unit, default=drill.flute, assumed=assumed))


def _countersink(row: CountersinkRow, unit: str) -> Form:
    angle = degrees_of(row.angle, "angle", least=30.0, most=150.0)
    dia, end = size(row.dia, "dia", unit=unit), size(row.end_dia, "end_dia", unit=unit, least=0.0)
    if end >= dia:
        raise BadInput(f"an end of {end:g} mm is not thinner than the countersink's {dia:g} mm", where="end_dia")
    tip = point_length(dia - end, angle)
    hole = HoleTool(diameter=dia, point=math.pi if end else angle, flute=tip, pilot=(end, 0.0), cone=angle, mouth=dia)
    out = tip + BODY_OUT * dia
    form = _form(
        f"countersink {math.degrees(angle):g} deg, up to {dia:g} mm",
        "countersink",
        hole,
        _cone(0.0, tip, radii=(end / 2.0, dia / 2.0), to=out),
    )
    return replace(form, reach=out)


def _flat(row: FlatDrillRow, unit: str, assumed: list[str]) -> Form:
    dia = size(row.dia, "dia", unit=unit)
    flute = _flute(row, dia, table="end_mill", unit=unit, assumed=assumed)
    hole = HoleTool(diameter=dia, point=math.pi, flute=flute)
    words = f"{row.kind} {dia:g} mm, flat end"
    return _form(words, "flat drill", hole, box(0.0, -dia / 2.0, flute, dia / 2.0))


def _reamer(row: ReamerRow, unit: str, assumed: list[str]) -> Form:
    dia = size(row.dia, "dia", unit=unit)
    tolerance = row.tolerance.strip()
    if not tolerance[:1].isupper():
        right = "A reamer is ground for a hole: H7, H8, G7"
        raise BadInput(f"'{row.tolerance}' is no tolerance of a hole", where="tolerance", right=right)
    hole_size = at("tolerance", sized, f"{dia:g} mm {tolerance}")
    lead = size(row.lead, "lead", unit=unit, default=LEAD * dia, assumed=assumed)
    flute = _flute(row, dia, table="reamer", unit=unit, assumed=assumed)
    if lead >= flute:
        raise BadInput(f"a lead of {lead:g} mm leaves nothing of {flute:g} mm of flutes", where="lead")
    end = max(dia / 2.0 - lead, 0.4 * dia)  # a longer lead is a slower one, not a thinner end
    limits = (hole_size.lower, hole_size.upper)
    hole = HoleTool(diameter=dia, point=math.pi, flute=flute, tolerance=tolerance, limits=limits, lead=lead)
    words = f"reamer {dia:g} {tolerance}"
    return _form(words, "reamer", hole, _cone(0.0, lead, radii=(end, dia / 2.0), to=flute))


def _flute(row: HoleRow, dia: float, *, table: str, unit: str, assumed: list[str]) -> float:
    """The flutes a row states, or those of the table; an `overhang` alone counts as flutes that go to the chuck."""
    return size(
        row.flute, "flute", unit=unit, default=_flutes(table, dia) if row.flute is None else None, assumed=assumed
    )


def _flutes(table: str, dia: float) -> float:
    ladder = _ladders()[table]
    for upto, flute in ladder:
        if dia <= upto:
            return flute
    raise BadInput(f"how long the flutes are at {dia:g} mm is not known", where="flute", right="State `flute`")


def _form(words: str, kind: str, hole: HoleTool, outline: Chain) -> Form:
    edge = math.hypot(hole.diameter / 2.0, hole.point_length)
    return Form(
        words=words,
        kind=kind,
        outline=outline,
        holder=(),
        nose=0.0,
        edge_length=edge,
        reach=hole.flute,
        max_depth=hole.deepest,
        point="drill point",
        tip=(-1, 0),
        works="hole",
        hole=hole,
    )


def _held(form: Form, row: HoleRow, unit: str, assumed: list[str]) -> Form:
    """The form in its chuck, as far out as the row says."""
    overhang = size(row.overhang, "overhang", unit=unit, default=form.reach, assumed=assumed)
    chuck = size(row.chuck, "chuck", unit=unit, default=CHUCK, assumed=assumed)
    return chucked(form, overhang, chuck)


def chucked(form: Form, overhang: float, chuck: float = CHUCK) -> Form:
    """The form standing `overhang` mm out of a chuck of this diameter (mm): shank and chuck as its holder."""
    assert form.hole is not None
    dia, flute = form.hole.diameter, form.hole.flute
    if overhang < flute:
        raise BadInput(
            f"standing out {overhang:g} mm, the chuck would grip the {flute:g} mm of flutes",
            where="overhang",
            right="Leave `overhang` out, or state shorter flutes",
        )
    if chuck <= dia:
        raise BadInput(f"a chuck of {chuck:g} mm can not hold {dia:g} mm", where="chuck")
    ends = max(e.bounds()[2] for chain in (form.outline, *form.steps) for e in chain)
    shank = (box(ends, -dia / 2.0, overhang, dia / 2.0),) if overhang > ends else ()
    body = box(overhang, -chuck / 2.0, overhang + CHUCK_LENGTH, chuck / 2.0)
    return replace(form, holder=(*shank, body), reach=overhang)


def _cone(z0: float, z1: float, *, radii: tuple[float, float], to: float) -> Chain:
    """From radius `radii[0]` at z0 to `radii[1]` at z1, then straight on to z = `to`; both sides of the axis."""
    thin, thick = radii
    end = [((z0, thin), 0.0), ((z0, -thin), 0.0)] if thin else [((z0, 0.0), 0.0)]
    back = [((z1, thick), 0.0)]
    front = [((z1, -thick), 0.0)]
    far = [((to, -thick), 0.0), ((to, thick), 0.0)] if to > z1 else []
    return hull([*end, *front, *far, *back])


@cache
def _ladders() -> dict[str, list[tuple[float, float]]]:
    with Path(__file__).with_name("flutes.toml").open("rb") as file:
        return tomllib.load(file)
