"""Materials: cutting force, speeds, feeds, depths, advice and cautions, each figure with its source.

`materials.toml` has the shop's own; a file of the same form extends or overrides it, material by material.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Struct

from toolpath import reading
from toolpath.errors import BadInput
from toolpath.quantity import nearest

Above = Annotated[float, msgspec.Meta(gt=0.0)]
Share = Annotated[float, msgspec.Meta(ge=0.0, le=0.1)]
Source = Annotated[str, msgspec.Meta(min_length=1)]
Trait = Literal["burns", "grabs", "grows warm", "hardens", "short chips", "stringy"]

DRILLS = (6.0, 12.0, 18.0, 25.0)  # mm, the diameters for which a table gives `drill_feed`


class Given(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    """A figure and where it comes from."""

    value: Above
    source: Source


class Speed(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    """Surface speeds in m/min. rigid: the source speaks of heavy machines, a bench lathe takes less."""

    rough: Above
    finish: Above
    source: Source
    rigid: bool = False


class Speeds(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    """By tool material; one that is left out is unfit."""

    HSS: Speed | None = None
    carbide: Speed | None = None


class Depths(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    """Greatest depth of cut per side, mm, by tool material."""

    HSS: Above
    carbide: Above
    source: Source


UNSAID_WALL = Given(1.0, "common practice, no source; the materials file does not say")


class GivenShares(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    """Least and greatest share of something, and where they come from."""

    value: tuple[Share, Share]
    source: Source


UNSAID_SHRINK = GivenShares((0.0, 0.0), "common practice: a cool metal keeps the size it was cut to")


class GivenFeeds(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    """Feeds of drills of diameters `DRILLS`, mm a turn, and where they come from."""

    value: tuple[Above, Above, Above, Above]
    source: Source


class MaterialRow(msgspec.Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """One table of a materials file; units as in `Material`."""

    title: str
    also: tuple[str, ...] = ()
    bench: Literal["soft", "steel"]
    kc11: Given
    mc: Given
    density: Given
    modulus: Given
    turn: Speeds
    drill: Given
    drill_feed: GivenFeeds | None = None
    traits: tuple[Trait, ...] = ()
    feed: Given
    depth: Depths
    least_wall: Given = UNSAID_WALL
    closes_in: GivenShares = UNSAID_SHRINK
    least_feed: Given | None = None
    breaks_at: Given | None = None
    unfit: dict[Literal["HSS", "carbide"], Source] = {}
    edge: str = ""
    heat: str = ""
    chips: str = ""
    spring_back: str = ""
    die: str = ""
    coolant: str = ""
    pump: bool = False
    cautions: tuple[str, ...] = ()


class Material(Struct, frozen=True):
    """name:    key in its file; title: for people
    group:    `soft` or `steel`: which depths a bench lathe bears
    kc11, mc: specific cutting force N/mm2 at 1 mm chip thickness, and the exponent of its rise below
    density:  g/cm3
    modulus:  GPa
    turn:     surface speeds by tool material
    drill:    m/min with HSS
    feed:     greatest feed for roughing, mm/rev
    depth:    greatest depth per side by tool material
    least_wall: mm, the thinnest wall that stands being turned without support
    sources:  figure name -> source
    drill_feed: mm/rev of drills of `DRILLS` on a heavy machine; empty where no source gives any
    traits:   `burns` or `hardens` (where a tool rubs), `grabs` (pulls a drill in where it breaks through), `short
              chips` (fall out of a hole), `stringy` (clog it), `grows warm` (keeps the heat of the cut and grows by it)
    closes_in: least and greatest share of its diameter by which a hole is smaller, once cool, than it was cut
    breaks_at: mm/rev from which its chips break by themselves; 0 where they always do
    least_feed: mm/rev below which it must not be cut; 0 where only the edge sets a bound
    unfit:    tool material -> why it is not turned with that
    pump:    cut wet, where the machine has a pump for it
    edge, coolant, heat, chips, spring_back, die: advice in words, empty where none is given; `die`: on threading with
              one
    """

    name: str
    title: str
    group: str
    kc11: float
    mc: float
    density: float
    modulus: float
    turn: Speeds
    drill: float
    feed: float
    depth: Depths
    least_wall: float
    edge: str
    coolant: str
    pump: bool
    cautions: tuple[str, ...]
    sources: dict[str, str]
    drill_feed: tuple[float, ...] = ()
    traits: tuple[Trait, ...] = ()
    closes_in: tuple[float, float] = (0.0, 0.0)
    least_feed: float = 0.0
    breaks_at: float = 0.0
    unfit: dict[Literal["HSS", "carbide"], str] = {}
    heat: str = ""
    chips: str = ""
    spring_back: str = ""
    die: str = ""

    @property
    def rubbed(self) -> str:
        """What it does where a tool rubs, so that none may: `hardens`, `burns`; empty where rubbing does no harm."""
        return next((t for t in ("burns", "hardens") if t in self.traits), "")

    def speed(self, tool_material: str) -> Speed:
        """Turning speeds with a tool of this material; BadInput, with the reason, when the tool material is unfit."""
        fit: dict[str, Speed] = {
            name: speed for name in Speeds.__struct_fields__ if (speed := getattr(self.turn, name))
        }
        if tool_material not in fit:
            why = next(
                (w for name, w in self.unfit.items() if name == tool_material), "its table gives no speed for it"
            )
            right = f"Use a tool of {' or '.join(fit)}" if fit else "Give its table a speed, turn.HSS or turn.carbide"
            raise BadInput(f"{self.title} is not turned with {tool_material}: {why}", right=right)
        return fit[tool_material]


def material(name: str, extra: Path | None = None) -> Material:
    """The material of that name (or trade name); BadInput with the nearest names for one that is not known.

    extra: a further materials file, which goes before the shop's own.
    """
    wanted = _plain(name)
    own = dict(reading.load(extra)) if extra else {}
    for table, file in ((own, str(extra or "")), (_table(), "materials.toml")):
        for key, data in table.items():
            if isinstance(data, dict) and wanted in {_plain(n) for n in (key, data.get("title", ""), *_also(data))}:
                return _material(key, reading.decode(data, MaterialRow, file=file, where=key))
    known = [*own, *_table()]
    trade = [n for t in (own, _table()) for d in t.values() if isinstance(d, dict) for n in _also(d)]
    told = nearest(name, known + trade, every=False)
    raise BadInput(f"'{name}' is not among the materials", right=f"{told} Known here: {', '.join(known)}".strip())


def names() -> tuple[str, ...]:
    """Names of the shop's own materials, in the order of its table."""
    return tuple(_table())


def _material(name: str, row: MaterialRow) -> Material:
    figures = {k: getattr(row, k) for k in ("kc11", "mc", "density", "modulus", "drill", "feed", "least_wall")}
    sources = {k: f.source for k, f in figures.items()}
    sources |= {"depth": row.depth.source, "closes_in": row.closes_in.source}
    if row.drill_feed:
        sources["drill_feed"] = row.drill_feed.source
    if row.least_feed:
        sources["least_feed"] = row.least_feed.source
    if row.breaks_at:
        sources["breaks_at"] = row.breaks_at.source
    return Material(
        name=name,
        title=row.title,
        group=row.bench,
        turn=row.turn,
        depth=row.depth,
        edge=row.edge,
        coolant=row.coolant,
        pump=row.pump,
        cautions=row.cautions,
        sources=sources,
        drill_feed=row.drill_feed.value if row.drill_feed else (),
        traits=row.traits,
        closes_in=row.closes_in.value,
        least_feed=row.least_feed.value if row.least_feed else 0.0,
        breaks_at=row.breaks_at.value if row.breaks_at else 0.0,
        unfit=row.unfit,
        heat=row.heat,
        chips=row.chips,
        spring_back=row.spring_back,
        die=row.die,
        **{k: f.value for k, f in figures.items()},
    )


def _plain(name: object) -> str:
    """A name without case, blanks and dashes."""
    return "".join(c for c in str(name).lower() if c.isalnum() or c == ".")


def _also(data: dict[str, Any]) -> tuple[str, ...]:
    also = data.get("also", ())
    return tuple(also) if isinstance(also, list | tuple) else ()


@cache
def _table() -> dict[str, Any]:
    with Path(__file__).with_name("materials.toml").open("rb") as file:
        return tomllib.load(file)
