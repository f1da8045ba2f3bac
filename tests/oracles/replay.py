"""A program text run by brute force: the hull of every single move, joined, and nothing of the project's proof.

Every straight move covers the convex hull of the tool at its two ends; arcs are broken into chords of 1 µm; what a run
of cuts covers is taken off the stock, piece by piece; what no longer hangs on the hold has fallen. Threads are cut in
one plane through the axis: at every turn the point stands there once and takes out its own outline. Slow, and plain
enough to be believed.

    good = replay(text, bench); bad = replay(broken, bench)
    harms(good, bad)      why the second is worse than the first; empty where it is as good
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from tests.oracles.listing import Act, listing
from toolpath.geometry.elements import Chain, points_of
from toolpath.shop.tools import Tool

HARM = 0.010
"""mm: a surface that lies farther from where it belongs is spoiled, what runs in deeper touches."""

FINE = 1e-3
"""mm between a curve and its chords."""

CLOSE = 0.01
"""mm from the hold: what is nearer hangs on it."""

MOST = 400.0
"""mm: no move goes farther here; what does has left the lathe."""

Area = Any
Array = Any


@dataclass(frozen=True)
class Body:
    """A convex body of a tool, its corners (k, 2) and those of the body HARM / 2 smaller all round."""

    corners: Array
    core: Array


@dataclass(frozen=True)
class Bench:
    """What a text runs on. hands: what a person takes off at the stop of each section, by its number.

    tools: edges and holders by number. sense: +1 or -1, the way the spindle must turn for each. part: to tell the
    piece that matters from chips and bar.
    """

    dialect: str
    stock: Area
    part: Area
    hold: Area
    edges: Mapping[int, Sequence[Body]]
    holders: Mapping[int, Sequence[Body]]
    sense: Mapping[int, int]
    hands: Mapping[int, Area] = field(default_factory=dict)


@dataclass
class Outcome:
    """held, fallen: what stands and what came off. touched: contacts, in words. grooves: of threads, as cut."""

    held: Area
    fallen: list[Area] = field(default_factory=list)
    touched: list[str] = field(default_factory=list)
    threads: list[tuple[Act, ...]] = field(default_factory=list)


def bodies(chains: Iterable[Chain]) -> tuple[Body, ...]:
    """Bodies of closed convex chains, the smaller one empty where nothing is left of it."""
    out = []
    for chain in chains:
        whole = shapely.Polygon(points_of(chain, FINE))
        core = whole.buffer(-HARM / 2.0, join_style="mitre")
        out.append(Body(_corners(whole), _corners(core)))
    return tuple(out)


def _corners(area: Area) -> Array:
    return np.empty((0, 2)) if area.is_empty else np.array(area.exterior.coords)[:-1]


def bench(
    dialect: str,
    *,
    stock: Iterable[Chain],
    part: Iterable[Chain],
    hold: Iterable[Chain],
    tools: Iterable[Tool],
    sense: int,
    hands: Mapping[int, Iterable[Chain]],
) -> Bench:
    """A bench from exact outlines. sense: of the spindle for a turning tool; tools on the axis cut forward, +1."""
    several = list(tools)
    return Bench(
        dialect,
        stock=_areas(stock),
        part=_areas(part),
        hold=_areas(hold),
        edges={t.number: bodies((t.outline, *t.steps)) for t in several},
        holders={t.number: bodies(t.holder) for t in several},
        sense={t.number: (-1 if t.hand == "left" else 1) if t.works == "hole" else sense for t in several},
        hands={number: _areas(chains) for number, chains in hands.items()},
    )


def _areas(chains: Iterable[Chain]) -> Area:
    return shapely.union_all([shapely.make_valid(shapely.Polygon(points_of(c, FINE))) for c in chains])


def replay(text: str, on: Bench) -> Outcome:
    """The text, run to its end, or to the first thing that is touched."""
    out = Outcome(on.stock)
    shapely.prepare(on.hold)
    hands = dict(on.hands)
    run: list[Act] = []
    for act in listing(text, on.dialect):
        if run and (act.kind not in ("feed", "arc") or act.tool != run[-1].tool or len(run) >= 40):
            _take(run, out, on)
            run = []
        if act.kind in ("feed", "arc"):
            run.append(act)
            _still(act, out, on)
        elif act.kind == "rapid":
            _rapid(act, out, on)
        elif act.kind == "thread":
            _thread(act, out, on)
        elif act.kind == "stop" and act.section in hands:
            out.held = shapely.difference(out.held, hands.pop(act.section))
            _fall(out, on)
        if out.touched:  # from here on anything may happen
            return out
    if run:
        _take(run, out, on)
    return out


def _thread(act: Act, out: Outcome, on: Bench) -> None:
    """Passes are kept; the holder and the hold are tried like on any other cut."""
    if act.sense != on.sense.get(act.tool, 1):
        out.touched.append(f"line {act.line}: a thread while the spindle does not turn its way")
    follows = out.threads and out.threads[-1][-1].end == act.start and out.threads[-1][-1].line + 1 == act.line
    if follows:
        out.threads[-1] = (*out.threads[-1], act)
    else:
        out.threads.append((act,))
    _hits([act], out, on)


def _rapid(act: Act, out: Outcome, on: Bench) -> None:
    everything = (*on.edges.get(act.tool, ()), *on.holders.get(act.tool, ()))
    swept = covered(everything, _way(act), core=True)
    for name, body in (("stock", out.held), ("hold", on.hold)):
        if len(swept) and shapely.intersects(body, swept).any():
            out.touched.append(f"line {act.line}: a rapid of T{act.tool} through the {name}")


def _still(act: Act, out: Outcome, on: Bench) -> None:
    """An edge fed into metal that does not turn, or turns away from it."""
    if act.sense == on.sense.get(act.tool, 1):
        return
    swept = covered(on.edges.get(act.tool, ()), _way(act), core=True)
    if len(swept) and shapely.intersects(out.held, swept).any():
        out.touched.append(f"line {act.line}: T{act.tool} in metal that stands still or turns away")


def _take(run: Sequence[Act], out: Outcome, on: Bench) -> None:
    tool = run[0].tool
    swept = np.concatenate([covered(on.edges.get(tool, ()), _way(a), core=False) for a in run])
    if len(swept):
        out.held = shapely.difference(out.held, shapely.union_all(swept))
        _fall(out, on)
    _hits(run, out, on)


def _fall(out: Outcome, on: Bench) -> None:
    pieces = [p for p in shapely.get_parts(out.held) if p.geom_type == "Polygon" and 2.0 * p.area > 1e-3 * p.length]
    if len(pieces) < 2:
        return
    stays = [on.hold.is_empty or p.distance(on.hold) < CLOSE for p in pieces]
    if on.hold.is_empty or not any(stays):
        stays = [p.bounds[0] == min(q.bounds[0] for q in pieces) for p in pieces]
    out.fallen += [p for p, s in zip(pieces, stays, strict=True) if not s]
    out.held = shapely.union_all([p for p, s in zip(pieces, stays, strict=True) if s])


def _hits(run: Sequence[Act], out: Outcome, on: Bench) -> None:
    """On cuts: edge or holder in the hold, holder in what stands after them."""
    number = run[0].tool
    edges, holders = on.edges.get(number, ()), on.holders.get(number, ())
    for several, target, words in (
        (edges, on.hold, "T{} in the hold"),
        (holders, on.hold, "the holder of T{} in the hold"),
        (holders, out.held, "the holder of T{} in metal"),
    ):
        swept = np.concatenate([covered(several, _way(act), core=True) for act in run])
        if len(swept) and shapely.intersects(target, swept).any():
            out.touched.append(f"lines {run[0].line} to {run[-1].line}: {words.format(number)}")


def _way(act: Act) -> Array:
    """Points (k, 2) of a move, no farther than MOST from the work."""
    points = [act.start, act.end]
    if act.kind == "arc":
        points = list(_arc(act))
    return np.clip(np.array(points), -MOST, MOST)


def _arc(act: Act) -> Iterable[tuple[float, float]]:
    (cz, cx), (az, ax), (bz, bx) = act.centre, act.start, act.end
    begin, far, last = math.atan2(ax - cx, az - cz), math.dist(act.start, act.centre), math.dist(act.end, act.centre)
    turn = (math.atan2(bx - cx, bz - cz) - begin) % (2.0 * math.pi)
    if act.start == act.end or turn < 1e-12:
        turn = 2.0 * math.pi
    turn = turn if act.ccw else turn - 2.0 * math.pi if act.start != act.end else -2.0 * math.pi
    steps = min(5000, max(1, math.ceil(abs(turn) * math.sqrt(max(far, last) / (8.0 * FINE)))))
    for k in range(steps + 1):
        r, w = far + (last - far) * k / steps, begin + turn * k / steps
        yield (cz + r * math.cos(w), cx + r * math.sin(w)) if k < steps else act.end


def covered(several: Iterable[Body], way: Array, *, core: bool) -> Array:
    """The hull of each body at the two ends of each step of the way; beyond the axis, mirrored as well."""
    out = []
    for body in several:
        corners = body.core if core else body.corners
        if not len(corners) or len(way) < 2:
            continue
        both = np.concatenate([way[:-1, None] + corners, way[1:, None] + corners], axis=1)
        owner = np.repeat(np.arange(len(both)), both.shape[1])
        out.append(shapely.convex_hull(shapely.multipoints(both.reshape(-1, 2), indices=owner)))
    hulls = np.concatenate(out) if out else np.empty(0, dtype=object)
    below = hulls[shapely.bounds(hulls)[:, 1] < 0.0] if len(hulls) else hulls
    return np.concatenate([hulls, shapely.transform(below, lambda p: p * (1.0, -1.0))]) if len(below) else hulls


def harms(good: Outcome, bad: Outcome, on: Bench) -> list[str]:
    """Why the second outcome is spoiled where the first is not."""
    if bad.touched and not good.touched:
        return bad.touched
    out = []
    mine, theirs = piece(good, on), piece(bad, on)
    wrong = shapely.symmetric_difference(mine, theirs).buffer(-HARM / 2.0)
    if not wrong.is_empty:
        z, x = wrong.centroid.x, wrong.centroid.y
        out.append(f"the piece is another by more than {HARM} mm round z {z:.2f}, x {x:.2f}")
    if good.threads or bad.threads:
        out += _thread_harms(good, bad, on)
    return out


def piece(outcome: Outcome, on: Bench) -> Area:
    """What becomes the part: of all that stands or fell, the pieces that hold the greater part of it."""
    everything = [*shapely.get_parts(outcome.held), *outcome.fallen]
    return shapely.union_all([p for p in everything if p.intersection(on.part).area > 0.02 * on.part.area])


def _thread_harms(good: Outcome, bad: Outcome, on: Bench) -> list[str]:
    """Grooves in one plane through the axis; which plane does not matter, so that the last pass sets it."""
    zero = (good.threads or bad.threads)[-1][0].start[0]
    ours, theirs = (_grooved(o, on, zero) for o in (good, bad))
    wrong = shapely.symmetric_difference(ours, theirs).buffer(-HARM / 2.0)
    return [] if wrong.is_empty else [f"the thread is another round z {wrong.centroid.x:.2f}"]


def _grooved(outcome: Outcome, on: Bench, zero: float) -> Area:
    """What the points take out in the plane in which the last pass comes by `zero`, or would if it went so far."""
    if not outcome.threads:
        return shapely.Polygon()
    last = outcome.threads[-1][0]
    way = math.copysign(1.0, last.end[0] - last.start[0])
    turn = ((zero - last.start[0]) * way / last.lead) % 1.0 if last.lead > 0.0 else 0.0
    points = [
        shapely.Polygon(body.corners + place)
        for chain in outcome.threads
        for place in _in_plane(chain, turn)
        for body in on.edges.get(chain[0].tool, ())
    ]
    whole = shapely.union_all([outcome.held, *outcome.fallen])
    return shapely.intersection(whole, shapely.union_all([p for p in points if p.intersects(whole)]))


def _in_plane(chain: Sequence[Act], turn: float) -> Iterable[tuple[float, float]]:
    """Where the point of a pass stands each time the plane comes by, first after `turn` turns from its start."""
    done = 0.0  # turns since the start of the pass
    for act in chain:
        dz, dx = act.end[0] - act.start[0], act.end[1] - act.start[1]
        turns = min(1e4, abs(dz) / act.lead) if act.lead > 0.0 else 0.0
        k = math.ceil(done - turn - 1e-6)
        while turns and k + turn <= done + turns + 1e-6:
            share = min(1.0, max(0.0, (k + turn - done) / turns))
            yield (act.start[0] + share * dz, act.start[1] + share * dx)
            k += 1
        done += turns
