"""What of a tool may touch the work: its lower outline, turned through half a turn and closed by the approach.

A tool standing at the origin covers the points above its lower outline t(s). A point p of the work forbids every
position of the tool under p - t, so what counts is the outline turned through half a turn: a *cap*, a run of lines
and arcs whose outward normal turns from pi (left) down to 0 (right). Caps add piece by piece in the order of their
normals (Minkowski sum of convex sets), which is how an element of the work, the tool and the metal to be left on are
joined without a tolerance.
"""

from __future__ import annotations

import math
from enum import IntEnum

from msgspec import Struct
from msgspec.structs import replace

from toolpath.geometry.elements import TURN, Arc, Chain, Line, Point

FIT_TOLERANCE = 1e-6
"""mm taken off every corner radius and half width, so that a blade as wide as its groove does not fail by rounding."""

EDGE_CLEARANCE = math.radians(2.0)
"""Straight edges are counted this much flatter, so that none lies flush on a wall (common practice, no source)."""

_ANGLE_NOISE = 1e-9
_HAIR = 1e-12


class Touch(IntEnum):
    """Which part of the tool touches."""

    NOSE = 0
    EDGE = 1
    FLAT = 2
    SIDE = 3
    HOLDER = 4


class CapPiece(Struct, frozen=True):
    """One piece of a cap, left to right.

    high, low: outward normal at its left and right end, radians, pi > high >= low > 0; equal for a line
    radius:    of an arc (0 for a line)
    du, dv:    from its left end to its right end
    touch:     what part of the tool it is
    """

    high: float
    low: float
    radius: float
    du: float
    dv: float
    touch: Touch


class Cutter(Struct, frozen=True):
    """A convex tool as the kernel sees it: `start`, the cap's left end from the point it touches, and its pieces."""

    start: Point
    pieces: tuple[CapPiece, ...]

    @property
    def width(self) -> float:
        return sum(p.du for p in self.pieces)

    def leaving(self, along: float, away: float) -> Cutter:
        """The cutter that leaves metal on: `along` on both sides in u, `away` in v (both mm, >= 0).

        Leave-on is part of the tool (tool + [-along, along] x [0, away]); lifting the path instead would leave nothing
        on a shoulder.
        """
        held = bool(self.pieces) and self.pieces[0].touch is Touch.HOLDER
        flat = CapPiece(math.pi / 2, math.pi / 2, 0.0, 2.0 * along, 0.0, Touch.HOLDER if held else Touch.FLAT)
        left = [p for p in self.pieces if p.low >= flat.high]
        right = [p for p in self.pieces if p.high <= flat.high and p not in left]
        for p in self.pieces:
            if p.high > flat.high > p.low:
                left.append(_arc(p.high, flat.high, p.radius, p.touch))
                right.insert(0, _arc(flat.high, p.low, p.radius, p.touch))
        return Cutter((self.start[0] - along, self.start[1] + away), (*left, flat, *right) if along else self.pieces)

    def lower_outline(self, at: Point) -> list[tuple[Point, Point, CapPiece]]:
        """The tool itself standing at `at`: (left end, right end, piece) from left to right along its lower side."""
        out, (u, v) = [], self.start
        for p in self.pieces:
            out.append(((at[0] - u - p.du, at[1] - v - p.dv), (at[0] - u, at[1] - v), p))
            u, v = u + p.du, v + p.dv
        return out[::-1]


def _arc(high: float, low: float, radius: float, touch: Touch) -> CapPiece:
    du, dv = radius * (math.cos(low) - math.cos(high)), radius * (math.sin(low) - math.sin(high))
    return CapPiece(high, low, radius, du, dv, touch)


def cutter(
    outline: Chain, *, edge_clearance: float = 0.0, fit_tolerance: float = FIT_TOLERANCE, holder: bool = False
) -> Cutter:
    """The cutter of a closed, convex, counter-clockwise outline given relative to the point the program moves.

    outline:        lines and arcs in the approach frame (u, v), mm; the tool comes down along -v
    edge_clearance: radians by which straight edges that are not flat are counted flatter
    fit_tolerance:  mm taken off each radius and half width
    holder:         True when this is not the cutting part: every touch is then `Touch.HOLDER`
    Raises ValueError when the outline has no lower side in this frame.
    """
    pieces: list[CapPiece] = []
    for e in outline:
        if isinstance(e, Arc):
            # Turned through half a turn, the outward normal of a counter-clockwise arc is its own direction plus pi.
            at = (e.start_angle + math.pi) % TURN
            for k in (-1, 0):
                low, high = max(at + k * TURN, 0.0), min(at + k * TURN + e.sweep, math.pi)
                if high - low > _ANGLE_NOISE:
                    r = max(e.radius - fit_tolerance, 0.0)
                    pieces.append(_arc(high, low, r, Touch.HOLDER if holder else Touch.NOSE))
        else:
            du, dv = e.a[0] - e.b[0], e.a[1] - e.b[1]
            phi = math.atan2(-du, dv)
            flat = abs(phi - math.pi / 2) < _ANGLE_NOISE
            if not flat:
                turned = phi + math.copysign(edge_clearance, math.pi / 2 - phi)
                # One that would be turned past level stays a hair on its own side of the lowest point.
                phi = min(turned, math.pi / 2 - _HAIR) if phi < math.pi / 2 else max(turned, math.pi / 2 + _HAIR)
            if _ANGLE_NOISE < phi < math.pi - _ANGLE_NOISE:
                n = max(e.length - (2.0 * fit_tolerance if flat and len(outline) > 2 else 0.0), 0.0)
                touch = Touch.HOLDER if holder else Touch.FLAT if flat else Touch.EDGE
                pieces.append(CapPiece(phi, phi, 0.0, n * math.sin(phi), -n * math.cos(phi), touch))
    if not outline:
        raise ValueError("an outline with nothing in it is no tool")
    pieces.sort(key=lambda p: -p.high - p.low)
    run = _beyond_edges(_trim_arcs(pieces)) if edge_clearance else _trim_arcs(pieces)
    top = max(-min(e.a[1], e.bounds()[1]) for e in outline)
    start = _start(run, outline, top)
    if edge_clearance and run:
        start = _widened(run, outline, start)
    return Cutter(start, tuple(run))


def _beyond_edges(run: list[CapPiece]) -> list[CapPiece]:
    """The pieces with every corner beyond an edge counted to it: where the edge is turned flatter, it lies too low."""
    behind = max((k for k, p in enumerate(run) if p.touch is Touch.EDGE and p.low > math.pi / 2), default=0)
    before = min((k for k, p in enumerate(run) if p.touch is Touch.EDGE and p.low < math.pi / 2), default=len(run))
    return [replace(p, touch=Touch.EDGE) if k < behind or k > before else p for k, p in enumerate(run)]


def _widened(run: list[CapPiece], outline: Chain, start: Point) -> Point:
    """Edges that were turned flatter drawn out to the width of the outline, in place; the left end they give."""
    left = -max(e.bounds()[2] for e in outline)
    right = -min(e.bounds()[0] for e in outline)
    short = right - start[0] - sum(p.du for p in run)
    if short > 0.0 and run[-1].high == run[-1].low:
        run[-1] = _longer(run[-1], short)
    if start[0] > left and run[0].high == run[0].low:
        longer = _longer(run[0], start[0] - left)
        start = (left, start[1] - (longer.dv - run[0].dv))
        run[0] = longer
    return start


def _longer(p: CapPiece, du: float) -> CapPiece:
    return CapPiece(p.high, p.low, 0.0, p.du + du, p.dv * (p.du + du) / p.du, p.touch)


def _trim_arcs(pieces: list[CapPiece]) -> list[CapPiece]:
    """Arcs meet their neighbours' normals exactly: an edge that was turned flatter hides the end of its arc."""
    out = list(pieces)
    for i, p in enumerate(out):
        if p.high == p.low:
            continue
        high = out[i - 1].low if i and (out[i - 1].low < p.high + _ANGLE_NOISE) else p.high
        low = out[i + 1].high if i + 1 < len(out) and out[i + 1].high > p.low - _ANGLE_NOISE else p.low
        out[i] = _arc(max(high, low), low, p.radius, p.touch)
    return [p for p in out if p.high == p.low or p.high - p.low > _ANGLE_NOISE]


def _start(run: list[CapPiece], outline: Chain, top: float) -> Point:
    """Left end of the cap, from the requirement that its highest stretch stays where the outline has it."""
    # The highest stretch is where the normal passes pi/2; it lies over the lowest points of the outline.
    lowest = [(-p[0], -p[1]) for e in outline for p in _lowest_points(e)]
    peak_left = min(u for u, v in lowest if v >= top - 1e-9 * max(1.0, abs(top)))
    peak_right = max(u for u, v in lowest if v >= top - 1e-9 * max(1.0, abs(top)))
    u = v = flat = 0.0
    for p in run:
        if p.low >= math.pi / 2:
            if p.high == p.low == math.pi / 2:
                flat = p.du
                continue
            u, v = u + p.du, v + p.dv
        elif p.high > math.pi / 2:
            part = _arc(p.high, math.pi / 2, p.radius, p.touch)
            u, v = u + part.du, v + part.dv
    middle = (peak_left + peak_right) / 2.0
    return (middle - flat / 2.0 - u, top - v)


def _lowest_points(e: Line | Arc) -> list[Point]:
    points = [e.a, e.b]
    if isinstance(e, Arc):
        p = (e.centre[0], e.centre[1] - e.radius)
        if 0.0 < e.parameter_of(p) < 1.0:
            points.append(p)
    return points
