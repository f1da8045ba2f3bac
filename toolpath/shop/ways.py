"""Ways of holding other than a plain collet or chuck: the outlines that tools must keep clear of, how true they run.

Outlines are closed and counter-clockwise, the upper half in (z, x), mm; `nose_z` is the face that looks at the tools.
"""

from __future__ import annotations

import math
import re

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, polyline
from toolpath.shop.holding import SPINDLE_DEPTH, Hold, chuck, collet, hold_of, table, way
from toolpath.shop.machine import Machine
from toolpath.shop.outlines import box

THREAD = re.compile(r"M?\s*(\d+(?:\.\d+)?)(?:\s*x\s*(\d+(?:\.\d+)?))?(?:\s*(LH))?", re.ASCII)


class Held(Struct, frozen=True):
    """What is gripped, mm.

    dia:    of the surface; for an expanding arbor that of the bore
    length: of the stretch that lies in the hold, 0 where it does not matter
    bore:   of the work where it is gripped, 0 where it is solid
    on:     the work's own thread, as the job writes it
    mouth:  diameter of the centre hole in the end behind the hold
    neck:   diameter before a flange that clamps hold, 0: that of the flange
    """

    dia: float
    length: float = 0.0
    bore: float = 0.0
    on: str = ""
    mouth: float = 0.0
    neck: float = 0.0


def hold(kind: str, held: Held, *, nose_z: float, machine: Machine) -> Hold:
    """The hold of that kind on the work. BadInput when it does not take the work, in plain words."""
    if kind == "collet":
        return collet(held.dia, nose_z=nose_z, size=machine.collet)
    if kind in ("chuck", "four-jaw"):
        return chuck(held.dia, nose_z=nose_z, body=machine.chuck_diameter, bore=held.bore, kind=kind)
    if kind == "soft jaws":
        times = table()["soft"]["times"]
        return chuck(held.dia, nose_z=nose_z, body=machine.chuck_diameter, kind=kind, times=times)
    if kind == "split bush":
        return _split_bush(held, nose_z, machine)
    if kind == "mandrel":
        return _mandrel(held, nose_z, machine)
    if kind == "expanding arbor":
        return _arbor(held, nose_z, machine)
    if kind == "faceplate":
        return _faceplate(held, nose_z, machine)
    if kind == "centres":
        return _driven(held, nose_z, machine)
    raise BadInput(f"'{kind}' is no way of holding", right=way(kind).name)


def thread_of(text: str) -> tuple[float, float, str]:
    """(diameter, pitch, hand) of a thread as it is written: `M10x1`, `M10x1 LH`, or a plain diameter `10`; mm.

    The pitch is 0 where none is written. BadInput for anything else.
    """
    found = THREAD.fullmatch(text.strip())
    if not found or not 0.0 < float(found[1]) < 1000.0:
        raise BadInput(f"'{text}' is no thread", right="Write its size, as M10x1 or M10x1 LH, or its diameter in mm")
    return float(found[1]), float(found[2] or 0.0), "left" if found[3] else "right"


def _split_bush(held: Held, nose_z: float, machine: Machine) -> Hold:
    """A slit sleeve about the work; its collar stands before the jaws, so that they press on the bush alone."""
    row = table()["bush"]
    jaws = nose_z - row["collar"]
    outer = held.dia + 2.0 * row["wall"]
    around = chuck(outer, nose_z=jaws, body=machine.chuck_diameter, kind="split bush")
    deep = around.outlines[1][0].bounds()[0]  # as far in as the jaws go
    bush = box(deep, held.dia / 2.0, jaws, outer / 2.0)
    collar = box(jaws, held.dia / 2.0, nose_z, outer / 2.0 + row["wall"])
    name = f"split bush of {held.dia:g} in the {machine.chuck_diameter:g} mm chuck"
    return hold_of("split bush", name, (collar, bush, *around.outlines), held.dia)


def _mandrel(held: Held, nose_z: float, machine: Machine) -> Hold:
    """A mandrel with the thread in it: the work's shoulder lies on its face, and a chuck holds its collar."""
    row = table()["mandrel"]
    collar = max(row["collar"] * held.dia, held.dia + 2.0 * row["ring"])
    root = nose_z - held.length - row["behind"]
    front = box(root, held.dia / 2.0, nose_z, collar / 2.0)
    back = chuck(collar, nose_z=root, body=machine.chuck_diameter)
    name = f"threaded mandrel {held.on or f'{held.dia:g}'}, its face against the shoulder"
    made = hold_of("mandrel", name, (front, *back.outlines), held.dia, more=back.cautions)
    hand = thread_of(held.on or f"{held.dia:g}")[2]
    return replace(made, on_thread=hand, least_grip=0.0, cautions=(*back.cautions, *made.cautions))


def _arbor(held: Held, nose_z: float, machine: Machine) -> Hold:
    """A plug that opens in the bore; the back face lies on its flange. Its plug reaches before the nose."""
    if held.length <= 0.0:
        raise BadInput("there is no bore at the back end that an arbor could open in", right="Hold the outside")
    row = table()["arbor"]
    root = nose_z - row["length"]
    flange_dia = held.dia + 2.0 * row["flange"]
    plug = box(nose_z, 0.0, nose_z + held.length, held.dia / 2.0)
    back = chuck(flange_dia, nose_z=root, body=machine.chuck_diameter)
    name = f"expanding arbor in the bore of {held.dia:g}"
    outlines = (plug, box(root, 0.0, nose_z, flange_dia / 2.0), *back.outlines)
    return replace(hold_of("expanding arbor", name, outlines, held.dia), least_grip=held.dia)


def _faceplate(held: Held, nose_z: float, machine: Machine) -> Hold:
    """Clamps on the shoulder of a flange and beside it, as what they sweep, before the plate with its hole."""
    row = table()["faceplate"]
    outer = max(row["over"] * machine.chuck_diameter, held.dia + 2.0 * row["clamps"]) / 2.0
    shoulder, neck = nose_z - row["clamps"], held.neck or held.dia
    face = min(shoulder, nose_z - held.length)
    plate = box(face - row["thick"], machine.spindle_bore / 2.0, face, outer)
    beside = () if face >= shoulder else (box(face, held.dia / 2.0, shoulder, outer),)
    outlines = (box(shoulder, neck / 2.0, nose_z, outer), *beside, plate)
    return replace(hold_of("faceplate", f"{2.0 * outer:g} mm faceplate", outlines, held.dia), least_grip=0.0)


def _driven(held: Held, nose_z: float, machine: Machine) -> Hold:
    """The driving dog about the work, its tail back to the drive plate, and the centre before that in the work's end.

    The other centre is `running_centre`.
    """
    row = table()["dog"]
    root, plate = nose_z - row["long"], nose_z - row["long"] - row["centre_out"]
    outer = row["wide"] * held.dia / 2.0
    dog = box(plate, held.dia / 2.0, nose_z, outer)
    thick = min(row["centre_thick"], held.dia) / 2.0
    tip = root + held.mouth / 2.0 / math.tan(math.radians(table()["centre"]["angle"]) / 2.0)
    base = root - (thick - held.mouth / 2.0) / math.tan(math.radians(table()["centre"]["angle"]) / 2.0)
    cone = polyline([(plate, 0.0), (tip, 0.0), (base, thick), (plate, thick)], close=True)
    behind = box(plate - SPINDLE_DEPTH, 0.0, plate, max(outer, machine.chuck_diameter / 2.0))
    made = hold_of("centres", "dog between centres", (dog, cone, behind), held.dia)
    return replace(made, least_grip=row["long"])


def running_centre(*, mouth: float, front_z: float, machine: Machine) -> tuple[Chain, ...]:
    """The centre in the free end of the work, its cone, neck and body: what keeps the axis and most of the front face
    from every tool.

    mouth: diameter of the countersink that it stands in, mm; front_z: of the face with that countersink
    """
    thick = machine.centre_point
    if not 0.0 < mouth <= thick:
        raise BadInput(
            f"a running centre does not stand in a mouth of {mouth:g} mm",
            right=f"Its point takes countersinks up to {thick:g} mm (centre_point in the machine file)",
        )
    slope = math.tan(math.radians(table()["centre"]["angle"]) / 2.0)
    tip = front_z - mouth / 2.0 / slope
    base, body = tip + thick / 2.0 / slope, tip + machine.centre_out
    if body <= max(base, front_z):
        raise BadInput(
            f"a centre {thick:g} mm thick can not stand {machine.centre_out:g} mm out of its body",
            right="Correct centre_point or centre_out in the machine file",
        )
    cone = polyline([(tip, 0.0), (base, 0.0), (base, thick / 2.0)], close=True)
    neck = box(base, 0.0, body, thick / 2.0)
    return (cone, neck, box(body, 0.0, body + table()["centre"]["length"], machine.centre_body / 2.0))


def steady(dia: float, *, at: float) -> tuple[Chain, ...]:
    """A fixed steady about a diameter of the work, its fingers about z = at: as what stands round the work, mm."""
    row = table()["steady"]
    if not 0.0 < dia < row["ring"] - 2.0 * row["finger"]:
        raise BadInput(f"a steady of {row['ring']:g} mm does not go round a diameter of {dia:g} mm")
    half, inner = row["finger"] / 2.0, row["ring"] / 2.0 - row["finger"]
    fingers = box(at - half, dia / 2.0, at + half, inner)
    return (fingers, box(at - row["width"] / 2.0, inner, at + row["width"] / 2.0, row["ring"] / 2.0 + row["finger"]))
