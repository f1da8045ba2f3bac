"""Stops at which a person works from the tailstock: that they are there, that nothing turns, that there is room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import shapely

from toolpath.motion import Operation, Program, SpindleChange, Stop
from toolpath.proof.clock import hand_stop
from toolpath.proof.findings import Finding, finding
from toolpath.proof.flatten import Geometry
from toolpath.proof.measure import Surface, polygons, worst
from toolpath.proof.setting import Hand
from toolpath.proof.shapes import Shapes

TAILSTOCK_ROOM = 25.0
"""mm round the axis, from the work to the tailstock, kept free of the tool for quill, drill chuck and hand: a 13 mm
drill chuck is some 46 mm thick, common practice."""


def by_operation(hands: Iterable[Hand], program: Program) -> dict[int, list[Hand]]:
    """What is done by hand, by the index of an operation that the program has, in order."""
    found: dict[int, list[Hand]] = {}
    for hand in hands:
        if 0 <= hand.operation < len(program.operations):
            found.setdefault(hand.operation, []).append(hand)
    return found


def missing(hands: Iterable[Hand], program: Program) -> Iterator[Finding]:
    """Work by hand for which the program does not surely stop."""
    for hand in hands:
        inside = 0 <= hand.operation < len(program.operations)
        if inside and hand_stop(program.operations[hand.operation]):
            continue
        steps = program.operations[hand.operation].steps if inside else ()
        text = f"the program does not stop for what is done by hand ({hand.does}); put M05 and then M00 there"
        yield finding("no-hand-stop", text, line=steps[0].line if steps else 0)


def running(operation: Operation, stop: tuple[int, Stop]) -> Iterator[Finding]:
    """A spindle that is stopped only in the block of the stop itself: controls differ in which of the two comes first.

    One that is not stopped at all is told by `rules`.
    """
    index, step = stop
    off = next((s for s in reversed(operation.steps[:index]) if isinstance(s, SpindleChange)), None)
    if off is not None and off.line == step.line:
        text = "spindle and program stop in one block, in an order that controls do not share; give M05 its own before"
        yield finding("stop-while-running", text, line=step.line, tool=step.state.tool)


def parked(stop: Stop, shapes: Shapes | None, hand: Hand) -> Iterator[Finding]:
    """A tool that stands in the way of tailstock and hand."""
    behind = min((e.bounds()[0] for chain in hand.removes for e in chain), default=0.0)
    bodies = [body for _, body, _ in shapes.everything] if shapes else []
    boxes = [body.box for body in bodies] or [(0.0, 0.0, 0.0, 0.0)]
    near = [max(x0 + stop.at[1], -x1 - stop.at[1]) for _, x0, z1, x1 in boxes if z1 + stop.at[0] > behind]
    gap = min(near, default=TAILSTOCK_ROOM)
    if gap < TAILSTOCK_ROOM:
        text = (
            f"the tool stands {max(gap, 0.0):.1f} mm from the axis while a person works there ({hand.does}); park it "
            f"{TAILSTOCK_ROOM:g} mm or more away before the stop"
        )
        size = TAILSTOCK_ROOM - gap
        yield finding("not-parked", text, line=stop.line, tool=stop.state.tool, at=stop.at, size=size)


def seated(stop: Stop, stock: Geometry, hold: Geometry, touch: float) -> Iterator[Finding]:
    """What is brought up to hold the work but would stand in its metal: there is no seat for it.

    touch: mm that two outlines may overlap and still only touch
    """
    deep, at = worst(Surface.of(stock).farthest(polygons(shapely.intersection(stock, hold))))
    if at is not None and deep > touch:
        text = (
            f"what is brought up here to hold the work would stand {deep:.3f} mm in its metal at z {at[0]:.3f}, x "
            f"{at[1]:.3f}; make its centre hole before"
        )
        yield finding("no-seat", text, line=stop.line, tool=stop.state.tool, at=at, size=deep)


def into_hold(hand: Hand, stop: Stop, bodies: tuple[Sequence[Geometry], Geometry], touch: float) -> Iterator[Finding]:
    """A tool fed by hand that would go on into what holds the work.

    bodies: what it takes away, and the hold; touch: mm that two outlines may overlap and still only touch
    """
    areas, hold = bodies
    met = shapely.intersection(shapely.union_all(areas), hold)
    deep, at = worst(Surface.of(hold).farthest(polygons(met)))
    if at is not None and deep > touch:
        text = (
            f"by hand ({hand.does}) the tool would go {deep:.3f} mm deep into what holds the work, at z {at[0]:.3f}, x "
            f"{at[1]:.3f}; go less deep, or hold the work by what has room behind it"
        )
        yield finding("hold-contact", text, line=stop.line, tool=stop.state.tool, at=at, size=deep)
