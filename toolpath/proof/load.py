"""What a cut asks of machine, hold, work and bar: chip section, force, power, torque and bending where it is greatest.

The section is measured, not planned: how much of the tool's front stands in metal, across the way it goes, times the
feed a turn. Force is that times the specific force at the mean chip thickness (Kienzle; `cutting/formulas.py`). Makers'
figures for one steel differ by 25 to 65 %, so that all this is advice, and stops a program only where it is gross.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from toolpath.cutting import bench
from toolpath.cutting.depths import power_at
from toolpath.cutting.formulas import cantilever_deflection, power_of_torque, second_moment, specific_force
from toolpath.motion import FeedMode, Move, Point, ThreadCut
from toolpath.proof.clock import rpm_at
from toolpath.proof.engagement import Ways
from toolpath.proof.findings import Finding, finding
from toolpath.proof.flatten import Array, Geometry, Indices
from toolpath.proof.setting import Setting
from toolpath.proof.sweep import Convex, fronts

MOST_MOVES = 32  # of a run, those with the longest way in metal, at which the front is measured
APART = 4.0  # mm between places where it is, and
MOST_PLACES = 6  # such places in one move, at most
LEAST_CHIP = 0.005  # mm: the law of the specific force says nothing below, from memory
GRIP_FORCE = 5000.0  # N that jaws or collet press in all, tightened by hand; from memory, on the low side
GRIP_FRICTION = 0.15  # of turned metal in smooth steel jaws, from memory
GROSS = 2.0  # times what machine or hold stand: from here on the program stops; common practice, no source
LASTS = 1.0  # s that the spindle's own swing carries it over; common practice, no source
GROSS_BEND = 10.0 * bench.DEFLECTION  # mm of bending at which it does
BAR_RATIO = 4.0  # diameters a steel bar may stand out; common practice
SLICES = 24  # of the work between hold and cut


class Load(Struct, frozen=True):
    """line, tool, at: where. section: mm2 of chip a turn. force: N along the cutting speed. torque: Nm about the axis.

    power: W at the edge. of_motor, of_grip: shares of what the motor gives there and of what the hold keeps.
    lasts: seconds in metal of the move that it is of
    work_bends, bar_bends: mm; 0 where nothing bends, or where a centre holds the free end
    reach: from the hold's face to the farthest cut, mm; 0 where a centre holds the free end
    """

    line: int
    tool: int
    at: Point
    section: float
    force: float
    torque: float
    power: float
    of_motor: float
    of_grip: float = 0.0
    lasts: float = 0.0
    work_bends: float = 0.0
    bar_bends: float = 0.0
    reach: float = 0.0


class Cutting(Struct, frozen=True):
    """A run's cut where it is heaviest for its place: the load so far, and what stood before it."""

    load: Load
    before: Geometry


def heaviest(
    moves: Sequence[Move], before: Geometry, shares: Array, *, edge: Convex, setting: Setting
) -> Iterator[Cutting]:
    """Loads at places along cutting moves.

    before: what stands; shares: of each move in metal; edge: the tool's outline, less the contact tolerance, for what
    only rubs along a surface cuts nothing
    """
    pairs = [(m, k) for m, k in zip(moves, shares.tolist(), strict=True) if k > 0.0 and not isinstance(m, ThreadCut)]
    if not pairs or setting.material is None:
        return
    pairs = sorted(pairs, key=lambda mk: -mk[1] * math.dist(mk[0].start, mk[0].end))[:MOST_MOVES]
    chosen: list[Move] = [m for m, _ in pairs]
    ways = Ways.of(chosen)
    owner, share = _tried(ways.length, np.array([k for _, k in pairs]))
    places, angles = ways.at(owner, share)
    engaged = shapely.intersection(before, fronts(edge, places, angles))
    for k in np.nonzero(shapely.length(engaged) > 1e-6)[0].tolist():
        chip = _Chip.of(engaged[k], float(angles[k]))
        move, way = pairs[int(owner[k])]
        load = _load(move, (float(places[k, 0]), float(places[k, 1])), chip, setting)
        if load:
            yield Cutting(replace(load, lasts=load.lasts * way * float(ways.length[owner[k]])), before)


def _tried(length: Array, in_metal: Array) -> tuple[Indices, Array]:
    """Which move, and where on it (0 to 1): evenly, and amid the metal that a way begins or ends in."""
    count = np.clip(np.ceil(length / APART), 1, MOST_PLACES).astype(np.int64)
    even = np.repeat(np.arange(len(count)), count)
    share = (np.arange(len(even)) - (np.cumsum(count) - count)[even] + 0.5) / count[even]
    each = np.arange(len(count))
    return np.concatenate([even, each, each]), np.concatenate([share, in_metal / 2.0, 1.0 - in_metal / 2.0])


class _Chip(Struct, frozen=True):
    """length: mm of edge in metal. width: across the way. low, high: least and greatest radius there, mm."""

    length: float
    width: float
    low: float
    high: float

    @classmethod
    def of(cls, lines: Geometry, angle: float) -> _Chip:
        parts = shapely.get_parts(lines)
        points, owner = shapely.get_coordinates(parts, return_index=True)
        step = np.diff(points, axis=0)[owner[:-1] == owner[1:]]
        width = float(np.abs(step[:, 1] * math.cos(angle) - step[:, 0] * math.sin(angle)).sum())
        return cls(float(shapely.length(lines)), width, float(points[:, 1].min()), float(points[:, 1].max()))


def _load(move: Move, at: Point, chip: _Chip, setting: Setting) -> Load | None:
    """What a cut at that place takes; None where feed or spindle are not known, which `rules` tells."""
    state, material, machine = move.state, setting.material, setting.machine
    tool = setting.tools[state.tool]
    if state.feed is None or state.spindle is None or material is None:
        return None
    rpm = rpm_at(state.spindle, at[1], most=setting.greatest_rpm)
    feed = state.feed.value if state.feed.mode is FeedMode.PER_TURN else state.feed.value / rpm if rpm else 0.0
    if rpm <= 0.0 or feed <= 0.0:
        return None
    lips = 2.0 if tool.works == "hole" else 1.0
    thick = max(LEAST_CHIP, feed / lips * chip.width / chip.length)
    section = feed * chip.width
    force = specific_force(material.kc11, material.mc, feed=thick) * section
    torque = force * (chip.low + chip.high) / 2000.0
    power = power_of_torque(torque, rpm)
    return Load(
        line=move.line,
        tool=tool.number,
        at=at,
        section=section,
        force=force,
        torque=torque,
        power=power,
        of_motor=power / (bench.MOTOR_SHARE * power_at(machine, rpm)),
        lasts=60.0 / (feed * rpm),  # of each mm
    )


def _grip(setting: Setting) -> float:
    """Nm that jaws or collet keep from turning; 0 where the hold is none that presses round the work."""
    radius = min((e.bounds()[1] for chain in setting.gripping for e in chain), default=0.0)
    return GRIP_FRICTION * GRIP_FORCE * radius / 1000.0


def bent(cut: Cutting, setting: Setting) -> Load:
    """The load with what work and bar give way under its radial part, a share of the force."""
    load, material = cut.load, setting.material
    tool = setting.tools[load.tool]
    push = bench.RADIAL_SHARE * load.force
    bar = 0.0
    if tool.bar is not None:
        moment = second_moment(min(tool.bar.diameter, tool.bar.neck))
        bar = cantilever_deflection(push, length=tool.bar.reach, modulus=bench.BAR_MODULUS, moment=moment)
    work = 0.0
    if material is not None and tool.works != "hole" and (face := _hold_face(setting)) is not None:
        work = push / (1000.0 * material.modulus) * _flexibility(cut.before, face, load.at[0])
    return replace(load, work_bends=work, bar_bends=bar)


def _hold_face(setting: Setting) -> float | None:
    """z of the hold's face that looks at the tools; None where a centre holds the free end, or nothing is held."""
    faces = [max(e.bounds()[2] for e in chain) for chain in setting.hold]
    return max(faces) if faces and not setting.tailstock else None


def _flexibility(body: Geometry, face: float, z: float) -> float:
    """1/mm: integral of (z - s)2 / I(s) ds from the hold's face to the cut, by Simpson's rule; I of what stands."""
    if z <= face:
        return 0.0
    s = np.linspace(face + 1e-3, z - 1e-3, SLICES + 1)
    _, _, _, top = shapely.bounds(body)
    cuts = shapely.intersection(body, shapely.linestrings([[(a, 0.0), (a, top + 1.0)] for a in s.tolist()]))
    low, high = shapely.bounds(cuts)[:, 1], shapely.bounds(cuts)[:, 3]
    moment = np.maximum(np.nan_to_num(math.pi * (high**4 - low**4) / 4.0), 1e-6)
    weights = np.tile([2.0, 4.0], SLICES // 2 + 1)[: SLICES + 1]
    weights[[0, -1]] = 1.0
    return float(np.sum(weights * (z - s) ** 2 / moment) * (z - face) / SLICES / 3.0)


def most(cuts: Sequence[Cutting], setting: Setting) -> Load | None:
    """The greatest figures of one operation, each where it is greatest put into one: line and place are those of the
    greatest share of the motor's power."""
    if not cuts:
        return None
    face = _hold_face(setting)
    reach = [max(0.0, c.load.at[0] - face) if face is not None else 0.0 for c in cuts]
    bending = bent(max(zip(cuts, reach, strict=True), key=lambda cr: cr[0].load.force * (1.0 + cr[1] ** 3))[0], setting)
    hardest = max((c.load for c in cuts), key=_rank)
    grip = _grip(setting)
    of_grip = max(c.load.torque for c in cuts) / grip if grip else 0.0
    bends = {"work_bends": bending.work_bends, "bar_bends": bending.bar_bends}
    return replace(hardest, of_grip=of_grip, reach=max(reach), **bends)


def told(loads: Sequence[tuple[Load | None, str]]) -> Iterator[str]:
    """Where cuts ask most of the motor, in words; nothing where no load is known. loads: with the operation's kind"""
    known = [(load, kind) for load, kind in loads if load]
    if known:
        load, kind = max(known, key=lambda one: one[0].of_motor)
        yield (
            f"{100.0 * load.of_motor:.0f} % of the motor, {100.0 * load.of_grip:.0f} % of the hold: "
            f"{load.force:.0f} N, {load.torque:.1f} Nm, {load.power:.0f} W in {kind}, line {load.line}"
        )


def _rank(load: Load) -> tuple[float, float]:
    """What is short comes after what lasts, for it stops nothing."""
    return (load.of_motor if load.lasts >= LASTS else min(load.of_motor, GROSS), load.force)


def findings(load: Load, setting: Setting) -> Iterator[Finding]:
    """What machine, hold, work and bar do not stand, or stand badly."""
    for code, text, size in (
        *_too_much(load),
        *_gives_way(load),
        *_overhang(load, setting),
        *_stands_out(load, setting),
    ):
        yield finding(code, text, line=load.line, tool=load.tool, at=load.at, size=size)


Told = tuple[str, str, float]  # code, text, mm


def _told(load: Load) -> str:
    return f"{load.section:.3f} mm2 of chip, {load.force:.0f} N, {load.torque:.1f} Nm, {load.power:.0f} W at the edge"


def _too_much(load: Load) -> Iterator[Told]:
    if load.of_motor > 1.0:
        text = (
            f"the cut takes {100.0 * load.of_motor:.0f} % of what the motor gives at this speed ({_told(load)}); take "
            "less depth or feed, or turn at a speed at which it is stronger"
        )
        yield "overload" if load.of_motor > GROSS and load.lasts >= LASTS else "heavy-cut", text, 0.0
    if load.of_grip > 1.0:
        text = (
            f"the cut turns at the work with {100.0 * load.of_grip:.0f} % of what a hand-tightened hold keeps "
            f"({_told(load)}); take less depth or feed, or grip a larger diameter"
        )
        yield "slips" if load.of_grip > GROSS else "may-slip", text, 0.0


def _gives_way(load: Load) -> Iterator[Told]:
    for bends, what, advice in (
        (load.work_bends, "the work", "take lighter cuts, let it stand out less, or bring up a centre"),
        (load.bar_bends, f"the bar of T{load.tool}", "take lighter cuts, or a thicker or shorter bar"),
    ):
        if bends > bench.DEFLECTION:
            text = f"{what} gives way by about {bends:.2f} mm under the cut ({_told(load)}); {advice}"
            yield "bends-away" if bends > GROSS_BEND else "bends", text, bends


def _overhang(load: Load, setting: Setting) -> Iterator[Told]:
    """A bar so long for its thickness that it sings."""
    bar = setting.tools[load.tool].bar
    if bar is None:
        return
    ratio = bar.reach / min(bar.diameter, bar.neck)
    if ratio > BAR_RATIO:
        text = (
            f"the bar of T{load.tool} stands out {ratio:.1f} diameters and is prone to chatter; clamp it shorter, or "
            "run slower with a finer cut"
        )
        yield "overhang", text, bar.reach


def _stands_out(load: Load, setting: Setting) -> Iterator[Told]:
    """Work that is cut farther from its hold than it may stand out by itself."""
    dia = 2.0 * min((e.bounds()[1] for chain in setting.gripping for e in chain), default=0.0)
    if dia and load.reach > bench.FREE_RATIO * dia:
        text = (
            f"the cut is {load.reach:.1f} mm from the hold, {load.reach / dia:.1f} diameters, and prone to chatter; "
            "let the work stand out less, or bring up a centre"
        )
        yield "stands-out", text, load.reach
