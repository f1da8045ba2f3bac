"""The machine file: what a lathe can do. Ten lines are enough; the rest comes from `machine-defaults.toml`.

name = "Bench lathe, 250 x 500"
min_rpm = 100
max_rpm = 2500
power_w = 500
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec

from toolpath import reading
from toolpath.errors import BadInput
from toolpath.quantity import length
from toolpath.shop.written_values import at

NEEDED = ("name", "min_rpm", "max_rpm", "power_w")
LENGTHS = (
    "chuck_diameter",
    "centre_point",
    "centre_out",
    "centre_body",
    "spindle_bore",
    "spindle_length",
    "backlash_x",
    "backlash_z",
    "travel_x",
    "travel_z",
    "change_x",
    "change_z",
    "tailstock_room",
    "clearance",
    "quill_per_turn",
    "resolution",
)

Above = Annotated[float, msgspec.Meta(gt=0.0)]
NotBelow = Annotated[float, msgspec.Meta(ge=0.0)]


class MachineFile(msgspec.Struct, forbid_unknown_fields=True, frozen=True, kw_only=True):
    """Keys of a machine file, after the defaults went in.

    Speeds in 1/min, rapids and feeds in mm/min, accelerations in mm/s2, lengths in mm, times in s, power in W.
    tool_post, tool_face: where the post stands and where the cutting face looks; together they give `spindle_sense`.
    spindle_encoder: what tells the control how the spindle turns: nothing, one pulse a turn, an encoder with an index.
    drive: `hand` is a spindle whose speed a person sets.
    drilling: `tailstock` is by hand, while the program waits; `post` by the carriage, drills standing on the axis.
    quill_scale, quill_per_turn: what the tailstock's quill is read by, and how far (mm) a turn of its wheel moves it;
    0 when not known.
    centre_point, centre_out, centre_body: of the running centre, how thick it is behind its cone, how far its tip
    stands out of its body, and how thick that is; mm.
    chuck_fixing: `screwed` on a threaded nose comes off in reverse; spindle_brake: it stops hard, not by running down.
    spindle_bore: what goes through it, spindle_length: from the nose of the hold to its far end; mm, 0 when not known.
    backlash: lost motion of a slide; approach: how it moved last when a tool was touched off or a size was read.
    change_x, change_z: where tools are changed, mm from the axis and in front of Z0; 0: as near as clears every tool.
    tailstock_room: from the nose of the hold to the tailstock pushed right back; 0 when not known.
    resolution: the last digit the control uses, mm.
    units_by_g70_g71: the control's words for inch and millimetre are G70 and G71, which are cycles on others.
    """

    name: str
    min_rpm: Above
    max_rpm: Above
    power_w: Above
    drive: Literal["variable", "belts", "hand"]
    belt_rpm: tuple[float, ...]
    constant_surface_speed: bool
    full_power_rpm: Above
    spindle_up_s: Above
    spindle_sense: Literal["forward", "reverse"]
    spindle_encoder: Literal["none", "pulse", "index"]
    chuck_max_rpm: Above
    chuck_diameter: Above
    spindle_bore: NotBelow
    spindle_length: NotBelow
    chuck_fixing: Literal["flanged", "screwed", "collet closer"]
    spindle_brake: bool
    collet: str
    rigidity: Literal["light", "bench", "stiff"]
    rapid_x: Above
    rapid_z: Above
    accel_x: Above
    accel_z: Above
    max_feed: Above
    backlash_x: NotBelow
    backlash_z: NotBelow
    approach_x: Literal["towards the work", "away from the work"]
    approach_z: Literal["towards the chuck", "away from the chuck"]
    travel_x: Above
    travel_z: Above
    change_x: NotBelow
    change_z: NotBelow
    clearance: Above
    tool_post: Literal["front", "rear"]
    tool_face: Literal["up", "down"]
    tool_change: Literal["hand", "turret", "gang"]
    change_seconds: NotBelow
    hand_stop_seconds: NotBelow
    homed: bool
    coolant: bool
    tailstock: bool
    tailstock_room: NotBelow
    centre_point: Above
    centre_out: Above
    centre_body: Above
    drilling: Literal["tailstock", "post"]
    quill_scale: Literal["mm", "inch"]
    quill_per_turn: NotBelow
    dialect: str
    units_by_g70_g71: bool
    units: Literal["mm", "inch"]
    resolution: Above


class Machine(MachineFile, frozen=True, kw_only=True):
    """A machine ready for planning. defaults_used: `key = value: why`, one line for each key its file left out."""

    defaults_used: tuple[str, ...] = ()


def load_machine(path: Path) -> Machine:
    """The machine of a file; BadInput with file, line and key for what can not be."""
    return machine_from(reading.load(path), file=str(path))


def machine_from(data: dict[str, object], *, file: str = "") -> Machine:
    """The machine of a table of keys."""
    with reading.placed(file):
        for key in NEEDED:
            if key not in data:
                raise BadInput(f"the machine file does not say `{key}`", right=f"Needed are {', '.join(NEEDED)}")
        given = {k: at(k, length, v, unit="mm") if k in LENGTHS and isinstance(v, str) else v for k, v in data.items()}
        defaults = _defaults(given)
        whole = reading.decode(given | {k: v for k, (v, _) in defaults.items()}, MachineFile, file=file)
        _refuse_contradictions(whole)
    told = tuple(f"{k} = {_as_written(v)}: {why}" for k, (v, why) in defaults.items())
    return Machine(**msgspec.structs.asdict(whole), defaults_used=told)


def sense_for(tool_post: str, tool_face: str) -> str:
    """Spindle sense under which the tool cuts.

    Seen from the tailstock a spindle going forward turns counter-clockwise (a right-hand drill standing in the
    tailstock cuts), so on the operator's side metal comes down on a tool whose face looks up, and behind the axis it
    comes up against a face that looks down.
    """
    return "forward" if (tool_post == "front") == (tool_face == "up") else "reverse"


def _defaults(given: dict[str, object]) -> dict[str, tuple[object, str]]:
    """Key -> (value, why) of every key that is not given, in the order of the table."""
    out: dict[str, tuple[object, str]] = {}
    said = given["max_rpm"]
    top = float(said) if isinstance(said, int | float) else 1.0  # what is no number is refused later, under its own key
    for key, row in _table().items():
        if key in given:
            continue
        value = row.get("value")
        if "share_of_max_rpm" in row:
            value = max(1, round(row["share_of_max_rpm"] * top))
        if key == "chuck_max_rpm":
            value = min(row["value"], top)
        if key == "drilling" and given.get("tailstock") is False:
            out[key] = ("post", "there is no tailstock")
            continue
        out[key] = (tuple(value) if isinstance(value, list) else value, row["why"])
    if "spindle_sense" not in given:
        post, face = (str(given[k] if k in given else out[k][0]) for k in ("tool_post", "tool_face"))
        out["spindle_sense"] = (sense_for(post, face), f"a {post} post with the tool's face {face} cuts so")
    return out


def _as_written(value: object) -> str:
    """A default in the words of the file: `true`, `[]`, `""`."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, tuple):
        return f"[{', '.join(map(str, value))}]"
    return str(value) or '""'


def _refuse_contradictions(m: MachineFile) -> None:
    if m.min_rpm > m.max_rpm:
        raise BadInput(f"the least speed, {m.min_rpm:g} rpm, is above the greatest, {m.max_rpm:g}", where="min_rpm")
    for i, step in enumerate(m.belt_rpm):
        if not m.min_rpm <= step <= m.max_rpm:
            right = f"The spindle runs from {m.min_rpm:g} to {m.max_rpm:g} rpm"
            raise BadInput(f"a belt step of {step:g} rpm can not be", where=f"belt_rpm[{i}]", right=right)
    if m.constant_surface_speed and m.drive != "variable":
        raise BadInput(
            f"constant surface speed can not be had from a spindle whose drive is `{m.drive}`",
            where="constant_surface_speed",
            right='Leave it out, or say drive = "variable"',
        )
    if (m.drive == "belts") != bool(m.belt_rpm):
        raise BadInput(
            "a drive by belts needs its steps"
            if m.drive == "belts"
            else f"belt steps do not go with drive `{m.drive}`",
            where="drive" if m.drive == "belts" else "belt_rpm",
            right='Write drive = "belts" and belt_rpm = [ ... ], one speed a step',
        )
    if m.drilling == "tailstock" and not m.tailstock:
        raise BadInput(
            "this machine has no tailstock to drill from",
            where="drilling",
            right='Write drilling = "post", or tailstock = true',
        )
    if m.tool_change == "gang" and (m.change_x or m.change_z):
        raise BadInput(
            "where tools that stand side by side are called follows from where they stand",
            where="change_x" if m.change_x else "change_z",
            right="Leave it out",
        )
    wanted = sense_for(m.tool_post, m.tool_face)
    if m.spindle_sense != wanted:
        raise BadInput(
            f"a {m.tool_post} post with the tool's face {m.tool_face} needs the spindle {wanted}",
            where="spindle_sense",
            right="Correct tool_post or tool_face, or leave spindle_sense out",
        )
    if m.max_feed > max(m.rapid_x, m.rapid_z):
        raise BadInput(f"the greatest feed, {m.max_feed:g} mm/min, is above both rapids", where="max_feed")


@cache
def _table() -> dict[str, dict[str, Any]]:
    with Path(__file__).with_name("machine-defaults.toml").open("rb") as file:
        return tomllib.load(file)
