"""A row of the job file, one TOML table -> a row value. Every word a turner may write in a row is here.

    surface       | written as                                                        | besides
    --------------|-------------------------------------------------------------------|---------
    cylinder      | dia = 14 (limits as on a drawing: "14 h7"), to or length          |
    thread        | thread = "M10x1-6g", to or length (relief included)               | cut_by (die, point; tap),
                  |                       undercut, undercut_width, undercut_dia, no_start, mate_deep, mate_mouth;
                  |                                                              inside: drill, mate_long
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

    inside only   | hole = 6 with deep = 12 or through = true                         | floor, made, point_angle
    (and dia)     | dia = 14                                                          | made
    centre hole   | centre = "A2", the size of its drill                              | mouth
    face groove   | groove = 26, inner_dia = 20, deep = 2                             | foot_radius, wall_angle
                  |                                                        (from square) or inner_ and outer_wall_angle

Every inside row and face groove may say `from = "back"`: it is then seen from the back face, `to` and `deep` counting
from there. `deep` of a hole is where its full diameter ends; its floor is "flat", "drilled" or "round".

    component     | holds = "point": the holes that take in the component of this name |
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from toolpath import quantity
from toolpath.errors import BadInput
from toolpath.part.centre_holes import centre_rows, refuse_beside_centre
from toolpath.part.row_reader import NO_NAMES, REACH, Names, RowReader
from toolpath.part.rows import (
    Ball,
    Chamfer,
    Curve,
    Cylinder,
    Dome,
    FaceGroove,
    Holds,
    Hole,
    Inside,
    Neck,
    Quarter,
    Round,
    Row,
    Sharp,
    Taper,
)
from toolpath.part.thread_words import MATE, thread_row

ARC = (*REACH, "radius", "tangent", "from_dia")
TAPER = ("taper_to", "half_angle", "included_angle", "goes", "from_dia", *REACH)
WALLS = ("wall_angle", "front_wall_angle", "back_wall_angle", "foot_radius")

# The word that makes a row what it is, and the words that may stand beside it. The first one found decides; `radius`
# is last because it stands beside others too.
KINDS: dict[str, tuple[str, ...]] = {
    "thread": (*REACH, "cut_by", "undercut", "undercut_width", "undercut_dia", "no_start", *MATE),
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
CORNERS = ("chamfer", "radius", "fillet", "sharp")
MADE = ("bored", "drilled", "reamed", "counterbored")
FLAT = ("bored", "counterbored")  # what leaves a flat floor
FLOORS = ("flat", "drilled", "round")
FACES = ("front", "back")
HOLDS = "holds"
POINT_ANGLE = math.radians(118.0)  # the usual twist drill; common practice, no source
INSIDE_TOO = {"dia": ("made",), "thread": ("drill", "mate_long")}
INSIDE_KINDS: dict[str, tuple[str, ...]] = {
    "hole": ("deep", "through", "floor", "made", "point_angle", "from"),
    "centre": ("mouth", "from"),
    **{
        kind: (*(w for w in words if w not in MATE), *INSIDE_TOO.get(kind, ()), "from") for kind, words in KINDS.items()
    },
}
FACE_KINDS = {
    "groove": ("inner_dia", "deep", "foot_radius", "wall_angle", "inner_wall_angle", "outer_wall_angle", "from")
}
WORDS = tuple(
    dict.fromkeys(w for kinds in (KINDS, INSIDE_KINDS, FACE_KINDS) for k, ws in kinds.items() for w in (k, *ws))
)
LISTS = {
    "outside": "Write outside = [ { dia = 12, to = 20 } ]",
    "inside": "Write inside = [ { hole = 6, deep = 12 } ]",
    "face": "Write face = [ { groove = 26, inner_dia = 20, deep = 2 } ]",
}


def outside_rows(
    part: Mapping[str, object], *, where: str = "part", unit: str = "mm", names: Names = NO_NAMES
) -> tuple[Row, ...]:
    """The outside of the job's `[part]` table.

    unit: of bare lengths; names: the job's sizes. Errors: BadInput with its place.
    """
    for word in part:
        if word not in LISTS:
            raise BadInput(f"'{word}' is not known here", where=where, right=quantity.nearest(word, LISTS))
    rows = _listed(part, "outside", where)
    if not rows:
        raise BadInput(
            "the part has no rows", where=f"{where}.outside", right="Write at least one, as { dia = 12, to = 20 }"
        )
    return tuple(row_from(r, where=f"{where}.outside[{k}]", unit=unit, names=names) for k, r in enumerate(rows))


def inside_rows(
    part: Mapping[str, object], *, where: str = "part", unit: str = "mm", names: Names = NO_NAMES
) -> tuple[Inside, ...]:
    """The inside of the job's `[part]` table, of both ends, as written; none where nothing is hollow.

    Rows that hold a component are left out: `held_rows` has them.
    """
    rows = _listed(part, "inside", where)
    read = [
        (k, one)
        for k, r in enumerate(rows)
        if not _holds(r)
        for one in inside_from(r, where=f"{where}.inside[{k}]", unit=unit, names=names)
    ]
    for k, r in enumerate(rows):
        refuse_beside_centre(r, [one for other, one in read if other != k], where=f"{where}.inside[{k}]")
    alike = len(read) == len(rows) and [k for k, _ in read] == list(range(len(rows)))
    return tuple(row if alike else replace(row, index=k) for k, row in read)


def held_rows(part: Mapping[str, object], *, where: str = "part") -> tuple[Holds, ...]:
    """The rows inside that stand for the holes of a component."""
    found = []
    for k, row in enumerate(_listed(part, "inside", where)):
        if isinstance(row, Mapping) and HOLDS in row:
            place = f"{where}.inside[{k}]"
            other = next((word for word in row if word != HOLDS), None)
            if other is not None:
                right = "What the hole must be is said in its [[component]] table"
                raise BadInput(f"'{other}' does not belong beside '{HOLDS}'", where=f"{place}.{other}", right=right)
            if not isinstance(row[HOLDS], str):
                raise BadInput(f"{HOLDS} is the name of a component, not {row[HOLDS]!r}", where=f"{place}.{HOLDS}")
            found.append(Holds(str(row[HOLDS]), k))
    return tuple(found)


def _holds(row: object) -> bool:
    return isinstance(row, Mapping) and HOLDS in row


def face_rows(
    part: Mapping[str, object], *, where: str = "part", unit: str = "mm", names: Names = NO_NAMES
) -> tuple[FaceGroove, ...]:
    """The grooves in the end faces of the job's `[part]` table."""
    rows = _listed(part, "face", where)
    return tuple(face_from(r, where=f"{where}.face[{k}]", unit=unit, names=names) for k, r in enumerate(rows))


def _listed(part: Mapping[str, object], word: str, where: str) -> Sequence[object]:
    rows = part.get(word, [])
    if not isinstance(rows, Sequence) or isinstance(rows, str):
        raise BadInput(f"the {word} is a list of rows", where=f"{where}.{word}", right=LISTS[word])
    return rows


def inside_from(row: object, *, where: str, unit: str = "mm", names: Names = NO_NAMES) -> tuple[Inside, ...]:
    """One inside row, a centre hole as the rows it stands for; `from` says which end sees it."""
    kind, table = _kind(row, where, INSIDE_KINDS)
    read = RowReader(table, where, unit, names)
    from_back = read.choice("from", FACES) == "back"
    found = centre_rows(read) if kind == "centre" else (_inside_row(read, kind),)
    return tuple(Inside(one, from_back) for one in found)


def _inside_row(read: RowReader, kind: str) -> Row:
    """That of an outside, a hole, or a dia with the way it is made."""
    if kind == "hole":
        return _hole(read)
    if kind == "dia":
        return replace(_cylinder(read), made=read.choice("made", MADE))
    return thread_row(read, inside=True) if kind == "thread" else _row(read, kind)


def face_from(row: object, *, where: str, unit: str = "mm", names: Names = NO_NAMES) -> FaceGroove:
    """One groove of an end face."""
    _, table = _kind(row, where, FACE_KINDS)
    read = RowReader(table, where, unit, names)
    for word in ("inner_dia", "deep"):
        read.must(word)
    both, inner, outer = read.walls("inner_wall_angle", "outer_wall_angle")
    return FaceGroove(
        outer_dia=read.size("groove"),
        inner_dia=read.size("inner_dia"),
        deep=read.sure("deep"),
        inner_wall=inner or both or 0.0,
        outer_wall=outer or both or 0.0,
        foot_radius=read.length("foot_radius"),
        from_back=read.choice("from", FACES) == "back",
    )


def row_from(row: object, *, where: str, unit: str = "mm", names: Names = NO_NAMES) -> Row:
    """One outside row. where: its key path, as `part.outside[2]`, for messages. Errors: BadInput with the key path."""
    kind, table = _kind(row, where, KINDS)
    return _row(RowReader(table, where, unit, names), kind)


def _row(read: RowReader, kind: str) -> Row:
    if kind == "thread":
        return thread_row(read, inside=False)
    if kind == "dia":
        return _cylinder(read)
    if kind in ("taper_to", "half_angle", "included_angle"):
        return _taper(read)
    if kind.startswith(("bulge", "hollow")):
        return _curve(read, kind)
    if kind.startswith("quarter"):
        goes = read.goes()
        if goes is None:
            raise BadInput(
                "nothing says which way it leans", where=read.where, right='Write goes = "rising" or goes = "falling"'
            )
        return Quarter(bulging=kind == "quarter_round", radius=read.sure(kind), rising=goes, start=read.dia("from_dia"))
    if kind == "dome_to":
        return _dome(read)
    if kind == "ball":
        return Ball(sphere=read.sure("ball"), end=read.dia("down_to"), start=read.dia("from_dia"), **read.reach())
    return _neck(read) if kind == "neck" else _corner(read, kind)


def _cylinder(read: RowReader) -> Cylinder:
    return Cylinder(dia=read.size("dia"), to=read.length("to"), length=read.length("length"))


def _hole(read: RowReader) -> Hole:
    through, deep = read.flag("through"), read.length("deep")
    if through == (deep is not None):
        what = "a hole goes through or is so deep, not both" if through else "nothing says how deep the hole is"
        raise BadInput(what, where=read.where, right="Write deep (to where the full diameter ends) or through = true")
    for word in ("floor", "point_angle"):
        if through and word in read.row:
            raise BadInput("a hole that goes through has no floor", where=f"{read.where}.{word}", right="Leave it out")
    made, floor = read.choice("made", MADE), read.choice("floor", FLOORS)
    made = made or ("bored" if floor in ("flat", "round") else "drilled")
    floor = floor or ("flat" if made in FLAT else "drilled")
    if made == "counterbored" and (through or floor != "flat"):
        what = "a hole that goes through" if through else f"a {floor} floor"
        right = 'Write made = "bored" or "drilled"'
        raise BadInput(
            f"a counterbore leaves a flat floor, and this is {what}", where=f"{read.where}.made", right=right
        )
    if made not in FLAT and floor != "drilled":
        raise BadInput(
            f"a hole that is {made} has the floor that a drill leaves, not a {floor} one",
            where=f"{read.where}.floor",
            right='Write made = "bored", or leave floor out',
        )
    point = read.angle("point_angle", 180.0)
    if point is not None and floor != "drilled":
        raise BadInput(
            "point_angle is that of a drilled floor, and this hole has none",
            where=f"{read.where}.point_angle",
            right="Leave it out",
        )
    return Hole(
        dia=read.size("hole"), deep=deep, floor=floor, made=made, point_angle=POINT_ANGLE if point is None else point
    )


def _kind(row: object, where: str, kinds: Mapping[str, tuple[str, ...]]) -> tuple[str, Mapping[str, object]]:
    """The word that makes the row what it is, every other word having been checked against it, and the row."""
    if not isinstance(row, Mapping):
        example = "{ groove = 26, inner_dia = 20, deep = 2 }" if kinds is FACE_KINDS else "{ dia = 12, to = 20 }"
        raise BadInput(f"a row is a table, not {row!r}", where=where, right=f"Write {example}")
    words = tuple(dict.fromkeys([*kinds, *(w for ws in kinds.values() for w in ws)]))
    for word in row:
        if word not in words:
            raise BadInput(
                f"'{word}' is not known here", where=f"{where}.{word}", right=quantity.nearest(word, words, every=False)
            )
    kind = next((word for word in kinds if word in row), None)
    if kind is None:
        raise BadInput(
            "nothing says what kind of surface the row is", where=where, right=f"It needs one of: {', '.join(kinds)}"
        )
    for word in row:
        if word != kind and word not in kinds[kind]:
            right = "A corner is a row of its own, between the two surfaces" if word in CORNERS else ""
            beside = ", ".join(w for w in kinds[kind] if w != kind) or "nothing"
            raise BadInput(
                f"'{word}' does not belong beside '{kind}'",
                where=f"{where}.{word}",
                right=right or f"Beside it may stand: {beside}",
            )
    return kind, row


def _taper(read: RowReader) -> Taper:
    half, included = read.angle("half_angle", 90.0), read.angle("included_angle", 180.0)
    if half is not None and included is not None:
        raise BadInput("both half_angle and included_angle are written", where=read.where, right="Write one of them")
    end, rising = read.dia("taper_to"), read.goes()
    if end is not None and rising is not None:
        raise BadInput(
            "taper_to says already which way the taper goes", where=f"{read.where}.goes", right="Leave goes out"
        )
    half = half if included is None else included / 2.0
    return Taper(
        end=end,
        half_angle=half,
        rising=rising,
        start=read.dia("from_dia"),
        to=read.length("to"),
        length=read.length("length"),
    )


def _curve(read: RowReader, kind: str) -> Curve:
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


def _dome(read: RowReader) -> Dome:
    radius, sphere = read.length("radius"), read.length("sphere_dia")
    if radius is not None and sphere is not None:
        raise BadInput("both radius and sphere_dia are written", where=read.where, right="Write one of them")
    radius = radius if sphere is None else sphere / 2.0
    return Dome(end=read.dia("dome_to") or 0.0, radius=radius, start=read.dia("from_dia"), **read.reach())


def _neck(read: RowReader) -> Neck:
    both, front, back = read.walls("front_wall_angle", "back_wall_angle")
    return Neck(
        dia=read.size("neck"),
        front_wall=front or both or 0.0,
        back_wall=back or both or 0.0,
        foot_radius=read.length("foot_radius"),
        **read.reach(),
    )


def _corner(read: RowReader, kind: str) -> Row:
    on = read.choice("on", ("edge", "foot"))
    if kind == "chamfer":
        return Chamfer(size=read.sure(kind), angle=read.angle("angle", 90.0), on=on)
    if kind == "fillet":
        return Round(radius=read.sure(kind), on="foot")
    if kind == "radius":
        return Round(radius=read.sure(kind), on=on)
    read.flag(kind)
    return Sharp(on=on)
