"""The job file: what a person writes about one part, read strictly into one frozen value.

    title, machine, tools, material     what is made, on what, with what, of what
    [bar]                               the piece that goes into the lathe: a bar, a tube, or a blank drawn with rows
    [sizes]                             names for lengths, usable in every value below; `--set` overrides them
    [part] outside = [rows]             the half-section, from the front end towards the chuck
    [part] inside, face = [rows]        its hollows, each from its mouth inwards; grooves in its end faces
    [[holding]], [roughing], [finish], [parting]    how it is held, roughed, finished, and how it comes off
    [expect]                            what the part must come to, worked out elsewhere

Everything that a job may leave out has its default, with the reason, in `DEFAULTS` and nowhere else; a job remembers
which of them were used. Lengths are millimetres in the values here, whatever unit the file speaks.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Literal, NamedTuple

import msgspec
from msgspec import UNSET, Struct, UnsetType, field

from toolpath import quantity
from toolpath.errors import BadInput
from toolpath.part.drawn_stock import drawn
from toolpath.part.fitting import fits
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.rows import FaceGroove, Inside, Row
from toolpath.part.stock import SAME, Stock, tube
from toolpath.part.words import face_rows, inside_rows, outside_rows, row_from
from toolpath.quantity import Quantity
from toolpath.reading import decode, load, placed
from toolpath.shop.holding import Holding, refuse_no_grip

Written = str | int | float


class Default(NamedTuple):
    """What holds when the job does not say: the value as it would be written, and why this one."""

    value: Written | bool
    why: str


DEFAULTS: dict[str, Default] = {
    "units": Default("mm", "bare numbers are millimetres"),
    "break_edges": Default("0.2 mm", "a turned edge cuts fingers; common practice, no source"),
    "bar.face_off": Default("1 mm", "cleans a sawn end that is out of square; common practice, no source"),
    "drawn bar.face_off": Default(
        "0 mm", "a drawn outline says where its metal is; its front face may be turned already"
    ),
    "holding.grip": Default("bar", "the part is cut from the bar and parted off"),
    "holding.end": Default("back", "the part is turned round for its second holding"),
    "holding.in": Default("chuck", "a three-jaw chuck is wider than a collet: what clears it clears both"),
    "holding.stick_out": Default("as needed", "part, faced end, parting cut and the clearance of the machine file"),
    "roughing.pattern": Default("quickest", "along z or along x, whichever takes less time and gets everywhere"),
    "finish.height_um": Default("as it comes", "the finishing feed of the material table decides the finish"),
    "finish.compensation": Default("program", "the program moves the tip itself: right on every control"),
    "finish.passes": Default("1", "a second, light pass over the same path takes what the first was pushed away from"),
    "parting.off": Default(True, "the piece is cut from the bar"),
    "parting.stub": Default("1 mm", "broken off by hand, so that the piece is not flung; common practice, no source"),
    "expect.within": Default("0.01 %", "of the volume; finer than any size on a drawing, coarser than rounding"),
}


BAR_NEEDS = "A bar has dia and length, a blank of another shape outside = [rows]"


class _Table(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A table of the file; nothing unknown is let through."""


class _Bar(_Table):
    dia: Written | UnsetType = UNSET
    bore: Written | UnsetType = UNSET
    length: Written | UnsetType = UNSET
    outside: list[object] | UnsetType = UNSET
    inside: list[object] | UnsetType = UNSET
    face_off: Written | UnsetType = UNSET


class _Holding(_Table):
    grip: Literal["bar", "part"] | UnsetType = UNSET
    in_: Literal["collet", "chuck"] | UnsetType = msgspec.field(default=UNSET, name="in")
    stick_out: Written | UnsetType = UNSET
    end: Literal["front", "back"] | UnsetType = UNSET
    held: list[Written] | UnsetType = UNSET
    turn_to: Written | UnsetType = UNSET
    zero: Literal["measured", "stop"] | UnsetType = UNSET


class _Roughing(_Table):
    pattern: Literal["quickest", "along z", "along x", "contour"] | UnsetType = UNSET


class _Finish(_Table):
    passes: Literal[1, 2] | UnsetType = UNSET
    height_um: float | UnsetType = UNSET
    compensation: Literal["program", "control"] | UnsetType = UNSET


class _Parting(_Table):
    off: bool | UnsetType = UNSET
    stub: Written | UnsetType = UNSET


class _Expect(_Table):
    volume_mm3: float
    within_mm3: float | UnsetType = UNSET


class _JobFile(_Table):
    title: str
    machine: str
    tools: str
    material: str
    bar: _Bar
    part: dict[str, object]
    materials: str | UnsetType = UNSET
    units: Literal["mm", "inch"] | UnsetType = UNSET
    break_edges: Written | UnsetType = UNSET
    sizes: dict[str, object] = {}
    holding: list[dict[str, object]] = msgspec.field(default_factory=lambda: [{}])
    roughing: _Roughing = msgspec.field(default_factory=_Roughing)
    finish: _Finish = msgspec.field(default_factory=_Finish)
    parting: _Parting = msgspec.field(default_factory=_Parting)
    expect: _Expect | UnsetType = UNSET


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
    expected:  None as well when sizes were overridden, for it speaks of the part as the file has it
    pattern:   how the bulk is roughed, None: the quickest way
    finish_passes: how often the finish cut goes over the same path
    finish_um: greatest height of the turning marks, µm from valley to crest, or None: as the material table gives
    compensation: who moves the finish pass aside for the tool's nose: "program" or "control"
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
    sizes: Mapping[str, Quantity]
    rows: tuple[Row, ...]
    inside_rows: tuple[Inside, ...]
    face_rows: tuple[FaceGroove, ...]
    holdings: tuple[Holding, ...]
    pattern: str | None
    finish_passes: int
    finish_um: float | None
    compensation: str
    parting: Parting
    expected: Expected | None
    defaults: tuple[Used, ...]
    digest: str

    @property
    def holding(self) -> Holding:
        """The first holding: that of the bar."""
        return self.holdings[0]

    @property
    def stem(self) -> str:
        """The name that the results carry: that of the job file without its ending."""
        return self.file.stem


def read_job(path: Path, *, overrides: Mapping[str, str] | None = None, material: str | None = None) -> Job:
    """The job in a file; BadInput with file, key path and line.

    overrides: sizes as given by `--set`, by name. material: instead of the file's own.
    """
    overrides = overrides or {}
    with placed(path):
        file = decode(load(path), _JobFile, file=str(path))
        unit = DEFAULTS["units"].value if file.units is UNSET else file.units
        values = _Values(str(unit), quantity.evaluate_sizes(file.sizes, overrides, unit=str(unit)))
        values.take("units", file.units)
        tables = _holding_tables(file.holding, file=str(path))
        bar = _bar(file.bar, values)
        return Job(
            file=path,
            title=_title(file.title),
            unit=values.unit,
            machine=path.parent / _file_name(file.machine, "machine"),
            tools=path.parent / _file_name(file.tools, "tools"),
            material=material or file.material,
            materials=None if file.materials is UNSET else path.parent / _file_name(file.materials, "materials"),
            bar=bar,
            break_edges=values.length("break_edges", file.break_edges, zero=True),
            sizes=values.sizes,
            rows=outside_rows(file.part, unit=values.unit, names=values.sizes),
            inside_rows=inside_rows(file.part, unit=values.unit, names=values.sizes),
            face_rows=face_rows(file.part, unit=values.unit, names=values.sizes),
            holdings=tuple(_held(table, bar, values, k) for k, table in enumerate(tables)),
            pattern=_pattern(file.roughing, values),
            finish_passes=int(values.take("finish.passes", file.finish.passes)),
            finish_um=_finish(file.finish, values),
            compensation=str(values.take("finish.compensation", file.finish.compensation)),
            parting=_parted(file.parting, bar, values),
            expected=None if file.expect is UNSET or overrides else _expected(file.expect, values),
            defaults=tuple(sorted(values.used, key=lambda used: list(DEFAULTS).index(used.key))),
            digest=_digest(path, {**overrides, **({"--material": material} if material else {})}),
        )


def half_section(job: Job) -> HalfSection:
    """The job's part. BadInput: a row can not exist, the bar is too small, or the volume is not the expected one."""
    with placed(job.file):
        part = build(job.rows, inside=job.inside_rows, face=job.face_rows, break_edges=job.break_edges)
        fits(part, job.bar.stock)
        expected, volume = job.expected, part.volume()
        if expected is not None and abs(volume - expected.volume) > expected.within:
            raise BadInput(
                f"the part comes to {volume:.3f} mm³; expected are {expected.volume:.3f}, within {expected.within:.2g}",
                where="expect.volume_mm3",
                right="A row is not what was meant, or the figure is that of another part",
            )
    return part


class _Values(Struct):
    """Takes values out of the decoded file; where one is missing, its default stands in and is noted."""

    unit: str
    sizes: Mapping[str, Quantity]
    used: list[Used] = field(default_factory=list)

    def take(self, key: str, written: Written | UnsetType) -> Written | bool:
        if written is not UNSET:
            return written
        default = DEFAULTS[key]
        value = default.value if isinstance(default.value, str) else str(default.value).lower()
        self.used.append(Used(key, value, default.why))
        return default.value

    def length(self, key: str, written: Written | UnsetType, *, zero: bool = False, at: str = "") -> float:
        """Millimetres, above zero (or from zero on). at: the key's path where it is not the key itself"""
        value, where = self.take(key, written), at or key
        length = quantity.length(value, unit=self.unit, names=self.sizes, positive=not zero, where=where)
        if length < 0.0:
            raise BadInput(f"'{value}' is less than 0", where=where, right="0 means none")
        return length


def _title(title: str) -> str:
    text = " ".join(title.split())
    if not text:
        raise BadInput("the title is empty", where="title", right="Name the part in a few words")
    return text


def _file_name(name: str, where: str) -> str:
    if not name.strip() or "\0" in name:
        raise BadInput("no file is named here", where=where, right="Give a path relative to the job")
    return name


def _holding_tables(tables: list[dict[str, object]], *, file: str) -> list[_Holding]:
    if not tables:
        raise BadInput("the list of holdings is empty", where="holding", right="Leave it out for the defaults")
    return [decode(table, _Holding, file=file, where=f"holding[{k}]") for k, table in enumerate(tables)]


def _bar(table: _Bar, values: _Values) -> Bar:
    if table.outside is not UNSET:
        return _drawn_bar(table, values)
    if table.inside is not UNSET:
        raise BadInput("only a drawn outline has rows inside", where="bar.inside", right="A tube's hole is its bore")
    for key, written in (("dia", table.dia), ("length", table.length)):
        if written is UNSET:
            raise BadInput(f"'{key}' is missing, and it has no default", where="bar", right=BAR_NEEDS)
    dia, length = values.length("bar.dia", table.dia), values.length("bar.length", table.length)
    bore = 0.0 if table.bore is UNSET else values.length("bar.bore", table.bore)
    if bore >= dia:
        raise BadInput(f"a bore of {bore:g} mm leaves nothing of a bar of {dia:g} mm", where="bar.bore")
    return Bar(tube(dia, bore=bore, length=length, front=_face_off(table, length, values)))


def _drawn_bar(table: _Bar, values: _Values) -> Bar:
    for key, written in (("dia", table.dia), ("length", table.length), ("bore", table.bore)):
        if written is not UNSET:
            raise BadInput(f"{key} is given, but the outline is drawn", where=f"bar.{key}", right="Write one of them")
    outside, inside = _bar_rows("outside", table.outside, values), _bar_rows("inside", table.inside, values)
    length = drawn(outside, front=0.0).length
    stock = drawn(outside, inside=inside, front=_face_off(table, length, values, default="drawn bar.face_off"))
    try:
        grip = stock.grip
        refuse_no_grip(grip.dia, grip.length)
    except BadInput as error:
        raise error.at(where="bar.outside") from None
    return Bar(stock, drawn=True)


def _bar_rows(key: str, rows: list[object] | UnsetType, values: _Values) -> tuple[Row, ...]:
    where = f"bar.{key}"
    if rows is UNSET:
        return ()
    if not rows:
        raise BadInput("the list of rows is empty", where=where, right="Write at least one, as { dia = 12, to = 20 }")
    return tuple(row_from(r, where=f"{where}[{k}]", unit=values.unit, names=values.sizes) for k, r in enumerate(rows))


def _face_off(table: _Bar, length: float, values: _Values, *, default: str = "bar.face_off") -> float:
    key = default if table.face_off is UNSET else "bar.face_off"
    face_off = values.length(key, table.face_off, zero=True)
    if face_off >= length:
        raise BadInput(f"facing {face_off:g} mm off leaves nothing of a bar {length:g} mm long", where="bar.face_off")
    return face_off


def _held(table: _Holding, bar: Bar, values: _Values, k: int) -> Holding:
    where = f"holding[{k}]"
    grip = str(values.take("holding.grip", table.grip)) if k == 0 else _said(table.grip, "part")
    if (grip == "bar") != (k == 0):
        raise BadInput(
            f"holding {k + 1} grips the {grip}",
            where=f"{where}.grip",
            right="The first holding grips the bar, the others what has been made of it: the part",
        )
    if k > 0 and table.stick_out is not UNSET:
        raise BadInput(
            "how far the part stands out follows from where it is held",
            where=f"{where}.stick_out",
            right="Write held = [from, to], distances from the front face, or leave both out",
        )
    kind = str(values.take("holding.in", table.in_))
    return Holding(
        kind,
        end=str(values.take("holding.end", table.end)) if k else _said(table.end, "front"),
        stick_out=_stick_out(table, bar, values, kind) if k == 0 else None,
        held=_gripped(table, values, where),
        turn_to=None if table.turn_to is UNSET else values.length("turn_to", table.turn_to, at=f"{where}.turn_to"),
        zero=_said(table.zero, "measured"),
    )


def _said(written: str | UnsetType, otherwise: str) -> str:
    return otherwise if written is UNSET else written


def _gripped(table: _Holding, values: _Values, where: str) -> tuple[float, float] | None:
    """The stretch of the part that is held, distances from its front face, mm; None: what is best."""
    if table.held is UNSET:
        return None
    if table.grip != "part" or len(table.held) != 2:
        raise BadInput(
            "held is the stretch of the part that is gripped",
            where=f"{where}.held",
            right='Write grip = "part" and held = [2, 9]: from 2 to 9 mm behind the front face',
        )
    a, b = (values.length("held", v, zero=True, at=f"{where}.held") for v in table.held)
    if not a < b:
        raise BadInput(
            f"nothing lies between {a:g} and {b:g} mm", where=f"{where}.held", right="The smaller comes first"
        )
    return (a, b)


def _stick_out(table: _Holding, bar: Bar, values: _Values, kind: str) -> float | None:
    """Of the bar, mm from the nose of its hold; None: as needed."""
    if table.stick_out is UNSET:
        values.take("holding.stick_out", UNSET)
        return None
    where = "holding[0].stick_out"
    stick_out = values.length("holding.stick_out", table.stick_out, at=where)
    if stick_out >= bar.length:
        raise BadInput(
            f"{stick_out:g} mm stick out of the {kind}, and the bar is {bar.length:g} mm long: nothing is left to grip",
            where=where,
        )
    if bar.drawn and bar.length - stick_out > bar.stock.grip.reach + SAME:
        grip = bar.stock.grip
        raise BadInput(
            f"{bar.length - stick_out:g} mm of the stock are in the {kind}, and the cylinder at its back end, of "
            f"{grip.dia:g} mm, is {grip.length:g} mm long",
            where=where,
            right=f"Let it stick out at least {bar.length - grip.reach:g} mm",
        )
    return stick_out


def _pattern(table: _Roughing, values: _Values) -> str | None:
    pattern = str(values.take("roughing.pattern", table.pattern))
    return None if pattern == "quickest" else pattern


def _finish(table: _Finish, values: _Values) -> float | None:
    if table.height_um is UNSET:
        values.take("finish.height_um", UNSET)
        return None
    if not table.height_um > 0.0:
        raise BadInput(f"{table.height_um:g} µm is no height of a surface", where="finish.height_um")
    return table.height_um


def _parted(table: _Parting, bar: Bar, values: _Values) -> Parting:
    off = bool(values.take("parting.off", table.off))
    if not off:
        if table.stub is not UNSET:
            raise BadInput("a stub is given, but nothing is parted off", where="parting.stub", right="Leave it out")
        return Parting(off=False, stub=0.0)
    stub = values.length("parting.stub", table.stub, zero=True)
    if stub >= bar.dia:
        raise BadInput(f"a stub of {stub:g} mm is the whole bar of {bar.dia:g} mm", where="parting.stub")
    return Parting(off=True, stub=stub)


def _expected(table: _Expect, values: _Values) -> Expected:
    if not table.volume_mm3 > 0.0:
        raise BadInput(f"{table.volume_mm3:g} mm³ is no volume of a part", where="expect.volume_mm3")
    if table.within_mm3 is UNSET:
        values.take("expect.within", UNSET)
        return Expected(table.volume_mm3, 1e-4 * table.volume_mm3)
    if not table.within_mm3 > 0.0:
        raise BadInput(f"{table.within_mm3:g} mm³ leaves no room for rounding", where="expect.within_mm3")
    return Expected(table.volume_mm3, table.within_mm3)


def _digest(path: Path, overrides: Mapping[str, str]) -> str:
    """Of what was asked for, not of where it lies: the same job and the same sizes give the same digest anywhere."""
    digest = hashlib.sha256(path.read_bytes())
    for name in sorted(overrides):
        digest.update(f"\0{name}={overrides[name]}".encode())
    return digest.hexdigest()
