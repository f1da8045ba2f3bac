"""The proof of a program: every move swept, every state judged, every second counted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import groupby

import numpy as np
import shapely
from msgspec import Struct, field
from msgspec.structs import replace

from toolpath.geometry.elements import Point
from toolpath.motion import Operation, Program
from toolpath.proof import (
    by_hand,
    clock,
    contact,
    gang,
    holes,
    load,
    lost,
    reversals,
    rules,
    thread_form,
    thread_passes,
    walls,
)
from toolpath.proof.contact import Target
from toolpath.proof.engagement import shares
from toolpath.proof.findings import STOP, Finding, finding, ranked
from toolpath.proof.flatten import Geometry
from toolpath.proof.measure import Outline, Surface, outlines, polygons, region, volume, worst
from toolpath.proof.removal import Fallen, Gouge, Standing, leftover
from toolpath.proof.setting import Hand, Setting
from toolpath.proof.shapes import Shapes, shapes
from toolpath.proof.thread_form import CutThread
from toolpath.proof.thread_passes import Pass
from toolpath.proof.tracks import CUTS, Run, runs

JUDGED_TOGETHER = 512  # moves at most, or one run, whose share in metal is found at once


class Uncut(Struct, frozen=True):
    """Metal that stands where it should not: closed outline, greatest distance from the goal, mm, and where that is."""

    outline: Outline
    thick_mm: float
    at: Point


class Parted(Struct, frozen=True):
    """A piece that came off: the program line that freed it and its closed outline."""

    after_line: int
    outline: Outline


class ByHand(Struct, frozen=True):
    """What a person took off at a stop: the stop's program line, what was done, closed outlines.

    holds: what holds the work from then on; None: as before
    """

    after_line: int
    does: str
    removes: tuple[Outline, ...]
    holds: tuple[Outline, ...] | None = None


class Timed(Struct, frozen=True):
    """Seconds of one operation: all, at feed in metal, at feed in the air."""

    kind: str
    seconds: float
    cutting: float
    air: float


class Proof(Struct, frozen=True):
    """gouge_mm: farthest point of removed part from the part's surface (an edge on the axis is none)
    uncut_mm:  farthest point of what stands (parted pieces included) from the goal; uncut: regions above the tolerance
    result:    outlines that stand at the end and are held; parted: those that came off
    states:    what stood after each operation, in order; walls: the thinnest wall of each, None where it was solid or
               no wall is watched
    findings:  the worst first
    by_hand:   what a person took off at stops, in order
    threads:   those that passes in step with the spindle cut, as they came out
    loads:     the greatest load of each operation, None where nothing was cut or the material is not known
    closest_rapid_mm: least distance between tool or holder and stock or hold on a rapid; inf without rapids near
    closest:   the same from each, by its name: how far a touch-off may be out before something is hit
    """

    gouge_mm: float
    uncut_mm: float
    uncut: tuple[Uncut, ...]
    result: tuple[Outline, ...]
    parted: tuple[Parted, ...]
    states: tuple[tuple[Outline, ...], ...]
    findings: tuple[Finding, ...]
    seconds: float
    cutting_seconds: float
    air_seconds: float
    operations: tuple[Timed, ...]
    removed_mm3: float
    closest_rapid_mm: float
    by_hand: tuple[ByHand, ...] = ()
    walls: tuple[walls.Wall | None, ...] = ()
    threads: tuple[CutThread, ...] = ()
    loads: tuple[load.Load | None, ...] = ()
    closest: tuple[tuple[str, float], ...] = ()

    @property
    def refused(self) -> bool:
        """True when a finding stops the program."""
        return any(f.rank == STOP for f in self.findings)


class _Taken(Struct):
    """A run of cuts that was taken off: what stood before it, None if it met nothing; what had already come off."""

    run: Run
    tool: Shapes
    before: Geometry
    fallen: Fallen | None


class _Trial(Struct):
    """What is known while the program runs."""

    setting: Setting
    standing: Standing
    holds: list[Target]
    shapes: dict[int, Shapes] = field(default_factory=dict)
    told: Callable[[int], None] | None = None
    findings: list[Finding] = field(default_factory=list)
    gouges: list[Gouge] = field(default_factory=list)
    by_hand: list[ByHand] = field(default_factory=list)
    passes: list[Pass] = field(default_factory=list)
    closest: dict[str, float] = field(default_factory=dict)
    cuts: list[load.Cutting] = field(default_factory=list)

    def shapes_of(self, number: int) -> Shapes | None:
        if number not in self.shapes and number in self.setting.tools:
            tool = gang.with_neighbours(self.setting.tools[number], self.setting)
            self.shapes[number] = shapes(tool, self.setting.contact_tolerance)
        return self.shapes.get(number)


def prove(program: Program, setting: Setting, *, told: Callable[[int], None] | None = None) -> Proof:
    """Proves a program that was read back from its text against a setting. Nothing is raised for a bad program: all
    that is wrong with it is in the findings.

    told: called again and again with how many more moves are done
    """
    trial = _Trial(setting, Standing.of(setting), _holds(setting), told=told)
    before = trial.standing.stock.body
    hands = by_hand.by_operation(setting.by_hand, program)
    seconds = clock.seconds(program, setting.machine, by_hand=hands)
    trial.findings += rules.check(program, setting, seconds)
    trial.findings += by_hand.missing(setting.by_hand, program)
    trial.findings += _short_stock(before, region(setting.part), least=setting.contact_tolerance)
    states, timed, thinnest, heaviest = [], [], [], []
    for i, (operation, spent) in enumerate(zip(gang.carried(program.operations, setting), seconds, strict=True)):
        in_metal = _operation(trial, operation)
        trial.findings += reversals.turns(operation, in_metal, setting)
        for hand in hands.get(i, ()):
            _by_hand(trial, hand, operation)
        states.append(outlines(trial.standing.stock.body))
        thinnest.append(_least_wall(trial))
        heaviest.append(_load(trial))
        timed.append(_timed(operation, spent, in_metal))
    standing = trial.standing
    all_left = shapely.union_all([standing.stock.body, *(f.body for f in standing.fallen)])
    goal = region(setting.goal)
    of_goal = Surface.of(goal)
    (uncut_mm, _), thick = leftover(all_left, goal, of_goal, least=setting.gouge_tolerance)
    uncut = tuple(Uncut(outlines(p)[0], size, at) for p, (size, at) in thick if at)
    trial.findings += _uncut_findings(uncut)
    trial.findings += lost.findings(setting, all_left, goal=(goal, of_goal), states=states, program=program)
    threads, wrong = thread_form.judge(trial.passes, setting)
    trial.findings += wrong
    trial.findings += _fallen_findings(standing.fallen, region(setting.part))
    trial.findings += walls.thin(thinnest, program.operations, least=setting.least_wall, stops=setting.thin_stops)
    return Proof(
        gouge_mm=max((g.depth for g in trial.gouges), default=0.0),
        uncut_mm=uncut_mm,
        uncut=uncut,
        result=outlines(standing.stock.body),
        parted=tuple(Parted(f.line, outlines(f.body)[0]) for f in standing.fallen),
        states=tuple(states),
        findings=ranked(trial.findings),
        seconds=sum(t.seconds for t in timed),
        cutting_seconds=sum(t.cutting for t in timed),
        air_seconds=sum(t.air for t in timed),
        operations=tuple(timed),
        by_hand=tuple(trial.by_hand),
        threads=threads,
        walls=tuple(thinnest),
        loads=tuple(heaviest),
        removed_mm3=volume(before) - volume(all_left),
        closest_rapid_mm=min(trial.closest.values(), default=math.inf),
        closest=tuple((name, gap) for name, gap in trial.closest.items() if math.isfinite(gap)),
    )


def _holds(setting: Setting) -> list[Target]:
    """What holds the work, the tailstock by itself."""
    bodies = (("the hold", setting.gripping), ("the tailstock", setting.tailstock))
    return [Target.of(name, region(chains)) for name, chains in bodies if chains]


def _load(trial: _Trial) -> load.Load | None:
    """The greatest load of the operation that just ran."""
    heaviest = load.most(trial.cuts, trial.setting)
    trial.cuts.clear()
    if heaviest:
        trial.findings += load.findings(heaviest, trial.setting)
    return heaviest


def _least_wall(trial: _Trial) -> walls.Wall | None:
    least = trial.setting.least_wall
    return walls.least_wall(trial.standing.stock.body, least=least) if least > 0.0 else None


def _operation(trial: _Trial, operation: Operation) -> dict[int, float]:
    """Runs one operation: share in metal of each cutting move, by its identity."""
    in_metal: dict[int, float] = {}
    taken: list[_Taken] = []
    waiting = 0  # moves
    deepest: Gouge | None = None
    once: list[Finding] = []  # told for the worst of them only
    for run in runs(operation):
        if trial.told:
            trial.told(len(run.moves))
        tool = trial.shapes_of(run.tool)
        if tool is None:
            continue
        hole = trial.setting.tools[run.tool].works == "hole"
        if hole:
            once += holes.sideways(run, tool, trial.standing.stock, digit=trial.setting.last_digit)
        if run.rapid:
            _rapids(trial, run, tool)
            continue
        one, gouge = _thread(trial, run, tool, once) if run.threads else _cut(trial, run, tool)
        if hole:
            once += holes.depth(run, tool, trial.standing.stock, most=trial.setting.tools[run.tool].max_depth)
        taken.append(one)
        if (waiting := waiting + len(run.moves)) > JUDGED_TOGETHER:
            _judge(trial, taken, in_metal)
            taken, waiting = [], 0
        if gouge:
            deepest = max(deepest or gouge, gouge, key=lambda g: g.depth)
    _judge(trial, taken, in_metal)
    trial.findings += holes.worst_of(once)
    _gouged(trial, deepest)
    return in_metal


def _gouged(trial: _Trial, deepest: Gouge | None) -> None:
    if deepest:
        trial.gouges.append(deepest)
        if deepest.depth > trial.setting.gouge_tolerance:
            trial.findings.append(_gouge_finding(deepest, trial.setting))


def _by_hand(trial: _Trial, hand: Hand, operation: Operation) -> None:
    """Takes off what a person does at the operation's stop; nothing where it has none, which `missing` tells."""
    if (waits := clock.hand_stop(operation)) is None:
        return
    standing, stop = trial.standing, waits[1]
    trial.findings += by_hand.running(operation, waits)
    trial.findings += by_hand.parked(stop, trial.shapes_of(stop.state.tool), hand)
    if standing.fallen:
        text = f"work by hand after the piece came off in line {standing.fallen[0].line}; {hand.does} before"
        trial.findings.append(finding("after-parting", text, line=stop.line))
    if hand.holds is not None:
        trial.setting = replace(trial.setting, hold=hand.holds)
        trial.holds, standing.hold = _holds(trial.setting), region(trial.setting.gripping)
    areas = polygons(region(hand.removes))
    trial.findings += by_hand.into_hold(hand, stop, (areas, standing.hold), trial.setting.contact_tolerance)
    _gouged(trial, standing.take(areas, line=stop.line))
    holds = None
    if hand.holds is not None:
        body = region(hand.holds)
        trial.findings += by_hand.seated(stop, standing.stock.body, body, trial.setting.contact_tolerance)
        holds = outlines(body)
    trial.by_hand.append(ByHand(stop.line, hand.does, outlines(shapely.multipolygons(areas)), holds))


def _cut(trial: _Trial, run: Run, tool: Shapes) -> tuple[_Taken, Gouge | None]:
    """Takes one run of cuts off what stands."""
    standing = trial.standing
    trial.findings += contact.on_the_way(run, tool, trial.holds)
    before, fallen, count = standing.stock.body, standing.fallen[0] if standing.fallen else None, len(standing.fallen)
    met, gouge = standing.cut(run, tool)
    if len(standing.fallen) > count and trial.setting.tailstock:
        trial.findings.append(_on_centre(standing.fallen[-1]))
    if tool.holders:
        metal = Target("standing metal", standing.stock.body, standing.stock.box)
        trial.findings += contact.on_the_way(run, tool, [metal], only="the holder")
    return _Taken(run, tool, before if met else None, fallen), gouge


def _thread(trial: _Trial, run: Run, tool: Shapes, once: list[Finding]) -> tuple[_Taken, Gouge | None]:
    """A pass in step with the spindle: its groove is measured when all passes are known; the stock stays as it is."""
    standing, setting = trial.standing, trial.setting
    one = Pass.of(run, tool, setting)
    trial.passes.append(one)
    metal = Target("standing metal", standing.stock.body, standing.stock.box)
    once += contact.on_the_way(run, tool, trial.holds)
    once += contact.on_the_way(run, tool, [metal], only="the holder")
    once += thread_passes.meets(one, run, standing.stock, setting)
    once += thread_passes.judged(one, setting)
    zone = setting.threads[one.zone] if one.zone is not None else None
    fallen, touch = standing.fallen[0] if standing.fallen else None, setting.contact_tolerance
    return _Taken(run, tool, standing.stock.body, fallen), standing.threaded(run, tool, zone, touch=touch)


def _judge(trial: _Trial, taken: list[_Taken], in_metal: dict[int, float]) -> None:
    """Finds the shares in metal of runs that were taken, those of one tool at once."""
    for number, several in groupby((t for t in taken if t.before is not None), key=lambda t: t.tool.number):
        met = list(several)
        cuts = [(t.run, t.before) for t in met]
        of_edges = [shares(cuts, edge.core) for edge in trial.shapes[number].edges]
        for one, *several_shares in zip(met, *of_edges, strict=True):
            share = np.max(several_shares, axis=0)
            for edge in trial.shapes[number].edges:
                trial.cuts += load.heaviest(one.run.moves, one.before, share, edge=edge.core, setting=trial.setting)
            in_metal.update(zip(map(id, one.run.moves), share.tolist(), strict=True))
    for one in taken:
        if one.fallen:
            trial.findings += _after_parting(one.run, in_metal, one.fallen)


def _rapids(trial: _Trial, run: Run, tool: Shapes) -> None:
    touch = trial.setting.contact_tolerance
    targets = [trial.standing.in_the_way, *trial.holds]
    hits = list(contact.on_the_way(run, tool, targets))
    trial.findings += hits or [f for t in targets for f in contact.bent_rapid(run, tool, t)]
    for target in targets:
        best = trial.closest.get(target.name, math.inf)
        trial.closest[target.name] = contact.clearance(run, tool, [target], best=best, touch=touch)


def _after_parting(run: Run, in_metal: dict[int, float], fallen: Fallen) -> Iterator[Finding]:
    for move in run.moves:
        if in_metal.get(id(move), 0.0) > 0.0 or move.state.tool != fallen.tool:
            text = f"work goes on after the piece came off in line {fallen.line}; only retreat and stop may follow"
            yield finding("after-parting", text, line=move.line, tool=run.tool, at=move.start)
            return


def _short_stock(stock: Geometry, part: Geometry, *, least: float) -> Iterator[Finding]:
    """Metal of the finished part that is not there before the first move. least: mm, what outlines may differ by"""
    lacking = polygons(shapely.difference(part, stock))
    size, at = worst(Surface.of(stock).farthest(lacking) if len(lacking) else [])
    if size > least and at:
        text = (
            f"{size:.3f} mm of the finished part is not in the stock at z {at[0]:.3f}, x {at[1]:.3f}; take a larger "
            "one, or prove the set-up before, which took too much"
        )
        yield finding("short-stock", text, at=at, size=size)


def _gouge_finding(g: Gouge, setting: Setting) -> Finding:
    who = f"T{g.tool}" if g.tool else "work by hand"
    text = (
        f"{who} cuts {g.depth:.4f} mm into the finished part at z {g.at[0]:.3f}, x {g.at[1]:.3f} "
        f"({setting.gouge_tolerance:.4f} mm is forgiven); correct this move; check nose radius and arcs"
    )
    return finding("gouge", text, line=g.line, tool=g.tool, at=g.at, size=g.depth)


def _uncut_findings(uncut: tuple[Uncut, ...]) -> Iterator[Finding]:
    for u in uncut:
        z = [p[0] for p in u.outline]
        text = (
            f"{u.thick_mm:.3f} mm is left standing between z {min(z):.3f} and {max(z):.3f}; cut it, or finish by hand"
        )
        yield finding("uncut", text, at=u.at, size=u.thick_mm)


def _on_centre(piece: Fallen) -> Finding:
    text = "a piece comes off while the tailstock's centre presses on it, and is flung; draw the centre back before"
    return finding("parted-on-centre", text, line=piece.line, tool=piece.tool)


def _fallen_findings(fallen: list[Fallen], part: shapely.Geometry) -> Iterator[Finding]:
    for f in fallen:
        own = shapely.area(shapely.intersection(f.body, part)) > 0.5 * shapely.area(f.body)
        z0, _, z1, x1 = shapely.bounds(f.body)
        at = (float(z0), float(x1))
        if own:
            text = "the part comes off here; catch it, and see that nothing but retreat and stop follows"
            yield finding("parted", text, line=f.line, tool=f.tool, at=at, size=float(z1 - z0))
        else:
            text = "a loose piece of stock comes off here and may jam; turn it to chips instead, or stop and take it"
            yield finding("loose-piece", text, line=f.line, tool=f.tool, at=at, size=float(z1 - z0))


def _timed(operation: Operation, spent: list[float], in_metal: dict[int, float]) -> Timed:
    cutting = air = 0.0
    for step, took in zip(operation.steps, spent, strict=True):
        if isinstance(step, CUTS):
            share = in_metal.get(id(step), 0.0)
            cutting, air = cutting + share * took, air + (1.0 - share) * took
    return Timed(operation.kind, sum(spent), cutting, air)
