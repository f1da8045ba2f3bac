"""Moves proven per second, and the sweep against the naive road: the hull of each move, all joined.

    python tests/benchmarks/bench_proof.py [most moves]

Prints one row a size: moves, seconds of the whole proof, moves a second, the greatest memory so far in MB, seconds of
the naive sweep of the same way with the same tool, and how many times longer that takes. The program is a bar roughed
and finished along a wavy contour in straight moves, a rapid back after each pass. All figures come from one run, so
that only their ratios count.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.proof.bench import box, machine, rack
from toolpath.motion import Cut, End, Feed, FeedMode, Operation, Program, Rapid, Sense, Spindle, State, Step
from toolpath.proof.flatten import Array
from toolpath.proof.prove import prove
from toolpath.proof.setting import Setting
from toolpath.proof.shapes import shapes
from toolpath.shop.materials import material

LENGTH = 60.0
STATE = State(2, 2, Spindle(Sense.FORWARD, rpm=1500.0), Feed(FeedMode.PER_TURN, 0.1), operation="rough")


def passes(moves: int) -> list[Array]:
    """Points of each pass: 50 moves or more, up to 40 passes, waves of 12 mm with ripples of 3 mm on them."""
    count = max(1, min(40, moves // 50))
    z = -LENGTH * np.linspace(0.0, 1.0, moves // count + 1)
    wave = 1.2 * np.sin(z / 12.0 * 2.0 * np.pi) + 0.05 * np.sin(z / 3.0 * 2.0 * np.pi)
    return [np.stack([z, 5.5 + 0.1 * (count - k) + wave], axis=1) for k in range(count)]


def program(ways: list[Array]) -> Program:
    steps: list[Step] = []
    at = (5.0, 20.0)

    def to(z: float, x: float, kind: type[Rapid] | type[Cut]) -> None:
        nonlocal at
        steps.append(kind(at, (z, x), STATE, len(steps) + 1))
        at = (z, x)

    for way in ways:
        to(1.0, at[1], Rapid)
        to(1.0, float(way[0, 1]), Rapid)
        for z, x in way.tolist():
            to(z, x, Cut)
        to(at[0], 20.0, Cut)
    steps.append(End(at, State()))
    return Program("waves", (), (Operation("rough", tuple(steps)),))


def setting() -> Setting:
    body = (box(-80.0, 0.0, 3.0),)
    return Setting((box(-80.0, 0.0, 11.0),), body, body, (), rack(), machine(), material=material("brass"))


def naive(ways: list[Array], block: int = 2000) -> shapely.Geometry:
    tool = shapes(rack()[2], 0.001).edges[0].inner.points
    parts = []
    for way in ways:
        for k in range(0, len(way) - 1, block):
            a, b = way[k : k + block], way[k + 1 : k + 1 + block]
            both = np.concatenate([a[: len(b), None] + tool, b[:, None] + tool], axis=1)
            owner = np.repeat(np.arange(len(b)), both.shape[1])
            hulls = shapely.convex_hull(shapely.multipoints(both.reshape(-1, 2), indices=owner))
            parts.append(shapely.union_all(hulls))
    return shapely.union_all(parts)


def main() -> None:
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    prove(program(passes(100)), setting())  # warm
    print(f"{'moves':>8} {'proof s':>9} {'moves/s':>9} {'MB':>6} {'naive s':>9} {'naive/proof':>12}")
    for moves in (100, 1_000, 10_000, 100_000):
        if moves > most:
            break
        ways = passes(moves)
        begin = time.process_time()
        proof = prove(program(ways), setting())
        took = time.process_time() - begin
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        begin = time.process_time()
        swept = naive(ways)
        slow = time.process_time() - begin
        left = shapely.union_all([shapely.Polygon(o) for o in proof.result])
        same = shapely.box(-80.0, 0.0, 0.0, 11.0) - swept
        assert (
            left.intersection(shapely.box(-59.0, 0.0, -1.0, 11.0)).area
            - same.intersection(shapely.box(-59.0, 0.0, -1.0, 11.0)).area
            < 1e-3
        )
        print(f"{moves:8d} {took:9.3f} {moves / took:9.0f} {memory:6.0f} {slow:9.3f} {slow / took:12.2f}")


if __name__ == "__main__":
    main()
