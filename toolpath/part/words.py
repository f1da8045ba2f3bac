"""A row of the job file, one TOML table -> a row value. Every word a turner may write in a row is here.

    surface       | written as                                                        | besides
    --------------|-------------------------------------------------------------------|---------
    cylinder      | dia = 14 (limits as on a drawing: "14 h7"), to or length          |
    taper         | taper_to = 9 with to or length                                    | from_dia
                  | taper_to = 9 with half_angle or included_angle                    | from_dia
                  | half_angle or included_angle with to or length and goes           | from_dia
    arc           | bulge_to or hollow_to = 20, to or length, radius                  | from_dia
    tangent arc   | bulge_to or hollow_to = 20, tangent = true, and one of radius, to, length |
                  | bulge or hollow = true, tangent = true, radius, and to or length  |
    quarter round | quarter_round or quarter_hollow = 3 (its radius), goes            | from_dia
    dome          | dome_to = 20 (0 at the back end) with radius, sphere_dia, to or length | from_dia
    ball          | ball = 20 (its sphere) with down_to, to or length                 | from_dia
    neck          | neck = 8, to or length (of the mouth)                             | foot_radius, wall_angle
                  |                                                      (from square) or front_ and back_wall_angle
    corner        | chamfer = 1                                                       | angle (from the axis), on
                  | radius = 2                                                        | on
                  | fillet = 2 (an inside corner only); sharp = true                  | on (of sharp)

`to` is the distance from the front face, `length` the surface's own; `half_angle` is measured from the axis, the
included angle is twice that; `goes` is "rising" or "falling", seen from the free end towards the chuck; `from_dia` is
the diameter at the surface's front end where that is not the one at which the surface before it ended; `on` is "edge"
or "foot" where a shoulder has both.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from msgspec import Struct

from toolpath import quantity
from toolpath.errors import BadInput
from toolpath.part.rows import Ball, Chamfer, Curve, Cylinder, Dome, Neck, Quarter, Round, Row, Sharp, Taper

Names = Mapping[str, quantity.Quantity]
NO_NAMES: Names = MappingProxyType({})

REACH = ("to", "length")
ARC = (*REACH, "radius", "tangent", "from_dia")
TAPER = ("taper_to", "half_angle", "included_angle", "goes", "from_dia", *REACH)
WALLS = ("wall_angle", "front_wall_angle", "back_wall_angle", "foot_radius")

# The word that makes a row what it is, and the words that may stand beside it. The first one found decides; `radius`
# is last because it stands beside others too.
KINDS: dict[str, tuple[str, ...]] = {
    "dia": REACH,
    "taper_to": TAPER,
    "half_angle": TAPER,
    "included_angle": TAPER,
    "bulge_to": ARC,
    "hollow_to": ARC,
    "bulge": ARC,
    "hollow": ARC,
    "quarter_round": ("goes", "from_dia"),
    "quarter_hollow": ("goes", "from_dia"),
    "dome_to": (*REACH, "radius", "sphere_dia", "from_dia"),
    "ball": (*REACH, "down_to", "from_dia"),
    "neck": (*REACH, *WALLS),
    "chamfer": ("angle", "on"),
    "fillet": (),
    "sharp": ("on",),
    "radius": ("on",),
}
WORDS = tuple(dict.fromkeys([*KINDS, *(w for ws in KINDS.values() for w in ws)]))
CORNERS = ("chamfer", "radius", "fillet", "sharp")


def outside_rows(
    part: Mapping[str, object], *, where: str = "part", unit: str = "mm", names: Names = NO_NAMES
) -> tuple[Row, ...]:
    """The rows of the job's `[part]` table.

    unit: of bare lengths; names: the job's sizes. Errors: BadInput with its place.
    """
    for word in part:
        if word not in ("outside", "inside"):
            raise BadInput(
                f"'{word}' is not known here", where=where, right=quantity.nearest(word, ("outside", "inside"))
            )
    if part.get("inside"):
        raise BadInput(
            "holes and bores can not be made yet: only the outside is turned",
            where=f"{where}.inside",
            right="Leave inside out, and drill by hand after turning",
        )
    rows = part.get("outside", [])
    if not isinstance(rows, Sequence) or isinstance(rows, str):
        raise BadInput(
            "the outside is a list of rows", where=f"{where}.outside", right="Write outside = [ { dia = 12, to = 20 } ]"
        )
    if not rows:
        raise BadInput(
            "the part has no rows", where=f"{where}.outside", right="Write at least one, as { dia = 12, to = 20 }"
        )
    return tuple(row_from(r, where=f"{where}.outside[{k}]", unit=unit, names=names) for k, r in enumerate(rows))


def row_from(row: object, *, where: str, unit: str = "mm", names: Names = NO_NAMES) -> Row:
    """One row. where: its key path, as `part.outside[2]`, for messages. Errors: BadInput with the key path."""
    if not isinstance(row, Mapping):
        raise BadInput(f"a row is a table, not {row!r}", where=where, right="Write { dia = 12, to = 20 }")
    kind = _kind(row, where)
    read = _Reader(row, where, unit, names)
    if kind == "dia":
        return Cylinder(dia=read.size("dia"), **read.reach())
    if kind in ("taper_to", "half_angle", "included_angle"):
        return _taper(read)
    if kind.startswith(("bulge", "hollow")):
        return _curve(read, kind)
    if kind.startswith("quarter"):
        goes = read.goes()
        if goes is None:
            raise BadInput(
                "nothing says which way it leans", where=where, right='Write goes = "rising" or goes = "falling"'
            )
        return Quarter(bulging=kind == "quarter_round", radius=read.sure(kind), rising=goes, start=read.dia("from_dia"))
    if kind == "dome_to":
        return _dome(read)
    if kind == "ball":
        return Ball(sphere=read.sure("ball"), end=read.dia("down_to"), start=read.dia("from_dia"), **read.reach())
    return _neck(read) if kind == "neck" else _corner(read, kind)


def _kind(row: Mapping[str, object], where: str) -> str:
    """The word that makes the row what it is, every other word having been checked against it."""
    for word in row:
        if word not in WORDS:
            raise BadInput(
                f"'{word}' is not known here", where=f"{where}.{word}", right=quantity.nearest(word, WORDS, every=False)
            )
    kind = next((word for word in KINDS if word in row), None)
    if kind is None:
        heads = ", ".join(w for w in KINDS)
        raise BadInput("nothing says what kind of surface the row is", where=where, right=f"It needs one of: {heads}")
    for word in row:
        if word != kind and word not in KINDS[kind]:
            right = "A corner is a row of its own, between the two surfaces" if word in CORNERS else ""
            beside = ", ".join(w for w in KINDS[kind] if w != kind) or "nothing"
            raise BadInput(
                f"'{word}' does not belong beside '{kind}'",
                where=f"{where}.{word}",
                right=right or f"Beside it may stand: {beside}",
            )
    return kind


def _taper(read: _Reader) -> Taper:
    half, included = read.angle("half_angle", 90.0), read.angle("included_angle", 180.0)
    if half is not None and included is not None:
        raise BadInput("both half_angle and included_angle are written", where=read.where, right="Write one of them")
    end, rising = read.dia("taper_to"), read.goes()
    if end is not None and rising is not None:
        raise BadInput(
            "taper_to says already which way the taper goes", where=f"{read.where}.goes", right="Leave goes out"
        )
    half = half if included is None else included / 2.0
    return Taper(end=end, half_angle=half, rising=rising, start=read.dia("from_dia"), **read.reach())


def _curve(read: _Reader, kind: str) -> Curve:
    if not kind.endswith("_to"):
        read.flag(kind)
    return Curve(
        bulging=kind.startswith("bulge"),
        end=read.dia(kind) if kind.endswith("_to") else None,
        radius=read.length("radius"),
        tangent=read.flag("tangent"),
        start=read.dia("from_dia"),
        **read.reach(),
    )


def _dome(read: _Reader) -> Dome:
    radius, sphere = read.length("radius"), read.length("sphere_dia")
    if radius is not None and sphere is not None:
        raise BadInput("both radius and sphere_dia are written", where=read.where, right="Write one of them")
    radius = radius if sphere is None else sphere / 2.0
    return Dome(end=read.dia("dome_to") or 0.0, radius=radius, start=read.dia("from_dia"), **read.reach())


def _neck(read: _Reader) -> Neck:
    both = read.angle("wall_angle", 90.0)
    front, back = read.angle("front_wall_angle", 90.0), read.angle("back_wall_angle", 90.0)
    if both is not None and (front is not None or back is not None):
        raise BadInput(
            "wall_angle is that of both walls",
            where=f"{read.where}.wall_angle",
            right="Write it alone, or front_ and back_wall_angle",
        )
    return Neck(
        dia=read.size("neck"),
        front_wall=front or both or 0.0,
        back_wall=back or both or 0.0,
        foot_radius=read.length("foot_radius"),
        **read.reach(),
    )


def _corner(read: _Reader, kind: str) -> Row:
    on = read.choice("on", ("edge", "foot"))
    if kind == "chamfer":
        return Chamfer(size=read.sure(kind), angle=read.angle("angle", 90.0), on=on)
    if kind == "fillet":
        return Round(radius=read.sure(kind), on="foot")
    if kind == "radius":
        return Round(radius=read.sure(kind), on=on)
    read.flag(kind)
    return Sharp(on=on)


class _Reader(Struct, frozen=True):
    """Values of one row by their word, None where it is not written. Lengths are more than 0; a `dia` may be 0."""

    row: Mapping[str, object]
    where: str
    unit: str
    names: Names

    def length(self, word: str) -> float | None:
        return self.sure(word) if word in self.row else None

    def sure(self, word: str) -> float:
        return quantity.length(
            self.row[word], unit=self.unit, names=self.names, positive=True, where=f"{self.where}.{word}"
        )

    def size(self, word: str) -> quantity.Size:
        return quantity.size(
            self.row[word], unit=self.unit, names=self.names, positive=True, where=f"{self.where}.{word}"
        )

    def dia(self, word: str) -> float | None:
        """A diameter at the end of a surface: the middle of its limits if it has some, 0 on the axis."""
        if word not in self.row:
            return None
        place = f"{self.where}.{word}"
        value = quantity.size(self.row[word], unit=self.unit, names=self.names, where=place).value
        if value < 0.0:
            raise BadInput(f"a diameter can not be {value:g} mm", where=place, right="0 is a point on the axis")
        return value

    def angle(self, word: str, below: float) -> float | None:
        """rad; between 0 and `below` degrees, neither included."""
        if word not in self.row:
            return None
        place = f"{self.where}.{word}"
        value = quantity.angle(self.row[word], unit=self.unit, names=self.names, where=place)
        if not 0.0 < math.degrees(value) < below - 1e-9:
            raise BadInput(
                f"{math.degrees(value):g}° is no {word.replace('_', ' ')}",
                where=place,
                right=f"It lies between 0° and {below:g}°",
            )
        return value

    def flag(self, word: str) -> bool:
        value = self.row.get(word, False)
        if value is not True and word in self.row:
            raise BadInput(
                f"{word} is a plain yes, not {value!r}",
                where=f"{self.where}.{word}",
                right=f"Write {word} = true, or leave it out",
            )
        return value is True

    def choice(self, word: str, words: tuple[str, ...]) -> str:
        value = self.row.get(word, "")
        if value not in words and word in self.row:
            raise BadInput(
                f"{word} can not be {value!r}", where=f"{self.where}.{word}", right=f"It is {' or '.join(words)}"
            )
        return str(value)

    def goes(self) -> bool | None:
        word = self.choice("goes", ("rising", "falling"))
        return word == "rising" if word else None

    def reach(self) -> dict[str, float | None]:
        return {w: self.length(w) for w in REACH if w in self.row}
