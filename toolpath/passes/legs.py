"""Legs: the moves of a pass before they have a spindle, a feed mode and a tool number."""

from __future__ import annotations

import math
from collections.abc import Iterable
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from toolpath.geometry.elements import Chain, Element, Line, Point
from toolpath.geometry.frame import Frame
from toolpath.motion import Side


class Pace(StrEnum):
    """How a leg is travelled."""

    RAPID = "rapid"
    FEED = "feed"
    THREAD = "thread"


class Leg(Struct, frozen=True):
    """One move. share: times the operation's feed; above 1 only where nothing is cut. turns: of the spindle, waited at
    the end. side: the control moves the tool to that side of the leg by its nose; None: the leg is where the tip goes.
    lead: of a thread, mm along z in a turn.
    """

    path: Element
    pace: Pace = Pace.FEED
    share: float = 1.0
    turns: float = 0.0
    side: Side | None = None
    lead: float = 0.0


Legs = tuple[Leg, ...]

_SWAPPED: dict[Side | None, Side] = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}


def rapid(a: Point, b: Point) -> Legs:
    """A rapid, or nothing when a is b."""
    return (Leg(Line(a, b), Pace.RAPID),) if a != b else ()


def feed(a: Point, b: Point, *, share: float = 1.0) -> Legs:
    """A straight move at feed, or nothing when a is b."""
    return (Leg(Line(a, b), Pace.FEED, share),) if a != b else ()


def threading(a: Point, b: Point, *, lead: float) -> Legs:
    """A straight move in step with the spindle."""
    return (Leg(Line(a, b), Pace.THREAD, lead=lead),)


def dwell(at: Point, *, turns: float) -> Legs:
    """Standing still at `at` for so many turns of the spindle."""
    return (Leg(Line(at, at), Pace.FEED, 1.0, turns),)


def along(chain: Chain, *, share: float = 1.0) -> Legs:
    """A chain at feed."""
    return tuple(Leg(e, Pace.FEED, share) for e in chain)


def end_of(legs: Legs) -> Point:
    return legs[-1].path.b


def in_frame(legs: Iterable[Leg], frame: Frame) -> Legs:
    """The same legs through a frame; a reflection swaps left and right."""
    swapped = _SWAPPED if frame.flips else {}
    return tuple(replace(leg, path=frame.element(leg.path), side=swapped.get(leg.side, leg.side)) for leg in legs)


def length(legs: Iterable[Leg], pace: Pace) -> float:
    """Distance travelled at that pace, mm."""
    return math.fsum(leg.path.length for leg in legs if leg.pace is pace)
